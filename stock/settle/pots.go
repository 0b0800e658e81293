package settle

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"brothrun/stock/fault"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/thaw"
)

// several settles a run of several pots: each as a run of its own with its share of the
// bones, and what is in all of them as one stock, of which the jars are filled. The
// stricter simmer of what is in them is taken for all.
func several(kitchen runfile.Kitchen, run runfile.Run, fills []runfile.Fill) (Setup, error) {
	runs, err := divided(kitchen, run, fills)
	if err != nil {
		return Setup{}, err
	}
	if len(runs) == 1 {
		return alone(kitchen, runs[0])
	}
	whole := run
	whole.Kind, whole.Bones, whole.Portions, whole.Vegetables = "", nil, nil, new(quantity.Mass)
	for _, one := range runs {
		if one.Portions == nil {
			one.Portions = []runfile.Portion{{Kind: one.Kind, Weight: one.Bones}}
		}
		whole.Portions = append(whole.Portions, one.Portions...)
		*whole.Vegetables += valueOf(one.Vegetables)
	}
	house, err := Kitchen(kitchen, run.Gauge)
	if err != nil {
		return Setup{}, err
	}
	mix, err := house.At(kitchen, whole)
	if err != nil {
		return mix, unportioned(err)
	}
	var pots []Setup
	label, given := labels(kitchen, fills), slices.Repeat([]runfile.Fill{{}}, len(fills))
	copy(given, run.Fills)
	for i, one := range runs {
		if run.Simmer == nil {
			one.Simmer = &mix.simmers.usual
		}
		pot, err := alone(kitchen, one)
		pot.Label, pot.nth, pot.given = label[i], i, given[i]
		if err != nil {
			wrong := fault.Of("", err, "")
			if wrong.Key == "strain_into" {
				wrong.Hint = fmt.Sprintf("strain_into = %q", free(kitchen, run)) // none of the others
			}
			return pot, pot.Blame(wrong)
		}
		if run.Simmer == nil {
			pot.assume(remark.Of(remark.SimmerAssumed, *one.Simmer, mix.What))
		}
		pots = append(pots, pot)
	}
	if err := apart(pots); err != nil {
		return Setup{}, err
	}
	s := pots[0]
	s.Kind, s.What, s.Stock, s.Solids, s.simmers = mix.Kind, mix.What, mix.Stock, mix.Solids, mix.simmers
	s.Bare, s.Vegetables, s.Warnings, s.Label = mix.Bare, mix.Vegetables, mix.Warnings, ""
	for i := range pots {
		s.SimmersAlone, pots[i].Warnings = s.SimmersAlone && pots[i].SimmersAlone, nil
	}
	for i := range pots {
		pots[i].SimmersAlone = s.SimmersAlone // with somebody at home for one, all are watched
	}
	s.Pots = pots
	return s, nil
}

// unportioned is a fault of the portions of a whole run as one of the key it has there.
func unportioned(err error) error {
	wrong := fault.Of("", err, "")
	if strings.HasPrefix(wrong.Key, "bones[") {
		wrong.Key = "kind"
	}
	return wrong
}

// labels are what the pots are called: as the kitchen does, by their volume where that is
// of one alone, or by their place.
func labels(kitchen runfile.Kitchen, fills []runfile.Fill) []string {
	var all []string
	for i, fill := range fills {
		pot, err := kitchen.Pot(fill.Pot)
		label := cmp.Or(pot.Name, strings.TrimSpace(fill.Pot)+" pot")
		alike := slices.IndexFunc(fills, func(other runfile.Fill) bool { return other.Pot == fill.Pot }) != i ||
			slices.ContainsFunc(fills[i+1:], func(other runfile.Fill) bool { return other.Pot == fill.Pot })
		if err != nil || pot.Name == "" && alike {
			label = fmt.Sprintf("pot %d", i+1)
		}
		all = append(all, label)
	}
	return all
}

// Blame is an error about one pot of several, told by its name and, where it has the key
// itself, by its own.
func (s Setup) Blame(err error) error {
	if s.Label == "" || err == nil {
		return err
	}
	wrong := *fault.Of("", err, "")
	given := s.given
	own := map[string]bool{
		"pot": given.Pot != "", "kind": given.Kind != "", "bones": given.Bones != nil, "vegetables": given.Vegetables != nil,
		"water": given.Water != nil || given.Fit, "strain_into": given.StrainInto != "",
	}
	if own[wrong.Key] {
		wrong.Key = fmt.Sprintf("fill[%d].%s", s.nth, wrong.Key)
	}
	wrong.Reason = s.Label + ": " + wrong.Reason
	return &wrong
}

// apart finds a pot that is wanted twice.
func apart(pots []Setup) error {
	taken := map[string]string{}
	for _, pot := range pots {
		if name := strings.ToLower(pot.Pot.PotName); name != "" {
			if taken[name] != "" {
				return pot.Blame(fault.New("pot", "name each pot once", "it is given twice in one run"))
			}
			taken[name] = pot.Label
		}
	}
	for _, pot := range pots {
		if !pot.Into.Given || pot.Into.Name == "" {
			continue
		}
		if other := taken[strings.ToLower(pot.Into.Name)]; other != "" {
			return pot.Blame(fault.New("strain_into", "name a pot that is free", "the %s has the broth of %s by then",
				pot.Into.Name, other))
		}
		taken[strings.ToLower(pot.Into.Name)] = pot.Label
	}
	return nil
}

// divided makes a run of each pot. What is not said of a pot is divided by how much each is
// filled with, its fill line of its volume.
func divided(kitchen runfile.Kitchen, run runfile.Run, fills []runfile.Fill) ([]runfile.Run, error) {
	if len(fills) > kettle.MostPots {
		return nil, fault.New("pot", "plan two runs", "%d pots in one run: at most %d", len(fills), kettle.MostPots)
	}
	if err := forOnePot(run, fills); err != nil {
		return nil, err
	}
	runs, takes := make([]runfile.Run, len(fills)), make([]quantity.Volume, len(fills))
	var bones, vegetables []*quantity.Mass
	var ownHeat []int
	for i, fill := range fills {
		one := run
		one.Fills, one.Pots, one.Pot = nil, nil, fill.Pot
		one.Kind, one.StrainInto = cmp.Or(fill.Kind, run.Kind), fill.StrainInto
		if len(fills) > 1 || fill.Fit || fill.Water != nil {
			one.Fit, one.Water = fill.Fit || fill.Water == nil, fill.Water
		}
		if fill.Bones != nil {
			one.Birds = runfile.Birds{}
		}
		if one.Kind == "" && len(run.Portions) == 0 {
			return nil, fault.New("kind", "--kind turkey-frames, or one of: "+kindList(),
				"what goes into pot %d is not given", i+1)
		}
		key := "pot"
		if len(run.Fills) > 0 {
			key = fmt.Sprintf("fill[%d].pot", i)
		}
		pot, err := kitchen.Pot(fill.Pot)
		if err != nil {
			return nil, fault.Of(key, err, `pot = "22 qt", or a pot of the kitchen`)
		}
		if pot.Volume != nil {
			line := kettle.DefaultFillLine
			if pot.FillLine != nil {
				line = *pot.FillLine
			}
			takes[i] = *pot.Volume * quantity.Volume(line)
		}
		if err := kindOfPot(run, fills, i); err != nil {
			return nil, err
		}
		if plugged(pot) && fill.StrainInto == "" {
			ownHeat = append(ownHeat, i)
		}
		runs[i], bones, vegetables = one, append(bones, fill.Bones), append(vegetables, fill.Vegetables)
	}
	if run.StrainInto != "" {
		if len(ownHeat) != 1 {
			return nil, fault.New("strain_into", fmt.Sprintf("strain_into = %q below each [[fill]] that needs it", free(kitchen, run)),
				"several pots: which of them is strained into the %s is not said", strings.TrimPrefix(run.StrainInto, "the "))
		}
		runs[ownHeat[0]].StrainInto = run.StrainInto
	}
	step := quantity.Pound / 10
	if units, err := quantity.ParseSystem(kitchen.Units); err == nil && units == quantity.Metric {
		step = 50 * quantity.Gram
	}
	if err := divideBones(run, runs, bones, takes, step); err != nil {
		return nil, err
	}
	each, err := shares("vegetables", run.Vegetables, vegetables, takes, step)
	for i := range each {
		runs[i].Vegetables = each[i]
	}
	return runs, err
}

// free is a pot of the kitchen that a run may strain into: one that can stand in ice and is
// not filled; a volume where there is none.
func free(kitchen runfile.Kitchen, run runfile.Run) string {
	for _, pot := range kitchen.Pots {
		filled := pot.Name == "" || strings.EqualFold(pot.Name, run.Pot) ||
			slices.ContainsFunc(run.Pots, func(name string) bool { return strings.EqualFold(pot.Name, name) }) ||
			slices.ContainsFunc(run.Fills, func(fill runfile.Fill) bool { return strings.EqualFold(pot.Name, fill.Pot) })
		if !filled && !plugged(pot) {
			return pot.Name
		}
	}
	return "22 qt"
}

// divideBones divides what goes into the pots, of several kinds each by itself.
func divideBones(
	run runfile.Run, runs []runfile.Run, given []*quantity.Mass, takes []quantity.Volume, step quantity.Mass,
) error {
	if len(run.Portions) == 0 {
		each, err := shares("bones", run.Bones, given, takes, step)
		for i := range each {
			runs[i].Bones = each[i]
		}
		return err
	}
	for i := range runs {
		runs[i].Portions = slices.Clone(run.Portions)
	}
	for k, portion := range run.Portions {
		each, err := shares("bones", portion.Weight, make([]*quantity.Mass, len(runs)), takes, step)
		if err != nil {
			return err
		}
		for i := range runs {
			runs[i].Portions[k].Weight = each[i]
		}
	}
	return nil
}

// kindOfPot finds a kind that one pot of several may not have: none that is known, or whole
// birds, of which the meat is picked within 2 h of the one straining.
func kindOfPot(run runfile.Run, fills []runfile.Fill, i int) error {
	key, kinds := "kind", []string{cmp.Or(fills[i].Kind, run.Kind)}
	if fills[i].Kind != "" {
		key = fmt.Sprintf("fill[%d].kind", i)
	}
	if len(run.Portions) > 0 {
		key, kinds = "bones", nil
		for _, portion := range run.Portions {
			kinds = append(kinds, portion.Kind)
		}
	}
	for _, text := range kinds {
		kind, err := ParseKind(text)
		if err != nil {
			return fault.Of(key, err, "")
		}
		if facts, _ := kind.facts(); facts.bird != nil && len(fills) > 1 {
			return fault.New(key, "plan each pot as a run of its own, or take frames",
				"%s go into one pot of a run: their meat is picked within 2 h of its straining", facts.words)
		}
	}
	return nil
}

func isColdWater(text string) bool {
	method, err := thaw.Parse(text)
	return err == nil && method == thaw.ColdWater
}

// forOnePot finds what may be said of one pot only, or is said twice.
func forOnePot(run runfile.Run, fills []runfile.Fill) error {
	switch {
	case len(run.Fills) > 0 && run.Pot != "":
		return fault.New("pot", "keep one of them", "goes against [[fill]], each of which has a pot of its own")
	case len(fills) == 1:
		return nil
	case len(run.Counted) > 0:
		return fault.New("vegetables", `weigh them: vegetables = "2 lb"`,
			"vegetables are counted for one pot, and the run has %d", len(fills))
	case isColdWater(run.Thaw):
		return fault.New("thaw", `thaw = "fridge", or plan each pot as a run of its own`,
			"what thawed in water is cooked at once, and several pots are lit one after another")
	case run.PotWidth != nil:
		return fault.New("pot_width", `width = "12 in" below each [[pot]] in the kitchen file`,
			"the width of several pots is not one")
	case run.Water != nil:
		return fault.New("water", `water = "fit", or a volume below each [[fill]]`, "the water of several pots is not one")
	}
	for i, fill := range fills {
		key := fmt.Sprintf("fill[%d].", i)
		switch {
		case len(run.Portions) > 0 && fill.Kind != "":
			return fault.New(key+"kind", "keep one of them", "goes against [[bones]], which are divided between the pots")
		case len(run.Portions) > 0 && fill.Bones != nil:
			return fault.New(key+"bones", "keep one of them", "goes against [[bones]], which are divided between the pots")
		}
	}
	return nil
}

// shares divides a weight: what pots are given, and the rest by what each takes, on a step
// of the scales. Without a weight to divide each has what it is given; one that is given
// none is a fault of bones.
func shares(
	key string, whole *quantity.Mass, given []*quantity.Mass, takes []quantity.Volume, step quantity.Mass,
) ([]*quantity.Mass, error) {
	each := slices.Clone(given)
	left, room, last := valueOf(whole), quantity.Volume(0), -1
	for i, mass := range given {
		if left -= valueOf(mass); mass == nil {
			room, last = room+takes[i], i
		}
	}
	const slip = 1e-6 * quantity.Kilogram
	switch {
	case whole == nil && last >= 0 && key == "bones":
		return nil, fault.New(key, `bones = "20 lb" for all pots, or below each [[fill]]`,
			"how much goes into pot %d is not given", last+1)
	case whole == nil:
		return each, nil
	case last < 0 && math.Abs(float64(left)) > float64(slip):
		return nil, fault.New(key, "take one of them out", "the %s of the pots do not come to the %s of the run",
			key, whole.Both(quantity.US))
	case last >= 0 && key == "bones" && left <= 0:
		return nil, fault.New(key, "give more, or less to the others", "nothing of %s is left for pot %d",
			whole.Both(quantity.US), last+1)
	}
	for i, mass := range given {
		if mass != nil || room <= 0 {
			continue
		}
		share := max(0, left)
		if i != last {
			share = min(share, step*quantity.Mass(math.Round(float64(left)*float64(takes[i]/room)/float64(step))))
		}
		left, room = left-share, room-takes[i]
		each[i] = &share
	}
	return each, nil
}

// Each changes a setup and each of its pots, as that was.
func (s Setup) Each(change func(*Setup)) Setup {
	pots := slices.Clone(s.Pots)
	change(&s)
	for i := range pots {
		change(&pots[i])
	}
	if s.Pots = pots; len(pots) > 0 {
		s.Pot, s.Into = pots[0].Pot, pots[0].Into
	}
	return s
}
