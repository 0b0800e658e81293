// Package packing says how many circles fit in a circle, and where they stand: the
// jars in one layer of a canner.
//
// Source: E. Specht, "The best known packings of equal circles in a circle",
// table of radii; n ≤ 50 also in E. G. Birgin and J. M. Gentil, 2009, table 1.
// Proven best for n ≤ 13 and 19; closed forms exist for n = 2 to 9, 11, 13, 18
// and 19.
package packing

import (
	"fmt"

	"brothrun/stock/quantity"
)

// Most is the largest number of circles the table knows.
const Most = len(ratios)

// ratios is the best known radius of the circle that holds n unit circles, n
// from 1.
var ratios = [...]float64{
	1.0, 2.0, 2.154700538379251529, 2.414213562373095048,
	2.701301616704079864, 3.0, 3.0, 3.304764870962486505,
	3.613125929752753055, 3.813025631398124398, 3.923804400163087252, 4.029601930116183497,
	4.236067977499789696, 4.328428554860836681, 4.521356964706164240, 4.615425594873193985,
	4.792033748310579170, 4.863703305156273146, 4.863703305156273146, 5.122320736991528321,
	5.252317475010242291, 5.439718959072213455, 5.545204222574858268, 5.651661091765436767,
	5.752824330857115354, 5.828176536942949392, 5.906397847394154544, 6.014938097371512176,
	6.138597903978145687, 6.197741070879226025, 6.291502622129181181, 6.429462970950113571,
	6.486703123560433338, 6.610957090001002849, 6.697171091790244208, 6.746753793424175428,
	6.758770483143633536, 6.961886965228148700, 7.057884162624004241, 7.123846435943124841,
	7.2600123286770462, 7.346796406942768682, 7.419944856341210953, 7.498036682995248392,
	7.572912326367521535, 7.650179914693667746, 7.7241700525980185, 7.791271430558667590,
	7.886870958802864618, 7.947515274783510745, 8.027506952419189091, 8.084717190689882980,
	8.179582826841068319, 8.203982383469337192, 8.211102550927978586, 8.383529922578957291,
	8.447184653410428255, 8.524553770139606958, 8.592499959370071760, 8.646219845457919384,
	8.661297575540388669,
}

// RadiusRatio returns the radius of the smallest circle known to hold n equal
// circles, over theirs. It never falls as n rises. n must be from 1 to Most;
// other values are an error. Accuracy: that of a float64; a better packing may
// yet be found where none is proven best.
func RadiusRatio(n int) (float64, error) {
	if n < 1 || n > Most {
		return 0, fmt.Errorf("number of circles %d is out of range: must be from 1 to %d", n, Most)
	}
	return ratios[n-1], nil
}

// roundingSlack is how much too small the container may be, as a share of it,
// and still hold the circles: it forgives the rounding of inches to metres. On a
// canner it is a third of a nanometre, far below any machining; the spread of
// the conversions is below 1e-15.
const roundingSlack = 1e-9

// Count returns how many circles of one diameter are known to fit in a container
// of another: 0 when not even one does, and Most when the table ends there,
// though more may fit. container and circle are diameters, more than 0 m and
// less than 1,000,000 m; other values are an error. No clearance is kept: take
// it off the container first. A container too small by 1e-9 of its width still
// counts, so exactly three circles wide holds seven.
func Count(container, circle quantity.Length) (int, error) {
	if err := checkDiameter("container", container); err != nil {
		return 0, err
	}
	if err := checkDiameter("circle", circle); err != nil {
		return 0, err
	}
	ratio := float64(container/circle) * (1 + roundingSlack)
	n := 0
	for n < Most && ratios[n] <= ratio {
		n++
	}
	return n, nil
}

func checkDiameter(of string, d quantity.Length) error {
	if metres := d.Metres(); !(metres > 0 && metres < 1e6) {
		return fmt.Errorf("%s diameter %.6g m is out of range: must be more than 0 m and less than 1,000,000 m", of, metres)
	}
	return nil
}
