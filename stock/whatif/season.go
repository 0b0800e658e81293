package whatif

import (
	"reflect"
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
)

// Season joins the answers for several runs, all to the same question, into one
// for the mix of them: loads and volumes are of all together, hours, attended
// hours and fuel the mean of a run. Refused runs are left out of the figures and
// their refusals kept. Where canners differ in height a run takes as many racks as
// its own allows; the racks to buy are counted from the most any kitchen has.
//
// The runs turn out well or badly together as far as what is not known is the same for
// them, the cook, the pot, the kind of bones or the lid, as notes would learn it; the rest
// is each run's own luck. No mean is touched. No answer at all is a *fault.Fault.
func Season(answers []RackAnswer) (RackAnswer, error) {
	if len(answers) == 0 {
		return RackAnswer{}, fault.New("", "", "there is no run to answer for")
	}
	s := RackAnswer{Units: answers[0].Units, Question: answers[0].Question}
	var canned []RackAnswer
	fewest := answers[0].Have
	for _, a := range answers {
		s.Have, fewest = max(s.Have, a.Have), min(fewest, a.Have)
		for _, note := range a.Refusals {
			s.Refusals = append(s.Refusals, remark.Note{Code: note.Code, Facts: []any{OfRun{Of: a.Of, Note: note}}})
		}
		s.HeightAssumed = s.HeightAssumed || a.HeightAssumed
		s.Assumed = union(s.Assumed, a.Assumed)
		if len(a.Plans) > 0 {
			canned = append(canned, a)
		}
	}
	if fewest != s.Have {
		s.Warnings = append(s.Warnings, remark.Note{Code: RacksDiffer, Facts: []any{fewest, s.Have}})
	}
	s.Warnings = append(onceEach(answers), s.Warnings...)
	s.Runs = len(canned)
	switch {
	case s.Question.counted && s.Runs > 0:
		s.Question.RunsPerYear = min(s.Runs, mostRunsPerYear) // a year's cooking is what of it is canned
	case s.Question.counted:
		s.Question.RunsPerYear = defaultRunsPerYear
	}
	if s.Runs > 0 {
		for _, plan := range canned[0].all {
			if joined, all := joinPlans(canned, plan.Code); all {
				s.Plans = append(s.Plans, joined)
			}
		}
		s.Instead = joinInstead(canned)
	}
	s.settle()
	s.Warnings = union(nil, s.Warnings)
	return s, nil
}

// onceEach is what the answers warn of, once each: as it is where it is the same for all,
// else of the first run, with how many more it is of.
func onceEach(answers []RackAnswer) (all []remark.Note) {
	for _, a := range answers {
		for _, note := range a.Warnings {
			i := slices.IndexFunc(all, func(n remark.Note) bool { return n.Code == note.Code && n.Case == note.Case })
			switch {
			case note.Code == CannerLow || note.Code == TwoLayers: // said of the season
			case i < 0:
				all = append(all, remark.Note{Code: note.Code, Case: note.Case, Facts: []any{OfRun{Of: a.Of, Note: note}}})
			default:
				of := all[i].Facts[0].(OfRun)
				of.More++
				of.Differ = of.Differ || !reflect.DeepEqual(of.Note, note)
				all[i].Facts[0] = of
			}
		}
	}
	for i, note := range all {
		if of := note.Facts[0].(OfRun); of.More == len(answers)-1 && !of.Differ {
			all[i] = of.Note
		}
	}
	return all
}

// joinPlans joins the plans of one code; all is false when a run has none.
func joinPlans(answers []RackAnswer, code string) (joined RackPlan, all bool) {
	longest := 0
	var plans []RackPlan
	var fortunes []fortune
	for _, a := range answers {
		fortunes = append(fortunes, a.fortune)
		i := slices.IndexFunc(a.all, func(p RackPlan) bool { return p.Code == code })
		if i < 0 {
			return joined, false
		}
		plans = append(plans, a.all[i])
		longest = max(longest, len(a.all[i].Options))
	}
	joined = plans[0]
	joined.Options, joined.needs = nil, map[string][]quantity.Length{}
	for _, plan := range plans {
		// What keeps the next layer out is told of the highest canner.
		if plan.CannerHeight > joined.CannerHeight {
			joined.LowestJar, joined.LowestNeed, joined.LowestLayer, joined.CannerHeight = plan.LowestJar, plan.LowestNeed,
				plan.LowestLayer, plan.CannerHeight
		}
		for size, needs := range plan.needs {
			if len(needs) > len(joined.needs[size]) {
				joined.needs[size] = needs
			}
		}
		if plan.Tall == 0 {
			joined.Tall, joined.TallJar = 0, ""
		}
	}
	for racks := 1; racks <= longest; racks++ {
		option := RackOption{Racks: racks}
		var chances [][]float64
		for _, plan := range plans {
			o := plan.With(racks)
			option.Jars = addJars(option.Jars, o.Jars)
			option.Leftover += o.Leftover
			option.Likely += o.Likely
			option.Low, option.High = option.Low+o.Low, option.High+o.High
			chances = append(chances, o.Chance)
			mean := 1 / float64(len(plans))
			option.Hours += part(mean, o.Hours)
			option.Attended += part(mean, o.Attended)
			option.Fuel = option.Fuel.Plus(o.Fuel.Times(mean))
		}
		option.Chance = chanceOfAll(chances, fortunes)
		joined.Options = append(joined.Options, option)
	}
	return joined, true
}

// addJars adds jars to others size by size.
func addJars(sum, jars []stock.JarCount) []stock.JarCount {
	for _, j := range jars {
		i := slices.IndexFunc(sum, func(k stock.JarCount) bool { return k.Jar == j.Jar })
		if i < 0 {
			sum = append(sum, stock.JarCount{Jar: j.Jar})
			i = len(sum) - 1
		}
		sum[i].Count += j.Count
	}
	return sum
}

// joinInstead adds each way up over the runs; a run it does nothing for stays as
// it is.
func joinInstead(answers []RackAnswer) []Instead {
	var all []Instead
	for _, a := range answers {
		for _, one := range a.Instead {
			if slices.ContainsFunc(all, func(i Instead) bool { return i.Code == one.Code }) {
				continue
			}
			sum := Instead{Code: one.Code}
			for _, b := range answers {
				base := b.Plans[0].With(b.Have)
				this := Instead{Loads: base.Likely, Hours: base.Hours}
				if i := slices.IndexFunc(b.Instead, func(i Instead) bool { return i.Code == one.Code }); i >= 0 {
					this = b.Instead[i]
				}
				sum.Loads += this.Loads
				sum.Hours += this.Hours / time.Duration(len(answers))
				sum.Uncanned += this.Uncanned
				sum.Batches = max(sum.Batches, this.Batches)
				sum.BoiledAway += this.BoiledAway
				sum.Longer = max(sum.Longer, this.Longer)
				sum.Stronger = max(sum.Stronger, this.Stronger)
			}
			all = append(all, sum)
		}
	}
	return all
}

// together goes through two distributions whose outcomes rise together, and calls
// visit with every pair of numbers and its share.
func together(a, b []float64, visit func(share float64, na, nb int)) {
	i, j := 0, 0
	var leftA, leftB float64
	if len(a) > 0 && len(b) > 0 {
		leftA, leftB = a[0], b[0]
	}
	const nothing = 1e-12
	for i < len(a) && j < len(b) {
		share := min(leftA, leftB)
		if share > nothing {
			visit(share, i, j)
		}
		leftA, leftB = leftA-share, leftB-share
		if leftA <= nothing {
			if i++; i < len(a) {
				leftA = a[i]
			}
		}
		if leftB <= nothing {
			if j++; j < len(b) {
				leftB = b[j]
			}
		}
	}
}

// union is notes and those of more that are not among them.
func union(notes, more []remark.Note) []remark.Note {
	for _, note := range more {
		if !slices.ContainsFunc(notes, func(n remark.Note) bool { return reflect.DeepEqual(n, note) }) {
			notes = append(notes, note)
		}
	}
	return notes
}
