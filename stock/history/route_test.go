package history

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"brothrun/stock/kettle"
)

// A second route: a million draws from the first guess itself, each weighed by how well
// it explains the notes. It shares the pot and how notes are spread, and nothing of the
// mode, the points through it or the steps to either.
func TestAMillionPlainDrawsAgree(t *testing.T) {
	if testing.Short() {
		t.Skip("slow")
	}
	const plain = 1_000_000
	for _, row := range []struct {
		why     string
		weighed bool
		notes   int
		times   float64 // of the last note
	}{
		{"one note", false, 1, 1}, {"three, weighed", true, 3, 1}, {"four, one of them doubled", false, 4, 2},
	} {
		c := newCook(77)
		var runs []Run
		for i := range row.notes {
			times := 1.0
			if i == row.notes-1 {
				times = row.times
			}
			runs = append(runs, c.noted(t, frames(t), row.weighed, times))
		}
		l := Learn(runs)
		f := fit{size: l.register.size}
		for _, run := range runs {
			n, missing := noteOf(run)
			assert.Empty(t, missing)
			n.at = l.register.places(n.in, false)
			f.notes = append(f.notes, n)
		}
		f.find() // for what differs from run to run
		tell := f.logLikelihood()
		random := rand.New(rand.NewPCG(5, 6))
		logs, still, held := make([]float64, plain), make([]float64, plain), make([]float64, plain)
		x, doubt := make([]float64, f.size), make([]float64, len(f.all))
		most := math.Inf(-1)
		for i := range plain {
			for d := range x {
				x[d] = random.NormFloat64()
			}
			logs[i] = tell(x, doubt)
			s := scores(x, f.notes[0].at, kettle.Scores{}, 0, 0)
			still[i], held[i] = f.notes[0].model.LogQuiet(&s), s[kettle.OfHeld]
			most = max(most, logs[i])
		}
		for i := range logs {
			logs[i] = math.Exp(logs[i] - most)
		}
		for name, values := range map[string][]float64{"quiet": still, "held": held} {
			var got []float64
			for _, x := range l.points {
				s := scores(x, f.notes[0].at, kettle.Scores{}, 0, 0)
				if name == "quiet" {
					got = append(got, f.notes[0].model.LogQuiet(&s))
				} else {
					got = append(got, s[kettle.OfHeld])
				}
			}
			slices.Sort(got)
			spread := weightedAt(values, logs, 0.9) - weightedAt(values, logs, 0.1)
			for _, share := range []float64{0.1, 0.5, 0.9} {
				want := weightedAt(values, logs, share)
				at := got[int(share*float64(len(got)))]
				t.Logf("%s, %s at %.1f: %.3f, by plain draws %.3f", row.why, name, share, at, want)
				// Of some 200 points that count a tenth lies within 0.06 of the spread.
				assert.InDelta(t, want, at, 0.1*spread, "%s, %s at %.1f", row.why, name, share)
			}
		}
	}
}

// weightedAt is the value below which a share of the weight lies.
func weightedAt(values, weights []float64, share float64) float64 {
	order := make([]int, len(values))
	total := 0.0
	for i := range order {
		order[i] = i
		total += weights[i]
	}
	slices.SortFunc(order, func(i, j int) int {
		switch {
		case values[i] < values[j]:
			return -1
		case values[i] > values[j]:
			return 1
		}
		return 0
	})
	sum := 0.0
	for _, i := range order {
		if sum += weights[i]; sum >= share*total {
			return values[i]
		}
	}
	return values[order[len(order)-1]]
}
