package fault_test

import (
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"brothrun/stock/fault"
)

func TestOfKeepsWhatARoomKnows(t *testing.T) {
	known := fault.New("burner", "look at its rating", "burner of %d W is too weak", 400)
	for _, row := range []struct {
		name string
		err  error
		want fault.Fault
	}{
		{"a parser's", errors.New("lid \"half\" is not known"),
			fault.Fault{Key: "canner", Reason: "lid \"half\" is not known", Hint: "look"}},
		{"a room's", known, *known},
		{"a room's, wrapped", fmt.Errorf("load 2: %w", known),
			fault.Fault{Key: "burner", Reason: "load 2: burner of 400 W is too weak", Hint: "look at its rating"}},
		{"without a key", fault.New("", "--outdoors 25F", "no outdoor temperature"),
			fault.Fault{Key: "canner", Reason: "no outdoor temperature", Hint: "--outdoors 25F"}},
		{"without a hint", fault.New("altitude", "", "too high"), fault.Fault{Key: "altitude", Reason: "too high", Hint: "look"}},
		{"a misfit", fault.Misfit("canner.width", "", "too narrow"),
			fault.Fault{Key: "canner.width", Reason: "too narrow", Hint: "look", Misfit: true}},
	} {
		assert.Equal(t, row.want, *fault.Of("canner", row.err, "look"), row.name)
	}
	assert.Equal(t, "look at its rating", known.Hint, "the room's own is not written through")
}

func TestAsMisfitTellsItFromARange(t *testing.T) {
	narrow := fault.Misfit("canner.width", "", "too narrow")
	misfit, ok := fault.AsMisfit(fmt.Errorf("quart: %w", narrow))
	assert.True(t, ok)
	assert.Same(t, narrow, misfit)
	for _, err := range []error{nil, errors.New("no fault"), fault.New("canner.width", "", "out of range")} {
		_, ok := fault.AsMisfit(err)
		assert.False(t, ok, "%v", err)
	}
}
