package stock

import (
	"math"
	"slices"

	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
	"brothrun/stock/thermo"
)

// bring is what has to be there before the pot is lit: what goes in, how it thaws, and the
// fuel. The heaviest portion is taken to be one package, but where it is birds of one kind
// that were counted.
func (p *planner) bring(e kettle.Estimate) (err error) {
	pot := Batch{Thaw: Thaw{Method: p.Thaw}}
	for _, portion := range p.Pot.Bones {
		what, vegetable := settle.Kind(portion.Kind).Words()
		solid := Solid{What: what, Weight: portion.Mass, Vegetable: vegetable}
		if !vegetable {
			pot.Thaw.Package = max(pot.Thaw.Package, portion.Mass)
		}
		if p.Birds > 0 && len(p.Pot.Bones) == 1 {
			pot.Thaw.Package, solid.Count = portion.Mass/quantity.Mass(p.Birds), p.Birds
		}
		pot.Solids = append(pot.Solids, solid)
	}
	weighed := p.Pot.Vegetables
	for _, c := range p.Counted {
		pot.Solids = append(pot.Solids, Solid{What: c.Name, Weight: c.Likely, Vegetable: true, Count: c.Count})
		weighed -= c.Likely
	}
	if weighed > gram {
		pot.Solids = append(pot.Solids, Solid{What: vegetables, Weight: weighed, Vegetable: true})
	}
	in := p.Pot
	in.Hob = p.PotHob
	if pot.Fuel.Pot, err = kettle.Fuel(in, e); err != nil {
		return err
	}
	if p.PotHob == propane {
		pot.Fuel.PotTank = pot.Fuel.Pot
	}
	p.batch.brings(pot)
	return nil
}

// brings adds what a pot has to be there for it: kinds that are there already grow.
func (b *Batch) brings(pot Batch) {
	for _, s := range pot.Solids {
		i := slices.IndexFunc(b.Solids, func(other Solid) bool { return other.What == s.What })
		if i < 0 {
			i, b.Solids = len(b.Solids), append(b.Solids, Solid{What: s.What, Vegetable: s.Vegetable})
		}
		b.Solids[i].Add(s)
	}
	b.Thaw.Method, b.Thaw.Package = pot.Thaw.Method, max(b.Thaw.Package, pot.Thaw.Package)
	b.Thaw.Takes = thaw.Takes(b.Thaw.Method, b.Thaw.Package)
	b.Fuel.Pot, b.Fuel.PotTank = b.Fuel.Pot.Plus(pot.Fuel.Pot), b.Fuel.PotTank.Plus(pot.Fuel.PotTank)
}

// vegetables are those beside the bones; those counted have names of their own.
const vegetables = "vegetables"

// gram is less than anybody weighs vegetables to: what is left of all less those counted.
const gram = quantity.Gram

// rooms warns of a fridge or freezer in which the broth finds no room by the high estimate.
func (p *planner) rooms() {
	b := &p.batch
	if b.EndsAtStraining() {
		return
	}
	if needs := b.FridgeNeeds(); p.FridgeRoom != nil && needs > *p.FridgeRoom {
		p.warn(remark.Of(remark.FridgeRoom, needs, *p.FridgeRoom))
	}
	if needs := b.FreezerNeeds(); p.FreezerRoom != nil && needs > *p.FreezerRoom {
		p.warn(remark.Of(remark.FreezerRoom, needs, *p.FreezerRoom))
	}
}

// FridgeNeeds is the room the broth takes in the fridge until it is skimmed, by the high
// estimate; nothing where it never stands there. The pot it stands in takes more.
func (b Batch) FridgeNeeds() quantity.Volume {
	if b.EndsAtStraining() {
		return 0
	}
	return b.Yield.Strained.High
}

// FreezerNeeds is the room the leftover takes in the freezer, as ice, by the high estimate;
// nothing where it goes another way.
func (b Batch) FreezerNeeds() quantity.Volume {
	l := b.Leftover
	if b.EndsAtStraining() || l.Splash || l.Route == settle.Fridge {
		return 0
	}
	return thermo.ColdBroth.Times(l.Volume.High).At(iceDensity)
}

// Lids is how many new ones it takes, by the mouth of the jar; those of the cook's own
// jars are not counted.
func (b Batch) Lids() map[string]int {
	lids := map[string]int{}
	for _, j := range b.Jars {
		if j.Mouth != "" {
			lids[j.Mouth] += j.Wash
		}
	}
	return lids
}

// Absorbers is how many oxygen absorbers of 300 cc the powder is packed with.
func (b Batch) Absorbers() int {
	if b.Leftover.Route != settle.FreezeDry || b.Leftover.Splash {
		return 0
	}
	return b.Leftover.Drying.Jars
}

// FuelOfLoads is what the canner takes in, all loads.
func (b Batch) FuelOfLoads() (all quantity.Band[quantity.Energy]) {
	for _, load := range b.Loads {
		all = all.Plus(load.Fuel)
	}
	return all
}

// FuelOfTank is what of the run is fired from a tank of propane.
func (b Batch) FuelOfTank() (all quantity.Band[quantity.Energy]) {
	all = b.Fuel.PotTank
	if b.Fuel.ReheatOnPropane {
		all = all.Plus(b.Fuel.Reheat)
	}
	if b.Fuel.CannerOnPropane {
		all = all.Plus(b.FuelOfLoads())
	}
	return all
}

// propaneHeat is the heat of burning propane, a kilogram: 46.4 MJ where the steam of the
// flame is lost and 50.3 MJ where it is counted, as ratings of burners do; handbook, from
// memory. The US Energy Information Administration has 91,452 BTU a gallon.
var propaneHeat = quantity.Spread(46.4e6, 49.7e6, 50.3e6)

// propaneDensity is that of liquid propane at 15 °C, 507 kg/m³; handbook, from memory.
const propaneDensity quantity.Density = 507

// Propane is the weight of propane that gives off an energy, and its volume in the tank.
func Propane(energy quantity.Band[quantity.Energy]) (quantity.Band[quantity.Mass], quantity.Volume) {
	mass := quantity.Of(quantity.Mass(energy.Low.Joules()/propaneHeat.High),
		quantity.Mass(energy.Likely.Joules()/propaneHeat.Likely), quantity.Mass(energy.High.Joules()/propaneHeat.Low))
	return mass, mass.Likely.At(propaneDensity)
}

// iceHeaped is how ice cubes lie in a bag, 0.55 kg to the litre, 0.5 to 0.65; common
// practice, no source.
const iceHeaped = 0.55 * quantity.KilogramPerLitre

// IceRoom is the room that ice to be bought takes in a cooler.
func IceRoom(ice quantity.Mass) quantity.Volume { return ice.At(iceHeaped) }

// thawsHeaped is how bones lie in the fridge while they thaw: loose frames 400 kg/m³, as in
// a pot (settle.Kind), other pieces denser, so that the room is on the large side.
const thawsHeaped = 400 * quantity.KilogramPerCubicMetre

// ThawRoom is the room that what thaws in the fridge takes there; nothing where nothing does.
func (b Batch) ThawRoom() (room quantity.Volume) {
	if b.Thaw.Method != thaw.Fridge {
		return 0
	}
	for _, s := range b.Solids {
		if !s.Vegetable {
			room += s.Weight.At(thawsHeaped)
		}
	}
	return room
}

// freezesAtLeast is what a cubic foot of freezer freezes fast enough in a day: 2 to 3 lb,
// University of Minnesota Extension 2017, a maker's manual and an Ohio paper of 2023.
const freezesAtLeast = 2 * quantity.Pound

// DaysToFreeze is how many days a freezer of a size takes for a volume of broth, by the small
// figure.
func DaysToFreeze(broth, size quantity.Volume) int {
	aDay := freezesAtLeast * quantity.Mass(size/quantity.CubicFoot)
	return int(math.Ceil(float64(thermo.ColdBroth.Times(broth) / aDay)))
}

// muchToFreeze says how a volume of broth goes into the freezer where it is too much for one
// day; where nobody knows its size, how much freezer it wants.
func (p *planner) muchToFreeze(broth quantity.Volume) []remark.Note {
	if p.FreezerSize == nil {
		return muchToFreeze(broth)
	}
	days := DaysToFreeze(broth, *p.FreezerSize)
	if days < 2 {
		return nil
	}
	note := remark.Of(remark.MuchToFreeze, float64(*p.FreezerSize/quantity.CubicFoot), p.FreezerSize.Litres(), days,
		thermo.ColdBroth.Times(broth)).In("size")
	if fridge, _ := HoldingOf(InTheFridge); days > fridge.Least.Days {
		note.Case = "size-long" // it does not wait so long in the fridge
	}
	return []remark.Note{note}
}
