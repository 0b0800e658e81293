package kettle

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// recipe is a row of testdata/published/stock_recipes.csv: what its author puts
// in and gets out. Each row names its source.
type recipe struct {
	row, species, lid, source string
	bones, vegetables         quantity.Mass
	water, yield              quantity.Volume
	simmer                    time.Duration
}

// published reads a table of testdata/published, its heading first.
func published(t testing.TB, name string) [][]string {
	t.Helper()
	file, err := os.Open("../../testdata/published/" + name)
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	return rows
}

// recipes returns the rows of the table that print water, a time and something solid:
// judged are meat stocks, and others fish, vegetables and those marked nominal, outlier
// or from memory. The constants were settled with judged in view, never with others.
func recipes(t testing.TB) (judged, others []recipe) {
	t.Helper()
	rows := published(t, "stock_recipes.csv")
	column := func(row []string, name string) string { return row[slices.Index(rows[0], name)] }
	figure := func(row []string, name string) float64 {
		text := column(row, name)
		if text == "" {
			return 0
		}
		x, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		return x
	}
	for _, row := range rows[1:] {
		r := recipe{
			row: column(row, "row"), species: column(row, "species"), lid: column(row, "lid"), source: column(row, "source"),
			bones:      quantity.Mass(figure(row, "bones_lb")) * quantity.Pound,
			vegetables: quantity.Mass(figure(row, "veg_lb")) * quantity.Pound,
			water:      quantity.Volume(figure(row, "water_qt")) * quantity.Quart,
			yield:      quantity.Volume(figure(row, "yield_qt")) * quantity.Quart,
			simmer:     time.Duration(figure(row, "simmer_h") * float64(time.Hour)),
		}
		marked := column(row, "note") != "" || strings.Contains(column(row, "seen"), "memory")
		meat := r.species != "fish" && r.species != "vegetable"
		switch {
		case r.bones+r.vegetables == 0 || r.water == 0 || r.simmer == 0:
		case meat && !marked:
			judged = append(judged, r)
		default:
			others = append(others, r)
		}
	}
	require.Len(t, judged, 15)
	require.Len(t, others, 13)
	return judged, others
}

// input reads a recipe as a pot. What a recipe does not say is filled in by one
// rule for all rows:
//
//   - the kind is the first the row names; poultry "bones" are half raw backs,
//     half picked frames, beef and veal are the beef kind;
//   - the pot is as large as it must be to hold water and bones at the fill line, and of
//     the usual shape (PotWidth), its surface 12 % larger: real pots are larger than the
//     least that would do;
//   - "covered" is a lid on; ajar, partly, half and loosely covered are ajar; a
//     lid that is not mentioned is off, since cookbooks say when to cover;
//   - nine in ten of those who write of topping up do, and of the others as many as of
//     all cooks;
//   - sea level.
func (r recipe) input(t testing.TB) Input {
	t.Helper()
	solids := func(kind string) Solids {
		s, err := For(kind)
		require.NoError(t, err)
		return s
	}
	in := Input{FillLine: DefaultFillLine, Vegetables: r.vegetables, Water: r.water, Simmer: r.simmer, Lid: LidOff}
	switch species, _, _ := strings.Cut(r.species, " "); {
	case strings.HasPrefix(species, "beef"), strings.HasPrefix(species, "veal"):
		in.Bones = []Portion{{"beef", solids("beef"), r.bones}}
	case species == "fish", species == "pork":
		in.Bones = []Portion{{species, solids(species), r.bones}}
	case species == "vegetable":
		in.Bones, in.Vegetables = []Portion{{species, solids(species), r.vegetables}}, 0
	default:
		in.Bones = []Portion{
			{"chicken-backs", solids("chicken-backs"), r.bones / 2},
			{"chicken-frames", solids("chicken-frames"), r.bones / 2},
		}
	}
	switch {
	case strings.HasPrefix(r.lid, "covered"):
		in.Lid = LidOn
	case strings.Contains(r.lid, "ajar"), strings.Contains(r.lid, "partly"), strings.Contains(r.lid, "half"), strings.Contains(r.lid, "loosely"):
		in.Lid = LidAjar
	}
	in.Pot = in.levelAtStart(r.water) / DefaultFillLine
	in.PotWidth, in.WidthAssumed = PotWidth(in.Pot)*quantity.Length(math.Sqrt(1.12)), true
	in.MayTopUp = ToppedUpUnsaid
	if strings.Contains(r.lid, "topped up") {
		in.MayTopUp = 0.9
	}
	return in
}

// printed is the estimate of what an author prints: strained, skimmed and in its
// containers.
func (r recipe) printed(t testing.TB) quantity.Band[quantity.Volume] {
	t.Helper()
	e, err := Balance(r.input(t))
	require.NoError(t, err, r.source)
	return quantity.BandOf(reported(e.Sample), e.ReadyToFill.Likely)
}

// reported is a sample with the error of who reports it, of rounding and of memory:
// Student's t with 4 degrees of freedom, a log scale of 0.13, from the spread of recipes
// about any model. It is no part of what a cook who measures is told.
func reported(sample []quantity.Volume) []quantity.Volume {
	all := make([]quantity.Volume, len(sample))
	for i, score := range Normal(dimensions, len(sample)) {
		p := math.Erfc(-score/math.Sqrt2) / 2
		root := math.Sqrt(4 * p * (1 - p))
		// The quantile of 4 degrees of freedom has a closed form.
		quantile := math.Copysign(2*math.Sqrt(max(0, math.Cos(math.Acos(root)/3)/root-1)), p-0.5)
		all[i] = sample[i] * quantity.Volume(math.Exp(0.13*quantile))
	}
	return all
}

// intervalScore is the width of a band's logarithm and ten times how far outside of it a
// value lies: least for the narrowest band that holds four values in five. Gneiting and
// Raftery, Journal of the American Statistical Association 102 (2007), section 6.2.
func intervalScore(band quantity.Band[quantity.Volume], value quantity.Volume) float64 {
	low, high, x := math.Log(float64(band.Low)), math.Log(float64(band.High)), math.Log(float64(value))
	return high - low + 10*max(0, low-x, x-high)
}

// judge is how many of rows lie inside their band, and its score.
func judge(t testing.TB, rows []recipe) (inside int, score float64) {
	t.Helper()
	for _, r := range rows {
		band := r.printed(t)
		if r.yield >= band.Low && r.yield <= band.High {
			inside++
		}
		score += intervalScore(band, r.yield) / float64(len(rows))
	}
	return inside, score
}

// No bar on the median of the errors: chance alone moves that of a handful of rows from
// 0.10 to 0.30.
func TestPublishedRecipes(t *testing.T) {
	judged, others := recipes(t)
	for _, set := range []struct {
		name        string
		rows        []recipe
		least, most int
		score       float64
	}{
		{"the constants were settled with these in view", judged, 11, 14, 1.15},
		{"and with none of these", others, 9, 13, 1.40},
	} {
		inside, score := judge(t, set.rows)
		t.Logf("%s: %d of %d inside, interval score %.3f", set.name, inside, len(set.rows), score)
		assert.GreaterOrEqual(t, inside, set.least, set.name)
		assert.LessOrEqual(t, inside, set.most, set.name)
		assert.LessOrEqual(t, score, set.score, set.name)
	}
}
