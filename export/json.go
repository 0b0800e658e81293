package export

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"time"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/thaw"
	"brothrun/timeline"
)

// Schema is the version of the keys JSON writes. A key once written keeps its
// name and meaning under the same number; new ones may be added.
const Schema = 1

// JSON writes plan for scripts: litres to a tenth of a millilitre, minutes to a
// tenth, times in RFC 3339 with offset, lists empty rather than null. A time
// that never comes is null; a part the plan does not have is absent. Spans and
// volumes without a band are the likely ones; hours in the dryer are those of
// one of its batches. It is an error when a figure is not finite; other errors
// are those of w.
func JSON(w io.Writer, plan timeline.Plan) error {
	return encode(w, dataOf(plan))
}

// encode writes data as every JSON of the house: indented, a name as it is given.
func encode(w io.Writer, data any) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(data); err != nil {
		return fmt.Errorf("json: %w", err)
	}
	return nil
}

// JSONList writes several plans as one object: schema, and plans as JSON writes
// each. Errors are those of JSON.
func JSONList(w io.Writer, plans []timeline.Plan) error {
	list := struct {
		Schema int        `json:"schema"`
		Plans  []planData `json:"plans"`
	}{Schema, []planData{}}
	for _, plan := range plans {
		list.Plans = append(list.Plans, dataOf(plan))
	}
	return encode(w, list)
}

type (
	planData struct {
		Schema int        `json:"schema"`
		Run    runData    `json:"run"`
		Yield  yieldData  `json:"yield"`
		Jars   []jarData  `json:"jars"`
		Loads  []loadData `json:"loads"`
		// Chances is the chance of each number of loads, and SmallLast that the
		// last one falls below a sensible load.
		Chances   map[string]float64 `json:"loads_chance,omitempty"`
		SmallLast float64            `json:"small_last_load_chance"`
		Rivals    []rivalData        `json:"rivals,omitzero"`
		Chill     *chillData         `json:"chill,omitempty"`
		Leftover  *leftoverData      `json:"leftover,omitempty"`
		Meat      *bandData          `json:"meat_kg,omitempty"` // picked off whole birds
		Levers    []leverData        `json:"levers,omitzero"`
		Thaw      *thawData          `json:"thaw,omitempty"` // absent: nobody said that anything is frozen
		Before    []beforeData       `json:"before,omitzero"`
		Choices   []choiceData       `json:"choices,omitempty"`
		Unfit     string             `json:"unfit,omitempty"` // why there are no steps
		Steps     []stepData         `json:"steps"`
		UseBy     []useByData        `json:"use_by,omitzero"`
		Assumed   []noteData         `json:"assumed"`
		Warnings  []noteData         `json:"warnings"`
		Refusals  []noteData         `json:"refusals"`
		Cautions  []string           `json:"cautions"`
	}
	runData struct {
		ID       string  `json:"id"`
		Revision int     `json:"revision"`
		Name     string  `json:"name"`
		Kind     string  `json:"kind"`
		Birds    int     `json:"birds,omitempty"` // whole ones, where they were counted
		Zone     string  `json:"zone"`
		Altitude float64 `json:"altitude_m"`
		Gauge    string  `json:"gauge"`
		AsOf     string  `json:"as_of,omitempty"` // when the last note is from
	}
	yieldData struct {
		Water        float64  `json:"water_l"`
		GivenOff     float64  `json:"given_off_l"`
		Evaporated   float64  `json:"evaporated_l"`
		ToppedUp     float64  `json:"topped_up_l"`
		HeldBySolids float64  `json:"held_by_solids_l"`
		IceMelted    float64  `json:"ice_melted_l,omitempty"` // stirred in to chill it
		Strained     bandData `json:"strained_l"`
		Fat          float64  `json:"fat_l"`
		Lost         float64  `json:"lost_l"`
		ReadyToFill  bandData `json:"ready_to_fill_l"`
		// Causes is the share of the spread by input, largest first; those under
		// 1 % are left out.
		Causes []causeData `json:"spread_from"`
		Rests  *restsData  `json:"rests_on,omitempty"` // absent: the first guess alone
	}
	restsData struct {
		Notes int     `json:"notes"`
		Alike int     `json:"notes_of_this_pot_and_lid"`
		Width float64 `json:"band_over_first_guess"` // of the logarithms
	}
	thawData struct {
		Method  string    `json:"method"`
		Package float64   `json:"package_kg"`
		Hours   *bandData `json:"hours,omitempty"` // absent: it does not thaw before the pot
	}
	// beforeData is what is asked before the run begins: on a day, or at an instant.
	beforeData struct {
		ID   string `json:"id"`
		On   string `json:"on,omitempty"`
		At   string `json:"at,omitempty"`
		Text string `json:"text"`
	}
	causeData struct {
		Input string  `json:"input"`
		Share float64 `json:"share"`
	}
	bandData struct {
		Low    float64 `json:"low"`
		Likely float64 `json:"likely"`
		High   float64 `json:"high"`
	}
	jarData struct {
		Jar   string  `json:"jar"`
		Mouth string  `json:"mouth"`
		Count int     `json:"count"`
		Low   int     `json:"low"`
		High  int     `json:"high"`
		Wash  int     `json:"wash"`
		Fill  float64 `json:"fill_l"`
	}
	loadData struct {
		Number   int         `json:"number"`
		Process  float64     `json:"process_min"`
		Pressure float64     `json:"pressure_psi"`
		Gauge    string      `json:"gauge"`
		Layers   []layerData `json:"layers"`
		Minutes  cycleData   `json:"minutes"`
		Fuel     bandData    `json:"fuel_kwh"`
		Water    bandData    `json:"canner_water_left_l"`
		// Other is there when nobody named the gauge: what the other one needs.
		Other *otherGaugeData `json:"other_gauge,omitempty"`
	}
	otherGaugeData struct {
		Gauge    string   `json:"gauge"`
		Pressure *float64 `json:"pressure_psi"` // null: none is tested at this altitude
	}
	layerData struct {
		Rack int            `json:"rack"`
		Jars []jarCountData `json:"jars"`
	}
	jarCountData struct {
		Jar   string `json:"jar"`
		Count int    `json:"count"`
	}
	cycleData struct {
		HeatUp       float64 `json:"heat_up"`
		Vent         float64 `json:"vent"`
		Pressurise   float64 `json:"pressurise"`
		Process      float64 `json:"process"`
		Depressurise float64 `json:"depressurise"`
		Wait         float64 `json:"wait"`
		Total        float64 `json:"total"`
	}
	chillData struct {
		Method  string   `json:"method"`
		To70F   *float64 `json:"to_70f_min"`
		To41F   *float64 `json:"to_41f_min"`
		Passes  bool     `json:"passes"`
		Verdict string   `json:"verdict"`
		Ice     float64  `json:"ice_kg"` // what melts, likely
		ToHave  float64  `json:"ice_to_have_kg"`
	}
	// dryingData is there for the freeze-dry route only.
	leftoverData struct {
		Volume float64  `json:"volume_l"`
		Band   bandData `json:"volume_band_l"`
		Route  string   `json:"route"`
		Flat   bool     `json:"frozen_flat,omitempty"` // to dry with a later batch
		*dryingData
		*dryingPlanData
	}
	dryingData struct {
		Trays   int     `json:"trays"`
		Batches int     `json:"batches"`
		Hours   float64 `json:"hours"`
		Powder  float64 `json:"powder_g"`
	}
	stepData struct {
		ID    string   `json:"id"`
		Title string   `json:"title"`
		Start string   `json:"start"`
		End   string   `json:"end"`
		Kind  string   `json:"kind"`
		Needs []string `json:"needs"`
		// Earliest and Latest are when it starts if all before it runs short or long.
		Earliest string `json:"earliest,omitempty"`
		Latest   string `json:"latest,omitempty"`
		Why      string `json:"why,omitempty"`
		// State is empty of a step to come: "begun", "ended", "skipped". Of a run with
		// notes Planned is where it stood before them.
		State        string `json:"state,omitempty"`
		PlannedStart string `json:"planned_start,omitempty"`
		PlannedEnd   string `json:"planned_end,omitempty"`
	}
	noteData struct {
		Code string `json:"code"`
		Text string `json:"text"`
	}
)

func dataOf(plan timeline.Plan) planData {
	batch := plan.Batch
	form := words.Form{Units: batch.Units, Flags: true}
	zone := ""
	if plan.Location != nil {
		zone = plan.Location.String()
	}
	data := planData{
		Schema: Schema,
		Run: runData{
			ID: plan.RunID, Revision: plan.Revision, Name: batch.Name, Kind: string(batch.Kind), Birds: batch.Birds,
			Zone: zone, Altitude: roundTo(batch.Altitude.Metres(), 2), Gauge: string(batch.Gauge),
			AsOf: instant(plan.AsOf),
		},
		Yield:    yieldDataOf(batch.Yield),
		Jars:     []jarData{},
		Loads:    []loadData{},
		Rivals:   rivalsData(batch.Rivals),
		Levers:   leversData(batch.Levers),
		Thaw:     thawOf(batch.Thaw),
		Before:   beforeOf(plan, form),
		Choices:  choicesData(plan.Choices),
		Steps:    []stepData{},
		UseBy:    useByDates(plan),
		Assumed:  notesData(form, batch.Assumed),
		Warnings: notesData(form, batch.Warnings, plan.Warnings),
		Refusals: notesData(form, batch.Refusals),
		Cautions: []string{},
	}
	if plan.Unfit != nil {
		data.Unfit = words.Unfit(plan.Unfit, form)
	}
	for _, caution := range batch.Cautions {
		data.Cautions = append(data.Cautions, words.Note(caution, form))
	}
	for _, jar := range batch.Jars {
		data.Jars = append(data.Jars, jarData{jar.Jar, jar.Mouth, jar.Count, jar.Low, jar.High, jar.Wash, litres(jar.Fill)})
	}
	if len(batch.Loads) > 0 {
		data.Chances = map[string]float64{}
		for n, share := range batch.LoadChance {
			if share > 0 {
				data.Chances[fmt.Sprint(n)] = roundTo(share, 3)
			}
		}
		data.SmallLast = roundTo(batch.SmallLastLoadChance, 3)
	}
	for _, load := range batch.Loads {
		data.Loads = append(data.Loads, loadDataOf(load, batch.OtherGauge))
	}
	if chill := batch.Chill; chill.Method != "" {
		data.Chill = &chillData{string(chill.Method), reachMinutes(chill.To70F), reachMinutes(chill.To41F), chill.Passes,
			string(chill.Verdict), roundTo(chill.Ice.Kilograms(), 3), roundTo(chill.IceToHave.Kilograms(), 3)}
	}
	if left := batch.Leftover; left.Route != "" {
		data.Leftover = &leftoverData{Volume: litres(left.Volume.Likely), Band: litreBand(left.Volume),
			Route: string(left.Route), Flat: left.Flat}
		if left.Batches > 0 {
			data.Leftover.dryingPlanData = dryingPlanOf(batch)
			data.Leftover.dryingData = &dryingData{left.Trays, left.Batches, roundTo(left.Hours.Likely.Hours(), 2),
				roundTo(left.Powder.Grams(), 1)}
		}
	}
	if batch.Picked() {
		kilograms := func(m quantity.Mass) float64 { return roundTo(m.Kilograms(), 3) }
		data.Meat = &bandData{kilograms(batch.Meat.Low), kilograms(batch.Meat.Likely), kilograms(batch.Meat.High)}
	}
	for _, step := range plan.Steps {
		needs := []string{}
		for _, need := range step.Needs {
			needs = append(needs, string(need))
		}
		data.Steps = append(data.Steps, stepData{
			step.ID, words.Title(plan, step, form), step.Start.Format(time.RFC3339), step.End.Format(time.RFC3339),
			string(step.Kind), needs, instant(step.Earliest), instant(step.Latest), words.Why(step.Why, form),
			words.State(step.State), instant(step.Planned.From), instant(step.Planned.To),
		})
	}
	return data
}

func yieldDataOf(y stock.Yield) yieldData {
	return yieldData{
		Water:        litres(y.Water),
		GivenOff:     litres(y.GivenOff),
		Evaporated:   litres(y.Evaporated),
		ToppedUp:     litres(y.ToppedUp),
		HeldBySolids: litres(y.HeldBySolids),
		IceMelted:    litres(y.IceMelted),
		Strained:     litreBand(y.Strained),
		Fat:          litres(y.Fat),
		Lost:         litres(y.Lost),
		ReadyToFill:  litreBand(y.ReadyToFill),
		Causes:       causesData(y.Causes),
		Rests:        restsOn(y.Rests),
	}
}

// instant writes a time that may not be known.
func instant(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}

func loadDataOf(load stock.Load, other *stock.OtherGauge) loadData {
	cycle := load.Cycle
	data := loadData{
		Number: load.Number, Process: tenthMinutes(load.Process), Pressure: roundTo(load.Pressure.PSI(), 2),
		Gauge:  string(load.Gauge),
		Layers: []layerData{},
		Minutes: cycleData{
			HeatUp:       tenthMinutes(cycle.HeatUp.Likely),
			Vent:         tenthMinutes(cycle.Vent.Likely),
			Pressurise:   tenthMinutes(cycle.Pressurise.Likely),
			Process:      tenthMinutes(cycle.Process.Likely),
			Depressurise: tenthMinutes(cycle.Depressurise.Likely),
			Wait:         tenthMinutes(cycle.Wait.Likely),
			Total:        tenthMinutes(cycle.Total().Likely),
		},
		Fuel: bandData{roundTo(load.Fuel.Low.KilowattHours(), 2), roundTo(load.Fuel.Likely.KilowattHours(), 2),
			roundTo(load.Fuel.High.KilowattHours(), 2)},
		Water: litreBand(load.WaterLeft),
	}
	if other != nil {
		data.Other = &otherGaugeData{Gauge: string(other.Gauge)}
		if other.Pressure > 0 {
			psi := roundTo(other.Pressure.PSI(), 2)
			data.Other.Pressure = &psi
		}
	}
	for _, layer := range load.Layers {
		data.Layers = append(data.Layers, layerData{layer.Rack, jarCountsData(layer.Jars)})
	}
	return data
}

// jarCountsData is never nil: JSON has [] for no jars.
func jarCountsData(jars []stock.JarCount) []jarCountData {
	data := []jarCountData{}
	for _, j := range jars {
		data = append(data, jarCountData(j))
	}
	return data
}

func causesData(causes []kettle.Cause) []causeData {
	data := []causeData{}
	for _, cause := range causes {
		if cause.Share >= 0.01 {
			data = append(data, causeData{cause.Code, roundTo(cause.Share, 3)})
		}
	}
	return data
}

func notesData(form words.Form, lists ...[]remark.Note) []noteData {
	data := []noteData{}
	for _, notes := range lists {
		for _, note := range notes {
			data = append(data, noteData{note.Code, words.Note(note, form)})
		}
	}
	return data
}

func reachMinutes(reach chill.Reach) *float64 {
	if reach.Never {
		return nil
	}
	minutes := tenthMinutes(reach.After)
	return &minutes
}

func litres(v quantity.Volume) float64 { return roundTo(v.Litres(), 4) }

func litreBand(v quantity.Band[quantity.Volume]) bandData {
	return bandData{litres(v.Low), litres(v.Likely), litres(v.High)}
}

func tenthMinutes(d time.Duration) float64 { return roundTo(d.Minutes(), 1) }

// roundTo rounds x to a number of decimals.
func roundTo(x float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(x*scale) / scale
}

// restsOn is what an estimate rests on; nil where that is the first guess alone.
func restsOn(r kettle.Rests) *restsData {
	if r.Notes == 0 {
		return nil
	}
	return &restsData{r.Notes, r.Alike, roundTo(r.Width, 2)}
}

func thawOf(t stock.Thaw) *thawData {
	if t.Method == thaw.Unsaid {
		return nil
	}
	data := &thawData{Method: string(t.Method), Package: kilograms(t.Package)}
	if h := t.Takes; h.High > 0 {
		data.Hours = &bandData{roundTo(h.Low.Hours(), 2), roundTo(h.Likely.Hours(), 2), roundTo(h.High.Hours(), 2)}
	}
	return data
}

func beforeOf(plan timeline.Plan, f words.Form) (all []beforeData) {
	for _, c := range plan.Checks {
		if !c.Before() {
			continue
		}
		one := beforeData{ID: c.ID}
		one.Text, _ = words.Check(plan, c, f)
		if c.AllDay {
			one.On = c.At.Format(time.DateOnly)
		} else {
			one.At = instant(c.At)
		}
		all = append(all, one)
	}
	return all
}
