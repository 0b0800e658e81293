package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// plain asserts that a sentence is there, with all of its facts and no more.
func plain(t *testing.T, text string, f Form) {
	t.Helper()
	assert.NotEmpty(t, text)
	assert.NotContains(t, text, "%!")
	if !f.Flags {
		assert.NotContains(t, text, "--")
	}
}

var forms = []Form{{}, {Flags: true}, {Units: quantity.Metric}}

func TestEveryRoleHasWords(t *testing.T) {
	load := stock.Load{Number: 1}
	batch := stock.Batch{Loads: []stock.Load{load, {Number: 2}}}
	for role := timeline.Prepare; role <= timeline.DryCheck; role++ {
		step := timeline.Step{ID: "its ID", Role: role, Loads: batch.Loads[:1], DryerBatch: 1}
		plan := timeline.Plan{Batch: batch, Steps: []timeline.Step{step}}
		for _, f := range forms {
			assert.NotEqual(t, "its ID", Title(plan, step, f), "role %d", role)
			plain(t, Title(plan, step, f), f)
			require.NotEmpty(t, Detail(plan, step, f), "role %d", role)
			for _, text := range Detail(plan, step, f) {
				assert.NotContains(t, text, "%!", "role %d", role)
			}
		}
	}
	assert.Equal(t, "its ID", Title(timeline.Plan{}, timeline.Step{ID: "its ID"}, Form{}))
}

// A step made by hand may lack its loads.
func TestAStepWithoutItsLoadsHasWords(t *testing.T) {
	for role := timeline.Prepare; role <= timeline.DryCheck; role++ {
		step := timeline.Step{ID: "any", Role: role}
		plain(t, Title(timeline.Plan{}, step, Form{}), Form{})
		Detail(timeline.Plan{}, step, Form{})
	}
}

func TestEveryReasonHasWords(t *testing.T) {
	for reason := timeline.NoReason + 1; reason <= timeline.MayBeDry; reason++ {
		assert.NotEmpty(t, reasons[reason], "reason %d", reason)
	}
	some := timeline.Part{Role: timeline.Load, Load: 2}
	said := map[string]bool{}
	for kind := timeline.NotHeld + 1; kind <= timeline.ComesBefore; kind++ {
		why := timeline.Why{Kind: kind, After: some, Before: some, Reason: timeline.FullBoil, Gap: time.Hour, What: timeline.Canner, Places: 1}
		for _, f := range forms {
			plain(t, Why(why, f), f)
		}
		said[Why(why, Form{})] = true
	}
	assert.Len(t, said, int(timeline.ComesBefore), "each its own")
	assert.Empty(t, Why(timeline.Why{}, Form{}))
}

func TestEveryMissAndEveryWayOutHasWords(t *testing.T) {
	some := timeline.Part{Role: timeline.Load, Load: 2}
	why := timeline.Why{Kind: timeline.Away}
	said := map[string]bool{}
	for kind := timeline.DayTooShort; kind <= timeline.DryerTaken; kind++ {
		for _, f := range forms {
			text := Unfit(&timeline.Unfit{Kind: kind, Of: some, From: some, To: some, Why: why, Days: 60, Takes: time.Hour}, f)
			plain(t, text, f)
			said[text] = true
		}
	}
	for kind := timeline.StartBy; kind <= timeline.LeftoverFrozen; kind++ {
		for _, f := range forms[:1] { // with the flags they differ
			text := WayOut(&timeline.Unfit{}, timeline.WayOut{Kind: kind, Takes: time.Hour, Loads: 2, Jars: "quart=7"}, f)
			plain(t, text, f)
			said[text] = true
		}
	}
	assert.Len(t, said, int(timeline.DryerTaken)+int(timeline.LeftoverFrozen), "each its own")
}

// Each code of timeline/notes.go has a sentence, and each sentence a code.
func TestEveryNoteOfTheClockHasWords(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "../../timeline/notes.go", nil, 0)
	require.NoError(t, err)
	codes := map[string]bool{}
	ast.Inspect(file, func(node ast.Node) bool {
		if spec, ok := node.(*ast.ValueSpec); ok {
			code, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
			require.NoError(t, err)
			codes[code] = true
			said := notes[code] != ""
			for key := range ofRecord {
				said = said || key == code || strings.HasPrefix(key, code+"/")
			}
			assert.True(t, said, code)
		}
		return true
	})
	assert.Greater(t, len(codes), 10)
	tried := map[string]bool{}
	noon := time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)
	jars, load := []record.JarCount{{Jar: "quart", Count: 2}}, stock.Load{Number: 2}
	some, up := timeline.Part{Role: timeline.Load, Load: 2}, timeline.Why{Kind: timeline.Asleep}
	volumes := quantity.Of(quantity.Quart, quantity.Quart, quantity.Gallon)
	for code, facts := range map[string][]any{
		timeline.GoesOn:                     {timeline.Part{Role: timeline.Chill}, noon, up, time.Time{}},
		timeline.GoesOn + "/":               {some, noon, up, noon},
		timeline.RestUnfit:                  {&timeline.Unfit{Kind: timeline.Blocked, Why: up}, []timeline.WayOut{{Kind: timeline.Elsewhen}}, noon},
		timeline.CoolAgain:                  {[]stock.Load{load}, noon},
		timeline.MeatWaits:                  {noon},
		timeline.MeatTooLong:                {noon, noon},
		timeline.ReheatBroth:                {noon, noon},
		timeline.ChillUnproven:              {noon, noon},
		timeline.NotStrained:                nil,
		timeline.SeveralPots:                {2},
		timeline.StillOn:                    {2, timeline.AtPressure},
		timeline.KeptTooOld:                 {2, 80 * time.Hour, 72 * time.Hour},
		timeline.RedoLoad + "/":             {2, load, time.Time{}},
		timeline.NotProcessed + "/kept":     {2, noon, 80 * time.Hour, 72 * time.Hour},
		timeline.NotProcessed + "/raw":      {2, noon},
		timeline.RedoLoad:                   {2, load, noon},
		timeline.UnsealedJars:               {jars, noon, noon},
		timeline.UnsealedJars + "/late":     {jars, noon},
		timeline.HeatOffTooSoon:             {2, noon, noon},
		timeline.LidOffTooSoon:              {2, noon, noon},
		timeline.VentTooShort:               {2, noon, noon},
		timeline.NotAtPressure:              {2, record.HeatOff, timeline.Venting, noon},
		timeline.NotAtPressure + "/":        {2, record.HeatOff, timeline.NotOn, time.Time{}},
		timeline.LoadOver:                   {2, record.Steam, noon},
		timeline.OutOfOrder + "/first":      {2, record.Zero, record.HeatOff},
		timeline.OutOfOrder + "/after":      {2, record.Steam, record.HeatOff, noon},
		timeline.NotProcessed + "/heat-off": {2, noon, 20 * time.Minute, 25 * time.Minute},
		timeline.NotProcessed + "/vented":   {2, noon, 5 * time.Minute, 10 * time.Minute},
		timeline.NotProcessed + "/pressure": {2, noon},
		timeline.NotProcessed + "/zero":     {2, noon},
		timeline.NotProcessed + "/lid-off":  {2, noon},
		timeline.NotProcessed + "/again":    {2, noon},
		timeline.NotYet:                     {record.Strained, some, noon, "simmer"},
		timeline.TooMuch:                    {record.Strained, quantity.Gallon, quantity.Quart},
		timeline.OfAllPots:                  {record.Strained, 2, "roaster", noon, "strain-2"},
		timeline.NoSuchStep:                 {"simer", []string{"simmer", "strain"}},
		timeline.NoSuchLoad:                 {3, 2},
		timeline.NoSuchJar:                  {"bottle", []stock.JarCount{{Jar: "quart", Count: 2}}},
		timeline.MayNotSkip:                 {some},
		timeline.TooManyJars:                {jars, record.Unsealed, []stock.JarCount{}},
		timeline.TooManyJars + "/load":      {jars, 2, 7},
		timeline.NotedAhead:                 {noon},
		timeline.NotedBefore:                {noon, noon},
		timeline.HeatUnsaid:                 nil,
		timeline.VolumeOdd:                  {record.Strained, quantity.Gallon, volumes},
		timeline.VolumeOdd + "/pots":        {record.Strained, quantity.Gallon, volumes},
		timeline.MoreLoads:                  {3, 2, 21.0, noon},
		timeline.MoreLoads + "/late":        {3, 2, 21.0, noon, timeline.DefaultAwake()},
		timeline.EarlierDay + "/later":      {noon, noon.Add(20 * time.Hour), noon.Add(30 * time.Hour)},
		timeline.AwakeAssumed:               {timeline.DefaultAwake()},
		timeline.ZoneAssumed:                {"UTC", "this machine's clock"},
		timeline.GaugeCheckDue:              {noon, 2},
		timeline.GaugeCheckFuture:           {noon},
		timeline.Slack:                      {noon, time.Hour},
		timeline.EarlierDay:                 {noon, noon, timeline.Why{Kind: timeline.Asleep}},
		timeline.SeveralCanningDays:         {[]time.Time{noon, noon}},
		timeline.UnattendedTopUp:            nil,
		timeline.UnattendedDry:              {quantity.Gallon, quantity.Quart},
		timeline.OneBurner:                  nil,
		timeline.LateEvening:                {stock.Batch{}, timeline.Step{Role: timeline.Chill}, noon, timeline.DefaultAwake()},
		timeline.LateSealCheck:              {[]stock.Load(nil), noon, noon, noon},
		timeline.DryerTakenLong:             {noon},
		timeline.DryerTakenLong + "/never":  {60},
		timeline.Past:                       {noon},
		timeline.ThawLate:                   {noon, noon},
		timeline.RepeatedHour:               {"01:30"},
		timeline.RunMoved:                   {noon, noon},
		timeline.OtherRunsDropped:           {"run.ics", 2},
		timeline.BusyOdd:                    {"work.ics:3: this event has no DTSTART"},
		timeline.BusyOdd + "/more":          {7},
	} {
		code, in, _ := strings.Cut(code, "/")
		tried[code] = true
		assert.True(t, codes[code], code)
		for _, f := range forms {
			plain(t, Note(remark.Note{Code: code, Case: in, Facts: facts}, f), f)
		}
	}
	assert.Equal(t, codes, tried, "codes whose facts are not tried")
}
