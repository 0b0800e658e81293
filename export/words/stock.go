package words

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"brothrun/stock"
	"brothrun/stock/loading"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
)

// What is said in more than one sentence.
const (
	cookedThrough = "the thickest part of each thigh, off the bone, shows 165 °F (74 °C)"
	openJars      = "fill the gaps with open jars of hot water. No tested least load exists"
	stayOut       = "keep to the burner limit in the canner's manual, and never run an outdoor burner in a garage or an enclosed porch: its fumes kill."
	notPlanned    = " Nothing after the straining is planned."
	doNotCan      = "Freeze it in meal-size boxes, or freeze-dry it; do not can it."
	pastTable     = "No tested setting for a %s gauge reaches %.0f ft (%.0f m): the table stops at %.0f ft (%.0f m). "
	// README.md says this too.
	longSimmer = "The tested process is not proven for the gelatin of a long simmer: can it only while at least half of the water put in is left, or freeze it."
)

// ofStock are the sentences of what stock notes, by code or by code and case, and the
// clauses of which some are made.
var ofStock = map[string]string{
	// What was assumed, or what a kitchen does not say.
	remark.AltitudeOfKitchen + "/missing": "The altitude, which has no default: it sets the canner's pressure.",
	remark.AwakeOfKitchen + "/missing":    "The hours you are up and at home.",
	remark.BurnerOfKitchen + "/missing":   "The power of the burner: it sets how long heating up takes.",
	remark.CannerAssumed:                  "The canner: %v.",
	remark.CannerAssumed + "/width":       "%v wide inside{ (--canner-width)}",
	remark.CannerAssumed + "/height":      "%v high inside{ (--canner-height)}",
	remark.CannerAssumed + "/rack":        "one rack{ (--racks)}",
	remark.DryerAssumed:                   "The freeze dryer has %d trays of %v by %v, filled %v deep.",
	remark.FreezerAssumed:                 "The freezer is at %v.",
	remark.FridgeAssumed:                  "The fridge is at %v; put a thermometer in it.",
	remark.FridgeAssumed + "/missing":     "The temperature of the fridge.",
	remark.GaugeAssumed: "The gauge of the canner is not named, so the plan gives what a weighted one needs, and the hours of that. " +
		"A dial gauge %v. Look at the lid, and say which{ (--gauge weighted|dial)}.",
	remark.GaugeAssumed + "/dial":      "needs %v here",
	remark.GaugeAssumed + "/none":      "has no tested setting at this altitude: with one, do not can",
	remark.GaugeAssumed + "/missing":   "The canner's gauge, weighted or dial: until it is given, plans carry the pressures of both.",
	remark.JarsOfKitchen + "/missing":  "The jars on hand: as many as it takes are assumed.",
	remark.JarsOnHand:                  "%v on hand by the kitchen file, so that %d are not counted on{ (--jars)}.",
	remark.JarsFull:                    "%v by the kitchen file, %d of them full on the shelf by the run files: %d are counted on.",
	remark.SizesAssumed + "/one":       "Only the first size of jar is planned with; put those you mean first{ (--jars)}.",
	remark.SizesAssumed:                "Only the first %d sizes of jar are planned with; put those you mean first{ (--jars)}.",
	remark.LidAssumed:                  "The lid is ajar while it simmers, and boils off anything from a quarter to four fifths of what an open pot does: say which{ (--lid on|ajar|off)}.",
	remark.LidMeasured:                 "The boil-off you measured is taken as it is: it holds for the lid you measured it with{, whatever --lid says}.",
	remark.MouthAssumed:                "The jars have regular mouths; wide ones of the same size take a little less{ (--mouth wide)}.",
	remark.PotOfKitchen + "/missing":   "A pot: the run then has to give its volume.",
	remark.PotOfKitchen + "/volume":    "The volume of the pot %q.",
	remark.PotOfKitchen + "/power":     "The power of %s, which has its own heat: it sets how long heating up takes.",
	remark.PotOfKitchen + "/boils-off": "What %s boils off in an hour: measured once, it narrows the estimate more than anything else.",
	remark.PotWidthAssumed:             "The pot is %v wide inside, by the usual shape. A wider pot boils off more: measure it{ (--pot-width)}.",
	remark.IntoWidthAssumed:            "The %s is %v wide inside, by the usual shape: measure it, the chill goes by it.",
	remark.LargestPot:                  "It is %s, which of the pots of the run has the most broth: each is chilled by itself, and for another give its volume and width.",
	remark.RouteAssumed:                "What fills no jar goes to the freezer{ (--route freeze-dry|freezer|fridge)}.",
	remark.SimmerAssumed:               "It simmers %v, as is usual for %s{ (--simmer)}.",
	remark.SimmerAssumed + "/whole": "It simmers %v, as is usual for %s (common practice, no source){ (--simmer)}. " +
		"A thermometer decides: simmer on until " + cookedThrough + ".",
	remark.VegetablesCounted:           "%v. Weigh them, large ones above all{ (--vegetables)}.",
	remark.VegetablesCounted + "/kind": "%d %s taken as %v, %v each",
	remark.TapAssumed: "The tap runs at %v or colder. In summer it may not: go to the ice as soon as the broth stops falling, " +
		"and have two or three times as much of it.",
	remark.TapAssumed + "/compared":   "The cold tap runs at %v; in summer it may be warmer.",
	remark.ZoneOfKitchen + "/missing": "The time zone.",

	// What a kitchen holds.
	remark.AltitudeOfKitchen + "/found": "The kitchen is at %a.",
	remark.CannerAssumed + "/found":     "One load is %v.",
	remark.CannerAssumed + "/layers":    "%v in %d layers",
	remark.CannerAssumed + "/layer":     "%v",
	remark.FridgeAssumed + "/found":     "At %v.",
	remark.FreezerAssumed + "/found":    "At %v.",
	remark.TapAssumed + "/found":        "At %v.",
	remark.JarOfKitchen + "/found":      "%s takes the %s's time, and %v of cold broth%v.",
	remark.JarOfKitchen + "/on-hand":    "; %d on hand",
	remark.JarOfKitchen + "/refused":    "%s: %v",
	remark.CannerAssumed + "/narrow":    "%s.",
	remark.PotOfKitchen + "/found":      "%s: %v, %v.",
	remark.PotOfKitchen + "/assumed":    "width assumed %v",
	remark.PotOfKitchen + "/wide":       "%v wide",
	remark.ProcessOfKitchen:             "%s, %s gauge: %v for %v.",
	remark.RefusedInKitchen:             "%v",

	// What may go wrong: the pot.
	remark.GaugeDiffers:        "Planned for the run's %s gauge, not for the kitchen's %s one.",
	remark.AltitudeDiffers:     "Planned for the run's altitude, %A, not for the kitchen's %A: the pressure goes by it.",
	remark.BelowSeaLevel:       "Planned for a place below sea level, %a, which is rare: at %a the pressure is %v. If the minus is a slip, take it out.",
	remark.BonesNotCovered:     "The bones stand out of the water at the start: crack or fold them, press them down, or take fewer. What is not covered gives little.",
	remark.NearOverflow:        "The pot is filled nearly to the brim: it may boil over. Add the last of the water once the level has dropped.",
	remark.LevelFalls:          "The bones may stand out of the water before the simmer ends. Look in, press them down and pour hot water over them{ (--top-up level)}.",
	remark.BoilsDry:            "This simmer %v boil the pot dry. Top up{ (--top-up level)}, put the lid on or simmer for less time.",
	remark.BoilsDry + "/may":   "may",
	remark.BoilsDry + "/would": "would",
	remark.ReducedHard:         "More than half the water boils off: salt and gelatin end up at least twice as strong. Watch the level.",
	remark.BurnerLimit:         "The burner, not the pot, limits what boils off.",
	remark.SlowHeatUp: "It may take %v to a simmer, and raw meat should not be over 4 h in the warm. " +
		"Heat part of the water apart, use a stronger burner, or take two pots.",
	remark.BirdsNotDone:                "%v may be too short to cook %s through, for which %v at least are usual (common practice, no source): simmer on until " + cookedThrough + ".",
	remark.ManyVegetables:              "The vegetables weigh more than a third of the bones: the tested stock is one of bones. Take fewer, or freeze it.",
	remark.ManyVegetables + "/counted": "The vegetables may weigh %v, more than a third of the bones: the tested stock is one of bones. Weigh them, take fewer, or freeze it.",
	process.LongSimmer + "/whole": "%v is longer than the %v the directions describe, which are for bones with most of the meat off and not for %s. " +
		longSimmer + " Half is %v.",
	process.LongSimmer: "%v is longer than the %v the directions describe for %s. " + longSimmer + " Half is %v.",

	// The chill.
	remark.BrothKept: "The broth stood in the fridge for %v before it was skimmed or reheated, longer than the %v it keeps: " +
		"throw it away, do not can it. If it was earlier, note that with its time.",
	remark.RestSpoilt:             "The broth that was heated and had to wait was not cold in time, by the readings: THROW IT AWAY. What is canned is not meant.",
	remark.BrothSpoilt:            "By the readings the broth was not cold in time, and it cannot be made safe: throw it away. No jar is planned from it. If it was back at 165 °F (74 °C) in time, note that reading with its time.",
	remark.ChillNarrow:            "This chill keeps the limits only if all goes well (%v): keep a thermometer in it, and ice at hand.",
	remark.ChillNarrow + "/melts": "How long the ice takes to melt, about %v, is a guess; no data: keep a thermometer in the broth, and more ice at hand.",
	remark.Diluted:                "Melted ice, %v, makes up %.0f %% of the chilled broth: salt, gelatin and any powder are thinner by as much. %v",
	remark.Diluted + "/hold":      "Better: hold %v of the water back at the start, as far as the bones stay covered, and stir that much in as ice; or put the ice round the pot.",
	remark.Diluted + "/round":     "That is more than the water poured in: cool it with ice round the pot instead.",
	remark.IceCounted:             "The ice melts into the broth and is counted as %v of it.",
	remark.StrainInto: "Ice cannot be put round %s, which has its own heat: it is taken that the broth is strained into a pot of %v that can stand in it. " +
		"Have one ready, and say which (strain_into in the run file).",
	remark.IceOverflows: "Hot broth and ice come to %v, and the pot holds %v to the brim: divide the broth between two pots before the ice goes in.",
	remark.FridgeWarms:  "The fridge's other food would warm to about %v, on the slow side %v.",
	remark.FridgeWarms + "/above": "The fridge's other food would warm to about %v (%v), on the slow side %v (%v). " +
		"How strong the fridge is and what is in it is not known; move what spoils out first.",
	remark.FridgeWarms + "/never":   "never above %s",
	remark.FridgeWarms + "/for":     "above %s for %v",
	remark.FridgeWarms + "/freezer": "The freezer's other food would warm to about %v, on the slow side %v.",
	remark.FridgeWarms + "/thaws":   "The freezer's other food would warm to about %v, on the slow side %v, and begin to thaw: take it out.",
	remark.FreezerWarm: "The freezer is at %v. At %v frozen broth keeps its taste for 2 months, in this one for about %s, " +
		"as far as is known: turn it down.",
	remark.FreezerWarm + "/trays": "The freezer is at %v, and not at %v: trays take longer to freeze than said. " +
		"Check that they are solid through before they go into the dryer.",
	remark.FridgeRoom: "The broth takes up to %v of the fridge over night, and by the kitchen file %v are free: make room before " +
		"the pot is lit, take less water and bones, or have ice and a cooler for the rest. Broth that cannot stand at 41 °F (5 °C) is not safe.",
	remark.FridgeRoom + "/together": "The runs together have up to %v in the fridge at once, and by the kitchen file %v are free: make room " +
		"before the first pot is lit, or plan them further apart. Broth that cannot stand at 41 °F (5 °C) is not safe.",
	remark.FreezerRoom: "What is left over takes up to %v of the freezer, and by the kitchen file %v are free: make room, or choose another " +
		"route{ (--route fridge)}.",
	remark.FreezerRoom + "/together": "The runs together have up to %v in the freezer at once, and by the kitchen file %v are free: make room, " +
		"or choose another route{ (--route fridge)}.",
	remark.FreezerWarm + "/kitchen": "The freezer is at %v: frozen broth keeps shorter in it than at %v.",

	// Jars and loads.
	remark.JarDoesNotFit:           "Left out: %s.",
	remark.RunsUnread:              "%d of the run files that the kitchen file counts on cannot be read, so more jars may be full than are taken off: brothrun shelf names them.",
	remark.NoJars:                  "There are no jars to fill: none of these sizes is on hand. All of it goes to the other route.",
	remark.TooLittleToCan:          "There is not enough broth for a single jar: freeze it.",
	remark.SecondRack:              "The canner is high enough for another layer of %s: with a second rack %v.",
	remark.SecondRack + "/fewer":   "they would need fewer loads",
	remark.SecondRack + "/more":    "more of them would be canned",
	remark.SharedJarsCode:          "Each run counts on the whole shelf of jars: %v. Empty some in between, get more, or plan the later run with what is left{ (--jars)}.",
	remark.SharedJarsCode + "/few": "%v for all runs, and %d on hand",
	remark.LessThanALoad: "All of it is less than one sensible load, 2 quarts or 4 pints: no load is planned, and all of it is left over. " +
		"Take a bigger pot, or can it all the same{ (--small-loads)} and " + openJars + ".",
	remark.LessThanALoad + "/jars": "The jars there are make no sensible load, 2 quarts or 4 pints: no load is planned, and all of the broth is left over. " +
		"Have more jars, or can it all the same{ (--small-loads)} and " + openJars + ".",
	remark.LessThanALoad + "/canned": "All of it is less than one sensible load, 2 quarts or 4 pints: " +
		"take a bigger pot or freeze it{ (--small-loads=false)}, or " + openJars + ".",
	remark.SmallLastLoad: "The odds are %.0f %% that the last load comes to fewer jars than is sensible, 2 quarts or 4 pints. " +
		"Measure the skimmed broth before the first load: then leave a few jars of that load for the last one, " +
		"or freeze what is over and save the load, or fill the gaps with open jars of hot water.",
	remark.SmallLoad:              "Load %d has only %v: %v, or " + openJars + "; 2 quarts or 4 pints are usual.",
	remark.SmallLoad + "/several": "%d loads have only a few jars, such as load %d with %v: %v, or " + openJars + "; 2 quarts or 4 pints are usual.",
	remark.SmallLoad + "/none":    "plan none so small{ (--small-loads=false)}",
	remark.SmallLoad + "/save":    "freeze that broth and save the load{ (--jars %s)}",
	remark.SmallLoad + "/saves":   "freeze that broth and save the loads{ (--jars %s)}",
	remark.HoldsGeometry: "You counted %v in a layer, but no more than %d of %v stand in a canner %v wide: measure the canner inside and the jar again. " +
		"Jars must stand upright on the rack, and none on another without a rack. Planned by your count.",
	remark.HoldsGeometry + "/unmeasured": "You counted %v in a layer; no more than %d of %v stand in a usual canner, %v wide. " +
		"Is that one layer, or the whole canner? Measure it inside{ (--canner-width)}. Planned by your count.",
	remark.HoldsGeometry + "/few": "You counted %v in a layer, but %d of %v should stand in a canner %v wide: " +
		"count again with empty jars, or measure the canner inside again. Planned by your count.",
	remark.ReheatPots:              "The jars take %v of broth, and the pot holds %v to the brim: reheat it in %d pots. The time planned is for one burner, pot after pot.",
	remark.ReheatPots + "/several": "The jars take %v of broth, and the pots hold %v to the brim: reheat it in %d pots. The time planned is for one burner, pot after pot.",
	remark.DryerBatches:            "The freeze dryer is filled %d times. Its trays take one batch; freeze the rest in flat boxes the size of a tray, and move them over as trays come free.",

	// The canner's heat.
	remark.CannerTooFull: "%v of water is more than twice what is usual in a canner this wide, %v: above the jars, steam does not vent freely. " +
		"Put in what the manual says, 2 to 3 in.",
	remark.NearDryCode: "Of the %v of water in the canner a load may leave as little as %v, more likely %v.%v " +
		"Turn the heat down once it vents steadily, and put more hot water in before each load, as much as the manual allows. " +
		"If it runs dry, heat off: never open it under pressure.",
	remark.NearDryCode + "/usual": " Usual in a canner this wide is %v.",
	remark.CannerSlow: "A burner like this may not bring the canner to pressure, or let it fall. " +
		"Steam and pressure likely take %v and %v, but 3 h where a step says so is only as far as is reckoned: it may be longer, or never. " +
		"Shield it, or can inside. Below pressure the full time starts again.",
	remark.OutdoorBurnerCode:             "Outdoors: " + stayOut,
	remark.OutdoorBurnerCode + "/strong": "A burner of %v is as strong as those for outdoors: " + stayOut,
	remark.HeatUpShort:                   "The time you noted to come to steady steam, %v, is shorter than the published %v, and is not used.",
	remark.PressuriseShort:               "The time you noted to come to pressure, %v, is shorter than the published %v, and is not used.",
	remark.DepressuriseShort: "The time you noted to lose the pressure, %v, is shorter than the published %v, and is not used: " +
		"wait for the gauge or the lock all the same.",
	remark.DepressuriseShort + "/quarts": "The time you noted to lose the pressure, %v, is shorter than the published %v with quarts, and is not used for them: " +
		"wait for the gauge or the lock all the same.",

	// What is refused.
	process.NoTestedProcess + "/pork":      "No tested process for pork or ham stock was found: the published one names beef, chicken and turkey only. " + doNotCan,
	process.NoTestedProcess + "/fish":      "No tested home process for fish stock was found. " + doNotCan,
	process.NoTestedProcess + "/shellfish": "No tested home process for shellfish stock was found. " + doNotCan,
	process.NoTestedProcess + "/vegetable": "No tested process for vegetable stock was found; those for vegetables and for soups are for other products. " + doNotCan,
	process.MixedKinds: "No tested process for a broth of poultry and beef together was found: the published directions are for chicken or turkey, and for beef, " +
		"each simmered for its own time. Cook them as two runs, or freeze or freeze-dry it; do not can it.",
	process.JarTooLarge: "No tested process covers a %s jar of stock: a quart is the largest. Fill quarts or pints, or freeze it.",
	process.JarTooLarge + "/measured": "No tested process covers a jar of %.1f fl oz (%.0f ml) to the rim: a quart, up to %.1f fl oz (%.0f ml), is the largest. " +
		"Fill quarts or pints, or freeze it.",
	process.AltitudeWeighted:               pastTable + doNotCan,
	process.AltitudeDial:                   pastTable + doNotCan,
	process.AltitudeDial + "/weighted-can": pastTable + "Use a canner with a weighted gauge, or freeze or freeze-dry it; do not can it with this one.",
	process.MostlyVegetables: "More vegetables than bones by weight make a stock of vegetables, for which no tested process was found. " +
		"Take no more vegetables than a third of the bones' weight, or freeze or freeze-dry it; do not can it.",
	process.MostlyVegetables + "/counted": "The vegetables may weigh %v, more than the bones, and that makes a stock of vegetables, for which no tested process was found. " +
		"Weigh them, or take fewer: no more than a third of the bones' weight. Or freeze or freeze-dry it; do not can it.",
	process.ReducedTooFar: "Broth boiled down below half of the water put in is not canned: no tested process covers one so strong. " +
		"Of %v about %v boils away. %v",
	process.ReducedTooFar + "/back":     "Pour about %v of hot water back before it is strained, to at least %v strained, or keep the level up{ (--top-up level)}, or freeze it.",
	process.ReducedTooFar + "/strained": "Freeze it, or freeze-dry it.",
	process.ReducedTooFar + "/dry":      "Keep the level up while it simmers{ (--top-up level)}, or freeze it.",
	remark.UnattendedCode: "A simmer of %v in this pot is not left alone: %v, and bones that boil dry burn. " +
		"It is planned with somebody at home; to leave it, put the lid on, take more water or fewer bones, or simmer for less time.",
	remark.UnattendedCode + "/dry":   "the pot may boil dry",
	remark.UnattendedCode + "/bare":  "the bones stand out of the water from the start",
	remark.UnattendedCode + "/falls": "the bones may stand out of the water before it ends",
	remark.CannerTooSmall: "%v in this canner, on the rack with the lid on%v. " +
		"The tested times are for canners that hold them: a smaller one heats and cools too fast. %v",
	remark.CannerTooSmall + "/measured": "By its measure fewer than %d quarts stand",
	remark.CannerTooSmall + "/counted":  "By your count fewer than %d quarts stand",
	remark.CannerTooSmall + "/others":   "By your count of other jars fewer than %d quarts may stand",
	remark.CannerTooSmall + "/because":  ": %s",
	remark.CannerTooSmall + "/try":      "Stand %d empty quarts in it: if the lid closes over them, say so{ (--holds %s)}. If not, use a larger canner, or freeze or freeze-dry it.",
	remark.CannerTooSmall + "/larger":   "Use a larger canner, or freeze or freeze-dry it; do not can it in this one.",
	remark.ChillTooSlow:                 "%v %v" + notPlanned,
	remark.ChillTooSlow + "/none":       "%v" + notPlanned,
	remark.ChillTooSlow + "/use":        "Use %v instead{ (--chill %s)}: %v.",
	remark.ChillTooSlow + "/trials":     "This chill (%v) is not safe: both published trials of ice in a closed vessel in the pot missed the limits.",
	remark.ChillTooSlow + "/slow":       "This chill (%v) is too slow to be safe: %v from %v; the limits are 2 h and 6 h.",
	remark.ChillTooSlow + "/times":      "%v to %v and %v to %v",
	remark.ChillTooSlow + "/one-pot":    "No way to chill %v of broth in one pot %v wide keeps the limits of 2 h to %v and 6 h to %v with something to spare. %v",
	remark.ChillTooSlow + "/divide":     "Divide it between %d pots of %v, and cool each by itself: %v keeps them.",
	remark.ChillTooSlow + "/less":       "Divide it between more pots, or make less.",
	remark.FridgeTooWarm: "The fridge is at %v, and broth waits in it from the chill to the canner: it has to be at %v or colder. " +
		"Turn it down, wait a day and read a thermometer in it before you begin." + notPlanned,
	remark.FridgeTooWarm + "/compared": "The fridge is at %v, too warm to hold broth, however it was cooled: %v or colder.",
	remark.FridgeTooWarm + "/kitchen":  "The fridge, at %v, is too warm to hold broth, and no run is planned past its straining: turn it down to %v or colder.",

	// What to do with the leftover.
	remark.LeftoverSplash: "A splash: use it up, boiled first.",
	remark.LeftoverFreezer: "Cold broth into freezer boxes or straight-sided jars with room to swell: %v in a wide pint, %v in a wide quart. " +
		"Best within 2 to 3 months.",
	remark.FreezeFlat:                  "Less than the %v that fill one tray of the freeze dryer: freeze it flat in a bag, %v thick as on the tray, and dry it with a later batch{ (--route freeze-dry dries it now)}. Best within 2 to 3 months.",
	remark.FreezeFlat + "/busy":        "The freeze dryer is taken: freeze it flat in bags, %v thick as on the tray, and dry it when the dryer is free. Best within 2 to 3 months.",
	remark.LeftoverFridge:              "Covered, in the coldest part of the fridge. Boil it before you eat it.",
	remark.MuchToFreeze + "/size-long": "A freezer of %.1f cubic feet (%.0f l) takes %d days to freeze %v, at 2 lb for each cubic foot (32 g a litre) a day, and broth waits 3 in the fridge: part of it into another freezer, or by another route.",
	remark.MuchToFreeze + "/size":      "A freezer of %.1f cubic feet (%.0f l) takes %d days to freeze %v, at 2 lb for each cubic foot (32 g a litre) a day: freeze it in turns, with the rest cold in the fridge and no longer than 3 days.",
	remark.MuchToFreeze: "More than about %v for each cubic foot of freezer a day is too much to freeze at once (from memory): " +
		"%v needs %.0f cubic feet (%.0f l), or more than one day, the rest in the fridge.",

	// What every plan says.
	remark.ManualFirst:  "Use a current tested process and your canner's own manual; where your local extension office says otherwise, it is right.",
	remark.FailedSeal:   "Do not taste or eat from a jar whose seal failed in storage, that spurts, or that shows mould or smells odd: throw it away.",
	remark.PowderIsRaw:  "Freeze-drying does not kill germs: broth made from the powder is fresh food.",
	remark.HotPots:      "Hot pots burn: two people for a full pot.",
	remark.NoOtherWay:   "Do not can this broth by another broth's process.",
	remark.GaugeYearly:  "Have a dial gauge checked every year.",
	remark.SkimAndBoil:  "Skim the fat: on a rim it can stop a seal. Reheat to a full boil before filling.",
	remark.VentAndTime:  "Vent with steady steam for 10 minutes. Time starts at pressure; if it drops below, bring it back and start the full time again.",
	remark.NeverForce:   "Never force a canner to cool.",
	remark.SealsIn24Hrs: "Check the seals within 24 h of the canner. A jar found unsealed then goes into the fridge or the freezer, or is canned again; found later, it is thrown away untasted.",
}

// joints stand between the clauses of a list, by the code of the note it is in;
// elsewhere a comma does.
var joints = map[string]string{
	remark.SharedJarsCode:           "; ",
	remark.VegetablesCounted:        "; ",
	remark.CannerAssumed + "/found": ", or ",
}

// list words the clauses of a list.
func (f Form) list(clauses []remark.Note, joint string) string {
	var texts []string
	for _, clause := range clauses {
		texts = append(texts, Note(clause, f))
	}
	return strings.Join(texts, cmp.Or(joint, ", "))
}

// atTheLimit tells figures of what is too much in both systems, rounded so that they
// do not read as the limit they are above.
func atTheLimit(note remark.Note) []any {
	switch limit := note.Facts[len(note.Facts)-1].(type) {
	case quantity.Volume:
		given := note.Facts[0].(quantity.Volume)
		return []any{math.Ceil(given.FluidOunces()*10-1e-6) / 10, math.Ceil(given.Millilitres() - 1e-6),
			limit.FluidOunces(), math.Floor(limit.Millilitres())}
	case quantity.Length:
		above := note.Facts[1].(quantity.Length)
		return []any{note.Facts[0], above.Feet(), above.Metres(), limit.Feet(), limit.Metres()}
	}
	return note.Facts
}

// Advice is what to do while the broth is chilled.
func Advice(c stock.Chill, f Form) string {
	return strings.TrimSpace(ChillSteps(c.Result) + " " + f.several(c.Notes))
}

// LeftoverAdvice is what to do with what fills no jar.
func LeftoverAdvice(l stock.Leftover, f Form) string {
	drying := ""
	if l.Drying.Batches > 0 {
		drying = DryingSteps(l.Drying)
	}
	return strings.TrimSpace(drying + " " + f.several(l.Advice))
}

func (f Form) several(notes []remark.Note) string { return f.list(notes, " ") }

// Trays is how the leftover lies on the trays: "1 tray", or "2 batches of up to 4
// trays".
func Trays(l stock.Leftover) string {
	trays := fmt.Sprintf("%d trays", l.Trays)
	if l.Trays == 1 {
		trays = "1 tray"
	}
	if l.Batches > 1 {
		return fmt.Sprintf("%d batches of up to %s", l.Batches, trays)
	}
	return trays
}

// LoadPlan names a way to fill the jars by what it is chosen for.
func LoadPlan(plan stock.LoadPlan) string {
	switch plan.Prefer {
	case loading.PreferJars:
		return "preferred jars"
	case loading.PreferLoads:
		return "fewest loads"
	case loading.PreferLeftover:
		return "least leftover"
	}
	return "small loads too"
}

// Keeps says what the time broth keeps for means, and where it ends.
func Keeps(h stock.Holding, f Form) string {
	if h.Freezer != nil {
		return f.say("about %s in a freezer at %v, from memory of storage trials; 2 to 3 months at 0 °F (-18 °C)", h.Least, *h.Freezer)
	}
	return f.Order(map[string]string{
		stock.InTheFridge: "3 to 4 days at 40 °F (4 °C) or below, from straining, until it is canned, frozen or eaten",
		stock.Frozen:      "best within 2 to 3 months at 0 °F (-18 °C); safe for longer, but it loses in taste",
		stock.Canned:      "use within a year; keep dark and dry at 50 to 70 °F (10 to 21 °C)",
		stock.PickedMeat:  "cooked poultry 3 to 4 days at 40 °F (4 °C) or below, from straining; frozen, best within 2 to 6 months",
		stock.Powder:      "sealed dry with an oxygen absorber; no extension figure was found, a year is a cautious guess",
	}[h.Form])
}
