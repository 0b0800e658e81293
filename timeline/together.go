package timeline

import (
	"cmp"
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
)

// Totals are what plans on one calendar come to together; those without steps are not
// counted.
type Totals struct {
	Days   []Day            // on which somebody is needed
	Wash   []stock.JarCount // jars, by size in the order of the plans
	Loads  int
	Ice    quantity.Mass // to have in the house, for all
	Fridge FridgeLoad
}

// FridgeLoad is the most strained broth that stands in the fridge at once, and when.
type FridgeLoad struct {
	Volume quantity.Volume
	From   time.Time
	To     time.Time
}

// Together sums plans. Jars washed for one run and emptied for another count twice.
func Together(plans []Plan) (t Totals) {
	all := Plan{}
	for _, plan := range plans {
		if len(plan.Steps) == 0 {
			continue
		}
		b := plan.Batch
		all.Location, all.Steps = plan.Location, append(all.Steps, plan.Steps...)
		if b.EndsAtStraining() {
			continue
		}
		t.Ice += b.Chill.IceToHave
		if b.Refused() {
			continue
		}
		t.Loads += len(b.Loads)
		for _, j := range b.Jars {
			i := slices.IndexFunc(t.Wash, func(k stock.JarCount) bool { return k.Jar == j.Jar })
			if i < 0 {
				i = len(t.Wash)
				t.Wash = append(t.Wash, stock.JarCount{Jar: j.Jar})
			}
			t.Wash[i].Count += j.Wash
		}
	}
	slices.SortStableFunc(all.Steps, func(a, b Step) int { return a.Start.Compare(b.Start) })
	t.Days = all.Needed()
	t.Fridge = mostInFridge(plans)
	return t
}

// mostInFridge goes through the fridge's hours: what is strained until it is skimmed, and
// what is ready to fill until it is reheated, none of it taken out in between.
func mostInFridge(plans []Plan) (most FridgeLoad) {
	type change struct {
		at time.Time
		by quantity.Volume
	}
	var changes []change
	for _, plan := range plans {
		for _, step := range plan.Steps {
			volume := plan.Batch.Yield.Strained.Likely
			switch step.Role {
			case BackInFridge:
				volume = plan.Batch.Yield.ReadyToFill.Likely
			case InFridge:
			default:
				continue
			}
			changes = append(changes, change{step.Start, volume}, change{step.End, -volume})
		}
	}
	slices.SortStableFunc(changes, func(a, b change) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.by, b.by))
	})
	var now quantity.Volume
	for i, c := range changes {
		if now += c.by; now > most.Volume && i+1 < len(changes) {
			most = FridgeLoad{now, c.at, changes[i+1].at}
		}
	}
	return most
}
