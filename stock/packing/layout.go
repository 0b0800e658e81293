package packing

import (
	"cmp"
	_ "embed"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"brothrun/stock/quantity"
)

// Point is where the centre of a circle stands; the centre of the container is
// the origin.
type Point struct{ X, Y quantity.Length }

// place is the centre of a circle of radius 1.
type place struct{ x, y float64 }

// places are the centres of 1 to Most circles of radius 1, found by the solver of
// this package, outermost first: TestGenerate writes them.
//
//go:embed places.csv
var places string

// known is what has been read of places.
var known [Most]struct {
	once sync.Once
	at   []place
	err  error
}

// placesOf reads the places of n circles, from 1 to Most, when they are first asked for.
func placesOf(n int) ([]place, error) {
	row := &known[n-1]
	row.once.Do(func() { row.at, row.err = readPlaces(places, n) })
	return row.at, row.err
}

// readPlaces finds the places of n circles in a table: rows of a number of circles and
// the x and y of one of them, after a heading.
func readPlaces(table string, n int) ([]place, error) {
	of := strconv.Itoa(n) + ","
	start := strings.Index(table, "\n"+of)
	rows := table[start+1:]
	var at []place
	for strings.HasPrefix(rows, of) {
		var row string
		row, rows, _ = strings.Cut(rows, "\n")
		x, y, _ := strings.Cut(row[len(of):], ",")
		var p place
		var errX, errY error
		p.x, errX = strconv.ParseFloat(x, 64)
		p.y, errY = strconv.ParseFloat(y, 64)
		if err := cmp.Or(errX, errY); err != nil {
			return nil, fmt.Errorf("places of %d circles: %w", n, err)
		}
		at = append(at, p)
	}
	if len(at) != n {
		return nil, fmt.Errorf("places of %d circles: there are %d", n, len(at))
	}
	return at, nil
}

// Equal returns where n equal circles stand in a container, outermost first, and
// whether they fit, which is when Count counts n or more. What room is left over
// is shared out: circles stand as far from the wall as from one another.
// container and circle are diameters, more than 0 m and less than 1,000,000 m; n
// must be from 1 to Most; other values are an error. No clearance is kept: take
// it off the container first. Every layout has passed Verify.
//
// Accuracy: the layouts are our own, found by the solver of Mixed; none is more
// than 1e-12 wider than the best known but that of 53, which is 1.1e-7 wider. In
// that hair, 30 nanometres of a canner, Count counts 53 and Equal finds none.
func Equal(container, circle quantity.Length, n int) ([]Point, bool, error) {
	if _, err := RadiusRatio(n); err != nil {
		return nil, false, err
	}
	most, err := Count(container, circle)
	if err != nil || most < n {
		return nil, false, err
	}
	at, err := placesOf(n)
	if err != nil {
		return nil, false, err
	}
	reach := 0.0
	for _, p := range at {
		reach = max(reach, math.Hypot(p.x, p.y))
	}
	// Of circles that touch, the distances grow by the factor that leaves the same
	// gap everywhere; in a container too small by a rounding they still touch.
	spread := max(1, (float64(container/circle)+1)/(reach+2))
	scale := quantity.Length(spread/2) * circle
	points, circles := make([]Point, n), make([]quantity.Length, n)
	for i, p := range at {
		points[i] = Point{quantity.Length(p.x) * scale, quantity.Length(p.y) * scale}
		circles[i] = circle
	}
	return verified(container, circles, points)
}

// Mixed returns where circles of several diameters stand in a container, in the
// order of circles, and whether a layout was found. container and circles are
// diameters, more than 0 m and less than 1,000,000 m, 1 to Most circles; other
// values are an error. No clearance is kept: take it off the container first.
// Every layout has passed Verify, and what room is left over is shared out.
//
// Not found means that bounds rule it out or that the search ended in vain; the
// tightest layouts may be missed. The search ends after a fixed amount of work
// and draws from a fixed seed, so one program always answers the same, and what
// fits in one container fits in every wider one; on another kind of processor a
// rounding may differ, and with it a layout. Equal circles, and circles that
// stand where as many of the widest do, are answered by Equal.
func Mixed(container quantity.Length, circles []quantity.Length) ([]Point, bool, error) {
	if err := checkCircles(container, circles); err != nil {
		return nil, false, err
	}
	// Widest first: whether they fit must not depend on the order asked in.
	order := make([]int, len(circles))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(circles[b], circles[a]) })
	sorted := make([]quantity.Length, len(circles))
	for i, from := range order {
		sorted[i] = circles[from]
	}
	points, found, err := mixed(container, sorted)
	if err != nil || !found {
		return nil, false, err
	}
	at := make([]Point, len(points))
	for i, from := range order {
		at[from] = points[i]
	}
	return at, true, nil
}

func mixed(container quantity.Length, widestFirst []quantity.Length) ([]Point, bool, error) {
	widest, narrowest := widestFirst[0], widestFirst[len(widestFirst)-1]
	if !mayFit(container, widestFirst) {
		return nil, false, nil
	}
	if points, found, err := Equal(container, widest, len(widestFirst)); found || err != nil || widest == narrowest {
		return points, found, err
	}
	return solve(container, widestFirst)
}

// solve asks the solver and nothing else.
func solve(container quantity.Length, widestFirst []quantity.Length) ([]Point, bool, error) {
	radii := make([]float64, len(widestFirst))
	for i, d := range widestFirst {
		radii[i] = d.Metres() / 2
	}
	wall := container.Metres() / 2
	at := search(radii, wall, budget)
	if at == nil {
		return nil, false, nil
	}
	at = spread(radii, wall, at)
	points := make([]Point, len(widestFirst))
	for i := range points {
		points[i] = Point{quantity.Length(at[2*i]) * quantity.Metre, quantity.Length(at[2*i+1]) * quantity.Metre}
	}
	return verified(container, widestFirst, points)
}

// mayFit reports whether simple bounds leave a chance: the area, the two widest
// side by side, and for every k the k widest, which need the room of k circles as
// wide as the narrowest of them.
func mayFit(container quantity.Length, widestFirst []quantity.Length) bool {
	room := float64(container) * (1 + roundingSlack)
	area := 0.0
	for i, d := range widestFirst {
		area += float64(d) * float64(d)
		if area > room*room || float64(d)*ratios[i] > room {
			return false
		}
	}
	return len(widestFirst) < 2 || float64(widestFirst[0]+widestFirst[1]) <= room
}

// verified lets no layout out that Verify refuses.
func verified(container quantity.Length, circles []quantity.Length, at []Point) ([]Point, bool, error) {
	if Verify(container, circles, at) != nil {
		return nil, false, nil
	}
	return at, true, nil
}

func checkCircles(container quantity.Length, circles []quantity.Length) error {
	if err := checkDiameter("container", container); err != nil {
		return err
	}
	if len(circles) < 1 || len(circles) > Most {
		return fmt.Errorf("number of circles %d is out of range: must be from 1 to %d", len(circles), Most)
	}
	for i, d := range circles {
		if err := checkDiameter(fmt.Sprintf("circle %d", i+1), d); err != nil {
			return err
		}
	}
	return nil
}
