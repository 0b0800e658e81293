package order

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// settings are what may be said beside the files, each by the name of its flag: it sets a
// field of the kitchen or the run from the same text as the file's key. Texts are checked
// when the run is planned.
var settings = map[string]func(r *Request, text string) error{
	"kind":       oneKind(text(func(r *Request) *string { return &r.Run.Kind })),
	"bones":      oneKind(setBones),
	"vegetables": setVegetables,
	"thaw":       text(func(r *Request) *string { return &r.Run.Thaw }),
	"pot":        text(func(r *Request) *string { return &r.Run.Pot }),
	"pot-width":  parsed(parseLength, func(r *Request) **quantity.Length { return &r.Run.PotWidth }),
	"water":      setWater,
	"simmer":     parsed(quantity.ParseDuration, func(r *Request) **time.Duration { return &r.Run.Simmer }),
	"lid":        text(func(r *Request) *string { return &r.Run.Lid }),
	"top-up":     text(func(r *Request) *string { return &r.Run.TopUp }),
	"chill":      text(func(r *Request) *string { return &r.Run.Chill }),
	"outdoors":   temperature(func(r *Request) **quantity.Temperature { return &r.Run.Outdoors }),
	"route":      text(func(r *Request) *string { return &r.Run.Route }),

	"altitude":      parsed(quantity.ParseAltitude, func(r *Request) **quantity.Length { return &r.Run.Altitude }),
	"gauge":         text(func(r *Request) *string { return &r.Run.Gauge }),
	"jars":          setJars,
	"prefer":        text(func(r *Request) *string { return &r.Run.Prefer }),
	"mix":           yes("mix", func(r *Request) *bool { return &r.Run.Mix }),
	"small-loads":   yes("small-loads", func(r *Request) *bool { return &r.Run.SmallLoads }),
	"mouth":         text(func(r *Request) *string { return &r.Run.Mouth }),
	"canner-width":  parsed(parseLength, func(r *Request) **quantity.Length { return &r.Kitchen.Canner.Width }),
	"canner-height": parsed(parseLength, func(r *Request) **quantity.Length { return &r.Kitchen.Canner.Height }),
	"holds":         setHolds,
	"racks":         setRacks,

	"start":     text(func(r *Request) *string { return &r.Run.Start }),
	"finish-by": text(func(r *Request) *string { return &r.Run.FinishBy }),
	"between":   text(func(r *Request) *string { return &r.Run.Between }),
	"and":       text(func(r *Request) *string { return &r.Run.And }),
	"choose":    setChoose,
	"unattended": yes("unattended", func(r *Request) *bool {
		r.Run.Unattended = new(bool)
		return r.Run.Unattended
	}),
	"zone":  text(func(r *Request) *string { return &r.Kitchen.Zone }),
	"awake": text(func(r *Request) *string { return &r.Kitchen.Awake }),
	"units": text(func(r *Request) *string { return &r.Kitchen.Units }),

	"fridge":  temperature(func(r *Request) **quantity.Temperature { return &r.Kitchen.Fridge }),
	"freezer": temperature(func(r *Request) **quantity.Temperature { return &r.Kitchen.Freezer }),
	"tap":     temperature(func(r *Request) **quantity.Temperature { return &r.Kitchen.Tap }),

	"runs-per-year": setRunsPerYear,
	"rack-price":    parsed(runfile.ParseMoney, func(r *Request) **runfile.Money { return &r.Kitchen.Prices.Rack }),
	"fuel-price":    parsed(runfile.ParseMoney, func(r *Request) **runfile.Money { return &r.Kitchen.Prices.Fuel }),
	"hour-value":    parsed(runfile.ParseMoney, func(r *Request) **runfile.Money { return &r.Kitchen.Prices.Hour }),
}

// Set sets what the cook says beside the files, name being that of the flag, such as
// "pot-width", and text what a run file takes. It wins over the file. An empty text, one
// that is unreadable or out of range, and a name that does not exist are a *fault.Fault.
func (r *Request) Set(name, text string) error {
	set := settings[name]
	if set == nil {
		return fault.New(strings.ReplaceAll(name, "-", "_"), "", "there is no setting --%s", name)
	}
	return r.Take(name, text, func(text string) error { return set(r, text) })
}

// Take is Set for what is no part of the run or its kitchen, such as the ice there is:
// set gets the text, and Locate then knows that it was given as a flag.
func (r *Request) Take(name, text string, set func(text string) error) error {
	if strings.TrimSpace(text) == "" {
		return fault.New(strings.ReplaceAll(name, "-", "_"), "give it a value, or leave it out", "--%s is empty", name)
	}
	if err := set(text); err != nil {
		return FlagFault(name, err)
	}
	if r.given == nil {
		r.given = map[string]bool{}
	}
	r.given[name] = true
	return nil
}

// parsed makes a setter from a parser and the field it fills.
func parsed[T any](parse func(string) (T, error), field func(*Request) **T) func(*Request, string) error {
	return func(r *Request, text string) error {
		value, err := parse(text)
		if err != nil {
			return err
		}
		*field(r) = &value
		return nil
	}
}

func temperature(field func(*Request) **quantity.Temperature) func(*Request, string) error {
	return parsed(quantity.ParseTemperature, field)
}

// text makes a setter of a field that is checked when the run is planned.
func text(field func(*Request) *string) func(*Request, string) error {
	return func(r *Request, value string) error {
		*field(r) = value
		return nil
	}
}

// yes makes a setter of a choice that is true or false.
func yes(name string, field func(*Request) *bool) func(*Request, string) error {
	return func(r *Request, text string) (err error) {
		if *field(r), err = strconv.ParseBool(text); err != nil {
			err = fmt.Errorf("%s %q is not a choice: --%s or --%s=false", name, text, name, name)
		}
		return err
	}
}

// oneKind makes a setter that also takes back, as a whole, what the run file says
// about several kinds in one pot.
func oneKind(set func(*Request, string) error) func(*Request, string) error {
	return func(r *Request, value string) error {
		if len(r.Run.Portions) > 0 {
			r.Run.Portions = nil
			delete(r.Run.Lines, "bones")
		}
		return set(r, value)
	}
}

// parseLength reads a length of the kitchen; one without a unit is not in feet.
func parseLength(text string) (quantity.Length, error) {
	length, err := quantity.ParseLength(text)
	if unreadable := (*quantity.ParseError)(nil); errors.As(err, &unreadable) && unreadable.Number != "" {
		return length, fault.Of("", err, fmt.Sprintf("write %sin or %scm", unreadable.Number, unreadable.Number))
	}
	return length, err
}

func setBones(r *Request, text string) error {
	weight, birds, err := runfile.ParseBones(text)
	r.Run.Bones, r.Run.Birds = &weight, birds
	return err
}

func setVegetables(r *Request, text string) error {
	weighed, counted, err := runfile.ParseVegetables(text)
	r.Run.Vegetables, r.Run.Counted = &weighed, counted
	return err
}

func setWater(r *Request, text string) error {
	if r.Run.Fit = strings.EqualFold(text, "fit"); r.Run.Fit {
		return nil
	}
	volume, err := quantity.ParseVolume(text)
	r.Run.Water = &volume
	return err
}

// setJars takes the counts of what is asked for in place of those on hand in the kitchen.
// A text that cannot be read is for the plan to say.
func setJars(r *Request, text string) error {
	r.Run.Jars = text
	wishes, _ := runfile.ParseJars(text)
	r.Kitchen.Jars, r.Kitchen.OwnJars = maps.Clone(r.Kitchen.Jars), slices.Clone(r.Kitchen.OwnJars)
	for _, wish := range wishes {
		if wish.Limit < 0 {
			continue
		}
		delete(r.Kitchen.Jars, wish.Jar)
		for i, own := range r.Kitchen.OwnJars {
			if runfile.JarName(own.Name) == wish.Jar {
				r.Kitchen.OwnJars[i].OnHand = nil
			}
		}
	}
	return nil
}

func setHolds(r *Request, text string) (err error) {
	r.Kitchen.Canner.Holds, err = runfile.ParseHolds(text, r.Kitchen)
	return err
}

func setRacks(r *Request, text string) error {
	racks, err := runfile.ParseCount(text)
	if err != nil || racks < 1 || racks > 10 {
		return fmt.Errorf("racks %s: must be a whole number from 1 to 10", text)
	}
	r.Kitchen.Canner.Racks = racks
	return nil
}

func setChoose(r *Request, text string) (err error) {
	if r.choose, err = runfile.ParseCount(text); err != nil || r.choose < 1 {
		return fmt.Errorf("choose %s: must be a whole number from 1 on, of the days that are listed without it", text)
	}
	return nil
}

func setRunsPerYear(r *Request, text string) (err error) {
	r.Kitchen.Prices.RunsPerYear, err = runfile.ParseRunsPerYear(text)
	return err
}
