package timeline

import (
	"fmt"
	"strconv"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
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

// tasksOf lists the steps of a run with their rules, from preparing to the
// wiped-down kitchen. The loads are canned in sessions, each with a reheat of its
// own.
func tasksOf(run Run, w way) []task {
	tasks := firstDay(run)
	if run.Batch.EndsAtStraining() {
		return tasks
	}
	if run.Batch.Picked() {
		tasks = append(tasks, pickTask(run.Batch, w.cold))
	}
	return append(tasks, laterDays(run.Batch, w.sessions, w.joined)...)
}

// firstDay is preparing to the end of the attended chill.
func firstDay(run Run) []task {
	b := run.Batch
	var tasks []task
	add := func(step Step, rules ...rule) { tasks = append(tasks, task{Step: step, rules: rules}) }
	hob := func(needs ...Resource) []Resource {
		switch run.Heat {
		case OwnHeat:
			return append(needs, Pot)
		case Oven:
			return append(needs, Oven, Pot)
		}
		return append(needs, Stove, Pot)
	}
	var thawed []rule
	if b.Thaw.Method == thaw.ColdWater {
		add(Step{ID: "thaw", Role: Thaw, Kind: Watch, Needs: []Resource{Cook}, Span: b.Thaw.Takes, Remind: 15 * time.Minute})
		thawed = []rule{atOnce("thaw", ThawedCooks)}
	}
	add(Step{
		ID: "prepare", Role: Prepare,
		Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: preparing, Remind: 15 * time.Minute,
	}, thawed...)
	add(Step{
		ID: "heat-up", Role: HeatUp, Kind: Watch, Needs: hob(Cook), Span: b.HeatUp, Remind: 5 * time.Minute,
	}, atOnce("prepare", RawBones))
	simmer := Step{
		ID: "simmer", Role: Simmer,
		Kind: Watch, Needs: hob(Cook), Span: quantity.Exactly(b.Simmer), Remind: 5 * time.Minute,
	}
	if run.alone() {
		simmer.Kind, simmer.Needs = Waiting, hob()
	}
	add(simmer, atOnce("heat-up", NoReason))
	add(Step{
		ID: "strain", Role: Strain,
		Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: straining, Remind: 20 * time.Minute,
	}, atOnce("simmer", NoReason))
	if b.EndsAtStraining() {
		return tasks
	}
	chill := Step{
		ID: "chill", Role: Chill,
		Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: attended(b.Chill), Remind: 5 * time.Minute,
	}
	if b.Chill.Watched {
		chill.Kind = Watch
	}
	add(chill, atOnce("strain", ChillAtOnce))
	return tasks
}

// MeatOut is how long the cooked birds may be out of the fridge, from the end of the
// straining: 2 h, in portions at most 2 in deep after that (Wisconsin Extension;
// testdata/published/holding_limits.csv).
const MeatOut = 2 * time.Hour

// picking is how long the meat of whole birds takes to pick, by its weight: half an hour
// for two chickens of 9 lb together. Common practice, no source.
func picking(b stock.Batch) quantity.Band[time.Duration] {
	const begins, perKilogram = 10 * time.Minute, 14 * time.Minute // of picked meat
	likely := begins + time.Duration(b.Meat.Likely.Kilograms()*float64(perKilogram)).Round(time.Minute)
	up := func(d time.Duration) time.Duration { return d.Round(time.Minute) }
	return quantity.Band[time.Duration]{Low: up(likely * 2 / 3), Likely: likely, High: up(likely * 3 / 2)}
}

// pickTask is the picking, by one cook who may be chilling the broth as well. Warm, it is
// done while the pot needs looking in alone, or else right after it needed hands. Cold, the
// birds are spread on trays in the fridge from the straining on, and are picked at any time
// before the broth is skimmed.
func pickTask(b stock.Batch, cold bool) task {
	t := task{Step: Step{
		ID: "pick", Role: Pick, Cold: cold,
		Kind: HandsOn, Needs: []Resource{Cook, Fridge}, Span: picking(b), Remind: 5 * time.Minute,
	}}
	switch {
	case cold:
		t.rules = []rule{{after: "chill", most: forever, why: HandsFree},
			{after: "strain", most: meatHold, why: MeatKeeps}}
	case b.Chill.Watched:
		t.rules = []rule{{after: "chill", beside: true, rigid: true, why: MeatWithin2H}}
	default:
		t.rules = []rule{atOnce("chill", MeatWithin2H)}
	}
	return t
}

// pickedWarm reports whether the meat is picked in time without the fridge, even if that
// runs long. Where the chill does, the birds go into the fridge first: so it is said.
func pickedWarm(b stock.Batch) bool {
	out := picking(b).High
	if !b.Chill.Watched {
		out += attended(b.Chill).Likely
	}
	return out <= MeatOut
}

// attended is the hands-on part of the chill, at least the minutes it takes to
// put a pot away.
func attended(c stock.Chill) quantity.Band[time.Duration] {
	const least = 5 * time.Minute
	up := func(d time.Duration) time.Duration { return max(least, d).Round(time.Minute) }
	return quantity.Band[time.Duration]{Low: up(c.HandsOn.Low), Likely: up(c.HandsOn.Likely), High: up(c.HandsOn.High)}
}

// fridgeStep is the night between the two days.
func fridgeStep(from, until, by time.Time, why Reason) Step {
	return Step{
		ID: "fridge", Role: InFridge, Kind: Waiting, Needs: []Resource{Fridge}, UseBy: by,
		Why:   because(why),
		Start: from, End: until, Span: quantity.Exactly(until.Sub(from)),
	}
}

// inTheFridge is skimmed broth waiting for its session of canning.
func inTheFridge(session int, from, until, by time.Time) Step {
	return Step{
		ID: nth("fridge-again", session), Role: BackInFridge, Session: session,
		Kind: Waiting, Needs: []Resource{Fridge}, UseBy: by,
		Start: from, End: until, Span: quantity.Exactly(until.Sub(from)),
		Why: because(UntilWatched),
	}
}

// laterDays is skimming to the wiped-down kitchen.
func laterDays(b stock.Batch, sessions layout, joined bool) []task {
	var tasks []task
	add := func(step Step, rules ...rule) { tasks = append(tasks, task{Step: step, rules: rules}) }
	cold, skimmed := ColdAndFirm, !b.NoFatCap || len(b.Loads) > 0
	if !skimmed {
		cold = ColdThrough
	}
	afterChill := []rule{{after: "chill", least: coldAfter(b), most: forever, why: cold},
		{after: "strain", most: fridgeHold, why: KeepsThreeDays}}
	if b.Picked() {
		afterChill = append(afterChill, rule{after: "pick", most: forever})
	}
	if !skimmed {
		add(leftoverStep(b, Pack, portioning), afterChill...)
		add(cleanUpStep(0), atOnce("leftover", NoReason))
		return tasks
	}
	add(Step{
		ID: "skim", Role: Skim, Kind: HandsOn, Needs: []Resource{Cook, Pot}, Span: skimming, Remind: 15 * time.Minute,
	}, afterChill...)
	if len(b.Loads) == 0 {
		add(leftoverStep(b, Pack, portioning), atOnce("skim", NoReason))
		add(cleanUpStep(0), atOnce("leftover", NoReason))
		return tasks
	}

	last := "skim"
	if !b.Leftover.Splash {
		// Before the reheat, so that what is not canned stays cold.
		add(leftoverStep(b, Leftover, trayingUp), atOnce("skim", StaysCold))
		last = "leftover"
	}
	for n := 1; n <= len(sessions); n++ {
		loads := sessions.of(b.Loads, n)
		begin := rule{after: last, most: forever}
		if n == 1 && joined {
			begin = atOnce(last, NoReason)
		}
		reheat, jars, cleanUp := nth("reheat", n), nth("jars", n), nth("clean-up", n)
		add(Step{
			ID: reheat, Role: Reheat, Session: n, Loads: loads,
			Kind: Watch, Needs: []Resource{Cook, Stove, Pot}, Span: b.Reheat, Remind: 5 * time.Minute,
		}, begin, rule{after: "strain", most: fridgeHold, why: KeepsThreeDays})
		add(Step{
			ID: jars, Role: WashJars, Session: n, Loads: loads,
			Kind: HandsOn, Needs: []Resource{Cook}, Span: washing, Remind: 5 * time.Minute,
		}, rule{after: reheat, beside: true, rigid: true, why: BrothHeats})
		last = jars
		for i, load := range loads {
			only := loads[i : i+1]
			number := strconv.Itoa(load.Number)
			fill, canned, unload := "fill-"+number, "load-"+number, "unload-"+number
			begin := []rule{atOnce(last, JarsNeverCool)}
			if last == jars {
				begin = []rule{atOnce(reheat, FullBoil), atOnce(jars, NoReason)}
			}
			likely := fillStart + time.Duration(load.Jars())*perJar
			add(Step{
				ID: fill, Role: Fill, Session: n, Loads: only,
				Kind: HandsOn, Needs: []Resource{Cook, Stove, Pot}, Remind: 5 * time.Minute,
				Span: quantity.Band[time.Duration]{Low: likely * 3 / 4, Likely: likely, High: likely * 3 / 2},
			}, begin...)
			add(Step{
				ID: canned, Role: Load, Session: n, Loads: only,
				Kind: Watch, Needs: []Resource{Cook, Stove, Canner}, Span: load.Cycle.Total(), Remind: 5 * time.Minute,
			}, atOnce(fill, HotJars))
			add(Step{
				ID: unload, Role: Unload, Session: n, Loads: only,
				Kind: HandsOn, Needs: []Resource{Cook, Canner}, Span: unloading, Remind: 5 * time.Minute,
			}, atOnce(canned, NoReason))
			last = unload
		}
		add(cleanUpStep(n), atOnce(last, NoReason))
		last = cleanUp
	}
	return tasks
}

// layout is how many loads each session of canning takes, a byte for each: there are
// never more than stock.MostLoads.
type layout string

// evenly shares loads among sessions: the first take one more where they do not come
// out even.
func evenly(loads, sessions int) layout {
	var l layout
	for n := range sessions {
		count := loads / sessions
		if n < loads%sessions {
			count++
		}
		l += layout([]byte{byte(count)})
	}
	return l
}

// loads is how many there are in all sessions.
func (l layout) loads() (all int) {
	for n := range l {
		all += int(l[n])
	}
	return all
}

// of returns the loads of the nth session, from 1.
func (l layout) of(loads []stock.Load, nth int) []stock.Load {
	first := 0
	for n := range nth - 1 {
		first += int(l[n])
	}
	return loads[first : first+int(l[nth-1])]
}

// nth names a step of the nth session: "reheat", "reheat-2".
func nth(id string, session int) string {
	if session <= 1 {
		return id
	}
	return fmt.Sprintf("%s-%d", id, session)
}

func cleanUpStep(session int) Step {
	return Step{
		ID: nth("clean-up", session), Role: CleanUp, Session: session,
		Kind: HandsOn, Needs: []Resource{Cook}, Span: cleaningUp,
	}
}

func leftoverStep(b stock.Batch, role Role, span quantity.Band[time.Duration]) Step {
	needs := []Resource{Cook, Freezer}
	if b.Leftover.Route == settle.Fridge {
		needs = []Resource{Cook, Fridge}
	}
	return Step{ID: "leftover", Role: role, Kind: HandsOn, Needs: needs, Span: span, Remind: 5 * time.Minute}
}

func preFreezeStep(b stock.Batch) Step {
	return Step{
		ID: "pre-freeze", Role: PreFreeze,
		Kind: Waiting, Needs: []Resource{Freezer}, Span: quantity.Exactly(b.Leftover.PreFreeze),
	}
}

func dryLoadStep(n int) Step {
	return Step{
		ID: fmt.Sprintf("dry-load-%d", n), Role: DryLoad, DryerBatch: n, Kind: HandsOn,
		Needs: []Resource{Cook, FreezeDryer}, Span: dryerLoad, Remind: 15 * time.Minute,
	}
}

func dryStep(b stock.Batch, n int) Step {
	return Step{
		ID: fmt.Sprintf("dry-%d", n), Role: Dry, DryerBatch: n,
		Kind: Waiting, Needs: []Resource{FreezeDryer}, Span: b.Leftover.Hours,
	}
}

func dryCheckStep(n int) Step {
	return Step{
		ID: fmt.Sprintf("dry-check-%d", n), Role: DryCheck, DryerBatch: n, Kind: HandsOn,
		Needs: []Resource{Cook, FreezeDryer}, Span: dryerCheck, Remind: 15 * time.Minute,
	}
}

// restStep is the jars left alone until their seals are checked.
func restStep(id string, session int, loads []stock.Load, from, until time.Time) Step {
	return Step{
		ID: id, Role: Rest, Session: session, Loads: loads,
		Kind: Waiting, Start: from, End: until, Span: quantity.Exactly(until.Sub(from)),
		Why: because(SealsSet),
	}
}
