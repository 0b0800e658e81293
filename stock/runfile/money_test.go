package runfile_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/runfile"
)

func TestPrices(t *testing.T) {
	got, err := kitchen("[prices]\nrack = 30\nfuel = 0.15\nhour = 0\nruns_per_year = 12\n")
	require.NoError(t, err)
	money := func(m runfile.Money) *runfile.Money { return &m }
	assert.Equal(t, runfile.Prices{Rack: money(30), Fuel: money(0.15), Hour: money(0), RunsPerYear: 12}, got.Prices)

	for _, text := range []string{"-1", "1e7", "1000000.01", "nan", "inf", "-inf", `"30"`, "true"} {
		_, err := kitchen("[prices]\nrack = " + text)
		var e *runfile.Error
		if assert.ErrorAs(t, err, &e, text) {
			assert.Contains(t, e.Error(), "kitchen.toml:2: prices.rack: must be a plain number from 0 to 1000000, not ", text)
			assert.Equal(t, "write rack = 30", e.Hint)
		}
	}
	for _, text := range []string{"0", "367", "-3", "1.5", `"12"`} {
		_, err := kitchen("[prices]\nruns_per_year = " + text)
		assert.ErrorContains(t, err, "kitchen.toml:2: prices.runs_per_year: must be a whole number from 1 to 366", text)
	}
}

func TestParseMoney(t *testing.T) {
	for text, want := range map[string]runfile.Money{"0": 0, "30": 30, " 0.15 ": 0.15, ".5": 0.5, "1000000": 1e6} {
		got, err := runfile.ParseMoney(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "-1", "+1", "1e3", "NaN", "Inf", "-Inf", "0x10", "1_000", "1,50", "$3", "3 EUR", "1000000.5", "1.2.3", "."} {
		_, err := runfile.ParseMoney(text)
		assert.ErrorContains(t, err, "is not a price: a plain number from 0 to 1000000", text)
	}
	for _, text := range []string{"", "0", "-1", "367", "1.5", "twelve", "1e2", "99999999999"} {
		_, err := runfile.ParseRunsPerYear(text)
		assert.ErrorContains(t, err, "a whole number from 1 to 366", text)
	}
	n, err := runfile.ParseRunsPerYear("12")
	require.NoError(t, err)
	assert.Equal(t, 12, n)
}
