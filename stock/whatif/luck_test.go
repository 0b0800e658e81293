package whatif

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// one run of a drawn season: which pot, kind, lid and how long.
type cooked struct {
	pot, kind, lid string
	hours          int
}

// By plain draws: cooks are drawn whose stillness, bones and so on are split between the
// kitchen, its pots, kinds and lids, and the run, as the notes of past runs split them
// (stock/history/note.go, where the split is assumed: no source); each of their runs is
// worked out by the kettle's own balance, and its loads counted by where its yield ranks.
func TestASeasonsLuckByPlainDraws(t *testing.T) {
	for name, season := range map[string][]cooked{
		"one pot, one kind": slices.Repeat([]cooked{{"big pot", "turkey-frames", "off", 6}}, 6),
		"two pots, two kinds": append(slices.Repeat([]cooked{{"big pot", "turkey-frames", "off", 6}}, 3),
			slices.Repeat([]cooked{{"old pot", "beef", "ajar", 8}}, 3)...),
		"a dozen": slices.Repeat([]cooked{{"big pot", "turkey-frames", "off", 5}, {"old pot", "chicken-frames", "on", 9}}, 6),
	} {
		t.Run(name, func(t *testing.T) {
			var answers []RackAnswer
			var models []kettle.Model
			for _, c := range season {
				kitchen, run := demo(t)
				kitchen.Jars = nil
				old := kitchen.Pots[0]
				old.Name, old.Volume = "old pot", to(18*quantity.Quart)
				kitchen.Pots = append(kitchen.Pots, old)
				run.Pot, run.Kind, run.Lid, run.Jars = c.pot, c.kind, c.lid, "pint"
				run.Simmer, run.Vegetables = to(time.Duration(c.hours)*time.Hour), nil
				setup, err := settle.Run(kitchen, run)
				require.NoError(t, err)
				a, err := Racks(setup, AskRacks(runfile.Prices{}, 0))
				require.NoError(t, err)
				m, err := kettle.ModelOf(setup.Pot)
				require.NoError(t, err)
				answers, models = append(answers, a), append(models, m)
			}
			got, err := Season(answers)
			require.NoError(t, err)

			drawn := drawnLoads(season, models, answers)
			chance := got.Plans[0].Options[0].Chance
			t.Logf("deviation %.2f, drawn %.2f, all alike %.2f; apart %.3f, %.3f", deviation(chance), deviation(drawn),
				deviation(alike(chancesOf(answers))), farthest(chance, drawn), farthest(alike(chancesOf(answers)), drawn))
			assert.InDelta(t, deviation(drawn), deviation(chance), 0.05*deviation(drawn))
			// One common cause for all pairs is not quite what six are, and loads are lumps.
			off := farthest(chance, drawn)
			assert.Less(t, off, 0.075)
			assert.Less(t, off, farthest(alike(chancesOf(answers)), drawn))
		})
	}
}

func at(chance []float64, n int) float64 {
	if n >= len(chance) {
		return 0
	}
	return chance[n]
}

// farthest is the most that two distributions are apart at any number.
func farthest(a, b []float64) (most float64) {
	below := 0.0
	for n := range max(len(a), len(b)) {
		below += at(a, n) - at(b, n)
		most = max(most, math.Abs(below))
	}
	return most
}

func chancesOf(answers []RackAnswer) (all [][]float64) {
	for _, a := range answers {
		all = append(all, a.Plans[0].Options[0].Chance)
	}
	return all
}

// drawnLoads is the chance of each number of loads in all over drawn cooks.
func drawnLoads(season []cooked, models []kettle.Model, answers []RackAnswer) []float64 {
	const cooks = 6000
	random := rand.New(rand.NewPCG(5, 15))
	ready := make([][]float64, len(season))
	for range cooks {
		known := map[string]float64{}
		of := func(name string) float64 { // the same whenever it is asked for, of one cook
			if _, ok := known[name]; !ok {
				known[name] = random.NormFloat64()
			}
			return known[name]
		}
		for i, c := range season {
			var s kettle.Scores
			for d := range s {
				s[d] = random.NormFloat64()
			}
			own := func(parts ...float64) float64 {
				all := 0.0
				for _, p := range parts {
					all = math.Hypot(all, p)
				}
				return 1 / all
			}
			s[kettle.OfStillness] = own(0.565, 0.30, 0.20) *
				(0.565*of("still") + 0.30*of("still "+c.pot) + 0.20*random.NormFloat64())
			s[kettle.OfHeld] = own(0.394, 0.30, 0.15) * (0.394*of("held") + 0.30*of("held "+c.kind) + 0.15*random.NormFloat64())
			s[kettle.OfLid], s[kettle.OfShape] = of("lid "+c.lid), of("shape "+c.pot)
			s[kettle.OfBelowBoil], s[kettle.OfGivenOff], s[kettle.OfLosses] = of("boil"), of("given"), of("lost")
			for d := range s {
				s[d] /= kettle.Score90
			}
			ready[i] = append(ready[i], models[i].At(&s).Ready.Litres())
		}
	}
	sums := make([]int, cooks)
	for i := range season {
		order := make([]int, cooks)
		for c := range order {
			order[c] = c
		}
		slices.SortFunc(order, func(a, b int) int {
			return int(math.Copysign(1, ready[i][a]-ready[i][b]))
		})
		chance := answers[i].Plans[0].Options[0].Chance
		loads, until := 0, at(chance, 0)
		for rank, c := range order {
			for until < (float64(rank)+0.5)/cooks && loads < len(chance)-1 {
				loads++
				until += chance[loads]
			}
			sums[c] += loads
		}
	}
	drawn := make([]float64, slices.Max(sums)+1)
	for _, n := range sums {
		drawn[n] += 1.0 / cooks
	}
	return drawn
}

// What is the same for two runs is shared, and nothing else is.
func TestWhatRunsHaveInCommon(t *testing.T) {
	toss := []float64{0.5, 0.5}
	of := func(code, pot string) fortune {
		f := fortune{causes: []kettle.Cause{{Code: code, Share: 1}}}
		f.origin.Pot = pot
		return f
	}
	for _, row := range []struct {
		about string
		a, b  fortune
		want  float64
	}{
		{"the pot's width", of("pot-width", "a"), of("pot-width", "a"), 1},
		{"the widths of two pots", of("pot-width", "a"), of("pot-width", "b"), 0},
		{"how bones displace water is each run's own", of("displaced", "a"), of("displaced", "a"), 0},
		{"what bones give off is the cook's", of("given-off", "a"), of("given-off", "b"), 1},
		{"two causes", of("given-off", "a"), of("lost", "a"), 0},
		{"stillness in one pot", of("stillness", "a"), of("stillness", "a"), (0.565*0.565 + 0.09) / (0.565*0.565 + 0.09 + 0.04)},
		{"stillness in two", of("stillness", "a"), of("stillness", "b"), 0.565 * 0.565 / (0.565*0.565 + 0.09 + 0.04)},
	} {
		got := correlation([][]float64{toss, toss}, []fortune{row.a, row.b})
		assert.InDelta(t, row.want, got, 1e-9, row.about)
		sum := chanceOfAll([][]float64{toss, toss}, []fortune{row.a, row.b})
		// Sheppard (1899): two normal scores of correlation r are both above their middle with
		// the chance 1/4 + arcsin(r)/2π.
		both := 0.25 + math.Asin(row.want)/(2*math.Pi)
		assert.InDelta(t, both, sum[2], 0.01, row.about)
		assert.InDelta(t, 1, sum[0]+sum[1]+sum[2], 1e-9)
		assert.InDelta(t, 1, sum[1]+2*sum[2], 1e-9, "no mean is touched")
	}
}

// A season of thousands is added up in a moment.
func BenchmarkSeasonsLuck(b *testing.B) {
	var chances [][]float64
	var of []fortune
	for i := range 2000 {
		chances = append(chances, []float64{0, 0.1, 0.6, 0.3})
		of = append(of, fortune{causes: []kettle.Cause{{Code: "stillness", Share: 0.7}, {Code: "held", Share: 0.3}}})
		of[i].origin.Pot = fmt.Sprint(i % 3)
	}
	for b.Loop() {
		chanceOfAll(chances, of)
	}
}
