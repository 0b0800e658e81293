package words_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// Each step that somebody is needed for may begin and be done by a button, and each phase of
// a load has its clock.
func TestEveryButtonAndPhaseHasWords(t *testing.T) {
	nobodys := map[timeline.Role]bool{timeline.InFridge: true, timeline.BackInFridge: true, timeline.Rest: true,
		timeline.PreFreeze: true, timeline.Dry: true}
	b := demoBatch(t, asItIs)
	for role := timeline.Thaw; role <= timeline.DryCheck; role++ {
		step := timeline.Step{ID: "a", Role: role, Loads: b.Loads[:1]}
		for _, what := range []record.What{record.Began, record.Done} {
			ofCanner := what == record.Done && (role == timeline.Fill || role == timeline.Load) // those end otherwise
			if !nobodys[role] && !ofCanner {
				assert.NotEmpty(t, words.Button(timeline.Offer{What: what, Step: "a"}, step, b), "%v of role %d", what, role)
			}
		}
	}
	load := timeline.Step{Role: timeline.Load, Loads: b.Loads[:1]}
	for phase := timeline.Heating; phase <= timeline.Opened; phase++ {
		assert.NotEmpty(t, words.PhoneClock(phase, b.Loads[0], b, "10:00", "10:25"), words.Phase(phase))
		canning := timeline.Turn{Canning: timeline.Canning{Phase: phase}, Load: b.Loads[0]}
		for _, offer := range canning.OfCanner() {
			assert.NotEmpty(t, words.Button(offer, load, b))
		}
	}
	jars := []stock.JarCount{{Jar: "quart", Count: 13}}
	assert.Equal(t, "13 quarts sealed", words.Button(timeline.Offer{What: record.Sealed, Jars: jars}, load, b))
}
