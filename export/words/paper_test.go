package words_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// What to do when it goes wrong names the pressure and the full time where all loads have
// the same, and never how to can where nothing is canned.
func TestTroubles(t *testing.T) {
	load := stock.Load{Number: 1, Process: 25 * time.Minute, Pressure: 15 * quantity.PSI, Gauge: "weighted"}
	plan := timeline.Plan{Batch: stock.Batch{Loads: []stock.Load{load, load},
		Cautions: []remark.Note{remark.Of(remark.SealsIn24Hrs)}}}
	said := func(what string) string {
		for _, trouble := range words.Troubles(plan, words.Form{}) {
			if trouble.What == what {
				return trouble.Do
			}
		}
		return ""
	}
	assert.Contains(t, said("Pressure fell"), "Bring it back to 15 psi, then the full 25 min again.")
	// FDA Food Code 3-501.14: 135 to 70 °F within 2 h, to 41 °F within 6 h in all.
	assert.Contains(t, said("Chill too slow"), "Over 70 °F (21 °C) 2 h after 135 °F (57 °C)")
	assert.Contains(t, said("Chill too slow"), "Over 41 °F (5 °C) after 6 h, or missed again: throw it away.")
	assert.Contains(t, said("Late"), "Nothing hot waits")
	assert.Contains(t, said("Jar broke"), "throw its broth away")
	assert.Contains(t, said("Not sealed"), "within 24 h of the canner")

	plan.Batch.Loads[1].Process = 20 * time.Minute
	assert.Contains(t, said("Pressure fell"), "Bring it back to its pressure, then its full time again.")
	plan.Batch.Loads = nil
	for _, what := range []string{"Pressure fell", "Jar broke", "Not sealed"} {
		assert.Empty(t, said(what))
	}
	plan.Batch.Refusals = []remark.Note{{Code: remark.ChillTooSlow}}
	assert.Empty(t, words.Troubles(plan, words.Form{}))
}
