// Package outside holds tests that read what keyorder writes with readers that
// are not ours. It is a module of its own, so that what they need stays away
// from whoever imports the library. A reader that is missing is a failure.
package outside
