package kettle

import (
	"fmt"

	"brothrun/stock/quantity"
)

// Solids is what the liquid balance needs to know about one kind of bones or
// about vegetables. Ratios are per weight as it goes into the pot.
type Solids struct {
	// Density of the pieces themselves, without the gaps between them.
	Density quantity.Band[quantity.Density]
	// Bulk is the weight a cubic metre of pot takes when the pieces are cracked or
	// folded and pressed down, gaps included: what decides whether they go in and
	// are covered. Common practice, no source, ±20 %.
	Bulk quantity.Density
	// Water given off to the broth while simmering.
	Water quantity.Band[float64]
	// Fat rendered into the broth, to be skimmed.
	Fat quantity.Band[float64]
	// Held is broth that stays on and in the drained solids.
	Held quantity.Band[float64]
	// Meat is what is picked off whole birds once they are cooked, cooked meat over raw
	// bird; zero of all else.
	Meat quantity.Band[float64]
	// Source says where each figure comes from.
	Source string
}

func densities(low, likely, high float64) quantity.Band[quantity.Density] {
	return quantity.Of(quantity.Density(low), quantity.Density(likely),
		quantity.Density(high)).Times(float64(quantity.KilogramPerLitre))
}

// heldUnmeasured is the broth kept by drained bones. No measurement was found:
// rinsing advice of a quarter cup a pound shows that 13 % clings to the surface
// alone, and guesses run from 5 to 30 %. It is what the published recipes leave of
// that, wide on purpose, and narrowed by a cook who weighs her own.
var heldUnmeasured = quantity.Spread(0.09, 0.18, 0.32)

// vegetables are onion, carrot, celery and the like: 1.013 to 1.041 kg/l by
// composition, less with the air they carry (Choi and Okos component densities
// on USDA SR28 composition; air from memory). What they give off as they soften
// and what they hold are unmeasured: common practice, no source.
var vegetables = Solids{
	Density: densities(0.95, 1.00, 1.04),
	Bulk:    600 * quantity.KilogramPerCubicMetre,
	Water:   quantity.Spread(0, 0.05, 0.15),
	Held:    quantity.Spread(0.05, 0.15, 0.30),
	Source:  "density: Choi-Okos components on SR28 composition; bulk, held: common practice, no source",
}

// poultryDensity is that of raw meaty chicken or turkey: bone 1.1 to 1.2 kg/l (composition
// estimate, no measurement found), meat and skin 1.01 to 1.05 (Choi-Okos on
// SR28), so a mixed piece lies near 1.06.
var poultryDensity = densities(1.02, 1.06, 1.12)

// bones is every kind the pot may hold. Water and fat given off are the raw to
// stewed balances of USDA SR28 (share of the edible part) times the edible
// share of the weight as bought (1 − refuse), both from SR28.
var bones = map[string]Solids{
	"chicken": {
		Density: poultryDensity,
		Bulk:    600 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.10, 0.14, 0.17),  // 0.69 × 0.196…0.204
		Fat:     quantity.Spread(0.02, 0.041, 0.07), // 0.69 × 0.059
		Held:    heldUnmeasured,
		Source:  "USDA SR28 5001, 5006 raw against stewed, refuse 31 %",
	},
	"chicken-backs": {
		Density: poultryDensity,
		Bulk:    600 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.08, 0.117, 0.15), // 0.56 × 0.209
		Fat:     quantity.Spread(0.06, 0.099, 0.14), // 0.56 × 0.177
		Held:    heldUnmeasured,
		Source:  "USDA SR28 5048 raw against stewed, refuse 44 %, ±10 % by rounding",
	},
	"chicken-feet": {
		Density: poultryDensity,
		Bulk:    600 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0, 0.03, 0.08),
		Fat:     quantity.Spread(0.01, 0.03, 0.06),
		Held:    quantity.Spread(0.05, 0.15, 0.35), // skin swells as it turns to gelatin
		Source:  "no measurement found; SR28 5335 gives 14.6 % fat in the boiled foot; rest common practice, no source",
	},
	"chicken-frames": {
		Density: densities(1.05, 1.10, 1.18),
		Bulk:    450 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0, 0.01, 0.04),
		Fat:     quantity.Spread(0.005, 0.015, 0.04),
		Held:    heldUnmeasured,
		Source:  "picked or roasted carcasses: nearly nothing left to give; common practice, no source",
	},
	"turkey": {
		Density: poultryDensity,
		Bulk:    550 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.10, 0.14, 0.17),   // 0.71 × 0.20, chicken's share
		Fat:     quantity.Spread(0.008, 0.016, 0.03), // 0.71 × 5.6 % fat × 40 % rendered
		Held:    heldUnmeasured,
		Source:  "USDA SR28 5165 refuse 29 %, fat 5.6 %; shares given off as for chicken",
	},
	"turkey-necks": {
		Density: densities(1.05, 1.09, 1.15),
		Bulk:    600 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.03, 0.055, 0.09), // 0.40 × 0.131
		Fat:     quantity.Spread(0.005, 0.012, 0.03),
		Held:    heldUnmeasured,
		Source:  "USDA SR28 5179 refuse 60 %, 6.0 % fat; chicken neck's share given off (5084)",
	},
	"turkey-frames": {
		Density: densities(1.05, 1.10, 1.18),
		Bulk:    400 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0, 0.01, 0.04),
		Fat:     quantity.Spread(0.003, 0.01, 0.03),
		Held:    heldUnmeasured,
		Source:  "picked or roasted carcasses: nearly nothing left to give; common practice, no source",
	},
	// Whole birds take the balance of pieces with the bone of the whole bird: 66 to 70 % of a
	// chicken and 73 % of a turkey is meat and skin (trade charts quoting USDA work). How they
	// lie in the pot, with room around each and within, is common practice, no source. The low
	// end of the meat is 3 cups from a bird of 3 1/2 lb, at 140 g a cup (from memory), the high
	// end all of the meat and skin, stewed to 72 % (SR28 5001); between them there are no data.
	"whole-chicken": {
		Density: poultryDensity,
		Bulk:    500 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.10, 0.136, 0.17), // 0.68 × 0.196…0.204
		Fat:     quantity.Spread(0.02, 0.04, 0.07),  // 0.68 × 0.059
		Held:    heldUnmeasured,
		Meat:    quantity.Spread(0.26, 0.36, 0.50),
		Source:  "USDA SR28 5001, 5006 raw against stewed; meat and skin 66 to 70 %, trade yield charts; bulk: common practice, no source",
	},
	"whole-turkey": {
		Density: poultryDensity,
		Bulk:    450 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.10, 0.146, 0.18),  // 0.73 × 0.20, chicken's share
		Fat:     quantity.Spread(0.008, 0.016, 0.03), // 0.73 × 5.6 % fat × 40 % rendered
		Held:    heldUnmeasured,
		Meat:    quantity.Spread(0.26, 0.37, 0.52),
		Source:  "USDA SR28 5165 fat 5.6 %; meat and skin 73 %, trade yield charts; shares given off as for chicken; bulk: common practice, no source",
	},
	"beef": {
		Density: densities(1.15, 1.25, 1.40),
		Bulk:    650 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.02, 0.06, 0.10),
		Fat:     quantity.Spread(0.02, 0.05, 0.12),
		Held:    heldUnmeasured,
		Source:  "limb bones 1.24 to 1.71 kg/l, Fursey 1975; meat on them 1.05; given off: a third edible, SR28 shares",
	},
	"beef-shank": {
		Density: densities(1.08, 1.15, 1.25),
		Bulk:    700 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.08, 0.12, 0.16), // 0.60 × 0.20
		Fat:     quantity.Spread(0.005, 0.01, 0.03),
		Held:    heldUnmeasured,
		Source:  "USDA SR28 13227 refuse 34 % bone + 6 % fat, lean 3.9 % fat; boiled beef loses 26 % in all",
	},
	"pork": {
		Density: densities(1.05, 1.12, 1.25),
		Bulk:    650 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.02, 0.05, 0.12),
		Fat:     quantity.Spread(0.01, 0.04, 0.10),
		Held:    heldUnmeasured,
		Source:  "USDA SR28 10174 simmered loses 5.6 % water and 2.5 % fat of the edible part; widened",
	},
	"fish": {
		Density: densities(1.03, 1.07, 1.12),
		Bulk:    550 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0.02, 0.08, 0.15),
		Fat:     quantity.Spread(0, 0.005, 0.02),
		Held:    heldUnmeasured,
		Source:  "common practice, no source",
	},
	"shellfish": {
		Density: densities(1.1, 1.3, 1.6),
		Bulk:    400 * quantity.KilogramPerCubicMetre,
		Water:   quantity.Spread(0, 0.02, 0.08),
		Fat:     quantity.Spread(0, 0.002, 0.01),
		Held:    heldUnmeasured,
		Source:  "common practice, no source",
	},
	"vegetable": vegetables,
}

// eachVegetable is what one vegetable weighs, as bought: from a medium one of USDA SR (from
// memory: onion 110 g, carrot 61 g, celery stalk 40 g) to half as much again as a large one
// (150 g, 72 g, 64 g), since onions are sold as medium at 5 to 8 oz. Between them there are
// no data: the middle.
var eachVegetable = map[string]quantity.Band[quantity.Mass]{
	"onion":        {Low: 110 * quantity.Gram, Likely: 170 * quantity.Gram, High: 230 * quantity.Gram},
	"carrot":       {Low: 61 * quantity.Gram, Likely: 85 * quantity.Gram, High: 110 * quantity.Gram},
	"celery stalk": {Low: 40 * quantity.Gram, Likely: 70 * quantity.Gram, High: 100 * quantity.Gram},
}

// EachVegetable returns what one vegetable such as "onion" weighs; ok is false for one
// that is not in the table.
func EachVegetable(name string) (weighs quantity.Band[quantity.Mass], ok bool) {
	weighs, ok = eachVegetable[name]
	return weighs, ok
}

// times is solids of which the weight itself is known only as far as a factor.
func (s Solids) times(weight quantity.Band[float64]) Solids {
	if weight.Likely == 0 {
		return s
	}
	share := func(of quantity.Band[float64]) quantity.Band[float64] {
		return quantity.Spread(of.Low*weight.Low, of.Likely, of.High*weight.High)
	}
	s.Density.Low /= quantity.Density(weight.High)
	s.Density.High /= quantity.Density(weight.Low)
	s.Water, s.Held = share(s.Water), share(s.Held)
	return s
}

// For returns the figures of a kind such as "turkey-frames", or an error that
// names the kind when there are none.
func For(kind string) (Solids, error) {
	s, ok := bones[kind]
	if !ok {
		return Solids{}, fmt.Errorf("no figures for bones of kind %q", kind)
	}
	return s, nil
}
