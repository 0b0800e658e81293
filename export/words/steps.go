package words

import (
	"fmt"
	"slices"
	"strings"

	"brothrun/stock"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
	"brothrun/timeline"
)

// told is a step with what its sentences are made of.
type told struct {
	Form
	plan *timeline.Plan
	b    *stock.Batch // of a step for one of several pots that pot's
	step *timeline.Step
}

func toldOf(plan *timeline.Plan, step *timeline.Step, f Form) told {
	b := &plan.Batch
	if n := step.Pot; n > 0 && n <= len(b.Pots) {
		b = &b.Pots[n-1]
	}
	pot := *b
	pot.Units = f.Units
	return told{f, plan, &pot, step}
}

// pot is what the step is for: "the pot", or of several "the roaster".
func (t told) pot() string { return settle.PotWords(t.b.Pot) }

// broth is what is in it.
func (t told) broth() string {
	if t.b.Pot == "" {
		return "the broth"
	}
	return t.pot()
}

// ends reports whether nothing is planned after the straining.
func (t told) ends() bool { return t.plan.Batch.EndsAtStraining() && !t.plan.Batch.Spoilt() }

// Title says what a step is, so that it is understood on a phone, alone. One without
// a role is called by its ID.
func Title(plan timeline.Plan, step timeline.Step, f Form) string {
	return toldOf(&plan, &step, f).title()
}

// Detail says what to do in a step and which number to watch, a sentence or two each.
func Detail(plan timeline.Plan, step timeline.Step, f Form) []string {
	t := toldOf(&plan, &step, f)
	var detail []string
	for _, note := range step.Notes {
		detail = append(detail, Note(note, f))
	}
	for _, sentence := range t.detail() {
		detail = append(detail, f.Order(sentence))
	}
	return detail
}

func (t told) title() string {
	b, step := t.b, t.step
	switch step.Role {
	case timeline.Thaw, timeline.Prepare:
		if t.ends() {
			return "DO NOT START YET: there is no safe way to chill it"
		}
		if step.Role == timeline.Thaw {
			return t.say("Thaw in cold water: %s of %s", b.Weight, b.What)
		}
		into := " into the pot"
		if n := len(b.Pots); n > 0 { // raw bones of the others do not stand about
			into = fmt.Sprintf(" for %d pots; fill %s", n, settle.PotWords(b.Pots[0].Pot))
		}
		return "Get ready: " + In(*b) + with(*b) + into
	case timeline.HeatUp:
		if step.Pot > 1 {
			return "Fill " + t.pot() + " and bring it to a simmer"
		}
		return "Bring " + t.pot() + " to a simmer"
	case timeline.Simmer:
		if b.Pot != "" {
			return t.say("Simmer %s %v", t.pot(), b.Simmer)
		}
		return t.say("Simmer %v", b.Simmer)
	case timeline.Strain:
		if t.ends() {
			return "No safe chill is planned: read before you strain"
		}
		return t.ifPicked("%s in the thigh? ", safePoultry) + chillReady(b.Chill) + "? Strain " + t.broth() + t.into()
	case timeline.Pick:
		if step.Cold {
			return "Birds out of the fridge: pick the meat off the bones"
		}
		return "Pick the meat off the bones, into the fridge by " + t.meatBy()
	case timeline.Chill:
		chill := ""
		if b.Pot != "" {
			chill = " " + t.pot()
		}
		if b.Pot != "" && b.Into != "" { // which never stands in water
			chill += "'s broth"
		}
		return t.say("Chill%s (%s): %s within 2 h, %s within 6 h",
			chill, b.Chill.Words(), quantity.Fahrenheit(70), quantity.Fahrenheit(41))
	case timeline.InFridge:
		if b.NoFatCap && b.Refused() {
			return "Broth in the fridge"
		}
		return "Broth in the fridge, fat setting"
	case timeline.Skim:
		return "Skim the fat off the cold broth"
	case timeline.Leftover, timeline.Pack:
		return t.leftoverTitle()
	case timeline.BackInFridge:
		if step.Session > 1 {
			return "The rest of the broth stays in the fridge"
		}
		return "Skimmed broth back in the fridge"
	case timeline.Reheat:
		return t.reheatTitle()
	case timeline.WashJars:
		return "Wash the jars and keep them hot: " + t.washList()
	case timeline.Fill:
		return t.say("Fill %s: %s", loadNames(step.Loads), contents(step.Loads))
	case timeline.Load:
		return t.loadTitle()
	case timeline.Unload:
		if unprocessed(step.Loads) {
			return t.say("Load %d is NOT PROCESSED: open its jars", step.Loads[0].Number)
		}
		return "Unload " + loadNames(step.Loads)
	case timeline.CleanUp:
		return "Wipe the kitchen down"
	case timeline.Rest:
		return "Jars rest, untouched"
	case timeline.SealCheck:
		return t.sealTitle()
	case timeline.PreFreeze:
		return "Trays freezing solid"
	case timeline.DryLoad:
		return "Frozen trays into the freeze dryer" + t.dryerBatch()
	case timeline.Dry:
		return t.say("Freeze dryer runs%s: %s", t.dryerBatch(), t.firstLook("look from %s on"))
	case timeline.DryCheck:
		return "Check the dried broth and pack it" + t.dryerBatch()
	}
	return step.ID
}

func (t told) detail() []string {
	b := t.b
	switch t.step.Role {
	case timeline.Thaw:
		return t.thaw()
	case timeline.Prepare:
		return t.prepare()
	case timeline.HeatUp:
		return t.heatUp()
	case timeline.Simmer:
		return t.simmer()
	case timeline.Strain:
		return t.strain()
	case timeline.Pick:
		return t.pick()
	case timeline.Chill:
		return append(t.warnings(remark.ChillNarrow), Advice(b.Chill, t.Form), t.chillTarget())
	case timeline.InFridge:
		look := "Check before bed"
		if b.NoFatCap && b.Refused() {
			look = "Check before you pack it"
		}
		return []string{
			t.say("Loosely covered, on the coldest shelf. "+look+": %v or below.", quantity.Fahrenheit(41)),
			t.say("%s it by %s: 3 days from straining.", t.useOr(), t.step.UseBy),
		}
	case timeline.Skim:
		return []string{
			t.say("Lift the fat cap off whole: about %v. Expect about %v skimmed.",
				b.Yield.Fat, b.Yield.Strained.Likely-b.Yield.Fat),
			t.stillCold(),
		}
	case timeline.Leftover, timeline.Pack:
		return t.leftover()
	case timeline.BackInFridge:
		return []string{t.say("Covered, at %v or below. It does not stand warm in between. Use or can it by %s: "+
			"3 days from straining.",
			quantity.Fahrenheit(41), t.step.UseBy)}
	case timeline.Reheat:
		return t.reheat()
	case timeline.WashJars:
		return []string{"Run a finger round each rim: no chips. New lids. Hot jars take boiling broth " +
			"without cracking."}
	case timeline.Fill:
		return t.fill()
	case timeline.Load:
		return t.load()
	case timeline.Unload:
		return t.unload()
	case timeline.CleanUp:
		if len(b.Loads) > 0 {
			return []string{"Canner dry, gasket and vent pipe clean."}
		}
	case timeline.Rest:
		return []string{"12 to 24 h at room temperature, out of the draught. A lid may pop down hours later: do " +
			"not press, tilt or tighten anything."}
	case timeline.SealCheck:
		return t.seals()
	case timeline.PreFreeze:
		return t.preFreeze()
	case timeline.DryLoad:
		return []string{"Chamber cold first if the maker says so. The trays must be frozen solid: liquid boils " +
			"over in the vacuum."}
	case timeline.Dry:
		return []string{t.say("%s for broth %v deep: a range, there are no data for broth. The one home run "+
			"known took 46 h.", DryerHours(b.Leftover), b.Leftover.Depth)}
	case timeline.DryCheck:
		return []string{
			"No cold or damp spot anywhere? If there is one, dry on for 2 h and check again.",
			"Only powder dry through may be sealed without oxygen: above a tenth of water botulism can grow in " +
				"it. In doubt dry on, or freeze it.",
			t.say("Expect about %v of powder in all. Airtight jars, a 300 cc oxygen absorber in each, labelled.",
				b.Leftover.Powder),
		}
	}
	return nil
}

// warnings words those of the batch's warnings that have one of codes.
func (t told) warnings(code string) (texts []string) {
	for _, note := range t.b.Warnings {
		if note.Code == code {
			texts = append(texts, Note(note, t.Form))
		}
	}
	return texts
}

// thaw is how it thaws in cold water [USDA, safe thawing].
func (t told) thaw() []string {
	return []string{
		t.say("In a bag that does not leak, all of it under cold tap water, changed every %v: %v for the heaviest package.",
			thaw.WaterChange, t.b.Thaw.Takes.Likely),
		"Then at once into the pot; it is not kept, nor frozen again raw. " + neverCounter,
	}
}

func (t told) heatUp() (detail []string) {
	if t.step.Pot > 1 {
		detail = t.filled(*t.b)
	}
	detail = append(detail, "High heat until the first bubbles rise, then turn it down; skim off the foam.",
		"The simmer counts from the first bubbles.")
	if t.b.Thaw.Method == thaw.Pot {
		detail = append(detail, "The bones go in frozen: pull the block apart as it loosens. The simmer counts only once "+
			"no ice is left in the middle.")
	}
	return detail
}

func (t told) prepare() []string {
	water, ready := "Pour in %v of cold water.", "Room in the fridge for the strained broth? "+t.iceToHave()
	if t.b.Yield.WaterFits {
		water = "Pour in cold water: about %v. It leaves room for the boil."
	}
	if t.ends() {
		ready = "Do not begin before there is a safe way to chill it: see the straining."
	}
	if pots := t.b.Pots; len(pots) > 0 {
		detail := t.filled(pots[0])
		for _, pot := range pots[1:] {
			detail = append(detail, t.say("For %s: %s of %s, which stay in the fridge until it is lit.",
				settle.PotWords(pot.Pot), pot.Weight, pot.What))
		}
		return append(detail, ready)
	}
	detail := []string{t.say(water, t.b.Yield.Water), ready}
	if t.b.Picked() {
		detail = append(detail, "Giblets out, nothing stuffed. A bird that does not go in whole, or stands out of the water, "+
			"is taken apart at the joints.")
	}
	return detail
}

// safePoultry is what poultry has to reach to be safe: 165 °F (USDA; from memory).
var safePoultry = quantity.Fahrenheit(165)

// ifPicked is what is said of whole birds alone.
func (t told) ifPicked(sentence string, facts ...any) string {
	if !t.b.Picked() {
		return ""
	}
	return t.say(sentence, facts...)
}

// Over asks about a step that was to be done, and of which nothing is noted. The meat of
// birds that was not cold in time is no question of who is late.
func Over(plan timeline.Plan, step timeline.Step, f Form) string {
	was := fmt.Sprintf("%s was to be done by %s", Title(plan, step, f), timeline.Clock(step.End, "Mon 15:04"))
	if step.Role == timeline.Pick {
		return was + ", and nothing is noted. Was it? What was out for more than 2 h after " +
			"the straining: throw it away."
	}
	return was + " and nothing is noted: done, or late?"
}

// meatBy is until when the birds may be out of the fridge, by the clock on the wall.
func (t told) meatBy() string {
	i := slices.IndexFunc(t.plan.Steps, func(s timeline.Step) bool { return s.Role == timeline.Strain })
	if i < 0 {
		return "2 h after the straining"
	}
	return timeline.Clock(t.plan.Steps[i].End.Add(timeline.MeatOut), "15:04")
}

// birdsOut is what becomes of the birds while the broth is strained.
func (t told) birdsOut() []string {
	i := slices.IndexFunc(t.plan.Steps, func(s timeline.Step) bool { return s.Role == timeline.Pick })
	if i < 0 {
		return nil
	}
	then := t.say("They may be out until %s, 2 h: picked by then, or into the fridge first.", t.meatBy())
	if t.plan.Steps[i].Cold {
		then = t.say("Into the fridge with them as soon as they stop steaming, by %s at the latest, 2 h: they are picked out of it.",
			t.meatBy())
	}
	return []string{
		t.say("Not yet %v in the thickest part of each thigh, off the bone? Simmer on until it is.", safePoultry),
		t.say("Lift the birds out first, and take them apart onto trays, no more than %v deep. ", 2*quantity.Inch) + then,
	}
}

// pick is the meat of whole birds, and where it goes.
func (t told) pick() []string {
	meat := t.b.Meat
	by := t.say("Into the fridge by %s, 2 h after the straining, picked or not, no more than %v deep. What was out for longer is "+
		"thrown away.", t.meatBy(), 2*quantity.Inch)
	if t.step.Cold {
		by = t.say("Were the birds in the fridge by %s, 2 h after the straining? If not, throw the meat away. A tray at a time "+
			"comes out, and its meat goes back at once.", t.meatBy())
	}
	return []string{
		by,
		t.say("Expect about %v of meat, %s: a wide guess.", meat.Likely,
			quantity.Ends(meat.Low.Format(t.Units), "to", meat.High.Format(t.Units))),
		t.say("Eat it by %s, 3 days, or freeze it now: best within 2 to 6 months.", t.step.UseBy),
	}
}

// filled is what goes into one of several pots.
func (t told) filled(pot stock.Batch) []string {
	water := "%v of cold water."
	if pot.Yield.WaterFits {
		water = "cold water, about %v, that leaves room for the boil."
	}
	return []string{t.say("Into %s: %s of %s and "+water, settle.PotWords(pot.Pot), pot.Weight, pot.What, pot.Yield.Water)}
}

func (t told) simmer() []string {
	b := t.b
	detail := []string{
		"Just under the boil: a bubble now and then, no rolling.",
		t.say("Expect about %v to boil off.", b.Yield.Evaporated),
	}
	if b.Picked() {
		detail = append(detail, t.say("A thermometer decides, not the clock: simmer on until the thickest part of each thigh, off "+
			"the bone, shows %v.", safePoultry))
	}
	if b.TopUp {
		detail = append(detail, t.say("Once an hour pour hot water back to where it stood: about %v each time, %v in all.",
			b.Yield.ToppedUp/quantity.Volume(max(1, b.Simmer.Hours())), b.Yield.ToppedUp))
	}
	if t.step.Kind == timeline.Waiting {
		detail = append(detail, "It goes on with nobody beside it, as you said it may. Before you leave it: the "+
			"bones well under water, a bare simmer, nothing near the heat, the smoke alarm working.")
	}
	return detail
}

func (t told) strain() []string {
	if t.ends() {
		var detail []string
		for _, refusal := range t.plan.Batch.Refusals {
			detail = append(detail, Note(refusal, t.Form))
		}
		// FDA Food Code 3-501.16(A)(1): hot food is held at 135 °F or above.
		return append(detail, t.say("Is it hot already? Keep it at a simmer, never below %v, until there is a safe way to "+
			"chill it.", quantity.Fahrenheit(135)))
	}
	strained := t.b.Yield.BeforeIce()
	note := " Note what you get."
	if n := len(t.plan.Batch.Pots); n > 0 {
		note = t.say(" Write down what you get; the sum of the %d pots is noted after the last.", n)
	}
	return append(t.birdsOut(),
		"A full pot is heavy and scalds: two people, or ladle it out.",
		t.say("Expect about %v strained (%s).", strained.Likely, strained)+note,
		t.iceToHave()+" Chilling starts as soon as it is strained.",
	)
}

// into is where the broth goes that does not stay in its pot.
func (t told) into() string {
	if t.b.Into == "" {
		return ""
	}
	return " into " + settle.PotWords(t.b.Into)
}

// chillReady is what has to stand ready before the broth is strained.
func chillReady(c stock.Chill) string {
	switch {
	case strings.HasPrefix(string(c.Method), "ice-bath"):
		return "Ice bath ready"
	case c.Ice > 0:
		return "Ice ready"
	}
	return "Chill ready"
}

func (t told) iceToHave() string {
	if t.b.Chill.Ice <= 0 {
		return t.say("Chill ready: %s.", t.b.Chill.Words())
	}
	return t.say("Ice ready: %v.", t.b.Chill.IceToHave)
}

// chillTarget is what the thermometer should show, counted from 135 °F.
func (t told) chillTarget() string {
	c := t.b.Chill
	if c.To70F.Never || c.To41F.Never {
		return "It does not get cold enough by itself. The thermometer decides."
	}
	return t.say("Expected, from %v: %v after %s, %v after %s. The thermometer decides.", quantity.Fahrenheit(135),
		quantity.Fahrenheit(70), quantity.Ends(c.To70F.String(), "to", c.SlowTo70F.String()),
		quantity.Fahrenheit(41), quantity.Ends(c.To41F.String(), "to", c.SlowTo41F.String()))
}

// stillCold is what broth is asked before anything is done with it.
func (t told) stillCold() string {
	return t.say("Still at %v or below? Broth that missed the limits of the chill is thrown away.",
		quantity.Fahrenheit(41))
}

// useOr is what broth in the fridge is for.
func (t told) useOr() string {
	if t.b.Refused() {
		return "Use or freeze"
	}
	return "Use or can"
}

func (t told) leftoverTitle() string {
	left, keep := t.b.Leftover, "Keep back"
	if t.step.Role == timeline.Pack {
		keep = "Pack"
	}
	if left.Route == settle.FreezeDry {
		return t.say("%s %s, cold, onto %s and into the freezer", keep, left.Volume.Likely, Trays(left))
	}
	if left.Flat {
		return t.say("%s %s, cold, and freeze it flat", keep, left.Volume.Likely)
	}
	return t.say("%s %s, cold, for the %s", keep, left.Volume.Likely, left.Route)
}

func (t told) leftover() []string {
	b, left := t.b, t.b.Leftover
	var detail []string
	if t.step.Role == timeline.Leftover {
		// Cold broth, straining and reheating losses aside.
		detail = append(detail, t.say("Measure: the jars take about %v; what is over is not reheated.",
			b.Yield.ReadyToFill.Likely-left.Volume.Likely))
	}
	if t.step.Role == timeline.Pack && b.NoFatCap {
		detail = append(detail, t.stillCold())
	}
	detail = append(detail, LeftoverAdvice(left, t.Form))
	if left.Batches > 1 {
		detail = append(detail, "More batches than trays: freeze the rest in boxes the size of a tray, or keep "+
			"it frozen until the trays are free.")
	}
	if !t.step.UseBy.IsZero() {
		detail = append(detail, t.say("Eat it by %s: 3 days from straining.", t.step.UseBy))
	}
	return detail
}

func (t told) reheatTitle() string {
	title := "Reheat the broth to a full boil"
	if loads := t.step.Loads; len(loads) < len(t.b.Loads) {
		title = t.say("Reheat the broth for %s to a full boil", loadNames(loads))
	}
	if pots := t.b.PotsToReheat(t.step.Loads); pots > 1 {
		title += t.say(", in %d pots", pots)
	}
	return title
}

func (t told) reheat() []string {
	var detail []string
	if loads := t.step.Loads; len(loads) < len(t.b.Loads) {
		take := "take"
		if len(loads) == 1 {
			take = "takes"
		}
		detail = append(detail, t.say("Only what %s %s: the rest stays in the fridge.", loadNames(loads), take))
	}
	if pots := t.b.PotsToReheat(t.step.Loads); pots > 1 && pots <= len(t.b.Pots) {
		detail = append(detail, t.say("It takes %d of the pots, the largest first. The time is for one burner, pot after "+
			"pot; side by side on two burners they take less.", pots))
	} else if pots > 1 {
		detail = append(detail, t.say("It takes %d pots like the one it simmered in. The time is for one burner, "+
			"pot after pot; side by side on two burners they take less.", pots))
	}
	return append(detail,
		"To a full, rolling boil before the first jar is filled. Lid on, so that it does not shrink.",
		"Canner on the other burner with its water hot.")
}

// loadNames names one or several loads that follow one another: "loads 2 to 4".
func (t told) unload() []string {
	if unprocessed(t.step.Loads) {
		return []string{"Its broth goes back into the pot and to a full boil, to be canned again within 2 h of the " +
			"heat going off, in clean hot jars with new lids, for the full time; or into the fridge now. Nothing of " +
			"it goes onto the shelf."}
	}
	return []string{
		"Only after the wait, lid away from your face. Lift jars straight up onto a towel, an inch apart, " +
			"out of the draught.",
		"Do not tighten rings or press lids. Leave them 12 to 24 h.",
	}
}

// unprocessed reports whether a step is for one load, which was not processed.
func unprocessed(loads []stock.Load) bool { return len(loads) == 1 && loads[0].Unprocessed }

func loadNames(loads []stock.Load) string {
	switch len(loads) {
	case 0:
		return "no load"
	case 1:
		return fmt.Sprintf("load %d", loads[0].Number)
	}
	return fmt.Sprintf("loads %d to %d", loads[0].Number, loads[len(loads)-1].Number)
}

func contents(loads []stock.Load) string {
	var parts []string
	for _, load := range loads {
		parts = append(parts, load.Contents())
	}
	return strings.Join(parts, ", ")
}

// washList lists the jars to wash for loads; all of a batch's with its spares.
func (t told) washList() string {
	if len(t.step.Loads) < len(t.b.Loads) {
		return contents(t.step.Loads) + ", and a spare of each"
	}
	var parts []string
	for _, j := range t.b.Jars {
		parts = append(parts, stock.CountJars(j.Wash, j.Jar))
	}
	return strings.Join(parts, ", ")
}

func (t told) fill() []string {
	var detail []string
	first, last := t.numbers()
	if first > 1 {
		detail = append(detail, "Broth kept hot with its lid on: back to a full boil first.")
	}
	detail = append(detail,
		t.say("Boiling broth into hot jars, %v headspace. Wipe the rims, lids on, rings finger-tight.", quantity.Inch),
		"Into the canner at once. A jar that cannot be filled to its headspace is not canned.")
	if last == len(t.b.Loads) {
		detail = append(detail, "Broth left over hot goes through the ice bath before fridge or freezer.")
	}
	return detail
}

// numbers are those of the step's first and last load; 0 without any.
func (t told) numbers() (first, last int) {
	if n := len(t.step.Loads); n > 0 {
		first, last = t.step.Loads[0].Number, t.step.Loads[n-1].Number
	}
	return first, last
}

func (t told) loadTitle() string {
	if len(t.step.Loads) == 0 {
		return t.step.ID
	}
	load := t.step.Loads[0]
	return t.say("Load %d of %d: %s, %s for %v", load.Number, len(t.b.Loads), load.Contents(),
		t.b.Pressures(load, quantity.Pressure.Stamped), load.Process)
}

func (t told) load() []string {
	if len(t.step.Loads) == 0 {
		return nil
	}
	b, load, other := t.b, t.step.Loads[0], t.b.OtherGauge
	c := load.Cycle
	both := b.Pressures(load, quantity.Pressure.Both)
	closing := "weight on"
	if load.Gauge == process.Dial || other != nil {
		closing = "petcock closed or weight on"
	}
	gauge, reached, zero, nearDry := fmt.Sprintf(" on the %s gauge", load.Gauge), "", "", ""
	if other != nil {
		gauge = ""
	}
	if load.Gauge == process.Weighted {
		// Michigan State University Extension 01600949: the weight jiggles or rocks as
		// designed; where there is a lock, wait for it to drop. The nudge is from memory.
		reached = " A weighted gauge is there when its weight rocks or jiggles as its maker says."
		zero = " Without a dial it is at zero when the lock in the lid, if it has one, has dropped and a nudge " +
			"of the weight lets out no steam."
	}
	if slices.ContainsFunc(b.Warnings, func(n remark.Note) bool { return n.Code == remark.NearDryCode }) {
		nearDry = " Turn the burner down once the steam is steady, so that the canner does not boil dry."
	}
	detail := t.warnings(process.LongSimmer)
	if other != nil {
		detail = append(detail, whichGauge(*other))
	}
	detail = append(detail,
		t.say("Jars on the rack (%s). Hot water in the canner as its manual says, usually %v deep; top it "+
			"up before each load.",
			layers(load), quantity.Band[quantity.Length]{Low: 2 * quantity.Inch, High: 3 * quantity.Inch}),
		t.say("1. Lid on, high heat, to a steady stream of steam: %v.", c.HeatUp),
		t.say("2. Vent with steady steam: %v, not less.%s", c.Vent, nearDry),
		t.say("3. Then %s, up to %s%s: %v.%s", closing, both, gauge, c.Pressurise, reached),
		t.say("4. Time starts now: set a timer for %v at %s or just above, for %a. Below it, bring it back and start "+
			"the full time again.", load.Process, both, b.Altitude),
		t.say("5. Timer out, and never below? Heat off. Let the pressure fall by itself to zero: %v. Never force it.%s", c.Depressurise, zero),
		t.say("6. Weight off, wait %v, then open.%s", c.Wait, t.waterLeft(load)))
	return append(detail, t.warnings(remark.OutdoorBurnerCode)...)
}

// layers says which jars stand on which rack.
func layers(load stock.Load) string {
	var layers []string
	for _, layer := range load.Layers {
		var jars []string
		for _, j := range layer.Jars {
			jars = append(jars, stock.CountJars(j.Count, j.Jar))
		}
		layers = append(layers, fmt.Sprintf("rack %d: %s", layer.Rack, strings.Join(jars, ", ")))
	}
	return strings.Join(layers, "; ")
}

// whichGauge asks for the gauge nobody named, before the lid goes on.
func whichGauge(other stock.OtherGauge) string {
	if other.Pressure == 0 {
		return fmt.Sprintf("Nobody said which gauge this canner has: look at the lid. A %s gauge has no tested "+
			"setting at this altitude: with one, do not can, freeze the broth.", other.Gauge)
	}
	return "Nobody said which gauge this canner has: look at the lid, and hold the pressure of that one."
}

// waterLeft says what the canner has boiled off when it is opened; nothing of a
// load that was not worked out.
func (t told) waterLeft(load stock.Load) string {
	if load.WaterPutIn == 0 {
		return ""
	}
	return t.say(" Of %s of water about %s is left (%s at least).",
		load.WaterPutIn, load.WaterLeft.Likely, load.WaterLeft.Low)
}

func (t told) sealTitle() string {
	step, which := t.step, ""
	if t.checkedApart() {
		which = " of " + loadNames(step.Loads)
	}
	switch {
	case step.Seals.SaveBy.IsZero():
		return t.say("Late check of the seals%s: throw away any jar not sealed", which)
	case step.Seals.LookOnly:
		return t.say("Check the seals%s; labels can wait", which)
	}
	return t.say("Check the seals%s, rings off, label the jars", which)
}

// seals says what to do with a jar that did not seal.
//
// Source: Nebraska Extension, "Saving Home-canned Food: Jars that did not Seal", and
// Michigan State University Extension 01600593: within 24 h canned again for the
// full time with a new lid, frozen with 1.5 in of headspace, or kept in the fridge
// for a few days.
func (t told) seals() []string {
	seals, fridge := t.step.Seals, ""
	detail := []string{"Lid curved down and does not move when pressed? Rings off, wipe, label with what and when."}
	if seals.LookOnly {
		detail = []string{"Lid curved down and does not move when pressed? Rings and labels can wait until you " +
			"have the time."}
	}
	if seals.SaveBy.IsZero() {
		return append(detail, "It is more than 24 h after the canner: a jar that did not seal is thrown away untasted.")
	}
	if !t.step.UseBy.IsZero() {
		fridge = t.say(", or put it into the fridge and eat it by %s", t.step.UseBy)
	}
	detail = append(detail, t.say("A jar that did not seal: by %v, 24 h after the canner, can it again with a "+
		"new lid, reheated, for the full time, freeze it with %v of room%s. Found later: throw it away untasted.",
		seals.SaveBy, 1.5*quantity.Inch, fridge))
	if seals.Late > 0 {
		detail = append(detail, t.say("The jars of %s have been out for more than 24 h: one that did not seal is "+
			"thrown away untasted.",
			loadNames(t.step.Loads[:seals.Late])))
	}
	return detail
}

// firstLook is from when the broth in the dryer may be dry and somebody is there to look;
// the hours it may take where that is not on the clock.
func (t told) firstLook(look string) string {
	for _, step := range t.plan.Steps {
		if step.Role == timeline.DryCheck && step.DryerBatch == t.step.DryerBatch {
			return fmt.Sprintf(look, timeline.Clock(step.Start, clock))
		}
	}
	return DryerHours(t.b.Leftover)
}

// preFreeze says what room in the freezer the broth takes, and until when: each
// batch until it is loaded into the dryer.
func (t told) preFreeze() []string {
	left := t.b.Leftover
	space := "Freezer space for " + Trays(left)
	if left.Drying.Frozen > 0 {
		space += t.say(", %v of ice", left.Drying.Frozen)
	}
	var until []string
	for _, step := range t.plan.Steps {
		if step.Role != timeline.DryLoad {
			continue
		}
		loaded := "until " + timeline.Clock(step.Start, dayAndClock)
		if left.Batches > 1 {
			loaded = t.say("batch %d %s", step.DryerBatch, loaded)
		}
		until = append(until, loaded)
	}
	switch {
	case len(until) == 1:
		space += ", " + until[0]
	case len(until) > 1:
		space += ": " + strings.Join(until, ", ")
	}
	return []string{
		t.say("At least %v, until solid through, and until the freeze dryer is free. Keep the trays level.",
			left.PreFreeze),
		space + ".",
	}
}

// dryerBatch names one dryer batch among several: "" when there is only one.
func (t told) dryerBatch() string {
	if t.b.Leftover.Batches == 1 {
		return ""
	}
	return t.say(" (batch %d of %d)", t.step.DryerBatch, t.b.Leftover.Batches)
}

// UseBy says why broth is best used by a date.
func UseBy(batch stock.Batch, use timeline.UseBy, f Form) string {
	if use.What == timeline.GaugeCheck {
		return "a dial gauge is checked every year"
	}
	batch.Units = f.Units
	holding, _ := batch.Holding(use.What)
	if use.What == stock.Canned {
		return Keeps(holding, f) + f.say("; if you like, boil it %v before eating: 10 min, and 1 for each %a",
			stock.BoilBeforeEating(batch.Altitude), 1000*quantity.Foot)
	}
	return Keeps(holding, f)
}

// dayAndClock is how an instant is written that may lie in another week.
const dayAndClock = "Mon 2 Jan 15:04"
