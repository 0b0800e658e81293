package export_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

func TestTableHasARowForEachStep(t *testing.T) {
	plan := turkeyFrames(t)
	var file bytes.Buffer
	require.NoError(t, export.CSV(&file, plan))
	// Source: RFC 4180, section 2, rule 1: each line ends with CRLF.
	for line := range strings.Lines(file.String()) {
		assert.True(t, strings.HasSuffix(line, "\r\n"), "%q", line)
	}
	rows, err := csv.NewReader(&file).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+len(plan.Steps))
	assert.Equal(t, []string{"id", "title", "start", "end", "minutes", "kind", "needs", "detail"}, rows[0])
	assert.Equal(t, []string{"strain", "Ice bath ready? Strain the broth", "2026-11-28T10:30:00-07:00", "2026-11-28T11:00:00-07:00", "30",
		"hands-on", "cook", strings.Join(detailOf(plan, plan.Steps[3]), " ")}, rows[4])
	assert.Equal(t, "cook stove pot", rows[2][6])
	assert.Equal(t, "1225", rows[6][4])
}

func TestNoCellRunsAsAFormula(t *testing.T) {
	tests := []struct {
		source      string
		title, want string
	}{
		{"OWASP, CSV Injection (from memory)", `=HYPERLINK("x")`, `'=HYPERLINK("x")`},
		{"OWASP, CSV Injection (from memory)", "+1", "'+1"},
		{"OWASP, CSV Injection (from memory)", "-1", "'-1"},
		{"OWASP, CSV Injection (from memory)", "@SUM(A1)", "'@SUM(A1)"},
		{"OWASP, CSV Injection (from memory)", "\t=1", "'=1"},
		{"OWASP, CSV Injection (from memory)", "\r=1", "'=1"},
		{"OWASP, CSV Injection (from memory)", "＝1", "'＝1"},
		{"text with a sign inside is text", "pot - lid", "pot - lid"},
		{"quotes and commas are quoted, not changed", `a "b", c`, `a "b", c`},
	}
	for _, test := range tests {
		t.Run(test.title, func(t *testing.T) {
			plan := turkeyFrames(t)
			plan.Steps[0].ID, plan.Steps[0].Role = test.title, 0 // so that it is called by its ID
			plan.Steps[0].Notes = []remark.Note{{Code: test.title}}
			plan.Steps[0].Needs = []timeline.Resource{timeline.Resource(test.title)}
			var file bytes.Buffer
			require.NoError(t, export.CSV(&file, plan))
			rows, err := csv.NewReader(&file).ReadAll()
			require.NoError(t, err)
			for _, column := range []int{0, 1, 6, 7} {
				assert.Equal(t, test.want, rows[1][column])
			}
		})
	}
}

// The keys are a contract with scripts: this is the whole of them.
func TestJSONHasTheKeysScriptsDependOn(t *testing.T) {
	plan := turkeyFrames(t)
	plan.Steps = plan.Steps[3:4]
	plan.Batch.Loads = plan.Batch.Loads[:1]
	var file bytes.Buffer
	require.NoError(t, export.JSON(&file, plan))
	assert.Equal(t, `{
  "schema": 1,
  "run": {
    "id": "harvest-frames",
    "revision": 2,
    "name": "Frames after the feast",
    "kind": "turkey-frames",
    "zone": "America/Denver",
    "altitude_m": 975.36,
    "gauge": "weighted"
  },
  "yield": {
    "water_l": 14,
    "given_off_l": 0,
    "evaporated_l": 0.5,
    "topped_up_l": 0,
    "held_by_solids_l": 0.8,
    "strained_l": {
      "low": 12,
      "likely": 12.7,
      "high": 13.2
    },
    "fat_l": 0.1,
    "lost_l": 0,
    "ready_to_fill_l": {
      "low": 11.7,
      "likely": 12.5123,
      "high": 13
    },
    "spread_from": []
  },
  "jars": [
    {
      "jar": "quart",
      "mouth": "regular",
      "count": 14,
      "low": 13,
      "high": 14,
      "wash": 15,
      "fill_l": 0.86
    }
  ],
  "loads": [
    {
      "number": 1,
      "process_min": 25,
      "pressure_psi": 15,
      "gauge": "weighted",
      "layers": [
        {
          "rack": 1,
          "jars": [
            {
              "jar": "quart",
              "count": 7
            }
          ]
        }
      ],
      "minutes": {
        "heat_up": 25,
        "vent": 10,
        "pressurise": 8,
        "process": 25,
        "depressurise": 30,
        "wait": 10,
        "total": 108
      },
      "fuel_kwh": {
        "low": 1.2,
        "likely": 2,
        "high": 2.6
      },
      "canner_water_left_l": {
        "low": 2.2,
        "likely": 2.4,
        "high": 2.6
      }
    }
  ],
  "small_last_load_chance": 0,
  "chill": {
    "method": "ice-bath-stirred+fridge",
    "to_70f_min": 32.3,
    "to_41f_min": 240,
    "passes": true,
    "verdict": "pass",
    "ice_kg": 9,
    "ice_to_have_kg": 11
  },
  "leftover": {
    "volume_l": 0.47,
    "volume_band_l": {
      "low": 0,
      "likely": 0.47,
      "high": 0.9
    },
    "route": "freeze-dry",
    "trays": 1,
    "batches": 1,
    "hours": 24,
    "powder_g": 19
  },
  "steps": [
    {
      "id": "strain",
      "title": "Ice bath ready? Strain the broth",
      "start": "2026-11-28T10:30:00-07:00",
      "end": "2026-11-28T11:00:00-07:00",
      "kind": "hands-on",
      "needs": [
        "cook"
      ]
    }
  ],
  "assumed": [
    {
      "code": "fridge",
      "text": "The fridge is at 38 °F (3 °C); put a thermometer in it."
    }
  ],
  "warnings": [
    {
      "code": "near-overflow",
      "text": "The pot is filled nearly to the brim: it may boil over. Add the last of the water once the level has dropped."
    },
    {
      "code": "repeated-hour",
      "text": "The clock shows Sat 01:30 twice that night; the first is meant."
    }
  ],
  "refusals": [],
  "cautions": [
    "Skim the fat: on a rim it can stop a seal. Reheat to a full boil before filling.",
    "Never force a canner to cool."
  ]
}
`, file.String())
}

func TestJSONOfAnEmptyPlanHasNoNullsAndFakesNothing(t *testing.T) {
	var file bytes.Buffer
	require.NoError(t, export.JSON(&file, timeline.Plan{}))
	assert.NotContains(t, file.String(), "null")
	var data map[string]any
	require.NoError(t, json.Unmarshal(file.Bytes(), &data))
	assert.NotContains(t, data, "chill")
	assert.NotContains(t, data, "leftover")
	for _, list := range []string{"jars", "loads", "steps", "assumed", "warnings", "refusals", "cautions"} {
		assert.Equal(t, []any{}, data[list], list)
	}
}

func TestJSONOfATimeThatNeverComesIsNull(t *testing.T) {
	plan := turkeyFrames(t)
	plan.Batch.Chill.To41F = chill.Reach{Never: true}
	var file bytes.Buffer
	require.NoError(t, export.JSON(&file, plan))
	assert.Contains(t, file.String(), `"to_41f_min": null`)
}

func TestJSONOfTheFreezerRouteHasNoDrying(t *testing.T) {
	var file bytes.Buffer
	require.NoError(t, export.JSON(&file, refused(t)))
	var data struct {
		Leftover map[string]any
		Refusals []struct{ Code, Text string }
	}
	require.NoError(t, json.Unmarshal(file.Bytes(), &data))
	assert.Equal(t, map[string]any{"volume_l": 12.5123, "route": "freezer",
		"volume_band_l": map[string]any{"low": 11.7, "likely": 12.5123, "high": 13.0}}, data.Leftover)
	assert.Equal(t, "no-tested-process", data.Refusals[0].Code)
}

func TestJSONOfAFigureThatIsNotFiniteIsAnError(t *testing.T) {
	plan := turkeyFrames(t)
	plan.Batch.Yield.Water = quantity.Volume(math.NaN())
	assert.Error(t, export.JSON(&bytes.Buffer{}, plan))
}

func TestPageHoldsTheAnswerFirst(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, export.Markdown(&page, turkeyFrames(t), quantity.Metric))
	text := page.String()
	at := 0
	for _, part := range []string{
		"# Frames after the feast", "- **You are needed** Sat 28 Nov: 08:00-11:35", "- **Strained** ", "- **Ready to fill** ", "- **Jars** 14 quarts: ",
		"- **Pressure** 103 kPa (15 psi): weighted gauge, 25 min", "## Watch out", "- The clock shows Sat 01:30 twice", "- The pot is filled nearly",
		"## Canner loads", "## Steps, on the clock of America/Denver",
		"### Sat 28 Nov\n\n- **08:00-08:30** Get ready", "- **11:35-Sun 08:00** Broth in the fridge", "### Sun 29 Nov\n\n- **08:00-08:20** Skim the fat",
		"## Assumed", "## Always", "- Skim the fat: ",
	} {
		found := strings.Index(text[at:], part)
		require.GreaterOrEqual(t, found, 0, "%q comes after the parts before it in\n%s", part, text)
		at += found
	}
	assert.Contains(t, text, "| 7 quarts ")
	assert.NotContains(t, text, "## Refused")
}

func TestPageOfARefusedPlanRefusesAboveTheSteps(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, export.Markdown(&page, refused(t), quantity.US))
	text := page.String()
	require.Contains(t, text, "## Refused\n\n- No tested process for pork or ham stock was found")
	assert.Less(t, strings.Index(text, "## Refused"), strings.Index(text, "## Steps"))
	assert.NotContains(t, text, "Canner loads")
}

func TestPageNamesTheClockWhenItChanges(t *testing.T) {
	plan := overChange(place(t, "America/Denver"), time.Date(2026, 11, 1, 8, 0, 0, 0, time.UTC))
	var page bytes.Buffer
	require.NoError(t, export.Markdown(&page, plan, quantity.US))
	assert.Contains(t, page.String(), "**01:30 MDT-01:30 MST**")
}

// Source: CommonMark 0.31.2, 2.4 (a backslash before punctuation makes it
// literal), and GitHub Flavored Markdown 0.29, 4.10 (a pipe in a cell is escaped).
func TestPageShowsTextAsItIs(t *testing.T) {
	tests := []struct{ text, want string }{ // where a line begins with it
		{"a | b", `a \| b`},
		{`a \| b`, `a \\\| b`},
		{"*b* _i_ `c`", "\\*b\\* \\_i\\_ \\`c\\`"},
		{"<b>&amp;</b>", `\<b\>\&amp;\</b\>`},
		{"![x](y)", `!\[x\](y)`},
		{"one\n\n# two", `one \# two`},
		{"1. first", `1\. first`},
		{"1) first", `1\) first`},
		{"- item", `\- item`},
		{"+ item", `\+ item`},
		{"12.5 qt", "12.5 qt"},
		{"---", `\---`},
	}
	for _, test := range tests {
		t.Run(test.text, func(t *testing.T) {
			plan := turkeyFrames(t)
			plan.Steps[0].ID, plan.Steps[0].Role = test.text, 0 // so that it is called by its ID
			plan.Batch.Cautions = []remark.Note{{Code: test.text}}
			var page bytes.Buffer
			require.NoError(t, export.Markdown(&page, plan, quantity.US))
			assert.Contains(t, page.String(), "\n- "+test.want+"\n")
			within := regexp.MustCompile(`^(\d*)\\([-+=.)])`).ReplaceAllString(test.want, "$1$2")
			assert.Contains(t, page.String(), "**08:00-08:30** "+within+" (hands-on)\n")
		})
	}
}

func TestHostileTitlesDoNotBreakThePage(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, export.Markdown(&page, hostile(t), quantity.US))
	steps := page.String()[strings.Index(page.String(), "## Steps"):]
	lines := regexp.MustCompile(`^(## .*|### \w{3} \d+ \w{3}|- \*\*\d\d:\d\d-\d\d:\d\d\*\*.*| {2,4}[^-+=#|\d\s].*| {2}- .*| {2}\d+\. .*|)$`)
	rows := 0
	for line := range strings.Lines(steps) {
		assert.Regexp(t, lines, strings.TrimSuffix(line, "\n"))
		assert.NotRegexp(t, `(^|[^\\])(\\\\)*[|<]`, line, "what would begin a table or a tag")
		if strings.HasPrefix(line, "- ") {
			rows++
		}
	}
	assert.Equal(t, len(hostileTitles), rows)
}
