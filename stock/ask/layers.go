package ask

import (
	"reflect"
	"slices"

	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/settle"
)

// Layout returns the distinct layers of each distinct load of batch, which must
// be what Plan made of setup: first loads first, lowest racks first.
// It is nil when there is no load, as when canning is refused.
//
// Jars the cook counted into a layer stand without clearance where they do not
// with it; where they do not even so, the layer has no Spots. Errors are
// *fault.Fault and those of packing.
func Layout(setup settle.Setup, batch stock.Batch) ([]stock.LayerDrawing, error) {
	can := setup.Canner
	shapes := map[string]canner.Shape{}
	for _, count := range batch.Jars {
		shape, err := setup.Shape(count.Jar)
		if err != nil {
			return nil, err
		}
		shapes[count.Jar] = shape
	}

	var drawings []stock.LayerDrawing
	for i, load := range batch.Loads {
		alike := func(other stock.Load) bool { return reflect.DeepEqual(load.Layers, other.Layers) }
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
			same := slices.IndexFunc(drawings[first:],
				func(d stock.LayerDrawing) bool { return slices.Equal(d.Jars, layer.Jars) })
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
func draw(can canner.Canner, shapes map[string]canner.Shape, layer stock.Layer) (stock.LayerDrawing, error) {
	drawing := stock.LayerDrawing{Racks: []int{layer.Rack}, Jars: layer.Jars, Width: can.Width, Clearance: can.Gap()}
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
		drawing.Spots = append(drawing.Spots, stock.Spot{Jar: standing[i].Name, Diameter: standing[i].Diameter, At: point})
	}
	return drawing, nil
}
