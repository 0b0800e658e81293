package runfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Money is an amount in the cook's own currency, whatever that is.
type Money float64

// mostMoney is the largest price that is taken for one: a rack of a million is a
// slip in any currency but the weakest; common practice, no source.
const mostMoney Money = 1e6

// mostRuns is the most runs a year: one a day; common practice, no source.
const mostRuns = 366

// Prices is what a rack, heat and the cook's time are worth. What is not given
// is nil or zero.
type Prices struct {
	Rack        *Money // one more rack, 0 to 1,000,000
	Fuel        *Money // a kWh the burner takes in, the same range
	Hour        *Money // an hour somebody has to be there, the same range
	RunsPerYear int    // 1 to 366
}

// ParseMoney reads a plain decimal number from 0 to 1,000,000, such as "30" or
// "0.15". Signs, exponents, currency signs and commas are errors.
func ParseMoney(text string) (Money, error) {
	digits := strings.TrimSpace(text)
	amount, err := strconv.ParseFloat(digits, 64)
	if err != nil || strings.Trim(digits, "0123456789.") != "" || !Money(amount).sensible() {
		return 0, fmt.Errorf("%q is not a price: a plain number from 0 to 1000000 in your own currency, such as 30 or 0.15", clip(text))
	}
	return Money(amount), nil
}

// ParseRunsPerYear reads a whole number from 1 to 366.
func ParseRunsPerYear(text string) (int, error) {
	n, err := strconv.ParseUint(strings.TrimSpace(text), 10, 16)
	if err != nil || n < 1 || n > mostRuns {
		return 0, fmt.Errorf("%q is not a number of runs a year: a whole number from 1 to %d", clip(text), mostRuns)
	}
	return int(n), nil
}

func (m Money) sensible() bool { return m >= 0 && m <= mostMoney && !math.IsNaN(float64(m)) }

// price sets a plain number.
func price(at func(*Kitchen) **Money) func(*Kitchen, value) error {
	return func(k *Kitchen, v value) error {
		wrong := &problem{reason: fmt.Sprintf("must be a plain number from 0 to 1000000, not %s", v.describe())}
		if v.kind != unstable.Integer && v.kind != unstable.Float {
			return wrong
		}
		text := strings.ReplaceAll(v.text, "_", "")
		amount, err := strconv.ParseFloat(text, 64)
		if whole, wholeErr := strconv.ParseInt(text, 0, 64); err != nil && wholeErr == nil {
			amount, err = float64(whole), nil // hexadecimal and the like
		}
		if m := Money(amount); err != nil || !m.sensible() {
			return wrong
		} else {
			*at(k) = &m
		}
		return nil
	}
}
