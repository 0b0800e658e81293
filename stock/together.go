package stock

import (
	"errors"
	"reflect"
	"slices"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
)

// together works out the pots of a run of several, each with its own chill, and sums what
// there is to can.
func (p *planner) together() error {
	each, whole, err := balanced(p.Setup)
	if err != nil {
		return err
	}
	hot, err := hotFill()
	if err != nil {
		return err
	}
	pots := make([]planner, len(p.Pots))
	for i, setup := range p.Pots {
		one := &pots[i]
		*one = planner{Setup: setup, came: p.came, pot: &each[i]}
		one.batch = batchOf(setup)
		if err := one.cookPot(); err != nil {
			return setup.Blame(err)
		}
		one.batch.Pot, one.batch.PotTakes = setup.Label, setup.Into.Volume*hot
		p.batch.Pots = append(p.batch.Pots, one.batch)
	}
	p.sum(pots, whole)
	return nil
}

// balanced is the balance of each pot and of all of them.
func balanced(setup settle.Setup) ([]kettle.Estimate, kettle.Estimate, error) {
	var inputs []kettle.Input
	for _, pot := range setup.Pots {
		inputs = append(inputs, pot.Pot)
	}
	each, whole, err := kettle.Together(inputs)
	if wrong := (*kettle.PotError)(nil); errors.As(err, &wrong) {
		err = setup.Pots[wrong.Nth].Blame(wrong.Err)
	}
	return each, whole, err
}

// sum puts the pots together.
func (p *planner) sum(pots []planner, whole kettle.Estimate) {
	b, y := &p.batch, &p.batch.Yield
	p.sample = make([]quantity.Volume, len(pots[0].sample))
	y.WaterFits, y.Rests, y.Causes, b.NoFatCap = true, whole.Rests, whole.Causes, true
	var iced, left quantity.Volume
	for i := range pots {
		one := &pots[i]
		own := one.batch.Yield
		b.brings(one.batch)
		b.Weight, b.Simmer, b.ShortestSimmer = b.Weight+one.batch.Weight, one.batch.Simmer, p.ShortestSimmer()
		b.NoFatCap = b.NoFatCap && one.batch.NoFatCap
		b.TopUp, b.NeedsWatching = b.TopUp || one.batch.TopUp, b.NeedsWatching || one.batch.NeedsWatching
		if one.batch.HeatUp.Likely > b.HeatUp.Likely {
			b.HeatUp = one.batch.HeatUp
		}
		y.Water, y.GivenOff, y.Evaporated = y.Water+own.Water, y.GivenOff+own.GivenOff, y.Evaporated+own.Evaporated
		y.ToppedUp, y.HeldBySolids = y.ToppedUp+own.ToppedUp, y.HeldBySolids+own.HeldBySolids
		y.IceMelted, y.Least = y.IceMelted+own.IceMelted, y.Least+own.Least
		y.Fat, y.Lost, y.WaterFits = y.Fat+own.Fat, y.Lost+own.Lost, y.WaterFits && own.WaterFits
		iced += own.Strained.Likely - one.pot.Strained.Likely
		left += own.ReadyToFill.Likely - one.pot.ReadyToFill.Likely
		p.ice += one.ice
		for k, ready := range one.sample {
			p.sample[k] += ready
		}
	}
	y.Strained, y.ReadyToFill = shifted(whole.Strained, iced), shifted(whole.ReadyToFill, left)
	b.Chill = slowest(b.Pots)
	b.Assumed = merged(b.Pots, func(b Batch) []remark.Note { return b.Assumed })
	b.Warnings = append(b.Warnings, merged(b.Pots, func(b Batch) []remark.Note { return b.Warnings })...)
	b.Refusals = merged(b.Pots, func(b Batch) []remark.Note { return b.Refusals })
}

// merged are the notes of pots: what all of them have alike once, and the rest by the
// pot that it is of.
func merged(pots []Batch, of func(Batch) []remark.Note) []remark.Note {
	var all []remark.Note
	for i, pot := range pots {
		for _, note := range of(pot) {
			alike := func(other remark.Note) bool { return reflect.DeepEqual(other, note) }
			common := !slices.ContainsFunc(pots, func(b Batch) bool { return !slices.ContainsFunc(of(b), alike) })
			switch {
			case note.Code == remark.StrainInto || note.Code == remark.IntoWidthAssumed: // they name it
			case !common:
				note.Pot = pot.Pot
			case i > 0:
				continue
			}
			all = append(all, note)
		}
	}
	return all
}

// slowest is the chill of a run of several pots: the one that takes longest to be cold, or
// fails, with the ice and the hands of all.
func slowest(pots []Batch) Chill {
	after := func(b Batch) time.Duration {
		if c := b.Chill; c.Verdict != "" && !c.Passes || c.SlowTo41F.Never {
			return 1 << 62
		}
		return b.Chill.SlowTo41F.After
	}
	slow := slices.MaxFunc(pots, func(a, b Batch) int { return int(min(1, max(-1, after(a)-after(b)))) }).Chill
	slow.Ice, slow.IceToHave, slow.HandsOn = 0, 0, quantity.Band[time.Duration]{}
	for _, pot := range pots {
		c := pot.Chill
		slow.Ice, slow.IceToHave = slow.Ice+c.Ice, slow.IceToHave+c.IceToHave
		slow.HandsOn.Low += c.HandsOn.Low
		slow.HandsOn.Likely += c.HandsOn.Likely
		slow.HandsOn.High += c.HandsOn.High
	}
	return slow
}

// poured puts what was measured of a run into its pots: of several each has its share, as
// planned, of what was measured of all.
func (c *Came) poured(setup settle.Setup) (settle.Setup, error) {
	setup.Pot.Came = c.Came
	if len(setup.Pots) == 0 {
		return setup, nil
	}
	each, whole, err := balanced(setup)
	if err != nil {
		return setup, fault.Of("", err, "")
	}
	setup.Pots = slices.Clone(setup.Pots)
	for i := range setup.Pots {
		share := each[i].Strained.Likely / max(whole.Strained.Likely, quantity.Millilitre)
		came := &setup.Pots[i].Pot.Came
		*came = c.Came
		came.Strained, came.Ready, came.ToppedUp = share*c.Strained, share*c.Ready, share*c.ToppedUp
	}
	setup.Pot = setup.Pots[0].Pot
	return setup, nil
}
