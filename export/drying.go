package export

import (
	"fmt"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// drying is how the leftover is freeze-dried; nothing on the other routes.
func drying(b stock.Batch) []row {
	d, u := b.Leftover.Drying, b.Units
	if d.Batches == 0 {
		return nil
	}
	trays := row{countTrays(d.Trays), "1 batch", fmt.Sprintf("%s deep; %s of ice", d.Depth.Both(u), d.Ice.Both(u))}
	if d.Batches > 1 {
		last := d.Loads[d.Batches-1]
		trays = row{countTrays(d.Trays), fmt.Sprintf("%d batches", d.Batches),
			fmt.Sprintf("%s deep; at most %s of ice at once; the last batch is %s on %s",
				d.Depth.Both(u), d.Ice.Both(u), last.Volume.Both(u), countTrays(last.Trays))}
	}
	each := ""
	if d.Batches > 1 {
		each = "a batch; "
	}
	packed := fmt.Sprintf("at most %d quart jars, one 300 cc oxygen absorber in each", d.Jars)
	if d.Jars == 1 {
		packed = "a quart jar, one 300 cc oxygen absorber in it"
	}
	return []row{
		trays,
		{"In the freezer", quantity.FormatSpan(d.PreFreeze),
			fmt.Sprintf("until solid, and until the dryer is free; %s of ice", d.Frozen.Both(u))},
		{"In the dryer", words.DryerHours(b.Leftover), each + "no data for broth, so a range; the one home run known took 46 h"},
		{"Powder", d.Powder.Both(u), quantity.Ends(d.PowderLow.Format(u), "to", d.PowderHigh.Format(u)) + "; " + packed},
		{"For a cup", fmt.Sprintf("%.0f g", d.Spoon.Grams.Grams()), fmt.Sprintf(
			"%s, %d to %d as the powder lies (from memory, no source): weigh it", plural(d.Spoon.Tablespoons, "tablespoon"),
			d.Spoon.Fewest, d.Spoon.Most)},
		{"Energy", fmt.Sprintf("over %.1f kWh", d.LeastEnergy.KilowattHours()),
			"to turn the ice to vapour; a real dryer takes several times that, no data"},
	}
}

func countTrays(n int) string {
	if n == 1 {
		return "1 tray"
	}
	return fmt.Sprintf("%d trays", n)
}

// useBy is until when what comes of the run keeps.
func useBy(plan timeline.Plan) []row {
	form := words.Form{Units: plan.Batch.Units}
	var rows []row
	for _, u := range plan.UseBy {
		rows = append(rows, row{strings.ToUpper(u.What[:1]) + u.What[1:], u.By.Format("Mon 2 Jan 2006"),
			words.UseBy(plan.Batch, u, form)})
	}
	return rows
}

// useByShort is the dates alone.
func useByShort(plan timeline.Plan) []row {
	label := "Use by"
	var rows []row
	for _, u := range plan.UseBy {
		rows = append(rows, row{label, u.By.Format("Mon 2 Jan 2006"), u.What})
		label = ""
	}
	return rows
}

type (
	// dryingPlanData is there when the freeze-drying was planned.
	dryingPlanData struct {
		Loads     []dryerBatchData `json:"dryer_batches"`
		PreFreeze bandData         `json:"pre_freeze_h"`
		Hours     bandData         `json:"dryer_h"`
		Powder    bandData         `json:"powder_band_g"`
		Frozen    float64          `json:"freezer_l"`
		Jars      int              `json:"powder_jars"`
		Absorbers int              `json:"oxygen_absorbers"`
		PerCup    float64          `json:"powder_per_cup_g"`
		Spoons    spoonsData       `json:"tablespoons_per_cup"`
		Energy    float64          `json:"energy_at_least_kwh"`
	}
	dryerBatchData struct {
		Trays  int     `json:"trays"`
		Volume float64 `json:"volume_l"`
		Ice    float64 `json:"ice_kg"`
	}
	spoonsData struct {
		Low    int `json:"low"`
		Likely int `json:"likely"`
		High   int `json:"high"`
	}
	useByData struct {
		What string `json:"what"`
		By   string `json:"by"`
		Why  string `json:"why"`
	}
)

func dryingPlanOf(b stock.Batch) *dryingPlanData {
	d := b.Leftover.Drying
	if d.Batches == 0 {
		return nil
	}
	hours := func(b quantity.Band[time.Duration]) bandData {
		return bandData{roundTo(b.Low.Hours(), 2), roundTo(b.Likely.Hours(), 2), roundTo(b.High.Hours(), 2)}
	}
	data := &dryingPlanData{
		PreFreeze: hours(d.PreFreeze), Hours: hours(d.PerBatch),
		Powder: bandData{roundTo(d.PowderLow.Grams(), 1), roundTo(d.Powder.Grams(), 1), roundTo(d.PowderHigh.Grams(), 1)},
		Frozen: litres(d.Frozen), Jars: d.Jars, Absorbers: d.Jars,
		PerCup: roundTo(d.Spoon.Grams.Grams(), 1), Spoons: spoonsData{d.Spoon.Fewest, d.Spoon.Tablespoons, d.Spoon.Most},
		Energy: roundTo(d.LeastEnergy.KilowattHours(), 2),
	}
	for _, load := range d.Loads {
		data.Loads = append(data.Loads, dryerBatchData{load.Trays, litres(load.Volume), roundTo(load.Ice.Kilograms(), 3)})
	}
	return data
}

// useByDates is nil for a plan that is not on the clock.
func useByDates(plan timeline.Plan) []useByData {
	form := words.Form{Units: plan.Batch.Units}
	var data []useByData
	for _, u := range plan.UseBy {
		data = append(data, useByData{u.What, u.By.Format("2006-01-02"), words.UseBy(plan.Batch, u, form)})
	}
	return data
}
