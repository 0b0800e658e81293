package export_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/export/text"
	"brothrun/stock/quantity"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// card is what the demo run and one like it need, in a house of little room.
func card(t *testing.T, name string) timeline.Ready {
	t.Helper()
	one, two := demoPlan(t), demoPlan(t)
	one.Batch.Name, two.Batch.Name, two.RunID = name, "Another", "another"
	room := 10 * quantity.Quart
	house := settle.House{FridgeRoom: &room, FreezerRoom: &room, Lids: map[string]int{"regular": 3}}
	plans := []timeline.Plan{one, two}
	plans[0].Warnings = append(plans[0].Warnings, timeline.RoomNotes(house, plans)...)
	return timeline.ReadyFor(house, plans)
}

func TestACardSaysFirstWhatIsShort(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, export.ReadyCard(&out, card(t, "Harvest \x1b[2J\u202esupper"), false))
	lines := strings.Split(out.String(), "\n")
	assert.Regexp(t, `^Ready for 2 runs\? Short by [\d.]+ qt of fridge, 25 regular lids$`, lines[0])
	for _, line := range lines {
		assert.LessOrEqual(t, text.Shown(line), text.Width, line)
	}
	assert.NotContains(t, out.String(), "\x1b")
	assert.NotContains(t, out.String(), "\u202e")
	assert.Less(t, strings.Index(out.String(), "The runs together have up to"), strings.Index(out.String(), "[ ]"))
	assert.NotContains(t, out.String(), "%!")
}

func TestACardToPrintNamesNoFlagAndKeepsItsPage(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, export.ReadyMarkdown(&out, card(t, "Harvest\n# supper")))
	assert.NotContains(t, out.String(), "(--")
	assert.Equal(t, 1, strings.Count("\n"+out.String(), "\n# "), "%s", out.String())
	assert.Contains(t, out.String(), "- [ ] **ice** ")
}

func TestACardForScriptsHasEveryFigure(t *testing.T) {
	var out bytes.Buffer
	made := card(t, "Harvest supper")
	require.NoError(t, export.ReadyJSON(&out, made))
	var data struct {
		Runs  []struct{ Begins string }
		First []struct{ Code string }
		Bring []struct {
			What  string
			Kg    float64
			Parts []struct{ Run string }
		}
		Fridge struct {
			Needs float64 `json:"needs_l"`
			Room  float64 `json:"room_l"`
			Short bool
		}
		Lids []struct {
			Wanted, Short int
			OnHand        *int `json:"on_hand"`
		}
		Jars []struct {
			OnHand *int `json:"on_hand"`
		}
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &data))
	assert.Len(t, data.Runs, 2)
	assert.NotEmpty(t, data.Runs[0].Begins)
	require.NotEmpty(t, data.First)
	assert.Equal(t, "fridge-room", data.First[0].Code)
	assert.InDelta(t, 2*made.Plans[0].Batch.Weight.Kilograms(), data.Bring[0].Kg, 0.01)
	assert.Len(t, data.Bring[0].Parts, 2)
	assert.InDelta(t, made.Fridge.Needs.Litres(), data.Fridge.Needs, 1e-4)
	assert.InDelta(t, 9.4635, data.Fridge.Room, 1e-4, "10 qt (NIST Handbook 44)")
	assert.True(t, data.Fridge.Short)
	assert.Equal(t, data.Lids[0].Wanted-3, data.Lids[0].Short)
	assert.Nil(t, data.Jars[0].OnHand, "nobody counted")
}
