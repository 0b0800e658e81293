package quantity_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// NIST SP 811, appendix B.8: 1 mi/h is 0.447 04 m/s and 1 km/h 0.277 777 8 m/s.
func TestSpeed(t *testing.T) {
	for _, row := range []struct {
		text   string
		metres float64
		us, si string
	}{
		{"10 mph", 4.4704, "10 mph", "16 km/h"},
		{"15 km/h", 15 / 3.6, "9 mph", "15 km/h"},
		{"5 m/s", 5, "11 mph", "18 km/h"},
		{"0 mph", 0, "0 mph", "0 km/h"},
	} {
		got, err := quantity.ParseSpeed(row.text)
		require.NoError(t, err)
		assert.InDelta(t, row.metres, got.MetresPerSecond(), 1e-12, row.text)
		assert.Equal(t, row.us, got.Format(quantity.US))
		assert.Equal(t, row.si+" ("+row.us+")", got.Both(quantity.Metric))
	}
	assert.InDelta(t, 36, (10 * quantity.MetrePerSecond).KilometresPerHour(), 1e-12)
	assert.InDelta(t, 1, (0.44704 * quantity.MetrePerSecond).MilesPerHour(), 1e-12)
	for _, text := range []string{"10", "-3 mph", "ten mph", "10 kg", "NaN m/s"} {
		_, err := quantity.ParseSpeed(text)
		var unreadable *quantity.ParseError
		assert.ErrorAs(t, err, &unreadable, text)
	}
}
