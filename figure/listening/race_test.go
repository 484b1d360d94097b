//go:build race

package listening

const raced = true // the race detector is at work
