package timeline

import (
	"cmp"
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/history"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
)

// Outcome is what came of one run, as far as its notes tell: a zero field is one that
// nobody noted.
type Outcome struct {
	File string // the run file, as it is called; for who shows it
	Pot  string // as the cook calls it; for who shows it

	Name    string
	Kind    settle.Kind
	What    string // "turkey frames"
	Units   quantity.System
	PotSize quantity.Volume // to the brim
	Notes   int             // that stand

	// Date is when it was canned: the heat of the first load off, or else its first note;
	// where no load is noted, the first note of the cooking, or else the time asked for.
	// Zero: nothing tells.
	Date time.Time

	Water    quantity.Volume // poured in at the start, by the plan
	Planned  quantity.Volume // strained, cold, as it was likely before any note
	Strained quantity.Volume // measured, as it is cold
	Ready    quantity.Volume // measured
	Frozen   quantity.Volume
	Powder   quantity.Mass

	Jars  []JarTally // of every size that is noted
	Loads []CannedLoad
	// Missing is what would say more; of a run without any note, nothing.
	Missing []record.What

	Run history.Run // for what it teaches

	frozenOn, driedOn  time.Time // the first time
	frozenBy, powderBy time.Time
	stands             []Standing
	spoilt             bool
}

// JarTally is what became of the jars of one size.
type JarTally struct {
	Jar      string
	Filled   int // in loads that began, but for those that are known not to be processed
	Sealed   int
	Unsealed int
	Broken   int // with what was in them
	Chipped  int // empty
	Used     int
}

// Lost is how many came to nothing.
func (t JarTally) Lost() int { return t.Unsealed + t.Broken + t.Chipped }

// CannedLoad is what came of a canner load that began.
type CannedLoad struct {
	Number       int
	Jars         []stock.JarCount
	Processed    bool        // the tested time was held
	NotProcessed remark.Note // why it is known not to be; without a code, it is not known

	LidToPressure   time.Duration // from the lid on; 0: not noted
	SteamToPressure time.Duration // from steady steam; 0: not noted
	ToZero          time.Duration // from the heat off; 0: not noted
}

// OutcomeOf works out what came of a run: when is when it was asked for, entries its
// record. The batch is planned as Follow does, of which errors are.
func OutcomeOf(setup settle.Setup, when When, entries []record.Entry) (Outcome, error) {
	planned, now, err := Follow(setup, entries)
	if err != nil {
		return Outcome{}, err
	}
	o := Outcome{Name: now.Name, Kind: now.Kind, What: now.What, Units: now.Units, PotSize: setup.Pot.Pot,
		Notes: len(entries), Water: planned.Yield.Water, Planned: planned.Yield.Strained.Likely,
		spoilt: now.Spoilt(), Run: history.Run{Setup: setup, Entries: entries}}
	for _, load := range now.Loads {
		o.Run.Loads = append(o.Run.Loads, load.Cycle)
	}
	t := tallying{entries: entries, all: now.Loads}
	t.read(&o)
	t.date(&o, when)
	t.standing(&o)
	if !o.frozenOn.IsZero() {
		o.frozenBy = bestBy(now, stock.Frozen, o.frozenOn)
	}
	if !o.driedOn.IsZero() {
		o.powderBy = bestBy(now, stock.Powder, o.driedOn)
	}
	for i := range o.stands {
		o.stands[i].By = bestBy(now, stock.Canned, o.Date)
	}
	o.Missing = t.missing(o)
	return o, nil
}

// PastOf is OutcomeOf as far as other runs go by it, Teaches and ShelfOf. A run of which
// no load, no jar and nothing put away is noted is not planned for that, and has no more.
func PastOf(setup settle.Setup, when When, entries []record.Entry) (Outcome, error) {
	if slices.ContainsFunc(entries, leaves) {
		return OutcomeOf(setup, when, entries)
	}
	return Outcome{Name: setup.Name, Kind: setup.Kind, What: setup.What, Units: setup.Units, Notes: len(entries),
		Run: history.Run{Setup: setup, Entries: entries}}, nil
}

// leaves tells that a note is about what is there afterwards, or how long a load took.
func leaves(e record.Entry) bool {
	return len(e.Jars) > 0 || loadOf(e) > 0 || e.What == record.Frozen || e.What == record.Dried
}

// bestBy is the last day of broth that was put away at an instant.
func bestBy(batch stock.Batch, form string, from time.Time) time.Time {
	holding, known := batch.Holding(form)
	if !known || from.IsZero() {
		return time.Time{}
	}
	return lastDay(from, holding.Least)
}

// tallying is the record of a run on the way to its outcome.
type tallying struct {
	entries []record.Entry
	all     []stock.Load // as they are now
	loads   []begunLoad  // of them, those that have begun
	jars    []JarTally
}

// begunLoad is a load that has begun, and since when.
type begunLoad struct {
	stock.Load
	canning Canning
	since   time.Time
}

// open tells that the load went on the heat, and nothing says how it ended.
func (l begunLoad) open() bool {
	return l.canning.Phase != NotOn && !l.canning.Processed && l.canning.NotProcessed.Code == ""
}

// bad tells that what was in it counts for nothing.
func (l begunLoad) bad() bool { return l.canning.NotProcessed.Code != "" }

func (t *tallying) of(jar string) *JarTally {
	i := slices.IndexFunc(t.jars, func(other JarTally) bool { return other.Jar == jar })
	if i < 0 {
		i = len(t.jars)
		t.jars = append(t.jars, JarTally{Jar: jar})
	}
	return &t.jars[i]
}

// read goes through the record once.
func (t *tallying) read(o *Outcome) {
	for _, e := range t.entries {
		for n := loadOf(e); len(t.loads) < min(n, len(t.all)); {
			load := t.all[len(t.loads)]
			t.loads = append(t.loads, begunLoad{load, Can(load, t.entries), e.At})
		}
		switch e.What {
		case record.Strained:
			o.Strained = e.ColdVolume()
		case record.Ready:
			o.Ready = e.ColdVolume()
		case record.Frozen:
			o.Frozen += e.Volume
			o.frozenOn = cmp.Or(o.frozenOn, e.At)
		case record.Dried:
			o.Powder += e.Weight
			o.driedOn = cmp.Or(o.driedOn, e.At)
		}
		for _, j := range e.Jars {
			switch tally := t.of(j.Jar); {
			case e.What == record.Sealed:
				tally.Sealed += j.Count
			case e.What == record.Unsealed:
				tally.Unsealed += j.Count
			case e.What == record.Broken && e.Load > 0:
				tally.Broken += j.Count
			case e.What == record.Broken:
				tally.Chipped += j.Count
			case e.What == record.Used:
				tally.Used += j.Count
			}
		}
	}
	for _, load := range t.loads {
		one := CannedLoad{Number: load.Number, Processed: load.canning.Processed, NotProcessed: load.canning.NotProcessed}
		for _, layer := range load.Layers {
			for _, j := range layer.Jars {
				one.Jars = addJars(one.Jars, j)
				if tally := t.of(j.Jar); !load.bad() {
					tally.Filled += j.Count
				}
			}
		}
		one.time(load.canning)
		o.Loads = append(o.Loads, one)
	}
	o.Jars = t.jars
}

// addJars adds jars to those of their size.
func addJars(jars []stock.JarCount, more stock.JarCount) []stock.JarCount {
	i := slices.IndexFunc(jars, func(j stock.JarCount) bool { return j.Jar == more.Jar })
	if i < 0 {
		return append(jars, more)
	}
	jars[i].Count += more.Count
	return jars
}

// time reads how long a load took to be at pressure the first time, and from when the
// heat went off for the last time to zero.
func (l *CannedLoad) time(c Canning) {
	var lid, steam, pressure time.Time
	for _, e := range c.entries {
		switch {
		case e.What == record.Began && lid.IsZero() && pressure.IsZero():
			lid = e.At
		case e.What == record.Steam && steam.IsZero() && pressure.IsZero():
			steam = e.At
		case e.What == record.AtPressure && pressure.IsZero():
			pressure = e.At
		case e.What == record.Zero && l.ToZero == 0 && !c.HeatOff.IsZero() && e.At.After(c.HeatOff):
			l.ToZero = e.At.Sub(c.HeatOff)
		}
	}
	if !pressure.IsZero() && !lid.IsZero() {
		l.LidToPressure = pressure.Sub(lid)
	}
	if !pressure.IsZero() && !steam.IsZero() {
		l.SteamToPressure = pressure.Sub(steam)
	}
}

// date says when the run was.
func (t *tallying) date(o *Outcome, when When) {
	if len(t.loads) > 0 {
		first := t.loads[0]
		o.Date = cmp.Or(first.canning.HeatOff, first.since)
		return
	}
	afterwards := []record.What{record.Sealed, record.Unsealed, record.Used, record.Remark, record.Dried, record.Drying}
	for _, e := range t.entries {
		if !slices.Contains(afterwards, e.What) {
			o.Date = e.At
			return
		}
	}
	o.Date = cmp.Or(when.Start, when.FinishBy, when.From)
	if o.Date.IsZero() && len(t.entries) > 0 {
		o.Date = t.entries[0].At
	}
}

// missing is what a run with notes does not say.
func (t *tallying) missing(o Outcome) (missing []record.What) {
	if o.Notes == 0 {
		return nil
	}
	if o.Strained == 0 {
		missing = append(missing, record.Strained)
	}
	if o.Ready == 0 {
		missing = append(missing, record.Ready)
	}
	if len(t.loads) < len(t.all) {
		missing = append(missing, record.Filled)
	}
	unsaid := func(l begunLoad) bool { return !l.canning.Processed && !l.bad() }
	if slices.ContainsFunc(t.loads, unsaid) {
		missing = append(missing, record.HeatOff)
	}
	if slices.ContainsFunc(t.loads, func(l begunLoad) bool { return !l.bad() && !t.lookedAt(l) }) {
		missing = append(missing, record.Sealed)
	}
	return missing
}

// ToPressure is how long its loads took to be at pressure, by the mean: from the lid on
// or, where nobody noted that, from steady steam. ok is false where nothing is noted.
func (o Outcome) ToPressure() (mean time.Duration, fromSteam, ok bool) {
	mean, ok = meanOf(o.Loads, func(l CannedLoad) time.Duration { return l.LidToPressure })
	if !ok {
		fromSteam = true
		mean, ok = meanOf(o.Loads, func(l CannedLoad) time.Duration { return l.SteamToPressure })
	}
	return mean, fromSteam && ok, ok
}

// ToZero is how long its loads took from the heat off to zero, by the mean; ok is false
// where nothing is noted.
func (o Outcome) ToZero() (mean time.Duration, ok bool) {
	return meanOf(o.Loads, func(l CannedLoad) time.Duration { return l.ToZero })
}

func meanOf(loads []CannedLoad, span func(CannedLoad) time.Duration) (mean time.Duration, ok bool) {
	var total, n time.Duration
	for _, l := range loads {
		if d := span(l); d > 0 {
			total, n = total+d, n+1
		}
	}
	if n == 0 {
		return 0, false
	}
	return total / n, true
}

// Sealed is how many of its jars were noted as sealed; looked is false where nobody
// noted that, and sealed how many were filled.
func (o Outcome) Sealed() (sealed int, looked bool) {
	filled := 0
	for _, j := range o.Jars {
		sealed, filled = sealed+j.Sealed, filled+j.Filled
	}
	if sealed > 0 {
		return sealed, true
	}
	return filled, false
}

// Lost is how many of its jars came to nothing.
func (o Outcome) Lost() (lost int) {
	for _, j := range o.Jars {
		lost += j.Lost()
	}
	return lost
}

// Processed is of how many of its loads it is known that the tested time was held; known
// is false where of some it is known neither that nor the contrary.
func (o Outcome) Processed() (n int, known bool) {
	known = true
	for _, l := range o.Loads {
		switch {
		case l.Processed:
			n++
		case l.NotProcessed.Code == "":
			known = false
		}
	}
	return n, known
}

// Oldest puts outcomes in order: the oldest first, those without a date last, those of
// one instant by file.
func Oldest(outcomes []Outcome) {
	slices.SortFunc(outcomes, func(a, b Outcome) int {
		undated := func(o Outcome) int { return map[bool]int{true: 1}[o.Date.IsZero()] }
		return cmp.Or(undated(a)-undated(b), a.Date.Compare(b.Date), cmp.Compare(a.File, b.File))
	})
}

// Year is what the runs of one year that have notes came to: sums of what was noted.
type Year struct {
	Year             int // 0: without a date
	Runs             int
	Water, Planned   quantity.Volume
	Strained, Frozen quantity.Volume
	Measured         int // of Runs, those of which Strained was noted
	Sealed, Lost     int
	Loads            int // processed
	Powder           quantity.Mass
}

// Years sums outcomes up by the year of their date, in the order in which they come.
// Runs without a note are not counted.
func Years(outcomes []Outcome) (years []Year) {
	for _, o := range outcomes {
		if o.Notes == 0 {
			continue
		}
		number := 0
		if !o.Date.IsZero() {
			number = o.Date.Year()
		}
		i := slices.IndexFunc(years, func(y Year) bool { return y.Year == number })
		if i < 0 {
			i = len(years)
			years = append(years, Year{Year: number})
		}
		y := &years[i]
		y.Runs++
		y.Water, y.Planned = y.Water+o.Water, y.Planned+o.Planned
		y.Strained, y.Frozen = y.Strained+o.Strained, y.Frozen+o.Frozen
		if o.Strained > 0 {
			y.Measured++
		}
		if sealed, looked := o.Sealed(); looked {
			y.Sealed += sealed
		}
		loads, _ := o.Processed()
		y.Lost, y.Loads, y.Powder = y.Lost+o.Lost(), y.Loads+loads, y.Powder+o.Powder
	}
	return years
}

// Teaches is what runs teach, in their order.
func Teaches(all []Outcome) *history.Learned {
	runs := make([]history.Run, len(all))
	for i, o := range all {
		runs[i] = o.Run
	}
	return history.Learn(runs)
}
