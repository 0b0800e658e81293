package stock

import (
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
)

// bring is what has to be there before the pot is lit: what goes in, how it thaws, and the
// fuel. The heaviest portion is taken to be one package.
func (p *planner) bring(e kettle.Estimate) (err error) {
	b := &p.batch
	b.Thaw.Method = p.Thaw
	for _, portion := range p.Pot.Bones {
		what, vegetable := settle.Kind(portion.Kind).Words()
		b.Solids = append(b.Solids, Solid{What: what, Weight: portion.Mass, Vegetable: vegetable})
		if !vegetable {
			b.Thaw.Package = max(b.Thaw.Package, portion.Mass)
		}
	}
	if p.Pot.Vegetables > 0 {
		b.Solids = append(b.Solids, Solid{What: vegetables, Weight: p.Pot.Vegetables, Vegetable: true})
	}
	b.Thaw.Takes = thaw.Takes(p.Thaw, b.Thaw.Package)
	b.Fuel.PotOnPropane = p.Hob == propane
	b.Fuel.Pot, err = kettle.Fuel(p.Pot, e)
	return err
}

// vegetables are those beside the bones.
const vegetables = "vegetables"

// FuelOfLoads is what the canner takes in, all loads.
func (b Batch) FuelOfLoads() (all quantity.Band[quantity.Energy]) {
	for _, load := range b.Loads {
		all = all.Plus(load.Fuel)
	}
	return all
}
