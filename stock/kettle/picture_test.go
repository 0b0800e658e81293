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
	inside := 0
	rows := recipes(t)
	for _, r := range rows {
		_, e := logError(t, r)
		line := []byte(strings.Repeat(" ", columns))
		share := func(v float64) int { return column(v / r.water.Litres()) }
		low, likely, high, printed := share(e.ReadyToFill.Low.Litres()), share(e.ReadyToFill.Likely.Litres()), share(e.ReadyToFill.High.Litres()), share(r.yield.Litres())
		for i := low; i <= high; i++ {
			line[i] = '-'
		}
		line[likely] = 'o'
		line[printed] = 'x'
		if likely == printed {
			line[printed] = '*'
		}
		mark := "  outside"
		if r.yield >= e.ReadyToFill.Low && r.yield <= e.ReadyToFill.High {
			inside++
			mark = ""
		}
		lid := string(r.input(t).Lid)
		fmt.Fprintf(&b, "%3s %4.1f qt  %4.1f h  %-5s  %s\n", r.row, r.water.Quarts(), r.simmer.Hours(), lid,
			strings.TrimRight(string(line), " ")+mark)
	}
	fmt.Fprintf(&b, "%d of %d recipes inside the band\n", inside, len(rows))
	return b.String()
}
