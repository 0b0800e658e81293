package timeline

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brothrun/stock"
)

// dense is a house with many busy times, whose gaps and lengths are drawn.
func dense(random *rand.Rand, n int) *house {
	from := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)
	var busy []Booking
	for at := from; len(busy) < n; {
		at = at.Add(time.Duration(1+random.IntN(1<<random.IntN(8))) * time.Minute)
		until := at.Add(time.Duration(1+random.IntN(90)) * time.Minute)
		busy = append(busy, Booking{From: at, To: until})
		at = until
	}
	return newHouse(Calendar{Location: time.UTC, Awake: Hours{0, day}, Busy: busy}, from, from.Add(180*day))
}

// Where busy times are many, those with no room between them are passed over as one.
// What is found is what going through them one by one finds.
func TestChainsOfBusyTimesHideNoPlace(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 18))
	placed := 0
	for range 300 {
		h := dense(random, manyBusy+random.IntN(500))
		var withChains []ask
		for range 1 + random.IntN(4) {
			from := time.Duration(random.IntN(600)) * time.Minute
			until := from + time.Duration(random.IntN(200))*time.Minute + time.Duration(random.IntN(60))*time.Second
			withChains = append(withChains, ask{kind: Away, task: &task{}, from: from, until: until, spans: h.away, chains: h.chainsFor(until - from)})
		}
		oneByOne := slices.Clone(withChains)
		for i := range oneByOne {
			oneByOne[i].chains = nil
		}
		start := h.from.Add(time.Duration(random.IntN(60*24*60)) * time.Minute)
		for _, way := range []struct {
			find  func([]ask, time.Time, time.Time, *obstacle) (time.Time, bool)
			limit time.Time
		}{{next, h.until}, {previous, h.from.Add(-day)}} {
			var why, whyOne obstacle
			got, ok := way.find(withChains, start, way.limit, &why)
			want, wantOK := way.find(oneByOne, start, way.limit, &whyOne)
			require.Equal(t, wantOK, ok)
			require.Equal(t, want, got)
			require.Equal(t, whyOne.span, why.span)
			if ok {
				placed++
			}
		}
	}
	require.Greater(t, placed, 300)
}

// A run that fits nowhere among 20,000 busy minutes: what chains are for.
func BenchmarkManyBusyMinutes(b *testing.B) {
	from := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)
	var busy []Booking
	for i := range 20_000 {
		at := from.Add(time.Duration(2*i) * time.Minute)
		busy = append(busy, Booking{From: at, To: at.Add(time.Minute)})
	}
	batch := stock.Batch{Simmer: time.Hour}
	run := Run{Batch: batch, ID: "run", When: When{From: from, Until: from.Add(60 * day)}}
	for b.Loop() {
		if _, err := ScheduleAll([]Run{run}, Calendar{Location: time.UTC, Busy: busy}); err != nil {
			b.Fatal(err)
		}
	}
}
