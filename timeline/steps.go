package timeline

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
)

// Spans of the hands-on steps. Common practice, no source, unless said.
var (
	preparing  = minutes(20, 30, 45)
	straining  = minutes(20, 30, 45)
	skimming   = minutes(15, 20, 30)
	washing    = minutes(20, 30, 45)
	unloading  = minutes(5, 10, 15)
	cleaningUp = minutes(15, 20, 30)
	trayingUp  = minutes(10, 15, 25)
	portioning = minutes(20, 30, 45)
	sealing    = minutes(15, 20, 40)
	glance     = minutes(5, 10, 15) // at the lids alone
	dryerLoad  = minutes(5, 10, 15)
	dryerCheck = minutes(10, 20, 30)
)

// perJar is the time to fill, wipe and lid one jar, and fillStart what filling
// takes before the first; common practice, no source.
const (
	perJar    = stock.FillPerJar
	fillStart = stock.FillStart
)

func minutes(low, likely, high int) quantity.Band[time.Duration] {
	return quantity.Band[time.Duration]{
		Low:    time.Duration(low) * time.Minute,
		Likely: time.Duration(likely) * time.Minute,
		High:   time.Duration(high) * time.Minute,
	}
}

// keeps is why the broth is not left waiting for longer than fridgeHold.
const keeps = "cold broth keeps 3 days"

// tasksOf lists the steps of a run with their rules, from preparing to the
// wiped-down kitchen. The loads are canned in so many sessions, each with a
// reheat of its own; joined lets the canning follow the skimming without a
// pause.
func tasksOf(run Run, sessions int, joined bool) []task {
	first := firstDay(run)
	if run.Batch.EndsAtStraining() {
		return first
	}
	return append(first, laterDays(run.Batch, sessions, joined)...)
}

// firstDay is preparing to the end of the attended chill.
func firstDay(run Run) []task {
	b, u := run.Batch, run.Batch.Units
	var tasks []task
	add := func(name string, step Step, rules ...rule) {
		tasks = append(tasks, task{Step: step, name: name, rules: rules})
	}
	hob := func(needs ...Resource) []Resource {
		switch run.Heat {
		case OwnHeat:
			return append(needs, Pot)
		case Oven:
			return append(needs, Oven, Pot)
		}
		return append(needs, Stove, Pot)
	}

	water := fmt.Sprintf("Pour in %s of cold water.", b.Yield.Water.Both(u))
	if b.Yield.WaterFits {
		water = fmt.Sprintf("Fill to the line with cold water: about %s.", b.Yield.Water.Both(u))
	}
	add("getting ready", Step{
		ID: "prepare", Title: fmt.Sprintf("Get ready: %s of %s into the pot", b.Weight.Format(u), b.What),
		Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: preparing, Remind: 15 * time.Minute,
		Detail: []string{water, readiness(b)},
	})
	add("heating up", Step{
		ID: "heat-up", Title: "Bring the pot to a simmer", Kind: Watch,
		Needs: hob(Cook), Span: b.HeatUp, Remind: 5 * time.Minute,
		Detail: []string{
			"High heat until the first bubbles rise, then turn it down; skim off the foam.",
			"The simmer counts from the first bubbles.",
		},
	}, atOnce("prepare", "raw bones do not stand about"))
	simmer := Step{
		ID: "simmer", Title: "Simmer " + quantity.FormatDuration(b.Simmer), Kind: Watch,
		Needs: hob(Cook), Span: quantity.Exactly(b.Simmer), Remind: 5 * time.Minute,
		Detail: []string{
			"Just under the boil: a bubble now and then, no rolling.",
			fmt.Sprintf("Expect about %s to boil off.", b.Yield.Evaporated.Both(u)),
		},
	}
	if b.TopUp {
		simmer.Detail = append(simmer.Detail, fmt.Sprintf("Once an hour pour hot water back to the line: about %s each time, %s in all.",
			(b.Yield.ToppedUp/quantity.Volume(max(1, b.Simmer.Hours()))).Both(u), b.Yield.ToppedUp.Both(u)))
	}
	if run.alone() {
		simmer.Kind, simmer.Needs = Waiting, hob()
		simmer.Detail = append(simmer.Detail, "It goes on with nobody beside it, as you said it may. Before you leave it: the bones well under water, a bare simmer, nothing near the heat, the smoke alarm working.")
	}
	add("the simmer", simmer, atOnce("heat-up", ""))
	strained := b.Yield.BeforeIce()
	if b.EndsAtStraining() {
		step := Step{
			ID: "strain", Title: "No safe chill is planned: read before you strain", Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: straining, Remind: 20 * time.Minute,
		}
		for _, refusal := range b.Refusals {
			step.Detail = append(step.Detail, refusal.Text)
		}
		add("straining", step, atOnce("simmer", ""))
		return tasks
	}
	add("straining", Step{
		ID: "strain", Title: chillReady(b.Chill) + "? Strain the broth", Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: straining, Remind: 20 * time.Minute,
		Detail: []string{
			"A full pot is heavy and scalds: two people, or ladle it out.",
			fmt.Sprintf("Expect about %s strained (%s to %s). Note what you get.", strained.Likely.Both(u), strained.Low.Format(u), strained.High.Format(u)),
			iceToHave(b) + " Chilling starts as soon as it is strained.",
		},
	}, atOnce("simmer", ""))
	chill := Step{
		ID: "chill", Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: attended(b.Chill), Remind: 5 * time.Minute,
		Title: fmt.Sprintf("Chill (%s): %s within 2 h, %s within 6 h", b.Chill.Words(),
			quantity.Fahrenheit(70).Format(u), quantity.Fahrenheit(41).Format(u)),
		Detail: []string{b.Chill.Advice, chillTarget(b)},
	}
	if b.Chill.Watched {
		chill.Kind = Watch
	}
	for _, warning := range b.Warnings {
		if warning.Code == stock.ChillNarrow {
			chill.Detail = append([]string{warning.Text}, chill.Detail...)
		}
	}
	add("the chill", chill, atOnce("strain", "chilling starts as soon as it is strained"))
	return tasks
}

// attended is the hands-on part of the chill, at least the minutes it takes to
// put a pot away.
func attended(c stock.Chill) quantity.Band[time.Duration] {
	const least = 5 * time.Minute
	up := func(d time.Duration) time.Duration { return max(least, d).Round(time.Minute) }
	return quantity.Band[time.Duration]{Low: up(c.HandsOn.Low), Likely: up(c.HandsOn.Likely), High: up(c.HandsOn.High)}
}

// chillReady is what has to stand ready before the broth is strained.
func chillReady(c stock.Chill) string {
	switch {
	case strings.HasPrefix(c.Method, "ice-bath"):
		return "Ice bath ready"
	case c.Ice > 0:
		return "Ice ready"
	}
	return "Chill ready"
}

// readiness is what to look at before anything goes into the pot.
func readiness(b stock.Batch) string {
	if b.EndsAtStraining() {
		return "Do not begin before there is a safe way to chill it: see the straining."
	}
	return "Room in the fridge for the strained broth? " + iceToHave(b)
}

func iceToHave(b stock.Batch) string {
	if b.Chill.Ice <= 0 {
		return fmt.Sprintf("Chill ready: %s.", b.Chill.Words())
	}
	return fmt.Sprintf("Ice ready: %s.", b.Chill.Ice.Both(b.Units))
}

// chillTarget is what the thermometer should show, counted from 135 °F.
func chillTarget(b stock.Batch) string {
	u := b.Units
	if b.Chill.To70F.Never || b.Chill.To41F.Never {
		return "It does not get cold enough by itself. The thermometer decides."
	}
	return fmt.Sprintf("Expected, from %s: %s after %s to %s, %s after %s to %s. The thermometer decides.", quantity.Fahrenheit(135).Both(u),
		quantity.Fahrenheit(70).Both(u), b.Chill.To70F, b.Chill.SlowTo70F, quantity.Fahrenheit(41).Both(u), b.Chill.To41F, b.Chill.SlowTo41F)
}

// fridgeStep is the night between the two days.
func fridgeStep(b stock.Batch, from, until, by time.Time) Step {
	return Step{
		ID: "fridge", Title: "Broth in the fridge, fat setting", Kind: Waiting, Needs: []Resource{Fridge},
		Why:   "after the chill, until the skimming",
		Start: from, End: until, Span: quantity.Exactly(until.Sub(from)),
		Detail: []string{
			fmt.Sprintf("Loosely covered, on the coldest shelf. Check before bed: %s or below.", quantity.Fahrenheit(41).Both(b.Units)),
			fmt.Sprintf("Use or can it by %s: 3 days from straining.", by.Format("Mon 2 Jan")),
		},
	}
}

// inTheFridge is skimmed broth waiting for its session of canning.
func inTheFridge(b stock.Batch, session int, from, until, by time.Time) Step {
	title := "Skimmed broth back in the fridge"
	if session > 1 {
		title = "The rest of the broth stays in the fridge"
	}
	return Step{
		ID: nth("fridge-again", session), Title: title, Kind: Waiting, Needs: []Resource{Fridge},
		Start: from, End: until, Span: quantity.Exactly(until.Sub(from)),
		Why:    "until somebody can stay by the canner",
		Detail: []string{fmt.Sprintf("Covered, at %s or below. It does not stand warm in between. Use or can it by %s: 3 days from straining.", quantity.Fahrenheit(41).Both(b.Units), by.Format("Mon 2 Jan"))},
	}
}

// laterDays is skimming to the wiped-down kitchen.
func laterDays(b stock.Batch, sessions int, joined bool) []task {
	u := b.Units
	var tasks []task
	add := func(name string, step Step, rules ...rule) {
		tasks = append(tasks, task{Step: step, name: name, rules: rules})
	}
	add("skimming", Step{
		ID: "skim", Title: "Skim the fat off the cold broth", Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: skimming, Remind: 15 * time.Minute,
		Detail: []string{
			fmt.Sprintf("Lift the fat cap off whole: about %s. Expect about %s skimmed.", b.Yield.Fat.Both(u), (b.Yield.Strained.Likely - b.Yield.Fat).Both(u)),
			fmt.Sprintf("Still at %s or below? Broth that missed the limits of the chill is thrown away.", quantity.Fahrenheit(41).Both(u)),
		},
	}, rule{after: "chill", least: coldAfter(b), most: forever, why: "the broth has to be cold through and its fat firm"}, rule{after: "strain", most: fridgeHold, why: keeps})
	if len(b.Loads) == 0 {
		add("packing", leftoverStep(b, portioning), atOnce("skim", ""))
		add("wiping down", cleanUpStep(b), atOnce("leftover", ""))
		return tasks
	}

	last := "skim"
	if !b.Leftover.Splash {
		// Before the reheat, so that what is not canned stays cold.
		add("keeping back the leftover", leftoverStep(b, trayingUp), atOnce("skim", "what is not canned stays cold"))
		last = "leftover"
	}
	first := 0
	for n := 1; n <= sessions; n++ {
		loads := b.Loads[first : first+share(len(b.Loads), sessions, n)]
		first += len(loads)
		begin := rule{after: last, most: forever}
		if n == 1 && joined {
			begin = atOnce(last, "")
		}
		reheat, jars, cleanUp := nth("reheat", n), nth("jars", n), nth("clean-up", n)
		add("the reheat", reheatStep(b, reheat, loads), begin, rule{after: "strain", most: fridgeHold, why: keeps})
		add("washing jars", Step{
			ID: jars, Title: "Wash the jars and keep them hot: " + washList(b, loads), Kind: HandsOn, Needs: []Resource{Cook}, Span: washing, Remind: 5 * time.Minute,
			Detail: []string{"Run a finger round each rim: no chips. New lids. Hot jars take boiling broth without cracking."},
		}, rule{after: reheat, beside: true, rigid: true, why: "while the broth heats"})
		last = jars
		for _, load := range loads {
			fill, canned, unload := fmt.Sprintf("fill-%d", load.Number), fmt.Sprintf("load-%d", load.Number), fmt.Sprintf("unload-%d", load.Number)
			begin := []rule{atOnce(last, "full jars never stand and cool, so each load waits for the one before")}
			if last == jars {
				begin = []rule{atOnce(reheat, "jars are filled at a full boil"), atOnce(jars, "")}
			}
			add(fmt.Sprintf("filling load %d", load.Number), fillStep(b, load), begin...)
			add(fmt.Sprintf("load %d", load.Number), loadStep(b, load), atOnce(fill, "into the canner while the jars are hot"))
			add(fmt.Sprintf("unloading load %d", load.Number), Step{
				ID: unload, Title: fmt.Sprintf("Unload load %d", load.Number), Kind: HandsOn,
				Needs: []Resource{Cook, Canner}, Span: unloading, Remind: 5 * time.Minute,
				Detail: []string{
					"Only after the wait, lid away from your face. Lift jars straight up onto a towel, an inch apart, out of the draught.",
					"Do not tighten rings or press lids. Leave them 12 to 24 h.",
				},
			}, atOnce(canned, ""))
			last = unload
		}
		step := cleanUpStep(b)
		step.ID = cleanUp
		add("wiping down", step, atOnce(last, ""))
		last = cleanUp
	}
	return tasks
}

// share is how many of loads the nth of sessions takes: the first take one more
// where they do not come out even.
func share(loads, sessions, nth int) int {
	n := loads / sessions
	if nth <= loads%sessions {
		n++
	}
	return n
}

// nth names a step of the nth session: "reheat", "reheat-2".
func nth(id string, session int) string {
	if session == 1 {
		return id
	}
	return fmt.Sprintf("%s-%d", id, session)
}

func reheatStep(b stock.Batch, id string, loads []stock.Load) Step {
	step := Step{
		ID: id, Title: "Reheat the broth to a full boil", Kind: Watch, Needs: []Resource{Cook, Stove, Pot}, Span: b.Reheat, Remind: 5 * time.Minute,
		Detail: []string{
			"To a full, rolling boil before the first jar is filled. Lid on, so that it does not shrink.",
			"Canner on the other burner with its water hot.",
		},
	}
	pots := b.PotsToReheat(loads)
	if pots > 1 {
		step.Detail = append([]string{fmt.Sprintf("It takes %d pots like the one it simmered in. The time is for one burner, pot after pot; side by side on two burners they take less.", pots)}, step.Detail...)
	}
	if len(loads) < len(b.Loads) {
		which := loadNames(loads)
		step.Title = fmt.Sprintf("Reheat the broth for %s to a full boil", which)
		step.Detail = append([]string{fmt.Sprintf("Only what %s take: the rest stays in the fridge.", which)}, step.Detail...)
		if len(loads) == 1 {
			step.Detail[0] = fmt.Sprintf("Only what %s takes: the rest stays in the fridge.", which)
		}
	}
	if pots > 1 {
		step.Title += fmt.Sprintf(", in %d pots", pots)
	}
	return step
}

// loadNames names one or several loads that follow one another: "loads 2 to 4".
func loadNames(loads []stock.Load) string {
	if len(loads) == 1 {
		return fmt.Sprintf("load %d", loads[0].Number)
	}
	return fmt.Sprintf("loads %d to %d", loads[0].Number, loads[len(loads)-1].Number)
}

// washList lists the jars to wash for loads; all of a batch's with its spares.
func washList(b stock.Batch, loads []stock.Load) string {
	var parts []string
	if len(loads) < len(b.Loads) {
		for _, load := range loads {
			parts = append(parts, load.Contents())
		}
		return strings.Join(parts, ", ") + ", and a spare of each"
	}
	for _, j := range b.Jars {
		parts = append(parts, stock.CountJars(j.Wash, j.Jar))
	}
	return strings.Join(parts, ", ")
}

func cleanUpStep(b stock.Batch) Step {
	step := Step{ID: "clean-up", Title: "Wipe the kitchen down", Kind: HandsOn, Needs: []Resource{Cook}, Span: cleaningUp}
	if len(b.Loads) > 0 {
		step.Detail = []string{"Canner dry, gasket and vent pipe clean."}
	}
	return step
}

func fillStep(b stock.Batch, load stock.Load) Step {
	likely := fillStart + time.Duration(load.Jars())*perJar
	detail := []string{
		fmt.Sprintf("Boiling broth into hot jars, %s headspace. Wipe the rims, lids on, rings finger-tight.", quantity.Inch.Both(b.Units)),
		"Into the canner at once. A jar that cannot be filled to its headspace is not canned.",
	}
	if load.Number > 1 {
		detail = append([]string{"Broth kept hot with its lid on: back to a full boil first."}, detail...)
	}
	if load.Number == len(b.Loads) {
		detail = append(detail, "Broth left over hot goes through the ice bath before fridge or freezer.")
	}
	return Step{
		ID: fmt.Sprintf("fill-%d", load.Number), Title: fmt.Sprintf("Fill load %d: %s", load.Number, load.Contents()), Kind: HandsOn,
		Needs: []Resource{Cook, Stove, Pot}, Remind: 5 * time.Minute,
		Span:   quantity.Band[time.Duration]{Low: likely * 3 / 4, Likely: likely, High: likely * 3 / 2},
		Detail: detail,
	}
}

func loadStep(b stock.Batch, load stock.Load) Step {
	u, c := b.Units, load.Cycle
	var layers []string
	for _, layer := range load.Layers {
		var jars []string
		for _, j := range layer.Jars {
			jars = append(jars, stock.CountJars(j.Count, j.Jar))
		}
		layers = append(layers, fmt.Sprintf("rack %d: %s", layer.Rack, strings.Join(jars, ", ")))
	}
	both := b.Pressures(load, quantity.Pressure.Both)
	closing := "weight on"
	if load.Gauge == "dial" || b.OtherGauge != nil {
		closing = "petcock closed or weight on"
	}
	gauge, reached, zero := fmt.Sprintf(" on the %s gauge", load.Gauge), "", ""
	if b.OtherGauge != nil {
		gauge = ""
	}
	if load.Gauge == "weighted" {
		// Michigan State University Extension 01600949: the weight jiggles or rocks as
		// designed; where there is a lock, wait for it to drop. The nudge is from memory.
		reached = " A weighted gauge is there when its weight rocks or jiggles as its maker says."
		zero = " Without a dial it is at zero when the lock in the lid, if it has one, has dropped and a nudge of the weight lets out no steam."
	}
	step := Step{
		ID: fmt.Sprintf("load-%d", load.Number), Kind: Watch, Needs: []Resource{Cook, Stove, Canner}, Remind: 5 * time.Minute,
		Title: fmt.Sprintf("Load %d of %d: %s, %s for %s", load.Number, len(b.Loads), load.Contents(), b.Pressures(load, quantity.Pressure.Format), quantity.FormatDuration(load.Process)),
		Span:  c.Total(),
		Detail: []string{
			fmt.Sprintf("Jars on the rack (%s). Hot water in the canner as its manual says, usually %s to %s deep; top it up before each load.",
				strings.Join(layers, "; "), (2 * quantity.Inch).Both(u), (3 * quantity.Inch).Both(u)),
			fmt.Sprintf("1. Lid on, high heat, to a steady stream of steam: %s.", quantity.FormatSpan(c.HeatUp)),
			fmt.Sprintf("2. Vent with steady steam: %s, not less.%s", quantity.FormatSpan(c.Vent), nearDry(b)),
			fmt.Sprintf("3. Then %s, up to %s%s: %s.%s", closing, both, gauge, quantity.FormatSpan(c.Pressurise), reached),
			fmt.Sprintf("4. Time starts now: %s at %s or just above, for %s. Below it, bring it back and start the full time again.",
				quantity.FormatDuration(load.Process), both, altitudeText(b)),
			fmt.Sprintf("5. Heat off. Let the pressure fall by itself to zero: %s. Never force it.%s", quantity.FormatSpan(c.Depressurise), zero),
			fmt.Sprintf("6. Weight off, wait %s, then open.%s", quantity.FormatSpan(c.Wait), waterLeft(load, u)),
		},
	}
	for _, n := range b.Warnings {
		if n.Code == stock.OutdoorBurnerCode {
			step.Detail = append(step.Detail, n.Text)
		}
	}
	if b.OtherGauge != nil {
		step.Detail = append([]string{whichGauge(*b.OtherGauge)}, step.Detail...)
	}
	if i := slices.IndexFunc(b.Warnings, func(n stock.Note) bool { return n.Code == stock.LongSimmerCode }); i >= 0 {
		step.Detail = append([]string{b.Warnings[i].Text}, step.Detail...)
	}
	return step
}

// whichGauge asks for the gauge nobody named, before the lid goes on.
func whichGauge(other stock.OtherGauge) string {
	if other.Pressure == 0 {
		return fmt.Sprintf("Nobody said which gauge this canner has: look at the lid. A %s gauge has no tested setting at this altitude: with one, do not can, freeze the broth.", other.Gauge)
	}
	return "Nobody said which gauge this canner has: look at the lid, and hold the pressure of that one."
}

// nearDry is what keeps a canner from boiling dry that may.
func nearDry(b stock.Batch) string {
	if !slices.ContainsFunc(b.Warnings, func(n stock.Note) bool { return n.Code == stock.NearDryCode }) {
		return ""
	}
	return " Turn the burner down once the steam is steady, so that the canner does not boil dry."
}

// waterLeft says what the canner has boiled off when it is opened; nothing of a
// load that was not worked out.
func waterLeft(load stock.Load, u quantity.System) string {
	if load.WaterPutIn == 0 {
		return ""
	}
	return fmt.Sprintf(" Of %s of water about %s is left (%s at least).",
		load.WaterPutIn.Format(u), load.WaterLeft.Likely.Format(u), load.WaterLeft.Low.Format(u))
}

func altitudeText(b stock.Batch) string {
	return quantity.AltitudeBoth(b.Altitude, b.Units)
}

func leftoverStep(b stock.Batch, span quantity.Band[time.Duration]) Step {
	left := b.Leftover
	title := fmt.Sprintf("Keep back %s, cold, for the %s", left.Volume.Likely.Format(b.Units), left.Route)
	needs := []Resource{Cook, Freezer}
	switch left.Route {
	case "freeze-dry":
		title = fmt.Sprintf("Keep back %s, cold, onto %s and into the freezer", left.Volume.Likely.Format(b.Units), left.TrayWords())
	case "fridge":
		needs = []Resource{Cook, Fridge}
	}
	if len(b.Loads) == 0 {
		title = strings.Replace(title, "Keep back", "Pack", 1)
	}
	detail := []string{left.Advice}
	if left.Batches > 1 {
		detail = append(detail, "More batches than trays: freeze the rest in boxes the size of a tray, or keep it frozen until the trays are free.")
	}
	if len(b.Loads) > 0 {
		detail = append([]string{fmt.Sprintf("Measure: the jars take about %s; what is over is not reheated.", filled(b).Both(b.Units))}, detail...)
	}
	return Step{ID: "leftover", Title: title, Kind: HandsOn, Needs: needs, Span: span, Remind: 5 * time.Minute, Detail: detail}
}

// filled is the cold broth that goes into jars, straining and reheating losses
// aside.
func filled(b stock.Batch) quantity.Volume {
	return b.Yield.ReadyToFill.Likely - b.Leftover.Volume.Likely
}

func preFreezeStep(b stock.Batch) Step {
	return Step{
		ID: "pre-freeze", Title: "Trays freezing solid", Kind: Waiting, Needs: []Resource{Freezer}, Span: quantity.Exactly(b.Leftover.PreFreeze),
		Detail: []string{fmt.Sprintf("At least %s, until solid through, and until the freeze dryer is free. Keep the trays level.", quantity.FormatDuration(b.Leftover.PreFreeze))},
	}
}

// freezerHold is what room in the freezer the broth takes, and until when: each
// batch until it is loaded into the dryer.
func freezerHold(b stock.Batch, loaded []time.Time) string {
	left := b.Leftover
	text := fmt.Sprintf("Freezer space for %s", left.TrayWords())
	if left.Drying.Frozen > 0 {
		text += fmt.Sprintf(", %s of ice", left.Drying.Frozen.Both(b.Units))
	}
	const when = "Mon 2 Jan 15:04"
	if len(loaded) == 1 {
		return text + ", until " + Clock(loaded[0], when) + "."
	}
	var until []string
	for n, at := range loaded {
		until = append(until, fmt.Sprintf("batch %d until %s", n+1, Clock(at, when)))
	}
	return text + ": " + strings.Join(until, ", ") + "."
}

// batchOf names one dryer batch among several: "" when there is only one.
func batchOf(b stock.Batch, n int) string {
	if b.Leftover.Batches == 1 {
		return ""
	}
	return fmt.Sprintf(" (batch %d of %d)", n, b.Leftover.Batches)
}

func dryLoadStep(b stock.Batch, n int) Step {
	return Step{
		ID: fmt.Sprintf("dry-load-%d", n), Title: "Frozen trays into the freeze dryer" + batchOf(b, n), Kind: HandsOn,
		Needs: []Resource{Cook, FreezeDryer}, Span: dryerLoad, Remind: 15 * time.Minute,
		Detail: []string{"Chamber cold first if the maker says so. The trays must be frozen solid: liquid boils over in the vacuum."},
	}
}

func dryStep(b stock.Batch, n int) Step {
	return Step{
		ID: fmt.Sprintf("dry-%d", n), Title: fmt.Sprintf("Freeze dryer runs%s: %s", batchOf(b, n), quantity.FormatSpan(b.Leftover.Hours)), Kind: Waiting,
		Needs: []Resource{FreezeDryer}, Span: b.Leftover.Hours,
		Detail: []string{fmt.Sprintf("%s for broth %s deep: a range, there are no data for broth. The one home run known took 46 h.", b.Leftover.DryerHours(), b.Leftover.Depth.Both(b.Units))},
	}
}

func dryCheckStep(b stock.Batch, n int) Step {
	return Step{
		ID: fmt.Sprintf("dry-check-%d", n), Title: "Check the dried broth and pack it" + batchOf(b, n), Kind: HandsOn,
		Needs: []Resource{Cook, FreezeDryer}, Span: dryerCheck, Remind: 15 * time.Minute,
		Detail: []string{
			"No cold or damp spot anywhere? If there is one, dry on for 2 h and check again.",
			"Only powder dry through may be sealed without oxygen: above a tenth of water botulism can grow in it. In doubt dry on, or freeze it.",
			fmt.Sprintf("Expect about %s of powder in all. Airtight jars, a 300 cc oxygen absorber in each, labelled.", b.Leftover.Powder.Both(b.Units)),
		},
	}
}

// restStep is the jars left alone until their seals are checked.
func restStep(id string, from, until time.Time) Step {
	return Step{
		ID: id, Title: "Jars rest, untouched", Kind: Waiting, Start: from, End: until, Span: quantity.Exactly(until.Sub(from)),
		Why:    "12 to 24 h, so that the seals set",
		Detail: []string{"12 to 24 h at room temperature, out of the draught. A lid may pop down hours later: do not press, tilt or tighten anything."},
	}
}

// sealCheckStep says what to do at a check of the seals, which of the loads are
// named by. limit is when the jars it may still save have been out for 24 h; zero
// when none may be saved. Of strained broth none is eaten from the fridge after
// its date, which counts from straining.
//
// Source: Nebraska Extension, "Saving Home-canned Food: Jars that did not Seal", and
// Michigan State University Extension 01600593: within 24 h canned again for the
// full time with a new lid, frozen with 1.5 in of headspace, or kept in the fridge
// for a few days.
func (h *house) sealCheckStep(u quantity.System, step Step, which string, limit, strained time.Time) Step {
	step.Remind = 15 * time.Minute
	step.Title = fmt.Sprintf("Check the seals%s, rings off, label the jars", which)
	step.Detail = []string{"Lid curved down and does not move when pressed? Rings off, wipe, label with what and when."}
	if step.Span == glance {
		step.Title = fmt.Sprintf("Check the seals%s; labels can wait", which)
		step.Detail = []string{"Lid curved down and does not move when pressed? Rings and labels can wait until you have the time."}
	}
	if limit.IsZero() {
		step.Title = fmt.Sprintf("Late check of the seals%s: throw away any jar not sealed", which)
		step.Detail = append(step.Detail, "It is more than 24 h after the canner: a jar that did not seal is thrown away untasted.")
		return step
	}
	fridge := ""
	if by := fridgeDate(strained, h.Location); dayNumber(by, h.Location) >= dayNumber(step.Start, h.Location) {
		fridge = fmt.Sprintf(", or put it into the fridge and eat it by %s", by.Format("Mon 2 Jan"))
	}
	step.Detail = append(step.Detail, fmt.Sprintf("A jar that did not seal: by %s, 24 h after the canner, can it again with a new lid, reheated, for the full time, freeze it with %s of room%s. Found later: throw it away untasted.",
		Clock(limit.In(h.Location), "Mon 15:04"), (1.5*quantity.Inch).Both(u), fridge))
	return step
}
