package export_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// fromFiles are the plans of run files of testdata, with settings said beside each, and the
// layers drawn. There are pints enough on hand.
func fromFiles(t testing.TB, settings map[string]string, files ...string) []timeline.Plan {
	t.Helper()
	machine := order.Machine{Open: func(path string) (io.ReadCloser, error) {
		file, err := os.ReadFile(path)
		return io.NopCloser(bytes.NewReader(bytes.ReplaceAll(file, []byte("pint = 24"), []byte("pint = 60")))), err
	}}
	var requests []*order.Request
	for _, file := range files {
		r, err := order.Read(machine, filepath.Join("..", "testdata", file), "")
		require.NoError(t, err)
		for name, value := range settings {
			require.NoError(t, r.Set(name, value))
		}
		requests = append(requests, r)
	}
	batches, err := order.Batches(requests, order.Extras{Layers: true})
	require.NoError(t, err)
	plans, _, err := order.Schedule(requests, batches, order.Clock{Now: now})
	require.NoError(t, err)
	return plans
}

func sheetOf(t testing.TB, paper string, plans ...timeline.Plan) []byte {
	t.Helper()
	size, err := export.ParsePaper(paper, quantity.US)
	require.NoError(t, err)
	var page bytes.Buffer
	require.NoError(t, export.Sheet(&page, plans, size))
	return page.Bytes()
}

// printed is a page that is to be printed, and what has to be on it.
type printed struct {
	name  string
	plans []timeline.Plan
	pages func(n int) bool
	want  string
}

func sheets(t testing.TB) []printed {
	pints := func(pot, bones string) map[string]string {
		return map[string]string{"jars": "pint", "pot": pot, "bones": bones}
	}
	all := []printed{
		{"demo", fromFiles(t, nil, "demo/run.toml"), func(n int) bool { return n == 2 }, "2"},
		{"29-steps", fromFiles(t, pints("28qt", "12lb"), "demo/run.toml"), func(n int) bool { return n == 2 }, "2"},
		// Where letters are narrow and the paper long, two are enough.
		{"35-steps", fromFiles(t, pints("36qt", "14lb"), "demo/run.toml"),
			func(n int) bool { return n == 2 || n == 3 }, "2 or 3"},
		{"two-runs", fromFiles(t, nil, "weekend/frames.toml", "weekend/beef.toml"),
			func(n int) bool { return n <= 5 }, "at most 5"},
	}
	require.Len(t, all[1].plans[0].Steps, 29)
	require.Len(t, all[2].plans[0].Steps, 35)
	return all
}

// browsers are what prints pages, and pinned the faces it prints them in: a narrow and a
// wide one.
var (
	browsers = []string{"chromium", "firefox"}
	pinned   = []string{"Liberation Sans", "DejaVu Sans"}
)

// needPaper skips the test, or with CI=true fails it, where what prints and reads pages is
// not there: BROTHRUN_PAPER names the folder in which npm installed puppeteer-core,
// axe-core and vnu-jar.
func needPaper(t *testing.T) (folder string) {
	t.Helper()
	folder = os.Getenv("BROTHRUN_PAPER")
	missing := ""
	for _, program := range []string{"node", "java", "chromium", "firefox-esr", "pdftotext"} {
		if _, err := exec.LookPath(program); err != nil {
			missing = program + " is not installed"
		}
	}
	if folder == "" {
		missing = "BROTHRUN_PAPER is not set: npm install puppeteer-core axe-core vnu-jar in a folder and name it"
	}
	reader{name: "paper", missing: missing}.needed(t)
	return folder
}

// job is a page for .ci/paper/print.mjs, and print what it says of it.
type job struct {
	HTML   string  `json:"html"`
	PDF    string  `json:"pdf"`
	Font   string  `json:"font"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
	Margin float64 `json:"margin"`
	Axe    bool    `json:"axe"`

	about printed
	paper string
}

type print struct {
	Version    string
	Cut, Small []string
	Circles    int
	Wide       int
	Axe        []string
	Text       string
	PDF        string
}

func printAll(t *testing.T, browser string, jobs []job) []print {
	t.Helper()
	list := filepath.Join(t.TempDir(), "jobs.json")
	data, err := json.Marshal(jobs)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(list, data, 0o644))
	var complaint bytes.Buffer
	command := exec.Command("node", filepath.Join("..", ".ci", "paper", "print.mjs"), browser, list)
	command.Stderr = &complaint
	out, err := command.Output()
	require.NoError(t, err, complaint.String())
	var all []print
	decoder := json.NewDecoder(bytes.NewReader(out))
	for decoder.More() {
		var one print
		require.NoError(t, decoder.Decode(&one))
		all = append(all, one)
	}
	require.Len(t, all, len(jobs)+1)
	t.Logf("printed by %s: %d pages", all[0].Version, len(jobs))
	return all[1:]
}

// runTool is what a program of poppler says.
func runTool(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).Output()
	require.NoError(t, err, "%s %v", name, args)
	return string(out)
}

// Two browsers print sheets on two papers in two faces: the pages are few, nothing is cut
// off or too small, and every step, figure and jar is on them.
func TestSheetsArePrinted(t *testing.T) {
	needPaper(t)
	folder := t.TempDir()
	var jobs []job
	for _, about := range sheets(t) {
		for _, paper := range []string{"letter", "a4"} {
			size, err := export.ParsePaper(paper, quantity.US)
			require.NoError(t, err)
			for _, font := range pinned {
				name := filepath.Join(folder, fmt.Sprintf("%s-%s-%c", about.name, paper, font[0]))
				require.NoError(t, os.WriteFile(name+".html", sheetOf(t, paper, about.plans...), 0o644))
				jobs = append(jobs, job{HTML: name + ".html", Font: font, Width: size.Width.Millimetres(),
					Height: size.Height.Millimetres(), Margin: 9, Axe: paper == "a4" && font == pinned[0], about: about, paper: paper})
			}
		}
	}
	valid(t, folder)
	for _, browser := range browsers {
		t.Run(browser, func(t *testing.T) {
			t.Parallel()
			mine := slices.Clone(jobs)
			for i := range mine {
				mine[i].PDF = filepath.Join(t.TempDir(), "sheet.pdf")
			}
			for i, p := range printAll(t, browser, mine) {
				t.Run(filepath.Base(jobs[i].HTML), func(t *testing.T) { mine[i].check(t, browser, p) })
			}
			if browser == "chromium" {
				pictured(t, mine[0].PDF)
			}
		})
	}
}

// check looks at a sheet as it was printed.
func (j job) check(t *testing.T, browser string, p print) {
	assert.Empty(t, p.Cut, "cut off")
	assert.Empty(t, p.Small, "under 8 pt")
	assert.Empty(t, p.Axe)
	if browser == "chromium" {
		assert.LessOrEqual(t, p.Wide, 320, "fits a small phone")
	}
	info := runTool(t, "pdfinfo", p.PDF)
	pages, err := strconv.Atoi(regexp.MustCompile(`Pages: +(\d+)`).FindStringSubmatch(info)[1])
	require.NoError(t, err)
	assert.True(t, j.about.pages(pages), "%d pages, wanted %s", pages, j.about.want)
	assert.Contains(t, info, map[string]string{"letter": "612 x 792", "a4": "A4"}[j.paper])
	embedded := regexp.MustCompile(`(?m)^[A-Z]{6}\+(\S+)`)
	for _, font := range embedded.FindAllStringSubmatch(runTool(t, "pdffonts", p.PDF), -1) {
		if font[1] != "Mozilla_Bullet" {
			assert.Contains(t, font[1], strings.ReplaceAll(j.Font, " ", ""), "the pinned face")
		}
	}
	// Sizes are in thirds of a point there, rounded.
	for _, size := range regexp.MustCompile(`<fontspec [^>]*size="(\d+)"`).FindAllStringSubmatch(
		runTool(t, "pdftohtml", "-xml", "-i", "-stdout", "-zoom", "3", p.PDF), -1) {
		n, _ := strconv.Atoi(size[1])
		assert.GreaterOrEqual(t, n, 24, "a letter under 8 pt")
	}
	text := squeezed(runTool(t, "pdftotext", "-raw", p.PDF, "-"))
	if browser == "chromium" { // Firefox has no number of its own in a page
		assert.Contains(t, text, fmt.Sprintf("%d/%d", pages, pages))
	}
	jars := 0
	var diameters []float64
	for _, plan := range j.about.plans {
		j.figures(t, plan, text)
		for _, d := range plan.Batch.Drawings {
			jars += len(d.Spots)
			for _, s := range d.Spots {
				diameters = append(diameters, float64(s.Diameter/(8*quantity.Inch))*72)
			}
		}
	}
	assert.Equal(t, jars, p.Circles, "circles on the page")
	assert.Equal(t, jars, circlesOf(t, p.PDF, pages, diameters), "circles in print, in their size")
}

// figures looks for every step and figure of a plan in the text of a page.
func (j job) figures(t *testing.T, plan timeline.Plan, text string) {
	f := words.Form{Units: plan.Batch.Units}
	b, u := plan.Batch, plan.Batch.Units
	nameless := b
	nameless.Name = ""
	want := []string{words.Heading(nameless)}
	want = append(want, b.Name, b.Yield.Water.Both(u), b.Yield.Strained.Likely.Both(u), b.Yield.ReadyToFill.Likely.Both(u),
		b.Leftover.Volume.Likely.Both(u), b.Chill.IceToHave.Both(u))
	for _, step := range plan.Steps {
		until := "15:04"
		if step.End.YearDay() != step.Start.YearDay() {
			until = "Mon 15:04"
		}
		from, to := timeline.ClockSpan(step.Start, step.End, "15:04", until)
		want = append(want, from+"–"+to+words.Title(plan, step, f))
		if !plan.Spare(step) && (step.Role != timeline.Load || step.Loads[0].Number == 1) {
			want = append(want, words.Detail(plan, step, f)...)
		}
	}
	for _, c := range plan.Checks {
		if c.AllDay { // of the week before
			continue
		}
		title, _ := words.Check(plan, c, f)
		want = append(want, title)
	}
	for _, load := range b.Loads {
		want = append(want, fmt.Sprintf("%d: %s", load.Number, load.Contents()), words.Setting(b, load))
		want = append(want, words.PhaseSpans(load)...)
	}
	for _, use := range plan.UseBy {
		want = append(want, use.By.Format("Mon 2 Jan 2006"))
	}
	notes := slices.DeleteFunc(slices.Concat(b.Warnings, plan.Warnings, b.Cautions, b.Assumed),
		func(n remark.Note) bool { return n.Code == remark.SecondRack }) // nothing for the day itself
	want = append(want, notesOf(notes, f)...)
	for _, trouble := range words.Troubles(plan, f) {
		want = append(want, trouble.Do)
	}
	for _, sentence := range want {
		assert.Contains(t, text, squeezed(sentence), "%q", sentence)
	}
}

func notesOf(notes []remark.Note, f words.Form) (texts []string) {
	for _, note := range notes {
		texts = append(texts, words.Note(note, f))
	}
	return texts
}

// squeezed is text without what a line end may change, and with ligatures undone.
func squeezed(text string) string {
	whole := strings.NewReplacer("ﬁ", "fi", "ﬂ", "fl", "ﬀ", "ff", "ﬃ", "ffi", "ﬄ", "ffl", "•", "", "◦", "")
	return strings.Join(strings.Fields(whole.Replace(text)), "")
}

var (
	drawnPath = regexp.MustCompile(`<path [^>]*\bd="([^"]*)"([^>]*)`)
	matrix    = regexp.MustCompile(`matrix\(([-\d.]+), ?([-\d.]+), ?([-\d.]+), ?([-\d.]+), ?([-\d.]+), ?([-\d.]+)\)`)
	pathPoint = regexp.MustCompile(`-?\d+(?:\.\d+)? -?\d+(?:\.\d+)?`)
)

// circlesOf counts the circles in print that are as wide as one of diameters, in points:
// closed paths of curves alone, each once, whether its line or its area is drawn.
func circlesOf(t *testing.T, pdf string, pages int, diameters []float64) int {
	t.Helper()
	seen := map[string]bool{}
	for page := 1; page <= pages; page++ {
		n := strconv.Itoa(page)
		picture := runTool(t, "pdftocairo", "-svg", "-f", n, "-l", n, pdf, "-")
		for _, path := range drawnPath.FindAllStringSubmatch(picture, -1) {
			if strings.Contains(path[1], "L") || !strings.Contains(path[1], "C") {
				continue
			}
			scale, moved := [2]float64{1, 1}, [2]float64{}
			if m := matrix.FindStringSubmatch(path[2]); m != nil {
				for i, to := range []*float64{&scale[0], nil, nil, &scale[1], &moved[0], &moved[1]} {
					if to != nil {
						*to, _ = strconv.ParseFloat(m[i+1], 64)
					}
				}
			}
			low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
			for _, point := range pathPoint.FindAllString(path[1], -1) {
				for i, field := range strings.Fields(point) {
					x, _ := strconv.ParseFloat(field, 64)
					x = scale[i]*x + moved[i]
					low[i], high[i] = min(low[i], x), max(high[i], x)
				}
			}
			width, height := high[0]-low[0], high[1]-low[1]
			round := math.Abs(width-height) < 0.3
			if round && slices.ContainsFunc(diameters, func(d float64) bool { return math.Abs(d-width) < 0.6 }) {
				seen[fmt.Sprintf("%d %.0f %.0f", page, low[0]+high[0], low[1]+high[1])] = true
			}
		}
	}
	return len(seen)
}

// valid asks the Nu checker about all the pages of a folder.
func valid(t *testing.T, folder string) {
	t.Helper()
	jar := filepath.Join(os.Getenv("BROTHRUN_PAPER"), "node_modules", "vnu-jar", "build", "dist", "vnu.jar")
	pages, err := filepath.Glob(filepath.Join(folder, "*.html"))
	require.NoError(t, err)
	require.NotEmpty(t, pages)
	out, err := exec.Command("java", append([]string{"-jar", jar, "--format", "gnu"}, pages...)...).CombinedOutput()
	assert.NoError(t, err, "%s", out)
	assert.Empty(t, string(out), "the Nu checker")
}

// pictured keeps the first page of the demo for README.md. Its bytes hang on the versions
// of browser and poppler: -update draws it anew.
func pictured(t *testing.T, pdf string) {
	t.Helper()
	picture := filepath.Join("..", "testdata", "golden", "sheet")
	if *update {
		drawn := filepath.Join(t.TempDir(), "sheet")
		runTool(t, "pdftoppm", "-r", "72", "-gray", "-png", "-f", "1", "-singlefile", pdf, drawn)
		page, err := os.ReadFile(drawn + ".png")
		require.NoError(t, err)
		full, err := png.Decode(bytes.NewReader(page))
		require.NoError(t, err)
		greys := make(color.Palette, 8)
		for i := range greys {
			greys[i] = color.Gray{Y: uint8(255 * i / (len(greys) - 1))}
		}
		small := image.NewPaletted(full.Bounds(), greys)
		draw.Draw(small, small.Bounds(), full, image.Point{}, draw.Src)
		var file bytes.Buffer
		require.NoError(t, (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&file, small))
		require.NoError(t, os.WriteFile(picture+".png", file.Bytes(), 0o644))
	}
	file, err := os.Stat(picture + ".png")
	require.NoError(t, err, "go test ./export -run TestSheetsArePrinted -update draws it")
	assert.Less(t, file.Size(), int64(150_000))
}

// Labels lie where those of the sheet do, to a tenth of a millimetre, and no text leaves
// its label.
func TestLabelsArePrinted(t *testing.T) {
	needPaper(t)
	folder := t.TempDir()
	plan := fromFiles(t, nil, "demo/run.toml")[0]
	plan.Batch.Name = strings.Repeat("W", 40)
	asks := []export.LabelAsk{
		{Paper: "letter"},
		{Paper: "a4", Skip: 4},
		{Paper: "a4", Label: "38.1x21.2mm", Skip: 60},
		{Paper: "a4", Round: "63.5mm"},
		{Paper: "letter", Label: "60x40mm", Sheet: "across=3,down=6,left=12mm,top=15mm,pitch=63x44mm", Shift: "1mm,-0.5mm"},
	}
	var jobs []job
	var sheets []export.LabelSheet
	for i, ask := range asks {
		sheet, err := ask.Read(quantity.US)
		require.NoError(t, err)
		var page bytes.Buffer
		require.NoError(t, export.Labels(&page, plan, plan.Labels(quantity.Quart, 0), sheet, ask.Skip))
		name := filepath.Join(folder, strconv.Itoa(i))
		require.NoError(t, os.WriteFile(name+".html", page.Bytes(), 0o644))
		jobs = append(jobs, job{HTML: name + ".html", PDF: name + ".pdf", Font: pinned[1], Axe: true,
			Width: sheet.Paper.Width.Millimetres(), Height: sheet.Paper.Height.Millimetres()})
		sheets = append(sheets, sheet)
	}
	for _, browser := range browsers {
		for i, p := range printAll(t, browser, jobs) {
			assert.Empty(t, p.Cut)
			assert.Empty(t, p.Small)
			assert.Empty(t, p.Axe)
			if browser == "chromium" {
				assert.LessOrEqual(t, p.Wide, 320, "fits a small phone")
			}
			onTheirPlaces(t, browser, p.PDF, sheets[i], asks[i].Skip)
		}
	}
	valid(t, folder)
}

// onTheirPlaces compares where the first word of each label of a jar stands in print with
// where the label does. On a round one it is in the middle.
func onTheirPlaces(t *testing.T, browser, pdf string, sheet export.LabelSheet, skip int) {
	t.Helper()
	const tolerance = 0.1 // mm, of the issue
	word := regexp.MustCompile(`xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="[\d.]+">Canned<`)
	at := skip
	page := 0
	var first [2]float64
	var from int
	for part := range strings.SplitSeq(runTool(t, "pdftotext", "-bbox", pdf, "-"), "<page ") {
		found := word.FindAllStringSubmatch(part, -1)
		if len(found) == 0 {
			continue
		}
		page++
		slices.SortStableFunc(found, func(a, b []string) int { // row by row
			number := func(text string) float64 { x, _ := strconv.ParseFloat(text, 64); return x }
			return cmp.Or(cmp.Compare(math.Round(number(a[2])/10), math.Round(number(b[2])/10)),
				cmp.Compare(number(a[1]), number(b[1])))
		})
		for _, f := range found {
			x, _ := strconv.ParseFloat(f[1], 64)
			y, _ := strconv.ParseFloat(f[2], 64)
			here := [2]float64{x / 72 * 25.4, y / 72 * 25.4}
			n := at % sheet.Labels()
			if at == skip || n == 0 {
				first, from = here, n
			}
			place := func(n int) [2]float64 {
				return [2]float64{float64(n%sheet.Across) * sheet.PitchX.Millimetres(),
					float64(n/sheet.Across) * sheet.PitchY.Millimetres()}
			}
			for i := range 2 {
				assert.InDelta(t, place(n)[i]-place(from)[i], here[i]-first[i], tolerance, "%s, label %d", browser, at)
			}
			left := sheet.Left.Millimetres() + place(n)[0]
			assert.True(t, here[0] > left && here[0] < left+sheet.Width.Millimetres(), "within its label")
			at++
		}
	}
	assert.Equal(t, skip+13, at, "%s: as many as jars", browser)
	assert.NotZero(t, page)
}

// cardOf is the card of what plans need, on letter.
func cardOf(t *testing.T, plans ...timeline.Plan) []byte {
	size, err := export.ParsePaper("letter", quantity.US)
	require.NoError(t, err)
	var out bytes.Buffer
	require.NoError(t, export.ReadySheet(&out, timeline.ReadyFor(settle.House{}, plans), size))
	return out.Bytes()
}

// Hostile names are shown as they are written and do nothing else.
func TestHostileNamesArePrinted(t *testing.T) {
	needPaper(t)
	folder := t.TempDir()
	names := []string{
		`<script>document.title = "taken"</script>`, `"quotes" 'and' </style><b>bold</b> {{.}} &amp; -->`,
		strings.Repeat("é", 150), // 300 bytes
		"مرق الدجاج (٢)", "鶏がらスープを濾す", "کتاب\u200cها", "👩‍🍳 broth",
	}
	var jobs []job
	for i, name := range names {
		plans := fromFiles(t, nil, "demo/run.toml")
		plans[0].Batch.Name = name
		for k := range plans[0].Batch.Drawings {
			for s := range plans[0].Batch.Drawings[k].Spots {
				plans[0].Batch.Drawings[k].Spots[s].Jar = name
			}
		}
		file := filepath.Join(folder, strconv.Itoa(i))
		require.NoError(t, os.WriteFile(file+".html", sheetOf(t, "letter", plans...), 0o644))
		jobs = append(jobs, job{HTML: file + ".html", PDF: file + ".pdf", Width: 215.9, Height: 279.4, Margin: 9})
		card := file + "-card"
		require.NoError(t, os.WriteFile(card+".html", cardOf(t, plans...), 0o644))
		jobs = append(jobs, job{HTML: card + ".html", PDF: card + ".pdf", Width: 215.9, Height: 279.4, Margin: 9, Axe: true})
	}
	for i, p := range printAll(t, "chromium", jobs) {
		assert.Contains(t, squeezed(p.Text), squeezed(names[i/2]))
		assert.Empty(t, p.Cut)
		if i%2 == 1 { // a card, without jars
			assert.Empty(t, p.Small)
		}
		assert.Empty(t, p.Axe)
		assert.LessOrEqual(t, p.Wide, 320)
	}
	valid(t, folder)
}
