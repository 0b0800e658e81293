package ical

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"brothrun/timeline"
)

const (
	// formerMost is the most octets read of a former calendar: over 20,000 steps.
	formerMost = 16 << 20
	// sequenceMost keeps a sequence that rises by one within what RFC 5545 3.3.8
	// allows.
	sequenceMost = 1_000_000_000
)

// Read reads the events of a calendar that File wrote. ours is false, and there are
// no events, when r holds a calendar of another program. It is an error when what r
// holds is no calendar, is damaged or is over 16 MiB.
func Read(r io.Reader) (events []Event, ours bool, err error) {
	file, err := io.ReadAll(io.LimitReader(r, formerMost+1))
	switch {
	case err != nil:
		return nil, false, err
	case len(file) > formerMost:
		return nil, false, fmt.Errorf("over %d MiB", formerMost>>20)
	case !bytes.HasSuffix(bytes.TrimSpace(file), []byte("END:VCALENDAR")): // which the library would not miss
		return nil, false, errors.New("it does not end as a calendar does")
	}
	calendar, err := ics.ParseCalendar(bytes.NewReader(file))
	if err != nil {
		return nil, false, err
	}
	ours = slices.ContainsFunc(calendar.CalendarProperties, func(p ics.CalendarProperty) bool {
		return p.IANAToken == string(ics.PropertyProductId) && p.Value == productID
	})
	if !ours {
		return nil, false, nil
	}
	zones := map[string]*time.Location{}
	for _, event := range calendar.Events() {
		e, err := formerEntry(event, zones)
		if err != nil {
			return nil, false, err
		}
		events = append(events, e)
	}
	return events, true, nil
}

// formerEntry reads an event. zones holds the zones loaded so far, by name.
func formerEntry(event *ics.VEvent, zones map[string]*time.Location) (Event, error) {
	value := func(property ics.ComponentProperty) string {
		if p := event.GetProperty(property); p != nil {
			return p.Value
		}
		return ""
	}
	e := Event{
		UID: value(ics.ComponentPropertyUniqueId), Run: value(RunProperty), Alike: value(alikeProperty),
		Title:     cmp.Or(OneLine(value(ics.ComponentPropertySummary)), "Next step"),
		Text:      strings.TrimSpace(Clean(value(ics.ComponentPropertyDescription))),
		Category:  OneLine(value(ics.ComponentPropertyCategories)),
		Cancelled: value(ics.ComponentPropertyStatus) == string(ics.ObjectStatusCancelled),
	}
	var err error
	if text := value(ics.ComponentPropertySequence); text != "" {
		if e.Sequence, err = strconv.Atoi(text); err != nil || e.Sequence < 0 || e.Sequence > sequenceMost {
			return e, fmt.Errorf("event %s: sequence %.20q: must be 0 to %d", e.UID, text, sequenceMost)
		}
	}
	var endsAllDay bool
	if e.Start, e.AllDay, err = formerInstant(event.GetProperty(ics.ComponentPropertyDtStart), zones); err == nil {
		e.End, endsAllDay, err = formerInstant(event.GetProperty(ics.ComponentPropertyDtEnd), zones)
	}
	switch {
	case err != nil:
		return e, fmt.Errorf("event %s: %w", e.UID, err)
	case e.AllDay != endsAllDay || !e.End.After(e.Start) || e.Start.UTC().Year() < 1970 || e.End.UTC().Year() > 9998:
		return e, fmt.Errorf("event %s: its end does not go with its start", e.UID)
	}
	return e, nil
}

// formerInstant reads a time as event writes it: in UTC, local with a zone, or a
// date, which is told as midnight UTC.
func formerInstant(p *ics.IANAProperty, zones map[string]*time.Location) (t time.Time, allDay bool, err error) {
	if p == nil {
		return t, false, errors.New("it lacks a start or an end")
	}
	if slices.Equal(p.ICalParameters["VALUE"], []string{"DATE"}) {
		t, err = time.Parse(dateLayout, p.Value)
		return t, true, err
	}
	place := time.UTC
	layout := timeLayout + "Z"
	if names := p.ICalParameters["TZID"]; len(names) == 1 {
		layout = timeLayout
		var loaded bool
		if place, loaded = zones[names[0]]; !loaded {
			if place, err = timeline.LoadZone(names[0]); err != nil {
				return t, false, err
			}
			zones[names[0]] = place
		}
	}
	t, err = time.ParseInLocation(layout, p.Value, place)
	return t, false, err
}
