package chord

// What the tests, which are external, see of the inside.

var Symbols = symbols
