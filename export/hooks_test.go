package export

// For the benchmarks, which time the two halves of Calendar apart.
var Build, Serialise = build, serialise
