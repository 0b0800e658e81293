package packing

// Solve is Mixed without its short cuts: the solver alone, circles widest first.
var Solve = solve
