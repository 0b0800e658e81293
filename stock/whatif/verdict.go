package whatif

import "brothrun/stock"

// Verdict is what an answer about racks comes to.
type Verdict int

// The verdicts. From Hardly on another rack saves a load, more surely each.
const (
	NothingCanned  Verdict = iota + 1 // canning is refused
	NoLoad                            // none is planned
	TooHeavy                          // the load on another rack is too much for the heat there is
	NoMoreLookedAt                    // the cook has as many racks as are looked at
	TooLow                            // the canner, for another layer
	CansMore                          // it saves no load, but cans more
	NeverPays                         // it saves none and cans no more
	Hardly
	Luck
	ForTime // not for the money, and nobody said what an hour is worth
	NotForMoney
	Worth
)

// How sure a saving has to be to be called yes, luck or hardly. Common practice,
// no source.
const likelyEnough, luck = 0.8, 0.2

// worthIt is how soon a rack has to be paid back to be called worth its money;
// common practice, no source.
const worthIt = 3 // years

// Verdict returns what the answer for the cook's own jars comes to, and the option it is
// about: one rack more than there are or, where that saves nothing to speak of and more
// racks do, as many as that; of up to TooLow it is the racks there are, and of
// NothingCanned none.
func (a RackAnswer) Verdict() (Verdict, RackOption) {
	if len(a.Plans) == 0 {
		return NothingCanned, RackOption{}
	}
	own := a.Plans[0]
	base := own.With(a.Have)
	switch {
	case base.Likely == 0:
		return NoLoad, base
	case len(own.Options) > a.Have:
	case own.TooMuch != "":
		return TooHeavy, base
	case own.LowestJar == "":
		return NoMoreLookedAt, base
	default:
		return TooLow, base
	}
	option := own.Options[a.Have]
	for _, more := range own.Options[a.Have:] {
		if option.SavedChance < luck && more.SavedChance >= luck {
			option = more // one more rack does nothing, two do
		}
	}
	switch {
	case option.SavedChance == 0 && a.Runs == 1 && option.Leftover < base.Leftover &&
		!stock.SameJars(option.Jars, base.Jars):
		return CansMore, option
	case option.SavedChance == 0:
		return NeverPays, option
	case option.SavedChance < luck:
		return Hardly, option
	case option.SavedChance < likelyEnough:
		return Luck, option
	case option.Pays && option.PaybackRuns <= worthIt*float64(a.Question.RunsPerYear):
		return Worth, option
	case a.Question.HourValue == nil:
		return ForTime, option
	}
	return NotForMoney, option
}
