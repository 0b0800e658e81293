package words_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// What each note says to do; that a plan carries them, with these facts, is for the
// tests of stock.
func TestNotesSayWhatToDo(t *testing.T) {
	note := func(code, in string, facts ...any) remark.Note {
		return remark.Note{Code: code, Case: in, Facts: facts}
	}
	nearDry := note("canner-near-dry", "", quantity.Quart, quantity.Volume(0), quantity.Pint, note("canner-near-dry", "usual", 3*quantity.Quart))
	tooSmall := note("canner-too-small", "", note("canner-too-small", "others", 4), remark.Note{}, note("canner-too-small", "try", 4, "quart=4,pint=5"))
	reduced := func(what remark.Note) remark.Note {
		return note("reduced-too-far", "", 12*quantity.Quart, 8*quantity.Quart, what)
	}
	sunday := time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC)
	for _, row := range []struct {
		note remark.Note
		says []string
	}{
		{nearDry, []string{"Turn the heat down", "Usual in a canner this wide is 3 qt"}},
		{note("canner-slow", "", 47*time.Minute, 48*time.Minute), []string{"it may be longer, or never"}},
		{note("depressurise-short", "", 4*time.Minute, 30*time.Minute),
			[]string{"4 min, is shorter than the published 30 min, and is not used: wait for the gauge"}},
		{note("depressurise-short", "quarts", 40*time.Minute, 45*time.Minute),
			[]string{"40 min, is shorter than the published 45 min with quarts, and is not used for them"}},
		{note("heat-up-short", "", 5*time.Minute, 12*time.Minute), []string{"5 min, is shorter than the published 12 min"}},
		{note("pressurise-short", "", 2*time.Minute, 3*time.Minute), []string{"2 min, is shorter than the published 3 min"}},
		{note("outdoor-burner", ""), []string{"Outdoors: keep to the burner limit", "never run an outdoor burner in a garage or an enclosed porch"}},
		{note("outdoor-burner", "strong", 15000*quantity.BTUPerHour),
			[]string{"15000 BTU/h (4.4 kW) is as strong as", "never run an outdoor burner in a garage or an enclosed porch"}},
		{tooSmall, []string{"(--holds quart=4,pint=5)"}},
		{reduced(note("reduced-too-far", "back", 3*quantity.Quart, 6*quantity.Quart)),
			[]string{"about 3 qt (2.8 l) of hot water back", "to at least 6 qt (5.7 l) strained", "freeze it"}},
		{reduced(note("reduced-too-far", "dry")), []string{"freeze it"}},
		{note("diluted", "", 6*quantity.Quart, 41.6, note("diluted", "hold", 3.5*quantity.Quart)), []string{"42 %", "hold 3.5 qt (3.3 l)"}},
		{note("reheat-pots", "", 24*quantity.Quart, 22*quantity.Quart, 2), []string{"in 2 pots"}},
		{note("jar", "found", "tall", process.Quart, quantity.Pint, note("jar", "on-hand", 6)), []string{"tall takes the quart's time", "6 on hand."}},
		{note("less-than-a-load", ""), []string{"All of it is less than one sensible load", "--small-loads"}},
		{note("less-than-a-load", "jars"), []string{"The jars there are", "--small-loads"}},
		{note("second-rack", "", "pints", note("second-rack", "fewer")), []string{"fewer loads"}},
		{note("second-rack", "", "pints", note("second-rack", "more")), []string{"more of them would be canned"}},
		{note("seals-in-24-h", ""), []string{"found unsealed then goes into the fridge or the freezer", "found later, it is thrown away untasted"}},
		{note("failed-seal", ""), []string{"failed in storage"}},
		{note(timeline.EarlierDay, "later", sunday.Add(-16*time.Hour), sunday, sunday.Add(2*time.Hour)),
			[]string{"done on Saturday 20:00, 16 h before Sunday 12:00", `Done by Sunday 14:00 it would begin a day later (--finish-by "2026-11-29 14:00")`}},
		{note(timeline.MoreLoads, "", 3, 2, 21.0, sunday), []string{"There may be 3 loads instead of 2 (21 %)"}},
		{note(timeline.MoreLoads, "late", 3, 2, 21.0, sunday, timeline.DefaultAwake()), []string{"after your awake hours (06:30-22:00)"}},
		{note(remark.MuchToFreeze, "", 3*quantity.Pound, 28*quantity.Pound, 10.0, 283.0),
			[]string{"is too much to freeze at once (from memory)", "needs 10 cubic feet"}},
	} {
		text := words.Note(row.note, words.Form{Flags: true})
		for _, says := range row.says {
			assert.Contains(t, text, says, row.note.Code)
		}
	}
	assert.NotContains(t, words.Note(reduced(note("reduced-too-far", "dry")), words.Form{}), "Pour about")

	limit := quantity.Fahrenheit(41)
	fridge := note("fridge-warms", "above", quantity.Celsius(4), note("fridge-warms", "never", limit), quantity.Celsius(9),
		note("fridge-warms", "for", limit, 90*time.Minute))
	text := words.Note(fridge, words.Form{Units: quantity.Metric})
	assert.Contains(t, text, "never above 5 °C")
	assert.Contains(t, text, "for 1 h 30 min")
}

func TestHowLongBrothKeeps(t *testing.T) {
	for _, row := range []struct{ source, form, says string }{
		{"USDA time limits for leftovers, in a reprint: broth 3-4 days", stock.InTheFridge, "3 to 4 days"},
		{"USDA time limits for leftovers, in a reprint: broth frozen 2-3 months, best quality", stock.Frozen, "2 to 3 months"},
		{"University of California ANR: within 1 year, 50-70 F, dark, dry", stock.Canned, "50 to 70 °F"},
		{"common practice, no source: no extension figure was found", stock.Powder, "no extension figure"},
	} {
		holding, known := stock.HoldingOf(row.form)
		assert.True(t, known)
		assert.Contains(t, words.Keeps(holding, words.Form{}), row.says, row.source)
	}
}
