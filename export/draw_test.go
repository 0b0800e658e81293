package export_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/packing"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// sevenUp is seven equal jars, one in the middle and six touching it and one
// another: trigonometry, three circles across.
func sevenUp(jar string, diameter quantity.Length) []stock.Spot {
	spots := []stock.Spot{{Jar: jar, Diameter: diameter}}
	for k := range 6 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 3)
		spots = append(spots, stock.Spot{Jar: jar, Diameter: diameter, At: packing.Point{X: quantity.Length(cos) * diameter, Y: quantity.Length(sin) * diameter}})
	}
	return spots
}

// drawn is turkeyFrames with its layer drawn, and one that cannot be.
func drawn(t testing.TB) timeline.Plan {
	plan := turkeyFrames(t)
	plan.Batch.Drawings = []stock.LayerDrawing{
		{Loads: []int{1, 2}, Racks: []int{1}, Jars: []stock.JarCount{{Jar: "quart", Count: 7}}, Width: 12.25 * quantity.Inch,
			Clearance: quantity.Inch / 8, Spots: sevenUp("quart", 3.83*quantity.Inch)},
		{Loads: []int{3}, Racks: []int{1, 2}, Jars: []stock.JarCount{{Jar: "pint", Count: 9}}, Width: 11 * quantity.Inch, Counted: true},
	}
	return plan
}

func screenOf(t testing.TB, plan timeline.Plan) string {
	t.Helper()
	var text bytes.Buffer
	require.NoError(t, export.Screen(&text, plan, export.Look{}))
	return text.String()
}

func TestScreenDrawsLayers(t *testing.T) {
	const want = `
How the jars stand, from above

Loads 1, 2 (x 2 loads), rack 1          Load 3, racks 1, 2
             ............               9 pints, counted by you; not to scale
         ....            ....           Inside width 11 in (27.9 cm)
      ...  .--.        .--.  ...
    ...  /       \  /       \  ...
   ..   |         ||         |   ..
  .     |    qt   ||    qt   |     .
 .      \        /  \        /      .
..   .---.'----'.----.'----'.---.   ..
.  /        \ /        \ /        \  .
. |         ||          ||         | .
. |    qt   ||    qt    ||    qt   | .
.  \        / \        / \        /  .
..   '---'.----.'----'.----.'---'   ..
 .      /        \  /        \      .
  .     |    qt   ||    qt   |     .
   ..   |         ||         |   ..
    ...  \       /  \       /  ...
      ...  '--'        '--'  ...
         ....            ....
             ............
7 quarts
Inside width 12.25 in (31.1 cm)
Clearance 0.13 in (3.2 mm)
qt = quart
`
	got := screenOf(t, drawn(t))
	assert.Contains(t, got, want)
	_, picture, _ := strings.Cut(got, "How the jars stand, from above")
	picture, _, _ = strings.Cut(picture, "\nSteps")
	for _, line := range strings.Split(picture, "\n") {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 80)
		assert.Equal(t, strings.TrimRight(line, " "), line)
		for _, r := range line {
			assert.Less(t, r, rune(utf8.RuneSelf), "plain ASCII: %q", line)
		}
	}

	without := turkeyFrames(t)
	assert.NotContains(t, screenOf(t, without), "How the jars stand")
}

// svgLayer is one layer of a picture as it is read back.
type svgLayer struct {
	circles map[string][][3]float64 // x, y and radius in mm, by class
	text    []string
}

// readSVG reads a picture back with the standard library's XML reader.
func readSVG(t testing.TB, picture []byte) (layers []svgLayer, text []string, box [2]float64) {
	t.Helper()
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return x
	}
	decoder := xml.NewDecoder(bytes.NewReader(picture))
	inText := false
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return layers, text, box
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			require.Contains(t, []string{"svg", "title", "desc", "rect", "text", "g", "circle", "polygon"}, token.Name.Local)
			attributes := map[string]string{}
			for _, a := range token.Attr {
				attributes[a.Name.Local] = a.Value
			}
			inText = token.Name.Local == "text"
			switch {
			case token.Name.Local == "svg":
				fields := strings.Fields(attributes["viewBox"])
				require.Len(t, fields, 4)
				box = [2]float64{number(fields[2]), number(fields[3])}
			case attributes["class"] == "layer":
				layers = append(layers, svgLayer{circles: map[string][][3]float64{}})
			case token.Name.Local == "circle":
				last := layers[len(layers)-1]
				last.circles[attributes["class"]] = append(last.circles[attributes["class"]],
					[3]float64{number(attributes["cx"]), number(attributes["cy"]), number(attributes["r"])})
			}
		case xml.CharData:
			if !inText {
				continue
			}
			text = append(text, string(token))
			if len(layers) > 0 {
				layers[len(layers)-1].text = append(layers[len(layers)-1].text, string(token))
			}
		case xml.EndElement:
			inText = false
		}
	}
}

func svgOf(t testing.TB, plan timeline.Plan) []byte {
	t.Helper()
	var picture bytes.Buffer
	require.NoError(t, export.SVG(&picture, plan))
	return picture.Bytes()
}

func TestSVGIsToScale(t *testing.T) {
	layers, text, box := readSVG(t, svgOf(t, drawn(t)))
	require.Len(t, layers, 2)
	first := layers[0]
	require.Len(t, first.circles["canner"], 1)
	require.Len(t, first.circles["jar"], 7)
	// One unit is 1 mm; 1 in is 25.4 mm exactly (international inch, 1959).
	assert.InDelta(t, 12.25*25.4/2, first.circles["canner"][0][2], 5e-5)
	assert.InDelta(t, (12.25-0.125)*25.4/2, first.circles["clearance"][0][2], 5e-5)
	for _, c := range first.circles["jar"] {
		assert.InDelta(t, 3.83*25.4/2, c[2], 5e-5)
	}
	for _, c := range append(first.circles["jar"], first.circles["canner"]...) {
		assert.Greater(t, c[0]-c[2], 0.0, "on the page")
		assert.Less(t, c[0]+c[2], box[0], "on the page")
		assert.Less(t, c[1]+c[2], box[1], "on the page")
	}
	assert.Subset(t, first.text, []string{"Loads 1, 2 (x 2 loads), rack 1", "quart", "7 quarts", "Inside width 12.25 in (31.1 cm)", "Clearance 0.13 in (3.2 mm)"})
	assert.Empty(t, layers[1].circles, "what cannot be to scale is not drawn")
	assert.Contains(t, layers[1].text, "9 pints, counted by you; not to scale")
	assert.Subset(t, text, []string{"4 in", "10 cm", "Frames after the feast: 9 lb of turkey frames at 3,200 ft (975 m)"})
}

// Whole plans, drawn and read back: as many circles as jars, all inside the
// clearance and none in another.
func TestSVGReadBackStands(t *testing.T) {
	runs := []struct{ jars, holds string }{
		{"quart", ""}, {"pint", ""}, {"half-pint", ""}, {"pint-and-half", ""}, {"quart=7,pint", ""}, {"quart=5,half-pint", ""}, {"pint", "pint=8"},
	}
	circles := 0
	for _, width := range []quantity.Length{9.25, 11.7, 12.25, 15} {
		for _, r := range runs {
			kitchen, run := kitchenAndRun(t, width*quantity.Inch, r.jars, r.holds)
			setup, err := settle.Run(kitchen, run)
			require.NoError(t, err)
			batch, err := stock.Plan(setup)
			require.NoError(t, err)
			batch.Drawings, err = ask.Layout(setup, batch)
			require.NoError(t, err)
			plan := timeline.Plan{Batch: batch}
			picture := svgOf(t, plan)
			assert.Equal(t, picture, svgOf(t, plan), "the same bytes again")
			layers, _, _ := readSVG(t, picture)
			require.Len(t, layers, len(batch.Drawings))
			for i, layer := range layers {
				const rounding = 3e-4 // mm: three numbers to a ten-thousandth
				jars, d := layer.circles["jar"], batch.Drawings[i]
				if len(d.Spots) == 0 {
					require.True(t, d.Counted)
					continue
				}
				inLayer := 0
				for _, j := range d.Jars {
					inLayer += j.Count
				}
				require.Len(t, jars, inLayer)
				wall := layer.circles["canner"][0]
				if clearance := layer.circles["clearance"]; len(clearance) > 0 {
					wall = clearance[0]
				}
				for k, a := range jars {
					require.LessOrEqual(t, math.Hypot(a[0]-wall[0], a[1]-wall[1])+a[2], wall[2]+rounding, "%s in %v in", r.jars, width)
					for _, b := range jars[:k] {
						require.GreaterOrEqual(t, math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]+b[2]-rounding, "%s in %v in", r.jars, width)
					}
				}
				circles += len(jars)
			}
		}
	}
	assert.Greater(t, circles, 200)
}

func kitchenAndRun(t testing.TB, width quantity.Length, jars, holds string) (runfile.Kitchen, runfile.Run) {
	t.Helper()
	kitchen, err := runfile.DecodeKitchen(strings.NewReader("altitude = \"3200 ft\"\ngauge = \"weighted\"\n[canner]\nheight = \"11.5 in\"\nracks = 2\n"), "kitchen.toml")
	require.NoError(t, err)
	run, err := runfile.DecodeRun(strings.NewReader("kind = \"turkey-frames\"\nbones = \"9 lb\"\npot = \"22 qt\"\njars = \""+jars+"\"\n"), "run.toml")
	require.NoError(t, err)
	kitchen.Canner.Width = &width
	if holds != "" {
		kitchen.Canner.Holds, err = runfile.ParseHolds(holds, kitchen)
		require.NoError(t, err)
	}
	return kitchen, run
}

// No name can break out of the picture or the screen.
func TestDrawingsKeepHostileNamesHarmless(t *testing.T) {
	for _, name := range []string{
		`</text><script>alert(1)</script>`, `a"b'c&d<e>f`, "\x00\x1b[31mred\x07", "\u202eturned", strings.Repeat("very-long-", 40), "グラス", "", "]]>&#0;", "\xff\xfe",
	} {
		plan := drawn(t)
		plan.Batch.Name = name
		plan.Batch.Drawings[0].Jars[0].Jar = name
		plan.Batch.Drawings[0].Spots = sevenUp(name, 3.83*quantity.Inch)

		picture := svgOf(t, plan)
		layers, _, _ := readSVG(t, picture) // fails on any element of another name
		require.Len(t, layers, 2)
		assert.Len(t, layers[0].circles["jar"], 7)
		assert.True(t, utf8.Valid(picture))
		assert.NotContains(t, string(picture), "\u202e")
		assert.NotContains(t, string(picture), "\x1b")
		for _, size := range regexp.MustCompile(`font-size="([0-9.]+)"`).FindAllStringSubmatch(string(picture), -1) {
			x, err := strconv.ParseFloat(size[1], 64)
			require.NoError(t, err)
			assert.Positive(t, x)
		}

		text := screenOf(t, plan)
		assert.NotContains(t, text, "\x1b")
		assert.NotContains(t, text, "\u202e")
		_, drawing, _ := strings.Cut(text, "How the jars stand")
		drawing, _, _ = strings.Cut(drawing, "How the water goes")
		for _, line := range strings.Split(drawing, "\n") {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, "%q", line)
		}
	}
}

// Jars are told apart in the picture even where they begin alike.
func TestScreenTellsJarsApart(t *testing.T) {
	plan := drawn(t)
	d := &plan.Batch.Drawings[0]
	names := []string{"jam-glass", "jug", "jugs-green", "quiet-tub", "quarter-tub", "é", "quart"}
	d.Jars = nil
	for i, name := range names {
		d.Spots[i].Jar = name
		d.Jars = append(d.Jars, stock.JarCount{Jar: name, Count: 1})
	}
	text := screenOf(t, plan)
	legend := strings.Join(strings.Fields(text), " ")
	for _, want := range []string{"jg = jam-glass", "ju = jug,", "j1 = jugs-green", "q1 = quiet-tub", "q2 = quarter-tub", "jr = é", "qt = quart"} {
		assert.Contains(t, legend, want)
	}
	for _, short := range []string{"jg", "ju", "j1", "q1", "q2", "jr", "qt"} {
		assert.Regexp(t, `(?m)^[^=]*\b`+short+`\b[^=]*$`, text, "in the picture")
	}
}

func BenchmarkSVG(b *testing.B) {
	plan := drawn(b)
	for b.Loop() {
		if err := export.SVG(io.Discard, plan); err != nil {
			b.Fatal(err)
		}
	}
}
