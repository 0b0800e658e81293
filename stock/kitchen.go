package stock

import (
	"errors"
	"slices"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// KitchenReport is what a kitchen file gives a plan and what it leaves to be
// assumed.
type KitchenReport struct {
	Units    quantity.System
	Findings []Note // what it holds, Code a short subject such as "canner"
	Missing  []Note // what a plan would have to assume or ask for
	Warnings []Note
	// NoAltitude tells that a plan would have to be given the altitude.
	NoAltitude bool
}

// kitchenCheck fills in a report.
type kitchenCheck struct {
	Setup
	kitchen runfile.Kitchen
	report  KitchenReport
}

func (c *kitchenCheck) found(n Note)    { c.report.Findings = append(c.report.Findings, n) }
func (c *kitchenCheck) missing(n Note)  { c.report.Missing = append(c.report.Missing, n) }
func (c *kitchenCheck) doubtful(n Note) { c.report.Warnings = append(c.report.Warnings, n) }

// CheckKitchen judges a kitchen as far as that goes without a run: the settings
// its altitude and gauge ask for, the jars its canner holds, and what is missing.
// Values no plan could use are a *fault.Fault.
func CheckKitchen(kitchen runfile.Kitchen) (KitchenReport, error) {
	house, err := settleHouse(kitchen, "")
	if err != nil {
		return KitchenReport{}, err
	}
	c := kitchenCheck{Setup: Setup{House: house}, kitchen: kitchen, report: KitchenReport{Units: house.Units}}
	if err := inTurn(c.place, c.jars, c.size, c.heat); err != nil {
		return c.report, err
	}
	c.pots()
	c.cold()
	c.unsaid()
	return c.report, nil
}

// place is the altitude and the gauge, with the tested settings there.
func (c *kitchenCheck) place() error {
	// Any kind with a tested process will do.
	if err := c.settleKinds(runfile.Run{Kind: string(kinds[0].kind)}); err != nil {
		return err
	}
	if c.kitchen.Altitude == nil {
		c.report.NoAltitude = true
		c.missing(note(AltitudeOfKitchen).in("missing"))
	} else {
		if err := c.settlePlace(c.kitchen, runfile.Run{}); err != nil {
			return err
		}
		c.found(note(AltitudeOfKitchen, c.Altitude).in("found"))
		c.report.Warnings = append(c.report.Warnings, c.warnings...)
		if err := c.settings(); err != nil {
			return err
		}
	}
	if c.kitchen.Gauge == "" {
		c.missing(note(GaugeAssumed).in("missing"))
	}
	return nil
}

// settings finds the tested settings of the kitchen's altitude and gauge.
func (c *kitchenCheck) settings() error {
	answer, err := Process(ProcessQuery{Kind: c.Kind, Altitude: &c.Altitude, Gauge: c.kitchen.Gauge}, c.Units)
	if err != nil {
		return err
	}
	for _, setting := range answer.Settings {
		c.found(note(ProcessOfKitchen, setting.Jars, setting.Gauge, setting.Pressure, setting.Time))
	}
	for _, refusal := range answer.Refusals {
		c.found(note(RefusedInKitchen, refusal))
	}
	return nil
}

// jars is what one load may be, of the catalogue's jars and the cook's own.
func (c *kitchenCheck) jars() error {
	mouth, err := c.settleMouth("", c.kitchen.Mouth)
	if err != nil {
		return err
	}
	var names []string
	for _, size := range canned {
		names = append(names, string(size))
	}
	var loads []Note
	for _, name := range append(names, c.shelf.names()...) {
		load, stands, err := c.aLoadOf(name, mouth)
		if err != nil {
			return err
		}
		if stands {
			loads = append(loads, load)
		}
	}
	if len(loads) > 0 {
		c.found(note(CannerAssumed, loads).in("found"))
	}
	return nil
}

// aLoadOf is the clause of a full load of one jar; stands is false for a jar that is
// not canned or not in this canner.
func (c *kitchenCheck) aLoadOf(name string, mouth jar.Mouth) (load Note, stands bool, err error) {
	j, err := c.shelf.find(name, mouth)
	if err != nil {
		return Note{}, false, err
	}
	size, err := c.shelf.class(name)
	var refusal *process.Refusal
	switch {
	case errors.As(err, &refusal):
		c.doubtful(note(JarOfKitchen, name, refused(refusal)).in("refused"))
		return Note{}, false, nil
	case err != nil:
		return Note{}, false, err
	}
	if own, _, isOwn := c.shelf.measured(name); isOwn {
		fill, err := j.ColdFill(process.Headspace, quantity.Celsius(100))
		if err != nil {
			return Note{}, false, fault.Of(c.shelf.key(name), err, "")
		}
		onHand := Note{}
		if own.OnHand != nil {
			onHand = note(JarOfKitchen, *own.OnHand).in("on-hand")
		}
		c.found(note(JarOfKitchen, name, size, fill, onHand).in("found"))
	}
	capacity, err := c.Canner.Capacity(shapeOf(j))
	narrow, isNarrow := fault.AsMisfit(err)
	switch {
	case isNarrow:
		c.doubtful(note(CannerAssumed, narrow.Reason).in("narrow"))
		return Note{}, false, nil
	case err != nil:
		return Note{}, false, fault.Of("canner", err, "")
	case capacity.Layers > 1:
		return note(CannerAssumed, JarCount{j.Name, capacity.Jars()}, capacity.Layers).in("layers"), true, nil
	}
	return note(CannerAssumed, JarCount{j.Name, capacity.Jars()}).in("layer"), true, nil
}

// size is whether the canner holds the jars the tested process is meant for.
func (c *kitchenCheck) size() error {
	small, isSmall, err := c.tooSmall()
	if isSmall {
		c.doubtful(small)
	}
	return err
}

// heat is what is too warm, and what was noted or measured of the canner.
func (c *kitchenCheck) heat() error {
	if fridge := c.kitchen.Fridge; fridge != nil && *fridge > warmestFridge {
		c.doubtful(note(FridgeTooWarm, *fridge, warmestFridge).in("kitchen"))
	}
	if freezer := c.kitchen.Freezer; freezer != nil && tooWarm(*freezer) {
		c.doubtful(note(FreezerWarm, *freezer, publishedFreezer).in("kitchen"))
	}
	for _, short := range c.notedShort() {
		c.doubtful(tooShort(short))
	}
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
			c.missing(note(PotOfKitchen, pot.Name).in("volume"))
			continue
		}
		width := note(PotOfKitchen, kettle.PotWidth(*pot.Volume)).in("assumed")
		if pot.Width != nil {
			width = note(PotOfKitchen, *pot.Width).in("wide")
		}
		name := pot.Name
		if name == "" {
			name = "the pot"
		}
		c.found(note(PotOfKitchen, name, *pot.Volume, width).in("found"))
		if pot.Evaporation == nil {
			c.missing(note(PotOfKitchen, name).in("boils-off"))
		}
	}
	if len(c.kitchen.Pots) == 0 {
		c.missing(note(PotOfKitchen).in("missing"))
	}
}

// cold is the temperatures given, in both scales: 18 F for -18 C passes every range.
func (c *kitchenCheck) cold() {
	for _, cold := range []struct {
		code        string
		temperature *quantity.Temperature
	}{{FridgeAssumed, c.kitchen.Fridge}, {FreezerAssumed, c.kitchen.Freezer}, {TapAssumed, c.kitchen.Tap}} {
		if cold.temperature != nil {
			c.found(note(cold.code, *cold.temperature).in("found"))
		}
	}
}

// unsaid is what else a plan would assume.
func (c *kitchenCheck) unsaid() {
	counted := func(own runfile.OwnJar) bool { return own.OnHand != nil }
	if len(c.kitchen.Jars) == 0 && !slices.ContainsFunc(c.kitchen.OwnJars, counted) {
		c.missing(note(JarsOfKitchen).in("missing"))
	}
	c.report.Missing = append(c.report.Missing, c.assumption(MouthAssumed, CannerAssumed)...)
	for _, optional := range []struct {
		code  string
		given bool
	}{
		{ZoneOfKitchen, c.kitchen.Zone != ""}, {AwakeOfKitchen, c.kitchen.Awake != ""},
		{BurnerOfKitchen, c.kitchen.Burner != nil}, {FridgeAssumed, c.kitchen.Fridge != nil},
	} {
		if !optional.given {
			c.missing(note(optional.code).in("missing"))
		}
	}
}
