package packing

import (
	"fmt"
	"math"

	"brothrun/stock/quantity"
)

// Verify returns nil when every circle stands whole inside the container and no
// two overlap, and otherwise an error that names the circles and by how much. It
// shares no arithmetic with what finds the layouts. container and circles are
// diameters in the ranges of Mixed; at holds the centre of each circle. An
// overlap or protrusion of up to 1e-9 of the container's diameter is rounding,
// as in Count, and is forgiven.
func Verify(container quantity.Length, circles []quantity.Length, at []Point) error {
	if err := checkCircles(container, circles); err != nil {
		return err
	}
	if len(at) != len(circles) {
		return fmt.Errorf("%d points for %d circles: give one for each circle", len(at), len(circles))
	}
	wall := container.Metres() / 2
	tolerance := roundingSlack * container.Metres()
	for i, p := range at {
		x, y, r := p.X.Metres(), p.Y.Metres(), circles[i].Metres()/2
		// Negated comparisons: a point that is not a number is refused too.
		if out := math.Hypot(x, y) + r - wall; !(out <= tolerance) {
			return fmt.Errorf("circle %d stands %.3g m out of the container: it must be inside", i+1, out)
		}
		for j, q := range at[:i] {
			apart := math.Hypot(x-q.X.Metres(), y-q.Y.Metres())
			if overlap := r + circles[j].Metres()/2 - apart; !(overlap <= tolerance) {
				return fmt.Errorf("circles %d and %d overlap by %.3g m: they must stand apart", j+1, i+1, overlap)
			}
		}
	}
	return nil
}
