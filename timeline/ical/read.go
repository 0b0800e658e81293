package ical

import (
	"cmp"
	"io"
	"strconv"
	"strings"
	"time"
)

// sequenceMost keeps a sequence that rises by one within what RFC 5545 3.3.8 allows.
const sequenceMost = 1_000_000_000

// Read reads the events of a calendar that File wrote, called name in errors. ours
// is false, and there are no events, when in holds a calendar of another program, or
// something beside events that was put into it since. It
// is an error when what in holds is no calendar, is damaged or passes a limit of
// this package.
func Read(in io.Reader, name string) (events []Event, ours bool, err error) {
	r := NewReader(time.UTC, append(eventParts, "VEVENT", "VALARM", "TRIGGER", "PRODID", "VTODO", "VJOURNAL", "VFREEBUSY")...)
	calendars, err := r.Read(in, name)
	if err != nil {
		return nil, false, err
	}
	for _, c := range calendars {
		product, err := r.Once(c, "PRODID")
		if err != nil || product["PRODID"] == nil || product["PRODID"].Text() != productID {
			return nil, false, err
		}
		if err := r.Open(c); err != nil {
			return nil, false, err
		}
		for _, child := range c.Children {
			switch child.Name {
			case "VEVENT":
			case "VTODO", "VJOURNAL", "VFREEBUSY":
				return nil, false, nil // somebody's own, which would be lost
			default:
				continue
			}
			event, err := r.event(child)
			if err != nil {
				return nil, false, err
			}
			events = append(events, event)
		}
	}
	return events, true, nil
}

// eventParts are what Read reads of an event.
var eventParts = []string{
	"UID", RunProperty, alikeProperty, "SEQUENCE", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "CATEGORIES", "STATUS", "TRANSP",
}

// reminder is how long before an event it is announced; 0 where no alarm says so as File
// writes it.
func reminder(event *Component) time.Duration {
	for _, alarm := range event.Children {
		for _, p := range alarm.Properties {
			text := strings.TrimSuffix(strings.TrimPrefix(p.Value, "-PT"), "M")
			if minutes, err := strconv.ParseUint(text, 10, 16); err == nil && alarm.Name == "VALARM" && p.Name == "TRIGGER" {
				return time.Duration(minutes) * time.Minute
			}
		}
	}
	return 0
}

// event reads a VEVENT.
func (r *Reader) event(c *Component) (Event, error) {
	once, err := r.Once(c, eventParts...)
	if err != nil {
		return Event{}, err
	}
	text := func(name string) string {
		if p := once[name]; p != nil {
			return p.Text()
		}
		return ""
	}
	e := Event{
		UID: text("UID"), Run: text(RunProperty), Alike: text(alikeProperty),
		Title: cmp.Or(OneLine(text("SUMMARY")), "Next step"), Text: strings.TrimSpace(Clean(text("DESCRIPTION"))),
		Category: OneLine(text("CATEGORIES")), Cancelled: text("STATUS") == "CANCELLED",
		Busy: text("TRANSP") == "OPAQUE", Reminder: reminder(c),
	}
	if p := once["SEQUENCE"]; p != nil {
		if e.Sequence, err = strconv.Atoi(p.Value); err != nil || e.Sequence < 0 || e.Sequence > sequenceMost {
			return e, r.Fail(p.Line, "", "SEQUENCE %s: must be 0 to %d", Quote(p.Value), sequenceMost)
		}
	}
	start, end := once["DTSTART"], once["DTEND"]
	if start == nil || end == nil {
		return e, r.Fail(c.Line, "", "this event lacks a start or an end")
	}
	from, err := r.Moment(*start, start.Value, nil)
	if err != nil {
		return e, err
	}
	lasts, err := r.Lasts(from, start.Line, end, nil)
	if err != nil {
		return e, err
	}
	e.Start, e.End, e.AllDay = from.At, lasts.End(), from.Date
	if !e.End.After(e.Start) || e.Start.Year() < 1970 || e.End.Year() > 9998 {
		return e, r.Fail(end.Line, "", "the end of this event does not go with its start")
	}
	return e, nil
}
