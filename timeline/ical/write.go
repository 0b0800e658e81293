package ical

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"brothrun/timeline"
)

// Layouts of a DATE-TIME and a DATE [RFC 5545 3.3.5, 3.3.4].
const (
	timeLayout = "20060102T150405"
	dateLayout = "20060102"
)

// Calendar is a calendar to be written.
type Calendar struct {
	Name   string // what programs that name a calendar by its file call it; may be empty
	Events []Event
	Kept   []Kept // what others put into the calendar that this one takes the place of
	// Refresh is how often it is to be asked for again, in whole minutes; 0: that is not said.
	Refresh time.Duration
}

// Event is one event of a calendar, its texts cleaned.
type Event struct {
	UID, Run              string         // what it is known by; Run stands in RunProperty
	Alike                 string         // what its run is known again by, keys with blanks between; may be empty
	Set                   string         // how the calendar was asked for; may be empty
	Takes                 Takes          // of the kitchen; the zero value for nothing
	Title, Text, Category string         // a title is never empty: calcurse 4.7 crashes without
	Start, End            time.Time      // of a whole day: midnight UTC of its date
	Place                 *time.Location // whose local time is written; nil for UTC
	AllDay, Busy          bool
	Cancelled             bool // it is written without a reminder
	Sequence              int
	Reminder              time.Duration // before the start, in whole minutes; 0: it does not ring
}

// RunProperty says which run an event belongs to, so that a later file can tell a
// step of the same run that is gone, and that a run does not stand in its own way.
// Readers must ignore what they do not know [RFC 5545 3.8.8.2].
const RunProperty = "X-BROTHRUN-RUN"

// alikeProperty says what a run without an ID of the cook's is known by.
const alikeProperty = "X-BROTHRUN-ALIKE"

// setProperty says how the calendar was asked for, so that a rewrite keeps it.
const setProperty = "X-BROTHRUN-SET"

// TakesProperty says what of the kitchen is taken from when to when.
const TakesProperty = "X-BROTHRUN-TAKES"

// Takes is something of the kitchen that is taken for a span.
type Takes struct {
	What     timeline.Resource
	From, To time.Time
}

// String is the value of TakesProperty: "canner/20261129T164000Z/20261129T185500Z".
func (t Takes) String() string {
	return fmt.Sprintf("%s/%s/%s", t.What, inUTC(t.From), inUTC(t.To))
}

// ParseTakes reads what String writes; ok is false for anything else.
func ParseTakes(text string) (t Takes, ok bool) {
	parts := strings.Split(strings.TrimSpace(text), "/")
	if len(parts) != 3 {
		return Takes{}, false
	}
	from, err1 := time.Parse(timeLayout+"Z", parts[1])
	to, err2 := time.Parse(timeLayout+"Z", parts[2])
	return Takes{timeline.Resource(parts[0]), from, to}, err1 == nil && err2 == nil && to.After(from)
}

const productID = "-//brothrun//kitchen plan//EN"

// File is a calendar ready to be written.
type File struct {
	calendar *ics.Calendar
	kept     []byte
}

// Compose makes the file of a calendar [RFC 5545], every event stamped with now. Each
// instant is cut to whole seconds and written in UTC, or in the local time of the
// event's Place unless the wall clock shows it twice; the rules of each zone stand
// in the file once. Where what is kept describes a zone of that name, its rules are
// those of the file, and the events are written in UTC. It is an error when a Place has
// no name to write.
func (c Calendar) Compose(now time.Time) (File, error) {
	kept := used(c.Kept)
	for i, e := range c.Events {
		if e.Place != nil && slices.ContainsFunc(kept, func(k Kept) bool { return k.zone == e.Place.String() }) {
			c.Events[i].Place = nil
		}
	}
	calendar := ics.NewCalendar()
	calendar.SetProductId(productID)
	calendar.SetCalscale("GREGORIAN")
	if c.Name != "" {
		calendar.SetName(c.Name)
	}
	if c.Refresh > 0 { // RFC 7986 5.7, and what was written for it before
		every := fmt.Sprintf("PT%dM", c.Refresh/time.Minute)
		calendar.SetRefreshInterval(every)
		calendar.SetXPublishedTTL(every)
	}
	zones, err := zonesOf(c.Events)
	if err != nil {
		return File{}, err
	}
	for _, zone := range zones {
		calendar.AddVTimezone(zone)
	}
	stamp := inUTC(now)
	for _, event := range c.Events {
		calendar.AddVEvent(event.compose(stamp))
	}
	file := File{calendar: calendar}
	for _, k := range kept {
		file.kept = append(file.kept, k.Data...)
	}
	return file, nil
}

// Write writes the file. The library drops the errors of its first and last write,
// so it writes to memory, where there are none.
func (f File) Write(w io.Writer) error {
	const octetsAnEvent = 900 // of a step with a few sentences
	var file bytes.Buffer
	file.Grow(octetsAnEvent * len(f.calendar.Components))
	if err := f.calendar.SerializeTo(&file, ics.WithNewLineWindows); err != nil {
		return fmt.Errorf("calendar: %w", err)
	}
	data := file.Bytes()
	if len(f.kept) > 0 {
		const end = "END:VCALENDAR\r\n"
		data = slices.Concat(bytes.TrimSuffix(data, []byte(end)), f.kept, []byte(end))
	}
	_, err := w.Write(data)
	return err
}

// compose makes the event, stamped with now.
func (e Event) compose(now string) *ics.VEvent {
	event := &ics.VEvent{}
	event.Properties = make([]ics.IANAProperty, 0, 12)
	// The library's setters look for each property in all that came before and make
	// a map of parameters for each.
	put := func(property ics.ComponentProperty, value string) {
		base := ics.BaseProperty{IANAToken: string(property), Value: value}
		event.Properties = append(event.Properties, ics.IANAProperty{BaseProperty: base})
	}
	put(ics.ComponentPropertyUniqueId, e.UID)
	put(ics.ComponentPropertyDtstamp, now)
	put(ics.ComponentPropertyLastModified, now)
	put(ics.ComponentPropertySequence, strconv.Itoa(e.Sequence))
	put(RunProperty, e.Run)
	if e.Alike != "" {
		put(alikeProperty, e.Alike)
	}
	if e.Set != "" {
		put(setProperty, e.Set)
	}
	if e.Takes.What != "" {
		put(TakesProperty, e.Takes.String())
	}
	if e.AllDay {
		event.AddProperty(ics.ComponentPropertyDtStart, e.Start.Format(dateLayout), ics.WithValue("DATE"))
		event.AddProperty(ics.ComponentPropertyDtEnd, e.End.Format(dateLayout), ics.WithValue("DATE"))
	} else {
		e.instant(event, ics.ComponentPropertyDtStart, e.Start)
		e.instant(event, ics.ComponentPropertyDtEnd, e.End)
	}
	put(ics.ComponentPropertySummary, e.Title)
	if e.Text != "" {
		put(ics.ComponentPropertyDescription, e.Text)
	}
	if e.Category != "" {
		put(ics.ComponentPropertyCategories, e.Category)
	}
	status, transparency := ics.ObjectStatusConfirmed, ics.TransparencyTransparent
	if e.Cancelled {
		status = ics.ObjectStatusCancelled
	} else if e.Busy {
		transparency = ics.TransparencyOpaque
	}
	put(ics.ComponentPropertyStatus, string(status))
	put(ics.ComponentPropertyTransp, string(transparency))
	if e.Cancelled || e.Reminder <= 0 {
		return event
	}

	alarm := event.AddAlarm()
	alarm.SetAction(ics.ActionDisplay)
	alarm.SetDescription(e.Title)
	alarm.SetTrigger(fmt.Sprintf("-PT%dM", e.Reminder/time.Minute))
	return event
}

// instant writes an instant: in the local time of the event's place or, without
// one and where the wall clock shows a time twice, in UTC. The library's own
// setters of times cannot: with a zone they write local and UTC at once.
func (e Event) instant(event *ics.VEvent, property ics.ComponentProperty, t time.Time) {
	if e.Place == nil || timeline.ComesTwice(t.In(e.Place)) {
		event.AddProperty(property, inUTC(t))
		return
	}
	event.AddProperty(property, t.In(e.Place).Format(timeLayout), ics.WithTZID(e.Place.String()))
}

func inUTC(t time.Time) string { return t.UTC().Format(timeLayout + "Z") }

// Clean makes text fit for a calendar value: valid UTF-8, line ends as \n,
// and no control characters but the tab. The calendar library passes carriage
// returns and controls through raw, and strict readers refuse the whole file
// for one.
func Clean(text string) string {
	text = strings.ReplaceAll(strings.ToValidUTF8(text, "\uFFFD"), "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\r', r == '\u2028', r == '\u2029', r == '\u0085':
			return '\n'
		case r == '\n', r == '\t':
			return r
		case r < 0x20, r >= 0x7f && r < 0xa0:
			return -1
		}
		return r
	}, text)
}

// OneLine is text cleaned, with every run of blanks and line ends as one blank.
func OneLine(text string) string { return strings.Join(strings.Fields(Clean(text)), " ") }
