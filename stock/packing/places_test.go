package packing

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The table is read a count at a time: nobody else sees a row that belongs to none.
func TestTheTableOfPlacesIsWhole(t *testing.T) {
	rows := 1 // the heading
	for n := 1; n <= Most; n++ {
		at, err := readPlaces(places, n)
		require.NoError(t, err)
		rows += len(at)
		if n > 1 {
			spots := make([]spot, n)
			for i, p := range at {
				spots[i] = spot(p)
			}
			assert.Less(t, excess(spots), 1.2e-7, "%d circles", n) // the worst, of 53, by Equal
		}
	}
	assert.Equal(t, rows, strings.Count(places, "\n"))
}

func TestABrokenTableOfPlacesIsAnError(t *testing.T) {
	const heading = "circles,x,y\n"
	at, err := readPlaces(heading+"1,0,0\n2,1,0\n2,-1,0", 2)
	require.NoError(t, err)
	assert.Equal(t, []place{{1, 0}, {-1, 0}}, at)
	for why, table := range map[string]string{
		"empty":              "",
		"no heading":         "2,1,0\n2,-1,0\n",
		"of others only":     heading + "1,0,0\n12,1,0\n",
		"one is missing":     heading + "2,1,0\n",
		"one too many":       heading + "2,1,0\n2,-1,0\n2,3,0\n",
		"apart":              heading + "2,1,0\n1,0,0\n2,-1,0\n",
		"a column too few":   heading + "2,1,0\n2,-1\n",
		"a column too many":  heading + "2,1,0\n2,-1,0,0\n",
		"no number":          heading + "2,1,0\n2,-1,O\n",
		"too large a number": heading + "2,1e999,0\n2,-1,0\n",
		"line ends of CRLF":  strings.ReplaceAll(heading+"2,1,0\n2,-1,0\n", "\n", "\r\n"),
	} {
		_, err := readPlaces(table, 2)
		assert.ErrorContains(t, err, "places of 2 circles", why)
	}
}
