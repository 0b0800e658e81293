package export

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"brothrun/export/text"
	"brothrun/stock"
	"brothrun/stock/quantity"
)

// A layer on a terminal is drawn in cells, which are about twice as high as wide.
const (
	drawnColumns = 38 // the wall included
	drawnRows    = 20
	drawnGap     = 2 // between two layers side by side
)

// layers draws the layers of the loads, two side by side.
func (s screen) layers(drawings []stock.LayerDrawing, u quantity.System) {
	short := abbreviations(drawings)
	for pair := range slices.Chunk(drawings, 2) {
		s.line("")
		var blocks [][]string
		height := 0
		for _, d := range pair {
			block := layerText(d, short, u)
			blocks = append(blocks, block)
			height = max(height, len(block))
		}
		for i := range height {
			line, used := "", 0
			for k, block := range blocks {
				if i >= len(block) {
					continue
				}
				line += strings.Repeat(" ", k*(drawnColumns+drawnGap)-used) + block[i]
				used = utf8.RuneCountInString(line)
			}
			s.line(strings.TrimRight(line, " "))
		}
	}
}

// layerText is one layer as lines: the picture, where it can be to scale, and
// what it shows.
func layerText(d stock.LayerDrawing, short map[string]string, u quantity.System) []string {
	lines := text.Wrap(layerTitle(d), drawnColumns)
	if len(d.Spots) > 0 {
		lines = append(lines, picture(d, short)...)
	}
	for _, legend := range layerLegend(d, u) {
		lines = append(lines, text.Wrap(legend, drawnColumns)...)
	}
	if len(d.Spots) == 0 {
		return lines
	}
	var names []string
	for _, j := range d.Jars {
		names = append(names, short[j.Jar]+" = "+Printable(j.Jar))
	}
	return append(lines, text.Wrap(strings.Join(names, ", "), drawnColumns)...)
}

// layerTitle says which layer it is: "Loads 1 to 3 (x 3 loads), rack 1".
func layerTitle(d stock.LayerDrawing) string {
	title := "Load "
	if len(d.Loads) > 1 {
		title = "Loads "
	}
	title += numbers(d.Loads)
	if len(d.Loads) > 1 {
		title += fmt.Sprintf(" (x %d loads)", len(d.Loads))
	}
	if len(d.Racks) > 1 {
		return title + ", racks " + numbers(d.Racks)
	}
	return title + ", rack " + numbers(d.Racks)
}

// numbers writes a rising list: "1", "1, 3" or "1 to 4".
func numbers(list []int) string {
	if n := len(list); n > 2 && list[n-1]-list[0] == n-1 {
		return fmt.Sprintf("%d to %d", list[0], list[n-1])
	}
	var texts []string
	for _, n := range list {
		texts = append(texts, fmt.Sprint(n))
	}
	return strings.Join(texts, ", ")
}

// layerLegend is what stands in the layer and the measures it is drawn by, in
// both systems of units.
func layerLegend(d stock.LayerDrawing, u quantity.System) []string {
	var jars []string
	for _, j := range d.Jars {
		jars = append(jars, Printable(stock.CountJars(j.Count, j.Jar)))
	}
	contents := strings.Join(jars, ", ")
	inside := "Inside width " + d.Width.Both(u)
	if d.WidthAssumed {
		inside += ", assumed"
	}
	clearance := "Clearance " + d.Clearance.Both(u)
	switch {
	case len(d.Spots) == 0 && d.Counted:
		// A picture would show something else than what the cook saw.
		return []string{contents + ", counted by you; not to scale", inside}
	case len(d.Spots) == 0:
		return []string{contents + ": no arrangement found; not to scale", inside}
	case d.Clearance == 0:
		clearance = "Clearance none: a tight fit"
	}
	return []string{contents, inside, clearance}
}

// picture draws the circles. Each cell belongs to the jar its middle lies in, so
// that jars that do not overlap share none.
func picture(d stock.LayerDrawing, short map[string]string) []string {
	// Half of the width is so many cells across; the wall takes one more.
	const radius = float64(drawnColumns-2) / 2
	scale := radius / (d.Width.Metres() / 2)
	grid := make([][]byte, drawnRows)
	for row := range grid {
		grid[row] = []byte(strings.Repeat(" ", drawnColumns))
		y := above(row)
		for column := range grid[row] {
			// The wall is one column or row thick, whichever is across it.
			out := math.Hypot(rightOf(column), y)
			if thick := 1 + math.Abs(y)/out; out > radius && out <= radius+thick {
				grid[row][column] = '.'
			}
		}
	}
	for _, s := range d.Spots {
		circle{s.At.X.Metres() * scale, s.At.Y.Metres() * scale, s.Diameter.Metres() / 2 * scale}.draw(grid, short[s.Jar])
	}
	var lines []string
	for _, row := range grid {
		lines = append(lines, strings.TrimRight(string(row), " "))
	}
	return lines
}

// rightOf and above are where the middle of a cell lies, in columns from the
// middle of the picture.
func rightOf(column int) float64 { return float64(column) + 0.5 - drawnColumns/2 }
func above(row int) float64      { return drawnRows - 2*(float64(row)+0.5) }

// circle is a circle on the grid, in columns right of and above its middle.
type circle struct{ x, y, radius float64 }

// draw draws the edge of the cells whose middle lies in the circle, and label in
// its middle row.
func (c circle) draw(grid [][]byte, label string) {
	span := func(row int) (from, to int) { // columns from <= column < to
		rise := above(row) - c.y
		half := math.Sqrt(max(0, c.radius*c.radius-rise*rise))
		from = int(math.Ceil(c.x - half + drawnColumns/2 - 0.5))
		to = int(math.Floor(c.x+half+drawnColumns/2-0.5)) + 1
		if math.Abs(rise) > c.radius {
			to = from
		}
		return max(from, 0), min(to, drawnColumns)
	}
	for row := range grid {
		from, to := span(row)
		if from >= to {
			continue
		}
		rise := above(row) - c.y
		left, right := byte('|'), byte('|')
		switch {
		case rise > c.radius-2:
			copy(grid[row][from:to], strings.Repeat("-", to-from))
			left, right = '.', '.'
		case rise < 2-c.radius:
			copy(grid[row][from:to], strings.Repeat("-", to-from))
			left, right = '\'', '\''
		case rise > c.radius/3:
			left, right = '/', '\\'
		case rise < -c.radius/3:
			left, right = '\\', '/'
		}
		grid[row][from], grid[row][to-1] = left, right
	}
	row := int((drawnRows - c.y) / 2)
	from, to := span(row)
	first := from + (to-from-len(label)+1)/2
	for i := range len(label) {
		if column := first + i; column >= from && column < to {
			grid[row][column] = label[i]
		}
	}
}

// abbreviations are two letters for each jar of the drawings; jars of the cook's
// own go by their first letters, or by a letter and a number where those are
// taken.
func abbreviations(drawings []stock.LayerDrawing) map[string]string {
	short := map[string]string{"quart": "qt", "pint": "pt", "half-pint": "hp", "pint-and-half": "ph"}
	taken := map[string]bool{}
	for _, text := range short {
		taken[text] = true
	}
	for _, d := range drawings {
		for _, j := range d.Jars {
			if _, known := short[j.Jar]; known {
				continue
			}
			text := initials(j.Jar)
			for n := 1; taken[text]; n++ {
				text = fmt.Sprintf("%c%d", text[0], n)
			}
			short[j.Jar], taken[text] = text, true
		}
	}
	return short
}

// initials are two letters or figures of ASCII, which are one cell wide on every
// terminal: of the first two words, or the first two of one word.
func initials(name string) string {
	plain := func(r rune) bool {
		return r < utf8.RuneSelf && (unicode.IsLetter(r) || unicode.IsDigit(r))
	}
	words := strings.FieldsFunc(name, func(r rune) bool { return !plain(r) })
	text := strings.Join(words, "") + "jr"
	if len(words) > 1 {
		text = words[0][:1] + words[1][:1]
	}
	return text[:2]
}
