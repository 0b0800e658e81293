package words_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"brothrun/export/words"
	"brothrun/stock/quantity"
)

func TestAMetricKitchenReadsMetricFirst(t *testing.T) {
	for us, metric := range map[string]string{
		"70 °F (21 °C) within 2 h":                        "21 °C (70 °F) within 2 h",
		"at 50 to 70 °F (10 to 21 °C), at -4 °F (-20 °C)": "at 10 to 21 °C (50 to 70 °F), at -20 °C (-4 °F)",
		"each 1,000 ft (305 m).":                          "each 305 m (1,000 ft).",
		"21 °C (70 °F)":                                   "21 °C (70 °F)",
		"10 min (from memory)":                            "10 min (from memory)",
		"2 in (two)":                                      "2 in (two)",
	} {
		assert.Equal(t, metric, words.Form{Units: quantity.Metric}.Order(us))
		assert.Equal(t, us, words.Form{}.Order(us))
	}
}
