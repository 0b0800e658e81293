package timeline

import (
	"fmt"
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
	dryerLoad  = minutes(5, 10, 15)
	dryerCheck = minutes(10, 20, 30)
)

// perJar is the time to fill, wipe and lid one jar, and fillStart what filling
// takes before the first; common practice, no source.
const (
	perJar    = stock.FillPerJar
	fillStart = stock.FillStart
)

func minutes(low, likely, high int) quantity.DurationBand {
	return quantity.DurationBand{
		Low:    time.Duration(low) * time.Minute,
		Likely: time.Duration(likely) * time.Minute,
		High:   time.Duration(high) * time.Minute,
	}
}

// firstDay is preparing to the end of the attended chill.
func firstDay(b stock.Batch) sequence {
	u := b.Units
	var day sequence

	water := fmt.Sprintf("Pour in %s of cold water.", b.Yield.Water.Both(u))
	if b.Yield.WaterFits {
		water = fmt.Sprintf("Fill to the line with cold water: about %s.", b.Yield.Water.Both(u))
	}
	day.then(Step{
		ID: "prepare", Title: fmt.Sprintf("Get ready: %s of %s into the pot", b.Weight.Format(u), b.What),
		Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: preparing, Remind: 15 * time.Minute,
		Detail: []string{water, "Room in the fridge for the strained broth? " + iceToHave(b)},
	})
	day.then(Step{
		ID: "heat-up", Title: "Bring the pot to a simmer", Kind: Watch,
		Needs: []Resource{Cook, Stove, Pot}, Span: b.HeatUp, Remind: 5 * time.Minute,
		Detail: []string{
			"High heat until the first bubbles rise, then turn it down; skim off the foam.",
			"The simmer counts from the first bubbles.",
		},
	})
	simmer := Step{
		ID: "simmer", Title: "Simmer " + quantity.FormatDuration(b.Simmer), Kind: Watch,
		Needs: []Resource{Cook, Stove, Pot}, Span: quantity.Exactly(b.Simmer), Remind: 5 * time.Minute,
		Detail: []string{
			"Just under the boil: a bubble now and then, no rolling.",
			fmt.Sprintf("Expect about %s to boil off.", b.Yield.Evaporated.Both(u)),
		},
	}
	if b.TopUp {
		simmer.Detail = append(simmer.Detail, fmt.Sprintf("Once an hour pour hot water back to the line: about %s each time, %s in all.",
			(b.Yield.ToppedUp/quantity.Volume(max(1, b.Simmer.Hours()))).Both(u), b.Yield.ToppedUp.Both(u)))
	}
	day.then(simmer)
	day.then(Step{
		ID: "strain", Title: "Ice bath ready? Strain the broth", Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: straining, Remind: 20 * time.Minute,
		Detail: []string{
			"A full pot is heavy and scalds: two people, or ladle it out.",
			fmt.Sprintf("Expect about %s strained (%s to %s). Note what you get.", b.Yield.Strained.Likely.Both(u), b.Yield.Strained.Low.Format(u), b.Yield.Strained.High.Format(u)),
			iceToHave(b) + " Chilling starts as soon as it is strained.",
		},
	})
	chill := Step{
		ID: "chill", Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: attended(b.Chill), Remind: 5 * time.Minute,
		Title: fmt.Sprintf("Chill (%s): %s within 2 h, %s within 6 h", b.Chill.Words(),
			quantity.Fahrenheit(70).Format(u), quantity.Fahrenheit(41).Format(u)),
		Detail: []string{b.Chill.Advice, chillTarget(b)},
	}
	if b.Chill.Watched {
		chill.Kind = Watch
	}
	if !b.Chill.Passes {
		chill.Title = "Too slow to be safe: " + chill.Title
		chill.Detail = append([]string{"This chill does not keep the limits. Use an ice bath instead, or do not eat the broth."}, chill.Detail...)
	}
	day.then(chill)
	return day
}

// attended is the hands-on part of the chill, at least the minutes it takes to
// put a pot away.
func attended(c stock.Chill) quantity.DurationBand {
	const least = 5 * time.Minute
	up := func(d time.Duration) time.Duration { return max(least, d).Round(time.Minute) }
	return quantity.DurationBand{Low: up(c.HandsOn.Low), Likely: up(c.HandsOn.Likely), High: up(c.HandsOn.High)}
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
	return fmt.Sprintf("Expected, from %s: %s after %s to %s, %s after %s to %s. The thermometer decides.", quantity.Fahrenheit(135).Both(u),
		quantity.Fahrenheit(70).Both(u), b.Chill.To70F, b.Chill.SlowTo70F, quantity.Fahrenheit(41).Both(u), b.Chill.To41F, b.Chill.SlowTo41F)
}

// fridgeStep is the night between the two days.
func fridgeStep(b stock.Batch, from, until time.Time) Step {
	return Step{
		ID: "fridge", Title: "Broth in the fridge, fat setting", Kind: Waiting, Needs: []Resource{Fridge},
		Start: from, End: until, Span: quantity.Exactly(until.Sub(from)),
		Detail: []string{
			fmt.Sprintf("Loosely covered, on the coldest shelf. Check before bed: %s or below.", quantity.Fahrenheit(41).Both(b.Units)),
			"Use or can it within 3 days.",
		},
	}
}

// secondDay is skimming to the wiped-down kitchen.
func secondDay(b stock.Batch) sequence {
	u := b.Units
	var day sequence
	day.then(Step{
		ID: "skim", Title: "Skim the fat off the cold broth", Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: skimming, Remind: 15 * time.Minute,
		Detail: []string{
			fmt.Sprintf("Lift the fat cap off whole: about %s. Expect about %s skimmed.", b.Yield.Fat.Both(u), (b.Yield.Strained.Likely - b.Yield.Fat).Both(u)),
			fmt.Sprintf("Still at %s or below? Broth that missed the limits of the chill is thrown away.", quantity.Fahrenheit(41).Both(u)),
		},
	})
	if len(b.Loads) == 0 {
		day.then(leftoverStep(b, portioning))
		day.then(cleanUpStep(b))
		return day
	}

	if !b.Leftover.Splash {
		// Before the reheat, so that what is not canned stays cold.
		day.then(leftoverStep(b, trayingUp))
	}

	reheatAt := day.likely
	day.then(Step{
		ID: "reheat", Title: "Reheat the broth to a full boil", Kind: Watch, Needs: []Resource{Cook, Stove, Pot}, Span: b.Reheat, Remind: 5 * time.Minute,
		Detail: []string{
			"To a full, rolling boil before the first jar is filled. Lid on, so that it does not shrink.",
			"Canner on the other burner with its water hot.",
		},
	})
	day.meanwhile(Step{
		ID: "jars", Title: "Wash the jars and keep them hot: " + washList(b), Kind: HandsOn, Needs: []Resource{Cook}, Span: washing, Remind: 5 * time.Minute,
		Detail: []string{"Run a finger round each rim: no chips. New lids. Hot jars take boiling broth without cracking."},
	}, reheatAt)
	if wait := reheatAt + washing.Likely - day.likely; wait > 0 {
		day.likely += wait
		day.late += wait
	}

	for _, load := range b.Loads {
		// After the load before is out, so that full jars never stand and cool.
		day.then(fillStep(b, load))
		day.then(loadStep(b, load))
		day.then(Step{
			ID: fmt.Sprintf("unload-%d", load.Number), Title: fmt.Sprintf("Unload load %d", load.Number), Kind: HandsOn,
			Needs: []Resource{Cook, Canner}, Span: unloading, Remind: 5 * time.Minute,
			Detail: []string{
				"Only after the wait, lid away from your face. Lift jars straight up onto a towel, an inch apart, out of the draught.",
				"Do not tighten rings or press lids. Leave them 12 to 24 h.",
			},
		})
	}
	day.then(cleanUpStep(b))
	return day
}

// washList lists the jars to wash.
func washList(b stock.Batch) string {
	var parts []string
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
		Needs: []Resource{Cook, Stove}, Remind: 5 * time.Minute,
		Span:   quantity.DurationBand{Low: likely * 3 / 4, Likely: likely, High: likely * 3 / 2},
		Detail: detail,
	}
}

func loadStep(b stock.Batch, load stock.Load) Step {
	u, c := b.Units, load.Cycle
	pressure := load.Pressure.Format(u)
	var layers []string
	for _, layer := range load.Layers {
		var jars []string
		for _, j := range layer.Jars {
			jars = append(jars, stock.CountJars(j.Count, j.Jar))
		}
		layers = append(layers, fmt.Sprintf("rack %d: %s", layer.Rack, strings.Join(jars, ", ")))
	}
	closing := "weight on"
	if load.Gauge == "dial" {
		closing = "petcock closed or weight on"
	}
	return Step{
		ID: fmt.Sprintf("load-%d", load.Number), Kind: Watch, Needs: []Resource{Cook, Stove, Canner}, Remind: 5 * time.Minute,
		Title: fmt.Sprintf("Load %d of %d: %s, %s for %s", load.Number, len(b.Loads), load.Contents(), pressure, quantity.FormatDuration(load.Process)),
		Span:  c.Total(),
		Detail: []string{
			fmt.Sprintf("Jars on the rack (%s). Hot water in the canner as its manual says, usually %s to %s deep; top it up before each load.",
				strings.Join(layers, "; "), (2 * quantity.Inch).Both(u), (3 * quantity.Inch).Both(u)),
			fmt.Sprintf("1. Lid on, high heat, to a steady stream of steam: %s.", c.HeatUp.Format()),
			fmt.Sprintf("2. Vent with steady steam: %s, not less.", c.Vent.Format()),
			fmt.Sprintf("3. Then %s, up to %s on the %s gauge: %s.", closing, load.Pressure.Both(u), load.Gauge, c.Pressurise.Format()),
			fmt.Sprintf("4. Time starts now: %s at %s or just above, for %s. Below it, bring it back and start the full time again.",
				quantity.FormatDuration(load.Process), load.Pressure.Both(u), altitudeText(b)),
			fmt.Sprintf("5. Heat off. Let the pressure fall by itself to zero: %s. Never force it.", c.Depressurise.Format()),
			fmt.Sprintf("6. Weight off, wait %s, then open.%s", c.Wait.Format(), waterLeft(load, u)),
		},
	}
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
	return quantity.FormatAltitude(b.Altitude, b.Units)
}

func leftoverStep(b stock.Batch, span quantity.DurationBand) Step {
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
		return text + ", until " + loaded[0].Format(when) + "."
	}
	var until []string
	for n, at := range loaded {
		until = append(until, fmt.Sprintf("batch %d until %s", n+1, at.Format(when)))
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
		ID: fmt.Sprintf("dry-%d", n), Title: fmt.Sprintf("Freeze dryer runs%s: %s", batchOf(b, n), b.Leftover.Hours.Format()), Kind: Waiting,
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

func sealCheckStep(b stock.Batch, deadline time.Time) Step {
	return Step{
		ID: "seal-check", Title: "Check the seals, rings off, label the jars", Kind: HandsOn, Needs: []Resource{Cook}, Span: sealing, Remind: 15 * time.Minute,
		Detail: []string{
			"Lid curved down and does not move when pressed? Rings off, wipe, label with what and when.",
			fmt.Sprintf("A jar that did not seal: fridge and eat within 3 days, freeze it, or can it again by %s with a new lid, reheated, for the full time.", deadline.Format("Mon 15:04")),
		},
	}
}
