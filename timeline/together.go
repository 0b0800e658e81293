package timeline

import (
	"slices"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/settle"
)

// Totals are what plans on one calendar come to together; those without steps are not
// counted.
type Totals struct {
	Days   []Day            // on which somebody is needed
	Wash   []stock.JarCount // jars, by size in the order of the plans
	Loads  int
	Ice    quantity.Mass // to have in the house, for all
	Fridge Room          // of what thaws and of broth, by the high estimate
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
	t.Fridge, _ = Rooms(settle.House{}, plans)
	return t
}
