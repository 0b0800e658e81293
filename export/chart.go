package export

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"brothrun/export/text"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

const (
	chartMargin  = 15                       // "A freeze-dryer ": run, the longest resource, a blank
	chartColumns = text.Width - chartMargin // 65: 16 h of quarters of an hour
	out          = timeline.Resource("out") // the row of the busy times
)

// chartSlots are how long a column may stand for, the finest first; 25 h of the
// last fit.
var chartSlots = []time.Duration{15 * time.Minute, 20 * time.Minute, 30 * time.Minute}

// chartRows is the order of the rows; a resource that is not here comes last.
var chartRows = []timeline.Resource{
	timeline.Cook, timeline.Stove, timeline.Canner, timeline.Pot, timeline.Oven, timeline.Outdoors,
	timeline.Fridge, timeline.Freezer, timeline.FreezeDryer,
}

// Marks of the chart. They are plain ASCII, so that a pipe keeps them.
var chartMarks = map[timeline.Kind]byte{timeline.HandsOn: '#', timeline.Watch: '=', timeline.Waiting: '-'}

const (
	chartFree = '.'
	chartBusy = 'x'
)

// charted is one span on the chart.
type charted struct {
	row      timeline.Resource
	run      int // which plan; len(plans) for busy times
	kind     timeline.Kind
	mark     byte
	from, to time.Time
}

// chartDay is a day on the chart, and the part of it that is drawn.
type chartDay struct {
	begin, end time.Time // midnight to midnight
	from, to   time.Time
}

// Chart writes who and what is busy when, day by day, for a terminal of 80
// columns: a row for the cook, the stove and so on, and one, "out", for busy; a
// column stands for 15, 20 or 30 minutes, the same on every day. Hours are those
// of the first plan's Location, and a day on which the clock changes has the
// hours it has. A step shows however short it is. Days that only wait are one
// line. Several plans are lettered in their order. colour asks for quiet terminal
// colour. The only errors are those of w.
func Chart(w io.Writer, plans []timeline.Plan, busy []timeline.Booking, colour bool) error {
	s := newScreen(w, colour, quantity.US)
	s.line(s.bold("Who and what is busy when"))
	spans, location := chartSpans(plans, busy)
	if location == nil {
		s.wrap("  ", `Nothing is on the clock yet: say when to begin (--start "2026-11-28 08:00") or when to be done (--finish-by).`)
		return s.w.Flush()
	}
	days, slot := chartDays(spans, len(plans), location)
	for i := 0; i < len(days); i++ {
		s.line("")
		if !days[i].from.IsZero() {
			s.chartDay(days[i], slot, spans, len(plans))
			continue
		}
		last := i
		for last+1 < len(days) && days[last+1].from.IsZero() {
			last++
		}
		s.quietDays(days[i], days[last], spans)
		i = last
	}
	s.line("")
	legend := "# hands-on   = watched   - waiting"
	if slices.ContainsFunc(spans, func(c charted) bool { return c.row == out }) {
		legend += "   x busy elsewhere"
	}
	s.line(fmt.Sprintf("  %s   one column: %d min", legend, int(slot.Minutes())))
	if len(plans) > 1 {
		for i, plan := range plans {
			s.hang("  "+letter(i)+" ", Printable(cmp.Or(plan.Batch.Name, plan.RunID)))
		}
	}
	return s.w.Flush()
}

// letter names a run: A to Z, and ? past that.
func letter(run int) string {
	if run > 25 {
		return "?"
	}
	return string(rune('A' + run))
}

// chartSpans returns what is drawn, the longest first, so that painting a short
// one over it lets it show. location is nil when no plan has a step.
func chartSpans(plans []timeline.Plan, busy []timeline.Booking) (spans []charted, location *time.Location) {
	var begin, end time.Time
	for run, plan := range plans {
		for _, step := range plan.Steps {
			if location == nil {
				location = cmp.Or(plan.Location, step.Start.Location())
			}
			to := step.End
			if !to.After(step.Start) {
				to = step.Start.Add(time.Minute) // still a column
			}
			if begin.IsZero() || step.Start.Before(begin) {
				begin = step.Start
			}
			if to.After(end) {
				end = to
			}
			for _, need := range step.Needs {
				spans = append(spans, charted{need, run, step.Kind, cmp.Or(chartMarks[step.Kind], '?'), step.Start, to})
			}
		}
	}
	if location == nil {
		return nil, nil
	}
	// Busy times of days on which nothing stands would only fill the screen.
	first, last := midnight(begin.In(location), 0), midnight(end.In(location).Add(-1), 1)
	for _, b := range busy {
		if b.From.Before(last) && b.To.After(first) {
			spans = append(spans, charted{out, len(plans), timeline.HandsOn, chartBusy, b.From, b.To})
		}
	}
	for i := range spans {
		spans[i].from, spans[i].to = latest(spans[i].from, first).In(location), earliest(spans[i].to, last).In(location)
	}
	slices.SortStableFunc(spans, func(a, b charted) int { return cmp.Compare(b.to.Sub(b.from), a.to.Sub(a.from)) })
	return spans, location
}

// chartDays returns every day from the first span to the last, with the part of
// it that is drawn: from the same hour to the same hour, wide enough for all that
// is hands-on, watched or busy. Days without any of it draw nothing.
func chartDays(spans []charted, runs int, location *time.Location) (days []chartDay, slot time.Duration) {
	var begin, end time.Time
	for _, c := range spans {
		if begin.IsZero() || c.from.Before(begin) {
			begin = c.from
		}
		end = latest(end, c.to)
	}
	opens, closes := 24, 0
	for day := midnight(begin.In(location), 0); day.Before(end); day = midnight(day, 1) {
		d := chartDay{begin: day, end: midnight(day, 1)}
		for _, c := range spans {
			from, to := latest(c.from, d.begin), earliest(c.to, d.end)
			if c.kind == timeline.Waiting || !to.After(from) {
				continue
			}
			// A whole day out must not make the hours of the cook small.
			if c.run == runs {
				if a, b := latest(from, onFace(day, 6)), earliest(to, onFace(day, 22)); b.After(a) {
					from, to = a, b
				}
			}
			if d.from.IsZero() || from.Before(d.from) {
				d.from = from
			}
			d.to = latest(d.to, to)
		}
		days = append(days, d)
		if d.from.IsZero() {
			continue
		}
		opens = min(opens, d.from.Hour())
		if d.to.Equal(d.end) {
			closes = 24
		} else if last := d.to.Add(-time.Nanosecond); last.Hour() >= closes {
			closes = last.Hour() + 1
		}
	}
	longest := time.Duration(0)
	for i, d := range days {
		if d.from.IsZero() {
			continue
		}
		// Where the clock skips the hour itself, the day's own steps decide.
		days[i].from, days[i].to = earliest(d.from, onFace(d.begin, opens)), d.end
		if closes < 24 {
			days[i].to = latest(d.to, onFace(d.begin, closes))
		}
		longest = max(longest, days[i].to.Sub(days[i].from))
	}
	for _, slot = range chartSlots {
		if longest <= chartColumns*slot {
			break
		}
	}
	return days, slot
}

// chartDay draws one day.
func (s screen) chartDay(d chartDay, slot time.Duration, spans []charted, runs int) {
	heading := s.bold(d.begin.Format("Mon 2 Jan"))
	if hours := d.end.Sub(d.begin).Hours(); hours != 24 {
		heading += fmt.Sprintf(", %g h long: the clock changes", hours)
	}
	s.line("  " + heading)
	columns := int((d.to.Sub(d.from) + slot - 1) / slot)

	// The hour stands over the column it begins in; where there is no room, the
	// next one does.
	ruler := []byte(strings.Repeat(" ", columns))
	free := 0
	for i := range columns {
		at := d.from.Add(time.Duration(i) * slot)
		if time.Duration(at.Minute())*time.Minute < slot && i >= free && i+2 <= columns {
			copy(ruler[i:], at.Format("15"))
			free = i + 3
		}
	}
	s.line(strings.TrimRight(strings.Repeat(" ", chartMargin)+string(ruler), " "))

	type place struct {
		row timeline.Resource
		run int
	}
	rows := map[place][]byte{}
	for _, c := range spans {
		from, to := latest(c.from, d.from), earliest(c.to, d.to)
		if !to.After(from) {
			continue
		}
		at := place{c.row, c.run}
		if rows[at] == nil {
			rows[at] = []byte(strings.Repeat(string(chartFree), columns))
		}
		for i := int(from.Sub(d.from) / slot); i < int((to.Sub(d.from)+slot-1)/slot); i++ {
			rows[at][i] = c.mark
		}
	}
	order := func(r timeline.Resource) int {
		if i := slices.Index(chartRows, r); i >= 0 {
			return i
		}
		return len(chartRows)
	}
	places := make([]place, 0, len(rows))
	for at := range rows {
		places = append(places, at)
	}
	slices.SortFunc(places, func(a, b place) int {
		return cmp.Or(cmp.Compare(order(a.row), order(b.row)), cmp.Compare(a.run/runs, b.run/runs), cmp.Compare(a.row, b.row),
			cmp.Compare(a.run, b.run))
	})
	for _, at := range places {
		head := "  "
		if runs > 1 && at.run < runs {
			head = letter(at.run) + " "
		}
		name := []rune(Printable(string(at.row)))
		head += string(name[:min(len(name), chartMargin-3)])
		s.line(head + strings.Repeat(" ", chartMargin-utf8.RuneCountInString(head)) + s.marks(string(rows[at])))
	}
}

// marks colours a row: what asks for somebody, and what is in the way.
func (s screen) marks(row string) string {
	if !s.colour {
		return row
	}
	var b strings.Builder
	for len(row) > 0 {
		run := len(row) - len(strings.TrimLeft(row, row[:1]))
		sgr := map[byte]string{'#': "1", chartBusy: yellow}[row[0]]
		b.WriteString(s.paint(sgr, row[:run]))
		row = row[run:]
	}
	return b.String()
}

// quietDays is one line for days that ask for nobody.
func (s screen) quietDays(first, last chartDay, spans []charted) {
	var waiting []string
	for _, c := range spans {
		if c.from.Before(last.end) && c.to.After(first.begin) && !slices.Contains(waiting, string(c.row)) {
			waiting = append(waiting, string(c.row))
		}
	}
	slices.Sort(waiting)
	days := first.begin.Format("Mon 2 Jan")
	if first != last {
		days += " to " + last.begin.Format("Mon 2 Jan")
	}
	if len(waiting) == 0 {
		s.wrap("  ", s.bold(days)+": nothing to do")
		return
	}
	s.wrap("  ", s.bold(days)+": nothing to do; waiting: "+Printable(strings.Join(waiting, ", ")))
}

// midnight is the start of the day of t, or of one some days later.
func midnight(t time.Time, days int) time.Time {
	return timeline.DayStart(t.Year(), t.Month(), t.Day()+days, t.Location())
}

// onFace is when the clock shows an hour on the day of t. Where it skips or
// repeats the hour, either side will do: callers widen to what they draw.
func onFace(t time.Time, hour int) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), hour, 0, 0, 0, t.Location())
}

func earliest(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

func latest(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
