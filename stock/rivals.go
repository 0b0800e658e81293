package stock

import (
	"slices"
	"time"

	"brothrun/stock/kettle"
	"brothrun/stock/loading"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
)

// fillable is one size of jar that may be filled and stands in the canner.
type fillable struct {
	loading.Size
	mouth   string
	class   process.Size // whose tested process it takes
	setting process.Setting
	glass   quantity.Mass // of one jar
}

func (f fillable) name() string { return f.Shape.Name }

// LoadPlan is one way to fill the jars and the canner with the likely broth.
type LoadPlan struct {
	Prefer    loading.Preference // what it is best for; empty: the chosen one with small loads too
	Jars      []JarCount
	Loads     int
	StoveTime time.Duration // as Batch.StoveTime
	Leftover  quantity.Volume
	Chosen    bool // this is the plan of the batch
	// SmallLoads says that the chosen preference comes to this with small loads
	// allowed, which the batch does not allow.
	SmallLoads bool
}

// rivals are the plans of all preferences, the chosen one first; of those that
// come to the same jars only the first, and none that the chosen one equals or
// beats in loads, hours and leftover. Where small loads are not allowed and would
// fill a jar more, the chosen preference with them is there too.
func (p *planner) rivals(sizes []fillable, filled loading.Plan) []LoadPlan {
	likely := p.batch.Yield.ReadyToFill.Likely
	plan := func(prefer loading.Preference, way loading.Way) LoadPlan {
		plan := LoadPlan{Prefer: prefer, Loads: way.Loads, Leftover: max(0, way.Left)}
		for i, n := range way.Counts {
			if n > 0 {
				plan.Jars = append(plan.Jars, JarCount{sizes[i].name(), n})
			}
		}
		reheat := kettle.Reheat(likely-plan.Leftover, p.Into.Burner, p.Into.Hob).Likely
		plan.StoveTime = p.batch.HeatUp.Likely + p.batch.Simmer + reheat + way.Time
		return plan
	}
	chosen := filled.Way
	chosen.Loads, chosen.Time = len(p.batch.Loads), 0
	for _, load := range p.batch.Loads {
		chosen.Time += load.Cycle.Total().Likely
	}
	best := plan(chosen.Prefer, chosen)
	best.Chosen = true
	plans := []LoadPlan{best}
	add := func(rival LoadPlan) {
		same := slices.IndexFunc(plans, func(p LoadPlan) bool { return slices.Equal(p.Jars, rival.Jars) })
		if same < 0 {
			plans = append(plans, rival)
			return
		}
		plans[same].SmallLoads = plans[same].SmallLoads || rival.SmallLoads
	}
	for _, way := range filled.Preferences {
		rival := plan(way.Prefer, way)
		if way.Prefer == loading.PreferJars ||
			best.Loads > rival.Loads || best.StoveTime > rival.StoveTime || best.Leftover > rival.Leftover {
			add(rival)
		}
	}
	if filled.WithSmallLoads != nil {
		rival := plan("", *filled.WithSmallLoads)
		rival.SmallLoads = true
		add(rival)
	}
	return plans
}
