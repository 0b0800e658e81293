package stock

import (
	"errors"
	"fmt"
	"strings"

	"brothrun/stock/chill"
	"brothrun/stock/jar"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
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
	Assumed  []Note
	Warnings []Note
}

// Refused reports whether one method was asked for and fails.
func (a ChillAnswer) Refused() bool { return a.Asked && a.Results[0].Verdict == chill.Fail }

// CompareChill answers a ChillQuery. The fridge, freezer and tap are the
// kitchen's, the outdoors the run's. That no method passes, or the one asked for
// fails, is an answer; errors are *InputError.
func CompareChill(kitchen runfile.Kitchen, run runfile.Run, query ChillQuery) (ChillAnswer, error) {
	p := planner{kitchen: kitchen, run: run}
	if kitchen.Units != "" {
		var err error
		if p.batch.Units, err = quantity.ParseSystem(kitchen.Units); err != nil {
			return ChillAnswer{}, wrong("units", err, "")
		}
	}
	if query.FromRun && (query.Volume == nil || query.Width == nil) {
		strained := planner{kitchen: kitchen, run: run}
		for _, step := range []func() error{strained.start, strained.yield} {
			if err := step(); err != nil {
				return ChillAnswer{}, err
			}
		}
		if query.Volume == nil {
			query.Volume = &strained.batch.Yield.Strained.Likely
		}
		if query.Width == nil {
			query.Width = &strained.width
		}
		for _, note := range strained.batch.Assumed {
			if note.Code == "pot-width" {
				p.batch.Assumed = append(p.batch.Assumed, note)
			}
		}
	}
	switch {
	case query.Volume == nil:
		return ChillAnswer{}, &InputError{"volume", "how much broth there is, is not given", "--volume 2gal, or a run file"}
	case query.Width == nil && len(kitchen.Pots) == 1:
		query.Width = kitchen.Pots[0].Width
	}
	if query.Width == nil {
		return ChillAnswer{}, &InputError{"pot-width", "the width of the pot is not given", "--pot-width 10in, measured inside"}
	}

	if query.Jar != "" {
		p.run.Jars = query.Jar
		if _, err := p.findJar(query.Jar, jar.Regular); err != nil {
			return ChillAnswer{}, wrong("jar", err, "")
		}
	}
	answer := ChillAnswer{Units: p.batch.Units, Asked: query.Method != ""}
	answer.Pot = chill.Pot{Volume: *query.Volume, Width: *query.Width, PanDepth: query.PanDepth, Jar: p.chillJar()}
	if query.From != nil {
		answer.Pot.From = *query.From
	}
	var err error
	if answer.Around, err = p.surroundings(); err != nil {
		return ChillAnswer{}, err
	}
	answer.Around.Ice = query.Ice
	if kitchen.Tap == nil {
		p.assumeTap(answer.Around)
	}
	if kitchen.Freezer == nil {
		p.assume("freezer", "The freezer is at %s.", answer.Around.Freezer.Both(answer.Units))
	}
	answer.Assumed = p.batch.Assumed
	if answer.Around.Fridge > warmestFridge {
		answer.Warnings = append(answer.Warnings, Note{Code: FridgeTooWarm, Text: fmt.Sprintf("The fridge is at %s, too warm to hold broth, however it was cooled: %s or colder.",
			answer.Around.Fridge.Both(answer.Units), warmestFridge.Both(answer.Units))})
	}

	if answer.Asked {
		var method chill.Method
		if method, err = chill.ParseMethod(query.Method); err != nil {
			return ChillAnswer{}, wrong("method", err, "")
		}
		answer.Results = make([]chill.Result, 1)
		answer.Results[0], err = chill.Cool(answer.Pot, answer.Around, method)
	} else {
		answer.Results, err = chill.Compare(answer.Pot, answer.Around)
	}
	if err != nil {
		return ChillAnswer{}, chillError("method", err)
	}
	proposed, ok, err := chill.Propose(answer.Pot, answer.Around)
	if ok {
		answer.Proposed = &proposed
	}
	return answer, err
}

// chillError says which input a chill error is about; key where that is the method.
func chillError(key string, err error) error {
	var field *chill.RangeError
	if errors.As(err, &field) {
		if field.Field != "" {
			key = field.Field
		}
		return &InputError{key, field.Reason, field.Hint}
	}
	return wrong(key, err, "")
}

// surroundings are what the broth may be cooled against.
func (p *planner) surroundings() (chill.Surroundings, error) {
	around := chill.DefaultSurroundings()
	if p.kitchen.Fridge != nil {
		around.Fridge = *p.kitchen.Fridge
	} else {
		p.assume("fridge", "The fridge is at %s; put a thermometer in it.", around.Fridge.Both(p.batch.Units))
	}
	if p.kitchen.Freezer != nil {
		around.Freezer = *p.kitchen.Freezer
		if around.Freezer > warmestFreezer {
			return around, &InputError{"freezer", fmt.Sprintf("a freezer at %s does not freeze broth through: must be %s or colder", around.Freezer.Both(p.batch.Units), warmestFreezer.Both(p.batch.Units)),
				"turn it down and read a thermometer in it, or leave the temperature out"}
		}
	}
	if p.kitchen.Tap != nil {
		around.Tap = *p.kitchen.Tap
	}
	around.Outdoors = p.run.Outdoors
	return around, nil
}

// assumeTap says what the tap was taken to run at.
func (p *planner) assumeTap(around chill.Surroundings) {
	p.assume("tap", "The cold tap runs at %s; in summer it may be warmer.", around.Tap.Both(p.batch.Units))
}

// ChillWords reads a method aloud: "ice bath stirred, then fridge".
func ChillWords(method chill.Method) string { return Chill{Method: string(method)}.Words() }

// OtherFood says what the other food in the fridge or freezer would feel; empty
// for a method that uses neither. warm reports whether that is a danger to it.
func OtherFood(w chill.Warming, units quantity.System) (text string, warm bool) {
	limit := quantity.Fahrenheit(41)
	switch {
	case w.In == chill.Freezer:
		text = fmt.Sprintf("The freezer's other food would warm to about %s, on the slow side %s", w.Peak.Both(units), w.SlowPeak.Both(units))
		warm = w.SlowPeak > quantity.Celsius(-5)
		if warm {
			text += ", and begin to thaw: take it out"
		}
		return text + ".", warm
	case w.In == "":
		return "", false
	case w.SlowPeak <= limit:
		return fmt.Sprintf("The fridge's other food would warm to about %s, on the slow side %s.", w.Peak.Both(units), w.SlowPeak.Both(units)), false
	}
	return fmt.Sprintf("The fridge's other food would warm to about %s (%s), on the slow side %s (%s). How strong the fridge is and what is in it is not known; move what spoils out first.",
		w.Peak.Both(units), aboveLimit(w.Above41F.Minutes() >= 1, quantity.FormatDuration(w.Above41F), limit.Format(units)),
		w.SlowPeak.Both(units), aboveLimit(true, quantity.FormatDuration(w.SlowAbove41F), limit.Format(units))), true
}

func aboveLimit(ever bool, span, limit string) string {
	if !ever {
		return "never above " + limit
	}
	return strings.Join([]string{"above", limit, "for", span}, " ")
}
