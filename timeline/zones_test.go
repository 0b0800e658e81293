package timeline

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every zone of the table is one that is known, and no city is in it twice.
func TestZonesOfTheTableAreKnown(t *testing.T) {
	seen := map[string]string{}
	for line := range strings.Lines(zonesTable) {
		name, _, found := strings.Cut(line, "\t")
		if !found {
			continue
		}
		_, err := LoadZone(name)
		assert.NoError(t, err)
		city := name[strings.LastIndexByte(name, '/')+1:]
		assert.Empty(t, seen[city], name)
		seen[city] = name
	}
	assert.Greater(t, len(seen), 400)
}
