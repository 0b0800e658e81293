package history

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// settled is a run as files give it.
func settled(t testing.TB, change ...func(*runfile.Run)) settle.Setup {
	t.Helper()
	altitude, volume, bones, simmer, water := quantity.Length(0), 22*quantity.Quart, 9*quantity.Pound, 4*time.Hour, 14*quantity.Quart
	run := runfile.Run{Kind: "turkey-frames", Bones: &bones, Simmer: &simmer, Water: &water, Lid: "ajar", TopUp: "never"}
	for _, f := range change {
		f(&run)
	}
	s, err := settle.Run(runfile.Kitchen{Altitude: &altitude, Pots: []runfile.Pot{{Name: "big pot", Volume: &volume}}}, run)
	require.NoError(t, err)
	return s
}

func TestWhatARunHasToSay(t *testing.T) {
	strained := record.Entry{What: record.Strained, Volume: 11 * quantity.Quart}
	unsaid := record.Entry{What: record.Strained, Volume: 11 * quantity.Quart, HeatUnsaid: true}
	ready := record.Entry{What: record.Ready, Volume: 10 * quantity.Quart, Cold: true}
	none := record.Entry{What: record.ToppedUp}
	for _, row := range []struct {
		why     string
		change  func(*runfile.Run)
		entries []record.Entry
		missing []string
	}{
		{"all of it", func(*runfile.Run) {}, []record.Entry{strained}, nil},
		{"what is ready will do", func(*runfile.Run) {}, []record.Entry{ready}, nil},
		{"nothing measured", func(*runfile.Run) {}, nil, []string{NeedsVolume}},
		{"hot or cold unsaid", func(*runfile.Run) {}, []record.Entry{unsaid}, []string{NeedsHotOrCold}},
		{"topping up unsaid", func(r *runfile.Run) { r.TopUp = "" }, []record.Entry{strained}, []string{NeedsTopUp}},
		{"none noted", func(r *runfile.Run) { r.TopUp = "" }, []record.Entry{strained, none}, nil},
		{"the level kept up, nobody knows with how much", func(r *runfile.Run) { r.TopUp = "level" }, []record.Entry{strained}, []string{NeedsTopUp}},
		{"lid and simmer assumed", func(r *runfile.Run) { r.Lid, r.Simmer = "", nil }, []record.Entry{strained}, []string{NeedsLid, NeedsSimmer}},
	} {
		l := Learn([]Run{{Setup: settled(t, row.change), Entries: row.entries}})
		assert.Equal(t, row.missing, l.Told[0].Missing, row.why)
		notes, _ := l.Notes(kettle.Input{})
		assert.Equal(t, len(row.missing) == 0, notes == 1, row.why)
		assert.Equal(t, len(row.missing) == 0, l.Told[0].Expected > 0, row.why)
	}
}

func TestTheSimmerIsTheOneThatWas(t *testing.T) {
	at := time.Date(2026, 11, 28, 10, 0, 0, 0, time.UTC)
	late := record.Entry{What: record.Late, Step: "simmer", Span: 20 * time.Minute, At: at}
	began := record.Entry{What: record.Began, Step: "simmer", At: at}
	done := record.Entry{What: record.Done, Step: "simmer", At: at.Add(5 * time.Hour)}
	for _, row := range []struct {
		entries []record.Entry
		want    time.Duration
	}{{nil, 4 * time.Hour}, {[]record.Entry{late}, 4*time.Hour + 20*time.Minute}, {[]record.Entry{began, late, done}, 5 * time.Hour}} {
		span, said := simmered(Run{Setup: settled(t), Entries: row.entries})
		assert.Equal(t, row.want, span)
		assert.True(t, said)
	}
}

// Hot broth takes more room: 11 qt hot are 11/1.043 cold (density of water at 20 and at
// 95 to 100 °C, any steam table).
func TestHotAndColdAreOneBroth(t *testing.T) {
	hot, _ := noteOf(Run{Setup: settled(t), Entries: []record.Entry{{What: record.Strained, Volume: 11 * quantity.Quart}}})
	assert.InEpsilon(t, 11/1.04, hot.volume.Quarts(), 0.005)
}

func TestWhatIsLearnedIsTheSameEachTimeAndOfThisPot(t *testing.T) {
	c := newCook(3)
	var runs []Run
	for range 4 {
		runs = append(runs, c.noted(t, frames(t), true, 1))
	}
	first := Learn(runs)
	assert.Equal(t, first.points, Learn(runs).points)
	for _, row := range []struct {
		in    kettle.Input
		alike int
	}{
		{frames(t), 4}, {frames(t, func(in *kettle.Input) { in.Lid = kettle.LidOn }), 0},
		{frames(t, func(in *kettle.Input) { in.PotName = "roaster" }), 0},
	} {
		all, alike := first.Notes(row.in)
		assert.Equal(t, 4, all)
		assert.Equal(t, row.alike, alike)
		e, err := kettle.Balance(first.sharpened(row.in))
		require.NoError(t, err)
		assert.Equal(t, row.alike, e.Rests.Alike)
		assert.Positive(t, e.Rests.Width)
		assert.True(t, row.alike == 0 || e.Rests.Width < 1, "%.2f", e.Rests.Width)
	}
	habits, err := first.Habits(frames(t))
	require.NoError(t, err)
	assert.True(t, habits.BoilOff.Told)
	assert.True(t, habits.Held.Told)
	assert.Less(t, habits.Held.Now.High-habits.Held.Now.Low, habits.Held.Before.High-habits.Held.Before.Low)
	assert.NotEmpty(t, habits.Next)
}

// A pot that loses little by its notes is guarded as before: what they teach never takes
// a danger away.
func TestNotesTakeNoDangerAway(t *testing.T) {
	guarded := 0
	for seed := range uint64(40) {
		c := newCook(seed)
		var runs []Run
		for range 5 {
			runs = append(runs, c.noted(t, frames(t), false, 1))
		}
		l := Learn(runs)
		for _, hours := range []time.Duration{4, 8, 12, 16, 24, 36} {
			for _, lid := range []kettle.Lid{kettle.LidOff, kettle.LidAjar, kettle.LidOn} {
				in := frames(t, func(in *kettle.Input) { in.Simmer, in.Lid = hours*time.Hour, lid })
				before, err := kettle.Balance(in)
				require.NoError(t, err)
				after, err := kettle.Balance(l.sharpened(in))
				require.NoError(t, err)
				assert.True(t, after.MayUncover || !before.MayUncover)
				assert.True(t, after.MayBoilDry || !before.MayBoilDry)
				assert.LessOrEqual(t, after.Least, before.Least)
				if before.MayUncover {
					guarded++
				}
			}
		}
	}
	assert.Positive(t, guarded)
}
