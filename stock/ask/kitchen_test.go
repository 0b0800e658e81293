package ask_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
)

func TestCheckKitchenJudgesNotedTimesAndWater(t *testing.T) {
	kitchen, _ := demo(t)
	kitchen.Canner.HeatUp, kitchen.Canner.Pressurise, kitchen.Canner.Depressurise = to(11*time.Minute), to(3*time.Minute), to(4*time.Minute)
	report, err := ask.CheckKitchen(kitchen)
	require.NoError(t, err)
	assert.Contains(t, codes(report.Warnings), "heat-up-short")
	assert.Contains(t, codes(report.Warnings), "depressurise-short")
	assert.NotContains(t, codes(report.Warnings), "pressurise-short")
	kitchen.Canner.Water = to(30 * quantity.Litre)
	_, err = ask.CheckKitchen(kitchen)
	var input *fault.Fault
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "canner.water", input.Key)
}

func TestOwnJarsInTheKitchenReport(t *testing.T) {
	kitchen, _ := demo(t)
	kitchen.Jars = nil
	kitchen.OwnJars = []runfile.OwnJar{own("tall", 17.2, 6), own("bucket", 40, 1)}
	report, err := ask.CheckKitchen(kitchen)
	require.NoError(t, err)
	i := slices.IndexFunc(report.Findings, func(n remark.Note) bool { return n.Code == remark.JarOfKitchen && n.Case == "found" })
	require.GreaterOrEqual(t, i, 0)
	found := report.Findings[i].Facts
	assert.Equal(t, []any{"tall", process.Quart}, found[:2])
	assert.Equal(t, remark.Of(remark.JarOfKitchen, 6).In("on-hand"), found[3])
	assert.Equal(t, []string{"jar"}, codes(report.Warnings), "the bucket is too large")
	assert.NotContains(t, codes(report.Missing), "jars")
}
