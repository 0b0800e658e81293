package kettle

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

var update = flag.Bool("update", false, "rewrite the table of README.md")

// The table of README.md, "How good is the estimate?", is this model against the
// published recipes, drawn afresh by go test ./stock/kettle -update.
func TestReadmeShowsTheEstimate(t *testing.T) {
	const path, begin, end = "../../README.md", "```text recipes\n", "```\n"
	readme, err := os.ReadFile(path)
	require.NoError(t, err)
	before, rest, found := strings.Cut(string(readme), begin)
	require.True(t, found, "README.md has no block %q", begin)
	shown, after, found := strings.Cut(rest, end)
	require.True(t, found)
	drawn := picture(t)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(before+begin+drawn+end+after), 0o644))
		return
	}
	assert.Equal(t, drawn, shown, "run go test ./stock/kettle -update and read the difference")
}

// picture draws each recipe as a line: the share of the water that is printed
// (x), estimated (o), and the band.
func picture(t testing.TB) string {
	var b strings.Builder
	const columns = 44 // 0 to 1.1 of the water
	column := func(share float64) int { return min(columns-1, max(0, int(math.Round(share*(columns-1)/1.1)))) }
	ruler := []byte(strings.Repeat(" ", columns+4))
	for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
		copy(ruler[column(share):], fmt.Sprintf("%g", share))
	}
	fmt.Fprintf(&b, "row  water  simmer  lid      share of the water: x printed, o likely, - band\n")
	fmt.Fprintf(&b, "%31s%s\n", "", strings.TrimRight(string(ruler), " "))
	judged, others := recipes(t)
	for _, set := range []struct {
		title string
		rows  []recipe
	}{{"the recipes the constants were settled with", judged}, {"and others, which they never saw", others}} {
		fmt.Fprintf(&b, "%s\n", set.title)
		for _, r := range set.rows {
			band := r.printed(t)
			line := []byte(strings.Repeat(" ", columns))
			share := func(v quantity.Volume) int { return column(float64(v / r.water)) }
			for i := share(band.Low); i <= share(band.High); i++ {
				line[i] = '-'
			}
			likely, printed := share(band.Likely), share(r.yield)
			line[likely], line[printed] = 'o', 'x'
			if likely == printed {
				line[printed] = '*'
			}
			mark := "  outside"
			if r.yield >= band.Low && r.yield <= band.High {
				mark = ""
			}
			fmt.Fprintf(&b, "%3s %4.1f qt  %4.1f h  %-5s  %s\n", r.row, r.water.Quarts(), r.simmer.Hours(), r.input(t).Lid,
				strings.TrimRight(string(line), " ")+mark)
		}
		inside, score := judge(t, set.rows)
		fmt.Fprintf(&b, "%d of %d inside the band; interval score %.2f\n", inside, len(set.rows), score)
	}
	return b.String()
}
