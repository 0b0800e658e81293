package history

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"brothrun/stock/kettle"
)

// Two pots of one run have as much of how still they simmer in common as two pots of one
// kitchen have in the split that notes are read by.
func TestPotsOfOneRunAreSplitAsPotsOfOneKitchen(t *testing.T) {
	common := func(dimension int) float64 {
		first, second := kettle.FirstGuess(kettle.Input{Nth: 1}), kettle.FirstGuess(kettle.Input{Nth: 2})
		both, square := 0.0, 0.0
		for i := range first {
			both += first[i][dimension] * second[i][dimension]
			square += first[i][dimension] * first[i][dimension]
		}
		return both / square
	}
	assert.InDelta(t, stillnessOfKitchen*stillnessOfKitchen/(stillnessSpread*stillnessSpread), common(kettle.OfStillness), 0.01)
	assert.InDelta(t, 0, common(kettle.OfShape), 0.01)
	assert.InDelta(t, 1, common(kettle.OfHeld), 1e-9)
}
