package ask

import (
	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// ChillQuery asks how a pot of strained broth can be cooled. What it leaves out
// comes from the plan of the run.
type ChillQuery struct {
	Volume   *quantity.Volume      // 0.1 to 200 l of strained broth
	Width    *quantity.Length      // of the pot inside, 10 to 100 cm
	From     *quantity.Temperature // when cooling starts; nil: just off the boil, 95 °C
	Ice      quantity.Mass         // all there is; zero: as much as it takes
	PanDepth quantity.Length       // for shallow-pans; zero: 2 in
	Jar      string                // that jars-in-fridge takes; empty: the run's first, or a quart
	Method   string                // one method; empty: all of them
	FromRun  bool                  // there is a run to plan for what is left out
}

// ChillAnswer is how a pot cools by one method or all.
type ChillAnswer struct {
	Units    quantity.System
	Pot      chill.Pot
	Around   chill.Surroundings
	Results  []chill.Result // in the order of chill.Methods; one when a method was asked for
	Asked    bool           // for one method
	Proposed *chill.Result  // nil: none passes with margin
	Wanted   *chill.Result  // what would be proposed with ice enough; nil where that is not what is wanting
	Assumed  []remark.Note
	Warnings []remark.Note
}

// Refused reports whether one method was asked for and fails.
func (a ChillAnswer) Refused() bool { return a.Asked && a.Results[0].Verdict == chill.Fail }

// CompareChill answers a ChillQuery. The fridge, freezer and tap are the
// kitchen's, the outdoors the run's. That no method passes, or the one asked for
// fails, is an answer; errors are *fault.Fault.
func CompareChill(kitchen runfile.Kitchen, run runfile.Run, query ChillQuery) (ChillAnswer, error) {
	house, err := settle.Kitchen(kitchen, "")
	if err != nil {
		return ChillAnswer{}, err
	}
	answer := ChillAnswer{Units: house.Units, Asked: query.Method != "", Around: house.Around}
	answer.Around.Outdoors, answer.Around.Ice = run.Outdoors, query.Ice
	if query.FromRun && (query.Volume == nil || query.Width == nil) {
		setup, err := settle.Run(kitchen, run)
		if err != nil {
			return ChillAnswer{}, err
		}
		balance, err := kettle.Balance(setup.Pot)
		if err != nil {
			return ChillAnswer{}, fault.Of("", err, "")
		}
		if query.Volume == nil {
			query.Volume = &balance.Strained.Likely
		}
		if query.Width == nil {
			query.Width = &setup.Pot.PotWidth
		}
		answer.Assumed = setup.Assumption(remark.PotWidthAssumed)
	}
	switch {
	case query.Volume == nil:
		return ChillAnswer{}, fault.New("volume", "--volume 2gal, or a run file", "how much broth there is, is not given")
	case query.Width == nil && len(kitchen.Pots) == 1:
		query.Width = kitchen.Pots[0].Width
	}
	if query.Width == nil {
		return ChillAnswer{}, fault.New("pot-width", "--pot-width 10in, measured inside", "the width of the pot is not given")
	}
	answer.Pot = chill.Pot{Volume: *query.Volume, Width: *query.Width, PanDepth: query.PanDepth}
	if query.From != nil {
		answer.Pot.From = *query.From
	}
	if query.Jar == "" {
		if wishes, err := runfile.ParseJars(run.Jars); err == nil {
			query.Jar = wishes[0].Jar
		}
	} else if _, err := house.Shelf.Find(query.Jar, jar.Regular); err != nil {
		return ChillAnswer{}, fault.New("jar", "", "%v", err)
	}
	answer.Pot.Jar = house.Shelf.ChillJar(query.Jar)
	answer.Assumed = append(answer.Assumed, house.Assumption(remark.FridgeAssumed)...)
	if kitchen.Tap == nil {
		answer.Assumed = append(answer.Assumed, remark.Of(remark.TapAssumed, answer.Around.Tap).In("compared"))
	}
	if kitchen.Freezer == nil {
		answer.Assumed = append(answer.Assumed, remark.Of(remark.FreezerAssumed, answer.Around.Freezer))
	}
	if answer.Around.Fridge > settle.WarmestFridge {
		warm := remark.Of(remark.FridgeTooWarm, settle.FridgePast(answer.Around.Fridge), settle.WarmestFridge).In("compared")
		answer.Warnings = append(answer.Warnings, warm)
	}

	if answer.Asked {
		var method chill.Method
		if method, err = chill.ParseMethod(query.Method); err != nil {
			return ChillAnswer{}, fault.Of("method", err, "")
		}
		answer.Results = make([]chill.Result, 1)
		answer.Results[0], err = chill.Cool(answer.Pot, answer.Around, method)
	} else {
		answer.Results, err = chill.Compare(answer.Pot, answer.Around)
	}
	if err != nil {
		return ChillAnswer{}, fault.Of("method", err, "")
	}
	return answer, answer.propose()
}

// propose finds what would be proposed, or with ice enough would be.
func (a *ChillAnswer) propose() error {
	proposed, ok, err := chill.Propose(a.Pot, a.Around)
	if ok {
		a.Proposed = &proposed
	} else if around := a.Around; err == nil && around.Ice > 0 {
		around.Ice = 0
		var wanted chill.Result
		if wanted, ok, err = chill.Propose(a.Pot, around); ok {
			a.Wanted = &wanted
		}
	}
	return err
}

// ChillWords reads a method aloud: "ice bath stirred, then fridge".
func ChillWords(method chill.Method) string { return stock.Chill{Method: method}.Words() }
