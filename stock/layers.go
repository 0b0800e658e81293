package stock

import (
	"reflect"
	"slices"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/packing"
	"brothrun/stock/quantity"
)

// LayerDrawing is one layer of a canner load, seen from above.
type LayerDrawing struct {
	Loads []int // the loads that stack up like this, by number
	Racks []int // the racks of each that carry this layer; 1 is the lowest
	Jars  []JarCount

	Width        quantity.Length // of the canner, inside
	WidthAssumed bool            // nobody measured Width
	Clearance    quantity.Length // that the arrangement keeps off Width
	// Spots is where each jar stands; empty when no arrangement of so many jars is
	// known, because the cook counted more than geometry places (Counted) or none
	// was found.
	Spots   []Spot
	Counted bool // how many jars stand in a layer is by the cook's count
}

// Spot is one jar in a layer.
type Spot struct {
	Jar      string
	Diameter quantity.Length
	At       packing.Point // of its centre, from the middle of the canner
}

// Layout returns the distinct layers of each distinct load of batch, which must
// be what Plan made of setup: first loads first, lowest racks first.
// It is nil when there is no load, as when canning is refused.
//
// Jars the cook counted into a layer stand without clearance where they do not
// with it; where they do not even so, the layer has no Spots. Errors are
// *fault.Fault and those of packing.
func Layout(setup Setup, batch Batch) ([]LayerDrawing, error) {
	can := setup.Canner
	shapes, err := setup.shapes(batch.Jars)
	if err != nil {
		return nil, err
	}

	var drawings []LayerDrawing
	for i, load := range batch.Loads {
		alike := func(other Load) bool { return reflect.DeepEqual(load.Layers, other.Layers) }
		if slices.IndexFunc(batch.Loads, alike) < i {
			continue
		}
		var numbers []int
		for _, other := range batch.Loads {
			if alike(other) {
				numbers = append(numbers, other.Number)
			}
		}
		first := len(drawings)
		for _, layer := range load.Layers {
			same := slices.IndexFunc(drawings[first:], func(d LayerDrawing) bool { return slices.Equal(d.Jars, layer.Jars) })
			if same >= 0 {
				drawing := &drawings[first+same]
				drawing.Racks = append(drawing.Racks, layer.Rack)
				continue
			}
			drawing, err := draw(can, shapes, layer)
			if err != nil {
				return nil, err
			}
			drawing.Loads, drawing.WidthAssumed = numbers, !setup.WidthGiven
			drawings = append(drawings, drawing)
		}
	}
	return drawings, nil
}

// draw places the jars of one layer.
func draw(can canner.Canner, shapes map[string]canner.Shape, layer Layer) (LayerDrawing, error) {
	drawing := LayerDrawing{Racks: []int{layer.Rack}, Jars: layer.Jars, Width: can.Width, Clearance: can.Gap()}
	var standing []canner.Shape
	for _, j := range layer.Jars {
		shape, known := shapes[j.Jar]
		if !known {
			return drawing, fault.New("jars", "", "the load holds %ss, which the plan does not fill", j.Jar)
		}
		if _, counted := can.Holds[j.Jar]; counted {
			drawing.Counted = true
		}
		for range j.Count {
			standing = append(standing, shape)
		}
	}
	at, ok, err := canner.Arrange(can, standing)
	if err == nil && !ok && drawing.Counted {
		can.Clearance = -1 * quantity.Inch // none
		if at, ok, err = canner.Arrange(can, standing); ok {
			drawing.Clearance = 0
		}
	}
	if err != nil {
		return drawing, fault.Of("canner", err, "")
	}
	for i, point := range at {
		drawing.Spots = append(drawing.Spots, Spot{standing[i].Name, standing[i].Diameter, point})
	}
	return drawing, nil
}

// shapes is what the jars to fill are to the canner, by name.
func (h *House) shapes(jars []JarsToFill) (map[string]canner.Shape, error) {
	shapes := map[string]canner.Shape{}
	for _, count := range jars {
		shape, err := h.shelf.shape(count.Jar, jar.Mouth(count.Mouth))
		if err != nil {
			return nil, err
		}
		shapes[count.Jar] = shape
	}
	return shapes, nil
}

// checkHolds says where the cook's count of jars in a layer and a measured canner
// contradict each other: more than geometry places at no clearance, or two fewer
// than it places with clearance. One fewer is a stiff rack or a thick jar. Of a canner
// nobody measured a usual one is thought: half as many again may be a count of the
// whole canner (common practice, no source).
// The count is planned with all the same.
func (p *planner) checkHolds(can canner.Canner) error {
	shapes, err := p.shapes(p.batch.Jars)
	if err != nil {
		return err
	}
	for _, j := range p.batch.Jars {
		counted, given := can.Holds[j.Jar]
		if !given {
			continue
		}
		diameter := shapes[j.Jar].Diameter
		most, err := packing.Count(can.Width, diameter)
		if err != nil {
			return fault.Of("canner", err, "")
		}
		roomy, err := packing.Count(can.Width-can.Gap(), diameter)
		if err != nil {
			return fault.Of("canner", err, "")
		}
		switch {
		case !p.WidthGiven && 2*counted > 3*most:
			p.warn(note(HoldsGeometry, JarCount{j.Jar, counted}, most, diameter, can.Width).in("unmeasured"))
		case !p.WidthGiven:
		case counted > most && most < packing.Most:
			p.warn(note(HoldsGeometry, JarCount{j.Jar, counted}, most, diameter, can.Width))
		case counted <= roomy-2:
			p.warn(note(HoldsGeometry, JarCount{j.Jar, counted}, roomy, diameter, can.Width).in("few"))
		}
	}
	return nil
}
