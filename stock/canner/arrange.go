package canner

import (
	"fmt"

	"brothrun/stock/fault"
	"brothrun/stock/packing"
	"brothrun/stock/quantity"
)

// Arrange returns where the jars of one layer stand: the centre of each, in the
// order of layer, from the middle of the canner. ok is false when no arrangement
// is known that keeps the canner's clearance; for jars of several diameters that
// means none was found, not that there is none. Holds does not matter here: a
// count that geometry cannot place is not placed. Height does not matter either.
//
// c and the shapes must be in the ranges of their fields, and layer of 1 to
// packing.Most jars; other values are a *fault.Fault. Every arrangement returned
// has been looked over by packing.Verify: no jar stands in another or in the
// wall.
func Arrange(c Canner, layer []Shape) (at []packing.Point, ok bool, err error) {
	if n := len(layer); n < 1 || n > packing.Most {
		return nil, false, fault.New("canner.holds", "", "%d jars in a layer: must be from 1 to %d", n, packing.Most)
	}
	c.Holds = nil
	circles := make([]quantity.Length, len(layer))
	equal := true
	for i, s := range layer {
		if err := c.check(s); err != nil {
			return nil, false, err
		}
		circles[i] = s.Diameter
		equal = equal && s.Diameter == circles[0]
	}
	room := c.Width - c.Gap()
	if equal {
		at, ok, err = packing.Equal(room, circles[0], len(circles))
	} else {
		at, ok, err = packing.Mixed(room, circles)
	}
	if err != nil || !ok {
		return nil, false, err
	}
	if err := packing.Verify(room, circles, at); err != nil {
		return nil, false, fmt.Errorf("an arrangement of %d jars in %s does not hold: %w", len(layer), measured(room), err)
	}
	return at, true, nil
}

// Gap is the clearance that is kept: the canner's own, DefaultClearance where it
// gives none, 0 where it asks for none.
func (c Canner) Gap() quantity.Length {
	if c.Clearance == 0 {
		return DefaultClearance
	}
	return max(c.Clearance, 0)
}
