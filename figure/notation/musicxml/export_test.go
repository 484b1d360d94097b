package musicxml

// What the tests, which are external, see of the inside.

var Channel = channel
