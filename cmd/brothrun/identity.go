package main

import (
	"cmp"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"brothrun/export"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// runID keys the calendar entries of the run: what the cook calls it for good, or
// what the calendar about to be replaced says, or else what tells it from other
// runs. The pot is of it, because two pots on one day may have all else alike; the
// kitchen is its file or, without one, the folder of the run file.
func (r *request) runID() string {
	switch {
	case r.run.ID != "":
		return r.run.ID
	case r.kept.RunID != "":
		return r.kept.RunID
	}
	file := r.runFile
	if file != "" {
		file = absolute(file)
	}
	kitchen := filepath.Dir(file)
	if r.kitchenFile != "" {
		kitchen = absolute(r.kitchenFile)
	}
	return export.RunKey(strings.Join([]string{cmp.Or(r.run.Name, file), r.kinds(), kitchen, word(r.run.Pot), r.day()},
		"\x00"))
}

// likeness is what a run without an ID of its own is known by when it is planned
// again, its start moved or not: name, or else file name, and kind.
func (r *request) likeness() string {
	if r.run.ID != "" {
		return ""
	}
	return cmp.Or(r.run.Name, r.fromRun) + "\x00" + r.kinds()
}

// kinds is all that goes into the pot, whatever its order in the file.
func (r *request) kinds() string {
	kinds := []string{word(r.run.Kind)}
	for _, portion := range r.run.Portions {
		kinds = append(kinds, word(portion.Kind))
	}
	slices.Sort(kinds)
	return strings.Join(kinds, "+")
}

// word is text without what a cook may write one way or another.
func word(text string) string {
	return strings.NewReplacer(" ", "", "-", "").Replace(strings.ToLower(text))
}

// day is the date the run is asked for: "2026-11-28".
func (r *request) day() string {
	when := cmp.Or(r.run.Start, r.run.FinishBy, r.run.Between)
	day, _, _ := strings.Cut(strings.ReplaceAll(strings.TrimSpace(when), "T", " "), " ")
	return day
}

// keepIdentity lets a run be the one it was in a calendar that outs replace, so
// that its entries move with it. Of two runs alike neither is known again.
func keepIdentity(requests []*request, outs []output, now time.Time) {
	alike := map[string]int{}
	for _, r := range requests {
		alike[r.likeness()]++
	}
	for _, r := range requests {
		day, _ := time.Parse(time.DateOnly, r.day())
		for _, out := range outs {
			if r.kept.RunID == "" && alike[r.likeness()] == 1 {
				r.kept = out.former.Kept(r.runID(), r.likeness(), day, now)
			}
		}
	}
}

// moved tells of entries that stand on another day than the calendar had them: the
// cook may have meant another run.
func (r *request) moved(plan timeline.Plan) []remark.Note {
	const day = "Mon 2 Jan 2006"
	begins := plan.Begins()
	if r.kept.RunID == "" || begins.IsZero() || begins.Format(day) == r.kept.Begins.In(plan.Location).Format(day) {
		return nil
	}
	return []remark.Note{{Code: timeline.RunMoved, Facts: []any{r.kept.Begins.In(plan.Location), begins}}}
}
