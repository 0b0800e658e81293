package export

import "brothrun/timeline/ical"

// For the benchmarks, which time the two halves of Calendar apart.
var Build, Serialise = build, ical.File.Write
