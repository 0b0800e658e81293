package quantity

import (
	"slices"
	"strings"
	"time"
)

// Band is an uncertain quantity: it is below Low one time in ten, as often below as
// above Likely, and above High one time in ten.
type Band[Q ~float64 | ~int64] struct{ Low, Likely, High Q }

// Of returns the band from low by likely to high.
func Of[Q ~float64 | ~int64](low, likely, high Q) Band[Q] { return Band[Q]{low, likely, high} }

// Spread returns the band of a plain number.
func Spread(low, likely, high float64) Band[float64] { return Of(low, likely, high) }

// Plus returns the band of both together. Adding the ends assumes that the two go
// high together, so it is on the wide side.
func (b Band[Q]) Plus(c Band[Q]) Band[Q] {
	return Band[Q]{b.Low + c.Low, b.Likely + c.Likely, b.High + c.High}
}

// Times returns the band of so many, a share of one included.
func (b Band[Q]) Times(n float64) Band[Q] {
	times := func(q Q) Q { return Q(n * float64(q)) }
	return Band[Q]{times(b.Low), times(b.Likely), times(b.High)}
}

// Exactly returns the band of what is known without spread.
func Exactly[Q ~float64 | ~int64](q Q) Band[Q] { return Band[Q]{q, q, q} }

// BandOf returns the band of a sample of equally likely outcomes around its
// likely value: its 10 and 90 % points, read between outcomes, widened where
// likely lies outside them. The sample must not be empty; its order is changed.
func BandOf[Q ~float64](sample []Q, likely Q) Band[Q] {
	low := Below(sample, 0.1)
	return Band[Q]{Low: min(low, likely), Likely: likely, High: max(Below(sample, 0.9), likely)}
}

// Below returns what a share (0 to 1) of a sample of equally likely outcomes lies below,
// read between outcomes. The sample must not be empty; its order is changed.
func Below[Q ~float64](sample []Q, share float64) Q {
	position := share * float64(len(sample)-1)
	i := int(position)
	low := smallest(sample, i)
	if i+1 == len(sample) {
		return low
	}
	return low + Q(position-float64(i))*(slices.Min(sample[i+1:])-low)
}

// smallest returns the element that would stand at place k if v were sorted, and
// leaves none smaller after it: Hoare's selection, several times faster than
// sorting.
func smallest[Q ~float64](v []Q, k int) Q {
	low, high := 0, len(v)-1
	for low < high {
		pivot := v[low+(high-low)/2]
		i, j := low, high
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for pivot < v[j] {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return v[k]
		}
	}
	return v[k]
}

// FormatSpan writes a time span for a cook: "25 min", or "12 to 15 min" when it is
// uncertain.
func FormatSpan(b Band[time.Duration]) string {
	if b.Low == b.High {
		return FormatDuration(b.Likely)
	}
	return Ends(FormatDuration(b.Low), "to", FormatDuration(b.High))
}

// Ends writes the ends of a span, the unit once where both have it: "24 to 55 min",
// "45 min to 1 h 20 min"; with "and" between them, "12.2 and 14.3 qt".
func Ends(low, between, high string) string {
	number, unit, _ := strings.Cut(low, " ")
	_, same, _ := strings.Cut(high, " ")
	if !strings.Contains(unit, " ") && (unit == same || unit+"s" == same) {
		low = number
	}
	return low + " " + between + " " + high
}

// SpanBoth writes a span in s and, in brackets, in the other system: "2 to 3 in (5.1
// to 7.6 cm)".
func SpanBoth[Q interface {
	~float64 | ~int64
	Format(System) string
}](b Band[Q], s System) string {
	return both(func(s System) string { return Ends(b.Low.Format(s), "to", b.High.Format(s)) }, s)
}
