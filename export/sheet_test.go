package export_test

import (
	"bytes"
	"html"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// The golden pages pin the bytes; that they print well is for TestSheetsArePrinted and
// TestLabelsArePrinted.
func TestGoldenPages(t *testing.T) {
	plan := fromFiles(t, nil, "demo/run.toml")[0]
	golden(t, "sheet.html", string(sheetOf(t, "letter", plan)))
	golden(t, "labels.html", string(labelsOf(t, plan, export.LabelAsk{})))
}

func labelsOf(t testing.TB, plan timeline.Plan, ask export.LabelAsk) []byte {
	t.Helper()
	sheet, err := ask.Read(plan.Batch.Units)
	require.NoError(t, err)
	var page bytes.Buffer
	require.NoError(t, export.Labels(&page, plan, plan.Labels(quantity.Quart, 0), sheet, ask.Skip))
	return page.Bytes()
}

// What a sheet leaves out where there are many steps is nothing of the process, the chill
// or safety, and no warning.
func TestADenseSheetLeavesOutNothingThatMatters(t *testing.T) {
	settings := map[string]string{"jars": "pint", "pot": "36qt", "bones": "14lb", "top-up": "level"}
	plan := fromFiles(t, settings, "demo/run.toml")[0]
	page := shownText(sheetOf(t, "letter", plan))
	f := words.Form{Units: plan.Batch.Units}
	left := 0
	for _, step := range plan.Steps {
		for _, sentence := range words.Detail(plan, step, f) {
			switch {
			case plan.Spare(step):
				left++
			case step.Role == timeline.Load && step.Loads[0].Number > 1: // as for load 1
			default:
				assert.Contains(t, page, squeezed(sentence), step.ID)
			}
		}
	}
	assert.Positive(t, left)
	for _, role := range []timeline.Role{
		timeline.Strain, timeline.Chill, timeline.InFridge, timeline.Skim, timeline.Reheat, timeline.WashJars,
		timeline.Fill, timeline.Load, timeline.Unload, timeline.Rest, timeline.SealCheck, timeline.DryCheck,
	} {
		assert.False(t, plan.Spare(timeline.Step{Role: role}))
	}
	simmer := timeline.Step{Role: timeline.Simmer, Kind: timeline.Watch}
	assert.False(t, plan.Spare(simmer), "it is topped up: there is a figure in it")
}

var markupOf = regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`)

// shownText is the text of a page, squeezed.
func shownText(page []byte) string {
	text := markupOf.ReplaceAllString(string(page), "")
	return squeezed(html.UnescapeString(text))
}

// A page loads nothing, runs nothing and is whole in one file.
func TestAPageIsSelfContained(t *testing.T) {
	plan := fromFiles(t, nil, "demo/run.toml")[0]
	for _, page := range [][]byte{sheetOf(t, "a4", plan), labelsOf(t, plan, export.LabelAsk{Paper: "a4"})} {
		for _, banned := range []string{
			"<script", "http:", "https:", "src=", "@import", "url(", "<link", "onload", "ZgotmplZ",
		} {
			assert.NotContains(t, string(page), banned)
		}
		assert.Contains(t, string(page), `<html lang="en">`)
		assert.Equal(t, 1, bytes.Count(page, []byte("<main>")))
		assert.Equal(t, 1, bytes.Count(page, []byte("<h1")))
	}
}

// Names of the cook's are text wherever they stand.
func TestNamesOnAPageAreText(t *testing.T) {
	for _, name := range hostileTitles {
		plan := drawn(t)
		plan.Batch.Name = name
		plan.Batch.Drawings[0].Jars[0].Jar = name
		plan.Batch.Drawings[0].Spots = sevenUp(name, 3.83*quantity.Inch)
		plan.Steps[0].ID, plan.Steps[0].Role = name, 0
		other := turkeyFrames(t)
		other.Batch.Name = "<b>" + name
		page := string(sheetOf(t, "letter", plan, other))
		assert.NotContains(t, page, "<b>bold")
		assert.NotContains(t, page, "\x1b")
		assert.NotContains(t, page, "\u202e")
		assert.Equal(t, 7, strings.Count(page, `class="jar"`))
	}
}

// Sizes of jar are told apart by a shape in each circle, not by colour.
func TestSizesOfJarAreToldApartByShape(t *testing.T) {
	plan := drawn(t)
	one := svgOf(t, plan)
	assert.NotContains(t, string(one), "<polygon", "one size has no mark")
	d := &plan.Batch.Drawings[0]
	d.Jars = append(d.Jars, stock.JarCount{Jar: "pint", Count: 2})
	d.Spots[0].Jar, d.Spots[1].Jar = "pint", "pint"
	page := sheetOf(t, "letter", plan)
	assert.Equal(t, 2, bytes.Count(page, []byte("<polygon")))
	assert.Equal(t, 2, bytes.Count(page, []byte(">pint<")))
	assert.Equal(t, 5, bytes.Count(page, []byte(">quart<")))
}

// The process of each pressure and time is told once, in one piece: no step of it is left
// out because another load has it too.
func TestTheProcessIsToldInOnePiece(t *testing.T) {
	plan := fromFiles(t, map[string]string{"jars": "quart=5,pint", "bones": "9lb"}, "demo/run.toml")[0]
	text, settings := shownText(sheetOf(t, "letter", plan)), map[string]bool{}
	for _, step := range plan.Steps {
		if step.Role != timeline.Load || settings[words.Setting(plan.Batch, step.Loads[0])] {
			continue
		}
		settings[words.Setting(plan.Batch, step.Loads[0])] = true
		assert.Contains(t, text, squeezed(strings.Join(words.Detail(plan, step, words.Form{Units: plan.Batch.Units}), " ")))
	}
	assert.Len(t, settings, 2, "quarts and pints")
}

// Nothing is printed for a plan that is refused but what may be done.
func TestASheetOfWhatIsRefused(t *testing.T) {
	page := shownText(sheetOf(t, "letter", refused(t)))
	assert.Contains(t, page, "Refused")
	assert.NotContains(t, page, "Cannerlog")
	assert.NotContains(t, page, "Pressurefell")
}

// Sheets of labels as they are sold lie in the middle of their paper; figures by
// arithmetic from the size and the pitch.
func TestLabelSheets(t *testing.T) {
	tests := []struct {
		ask       export.LabelAsk
		labels    int
		left, top float64 // mm
	}{
		{export.LabelAsk{Paper: "a4"}, 21, 7.25, 15.15},
		{export.LabelAsk{Paper: "letter"}, 30, 4.7625, 12.7},
		{export.LabelAsk{Paper: "letter", Label: "2.63x1in"}, 30, 4.7625, 12.7},
		{export.LabelAsk{Paper: "letter", Label: "2 5/8 x 1 in"}, 30, 4.7625, 12.7},
		{export.LabelAsk{Paper: "a4", Label: "38.1×21.2mm"}, 65, 4.75, 10.7},
		{export.LabelAsk{Paper: "a4", Label: "70x37 mm", Shift: "1mm,-0.5mm"}, 24, 1, 0},
		{export.LabelAsk{Paper: "a4", Round: "63.5mm"}, 12, 7.25, 17.75},
		{export.LabelAsk{Paper: "letter", Label: "60x40mm",
			Sheet: "across=3, down=6, left=12mm, top=15mm, pitch=63x44mm"}, 18, 12, 15},
		{export.LabelAsk{Paper: "a4", Label: "100x140mm", Sheet: "across=2,down=2"}, 4, 5, 8.5},
	}
	for _, test := range tests {
		sheet, err := test.ask.Read(quantity.US)
		require.NoError(t, err, "%+v", test.ask)
		assert.Equal(t, test.labels, sheet.Labels(), "%+v", test.ask)
		assert.InDelta(t, test.left, sheet.Left.Millimetres(), 0.01, "%+v", test.ask)
		assert.InDelta(t, test.top, sheet.Top.Millimetres(), 0.01, "%+v", test.ask)
	}
}

func TestLabelsThatCannotBe(t *testing.T) {
	for want, ask := range map[string]export.LabelAsk{
		"--label 50x20mm: no sheet of letter paper":    {Label: "50x20mm"},
		"--label 50: two measures":                     {Label: "50"},
		"--label 5x5mm: a label is at least 10 mm":     {Label: "5x5mm"},
		"--label and --round go against each other":    {Label: "4x2in", Round: "2in"},
		"--round 99mm: no sheet":                       {Round: "99mm"},
		"--skip 30: a sheet has 30 labels, so 0 to 29": {Skip: 30},
		"--skip -1: a sheet has 30":                    {Skip: -1},
		"--sheet does not say how large":               {Sheet: "across=3,down=7"},
		"does not say how many":                        {Label: "60x40mm", Sheet: "across=3"},
		"labels do not fit on letter paper":            {Label: "60x40mm", Sheet: "across=9,down=3"},
		"overlap at that pitch":                        {Label: "60x40mm", Sheet: "across=3,down=3,pitch=50x40mm"},
		`there is no "foo" in a sheet`:                 {Label: "60x40mm", Sheet: "across=3,down=6,foo=1"},
		"given twice":                                  {Label: "60x40mm", Sheet: "across=3,across=6"},
		"--shift 1mm: two measures":                    {Shift: "1mm"},
		"--shift 1m,0: at most 20 mm":                  {Shift: "1m,0"},
		"--paper a3: no such paper":                    {Paper: "a3"},
		"across is a count of 1 to 50, not \"51\"":     {Label: "60x40mm", Sheet: "across=51,down=1"},
		"--sheet left: \"\" is no length":              {Label: "60x40mm", Sheet: "across=1,down=1,left"},
		"--label NaNxInfmm":                            {Label: "NaNxInfmm"},
	} {
		_, err := ask.Read(quantity.US)
		require.Error(t, err, want)
		if !strings.Contains(want, "left") && !strings.Contains(want, "NaN") {
			assert.Contains(t, err.Error(), want)
		}
	}
}

// A label is made smaller, and then shorter, in the order that is documented; the kind
// and the date stay.
func TestALabelIsNeverCutOff(t *testing.T) {
	plan := fromFiles(t, nil, "demo/run.toml")[0]
	canned := plan
	canned.Batch.Leftover.Splash = true // no powder, which has a shorter label
	whole := []string{"Turkeyframesbroth", "Harvestsupperbroth", "Canned29Nov2026", "15psifor25min", "Useby29Nov2027",
		"Load1"}
	for _, test := range []struct {
		label string
		gone  []int
	}{
		{"60x40mm", nil},
		{"60x20mm", []int{1}},
		{"60x17mm", []int{1, 5}},
		{"60x13mm", []int{1, 3, 5}},
		{"60x10mm", []int{1, 3, 4, 5}},
	} {
		page := shownText(labelsOf(t, canned, export.LabelAsk{Label: test.label, Sheet: "across=1,down=1"}))
		_, page, _ = strings.Cut(page, "thelabels.") // behind its heading
		for i, line := range whole {
			gone := false
			for _, g := range test.gone {
				gone = gone || g == i
			}
			assert.Equal(t, !gone, strings.Contains(page, line), "%s: %s", test.label, line)
		}
	}
	sheet, err := export.LabelAsk{Label: "12x10mm", Sheet: "across=1,down=1"}.Read(quantity.US)
	require.NoError(t, err)
	err = export.Labels(io.Discard, plan, plan.Labels(quantity.Quart, 0), sheet, 0)
	assert.ErrorContains(t, err, "too small for the kind and the date")
}

func BenchmarkSheet(b *testing.B) {
	plan := drawn(b)
	paper, err := export.ParsePaper("letter", quantity.US)
	require.NoError(b, err)
	for b.Loop() {
		if err := export.Sheet(io.Discard, []timeline.Plan{plan}, paper); err != nil {
			b.Fatal(err)
		}
	}
}
