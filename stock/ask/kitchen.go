// Package ask answers the questions beside the plan: what a kitchen file gives
// (CheckKitchen), which tested process there is (Process), how a pot can be cooled
// (CompareChill) and where the jars of a planned load stand (Layout). It asks what
// stock/settle has settled and stock has planned, and is pure; the accuracy of a figure is
// that of the room it comes from. Errors are *fault.Fault; that something is refused or
// does not pass is an answer.
package ask

import (
	"slices"

	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// KitchenReport is what a kitchen file gives a plan and what it leaves to be
// assumed.
type KitchenReport struct {
	Units    quantity.System
	Findings []remark.Note // what it holds, Code a short subject such as "canner"
	Missing  []remark.Note // what a plan would have to assume or ask for
	Warnings []remark.Note
	// NoAltitude tells that a plan would have to be given the altitude.
	NoAltitude bool
}

// kitchenCheck fills in a report.
type kitchenCheck struct {
	settle.House
	kitchen runfile.Kitchen
	report  KitchenReport
}

func (c *kitchenCheck) found(n remark.Note)    { c.report.Findings = append(c.report.Findings, n) }
func (c *kitchenCheck) missing(n remark.Note)  { c.report.Missing = append(c.report.Missing, n) }
func (c *kitchenCheck) doubtful(n remark.Note) { c.report.Warnings = append(c.report.Warnings, n) }

// CheckKitchen judges a kitchen as far as that goes without a run: the settings
// its altitude and gauge ask for, the jars its canner holds, and what is missing.
// Values no plan could use are a *fault.Fault.
func CheckKitchen(kitchen runfile.Kitchen) (KitchenReport, error) {
	house, err := settle.Kitchen(kitchen, "")
	if err != nil {
		return KitchenReport{}, err
	}
	c := kitchenCheck{House: house, kitchen: kitchen, report: KitchenReport{Units: house.Units}}
	for _, judge := range []func() error{c.place, c.jars, c.size, c.heat} {
		if err := judge(); err != nil {
			return c.report, err
		}
	}
	c.pots()
	c.cold()
	c.unsaid()
	return c.report, nil
}

// place is the altitude and the gauge, with the tested settings there.
func (c *kitchenCheck) place() error {
	if c.kitchen.Altitude == nil {
		c.report.NoAltitude = true
		c.missing(remark.Of(remark.AltitudeOfKitchen).In("missing"))
	} else {
		// Any kind with a tested process will do.
		kind := settle.Kinds()[0]
		place, err := c.At(c.kitchen, runfile.Run{Kind: string(kind)})
		if err != nil {
			return err
		}
		c.found(remark.Of(remark.AltitudeOfKitchen, place.Altitude).In("found"))
		c.report.Warnings = append(c.report.Warnings, place.Warnings...)
		if err := c.settings(kind); err != nil {
			return err
		}
	}
	if c.kitchen.Gauge == "" {
		c.missing(remark.Of(remark.GaugeAssumed).In("missing"))
	}
	return nil
}

// settings finds the tested settings of a kind at the kitchen's altitude and gauge.
func (c *kitchenCheck) settings(kind settle.Kind) error {
	answer, err := Process(ProcessQuery{Kind: kind, Altitude: c.kitchen.Altitude, Gauge: c.kitchen.Gauge}, c.Units)
	if err != nil {
		return err
	}
	for _, setting := range answer.Settings {
		c.found(remark.Of(remark.ProcessOfKitchen, setting.Jars, setting.Gauge, setting.Pressure, setting.Time))
	}
	for _, refusal := range answer.Refusals {
		c.found(remark.Of(remark.RefusedInKitchen, refusal))
	}
	return nil
}

// jars is what one load may be, of the catalogue's jars and the cook's own.
func (c *kitchenCheck) jars() error {
	mouth, err := c.SettleMouth("", c.kitchen.Mouth)
	if err != nil {
		return err
	}
	var names []string
	for _, size := range canned {
		names = append(names, string(size))
	}
	var loads []remark.Note
	for _, name := range append(names, c.Shelf.Names()...) {
		load, stands, err := c.aLoadOf(name, mouth)
		if err != nil {
			return err
		}
		if stands {
			loads = append(loads, load)
		}
	}
	if len(loads) > 0 {
		c.found(remark.Of(remark.CannerAssumed, loads).In("found"))
	}
	return nil
}

// aLoadOf is the clause of a full load of one jar; stands is false for a jar that is
// not canned or not in this canner.
func (c *kitchenCheck) aLoadOf(name string, mouth jar.Mouth) (load remark.Note, stands bool, err error) {
	j, err := c.Shelf.Find(name, mouth)
	if err != nil {
		return remark.Note{}, false, err
	}
	size, err := c.Shelf.Class(name)
	if refusal, is := process.AsRefusal(err); is {
		c.doubtful(remark.Of(remark.JarOfKitchen, name, refusal.Note).In("refused"))
		return remark.Note{}, false, nil
	} else if err != nil {
		return remark.Note{}, false, err
	}
	if own, _, isOwn := c.Shelf.Measured(name); isOwn {
		fill, err := j.ColdFill(process.Headspace, quantity.Celsius(100))
		if err != nil {
			return remark.Note{}, false, fault.Of(c.Shelf.Key(name), err, "")
		}
		onHand := remark.Note{}
		if own.OnHand != nil {
			onHand = remark.Of(remark.JarOfKitchen, *own.OnHand).In("on-hand")
		}
		c.found(remark.Of(remark.JarOfKitchen, name, size, fill, onHand).In("found"))
	}
	capacity, err := c.Canner.Capacity(settle.ShapeOf(j))
	narrow, isNarrow := fault.AsMisfit(err)
	switch {
	case isNarrow:
		c.doubtful(remark.Of(remark.CannerAssumed, narrow.Reason).In("narrow"))
		return remark.Note{}, false, nil
	case err != nil:
		return remark.Note{}, false, fault.Of("canner", err, "")
	}
	full := stock.JarCount{Jar: j.Name, Count: capacity.Jars()}
	if capacity.Layers > 1 {
		return remark.Of(remark.CannerAssumed, full, capacity.Layers).In("layers"), true, nil
	}
	return remark.Of(remark.CannerAssumed, full).In("layer"), true, nil
}

// size is whether the canner holds the jars the tested process is meant for.
func (c *kitchenCheck) size() error {
	small, isSmall, err := c.TooSmall()
	if isSmall {
		c.doubtful(small)
	}
	return err
}

// heat is what is too warm, and what was noted or measured of the canner.
func (c *kitchenCheck) heat() error {
	if fridge := c.kitchen.Fridge; fridge != nil && *fridge > settle.WarmestFridge {
		c.doubtful(remark.Of(remark.FridgeTooWarm, settle.FridgePast(*fridge), settle.WarmestFridge).In("kitchen"))
	}
	if freezer := c.kitchen.Freezer; freezer != nil && stock.TooWarm(*freezer) {
		c.doubtful(remark.Of(remark.FreezerWarm, *freezer, stock.PublishedFreezer).In("kitchen"))
	}
	c.report.Warnings = append(c.report.Warnings, c.NotedShort()...)
	water := c.kitchen.Canner.Water
	if water == nil {
		return nil
	}
	if room := (canner.Vessel{Width: c.Canner.Width, Height: c.Canner.Height}).Room(nil); *water > room {
		return fault.New("canner.water", "measure what you put in before a load",
			"water of %s is more than the canner holds, %s", water.Both(c.Units), room.Both(c.Units))
	}
	return nil
}

// pots is the pots there are.
func (c *kitchenCheck) pots() {
	for _, pot := range c.kitchen.Pots {
		if pot.Volume == nil {
			c.missing(remark.Of(remark.PotOfKitchen, pot.Name).In("volume"))
			continue
		}
		width := remark.Of(remark.PotOfKitchen, kettle.PotWidth(*pot.Volume)).In("assumed")
		if pot.Width != nil {
			width = remark.Of(remark.PotOfKitchen, *pot.Width).In("wide")
		}
		name := pot.Name
		if name == "" {
			name = "the pot"
		}
		c.found(remark.Of(remark.PotOfKitchen, name, *pot.Volume, width).In("found"))
		if pot.Evaporation == nil {
			c.missing(remark.Of(remark.PotOfKitchen, name).In("boils-off"))
		}
	}
	if len(c.kitchen.Pots) == 0 {
		c.missing(remark.Of(remark.PotOfKitchen).In("missing"))
	}
}

// cold is the temperatures given, in both scales: 18 F for -18 C passes every range.
func (c *kitchenCheck) cold() {
	for _, cold := range []struct {
		code        string
		temperature *quantity.Temperature
	}{
		{remark.FridgeAssumed, c.kitchen.Fridge}, {remark.FreezerAssumed, c.kitchen.Freezer},
		{remark.TapAssumed, c.kitchen.Tap},
	} {
		if cold.temperature != nil {
			c.found(remark.Of(cold.code, *cold.temperature).In("found"))
		}
	}
}

// unsaid is what else a plan would assume.
func (c *kitchenCheck) unsaid() {
	counted := func(own runfile.OwnJar) bool { return own.OnHand != nil }
	if len(c.kitchen.Jars) == 0 && !slices.ContainsFunc(c.kitchen.OwnJars, counted) {
		c.missing(remark.Of(remark.JarsOfKitchen).In("missing"))
	}
	c.report.Missing = append(c.report.Missing, c.Assumption(remark.MouthAssumed, remark.CannerAssumed)...)
	for _, optional := range []struct {
		code  string
		given bool
	}{
		{remark.ZoneOfKitchen, c.kitchen.Zone != ""}, {remark.AwakeOfKitchen, c.kitchen.Awake != ""},
		{remark.BurnerOfKitchen, c.kitchen.Burner != nil}, {remark.FridgeAssumed, c.kitchen.Fridge != nil},
	} {
		if !optional.given {
			c.missing(remark.Of(optional.code).In("missing"))
		}
	}
}
