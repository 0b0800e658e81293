package timeline_test

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// testedRow is a row of process_stock.csv: the USDA Complete Guide to Home Canning,
// Guide 5.
type testedRow struct {
	gauge    string
	over, to quantity.Length
	psi      float64
	minutes  map[string]int // by size
}

func testedTable(t *testing.T) []testedRow {
	t.Helper()
	file, err := os.Open("../testdata/published/process_stock.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	lines, err := reader.ReadAll()
	require.NoError(t, err)
	var table []testedRow
	for _, line := range lines[1:] {
		var n [7]float64
		for i := range n {
			n[i], err = strconv.ParseFloat(line[i+1], 64)
			require.NoError(t, err)
		}
		table = append(table, testedRow{line[0], quantity.Length(n[0]) * quantity.Foot, quantity.Length(n[1]) * quantity.Foot, n[2],
			map[string]int{"half-pint": int(n[3]), "pint": int(n[4]), "pint-and-half": int(n[5]), "quart": int(n[6])}})
	}
	return table
}

// draw makes any kitchen and run, sensible or not.
type draw struct{ *rand.Rand }

func (d draw) between(low, high float64) float64 { return low + d.Float64()*(high-low) }
func (d draw) oneIn(n int) bool                  { return d.IntN(n) == 0 }
func (d draw) pick(all ...string) string         { return all[d.IntN(len(all))] }

func given[T any](value T) *T { return &value }

// tested is every kind with a tested process, by the same guide: chicken, turkey or
// beef and nothing else. The strained stock of whole birds is that of their kind.
func tested(kind string) bool {
	kind = strings.TrimPrefix(kind, "whole-")
	return strings.HasPrefix(kind, "chicken") || strings.HasPrefix(kind, "turkey") || strings.HasPrefix(kind, "beef")
}

func (d draw) kitchenAndRun() (runfile.Kitchen, runfile.Run) {
	volume := quantity.Volume(math.Exp(d.between(math.Log(2), math.Log(170)))) * quantity.Quart
	kitchen := runfile.Kitchen{
		Altitude: given(quantity.Length(d.between(-300, 12500)) * quantity.Foot),
		Gauge:    d.pick("", "weighted", "dial"),
		Pots:     []runfile.Pot{{Name: "pot", Volume: &volume, Unattended: d.oneIn(3)}},
	}
	run := runfile.Run{
		Simmer: given(time.Duration(math.Exp(d.between(math.Log(10), math.Log(72*60)))) * time.Minute),
		Lid:    d.pick("", "on", "ajar", "off"), TopUp: d.pick("", "never", "level"),
		Jars:   d.pick("", "quart", "pint", "half-pint", "pint-and-half,pint", "quart=3,pint", "quart=7,pint=12", "half-gallon,quart", "crock,quart", "quart=1"),
		Mouth:  d.pick("", "regular", "wide"),
		Prefer: d.pick("", "jars", "loads", "leftover"), Mix: d.oneIn(4),
		Route: d.pick("", "freeze-dry", "freezer", "fridge"),
	}
	if d.oneIn(2) {
		run.Chill = string(chill.Methods()[d.IntN(len(chill.Methods()))])
		run.Outdoors = given(quantity.Fahrenheit(d.between(-20, 60)))
	}
	kinds := settle.Kinds()
	mass := func() *quantity.Mass {
		return given(quantity.Mass(d.between(0.02, 0.5)*volume.Quarts()) * quantity.Pound)
	}
	for n := 1 + d.IntN(12)/10; n > 0; n-- {
		run.Portions = append(run.Portions, runfile.Portion{Kind: string(kinds[d.IntN(len(kinds))]), Weight: mass()})
	}
	if len(run.Portions) == 1 {
		run.Kind, run.Bones, run.Portions = run.Portions[0].Kind, run.Portions[0].Weight, nil
	}
	if d.oneIn(3) {
		run.Vegetables = mass()
	}
	if d.oneIn(6) {
		run.Counted = []runfile.VegetableCount{{Count: 1 + d.IntN(12), Name: "onion"}, {Count: 1 + d.IntN(12), Name: "carrot"}}
	}
	if d.oneIn(2) {
		run.Water = given(volume * quantity.Volume(d.between(0.02, 0.95)))
	}
	if d.oneIn(3) {
		kitchen.Pots[0].Evaporation = given(quantity.VolumeRate(d.between(0.02, 3)) * quantity.QuartPerHour)
	}
	if d.oneIn(3) {
		kitchen.Fridge = given(quantity.Fahrenheit(d.between(30, 60)))
		kitchen.Freezer = given(quantity.Fahrenheit(d.between(-20, 23)))
	}
	if d.oneIn(2) {
		kitchen.Canner.Width, kitchen.Canner.Height = given(quantity.Length(d.between(6, 16))*quantity.Inch), given(quantity.Length(d.between(6, 20))*quantity.Inch)
		kitchen.Canner.Racks = d.IntN(4)
	}
	if d.oneIn(4) {
		kitchen.Canner.Holds = map[string]int{"quart": d.IntN(9), "pint": d.IntN(12)}
	}
	if d.oneIn(4) {
		kitchen.OwnJars = []runfile.OwnJar{{Name: "crock", Brimful: given(quantity.Volume(d.between(200, 1400)) * quantity.Millilitre),
			Bore: given(7 * quantity.Centimetre), Diameter: given(11 * quantity.Centimetre), Height: given(18 * quantity.Centimetre)}}
	}
	if d.oneIn(4) {
		kitchen.Burner = given(quantity.Power(d.between(0.8, 8)) * quantity.Kilowatt)
	}
	return kitchen, run
}

// TestWhatMayNeverHappen draws 20,000 kitchens and runs and asks of each plan, and of
// one in ten on the clock, that nothing in it can hurt anybody.
func TestWhatMayNeverHappen(t *testing.T) {
	table := testedTable(t)
	d := draw{rand.New(rand.NewPCG(1988, 11))}
	refused, canned := map[string]int{}, 0
	for n := range 20000 {
		kitchen, run := d.kitchenAndRun()
		setup, err := settle.Run(kitchen, run)
		var b stock.Batch
		if err == nil {
			b, err = stock.Plan(setup)
		}
		if err != nil {
			var input *fault.Fault
			require.ErrorAs(t, err, &input, "%d: %v", n, err)
			continue
		}
		for _, note := range b.Refusals {
			refused[note.Code]++
		}
		what := drawn{n, run, kitchen}
		nothingNegative(t, what, reflect.ValueOf(b), "Batch")
		if len(b.Loads) > 0 {
			canned++
			mayBeCanned(t, what, kitchen, run, b, table)
		}
		if b.EndsAtStraining() {
			require.Zero(t, b.Leftover.Route, what)
		} else {
			filled := b.Leftover.Volume.Likely
			for _, j := range b.Jars {
				filled += quantity.Volume(j.Count) * j.Fill
			}
			require.InDelta(t, b.Yield.ReadyToFill.Likely.Litres(), filled.Litres(), 1e-6, "jars and leftover are all there is: %s", what)
		}
		if n%10 == 0 {
			keepsItsDates(t, what, b)
		}
		if t.Failed() {
			return
		}
	}
	t.Logf("%d canned; refused: %v", canned, refused)
	assert.Greater(t, canned, 1000, "the draw is no use where nothing is canned")
	for _, code := range []string{"no-tested-process", "mostly-vegetables", "canner-too-small", "reduced-too-far", remark.UnattendedCode, remark.ChillTooSlow, remark.FridgeTooWarm} {
		assert.Greater(t, refused[code], 100, code)
	}
}

// mayBeCanned asserts that loads are of broth that may be canned, at no less than the
// tested pressure and time, in a canner the times are for.
func mayBeCanned(t *testing.T, what drawn, kitchen runfile.Kitchen, run runfile.Run, b stock.Batch, table []testedRow) {
	t.Helper()
	portions := run.Portions
	if run.Kind != "" {
		portions = []runfile.Portion{{Kind: run.Kind, Weight: run.Bones}}
	}
	var bones, vegetables quantity.Mass
	if run.Vegetables != nil {
		vegetables = *run.Vegetables
	}
	for _, counted := range run.Counted { // the most one may weigh: testdata/published/whole_birds.csv
		vegetables += quantity.Mass(counted.Count) * map[string]quantity.Mass{"onion": 230, "carrot": 110}[counted.Name] * quantity.Gram
	}
	for _, portion := range portions {
		if portion.Kind == "vegetable" {
			vegetables += *portion.Weight
			continue
		}
		bones += *portion.Weight
		require.True(t, tested(portion.Kind), "no tested process: %s", what)
	}
	require.LessOrEqual(t, vegetables, bones, "mostly vegetables: %s", what)
	require.False(t, b.Refused(), what)
	require.NotEqual(t, "fail", b.Chill.Verdict, what)
	require.True(t, b.Chill.Passes, what)
	if kitchen.Fridge != nil {
		require.LessOrEqual(t, kitchen.Fridge.Fahrenheit(), 41+1e-9, what)
	}
	// A pot boiled down below half of its water, ice stirred in counted as water poured
	// back (own cut-off, no source).
	y := b.Yield
	require.LessOrEqual(t, y.Evaporated-y.ToppedUp-y.IceMelted, y.Water/2+quantity.Millilitre, "reduced too far: %s", what)

	// A canner for the tested times holds 4 quarts standing (USDA Complete Guide to Home
	// Canning, Guide 1).
	if counted, is := kitchen.Canner.Holds["quart"]; is {
		require.GreaterOrEqual(t, counted, 4, what)
	} else if kitchen.Canner.Width != nil {
		// Regular and wide quarts; a canner for neither is too small.
		fits := slices.ContainsFunc([]jar.Mouth{jar.Regular, jar.Wide}, func(mouth jar.Mouth) bool {
			quart, err := jar.Find("quart", mouth)
			require.NoError(t, err)
			can := canner.Canner{Width: *kitchen.Canner.Width, Height: *kitchen.Canner.Height, Racks: 1}
			capacity, err := can.Capacity(canner.Shape{Name: "quart", Diameter: quart.PackDiameter, Height: quart.Height})
			return err == nil && capacity.PerLayer >= 4
		})
		require.True(t, fits, "too small a canner: %s", what)
	}

	gauge := kitchen.Gauge
	if gauge == "" {
		gauge = string(b.Gauge)
	}
	for _, load := range b.Loads {
		require.NotEmpty(t, load.Jars(), what)
		row := slices.IndexFunc(table, func(r testedRow) bool {
			return r.gauge == gauge && b.Altitude > r.over && b.Altitude <= r.to || r.gauge == gauge && r.over < 0 && b.Altitude <= r.to
		})
		require.GreaterOrEqual(t, row, 0, "no tested setting at this altitude: %s", what)
		require.GreaterOrEqual(t, load.Pressure.PSI(), table[row].psi-1e-9, what)
		for _, layer := range load.Layers {
			for _, j := range layer.Jars {
				least, known := table[row].minutes[j.Jar]
				if own, is := kitchen.OwnJar(j.Jar); is {
					// To the brim a quart holds a little over its name: 0.95 to 1.0 l
					// (testdata/published/jars.csv). Above it nothing is tested.
					require.LessOrEqual(t, own.Brimful.Litres(), 1.05, what)
					if least, known = 20, true; own.Brimful.Litres() > 0.55 {
						least = 25
					}
				}
				require.True(t, known, "a jar without a tested time: %s", what)
				require.GreaterOrEqual(t, load.Process, time.Duration(least)*time.Minute, what)
				require.GreaterOrEqual(t, load.Cycle.Process.Low, load.Process, what)
			}
		}
		require.GreaterOrEqual(t, load.Cycle.Vent.Low, 10*time.Minute, "vent 10 min: %s", what)
	}
}

// signed are the quantities of a batch that may be below zero.
var signed = []string{"Batch.Altitude"}

// drawn tells a run that fails.
type drawn struct {
	n       int
	run     runfile.Run
	kitchen runfile.Kitchen
}

func (d drawn) String() string {
	run, _ := json.Marshal(d.run)
	kitchen, _ := json.Marshal(d.kitchen)
	return fmt.Sprintf("run %d: %s in %s", d.n, run, kitchen)
}

// nothingNegative asserts that no quantity or span anywhere in a value is negative or
// not a number. Temperatures are above absolute zero by their type.
func nothingNegative(t *testing.T, what drawn, v reflect.Value, path string) {
	t.Helper()
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			nothingNegative(t, what, v.Elem(), path)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			nothingNegative(t, what, v.Field(i), path+"."+v.Type().Field(i).Name)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			nothingNegative(t, what, v.Index(i), path)
		}
	case reflect.Float64:
		if !slices.Contains(signed, path) && !(v.Float() >= 0 && !math.IsInf(v.Float(), 1)) {
			require.Failf(t, "a negative quantity", "%s is %v: %s", path, v.Float(), what)
		}
	case reflect.Int, reflect.Int64:
		if v.Int() < 0 {
			require.Failf(t, "a negative span or count", "%s is %v: %s", path, v.Int(), what)
		}
	}
}

// keepsItsDates asserts that a plan on the clock keeps broth no longer than published:
// testdata/published/holding_limits.csv and the dates of stock.HoldingOf.
func keepsItsDates(t *testing.T, what drawn, b stock.Batch) {
	t.Helper()
	denver := zone(t, "America/Denver")
	plan, err := alone(timeline.Run{Batch: b, ID: "any", When: timeline.When{Start: at(t, "2026-11-28 06:00", denver)}},
		timeline.Calendar{Location: denver, Awake: timeline.Hours{From: 0, Until: 24 * time.Hour}})
	var unfit *timeline.Unfit
	if errors.As(err, &unfit) {
		return
	}
	require.NoError(t, err, what)
	steps := map[string]timeline.Step{}
	for _, s := range plan.Steps {
		steps[s.ID] = s
	}
	if b.EndsAtStraining() {
		require.Equal(t, "strain", plan.Steps[len(plan.Steps)-1].ID, what)
		require.Empty(t, plan.UseBy, what)
		return
	}
	strained := steps["strain"].End
	const day = 24 * time.Hour
	for id, s := range steps {
		if id == "skim" || id == "leftover" || strings.HasPrefix(id, "reheat") {
			require.LessOrEqual(t, s.Start.Sub(strained), 3*day, "%s, cold broth keeps 3 days: %s", id, what)
		}
	}
	if pick, is := steps["pick"]; is {
		require.LessOrEqual(t, pick.Start.Sub(strained), 3*day, what)
		if !pick.Cold {
			require.LessOrEqual(t, pick.Start.Add(pick.Span.High).Sub(strained), 2*time.Hour, "meat out of the fridge: %s", what)
		}
	}
	require.Equal(t, steps["strain"].End, steps["chill"].Start, "chilling starts at once: %s", what)
	for _, u := range plan.UseBy {
		holding, known := stock.HoldingOf(u.What)
		if !known {
			continue
		}
		from := strained
		switch u.What {
		case stock.Canned:
			from = steps["unload-1"].End
		case stock.Frozen:
			from = steps["leftover"].End
		case stock.Powder:
			from = steps["dry-check-1"].End
		}
		limit := from.AddDate(holding.Least.Years, holding.Least.Months, holding.Least.Days+1)
		require.True(t, u.By.Before(limit), "%s by %s, from %s: %s", u.What, u.By, from, what)
	}
}
