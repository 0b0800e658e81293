package words

import (
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/thaw"
	"brothrun/timeline"
)

// When each thing has to be there; nothing of what has no time.
const readyBy = "by %s"

// HowMuch is how many of something, where they were counted, and what they weigh; of
// vegetables the weight is a likely one.
func HowMuch(s stock.Solid, f Form) string {
	switch {
	case s.Count == 0:
		return s.Weight.Both(f.Units)
	case s.Vegetable:
		return f.say("%d, likely %s", s.Count, s.Weight)
	}
	return f.say("%d, ", s.Count) + s.Weight.Both(f.Units)
}

// Brought says when something is to be there, for each run that has a part of it, and how
// it thaws.
func Brought(b timeline.Bring, f Form) string {
	var all []string
	for _, part := range b.Parts {
		said := f.thawing(part)
		if said == "" && !part.By.IsZero() {
			said = f.say(readyBy, part.By)
		}
		if said != "" && len(b.Parts) > 1 {
			said = f.say("%s ", part.Weight) + said
		}
		if said != "" {
			all = append(all, said)
		}
	}
	return strings.Join(all, "; ")
}

// thawing is how the bones of a run thaw, and from when.
func (f Form) thawing(part timeline.PartOf) string {
	takes := part.Thaw.Takes
	switch part.Thaw.Method {
	case thaw.Fridge:
		if part.ThawAt.IsZero() {
			return f.say("into the fridge %v before, as one package", takes.High)
		}
		return f.say("into the fridge on %s", timeline.Clock(part.ThawAt, day+" 15:04"))
	case thaw.ColdWater:
		if part.ThawAt.IsZero() {
			return f.say("in cold water on the day, %v before", takes.Likely)
		}
		return f.say("in cold water from %s on, %v", timeline.Clock(part.ThawAt, day+" 15:04"), takes.Likely)
	case thaw.Pot:
		return join(by(part, f), "stay frozen until the pot")
	case thaw.Unsaid:
		return join(by(part, f), f.say("if frozen up to %v earlier, to thaw{ (--thaw fridge)}", unsaid(part)))
	}
	return ""
}

// unsaid is how long it would thaw, were it frozen.
func unsaid(part timeline.PartOf) any {
	return thaw.Takes(thaw.Fridge, part.Thaw.Package).High
}

func by(part timeline.PartOf, f Form) string {
	if part.By.IsZero() {
		return ""
	}
	return f.say(readyBy, part.By)
}

func join(parts ...string) string {
	var all []string
	for _, part := range parts {
		if part != "" {
			all = append(all, part)
		}
	}
	return strings.Join(all, "; ")
}

// Iced says until when ice is bought, and where it stands.
func Iced(b timeline.Bring, f Form) string {
	b.Parts = slices.Clone(b.Parts)
	var most quantity.Mass // for one chill
	for i := range b.Parts {
		b.Parts[i].Thaw.Method = thaw.None
		most = max(most, b.Parts[i].Weight)
	}
	return join(Brought(b, f), f.say("%s take %s of a cooler", most, stock.IceRoom(most)))
}

// CountedWords says how many there are of something, and how many are missing.
func CountedWords(c stock.Counted, missing string) string {
	switch short := c.Short(); {
	case c.OnHand < 0:
		return "nobody counted those on hand"
	case short > 0:
		return Form{}.say("%d on hand: %d "+missing, c.OnHand, short)
	}
	return Form{}.say("%d on hand", c.OnHand)
}

// Roomy says when a fridge or freezer is at its fullest, and what is free.
func Roomy(r timeline.Room, key string, f Form) string {
	when, free := "all at once", f.say("how much is free? (room of ["+key+"], kitchen file)")
	if !r.From.IsZero() {
		when = "at the fullest, " + timeline.Clock(r.From, day+" 15:04")
	}
	if r.Has != nil {
		free = f.say("%s free", *r.Has)
	}
	if r.Short() {
		free = f.say("TOO LITTLE: %s free", *r.Has)
	}
	return join(when, free)
}

// Fullest says when the fridge that several runs share is at its fullest.
func Fullest(r timeline.Room, place *time.Location) string {
	return "at the fullest, " + timeline.Clock(r.From.In(place), "Mon 15:04") + ", what thaws with it; by the high end"
}

// Turns says that a freezer takes several days.
func Turns(days int, f Form) string {
	return f.say("it takes %d days to freeze that: in turns", days)
}

// Tank says what of a tank of propane goes.
func Tank(energy quantity.Band[quantity.Energy], f Form) (amount, about string) {
	gas, volume := stock.Propane(energy)
	return f.say("%v", gas.High), f.say("likely %s (%s); weigh the tank", gas.Likely, volume)
}

// ReadyTitle says what of a card is too little.
func ReadyTitle(r timeline.Ready, f Form) string {
	title, lacks := "Ready for the run", []string{}
	if len(r.Plans) > 1 {
		title = f.say("Ready for %d runs", len(r.Plans))
	}
	if r.Fridge.Short() {
		lacks = append(lacks, f.say("%s of fridge", r.Fridge.Needs-*r.Fridge.Has))
	}
	if r.Freezer.Short() {
		lacks = append(lacks, f.say("%s of freezer", r.Freezer.Needs-*r.Freezer.Has))
	}
	for _, jars := range r.Jars {
		if short := jars.Short(); short > 0 {
			lacks = append(lacks, stock.CountJars(short, jars.Name))
		}
	}
	for _, lids := range r.Lids {
		if short := lids.Short(); short > 0 {
			lacks = append(lacks, f.say("%d "+lids.Name+" lids", short))
		}
	}
	counted := func(c stock.Counted) bool { return c.OnHand >= 0 }
	if !slices.ContainsFunc(r.Jars, counted) && !slices.ContainsFunc(r.Lids, counted) &&
		r.Fridge.Has == nil && r.Freezer.Has == nil {
		return title + ": nothing was counted yet, so look at all of it"
	}
	if len(lacks) == 0 {
		return title + ": nothing that was counted is short"
	}
	return title + "? Short by " + strings.Join(lacks, ", ")
}

// ReadyRun is a run of a card: what it is, and when its pot is lit.
func ReadyRun(plan timeline.Plan) (name, when string) {
	name = plan.Batch.Name
	if name == "" {
		name = plan.Batch.What
	}
	if begins := plan.Begins(); !begins.IsZero() {
		when = "begins " + timeline.Clock(begins, day+" 15:04")
	}
	return name, when
}

// What else a card says.
const (
	ReadyUndated = "Without a time to begin or to finish by it has no dates, and fridge and freezer hold all that " +
		"every run has there."
	ReadyDryer     = "from %s on"
	ReadyGauge     = "this year, by %s"
	ReadyAbsorbers = "300 cc, one in each jar of powder"
	ReadyFuel      = "%s to %s, 8 times in 10; pots and canner"
)

// ReadySays writes one of the sentences of a card.
func ReadySays(sentence string, f Form, facts ...any) string { return f.say(sentence, facts...) }
