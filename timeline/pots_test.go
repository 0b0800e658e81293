package timeline_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// several is a run of as many pots as there are heats, each 1 h to heat, 1 h at the
// simmer, half an hour to strain and half an hour to chill.
func several(heats ...timeline.Resource) timeline.Run {
	run := timeline.Run{ID: "several", Batch: small()}
	run.Batch.HeatUp, run.Batch.Simmer = quantity.Exactly(time.Hour), time.Hour
	for k, heat := range heats {
		pot := run.Batch
		pot.Pot = string(rune('a' + k))
		run.Batch.Pots = append(run.Batch.Pots, pot)
		run.Pans = append(run.Pans, timeline.Pan{Pot: pot.Pot, Heat: heat})
	}
	return run
}

// lit is how long after the first each pot is lit.
func lit(t *testing.T, run timeline.Run, burners int) (after []time.Duration) {
	t.Helper()
	run.When.Start = time.Date(2026, 11, 28, 8, 0, 0, 0, time.UTC)
	plan, err := alone(run, timeline.Calendar{Location: time.UTC, Awake: timeline.Hours{Until: 24 * time.Hour}, Burners: burners})
	require.NoError(t, err)
	first := step(t, plan, "heat-up").Start
	for k := range run.Pans[1:] {
		after = append(after, step(t, plan, nthPot("heat-up", k+1)).Start.Sub(first))
	}
	return after
}

func TestPotsAreLitInTurn(t *testing.T) {
	stove, own, oven := timeline.Stove, timeline.OwnHeat, timeline.Oven
	hours := func(h ...float64) (spans []time.Duration) {
		for _, x := range h {
			spans = append(spans, time.Duration(x*float64(time.Hour)))
		}
		return spans
	}
	assert.Equal(t, hours(1, 2), lit(t, several(stove, stove, stove), 2), "half an hour to strain, half an hour to chill")
	assert.Equal(t, hours(2, 4), lit(t, several(stove, stove, stove), 1), "and one burner: not before the one before is off it")
	assert.Equal(t, hours(1, 2), lit(t, several(stove, own, own), 1), "what has its own heat takes none")
	assert.Equal(t, hours(2), lit(t, several(oven, oven), 3), "one oven")
	assert.Equal(t, hours(1, 2), lit(t, several(stove, oven, stove), 1))

	slow := several(own, own)
	slow.Batch.Pots[1].HeatUp = quantity.Exactly(3 * time.Hour)
	assert.Equal(t, hours(0), lit(t, slow, 2), "a slow one is lit at once")
	slow.Batch.Pots[0].Chill.Watched, slow.Batch.Pots[0].Chill.HandsOn = true, quantity.Exactly(4*time.Hour)
	assert.Equal(t, hours(0), lit(t, slow, 2))
	slow.Batch.Pots[1].HeatUp = quantity.Exactly(time.Hour)
	assert.Equal(t, hours(0.5), lit(t, slow, 2), "a chill that is only looked after leaves the hands free")
}

// Pots that are on at once take as many places of the stove: another run's pot goes round
// them.
func TestPotsOnAtOnceTakeTheirPlaces(t *testing.T) {
	both, other := several(timeline.Stove, timeline.Stove), timeline.Run{ID: "other", Pot: "z", Batch: small()}
	start := time.Date(2026, 11, 28, 8, 0, 0, 0, time.UTC)
	both.When.Start = start
	other.When.From, other.When.Until = start, start.AddDate(0, 0, 3)
	begins := func(burners int) time.Time {
		plans, err := timeline.ScheduleAll([]timeline.Run{both, other}, timeline.Calendar{Location: time.UTC,
			Awake: timeline.Hours{Until: 24 * time.Hour}, Burners: burners, Cooks: 3})
		require.NoError(t, err)
		return step(t, plans[1], "heat-up").Start
	}
	second := start.Add(45*time.Minute + 15*time.Minute + 3*time.Hour) // its simmer is over: 45 min to get ready, lit 1 h later
	assert.False(t, begins(2).Before(second.Add(-15*time.Minute)), "two burners, two pots")
	assert.True(t, begins(3).Before(second))
}

func TestTheBrothIsStrainedIntoAPotOfTheKitchen(t *testing.T) {
	start := time.Date(2026, 11, 28, 8, 0, 0, 0, time.UTC)
	roaster := timeline.Run{ID: "a", Pot: "roaster", Into: "Tub", Heat: timeline.OwnHeat, Batch: small(), When: timeline.When{Start: start}}
	calendar := timeline.Calendar{Location: time.UTC, Awake: timeline.Hours{Until: 24 * time.Hour}, Cooks: 3}
	begins := func(pot string) time.Time {
		other := timeline.Run{ID: "b", Pot: pot, Batch: small(), When: timeline.When{From: start, Until: start.AddDate(0, 0, 5)}}
		plans, err := timeline.ScheduleAll([]timeline.Run{roaster, other}, calendar)
		require.NoError(t, err)
		return plans[1].Begins()
	}
	plan, err := alone(roaster, calendar)
	require.NoError(t, err)
	skimmed := step(t, plan, "skim").End
	assert.Equal(t, start, begins("third"))
	assert.False(t, begins("tub").Before(skimmed), "the broth is in it until it is skimmed")
	free := begins("roaster")
	assert.True(t, free.Before(skimmed), "it is free once it is strained")
	assert.False(t, free.Before(step(t, plan, "strain").End))
}

// A run of several pots goes on by its notes: what is noted of one pot moves that pot and
// those after it.
func TestNotesOfSeveralPots(t *testing.T) {
	run := several(timeline.Stove, timeline.OwnHeat)
	run.When.Start = time.Date(2026, 11, 28, 8, 0, 0, 0, time.UTC)
	calendar := timeline.Calendar{Location: time.UTC, Awake: timeline.Hours{Until: 24 * time.Hour}}
	before, err := alone(run, calendar)
	require.NoError(t, err)
	run.Planned = run.Batch
	late := step(t, before, "simmer-2").Start.Add(40 * time.Minute)
	run.Record = []record.Entry{{At: late, What: record.Began, Step: "simmer-2"}}
	after, err := alone(run, calendar)
	require.NoError(t, err)
	assert.Equal(t, late, step(t, after, "simmer-2").Start)
	assert.Equal(t, step(t, before, "chill").Start, step(t, after, "chill").Start, "the first is not touched")
	assert.Equal(t, late.Add(time.Hour), step(t, after, "strain-2").Start)

	// What was strained is of both: the last straining is over by then, the first by its plan.
	strained := step(t, before, "strain-2").End.Add(10 * time.Minute)
	run.Record = []record.Entry{{At: strained, What: record.Strained, Volume: 12 * quantity.Quart, Cold: true}}
	after, err = alone(run, calendar)
	require.NoError(t, err)
	assert.Equal(t, strained, step(t, after, "strain-2").End)
	assert.Equal(t, step(t, before, "strain").End, step(t, after, "strain").End)
}

// What one pot gave is not what the run gave: a volume is noted once the last pot is
// strained. Taken for all of it, the second pot was forgotten, and the first one's 2 h and
// 6 h (FDA Food Code 3-501.14) counted from the wrong straining.
func TestTheSumOfPotsIsNotedAfterTheLast(t *testing.T) {
	run := several(timeline.Stove, timeline.OwnHeat)
	run.When.Start = time.Date(2026, 11, 28, 8, 0, 0, 0, time.UTC)
	calendar := timeline.Calendar{Location: time.UTC, Awake: timeline.Hours{Until: 24 * time.Hour}}
	plan, err := alone(run, calendar)
	require.NoError(t, err)
	first, last := step(t, plan, "strain").End, step(t, plan, "strain-2")
	of := func(what record.What, at time.Time) record.Entry {
		return record.Entry{At: at, What: what, Volume: run.Batch.Yield.Strained.Likely, Weight: quantity.Pound, Cold: true}
	}
	for _, what := range []record.What{record.Strained, record.Drained, record.Ready} {
		refusal, ok := plan.May(run.Batch, nil, of(what, first))
		assert.False(t, ok)
		assert.Equal(t, timeline.OfAllPots, refusal.Code)
		assert.Contains(t, refusal.Facts, "strain-2")
		_, ok = plan.May(run.Batch, nil, of(what, last.End))
		assert.True(t, ok)
	}
	asked := func(at time.Time) []record.What { return plan.Measures(run.Batch, plan.Turn(run.Batch, at), at) }
	assert.NotContains(t, asked(first.Add(-time.Minute)), record.Strained)
	assert.Contains(t, asked(last.End.Add(-time.Minute)), record.Strained)

	run.Planned, run.Record = run.Batch, []record.Entry{of(record.Strained, last.End.Add(time.Minute))}
	noted, err := alone(run, calendar)
	require.NoError(t, err)
	at := last.End.Add(10 * time.Minute)
	chills := noted.Chillings(at)
	require.Len(t, chills, 2)
	for i, id := range []string{"chill", "chill-2"} {
		from := step(t, noted, id).Start
		assert.Equal(t, from.Add(2*time.Hour), chills[i].By70F)
		assert.Equal(t, from.Add(6*time.Hour), chills[i].By41F)
	}
	assert.Equal(t, first.Add(2*time.Hour), chills[0].By70F, "the first pot's limits do not wait for the last")
	for _, c := range noted.Checks {
		if c.Asks == timeline.Below70F {
			assert.Equal(t, chills[c.Pot-1].By70F, c.At)
		}
	}
	skim := step(t, noted, "skim").Start
	run.Record = append(run.Record, record.Entry{At: skim, What: record.Began, Step: "skim"})
	noted, err = alone(run, calendar)
	require.NoError(t, err)
	assert.Empty(t, noted.Chillings(skim.Add(time.Minute)), "it is out of the fridge")
}

// Each pot has limits of its own, under IDs that are known again.
func TestEveryPotHasItsLimits(t *testing.T) {
	run := several(timeline.Stove, timeline.OwnHeat, timeline.OwnHeat)
	run.When.Start = time.Date(2026, 11, 28, 8, 0, 0, 0, time.UTC)
	plan, err := alone(run, timeline.Calendar{Location: time.UTC, Awake: timeline.Hours{Until: 24 * time.Hour}})
	require.NoError(t, err)
	ids := timeline.StepIDs()
	found := map[string]timeline.Check{}
	for _, c := range plan.Checks {
		found[c.ID] = c
		assert.Contains(t, ids, c.ID)
	}
	for _, s := range plan.Steps {
		assert.Contains(t, ids, s.ID)
	}
	for k := range 3 {
		cooling := step(t, plan, nthPot("chill", k))
		// FDA Food Code 3-501.14(A): 135 to 70 °F within 2 h, to 41 °F within 6 h.
		assert.Equal(t, cooling.Start.Add(2*time.Hour), found[nthPot("limit-70", k)].At)
		assert.Equal(t, cooling.Start.Add(6*time.Hour), found[nthPot("limit-41", k)].At)
		assert.Equal(t, k+1, found[nthPot("limit-41", k)].Pot)
	}
}
