package settle

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/packing"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
)

// WarmestFridge is the warmest a fridge may be to hold broth: 41 °F (5 °C), FDA Food
// Code 3-501.16(A)(2).
var WarmestFridge = quantity.Fahrenheit(41)

// FridgePast is the temperature of a fridge that is too warm, as it is said.
func FridgePast(fridge quantity.Temperature) quantity.Past {
	return quantity.Past{Temperature: fridge, Limit: WarmestFridge}
}

// WarmestFreezer is the warmest freezer that broth freezes through in: 23 °F (-5 °C),
// from memory: unsalted broth begins to freeze at about -0.4 °C, and a twelfth of its
// water is still liquid at -5 °C.
var WarmestFreezer = quantity.Celsius(-5)

// TooSmall refuses a canner in which fewer quarts stand than the tested process is
// meant for; ok is false for one that is large enough. Her own count of quarts wins over the
// measures, unless the canner is lower than a quart. Where she counted only other
// jars and gave no width, the canner is taken to be as narrow as they allow. Whose
// quarts does not matter, so regular ones, the narrower, are stood in it.
func (h *House) TooSmall() (refusal remark.Note, ok bool, err error) {
	quart, err := jar.Find(string(process.Quart), jar.Regular)
	if err != nil {
		return remark.Note{}, false, fault.Of("jars", err, "")
	}
	can := h.Canner
	capacity, err := can.Capacity(ShapeOf(quart))
	narrow, isNarrow := fault.AsMisfit(err)
	if err != nil && !isNarrow {
		return remark.Note{}, false, fault.Of("canner", err, "")
	}
	stand, by := capacity.PerLayer, remark.Of(remark.CannerTooSmall, canner.MinimumQuarts).In("measured")
	counted, told := can.Holds[quart.Name]
	upright := can.Height >= quart.Height
	switch {
	case told && upright:
		stand, by.Case = counted, "counted"
	case told:
		stand = 0
	case err == nil && !h.WidthGiven && len(can.Holds) > 0:
		by.Case = "others"
		if stand, err = packing.Count(h.narrowest(), quart.PackDiameter); err != nil {
			return remark.Note{}, false, fault.Of("canner.holds", err, "")
		}
	}
	if stand >= canner.MinimumQuarts {
		return remark.Note{}, false, nil
	}
	instead := remark.Of(remark.CannerTooSmall).In("larger")
	if upright && !told {
		instead = remark.Of(remark.CannerTooSmall, canner.MinimumQuarts, h.withQuarts()).In("try")
	}
	why := remark.Note{}
	if isNarrow {
		why = remark.Of(remark.CannerTooSmall, strings.TrimPrefix(narrow.Reason, "canner ")).In("because")
	}
	return remark.Of(remark.CannerTooSmall, by, why, instead), true, nil
}

// narrowest is the least width of a canner in which as many jars stand as were
// counted.
func (h *House) narrowest() quantity.Length {
	var width quantity.Length
	for name, n := range h.Canner.Holds {
		j, err := h.Shelf.Find(name, jar.Regular)
		if err != nil {
			continue
		}
		if ratio, err := packing.RadiusRatio(n); err == nil {
			width = max(width, j.PackDiameter*quantity.Length(ratio))
		}
	}
	return width
}

// withQuarts is --holds as given, with the least quarts that do.
func (h *House) withQuarts() string {
	parts := []string{fmt.Sprintf("%s=%d", process.Quart, canner.MinimumQuarts)}
	for _, name := range slices.Sorted(maps.Keys(h.Counted)) {
		parts = append(parts, fmt.Sprintf("%s=%d", name, h.Counted[name]))
	}
	return strings.Join(parts, ",")
}

// NotedShort is of the noted times that are shorter than published, which are not used.
func (h *House) NotedShort() (notes []remark.Note) {
	codes := map[string]string{
		"heat_up": remark.HeatUpShort, "pressurise": remark.PressuriseShort, "depressurise": remark.DepressuriseShort,
	}
	for _, short := range h.Firing.Noted.TooShort(h.Firing.Vessel.Wall) {
		note := remark.Of(codes[short.Key], short.Noted, short.LeastFor)
		if short.QuartsOnly {
			note.Case = "quarts"
		}
		notes = append(notes, note)
	}
	return notes
}
