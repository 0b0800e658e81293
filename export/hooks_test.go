package export

import "brothrun/timeline/ical"

// For the benchmarks, which time the two halves of Calendar apart.
var Build, Serialise = build, ical.File.Write

// Keeps reports whether a former calendar holds what is not ours, which stays as it is.
func (f *Former) Keeps() bool { return f != nil && len(f.kept) > 0 }
