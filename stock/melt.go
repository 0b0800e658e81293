package stock

import (
	"math"

	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/freezedry"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/thermo"
)

const (
	// iceDensity is that of ice at 0 °C: 917 kg/m³, within 0.2 %, from memory.
	iceDensity quantity.Density = 917
	// mostBroth is the largest pot the kettle and the chill know.
	mostBroth = 200 * quantity.Litre
)

// melt adds to the yield the ice that an ice-added chill stirs into the broth. The
// water poured in at the start stays what it was: the cook is told how much of it
// to hold back instead. The ice is measured, so it shifts the spread and does not
// widen it; reheating loses of it what it loses of the broth.
func (p *planner) melt() error {
	y := &p.batch.Yield
	if p.Setup.Chill == "" || y.Strained.Likely <= 0 || p.Pot.Ready > 0 {
		return nil // no ice is ever proposed to go into the broth
	}
	ice, err := chill.MeltsInto(y.Strained.Likely, 0, p.Setup.Chill)
	if err != nil {
		return fault.Of("chill", err, "")
	}
	if ice == 0 {
		return nil
	}
	cold, err := thermo.LiquidDensity(quantity.Celsius(20))
	if err != nil {
		return fault.Of("chill", err, "")
	}
	strained := y.Strained.Likely
	melted := ice.At(cold)
	if both := strained + melted; both > mostBroth {
		return fault.New("chill", "cool it with ice round the pot: --chill ice-bath-stirred",
			"broth and melted ice come to %s, more than the %s that can be planned", both.Both(p.batch.Units),
			mostBroth.Both(p.batch.Units))
	}
	lost := melted * y.Lost / strained
	p.ice = ice
	y.IceMelted = melted
	y.Strained = shifted(y.Strained, melted)
	y.Lost += lost
	y.ReadyToFill = shifted(y.ReadyToFill, melted-lost)
	for i := range p.sample {
		p.sample[i] += melted - lost
	}

	// Less broth takes less ice: what is held back so that it comes to the same.
	held := strained * melted / (strained + melted)
	instead := remark.Of(remark.Diluted).In("round")
	if held < y.Water {
		instead = remark.Of(remark.Diluted, held).In("hold")
	}
	p.warn(remark.Of(remark.Diluted, melted, 100*float64(melted/y.Strained.Likely), instead))
	hot, err := thermo.LiquidDensity(quantity.Celsius(95))
	if err != nil {
		return fault.Of("chill", err, "")
	}
	if both := strained*quantity.Volume(cold/hot) + ice.At(iceDensity); both > p.Pot.Pot {
		p.warn(remark.Of(remark.IceOverflows, both, p.Pot.Pot))
	}
	return nil
}

// reheatPots warns where ice has made more broth than goes back into its pot.
func (p *planner) reheatPots() error {
	b := &p.batch
	cold, err := thermo.LiquidDensity(quantity.Celsius(20))
	if err != nil {
		return fault.Of("pot", err, "")
	}
	hot, err := thermo.LiquidDensity(quantity.Celsius(95))
	if err != nil {
		return fault.Of("pot", err, "")
	}
	b.PotTakes = p.Pot.Pot * quantity.Volume(hot/cold)
	if pots := b.PotsToReheat(b.Loads); pots > 1 {
		p.warn(remark.Of(remark.ReheatPots, p.filled(), p.Pot.Pot, pots))
	}
	return nil
}

// PotsToReheat returns how many pots like the one it simmered in the broth of some
// of the loads takes; 0 for no loads. A pot is taken to be filled to the brim, so
// that more are needed where the boil is to have room.
func (b Batch) PotsToReheat(loads []Load) int {
	if len(loads) == 0 || b.PotTakes <= 0 {
		return 0
	}
	fill := map[string]quantity.Volume{}
	for _, j := range b.Jars {
		fill[j.Jar] = j.Fill
	}
	var broth quantity.Volume
	for _, load := range loads {
		broth += load.Holds(fill)
	}
	return int(math.Ceil(float64(broth / b.PotTakes)))
}

// BeforeIce is what comes out of the strainer: Strained without the ice that is
// stirred in afterwards.
func (y Yield) BeforeIce() quantity.Band[quantity.Volume] { return shifted(y.Strained, -y.IceMelted) }

// thinned is a drying with the powder of a broth that ice has thinned. A spoonful
// still makes a cup of plain broth, so the rest stays.
func (p *planner) thinned(d freezedry.Drying) freezedry.Drying {
	if y := p.batch.Yield; y.IceMelted > 0 {
		left := quantity.Mass(1 - y.IceMelted/y.Strained.Likely)
		d.PowderLow, d.Powder, d.PowderHigh = d.PowderLow*left, d.Powder*left, d.PowderHigh*left
	}
	return d
}

func shifted(band quantity.Band[quantity.Volume], by quantity.Volume) quantity.Band[quantity.Volume] {
	return quantity.Band[quantity.Volume]{Low: band.Low + by, Likely: band.Likely + by, High: band.High + by}
}
