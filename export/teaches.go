package export

import (
	"brothrun/stock/canner"
	"brothrun/stock/history"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

type (
	// teachesData is what the notes of all runs teach, of the pot of the last that does.
	teachesData struct {
		Notes   int         `json:"notes"` // runs that are learned from
		Alike   int         `json:"notes_of_this_pot_and_lid"`
		Pot     string      `json:"pot"`
		Lid     string      `json:"lid"`
		BoilOff habitData   `json:"boil_off_l_per_h"` // at the simmer, cold
		Held    habitData   `json:"held_share"`       // of the weight of the bones
		Next    []causeData `json:"spread_from"`      // of the next run, largest first; those under 1 % are left out
		Differ  float64     `json:"runs_differ"`      // times as much as measuring explains
		Rough   bool        `json:"rough"`
	}
	habitData struct {
		Now    bandData `json:"with_notes"`
		Before bandData `json:"without_notes"`
		Told   bool     `json:"told"` // the notes tell it at all
	}
	// paceData is how many times as long as reckoned without notes each phase likely takes;
	// null: nobody noted it.
	paceData struct {
		HeatUp       *float64 `json:"heat_up"`
		Pressurise   *float64 `json:"pressurise"`
		Depressurise *float64 `json:"depressurise"`
	}
	// toldData is what became of the notes of one run.
	toldData struct {
		Missing []string   `json:"missing"` // what it has to say to be learned from; empty: it was
		Volume  *doubtData `json:"volume_l,omitempty"`
		Drained *doubtData `json:"drained_kg,omitempty"`
	}
	doubtData struct {
		Noted    float64 `json:"noted"`
		Expected float64 `json:"expected"`
		Doubt    float64 `json:"chance_it_is_wrong"`
	}
)

// lastTaught is the place of the last run that is learned from; -1 for none.
func lastTaught(learned *history.Learned) int {
	for i := len(learned.Told) - 1; i >= 0; i-- {
		if len(learned.Told[i].Missing) == 0 {
			return i
		}
	}
	return -1
}

// teachesDataOf is nil where nothing is learned of a pot.
func teachesDataOf(runs []timeline.Outcome, learned *history.Learned) *teachesData {
	last := lastTaught(learned)
	if last < 0 {
		return nil
	}
	h, err := learned.Habits(runs[last].Run.Setup.Pot)
	if err != nil {
		return nil
	}
	data := teachesData{Notes: h.All, Alike: h.Alike, Pot: runs[last].Pot, Lid: string(h.Lid), Next: causesData(h.Next),
		BoilOff: habitDataOf(h.BoilOff, quantity.VolumeRate.LitresPerHour),
		Held:    habitDataOf(h.Held, func(x float64) float64 { return x }), Differ: roundTo(learned.Differ, 2),
		Rough: learned.Rough()}
	return &data
}

func habitDataOf[Q ~float64](h history.Habit[Q], in func(Q) float64) habitData {
	band := func(b quantity.Band[Q]) bandData {
		return bandData{roundTo(in(b.Low), 3), roundTo(in(b.Likely), 3), roundTo(in(b.High), 3)}
	}
	return habitData{band(h.Now), band(h.Before), h.Told}
}

// paceDataOf is of the canner of the last run.
func paceDataOf(runs []timeline.Outcome, learned *history.Learned) paceData {
	if len(runs) == 0 {
		return paceData{}
	}
	p := learned.Pace(runs[len(runs)-1].Run.Setup.Firing)
	times := func(f canner.Factor) *float64 { return given(roundTo(f.Likely, 2)) }
	return paceData{times(p.HeatUp), times(p.Pressurise), times(p.Depressurise)}
}

// toldDataOf is nil of a run without notes.
func toldDataOf(o timeline.Outcome, t history.Told) *toldData {
	if o.Notes == 0 {
		return nil
	}
	data := toldData{Missing: append([]string{}, t.Missing...)}
	doubt := func(noted, expected, chance float64) *doubtData {
		if noted == 0 || expected == 0 {
			return nil
		}
		return &doubtData{noted, expected, roundTo(chance, 3)}
	}
	data.Volume = doubt(litres(t.Noted), litres(t.Expected), t.Doubt)
	data.Drained = doubt(roundTo(t.Drained.Kilograms(), 3), roundTo(t.DrainedExpected.Kilograms(), 3), t.DrainedDoubt)
	return &data
}
