package stock

import (
	"slices"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/loading"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/thermo"
)

// ranLoad is a load that was worked out, to be found again: most loads of a batch
// are alike.
type ranLoad struct {
	jars     []canner.Jars
	process  time.Duration
	later    bool
	estimate canner.Estimate
}

// firing is a load of jars as the canner's heat sees it.
func (p *planner) firing(jars []canner.Jars, longest fillable) canner.Load {
	l := p.Firing
	l.Jars, l.Pressure, l.Weighted = jars, longest.setting.Pressure, longest.setting.Gauge == process.Weighted
	l.Process, l.QuartTime, l.Later = longest.setting.Time, longest.class.QuartTime(), len(p.batch.Loads) > 0
	return l
}

func (f fillable) many(n int) canner.Jars {
	return canner.Jars{Count: n, Broth: thermo.ColdBroth.Times(f.Fill), Glass: f.glass}
}

// fullLoad is the likely time of a full load of one size.
func (p *planner) fullLoad(f fillable) (time.Duration, error) {
	return canner.LikelyTime(p.firing([]canner.Jars{f.many(f.Capacity.Jars())}, f))
}

// cycle works out how long a load takes, its fuel and its water.
func (p *planner) cycle(load *Load, layers loading.Load, sizes []fillable, longest fillable) error {
	var jars []canner.Jars
	for i, s := range sizes {
		n := 0
		for _, counts := range layers {
			n += counts[i]
		}
		if n > 0 {
			jars = append(jars, s.many(n))
		}
	}
	l := p.firing(jars, longest)
	same := func(r ranLoad) bool {
		return r.process == l.Process && r.later == l.Later && slices.Equal(r.jars, l.Jars)
	}
	i := slices.IndexFunc(p.ran, same)
	if i < 0 {
		ran, err := p.runOnce(l, same)
		if err != nil {
			return err
		}
		i, p.ran = len(p.ran), append(p.ran, ran)
	}
	e := p.ran[i].estimate
	load.Cycle = e.Phases
	load.Fuel, load.WaterPutIn, load.WaterLeft = e.Fuel, e.WaterPutIn, e.WaterLeft
	return nil
}

// runOnce works a load out, unless another plan for the canner did.
func (p *planner) runOnce(l canner.Load, same func(ranLoad) bool) (ranLoad, error) {
	if i := slices.IndexFunc(*p.known, same); i >= 0 {
		return (*p.known)[i], nil
	}
	e, err := canner.Cycle(l)
	if err != nil {
		return ranLoad{}, err
	}
	ran := ranLoad{l.Jars, l.Process, l.Later, e}
	*p.known = append(*p.known, ran)
	return ran, nil
}

// mostWater is how many times the usual water is too much; common practice, no
// source.
const mostWater = 2

// cycleWarnings says once what may go wrong with the heat of any load.
func (p *planner) cycleWarnings() {
	water := p.Firing.Vessel.Water
	toPressure := func(e *canner.Estimate) time.Duration { return e.HeatUp.Likely + e.Pressurise.Likely }
	var driest, slowest *canner.Estimate
	for i := range p.ran {
		e := &p.ran[i].estimate
		if e.NearDry && (driest == nil || e.WaterLeft.Low < driest.WaterLeft.Low) {
			driest = e
		}
		if e.MayFail && (slowest == nil || toPressure(e) > toPressure(slowest)) {
			slowest = e
		}
	}
	if water > 0 && len(p.ran) > 0 {
		if usual := p.ran[0].estimate.WaterUsual; water > mostWater*usual {
			p.warn(remark.Of(remark.CannerTooFull, water, usual))
		}
	}
	if driest != nil {
		usual := remark.Note{}
		if driest.WaterPutIn < driest.WaterUsual/2 {
			usual = remark.Of(remark.NearDryCode, driest.WaterUsual).In("usual")
		}
		p.warn(remark.Of(remark.NearDryCode, driest.WaterPutIn, driest.WaterLeft.Low, driest.WaterLeft.Likely, usual))
	}
	if slowest != nil {
		p.warn(remark.Of(remark.CannerSlow, slowest.HeatUp.Likely, slowest.Pressurise.Likely))
	}
	p.outdoorBurner()
	for _, note := range p.NotedShort() {
		used := func(r ranLoad) bool {
			s := r.estimate.Short
			return note.Code == remark.HeatUpShort && s.HeatUp || note.Code == remark.PressuriseShort && s.Pressurise ||
				note.Code == remark.DepressuriseShort && s.Depressurise
		}
		if slices.ContainsFunc(p.ran, used) {
			p.warn(note)
		}
	}
}

// strongBurner is the rating above which a flame is as strong as those made for
// outdoors: makers' manuals of light canners allow about 12,000 BTU/h, from memory.
const strongBurner = 12000 * quantity.BTUPerHour

// propane is the hob that burns it.
const propane = "propane"

// flame reports whether the burner may be one.
func (p *planner) flame() bool { return p.Hob != "electric" && p.Hob != "induction" }

// outdoorBurner says where such a burner may not stand; common practice, no source.
func (p *planner) outdoorBurner() {
	switch {
	case len(p.ran) == 0:
	case p.Firing.Place.Outdoors:
		p.warn(remark.Of(remark.OutdoorBurnerCode))
	case p.flame() && p.Burner > strongBurner:
		p.warn(remark.Of(remark.OutdoorBurnerCode, p.Burner).In("strong"))
	}
}
