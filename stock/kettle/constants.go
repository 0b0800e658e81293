package kettle

import (
	"math"

	"brothrun/stock/quantity"
)

// Constant is one number of the liquid balance that is not about a kind of
// bones (those stand in solids.go): its name, unit, spread and where it is from.
type Constant struct {
	Name, Unit string
	quantity.Band[float64]
	Source string
}

// The constants of the balance. Stillness, what a lid leaves, the bones hold and the
// straining loses, and how often a level is kept up unsaid, have no source of their own:
// they are what the fifteen recipes of TestPublishedRecipes leave of weak guesses, for a
// kitchen that is none of theirs. Every other one is set by its own source.
var (
	stillness = Constant{"stillness", "ratio", quantity.Spread(0.165, 0.375, 0.85),
		"what a pot of stock loses against bare still water at a gentle simmer: a film of fat, the wall above the liquid, a " +
			"flame too high or too low. What testdata/published/stock_recipes.csv leaves of a weak guess (median 0.5, log sd " +
			"0.6), topping up and the authors' own errors counted apart"}
	lidOff = Constant{"lid off", "ratio", quantity.Spread(1, 1, 1),
		"by definition"}
	lidAjar = Constant{"lid ajar", "ratio", quantity.Spread(0.32, 0.52, 0.85),
		"no data found: what the recipes leave of a guess between off and on"}
	lidOn = Constant{"lid on", "ratio", quantity.Spread(0.12, 0.30, 0.75),
		"one trial with 450 g of potatoes lost a quarter of the open pot's (a home energy blog, 2011); widened for a batch " +
			"in a covered roaster oven that lost more (TestTheRoasterOfBirds)"}
	belowBoil = Constant{"surface below the boil", "K", quantity.Spread(2, 5, 8),
		"common practice, no source"}
	roomTemperature = Constant{"room temperature", "°C", quantity.Spread(18, 22, 28),
		"common practice, no source; near a simmer it hardly matters, so its spread is left out"}
	roomHumidity = Constant{"room humidity", "ratio", quantity.Spread(0.3, 0.5, 0.7),
		"common practice, no source; near a simmer it hardly matters, so its spread is left out"}
	lineReading = Constant{"filling to the line", "ratio", quantity.Spread(0.97, 1, 1.03),
		"common practice, no source"}
	poured = Constant{"water measured in by the jug", "ratio", quantity.Spread(0.987, 1, 1.013),
		"a log sd of 1 %; common practice, no source"}
	assumedSurface = Constant{"surface of a pot of assumed shape", "ratio", quantity.Spread(0.74, 1, 1.35),
		"stock pots from 0.7 to 1.1 times as high as wide: 15 % of the width either way; common practice, no source"}
	losses = Constant{"lost in straining and reheating", "ratio", quantity.Spread(0.022, 0.043, 0.08),
		"dregs left with the sediment, wet cloths and pots, reheating and holding hot between loads; common practice, " +
			"no source"}
	measuredRate = Constant{"a boil-off the cook measured", "ratio", quantity.Spread(0.9, 1, 1.1),
		"how well one hour's measurement repeats; common practice, no source"}
	measuredHeld = Constant{"broth held, as the cook weighed it", "ratio", quantity.Spread(0.8, 1, 1.2),
		"drained solids drip on for as long as anyone waits; common practice, no source"}
	netPower = Constant{"heat that reaches the pot", "W", quantity.Spread(1100, 1500, 2300),
		"12,000 BTU/h gas at 42 % gives 1,480 W, electric rings 1,500 to 2,500 W (US DOE hob efficiencies: gas 40-44 %, " +
			"electric 74-80 %)"}
	hobShare = Constant{"share of a burner's rating that reaches the pot", "ratio", quantity.Spread(0.40, 0.50, 0.80),
		"US DOE hob efficiencies, fuel not known"}
	bestHob = Constant{"the best hob's share of its rating", "ratio", quantity.Spread(0.80, 0.84, 0.88),
		"induction 84 % (US DOE figures as quoted by a 2016 builder's page); a ceiling on what can boil off, so its spread " +
			"is left out"}
	gasShare = Constant{"share of a gas burner's rating that reaches the pot", "ratio", quantity.Spread(0.40, 0.42, 0.44),
		"US DOE hob efficiencies"}
	electricShare = Constant{"share of an electric ring's rating that reaches the pot", "ratio",
		quantity.Spread(0.74, 0.77, 0.80),
		"US DOE hob efficiencies"}
	heatingShare = Constant{"evaporation while heating up over that at the simmer", "ratio",
		quantity.Spread(0.21, 0.26, 0.31),
		"mean of Shah's figure from 15 to 95 °C over that at 95 °C (TestHeatingShare)"}
	fatDensity = Constant{"density of fat", "kg/m³", quantity.Spread(910, 917, 925),
		"Choi and Okos fat component at 20 °C"}
	coldDensity = Constant{"density of cold broth", "kg/m³", quantity.Spread(998, 998.2, 1018),
		"water at 20 °C, IAPWS saturation line; home stock 1018 at most, left out"}
	waterShare = Constant{"water in bones that go in frozen", "ratio", quantity.Spread(0.30, 0.50, 0.70),
		"meat and skin of poultry 66 to 73 % (USDA SR28 5001, 5165), bone a third of the weight at 20 to 40 % (from memory)"}
	iceCapacity = Constant{"heat capacity of ice", "J/(kg·K)", quantity.Spread(1960, 2050, 2110),
		"handbook, -20 to 0 °C, from memory; a few minutes in all, so its spread is left out"}
	wallFilm = Constant{"heat the side of a hot pot loses", "W/(m²·K)", quantity.Spread(7, 9, 11),
		"still air on metal at about 60 °C, convection 4 to 6 and radiation by its emissivity of 0.3 to 0.85 (own working " +
			"from a textbook's ranges)"}
	heatCapacity = Constant{"heat capacity of pot and contents", "J/(kg·K)", quantity.Spread(3000, 4190, 4200),
		"water, mean of 15 to 95 °C; bones and vegetables taken alike, so heating is on the slow side"}
)

// DefaultFillLine is the part of the pot a cook fills when she does not say: it leaves
// room to skim and boil. 0.85 to 0.92, common practice, no source; lineReading is the
// spread that counts.
const DefaultFillLine = 0.90

// HobShare returns the share of a burner's rating that reaches the pot: of a hob
// that is "gas", "propane", "electric" or "induction", and of any where it is another word.
// Source: US DOE hob efficiencies, as the constants say.
func HobShare(hob string) quantity.Band[float64] {
	switch hob {
	case "gas", "propane":
		return gasShare.Band
	case "electric":
		return electricShare.Band
	case "induction":
		return bestHob.Band
	}
	return hobShare.Band
}

// cold is the density of cold broth as a quantity.
func cold() quantity.Density { return quantity.Density(coldDensity.Likely) }

// ToppedUpUnsaid is the chance that a cook who does not say so tops up: what the recipes
// of TestPublishedRecipes leave of a guess.
const ToppedUpUnsaid = 0.27

// putBack is the part of the boil-off that is put back at a score of OfTopUp: none, or
// with the given chance from 30 to 100 %, evenly; common practice, no source.
func putBack(chance, score float64) float64 {
	const least = 0.3
	share := math.Erfc(-score*Score90/math.Sqrt2) / 2
	if share >= chance {
		return 0
	}
	return least + (1-least)*share/chance
}
