package export

import (
	"cmp"
	"io"
	"time"

	"brothrun/export/text"
	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// shelfTable is what stands, what is in it, since when, until when, and what to mind.
var shelfTable = text.Table{Indent: 2, Columns: []text.Column{{Width: 13}, {Width: 16, Breaks: true},
	{Width: 12}, {Width: 20}, {}}}

const shelfDay = "2 Jan 2006"

// Shelf writes what stands of some runs, and until when it is best, as at an instant. The
// only errors are those of w.
func Shelf(w io.Writer, shelf timeline.Shelf, u quantity.System, now time.Time, colour bool) error {
	s := newScreen(w, colour, u)
	title := "Nothing stands on the shelf"
	if total := shelf.Total(); len(total) > 0 {
		title = "On the shelf: " + jarList(total)
	}
	s.line(s.bold(Printable(title)))
	for _, j := range shelf.Jars {
		s.shelved(stock.CountJars(j.Count, j.Jar), j.Of, j.Of.Date, j.By, words.Look(j.Look), now)
	}
	for _, part := range []struct {
		title string
		all   []timeline.PutAway
	}{{"Frozen", shelf.Frozen}, {"Dried", shelf.Dried}} {
		if len(part.all) == 0 {
			continue
		}
		s.heading(part.title)
		for _, one := range part.all {
			amount := one.Weight.Format(u)
			if one.Volume > 0 {
				amount = one.Volume.Format(u)
			}
			s.shelved(amount, one.Of, one.On, one.By, "", now)
		}
	}
	if len(shelf.Unsafe) > 0 {
		s.heading("Not counted")
		for _, l := range shelf.Unsafe {
			run := cmp.Or(l.Of.Name, l.Of.File) + l.Of.Date.Format(", "+shelfDay)
			s.bullet(red, Printable(run+": "+words.Note(l.NotProcessed, s.form)))
		}
	}
	return s.w.Flush()
}

func (s screen) shelved(amount string, of *timeline.Outcome, from, by time.Time, look string, now time.Time) {
	since, best := "", ""
	if !from.IsZero() {
		since = from.Format(shelfDay)
	}
	if !by.IsZero() {
		best = "best by " + by.Format(shelfDay)
	}
	mind := look
	if timeline.Overdue(by, now) {
		if mind != "" {
			mind = ", " + mind
		}
		mind = s.paint(yellow, "OVERDUE") + mind
	}
	s.lines(shelfTable.Row(Printable(amount), Printable(of.What), since, best, mind))
}

type (
	shelfData struct {
		Schema int             `json:"schema"`
		AsOf   string          `json:"as_of"`
		Total  []jarCountData  `json:"total"`
		Jars   []shelvedData   `json:"jars"`
		Frozen []putAwayData   `json:"frozen"`
		Dried  []putAwayData   `json:"dried"`
		Unsafe []notCannedData `json:"not_processed"`
		Unread []unreadData    `json:"unread"`
	}
	ofRunData struct {
		File string `json:"file"`
		Name string `json:"name"`
		Kind string `json:"kind"`
	}
	shelvedData struct {
		Jar     string `json:"jar"`
		Count   int    `json:"count"`
		State   string `json:"state"` // "sealed", "not-looked-at" or "time-not-noted"
		Date    string `json:"date,omitempty"`
		BestBy  string `json:"best_by,omitempty"`
		Overdue bool   `json:"overdue"`
		ofRunData
	}
	putAwayData struct {
		Volume  *float64 `json:"volume_l,omitempty"`
		Weight  *float64 `json:"weight_g,omitempty"`
		Date    string   `json:"date,omitempty"`
		BestBy  string   `json:"best_by,omitempty"`
		Overdue bool     `json:"overdue"`
		ofRunData
	}
	notCannedData struct {
		Load int            `json:"load"`
		Jars []jarCountData `json:"jars"`
		Why  string         `json:"why"`
		ofRunData
	}
)

// ShelfJSON writes what stands of some runs for scripts, lists empty rather than null.
// Errors are those of JSON.
func ShelfJSON(w io.Writer, shelf timeline.Shelf, unread []Unread, now time.Time) error {
	of := func(o *timeline.Outcome) ofRunData { return ofRunData{o.File, o.Name, string(o.Kind)} }
	away := func(all []timeline.PutAway) []putAwayData {
		data := []putAwayData{}
		for _, one := range all {
			data = append(data, putAwayData{given(litres(one.Volume)), given(roundTo(one.Weight.Grams(), 1)), dateOf(one.On),
				dateOf(one.By), timeline.Overdue(one.By, now), of(one.Of)})
		}
		return data
	}
	data := shelfData{Schema, now.Format(time.RFC3339), jarCountsData(shelf.Total()), []shelvedData{}, away(shelf.Frozen),
		away(shelf.Dried), []notCannedData{}, unreadList(unread)}
	for _, j := range shelf.Jars {
		data.Jars = append(data.Jars, shelvedData{j.Jar, j.Count, words.LookCode(j.Look), dateOf(j.Of.Date), dateOf(j.By),
			timeline.Overdue(j.By, now), of(j.Of)})
	}
	for _, l := range shelf.Unsafe {
		data.Unsafe = append(data.Unsafe, notCannedData{l.Number, jarCountsData(l.Jars),
			words.Note(l.NotProcessed, words.Form{Units: l.Of.Units}), of(l.Of)})
	}
	return encode(w, data)
}
