package ical

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// sequenceMost keeps a sequence that rises by one within what RFC 5545 3.3.8 allows.
const sequenceMost = 1_000_000_000

// Former is what a calendar holds that another is about to take the place of.
type Former struct {
	Events []Event
	Kept   []Kept // all else, but for zones nothing of it goes by
	Ours   bool   // it was written here, or holds an event that was
}

// Read reads a calendar that File wrote, whoever saved it since, called name in errors.
// An event is ours by its UID, a name-based UUID, together with RunProperty; where a
// program dropped that, by owns, which tells the run of a UID. owns may be nil. Of what
// is not ours nothing is read but its bounds. It is an error when what in holds is no
// calendar, when an event of ours is damaged, or when it passes a limit of this package.
func Read(in io.Reader, name string, owns func(uid string, runs []string) (run string, ok bool)) (Former, error) {
	var former Former
	data, err := io.ReadAll(io.LimitReader(in, largest+1))
	if err != nil {
		return former, fmt.Errorf("%s: %w", name, err)
	}
	r := NewReader(time.UTC, append(eventParts, "VEVENT", "PRODID", "VALARM", "TRIGGER")...)
	r.Repeat = r.yearly
	calendars, err := r.Read(bytes.NewReader(data), name)
	if err != nil {
		return former, err
	}
	ours := map[int]bool{} // lines of events
	var runs []string
	for _, c := range calendars {
		for _, event := range c.Children {
			if run := value(event, RunProperty); event.Name == "VEVENT" && isKey(run) && !slices.Contains(runs, run) {
				runs = append(runs, run)
			}
		}
	}
	for _, c := range calendars {
		former.Ours = former.Ours || value(c, "PRODID") == productID
		if err := r.Open(c); err != nil {
			return former, err
		}
		for _, child := range c.Children {
			if child.Name != "VEVENT" {
				continue
			}
			uid, run := value(child, "UID"), value(child, RunProperty)
			if !isKey(uid) || uid[14] != '5' {
				continue
			}
			if !isKey(run) && owns != nil {
				run, _ = owns(uid, runs)
			}
			if !isKey(run) {
				continue
			}
			event, err := r.event(child)
			if err != nil {
				return former, err
			}
			event.Run = run
			former.Events, former.Ours, ours[child.Line] = append(former.Events, event), true, true
		}
	}
	for _, k := range componentsOf(data) {
		if !ours[k.line] {
			former.Kept = append(former.Kept, k)
		}
	}
	former.Kept = used(former.Kept)
	return former, nil
}

// key is a UUID in lower case.
var key = regexp.MustCompile("^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")

func isKey(text string) bool { return key.MatchString(text) }

// value is the text of the first property of a name; empty without one.
func value(c *Component, name string) string {
	for _, p := range c.Properties {
		if p.Name == name {
			return p.Text()
		}
	}
	return ""
}

// eventParts are what Read reads of an event.
var eventParts = []string{
	"UID", RunProperty, alikeProperty, setProperty, TakesProperty, "SEQUENCE", "DTSTART", "DTEND", "DURATION",
	"SUMMARY", "DESCRIPTION", "CATEGORIES", "STATUS", "TRANSP",
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
		UID: text("UID"), Set: OneLine(text(setProperty)),
		Title: cmp.Or(OneLine(text("SUMMARY")), "Next step"), Text: strings.TrimSpace(Clean(text("DESCRIPTION"))),
		Category: OneLine(text("CATEGORIES")), Cancelled: text("STATUS") == "CANCELLED",
		Busy: text("TRANSP") == "OPAQUE", Reminder: r.reminder(c),
	}
	for alike := range strings.FieldsSeq(text(alikeProperty)) {
		if isKey(alike) {
			e.Alike = strings.TrimSpace(e.Alike + " " + alike)
		}
	}
	e.Takes, _ = ParseTakes(text(TakesProperty))
	if p := once["SEQUENCE"]; p != nil {
		if e.Sequence, err = strconv.Atoi(p.Value); err != nil || e.Sequence < 0 || e.Sequence > sequenceMost {
			return e, r.Fail(p.Line, "", "SEQUENCE %s: must be 0 to %d", Quote(p.Value), sequenceMost)
		}
	}
	start, end, duration := once["DTSTART"], once["DTEND"], once["DURATION"]
	if start == nil || end == nil && duration == nil {
		return e, r.Fail(c.Line, "", "this event lacks a start or an end")
	}
	from, err := r.Moment(*start, start.Value, nil)
	if err != nil {
		return e, err
	}
	lasts, err := r.Lasts(from, start.Line, end, duration)
	if err != nil {
		return e, err
	}
	e.Start, e.End, e.AllDay = from.At, lasts.End(), from.Date
	if !e.End.After(e.Start) || e.Start.Year() < 1970 || e.End.Year() > 9998 {
		return e, r.Fail(start.Line, "", "the end of this event does not go with its start")
	}
	return e, nil
}

// reminder is how long before its start an event rings; 0 where it does not, and less
// than that where it does otherwise than we write it.
func (r *Reader) reminder(event *Component) time.Duration {
	ahead := time.Duration(0)
	for _, alarm := range event.Children {
		if ahead != 0 {
			return -1
		}
		text, before := strings.CutPrefix(value(alarm, "TRIGGER"), "-")
		length, err := r.duration(Property{}, text)
		if ahead = length.Longest(); !before || err != nil || ahead <= 0 {
			return -1
		}
	}
	return ahead
}
