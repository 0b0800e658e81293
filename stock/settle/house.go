package settle

import (
	"brothrun/stock/canner"
	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/freezedry"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
)

// What is assumed when nobody says. Common practice, no source: each is printed
// with the plan so that the cook sees what to measure.
const (
	defaultCannerWidth  = 12.25 * quantity.Inch
	defaultCannerHeight = 10.5 * quantity.Inch
	defaultRacks        = 1
)

// House is a kitchen with every value typed and every default settled.
type House struct {
	Units quantity.System
	Shelf Shelf

	Gauge      process.Gauge
	GaugeNamed bool // otherwise weighted is assumed

	Canner canner.Canner
	// WidthGiven and HeightGiven tell a measured canner from an assumed one, and
	// Counted is the jars in a layer the cook counted under [canner].
	WidthGiven, HeightGiven bool
	Counted                 map[string]int
	Firing                  canner.Load // the canner's vessel, place, burner and noted times; its jars come with the load
	Burner                  quantity.Power
	Hob                     string

	Around   chill.Surroundings // what broth may be cooled against, outdoors apart
	TapGiven bool
	Freezer  *quantity.Temperature // as the cook gave it; nil: not known
	// FridgeRoom and FreezerRoom are what broth may take of them, and FreezerSize all of the
	// freezer; nil: not known. Lids are the new ones on hand, by mouth.
	FridgeRoom, FreezerRoom, FreezerSize *quantity.Volume
	Lids                                 map[string]int

	Dryer    freezedry.Dryer
	HasDryer bool

	assumed []remark.Note // in the order they were settled
}

// Kitchen reads a kitchen. gauge is the run's, and comes before the kitchen's.
func Kitchen(kitchen runfile.Kitchen, gauge string) (House, error) {
	h := House{Shelf: Shelf{own: kitchen.OwnJars, onHand: kitchen.Jars}, Hob: kitchen.Hob, Burner: valueOf(kitchen.Burner)}
	if kitchen.Units != "" {
		units, err := quantity.ParseSystem(kitchen.Units)
		if err != nil {
			return h, fault.Of("units", err, "write us or metric")
		}
		h.Units = units
	}
	if gauge == "" {
		gauge = kitchen.Gauge
	}
	h.Gauge = process.Weighted
	if gauge != "" {
		named, err := process.ParseGauge(gauge)
		if err != nil {
			return h, fault.Of("gauge", err, "")
		}
		h.Gauge, h.GaugeNamed = named, true
	}
	h.settleCanner(kitchen)
	h.settleDryer(kitchen.FreezeDryer)
	err := h.settleCold(kitchen)
	return h, err
}

func (h *House) assume(note remark.Note) { h.assumed = append(h.assumed, note) }

// Assumption is what was assumed under some codes, in their order.
func (h *House) Assumption(codes ...string) []remark.Note {
	var notes []remark.Note
	for _, code := range codes {
		notes = append(notes, remark.Noted(h.assumed, code)...)
	}
	return notes
}

// settleCanner reads the canner and what heats it.
func (h *House) settleCanner(kitchen runfile.Kitchen) {
	given := kitchen.Canner
	h.Counted = given.Holds
	h.Canner = canner.Canner{Width: defaultCannerWidth, Height: defaultCannerHeight,
		RackThickness: valueOf(given.RackThickness), Racks: defaultRacks, Holds: h.Shelf.holds(given.Holds)}
	h.WidthGiven, h.HeightGiven = given.Width != nil, given.Height != nil
	var missing []remark.Note
	if h.WidthGiven {
		h.Canner.Width = *given.Width
	} else if len(given.Holds) == 0 {
		missing = append(missing, remark.Of(remark.CannerAssumed, h.Canner.Width).In("width"))
	}
	if h.HeightGiven {
		h.Canner.Height = *given.Height
	} else {
		missing = append(missing, remark.Of(remark.CannerAssumed, h.Canner.Height).In("height"))
	}
	if given.Racks != 0 {
		h.Canner.Racks = given.Racks
	} else {
		missing = append(missing, remark.Of(remark.CannerAssumed).In("rack"))
	}
	if len(missing) > 0 {
		h.assume(remark.Of(remark.CannerAssumed, missing))
	}
	h.Firing = canner.Load{
		Vessel: canner.Vessel{Width: h.Canner.Width, Height: h.Canner.Height, Mass: valueOf(given.Mass),
			Wall: canner.Wall(given.Wall), Water: valueOf(given.Water)},
		Place:  canner.Place{Outdoors: given.Outdoors != "", Air: valueOf(given.Air)},
		Burner: canner.Burner{Rating: h.Burner, Share: kettle.HobShare(h.Hob)},
		Noted: canner.Noted{HeatUp: valueOf(given.HeatUp), Pressurise: valueOf(given.Pressurise),
			Depressurise: valueOf(given.Depressurise)},
	}
}

// settleCold reads the fridge, the freezer and the tap.
func (h *House) settleCold(kitchen runfile.Kitchen) error {
	h.Around = chill.DefaultSurroundings()
	h.FridgeRoom, h.FreezerRoom, h.FreezerSize = kitchen.FridgeRoom, kitchen.FreezerRoom, kitchen.FreezerSize
	h.Lids = kitchen.Lids
	if kitchen.Fridge != nil {
		h.Around.Fridge = *kitchen.Fridge
	} else {
		h.assume(remark.Of(remark.FridgeAssumed, h.Around.Fridge))
	}
	if h.Freezer = kitchen.Freezer; h.Freezer != nil {
		h.Around.Freezer = *h.Freezer
		if h.Around.Freezer > WarmestFreezer {
			return fault.New("freezer", "turn it down and read a thermometer in it, or leave the temperature out",
				"a freezer at %s does not freeze broth through: must be %s or colder",
				quantity.Past{Temperature: *h.Freezer, Limit: WarmestFreezer}.Both(h.Units), WarmestFreezer.Both(h.Units))
		}
	}
	if h.TapGiven = kitchen.Tap != nil; h.TapGiven {
		h.Around.Tap = *kitchen.Tap
	}
	return nil
}

// settleDryer reads the freeze dryer.
func (h *House) settleDryer(given runfile.FreezeDryer) {
	h.HasDryer = given.Trays > 0 || given.TrayLength != nil || given.Capacity != nil || len(given.Bookings) > 0
	h.Dryer = freezedry.DefaultDryer()
	if given.Trays != 0 {
		h.Dryer.Trays = given.Trays
	}
	if given.TrayLength != nil && given.TrayWidth != nil {
		h.Dryer.TrayLength, h.Dryer.TrayWidth, h.Dryer.Assumed = *given.TrayLength, *given.TrayWidth, false
	}
	if given.FillDepth != nil {
		h.Dryer.FillDepth = *given.FillDepth
	}
	h.Dryer.Capacity = valueOf(given.Capacity)
	if !h.HasDryer {
		h.assume(remark.Of(remark.DryerAssumed, h.Dryer.Trays, h.Dryer.TrayLength, h.Dryer.TrayWidth, h.Dryer.FillDepth))
	}
}

// SettleMouth reads the mouth of the catalogue's jars: the run's, or else the
// kitchen's.
func (h *House) SettleMouth(ofRun, ofKitchen string) (jar.Mouth, error) {
	key, text := "mouth", ofRun
	if text == "" {
		key, text = "jars.mouth", ofKitchen
	}
	if text == "" {
		h.assume(remark.Of(remark.MouthAssumed))
		return jar.Regular, nil
	}
	mouth, err := jar.ParseMouth(text)
	if err != nil {
		return "", fault.Of(key, err, "")
	}
	return mouth, nil
}
