package quantity

import "time"

// VolumeBand is an uncertain volume: it is below Low one time in ten, as often
// below as above Likely, and above High one time in ten.
type VolumeBand struct{ Low, Likely, High Volume }

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
