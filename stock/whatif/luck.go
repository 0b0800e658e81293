package whatif

import (
	"math"
	"slices"

	"brothrun/stock/history"
	"brothrun/stock/kettle"
)

// fortune is what decides whether a run turns out well: the causes of its spread, and what
// of them it has in common with other runs.
type fortune struct {
	causes []kettle.Cause
	origin history.Origin
}

// luckSteps is how many equally likely turns of the common luck are gone through. Against
// four times as many the chances of a season stand still to a thousandth. Own choice.
const luckSteps = 32

// chanceOfAll adds numbers whose luck is shared as far as their causes are: as if one
// common cause had the mean correlation of all pairs, weighted by their spreads, and the
// rest were each number's own. The chances of each number by itself, and so the mean of
// the sum, stay as they are.
func chanceOfAll(chances [][]float64, of []fortune) []float64 {
	if len(chances) == 1 {
		return chances[0]
	}
	common := correlation(chances, of)
	if common > 1-1e-9 {
		return alike(chances)
	}
	sums := make([]sum, luckSteps)
	for k := range sums {
		sums[k].shares = []float64{1}
	}
	for _, chance := range chances {
		for k, given := range conditional(chance, common) {
			sums[k].add(given)
		}
	}
	var all []float64
	for _, s := range sums {
		for n, share := range s.shares {
			for len(all) <= s.from+n {
				all = append(all, 0)
			}
			all[s.from+n] += share / luckSteps
		}
	}
	return all
}

// correlation is the mean of what the luck of two runs has in common, 0 to 1.
func correlation(chances [][]float64, of []fortune) float64 {
	type group struct{ code, by, name string }
	groups := map[group]*[2]float64{} // the sum and the sum of the squares
	var order []group                 // so that rounding is the same every time
	add := func(g group, v float64) {
		if groups[g] == nil {
			groups[g], order = new([2]float64), append(order, g)
		}
		groups[g][0] += v
		groups[g][1] += v * v
	}
	for i, chance := range chances {
		spread := deviation(chance)
		add(group{}, spread)
		for _, cause := range of[i].causes {
			shared, v := history.SharedOf(cause), spread*math.Sqrt(cause.Share)
			add(group{cause.Code, "kitchen", ""}, v*math.Sqrt(shared.Kitchen))
			add(group{cause.Code, "pot", of[i].origin.Pot}, v*math.Sqrt(shared.Pot))
			add(group{cause.Code, "kind", of[i].origin.Kind}, v*math.Sqrt(shared.Kind))
			add(group{cause.Code, "lid", of[i].origin.Lid}, v*math.Sqrt(shared.Lid))
		}
	}
	together, all := 0.0, 0.0
	for _, g := range order {
		pairs := groups[g][0]*groups[g][0] - groups[g][1]
		if g == (group{}) {
			all = pairs
		} else {
			together += pairs
		}
	}
	if all <= 0 {
		return 0
	}
	return min(1, max(0, together/all))
}

// deviation is the standard deviation of a number.
func deviation(chance []float64) float64 {
	mean, square := 0.0, 0.0
	for n, share := range chance {
		mean += float64(n) * share
		square += float64(n*n) * share
	}
	return math.Sqrt(max(0, square-mean*mean))
}

// conditional are the chances of a number at each turn of the common luck, of which it has
// so much, by normal scores; over all turns they are those of the number by itself.
func conditional(chance []float64, common float64) [][]float64 {
	given := make([][]float64, luckSteps)
	for k := range given {
		turn := math.Sqrt2 * math.Erfinv(2*(float64(k)+0.5)/luckSteps-1)
		given[k] = make([]float64, len(chance))
		sum, before := 0.0, 0.0
		for n, share := range chance {
			sum += share
			score := math.Sqrt2 * math.Erfinv(min(1, max(-1, 2*sum-1)))
			below := 0.5 * math.Erfc(-(score-math.Sqrt(common)*turn)/math.Sqrt(2*(1-common)))
			if n == len(chance)-1 {
				below = 1
			}
			given[k][n], before = max(0, below-before), below
		}
	}
	// A few turns are not the whole curve: both margins are put right in turn.
	for range 40 {
		off := 0.0
		for n, share := range chance {
			sum := 0.0
			for k := range given {
				sum += given[k][n] / luckSteps
			}
			off = max(off, math.Abs(sum-share))
			for k := range given {
				switch {
				case sum > 0:
					given[k][n] *= share / sum
				default:
					given[k][n] = share
				}
			}
		}
		if off < 1e-13 {
			break
		}
		for k := range given {
			sum := 0.0
			for _, share := range given[k] {
				sum += share
			}
			for n := range given[k] {
				given[k][n] /= sum
			}
		}
	}
	return given
}

// sum is the chances of from and the numbers after it; those of all others are nothing.
type sum struct {
	from          int
	shares, spare []float64
}

// add adds a number that has nothing in common with s.
func (s *sum) add(chance []float64) {
	const nothing = 1e-16
	next := slices.Grow(s.spare[:0], len(s.shares)+len(chance))[:len(s.shares)+len(chance)-1]
	clear(next)
	for i, x := range s.shares {
		for j, y := range chance {
			next[i+j] += x * y
		}
	}
	s.spare = s.shares
	for len(next) > 1 && next[len(next)-1] < nothing {
		next = next[:len(next)-1]
	}
	first := 0
	for first < len(next)-1 && next[first] < nothing {
		first++
	}
	s.from += first
	s.shares = append(next[:0], next[first:]...)
}

// alike adds numbers that rise together, half with half: one after another would take the
// square of their number.
func alike(chances [][]float64) []float64 {
	if len(chances) == 1 {
		return chances[0]
	}
	half := len(chances) / 2
	first, second := alike(chances[:half]), alike(chances[half:])
	sum := make([]float64, 0, len(first)+len(second))
	together(first, second, func(share float64, a, b int) {
		for len(sum) <= a+b {
			sum = append(sum, 0)
		}
		sum[a+b] += share
	})
	return sum
}
