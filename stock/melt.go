package stock

import (
	"cmp"
	"math"
	"slices"

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
	if both := strained*quantity.Volume(cold/hot) + ice.At(iceDensity); both > p.Into.Volume {
		p.warn(remark.Of(remark.IceOverflows, both, p.Into.Volume))
	}
	return nil
}

// reheatPots warns where ice has made more broth than goes back into its pot.
func (p *planner) reheatPots() error {
	b := &p.batch
	hot, err := hotFill()
	if err != nil {
		return err
	}
	b.PotTakes = p.Into.Volume * hot
	brims := p.Into.Volume
	for i, pot := range b.Pots {
		if b.PotTakes = max(b.PotTakes, pot.PotTakes); i > 0 {
			brims += p.Pots[i].Into.Volume
		}
	}
	if pots := b.PotsToReheat(b.Loads); pots > max(1, len(b.Pots)) {
		note := remark.Of(remark.ReheatPots, p.filled(), brims, pots)
		if len(b.Pots) > 0 {
			note.Case = "several"
		}
		p.warn(note)
	}
	return nil
}

// hotFill is how much cold broth fills a pot to the brim once it is hot, of its volume.
func hotFill() (quantity.Volume, error) {
	cold, err := thermo.LiquidDensity(quantity.Celsius(20))
	if err != nil {
		return 0, fault.Of("pot", err, "")
	}
	hot, err := thermo.LiquidDensity(quantity.Celsius(95))
	if err != nil {
		return 0, fault.Of("pot", err, "")
	}
	return quantity.Volume(hot / cold), nil
}

// PotsToReheat returns how many of its pots, the largest first, or pots like the largest,
// the broth of some of the loads takes; 0 for no loads. A pot is taken to be filled to the
// brim, so that more are needed where the boil is to have room.
func (b Batch) PotsToReheat(loads []Load) int {
	if len(loads) == 0 || b.PotTakes <= 0 {
		return 0
	}
	var takes []quantity.Volume
	for _, pot := range b.Pots {
		takes = append(takes, pot.PotTakes)
	}
	slices.SortFunc(takes, func(a, b quantity.Volume) int { return cmp.Compare(b, a) })
	fill := map[string]quantity.Volume{}
	for _, j := range b.Jars {
		fill[j.Jar] = j.Fill
	}
	var broth quantity.Volume
	for _, load := range loads {
		broth += load.Holds(fill)
	}
	for i, more := range takes {
		if broth -= more; broth <= 0 {
			return i + 1
		}
	}
	return len(takes) + int(math.Ceil(float64(broth/b.PotTakes)))
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
