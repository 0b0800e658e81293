package history

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/settle"
)

// cooks is how many are drawn from the first guess, always the same.
const cooks = 1500

// drawn is a cook whose kitchen is drawn from the first guess.
type drawn struct {
	*rand.Rand
	register            register
	x                   []float64
	fat                 float64
	measuring           float64 // log sd
	stillDiffer, differ float64 // from run to run, log sd of stillness and held
}

func newCook(seed uint64) *drawn {
	c := &drawn{
		Rand: rand.New(rand.NewPCG(20261128, seed)), register: register{at: map[string]int{}, size: ofKitchen},
		measuring: volumeWithin, stillDiffer: stillnessOfRun, differ: heldOfRun,
	}
	c.fat = c.NormFloat64() / kettle.Score90
	return c
}

// cook is what really comes of one run.
func (c *drawn) cook(t testing.TB, in kettle.Input) kettle.Outcome {
	at := c.register.places(in, true)
	for len(c.x) < c.register.size {
		c.x = append(c.x, c.NormFloat64())
	}
	s := scores(c.x, at, kettle.Scores{}, 0, 0)
	s[kettle.OfStillness] += c.stillDiffer / stillnessSpread * c.NormFloat64() / kettle.Score90
	s[kettle.OfHeld] += c.differ / heldSpread * c.NormFloat64() / kettle.Score90
	s[kettle.OfFillLine], s[kettle.OfFat] = c.NormFloat64()/kettle.Score90, c.fat
	model, err := kettle.ModelOf(in)
	require.NoError(t, err)
	return model.At(&s)
}

// noted is a run with its note, so many times too large.
func (c *drawn) noted(t testing.TB, in kettle.Input, weighed bool, times float64) Run {
	o := c.cook(t, in)
	off := math.Exp(c.measuring * c.NormFloat64())
	entries := []record.Entry{
		{What: record.Strained, Volume: o.Strained * quantity.Volume(off*times), Cold: true},
		{What: record.ToppedUp},
	}
	if weighed {
		weight := o.Drained * quantity.Mass(math.Exp(drainedWithin*c.NormFloat64()))
		entries = append(entries, record.Entry{What: record.Drained, Weight: weight})
	}
	return Run{Setup: settle.Setup{Pot: in}, Entries: entries}
}

// frames is the run of most cases: 9 lb in 13.6 l, 4 h, lid ajar, 30 cm wide.
func frames(t testing.TB, change ...func(*kettle.Input)) kettle.Input {
	solids, err := kettle.For("turkey-frames")
	require.NoError(t, err)
	in := kettle.Input{
		PotName: "big pot", Pot: 22 * quantity.Quart, PotWidth: 30 * quantity.Centimetre, FillLine: kettle.DefaultFillLine,
		Bones: []kettle.Portion{{Kind: "turkey-frames", Solids: solids, Mass: 9 * quantity.Pound}},
		Water: 13.6 * quantity.Litre, Simmer: 4 * time.Hour, Lid: kettle.LidAjar,
	}
	for _, f := range change {
		f(&in)
	}
	return in
}

// varied is a run of 1 to 6 h with 6 to 12 lb.
func (c *drawn) varied(t testing.TB) kettle.Input {
	return frames(t, func(in *kettle.Input) {
		in.Simmer = time.Duration((1 + 5*c.Float64()) * float64(time.Hour))
		in.Bones[0].Mass = quantity.Mass(6+6*c.Float64()) * quantity.Pound
	})
}

// forecast is the band of what is strained, and how far its middle is off.
type forecast struct {
	inside     bool
	width, off float64 // of logarithms
}

func (c *drawn) next(t testing.TB, l *Learned, in kettle.Input) forecast {
	e, err := kettle.Balance(l.sharpened(in))
	require.NoError(t, err)
	truth, band := c.cook(t, in).Strained, e.Strained
	return forecast{
		truth >= band.Low && truth <= band.High, math.Log(float64(band.High / band.Low)),
		math.Abs(math.Log(float64(truth / band.Likely))),
	}
}

// each works out something of every cook, on all processors.
func each[T any](of func(seed uint64) T) []T {
	all := make([]T, cooks)
	var group sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		group.Go(func() {
			for i := w; i < cooks; i += workers {
				all[i] = of(uint64(i))
			}
		})
	}
	group.Wait()
	return all
}

func share[T any](all []T, holds func(T) bool) float64 {
	n := 0
	for _, one := range all {
		if holds(one) {
			n++
		}
	}
	return float64(n) / float64(len(all))
}

func middle(all []forecast, of func(forecast) float64) float64 {
	var values []float64
	for _, f := range all {
		values = append(values, of(f))
	}
	return quantity.Below(values, 0.5)
}

func inside(f forecast) bool     { return f.inside }
func widthOf(f forecast) float64 { return f.width }
func offBy(f forecast) float64   { return f.off }

// learning is what each cook's forecasts are after some notes.
func learning(t testing.TB, after []int, change func(*drawn), in func(*drawn) kettle.Input) map[int][]forecast {
	rows := each(func(seed uint64) []forecast {
		c := newCook(seed)
		change(c)
		var runs []Run
		var row []forecast
		for _, n := range after {
			for len(runs) < n {
				runs = append(runs, c.noted(t, in(c), false, 1))
			}
			row = append(row, c.next(t, Learn(runs), in(c)))
		}
		return row
	})
	all := map[int][]forecast{}
	for i, n := range after {
		for _, row := range rows {
			all[n] = append(all[n], row[i])
		}
	}
	return all
}

func same(t testing.TB) func(*drawn) kettle.Input {
	return func(*drawn) kettle.Input { return frames(t) }
}

// The bars are those of the specification of learning; its figures are of a prototype.
func TestTheBandHoldsFourInFiveAndNarrows(t *testing.T) {
	all := learning(t, []int{0, 1, 3, 5, 10}, func(*drawn) {}, same(t))
	before := middle(all[0], widthOf)
	shows(t, all, before)
	for _, row := range []struct {
		notes int
		most  float64 // of the width without notes
	}{{0, 1}, {1, 0.60}, {3, 0.47}, {5, 0.47}, {10, 0.38}} {
		coverage, width := share(all[row.notes], inside), middle(all[row.notes], widthOf)/before
		t.Logf("%2d notes: %.1f %% inside, %.3f as wide, median error %.3f", row.notes, 100*coverage, width,
			middle(all[row.notes], offBy))
		assert.GreaterOrEqual(t, coverage, 0.76, "%d notes", row.notes)
		assert.LessOrEqual(t, coverage, 0.87, "%d notes", row.notes)
		assert.LessOrEqual(t, width, row.most, "%d notes", row.notes)
	}
}

var update = flag.Bool("update", false, "rewrite the picture of README.md")

// shows that the picture of README.md is these forecasts, drawn afresh by
// go test ./stock/history -update.
func shows(t *testing.T, all map[int][]forecast, before float64) {
	const path, begin, end = "../../README.md", "```text notes\n", "```\n"
	readme, err := os.ReadFile(path)
	require.NoError(t, err)
	head, rest, found := strings.Cut(string(readme), begin)
	require.True(t, found, "README.md has no block %q", begin)
	shown, tail, found := strings.Cut(rest, end)
	require.True(t, found)
	var b strings.Builder
	b.WriteString("notes  inside  band, against the one without notes\n")
	for _, n := range []int{0, 1, 3, 5, 10} {
		const columns = 50.0
		width := middle(all[n], widthOf) / before
		bar := int(math.Round(width * columns))
		line := []byte(strings.Repeat("-", bar))
		line[bar/2] = 'o'
		fmt.Fprintf(&b, "%5d   %.0f %%   %s%s  %.0f %%\n", n, 100*share(all[n], inside),
			strings.Repeat(" ", (int(columns)-bar)/2), line, 100*width)
	}
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(head+begin+b.String()+end+tail), 0o644))
		return
	}
	assert.Equal(t, b.String(), shown, "run go test ./stock/history -update and read the difference")
}

// A limit that README names: a kitchen far outside the first guess is not known by one
// note.
func TestOneNoteFarOutsideTheFirstGuess(t *testing.T) {
	for _, row := range []struct {
		why   string
		place int
		score float64
	}{{"a lively pot", ofStillness, 2.5}, {"a very still pot", ofStillness, -2.5}, {"bones that hold much", ofHeld, 2.5}} {
		all := learning(t, []int{1, 5}, func(c *drawn) {
			for range ofKitchen {
				c.x = append(c.x, c.NormFloat64())
			}
			c.x[row.place] = row.score
		}, same(t))
		t.Logf("%s: %.0f %% inside after one note, %.0f %% after five", row.why, 100*share(all[1], inside),
			100*share(all[5], inside))
		assert.GreaterOrEqual(t, share(all[1], inside), 0.50, row.why)
		assert.GreaterOrEqual(t, share(all[5], inside), 0.65, row.why)
	}
}

func TestOtherTimesAndWeightsTeachToo(t *testing.T) {
	all := learning(t, []int{0, 5}, func(*drawn) {}, func(c *drawn) kettle.Input { return c.varied(t) })
	t.Logf("median error %.3f, after 5 notes %.3f", middle(all[0], offBy), middle(all[5], offBy))
	assert.LessOrEqual(t, middle(all[5], offBy), 0.036)
}

func TestWrongNoise(t *testing.T) {
	for _, row := range []struct {
		why    string
		change func(*drawn)
		least  map[int]float64
	}{
		{"measuring is twice as rough", func(c *drawn) { c.measuring = 0.08 }, map[int]float64{1: 0.62, 5: 0.72, 10: 0.78}},
		{"runs differ more", func(c *drawn) { c.stillDiffer, c.differ = 0.30, 0.20 }, map[int]float64{1: 0.68, 5: 0.68, 10: 0.68}},
	} {
		all := learning(t, []int{1, 5, 10}, row.change, same(t))
		for _, n := range []int{1, 5, 10} {
			t.Logf("%s, %d notes: %.1f %%", row.why, n, 100*share(all[n], inside))
			assert.GreaterOrEqual(t, share(all[n], inside), row.least[n], "%s, %d notes", row.why, n)
		}
	}
}

func TestItCarriesOverToOtherRuns(t *testing.T) {
	beef, err := kettle.For("beef")
	require.NoError(t, err)
	others := []struct {
		why    string
		change func(*kettle.Input)
	}{
		{"45 min", func(in *kettle.Input) { in.Simmer = 45 * time.Minute }},
		{"12 h", func(in *kettle.Input) { in.Simmer = 12 * time.Hour }},
		{"lid off", func(in *kettle.Input) { in.Lid = kettle.LidOff }},
		{"lid on", func(in *kettle.Input) { in.Lid = kettle.LidOn }},
		{"another pot", func(in *kettle.Input) { in.PotName = "roaster" }},
		{"beef", func(in *kettle.Input) { in.Bones[0].Kind, in.Bones[0].Solids = "beef", beef }},
	}
	rows := each(func(seed uint64) []forecast {
		c := newCook(seed)
		var runs []Run
		for range 5 {
			runs = append(runs, c.noted(t, frames(t), false, 1))
		}
		l := Learn(runs)
		var row []forecast
		for _, other := range others {
			row = append(row, c.next(t, l, frames(t, other.change)))
		}
		return row
	})
	for i, other := range others {
		coverage := share(rows, func(row []forecast) bool { return row[i].inside })
		t.Logf("%s: %.1f %%", other.why, 100*coverage)
		assert.GreaterOrEqual(t, coverage, 0.76, other.why)
		assert.LessOrEqual(t, coverage, 0.88, other.why)
	}
}

func TestABadNoteIsDoubtedAndWeighsLittle(t *testing.T) {
	type told struct {
		doubted       bool
		good, wrongly int
		forecast
	}
	for _, row := range []struct {
		times    float64
		from     int
		doubted  float64
		coverage float64
	}{{2, 1, 0.98, 0.74}, {10, 1, 0.98, 0.74}, {0.7, 3, 0.92, 0.74}} {
		all := each(func(seed uint64) told {
			c := newCook(seed)
			n := row.from + c.IntN(11-row.from)
			bad := c.IntN(n)
			var runs []Run
			for i := range n {
				times := 1.0
				if i == bad {
					times = row.times
				}
				runs = append(runs, c.noted(t, frames(t), false, times))
			}
			l := Learn(runs)
			result := told{doubted: l.Told[bad].InDoubt(), good: n - 1, forecast: c.next(t, l, frames(t))}
			for i, one := range l.Told {
				if i != bad && one.InDoubt() {
					result.wrongly++
				}
			}
			return result
		})
		doubted := share(all, func(o told) bool { return o.doubted })
		several := slices.DeleteFunc(slices.Clone(all), func(o told) bool { return o.good < 2 })
		coverage := share(several, func(o told) bool { return o.inside })
		good, wrongly := 0, 0
		for _, o := range all {
			good, wrongly = good+o.good, wrongly+o.wrongly
		}
		t.Logf("one of %d to 10 times %.1f: %.1f %% in doubt, of the good %.2f %%; %.1f %% inside", row.from, row.times, 100*doubted,
			100*float64(wrongly)/float64(good), 100*coverage)
		assert.GreaterOrEqual(t, doubted, row.doubted, "times %.1f", row.times)
		assert.LessOrEqual(t, float64(wrongly)/float64(good), 0.01, "times %.1f", row.times)
		assert.GreaterOrEqual(t, coverage, row.coverage, "times %.1f", row.times)
	}
}

func TestEnoughOfTheSampleCounts(t *testing.T) {
	for _, row := range []struct {
		weighed bool
		least   float64
	}{{false, 120}, {true, 60}} {
		all := each(func(seed uint64) float64 {
			c := newCook(seed)
			var runs []Run
			for range 1 + c.IntN(10) {
				runs = append(runs, c.noted(t, frames(t), row.weighed, 1))
			}
			return Learn(runs).Effective
		})
		slices.Sort(all)
		t.Logf("weighed %t: worst twentieth %.0f, worst %.0f", row.weighed, all[cooks/20], all[0])
		assert.GreaterOrEqual(t, all[cooks/20], row.least, "weighed %t", row.weighed)
	}
}

func BenchmarkTenNotes(b *testing.B) {
	c := newCook(1)
	var runs []Run
	for range 10 {
		runs = append(runs, c.noted(b, frames(b), false, 1))
	}
	for b.Loop() {
		Learn(runs)
	}
}

func BenchmarkTenThousandRuns(b *testing.B) {
	c := newCook(1)
	var runs []Run
	for range 10_000 {
		runs = append(runs, c.noted(b, c.varied(b), false, 1))
	}
	for b.Loop() {
		Learn(runs)
	}
}

// A batch with what ten notes taught against one without: the goal is within 1.5 times.
func BenchmarkPlan(b *testing.B) {
	c := newCook(1)
	without := settled(b)
	var runs []Run
	for range 10 {
		runs = append(runs, c.noted(b, without.Pot, false, 1))
	}
	learned := Learn(runs).Sharpen(without)
	require.NotNil(b, learned.Pot.Lessons)
	for _, row := range []struct {
		name  string
		setup settle.Setup
	}{{"without", without}, {"learned", learned}} {
		b.Run(row.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := stock.Plan(row.setup); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A slow coil and a strong ring find themselves after two runs; no phase is ever shorter
// than published.
func TestTheCannerFindsItsPace(t *testing.T) {
	planned := canner.Published(true, 25*time.Minute)
	run := func(times float64, loads int) Run {
		r := Run{}
		at := time.Date(2026, 11, 28, 8, 0, 0, 0, time.UTC)
		for n := 1; n <= loads; n++ {
			r.Loads = append(r.Loads, planned)
			for _, e := range []struct {
				what record.What
				span time.Duration
			}{{record.Began, 0}, {record.Steam, planned.HeatUp.Likely}, {record.Vented, planned.Vent.Likely},
				{record.AtPressure, planned.Pressurise.Likely}, {record.HeatOff, planned.Process.Likely}, {record.Zero, planned.Depressurise.Likely}} {
				if e.what != record.Vented && e.what != record.HeatOff {
					e.span = time.Duration(times * float64(e.span))
				}
				at = at.Add(e.span)
				r.Entries = append(r.Entries, record.Entry{What: e.what, Load: n, At: at})
			}
		}
		return r
	}
	load := canner.Load{
		Jars:   []canner.Jars{{Count: 7, Broth: 880 * quantity.Gram, Glass: 450 * quantity.Gram}},
		Vessel: canner.Vessel{Width: 12.25 * quantity.Inch, Height: 11.5 * quantity.Inch}, Pressure: 15 * quantity.PSI, Weighted: true,
		Process: 25 * time.Minute, QuartTime: true, Burner: canner.Burner{Share: quantity.Spread(0.4, 0.5, 0.8)},
	}
	before, err := canner.Cycle(load)
	require.NoError(t, err)
	for _, row := range []struct {
		why   string
		times float64
	}{{"a slow coil", 2.2}, {"as planned", 1}, {"a strong ring", 0.4}} {
		l := Learn([]Run{run(row.times, 2), run(row.times, 1)})
		load.Pace = l.Pace(load)
		// Nothing was learned of this stove: that of the runs is another.
		assert.Zero(t, load.Pace)
		load.Pace = l.Pace(canner.Load{})
		assert.InEpsilon(t, row.times, load.Pace.HeatUp.Likely, 0.05, row.why)
		after, err := canner.Cycle(load)
		require.NoError(t, err)
		likely, err := canner.LikelyTime(load)
		require.NoError(t, err)
		assert.InDelta(t, after.Total().Likely.Minutes(), likely.Minutes(), 0.1, row.why)
		for name, pair := range map[string][3]quantity.Band[time.Duration]{
			"heat up": {after.HeatUp, before.HeatUp, planned.HeatUp}, "pressurise": {after.Pressurise, before.Pressurise, planned.Pressurise},
			"depressurise": {after.Depressurise, before.Depressurise, planned.Depressurise},
		} {
			got, was, published := pair[0], pair[1], pair[2]
			want := max(row.times*was.Likely.Minutes(), published.Likely.Minutes())
			assert.InEpsilon(t, want, got.Likely.Minutes(), 0.06, "%s, %s", row.why, name)
			assert.GreaterOrEqual(t, got.Low, published.Low, "%s, %s", row.why, name)
			assert.GreaterOrEqual(t, got.Likely, published.Likely, "%s, %s", row.why, name)
			assert.GreaterOrEqual(t, got.High, published.High, "%s, %s", row.why, name)
		}
		assert.Equal(t, before.Vent, after.Vent)
		assert.Equal(t, before.Process, after.Process)
		assert.Equal(t, before.Wait, after.Wait)
	}
	// One load that somebody forgot to note to the end weighs little.
	odd := Learn([]Run{run(1, 2), run(1, 2), run(6, 1)}).Pace(canner.Load{})
	assert.InDelta(t, 1, odd.HeatUp.Likely, 0.1)
}

// A note that no slip of a unit explains says nothing: what the others teach stands, though
// a millilitre was noted, or a gram.
func TestANoteBeyondAllReasonTeachesNothing(t *testing.T) {
	none := record.Entry{What: record.ToppedUp}
	strained := func(v quantity.Volume) record.Entry {
		return record.Entry{What: record.Strained, Volume: v * quantity.Litre, Cold: true}
	}
	run := func(entries ...record.Entry) Run {
		return Run{Setup: settle.Setup{Pot: frames(t)}, Entries: append(entries, none)}
	}
	good := []Run{run(strained(8.6)), run(strained(9.2))}
	for _, row := range []struct {
		why string
		bad Run
	}{
		{"a millilitre strained", run(strained(0.001))},
		{"a gram of drained bones", run(strained(8.9), record.Entry{What: record.Drained, Weight: quantity.Gram})},
	} {
		without, err := Learn(good).Habits(frames(t))
		require.NoError(t, err)
		l := Learn(append(slices.Clone(good), row.bad))
		with, err := l.Habits(frames(t))
		require.NoError(t, err)
		assert.True(t, l.Told[2].InDoubt() != l.Told[2].DrainedInDoubt(), "%s: %+v", row.why, l.Told[2])
		assert.Equal(t, len(row.bad.Entries) == 3, l.Told[2].DrainedInDoubt(), row.why)
		t.Logf("%s: %.2f l/h, without %.2f; holds %.3f, without %.3f", row.why, with.BoilOff.Now.Likely.LitresPerHour(),
			without.BoilOff.Now.Likely.LitresPerHour(), with.Held.Now.Likely, without.Held.Now.Likely)
		// A tenth: a third good note moves them as much.
		assert.InEpsilon(t, float64(without.BoilOff.Now.Likely), float64(with.BoilOff.Now.Likely), 0.1, row.why)
		assert.InEpsilon(t, without.Held.Now.Likely, with.Held.Now.Likely, 0.1, row.why)
	}
}

// Drained bones weighed in kilograms and noted as pounds are doubted, and nothing else is.
func TestABadWeightIsDoubted(t *testing.T) {
	all := each(func(seed uint64) (told [2]bool) {
		c := newCook(seed)
		var runs []Run
		n := 3 + c.IntN(3)
		for range n {
			runs = append(runs, c.noted(t, frames(t), true, 1))
		}
		bad := c.IntN(n)
		entries := runs[bad].Entries
		entries[len(entries)-1].Weight *= quantity.Mass(1 / 2.2046)
		for i, one := range Learn(runs).Told {
			assert.Positive(t, one.DrainedExpected)
			told[0] = told[0] || i == bad && one.DrainedInDoubt()
			told[1] = told[1] || one.InDoubt() || i != bad && one.DrainedInDoubt()
		}
		return told
	})
	doubted := share(all, func(told [2]bool) bool { return told[0] })
	wrongly := share(all, func(told [2]bool) bool { return told[1] })
	t.Logf("%.1f %% doubted; in %.1f %% something else", 100*doubted, 100*wrongly)
	assert.GreaterOrEqual(t, doubted, 0.98)
	assert.LessOrEqual(t, wrongly, 0.05) // of three to five runs, two things each, 1 % of which may be
}
