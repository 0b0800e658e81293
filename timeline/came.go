package timeline

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/record"
	"brothrun/stock/settle"
)

// Follow works out what a record makes of a run: planned is the batch as it was before
// any of it, now as it is by the last note. What was measured takes the place of the
// estimate, a load that has begun is the one that was planned when it did, or that the
// cook filled, and one that was not processed goes back to be canned again. Errors are
// those of stock.Plan, and a *fault.Fault of the note of a load there is not.
func Follow(setup settle.Setup, entries []record.Entry) (planned, now stock.Batch, err error) {
	planned, err = stock.Plan(setup)
	if err != nil || len(entries) == 0 {
		return planned, planned, err
	}
	f := following{setup: setup, now: planned}
	for i, e := range entries {
		if err := f.take(e, entries[:i+1]); err != nil {
			return planned, planned, err
		}
	}
	f.chilled(Chilled(entries, entries[len(entries)-1].At))
	f.simmered(entries)
	f.lost(entries)
	return planned, f.now, f.plan()
}

// following is a run on the way through its record.
type following struct {
	setup settle.Setup
	came  stock.Came
	now   stock.Batch
	stale bool // came says more than now
}

func (f *following) plan() (err error) {
	if f.stale {
		f.now, err = stock.PlanFrom(f.setup, f.came)
		f.stale = false
	}
	return err
}

// take makes of a note what it says of broth, jars and loads; upTo is the record as far
// as that.
func (f *following) take(e record.Entry, upTo []record.Entry) error {
	switch e.What {
	case record.Strained:
		f.came.Strained, f.stale = e.ColdVolume(), true
		if len(f.came.Begun) == 0 {
			f.chillBegun()
		}
	case record.Ready:
		f.came.Ready, f.stale = e.ColdVolume(), true
	case record.ToppedUp:
		f.came.ToppedUp += e.Volume
		f.came.NoTopUp, f.stale = f.came.ToppedUp == 0, true
	case record.Broken:
		if e.Load > 0 {
			return nil // with what was in it
		}
		if f.came.Broken == nil {
			f.came.Broken = map[string]int{}
		}
		for _, j := range e.Jars {
			f.came.Broken[j.Jar] += j.Count
		}
		f.stale = true
	default:
		if n := loadOf(e); n > 0 {
			return f.load(n, e, upTo)
		}
	}
	return nil
}

// chillBegun keeps each pot to the chill that was planned for it.
func (f *following) chillBegun() {
	f.came.Chill = f.now.Chill.Method
	f.setup.Pots = slices.Clone(f.setup.Pots)
	for i := range f.setup.Pots {
		f.setup.Pots[i].Chill = f.now.Pots[i].Chill.Method
	}
}

// loadOf is the canner load that a note says has begun, by its own word or as a step;
// 0 for none.
func loadOf(e record.Entry) int {
	if e.What.OfLoad() {
		return e.Load
	}
	if e.What != record.Began && e.What != record.Done {
		return 0
	}
	for _, step := range []string{"fill-", "load-", "unload-"} {
		if number, ok := strings.CutPrefix(e.Step, step); ok {
			n, _ := strconv.Atoi(number)
			return n
		}
	}
	return e.Load
}

// load is a note of a load: it has begun, and so have those before it.
func (f *following) load(n int, e record.Entry, upTo []record.Entry) error {
	begun := &f.came.Begun
	for len(*begun) < n {
		if err := f.plan(); err != nil {
			return err
		}
		if len(f.now.Loads) <= len(*begun) {
			return fault.New(fmt.Sprintf("note[%d].load", e.Index), "give the number it has in the plan",
				"load %d is not in the plan, which has %d", n, len(f.now.Loads))
		}
		*begun = append(*begun, stock.BegunLoad{Load: f.now.Loads[len(*begun)]})
		f.stale = true
	}
	load := &(*begun)[n-1]
	if e.What == record.Filled {
		var jars []stock.JarCount
		for _, j := range e.Jars {
			jars = append(jars, stock.JarCount(j))
		}
		load.Load, f.stale = load.Filled(jars), true
	}
	if failed := Can(load.Load, upTo).NotProcessed.Code != ""; failed != load.Unprocessed {
		load.Unprocessed, f.stale = failed, true
	}
	return nil
}

// chilled is how the chill stands in the end.
func (f *following) chilled(c Chilling) {
	f.came.Cooled, f.came.Spoilt = c.Stands == InTime && !c.Second, c.Stands == Spoilt && !c.Second
	f.came.RestSpoilt = c.Stands == Spoilt && c.Second
	f.stale = f.stale || f.came.Cooled || f.came.Spoilt || f.came.RestSpoilt
}

// lost takes the broth of loads that were not processed for gone, once it is too late to
// can it again and no load was begun to do so.
func (f *following) lost(entries []record.Entry) {
	now := entries[len(entries)-1].At
	for i := range f.came.Begun {
		load := &f.came.Begun[i]
		redo := Can(load.Load, entries).Redo()
		again := slices.ContainsFunc(entries, func(e record.Entry) bool {
			return loadOf(e) > load.Number && !e.At.After(redo)
		})
		if load.Unprocessed && !again && now.After(redo) {
			load.Lost, f.stale = true, true
		}
	}
}

// simmered takes the simmer for as long as it was, where notes have both of its ends; one
// that has the broth strained has it ended by as much earlier as straining takes.
func (f *following) simmered(entries []record.Entry) {
	if len(f.setup.Pots) > 0 {
		return // nobody says of which pot
	}
	var began, ended time.Time
	for _, e := range entries {
		switch {
		case e.What == record.Began && e.Step == "simmer":
			began = e.At
		case !ended.IsZero():
		case e.What == record.Done && e.Step == "simmer" || e.What == record.Began && e.Step == "strain":
			ended = e.At
		case e.What == record.Strained || e.What == record.Done && e.Step == "strain":
			ended = e.At.Add(-straining.Likely)
		}
	}
	const shortest, longest = 10 * time.Minute, 72 * time.Hour // that the balance takes
	if took := ended.Sub(began).Round(time.Minute); !began.IsZero() && took >= shortest && took <= longest {
		f.setup.Pot.Simmer, f.stale = took, f.stale || took != f.setup.Pot.Simmer
	}
}
