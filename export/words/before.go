package words

import (
	"fmt"
	"strings"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/thaw"
	"brothrun/timeline"
)

// neverCounter is said wherever something thaws [USDA, safe thawing].
const neverCounter = "Never on the counter, never in warm water."

// checkBefore is Check of what is asked before the run begins.
func checkBefore(b stock.Batch, c timeline.Check, f Form) (title string, detail []string) {
	switch c.Asks {
	case timeline.GaugeDue:
		return "Dial gauge checked this year?", []string{f.say("It is checked every year before use: an extension office or "+
			"the maker does that. It is needed on %s. Write the day into the kitchen file.", c.Limit)}
	case timeline.NewLids:
		lids := Lids(b.Lids())
		return f.say("%s? %s", lids, washed(b)), []string{
			"A new lid for every jar, a spare among them: " + lids + ". Rims without chips, rings without rust."}
	case timeline.FillTank:
		gas, _ := stock.Propane(b.FuelOfTank())
		return f.say("%s of propane left?", gas.High), []string{f.say("The run takes %s of propane, likely %v. Weigh the "+
			"tank: what it weighs empty is stamped on its collar as TW. A canner must not run out of heat at pressure: its "+
			"time would start again.", quantity.Ends(gas.Low.Format(f.Units), "to", gas.High.Format(f.Units)), gas.Likely)}
	case timeline.DryerFree:
		return f.say("Freeze dryer free? %s", c.Limit), []string{f.say("The trays are frozen by then, and it runs %s. Is it "+
			"taken? Write that into the kitchen file and plan again.", DryerHours(b.Leftover))}
	case timeline.ClearRoom:
		return clearRoom(b, c, f)
	case timeline.IntoFridge:
		return f.say("Thaw: %s into the fridge?", b.Weight), append(ThawNow(b, f),
			f.say("Soft by %v, when the pot is lit, on the slow side too.", c.Limit), neverCounter)
	}
	return dayBefore(b, f)
}

// ThawNow is how what goes into the pot thaws in the fridge.
func ThawNow(b stock.Batch, f Form) []string {
	return []string{
		f.say("Wrapped, on a tray on the lowest shelf, so that nothing drips on other food, at %v or below.",
			quantity.Fahrenheit(40)),
		f.say("%v as one package takes %v: a day for each 4 to 5 lb (1.8 to 2.3 kg). In several smaller ones it is soft "+
			"sooner; thawed it keeps 1 to 2 days before it is cooked.", b.Thaw.Package, b.Thaw.Takes),
	}
}

// AsOne says what the hours in the fridge are for.
func AsOne(b stock.Batch, f Form) string {
	return f.say("in the fridge, %s as one package", b.Thaw.Package)
}

func clearRoom(b stock.Batch, c timeline.Check, f Form) (title string, detail []string) {
	title = f.say("Fridge: %s free?", b.FridgeNeeds())
	detail = []string{f.say("Up to %v of broth stand there over night; in its pot it takes the room of the pot.",
		b.FridgeNeeds())}
	if room := b.ThawRoom(); room > 0 {
		detail = append(detail, f.say("Before that, the thawing bones: about %v.", room))
	}
	if room := b.FreezerNeeds(); room > 0 {
		title += f.say(" Freezer: %s?", room)
		detail = append(detail, f.say("Up to %v of what is left over go into the freezer.", room))
	}
	return title, append(detail, f.say("The pot is lit on %s.", c.Limit))
}

func dayBefore(b stock.Batch, f Form) (title string, detail []string) {
	bones := "Bones thawing?"
	switch b.Thaw.Method {
	case thaw.Unsaid:
		// USDA, safe thawing: a day in the fridge for each 4 to 5 lb.
		detail = []string{f.say("What goes into the pot tomorrow, is it still frozen? Into the fridge with it: a large "+
			"piece takes a day for each %v.", 4.5*quantity.Pound)}
	case thaw.None:
		bones = "Bones there?"
	case thaw.Fridge:
		bones = "Bones soft?"
		detail = []string{"Hard in the middle tomorrow? The rest in cold water, 30 min for each 1 lb (0.5 kg), changed every " +
			"30 min, and at once into the pot. " + neverCounter}
	case thaw.ColdWater:
		bones = "Bones stay frozen?"
		detail = []string{f.say("They thaw tomorrow in cold water, %v of it, and not before.", b.Thaw.Takes.Likely)}
	case thaw.Pot:
		bones = "Bones stay frozen?"
		detail = []string{"They go into the pot frozen; until then they stay in the freezer."}
	}
	if b.Chill.Ice <= 0 {
		return bones + " Pot tomorrow", detail
	}
	return f.say("%s of ice? "+bones, b.Chill.IceToHave), append([]string{
		f.say("The chill takes ice: have %v in the house before it is strained.", b.Chill.IceToHave)}, detail...)
}

// Lids lists new lids by the mouth of the jar.
func Lids(lids map[string]int) string {
	var all []string
	for _, mouth := range []string{"regular", "wide"} {
		if n := lids[mouth]; n > 0 {
			all = append(all, fmt.Sprintf("%d %s lids", n, mouth))
		}
	}
	return strings.Join(all, ", ")
}

// washed is the jars to wash.
func washed(b stock.Batch) string {
	var all []string
	for _, j := range b.Jars {
		all = append(all, stock.CountJars(j.Wash, j.Jar))
	}
	return strings.Join(all, ", ")
}
