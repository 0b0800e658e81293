package order

import (
	"cmp"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"brothrun/export"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// runID keys the calendar entries of the run: what the cook calls it for good, or
// what the calendar about to be replaced says, or else what tells it from other
// runs. The pot is of it, because two pots on one day may have all else alike; the
// kitchen is its file or, without one, the folder of the run file.
func (r *Request) runID() string {
	switch {
	case r.Run.ID != "":
		return r.Run.ID
	case r.kept.RunID != "":
		return r.kept.RunID
	}
	file, kitchen := r.machine.whole(r.RunFile), r.machine.whole(r.KitchenFile)
	if kitchen == "" {
		kitchen = filepath.Dir(file)
	}
	parts := []string{cmp.Or(r.Run.Name, file), r.kinds(), kitchen, word(r.Run.Pot), r.day()}
	return export.RunKey(strings.Join(parts, "\x00"))
}

// likeness is what a run without an ID of its own is known by when it is planned
// again, its start moved or not: name, or else file name, and kind; and, so that it may
// be called otherwise, the run file itself and kind.
func (r *Request) likeness() []string {
	if r.Run.ID != "" {
		return nil
	}
	known := []string{cmp.Or(r.Run.Name, r.file()) + "\x00" + r.kinds()}
	if file := r.machine.whole(r.RunFile); file != "" {
		known = append(known, "file\x00"+file+"\x00"+r.kinds())
	}
	return known
}

// RunIDs are what the calendar entries of requests are keyed by.
func RunIDs(requests []*Request) (ids []string) {
	for _, r := range requests {
		ids = append(ids, r.runID())
	}
	return ids
}

// kinds is all that goes into the pot, whatever its order in the file.
func (r *Request) kinds() string {
	kinds := []string{kindWord(r.Run.Kind)}
	for _, portion := range r.Run.Portions {
		kinds = append(kinds, kindWord(portion.Kind))
	}
	slices.Sort(kinds)
	return strings.Join(kinds, "+")
}

// kindWord is the word of a kind, however it is spelt.
func kindWord(text string) string {
	if kind, err := settle.ParseKind(text); err == nil {
		text = string(kind)
	}
	return word(text)
}

// word is text without what a cook may write one way or another.
func word(text string) string {
	return strings.NewReplacer(" ", "", "-", "").Replace(strings.ToLower(text))
}

// asked is when the run is asked for, as given; empty when it does not say.
func (r *Request) asked() string { return cmp.Or(r.Run.Start, r.Run.FinishBy, r.Run.Between) }

// day is the date the run is asked for: "2026-11-28".
func (r *Request) day() string {
	day, _, _ := strings.Cut(strings.ReplaceAll(strings.TrimSpace(r.asked()), "T", " "), " ")
	return day
}

// Keep lets runs be the ones they were in the calendars that are about to be replaced,
// so that their entries move with them. Of two runs alike neither is known again, nor
// is one that was over by now and is asked for on a later day.
func Keep(requests []*Request, formers []*export.Former, now time.Time) {
	alike := map[string]int{}
	for _, r := range requests {
		for _, likeness := range r.likeness() {
			alike[likeness]++
		}
	}
	for _, r := range requests {
		day, _ := time.Parse(time.DateOnly, r.day())
		for _, former := range formers {
			known := slices.DeleteFunc(r.likeness(), func(likeness string) bool { return alike[likeness] > 1 })
			if r.kept.RunID == "" && len(known) == len(r.likeness()) {
				r.kept = former.Kept(r.runID(), known, day, now)
			}
		}
	}
}

// moved tells of entries that stand on another day than the calendar had them: the
// cook may have meant another run.
func (r *Request) moved(plan timeline.Plan) []remark.Note {
	const day = "Mon 2 Jan 2006"
	begins := plan.Begins()
	if r.kept.RunID == "" || begins.IsZero() || begins.Format(day) == r.kept.Begins.In(plan.Location).Format(day) {
		return nil
	}
	return []remark.Note{{Code: timeline.RunMoved, Facts: []any{r.kept.Begins.In(plan.Location), begins}}}
}
