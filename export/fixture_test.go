package export_test

import (
	"bytes"
	"testing"
	"time"
	_ "time/tzdata" // the same zones wherever the tests run

	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/chill"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// now stamps the calendars of the tests: midnight UTC, 2026-11-25.
var now = time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)

func place(t testing.TB, name string) *time.Location {
	t.Helper()
	location, err := time.LoadLocation(name)
	require.NoError(t, err)
	return location
}

func calendarOf(t testing.TB, plan timeline.Plan, zoneInFile bool) []byte {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, export.Calendar(&file, []timeline.Plan{plan}, export.Options{Now: now, ZoneInFile: zoneInFile}))
	return file.Bytes()
}

// titleOf and detailOf are what a calendar says of a step.
func titleOf(plan timeline.Plan, step timeline.Step) string {
	return words.Brief(plan, step, words.Form{Units: plan.Batch.Units})
}

func detailOf(plan timeline.Plan, step timeline.Step) []string {
	return words.Detail(plan, step, words.Form{Units: plan.Batch.Units})
}

func span(low, likely, high time.Duration) quantity.Band[time.Duration] {
	return quantity.Band[time.Duration]{Low: low * time.Minute, Likely: likely * time.Minute, High: high * time.Minute}
}

// turkeyFrames is a two-day run of 9 lb of turkey frames at 3,200 ft: a day from
// bones to the fridge, and one from the fat to two canner loads and a tray of
// leftover. Its figures are made up to be round; only the process (15 psi on the
// weighted gauge above 1,000 ft, quarts 25 min) is that of the USDA Complete
// Guide to Home Canning, Guide 5, "Meat stock (broth)".
func turkeyFrames(t testing.TB) timeline.Plan {
	cycle := canner.Phases{
		HeatUp: span(20, 25, 30), Vent: span(10, 10, 10), Pressurise: span(5, 8, 10), Process: span(25, 25, 25),
		Depressurise: span(25, 30, 40), Wait: span(10, 10, 10),
	}
	load := func(number int) stock.Load {
		return stock.Load{
			Number: number, Process: 25 * time.Minute, Pressure: 15 * quantity.PSI, Gauge: "weighted", Cycle: cycle,
			Layers:     []stock.Layer{{Rack: 1, Jars: []stock.JarCount{{Jar: "quart", Count: 7}}}},
			Fuel:       quantity.Band[quantity.Energy]{Low: 1.2 * quantity.KilowattHour, Likely: 2 * quantity.KilowattHour, High: 2.6 * quantity.KilowattHour},
			WaterPutIn: 2.8 * quantity.Litre, WaterLeft: quantity.Band[quantity.Volume]{Low: 2.2 * quantity.Litre, Likely: 2.4 * quantity.Litre, High: 2.6 * quantity.Litre},
		}
	}
	plan := timeline.Plan{
		RunID: "harvest-frames", Revision: 2, Location: place(t, "America/Denver"),
		Warnings: []remark.Note{{Code: timeline.RepeatedHour, Facts: []any{"Sat 01:30"}}},
		Batch: stock.Batch{
			Name: "Frames after the feast", Kind: "turkey-frames", What: "turkey frames", Altitude: 3200 * quantity.Foot, Gauge: "weighted",
			Weight: 9 * quantity.Pound, Simmer: 45 * time.Minute, HeatUp: span(60, 75, 90), Reheat: span(30, 40, 50),
			Yield: stock.Yield{
				Water: 14 * quantity.Litre, Evaporated: 0.5 * quantity.Litre, HeldBySolids: 0.8 * quantity.Litre,
				Strained: quantity.Band[quantity.Volume]{Low: 12 * quantity.Litre, Likely: 12.7 * quantity.Litre, High: 13.2 * quantity.Litre},
				Fat:      0.1 * quantity.Litre,
				ReadyToFill: quantity.Band[quantity.Volume]{Low: 11.7 * quantity.Litre, Likely: 12.512345 * quantity.Litre,
					High: 13 * quantity.Litre},
			},
			Jars:  []stock.JarsToFill{{JarCount: stock.JarCount{Jar: "quart", Count: 14}, Mouth: "regular", Low: 13, High: 14, Wash: 15, Fill: 0.86 * quantity.Litre}},
			Loads: []stock.Load{load(1), load(2)},
			Chill: stock.Chill{
				Method: "ice-bath-stirred+fridge", To70F: chill.Reach{After: 32*time.Minute + 20*time.Second},
				To41F: chill.Reach{After: 4 * time.Hour}, HandsOn: span(30, 35, 45), Passes: true, Verdict: "pass", Ice: 9 * quantity.Kilogram, IceToHave: 11 * quantity.Kilogram,
				SlowTo70F: chill.Reach{After: 50 * time.Minute}, SlowTo41F: chill.Reach{After: 5 * time.Hour},
				Result: chill.Result{Method: "ice-bath-stirred+fridge", SwitchAt: quantity.Fahrenheit(70)},
			},
			Leftover: stock.Leftover{
				Volume: quantity.Band[quantity.Volume]{Likely: 0.47 * quantity.Litre, High: 0.9 * quantity.Litre}, Route: "freeze-dry",
				Trays: 1, Batches: 1, Depth: 6 * quantity.Millimetre, PreFreeze: 12 * time.Hour, Hours: span(18*60, 24*60, 30*60),
				Powder: 19 * quantity.Gram,
			},
			Assumed:  []remark.Note{{Code: remark.FridgeAssumed, Facts: []any{quantity.Fahrenheit(38)}}},
			Warnings: []remark.Note{{Code: remark.NearOverflow}},
			Cautions: []remark.Note{{Code: remark.SkimAndBoil}, {Code: remark.NeverForce}},
		},
	}
	at := func(day, hour, minute int) time.Time {
		return time.Date(2026, 11, day, hour, minute, 0, 0, plan.Location)
	}
	cook := []timeline.Resource{timeline.Cook}
	stove := []timeline.Resource{timeline.Cook, timeline.Stove, timeline.Pot}
	canner := []timeline.Resource{timeline.Cook, timeline.Stove, timeline.Canner}
	plan.Steps = []timeline.Step{
		{ID: "prepare", Role: timeline.Prepare, Start: at(28, 8, 0), End: at(28, 8, 30), Span: span(20, 30, 45),
			Kind: timeline.HandsOn, Needs: cook, Remind: 15 * time.Minute},
		{ID: "heat-up", Role: timeline.HeatUp, Start: at(28, 8, 30), End: at(28, 9, 45), Span: span(60, 75, 90),
			Kind: timeline.Watch, Needs: stove},
		{ID: "simmer", Role: timeline.Simmer, Start: at(28, 9, 45), End: at(28, 10, 30), Span: span(45, 45, 45),
			Kind: timeline.Watch, Needs: stove, Remind: 5 * time.Minute},
		{ID: "strain", Role: timeline.Strain, Start: at(28, 10, 30), End: at(28, 11, 0), Span: span(20, 30, 45),
			Kind: timeline.HandsOn, Needs: cook, Remind: 20 * time.Minute},
		{ID: "chill", Role: timeline.Chill, Start: at(28, 11, 0), End: at(28, 11, 35), Span: span(30, 35, 45),
			Kind: timeline.HandsOn, Needs: cook, Remind: 5 * time.Minute},
		{ID: "fridge", Role: timeline.InFridge, UseBy: at(31, 12, 0), Start: at(28, 11, 35), End: at(29, 8, 0),
			Span: span(20*60+25, 20*60+25, 20*60+25), Kind: timeline.Waiting, Needs: []timeline.Resource{timeline.Fridge}},
		{ID: "skim", Role: timeline.Skim, Start: at(29, 8, 0), End: at(29, 8, 20), Span: span(15, 20, 30),
			Kind: timeline.HandsOn, Needs: cook, Remind: 15 * time.Minute},
		{ID: "reheat", Role: timeline.Reheat, Loads: plan.Batch.Loads, Start: at(29, 8, 20), End: at(29, 9, 0), Span: span(30, 40, 50),
			Kind: timeline.Watch, Needs: stove, Remind: 5 * time.Minute},
		{ID: "load-1", Role: timeline.Load, Loads: plan.Batch.Loads[:1], Start: at(29, 9, 0), End: at(29, 10, 48), Span: span(95, 108, 125),
			Kind: timeline.Watch, Needs: canner, Remind: 5 * time.Minute},
		{ID: "load-2", Role: timeline.Load, Loads: plan.Batch.Loads[1:], Start: at(29, 11, 0), End: at(29, 12, 48), Span: span(95, 108, 125),
			Kind: timeline.Watch, Needs: canner, Remind: 5 * time.Minute},
		{ID: "dry-1", Role: timeline.Dry, DryerBatch: 1, Start: at(30, 7, 0), End: at(30, 7, 0).Add(24 * time.Hour), Span: span(18*60, 24*60, 30*60),
			Kind: timeline.Waiting, Needs: []timeline.Resource{timeline.FreezeDryer}},
	}
	return plan
}

// refused is a run of pork: no jars and no canner loads, all of it to the freezer.
func refused(t testing.TB) timeline.Plan {
	plan := turkeyFrames(t)
	plan.RunID, plan.Likeness, plan.Revision, plan.Warnings = "pork", []string{"Pork bones\x00pork", "file\x00pork"}, 0, nil
	plan.Batch.Name, plan.Batch.Kind, plan.Batch.What = "Pork bones", "pork", "pork bones"
	plan.Batch.Jars, plan.Batch.Loads = nil, nil
	plan.Batch.Leftover = stock.Leftover{Volume: plan.Batch.Yield.ReadyToFill, Route: "freezer", Advice: []remark.Note{{Code: "In boxes with room to swell."}}}
	plan.Batch.Refusals = []remark.Note{{Code: process.NoTestedProcess, Case: "pork"}}
	steps := plan.Steps
	plan.Steps = append(steps[:7:7], timeline.Step{ID: "leftover", Role: timeline.Pack, Start: steps[7].Start, End: steps[7].End,
		Kind: timeline.HandsOn, Span: span(20, 30, 45), Needs: []timeline.Resource{timeline.Cook, timeline.Freezer}})
	return plan
}

// hostileTitles is what a file of events must survive.
var hostileTitles = []string{
	"line one\r\nline two",
	"stray\rreturn\x00nul\x1bescape\x7f",
	"END:VEVENT\r\nBEGIN:VEVENT\r\nUID:forged",
	"commas, semicolons; colons: \"quotes\" and a \\ slash",
	"bad \xff\xfe utf-8",
	"separators\u2028of\u2029lines\u0085here",
	"🍗🦃🥕 " + "🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲🍲",
	"=HYPERLINK(\"x\")",
	"| a | <b>bold</b> | [link](x) |",
	"   ",
	string(bytes.Repeat([]byte("seven hundred letters "), 32)),
	string(bytes.Repeat([]byte("é"), 700)),
	"鶏がらスープを濾す、氷水の用意",
	"\tTab\tin it",
}

// hostile is a plan whose names, titles and details all try to break out. A step
// without a role is called by its ID.
func hostile(t testing.TB) timeline.Plan {
	plan := timeline.Plan{RunID: "hostile\r\nX-INJECTED:1", Likeness: []string{"alike\r\nX-INJECTED:2"}, Location: place(t, "America/Denver")}
	plan.Batch.Name = "Name\r\nMETHOD:REQUEST"
	plan.Batch.Warnings = []remark.Note{{Code: "1. a *bold* warning\n\n# heading"}}
	start := time.Date(2026, 11, 28, 8, 0, 0, 0, plan.Location)
	for i, title := range hostileTitles {
		from := start.Add(time.Duration(i) * time.Hour)
		plan.Steps = append(plan.Steps, timeline.Step{
			ID: title, Notes: []remark.Note{{Code: title}, {Code: "then more"}}, Kind: timeline.HandsOn,
			Start: from, End: from.Add(30 * time.Minute),
		})
	}
	return plan
}

// overChange is a plan with a step every 15 minutes from 4 hours before a change
// of clocks to 4 hours after it, each an hour long.
func overChange(location *time.Location, change time.Time) timeline.Plan {
	plan := timeline.Plan{RunID: "clocks " + change.String(), Location: location}
	for offset := -4 * time.Hour; offset <= 4*time.Hour; offset += 15 * time.Minute {
		start := change.Add(offset).In(location)
		plan.Steps = append(plan.Steps, timeline.Step{
			ID: "Watch the pot " + offset.String(), Kind: timeline.Watch, Start: start, End: start.Add(time.Hour),
			Remind: 10 * time.Minute,
		})
	}
	return plan
}
