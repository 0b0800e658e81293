package words_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

// cut is what a narrow phone shows of a title: 30 characters; from memory of phones,
// which show 25 to 35.
func cut(title string) string {
	letters := []rune(title)
	return string(letters[:min(30, len(letters))])
}

// asks is what has to be read before a step, and whatever the title, its first
// characters: nobody opens a canner, fills a jar or strains because a clock says so.
var asks = map[timeline.Role]string{
	timeline.Simmer: "Bubbles?", timeline.Strain: "eady?", timeline.Skim: "?", timeline.Fill: "Full boil?",
	timeline.Unload: "Zero + 10 min?", timeline.DryLoad: "Frozen solid?", timeline.DryCheck: "Dry through?",
}

// does is the action of a step.
var does = map[timeline.Role]string{
	timeline.Thaw: "Thaw", timeline.Prepare: "Get ready", timeline.HeatUp: "Heat", timeline.Simmer: "Simmer", timeline.Strain: "Strain",
	timeline.Chill: "Chill", timeline.Pick: "Pick the meat", timeline.InFridge: "fridge", timeline.Skim: "Skim", timeline.Leftover: "Keep back",
	timeline.Pack: "Pack", timeline.BackInFridge: "fridge", timeline.Reheat: "Reheat", timeline.WashJars: "Wash",
	timeline.Fill: "Fill", timeline.Load: "Load", timeline.Unload: "Unload", timeline.CleanUp: "Wipe",
	timeline.Rest: "rest", timeline.SealCheck: "seals", timeline.PreFreeze: "freezing", timeline.DryLoad: "Dry",
	timeline.Dry: "Freeze dryer", timeline.DryCheck: "Pack",
}

// drawnKitchens gives each a batch of another kitchen on its clock.
func drawnKitchens(t *testing.T, count int, each func(plan timeline.Plan, f words.Form)) {
	random := rand.New(rand.NewPCG(16, 30))
	one := func(of ...string) string { return of[random.IntN(len(of))] }
	for range count {
		units := one("us", "metric")
		b, err := stock.Plan(settled(t, func(k *runfile.Kitchen, r *runfile.Run) {
			r.Kind, r.Route = one("turkey-frames", "chicken", "whole-chicken", "beef", "fish"), one("freeze-dry", "freezer", "fridge")
			r.Jars = one("quart,pint", "quart=14,pint=24,half-pint=48", "pint=40,half-pint=60", "half-pint", "quart=0")
			k.Pots[0].Volume = to(quantity.Volume(20+random.IntN(30)) * quantity.Quart)
			r.Simmer = to(time.Duration(1+random.IntN(12)) * 45 * time.Minute)
			r.Altitude = to(quantity.Length(random.IntN(9000)) * quantity.Foot)
			k.Gauge, k.Units = one("weighted", "dial", ""), units
			r.Chill = one("", "", "", "fridge", "ice-bath-stirred")
			r.Thaw, k.Hob = one("", "fridge", "cold-water", "none"), one("gas", "propane")
			if slices.Contains([]string{"turkey-frames", "beef", "fish"}, r.Kind) && random.IntN(4) == 0 {
				r.Thaw = "pot"
			}
		}))
		if err != nil {
			continue // what does not fit the pot
		}
		if plan, err := place(t, b, timeline.Calendar{}); err == nil {
			each(plan, words.Form{Units: b.Units})
		}
	}
}

// Sources: common practice, no source, for what a phone shows; USDA guide 2015, for
// what a load must not be without.
func TestWhatAPhoneShowsOfATitleIsEnough(t *testing.T) {
	seen := map[timeline.Role]bool{}
	drawnKitchens(t, 150, func(plan timeline.Plan, f words.Form) {
		for _, s := range plan.Steps {
			full := words.Brief(plan, s, f)
			title := cut(full)
			assert.NotContains(t, full, "%!")
			assert.NotContains(t, strings.ToLower(title), "heat off", "none goes off by the clock")
			if plan.Batch.EndsAtStraining() && (s.Role <= timeline.Prepare || s.Role == timeline.Strain) {
				assert.Regexp(t, "(?i)do not|read first", title)
				continue
			}
			seen[s.Role] = true
			assert.Contains(t, title, does[s.Role], full)
			if ask := asks[s.Role]; ask != "" {
				assert.Contains(t, title, ask, full)
				assert.Less(t, strings.Index(title, "?"), strings.Index(title, does[s.Role]), "%s: the reading comes first", full)
			}
			switch {
			case s.Role == timeline.Load:
				load := s.Loads[0]
				assert.Contains(t, title, fmt.Sprintf("Load %d: ", load.Number))
				assert.Contains(t, title, quantity.FormatDuration(load.Process), full)
				if plan.Batch.OtherGauge == nil {
					assert.Contains(t, title, load.Pressure.Format(f.Units), full)
				} else {
					assert.NotContains(t, title, "psi", "%s: which of two is not cut off", full)
				}
			case s.Role == timeline.Fill || s.Role == timeline.Unload:
				assert.Contains(t, title, fmt.Sprint(s.Loads[0].Number), full)
			case s.Role == timeline.Simmer:
				assert.Contains(t, title, quantity.FormatDuration(plan.Batch.Simmer), full)
			case s.Role == timeline.Dry:
				assert.Regexp(t, `look \w{3} \d\d:\d\d`, title, full)
			case s.Role == timeline.Strain && plan.Batch.Meat.Likely > 0:
				// USDA safe minimum temperature of poultry, from memory.
				assert.Regexp(t, "^(165 °F|74 °C)[?]", title)
			case s.Role == timeline.Pick && !s.Cold:
				assert.Regexp(t, "by [0-9]{2}:[0-9]{2}: ", title, full)
			case s.Role == timeline.Chill:
				limits := []string{"70 °F by 2 h", "41 by 6 h"}
				if f.Units == quantity.Metric {
					limits = []string{"21 °C by 2 h", "5 by 6 h"}
				}
				for _, limit := range limits {
					assert.Contains(t, title, limit, full)
				}
			}
		}
	})
	for role := range does {
		assert.True(t, seen[role] || role == timeline.BackInFridge, "role %d was never drawn", role)
	}
}

// Source: USDA guide 2015: the time counts from the moment the pressure is reached.
func TestALoadAsksForATimerAtPressure(t *testing.T) {
	plan := placed(t, demoBatch(t, asItIs))
	text := detail(plan, steps(t, plan, "load-1")[0])
	timer, off := strings.Index(text, "set a timer"), strings.Index(text, "Heat off")
	assert.Positive(t, timer)
	assert.Greater(t, off, timer)
	assert.Contains(t, text, "5. Timer out, and never below? Heat off.")
}

// Source: FDA Food Code 3-501.14(A) for the limits of a chill, USDA guide 2015 for the
// phases of a load.
func TestWhatAPhoneShowsOfACheckIsAQuestion(t *testing.T) {
	number := map[timeline.Asks]string{timeline.GaugeDue: "gauge checked", timeline.NewLids: "lids?",
		timeline.FillTank: "propane left?", timeline.DryerFree: "dryer free?", timeline.ClearRoom: "Fridge: ",
		timeline.IntoFridge: "into the fridge?", timeline.DayBefore: "ones ", timeline.Below70F: "If not: reheat to",
		timeline.Below41F: "If not: throw it away", timeline.Bedtime: "Look before bed", timeline.Lit: "High heat",
		timeline.WeightOn: "Weight on", timeline.TimeStarts: "Timer", timeline.HeatMayGoOff: "Heat off?", timeline.GaugeAtZero: "Weight off"}
	seen := map[timeline.Asks]bool{}
	drawnKitchens(t, 100, func(plan timeline.Plan, f words.Form) {
		for _, c := range append(plan.Checks, plan.Phases()...) {
			seen[c.Asks] = true
			title, detail := words.Check(plan, c, f)
			assert.NotContains(t, title+strings.Join(detail, ""), "%!")
			assert.Contains(t, title, "?")
			assert.NotRegexp(t, "(?i)heat off([^?]|$)", title, "no clock takes heat off")
			shown := cut(title)
			assert.Contains(t, shown, number[c.Asks], title)
			if c.Asks >= timeline.WeightOn {
				assert.Less(t, strings.Index(shown, "?"), strings.Index(shown, number[c.Asks]), title)
				assert.Contains(t, title, fmt.Sprint(c.Load.Number))
			}
			if c.Asks == timeline.TimeStarts {
				assert.Contains(t, shown, quantity.FormatDuration(c.Load.Process), title)
			}
		}
	})
	assert.Len(t, seen, len(number))
}
