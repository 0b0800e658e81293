package record

import (
	"maps"
	"slices"
)

// Words are all that can be noted, for tests.
func Words() []What { return slices.Sorted(maps.Keys(taken)) }
