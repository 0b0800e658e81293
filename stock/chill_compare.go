package stock

import (
	"errors"
	"fmt"
	"strings"

	"brothrun/stock/chill"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
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
	house, err := settleHouse(kitchen, "")
	if err != nil {
		return ChillAnswer{}, err
	}
	answer := ChillAnswer{Units: house.Units, Asked: query.Method != "", Around: house.Around}
	answer.Around.Outdoors, answer.Around.Ice = run.Outdoors, query.Ice
	if query.FromRun && (query.Volume == nil || query.Width == nil) {
		setup, err := Settle(kitchen, run)
		if err != nil {
			return ChillAnswer{}, err
		}
		balance, err := kettle.Balance(setup.Pot)
		if err != nil {
			return ChillAnswer{}, balanceError(err)
		}
		if query.Volume == nil {
			query.Volume = &balance.Strained.Likely
		}
		if query.Width == nil {
			query.Width = &setup.Pot.PotWidth
		}
		answer.Assumed = setup.assumption("pot-width")
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
	answer.Pot = chill.Pot{Volume: *query.Volume, Width: *query.Width, PanDepth: query.PanDepth, From: valueOf(query.From)}
	if query.Jar == "" {
		if wishes, err := ParseJars(run.Jars); err == nil {
			query.Jar = wishes[0].Jar
		}
	} else if _, err := house.shelf.find(query.Jar, jar.Regular); err != nil {
		return ChillAnswer{}, wrong("jar", err, "")
	}
	answer.Pot.Jar = house.shelf.chillJar(query.Jar)
	if kitchen.Tap == nil {
		house.assume("tap", "The cold tap runs at %s; in summer it may be warmer.", answer.Around.Tap.Both(answer.Units))
	}
	if kitchen.Freezer == nil {
		house.assume("freezer", "The freezer is at %s.", answer.Around.Freezer.Both(answer.Units))
	}
	answer.Assumed = append(answer.Assumed, house.assumption("fridge", "tap", "freezer")...)
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
