package quantity

import (
	"slices"
	"time"
)

// VolumeBand is an uncertain volume: it is below Low one time in ten, as often
// below as above Likely, and above High one time in ten.
type VolumeBand struct{ Low, Likely, High Volume }

// BandOf returns the band of a sample of equally likely outcomes around its
// likely value: its 10 and 90 % points, read between outcomes, widened where
// likely lies outside them. The sample must not be empty; its order is changed.
func BandOf(sample []Volume, likely Volume) VolumeBand {
	// Selecting a place leaves nothing smaller after it, so the second search
	// only looks at what follows the first.
	searched := 0
	at := func(share float64) Volume {
		position := share * float64(len(sample)-1)
		i := int(position)
		low := smallest(sample[searched:], i-searched)
		searched = i
		if i+1 == len(sample) {
			return low
		}
		return low + Volume(position-float64(i))*(slices.Min(sample[i+1:])-low)
	}
	low := at(0.1)
	return VolumeBand{Low: min(low, likely), Likely: likely, High: max(at(0.9), likely)}
}

// smallest returns the element that would stand at place k if v were sorted, and
// leaves none smaller after it: Hoare's selection, several times faster than
// sorting.
func smallest(v []Volume, k int) Volume {
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

// DurationBand is an uncertain time span, read like a VolumeBand.
type DurationBand struct{ Low, Likely, High time.Duration }

// Plus returns the span of doing one thing after the other. Adding the ends
// assumes the two go long together, so the band is on the wide side.
func (b DurationBand) Plus(c DurationBand) DurationBand {
	return DurationBand{b.Low + c.Low, b.Likely + c.Likely, b.High + c.High}
}

// Exactly returns the band of a span known without spread.
func Exactly(d time.Duration) DurationBand { return DurationBand{d, d, d} }

// Format writes the span for a cook: "25 min", or "12 min to 15 min" when it
// is uncertain.
func (b DurationBand) Format() string {
	if b.Low == b.High {
		return FormatDuration(b.Likely)
	}
	return FormatDuration(b.Low) + " to " + FormatDuration(b.High)
}
