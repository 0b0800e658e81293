// Package icslint checks and reads calendar files with code of its own, apart
// from the library that writes them. It knows the part of RFC 5545 that plans
// need: one calendar of events with times, texts and one reminder, and the zones
// their times refer to. It is for tests.
//
// Sources, by tag:
//
//	[RFC5545] Internet Calendaring and Scheduling Core Object Specification,
//	          September 2009.
//	[RFC5546] iCalendar Transport-Independent Interoperability Protocol,
//	          December 2009.
package icslint

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Problem is one breach of a rule. Rule is stable: "crlf", "fold". Line is the
// physical line, from 1; 0 when none can be named.
type Problem struct {
	Line int
	Rule string
	Text string
}

func (p Problem) String() string { return fmt.Sprintf("line %d: %s: %s", p.Line, p.Rule, p.Text) }

// Event is what an event says once read: instants in UTC, texts unescaped.
type Event struct {
	UID, Summary, Description string
	Start, End                time.Time
	AllDay                    bool // from a date to the day after its last, each told as midnight UTC
	Cancelled                 bool
	Sequence                  string
	Reminder                  time.Duration // the alarm's trigger from the start; negative is before it
}

// Check returns every problem of an iCalendar file, none for a good one.
func Check(file []byte) []Problem {
	c := &checker{}
	c.octets(file)
	if calendar := c.parse(file); calendar != nil {
		c.calendar(calendar)
	}
	slices.SortStableFunc(c.problems, func(a, b Problem) int { return a.Line - b.Line })
	return c.problems
}

// Read returns the events of an iCalendar file in their order. A file with a
// problem is an error.
func Read(file []byte) ([]Event, error) {
	c := &checker{}
	c.octets(file)
	var events []Event
	if calendar := c.parse(file); calendar != nil {
		events = c.calendar(calendar)
	}
	if len(c.problems) > 0 {
		return nil, fmt.Errorf("calendar file: %s", c.problems[0])
	}
	return events, nil
}

type checker struct{ problems []Problem }

func (c *checker) fault(line int, rule, format string, args ...any) {
	c.problems = append(c.problems, Problem{line, rule, fmt.Sprintf(format, args...)})
}

// foldAt is the most octets a physical line may have, without its line end
// [RFC5545 3.1].
const foldAt = 75

// octets judges the physical lines.
func (c *checker) octets(file []byte) {
	if !bytes.HasSuffix(file, []byte("\r\n")) {
		c.fault(0, "crlf", "the file does not end with CRLF")
	}
	for i, line := range bytes.Split(bytes.TrimSuffix(file, []byte("\n")), []byte("\n")) {
		n := i + 1
		text, ok := bytes.CutSuffix(line, []byte("\r"))
		if !ok {
			c.fault(n, "crlf", "the line does not end with CRLF")
		}
		if len(text) > foldAt {
			c.fault(n, "fold", "%d octets, at most %d are allowed", len(text), foldAt)
		}
		if !utf8.Valid(text) {
			c.fault(n, "utf8", "not valid UTF-8 by itself")
		}
		for _, b := range text {
			if b < 0x20 && b != '\t' || b == 0x7f {
				c.fault(n, "control", "control character %#02x", b)
			}
		}
		if len(text) == 0 {
			c.fault(n, "syntax", "empty line")
		}
	}
}

type component struct {
	name       string
	line       int
	properties []property
	parts      []*component
}

type property struct {
	name, value string
	parameters  map[string]string
	line        int
}

func (c *component) all(name string) []property {
	var found []property
	for _, p := range c.properties {
		if p.name == name {
			found = append(found, p)
		}
	}
	return found
}

func (c *component) first(name string) (property, bool) {
	for _, p := range c.properties {
		if p.name == name {
			return p, true
		}
	}
	return property{}, false
}

func (c *component) named(names ...string) []*component {
	var found []*component
	for _, part := range c.parts {
		if slices.Contains(names, part.name) {
			found = append(found, part)
		}
	}
	return found
}

// contentLine is a name, parameters and a value [RFC5545 3.1].
var contentLine = regexp.MustCompile(`^([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"\x00-\x08\x0a-\x1f\x7f]*"|[^";:,\x00-\x08\x0a-\x1f\x7f]*))*):(?s:(.*))$`)

// parse unfolds the lines and nests the components; nil when there is no
// calendar in the file.
func (c *checker) parse(file []byte) *component {
	type line struct {
		number int
		text   string
	}
	var lines []line
	for i, text := range strings.Split(strings.TrimSuffix(string(file), "\n"), "\n") {
		text = strings.TrimSuffix(text, "\r")
		if len(lines) > 0 && (strings.HasPrefix(text, " ") || strings.HasPrefix(text, "\t")) {
			lines[len(lines)-1].text += text[1:]
			continue
		}
		lines = append(lines, line{i + 1, text})
	}

	var calendar *component
	var open []*component
	for _, l := range lines {
		match := contentLine.FindStringSubmatch(l.text)
		if match == nil {
			if l.text != "" {
				c.fault(l.number, "syntax", "%.40q is no name, parameters and value", l.text)
			}
			continue
		}
		p := property{name: strings.ToUpper(match[1]), value: match[3], line: l.number, parameters: map[string]string{}}
		for pair := range strings.SplitSeq(match[2], ";") {
			if key, value, ok := strings.Cut(pair, "="); ok {
				p.parameters[strings.ToUpper(key)] = strings.Trim(value, `"`)
			}
		}
		switch {
		case p.name == "BEGIN":
			part := &component{name: strings.ToUpper(p.value), line: l.number}
			switch {
			case len(open) > 0:
				parent := open[len(open)-1]
				parent.parts = append(parent.parts, part)
			case calendar == nil && part.name == "VCALENDAR":
				calendar = part
			default:
				c.fault(l.number, "structure", "BEGIN:%s outside the calendar: one VCALENDAR holds all", p.value)
			}
			open = append(open, part)
		case p.name == "END":
			if len(open) == 0 || open[len(open)-1].name != strings.ToUpper(p.value) {
				c.fault(l.number, "structure", "END:%s closes nothing that is open", p.value)
				continue
			}
			open = open[:len(open)-1]
		case len(open) == 0:
			c.fault(l.number, "structure", "%s stands outside the calendar", p.name)
		default:
			holder := open[len(open)-1]
			if len(holder.parts) > 0 && holder.name == "VEVENT" {
				c.fault(l.number, "alarm", "%s comes after the VALARM, which must stand last in its event", p.name)
			}
			if p.value == "" {
				c.fault(l.number, "empty", "%s has no value", p.name)
			}
			holder.properties = append(holder.properties, p)
		}
	}
	for _, part := range open {
		c.fault(part.line, "structure", "BEGIN:%s is never closed", part.name)
	}
	if calendar == nil {
		c.fault(0, "structure", "no VCALENDAR in the file")
	}
	return calendar
}

// exactly reports whether each property is there once, and faults the rest.
func (c *checker) exactly(part *component, names ...string) bool {
	good := true
	for _, name := range names {
		if n := len(part.all(name)); n != 1 {
			c.fault(part.line, "once", "%s has %s %d times, must have it once", part.name, name, n)
			good = false
		}
	}
	return good
}

func (c *checker) atMost(part *component, names ...string) {
	for _, name := range names {
		if found := part.all(name); len(found) > 1 {
			c.fault(found[1].line, "once", "%s has %s %d times, may have it once", part.name, name, len(found))
		}
	}
}

// calendar judges the whole calendar and returns its events.
func (c *checker) calendar(calendar *component) []Event {
	c.exactly(calendar, "PRODID", "VERSION")
	c.atMost(calendar, "CALSCALE", "METHOD")
	if version, ok := calendar.first("VERSION"); ok && version.value != "2.0" {
		c.fault(version.line, "version", "VERSION is %s, must be 2.0", version.value)
	}
	// A METHOD makes the file a message, which needs an ORGANIZER [RFC5546 3.2.1].
	if method, ok := calendar.first("METHOD"); ok {
		c.fault(method.line, "method", "METHOD:%s makes the file a message from an organiser", method.value)
	}

	zones := map[string]*zone{}
	for _, part := range calendar.named("VTIMEZONE") {
		if z := c.zone(part); z != nil {
			if zones[z.id] != nil {
				c.fault(part.line, "zone", "two VTIMEZONE for %s", z.id)
			}
			zones[z.id] = z
		}
	}
	var events []Event
	uids := map[string]bool{}
	for _, part := range calendar.named("VEVENT") {
		event := c.event(part, zones)
		if event.UID != "" && uids[event.UID] {
			c.fault(part.line, "uid", "UID %s is there twice", event.UID)
		}
		uids[event.UID] = true
		events = append(events, event)
	}
	return events
}

func (c *checker) event(part *component, zones map[string]*zone) Event {
	c.exactly(part, "UID", "DTSTAMP", "DTSTART")
	c.atMost(part, "DTEND", "DURATION", "SUMMARY", "DESCRIPTION", "SEQUENCE", "LAST-MODIFIED", "STATUS", "TRANSP", "CREATED", "LOCATION", "URL")
	var event Event
	if p, ok := part.first("UID"); ok {
		event.UID = p.value
	}
	if p, ok := part.first("SEQUENCE"); ok {
		event.Sequence = p.value
	}
	event.Summary = c.text(part, "SUMMARY")
	event.Description = c.text(part, "DESCRIPTION")
	c.text(part, "CATEGORIES")
	for _, name := range []string{"DTSTAMP", "LAST-MODIFIED", "CREATED"} {
		if p, ok := part.first(name); ok && !strings.HasSuffix(p.value, "Z") {
			c.fault(p.line, "time", "%s:%s must be in UTC", name, p.value)
		} else if ok {
			c.instant(p, zones)
		}
	}
	if p, ok := part.first("STATUS"); ok {
		if event.Cancelled = p.value == "CANCELLED"; !event.Cancelled && p.value != "CONFIRMED" && p.value != "TENTATIVE" {
			c.fault(p.line, "status", "STATUS:%s is none of an event", p.value)
		}
	}
	start, started := part.first("DTSTART")
	if started {
		event.AllDay = start.parameters["VALUE"] == "DATE"
		event.Start, started = c.instant(start, zones)
	}
	end, ended := part.first("DTEND")
	if duration, ok := part.first("DURATION"); ok {
		c.fault(duration.line, "duration", "DURATION is read differently over a clock change: DTEND instead")
	} else if !ended {
		c.fault(part.line, "end", "no DTEND")
	}
	if ended {
		if (end.parameters["VALUE"] == "DATE") != event.AllDay {
			c.fault(end.line, "end", "a date ends what starts at a time, or a time what starts on a date")
		}
		event.End, ended = c.instant(end, zones)
	}
	if started && ended && !event.End.After(event.Start) {
		c.fault(end.line, "end", "the end %s must be after the start %s", event.End.Format(time.RFC3339), event.Start.Format(time.RFC3339))
	}

	alarms := part.named("VALARM")
	if len(alarms) > 1 {
		c.fault(alarms[1].line, "alarm", "%d VALARM, some programs read one only", len(alarms))
	}
	if event.Cancelled && len(alarms) > 0 {
		c.fault(alarms[0].line, "alarm", "an event called off rings")
	}
	for _, alarm := range alarms {
		event.Reminder = c.alarm(alarm)
	}
	return event
}

// trigger is the one form of a reminder that every program reads alike: whole
// minutes before the start.
var trigger = regexp.MustCompile(`^-PT([1-9][0-9]{0,3})M$`)

func (c *checker) alarm(alarm *component) time.Duration {
	if !c.exactly(alarm, "ACTION", "TRIGGER", "DESCRIPTION") {
		return 0
	}
	c.text(alarm, "DESCRIPTION")
	p, _ := alarm.first("TRIGGER")
	match := trigger.FindStringSubmatch(p.value)
	if match == nil || p.parameters["RELATED"] != "" || p.parameters["VALUE"] != "" {
		c.fault(p.line, "alarm", "TRIGGER:%s: must be -PTnM, minutes before the start", p.value)
		return 0
	}
	ahead, _ := time.ParseDuration(match[1] + "m")
	if ahead >= 24*time.Hour {
		c.fault(p.line, "alarm", "TRIGGER:%s: must be less than a day ahead", p.value)
	}
	return -ahead
}

// text unescapes a TEXT value [RFC5545 3.3.11] and faults what is not escaped.
func (c *checker) text(part *component, name string) string {
	p, ok := part.first(name)
	if !ok {
		return ""
	}
	var out strings.Builder
	escaped := false
	for _, r := range p.value {
		switch {
		case escaped && (r == 'n' || r == 'N'):
			out.WriteByte('\n')
		case escaped && strings.ContainsRune(`\;,`, r):
			out.WriteRune(r)
		case escaped:
			c.fault(p.line, "escape", `%s: \%c is no escape`, name, r)
		case r == '\\':
			escaped = true
			continue
		case r == ';', r == ',' && name != "CATEGORIES":
			c.fault(p.line, "escape", "%s: %c must be escaped", name, r)
		default:
			out.WriteRune(r)
		}
		escaped = false
	}
	if escaped {
		c.fault(p.line, "escape", `%s: a \ at the end escapes nothing`, name)
	}
	return out.String()
}

const (
	localForm = "20060102T150405"
	utcForm   = localForm + "Z"
	dateForm  = "20060102"
)

// instant reads a DATE, or a DATE-TIME in UTC or with a zone of the file.
func (c *checker) instant(p property, zones map[string]*zone) (time.Time, bool) {
	id, zoned := p.parameters["TZID"]
	if p.parameters["VALUE"] == "DATE" {
		t, err := time.Parse(dateForm, p.value)
		if err != nil || zoned {
			c.fault(p.line, "time", "%s:%s is no date without a TZID", p.name, p.value)
		}
		return t, err == nil
	}
	if t, err := time.Parse(utcForm, p.value); err == nil {
		if zoned {
			c.fault(p.line, "time", "%s:%s is in UTC and has a TZID", p.name, p.value)
		}
		return t, !zoned
	}
	local, err := time.Parse(localForm, p.value)
	switch {
	case err != nil:
		c.fault(p.line, "time", "%s:%s is no date and time", p.name, p.value)
		return time.Time{}, false
	case !zoned:
		c.fault(p.line, "time", "%s:%s floats: neither UTC nor with a TZID", p.name, p.value)
		return time.Time{}, false
	case zones[id] == nil:
		c.fault(p.line, "zone", "TZID %s has no VTIMEZONE in the file", id)
		return time.Time{}, false
	}
	t, ok := zones[id].instant(local)
	if !ok {
		c.fault(p.line, "zone", "%s:%s comes before the first onset of %s", p.name, p.value, id)
	}
	return t, ok
}

// zone is a VTIMEZONE without recurrence.
type zone struct {
	id     string
	onsets []onset
}

type onset struct {
	at       time.Time
	from, to time.Duration // offsets
}

// offset is a UTC-OFFSET [RFC5545 3.3.14].
var offset = regexp.MustCompile(`^([+-])([01][0-9]|2[0-3])([0-5][0-9])([0-5][0-9])?$`)

func (c *checker) offset(p property) time.Duration {
	match := offset.FindStringSubmatch(p.value)
	if match == nil || strings.Trim(p.value, "0") == "-" {
		c.fault(p.line, "zone", "%s:%s is no offset from UTC", p.name, p.value)
		return 0
	}
	seconds := match[4]
	if seconds == "" {
		seconds = "00"
	}
	span, _ := time.ParseDuration(match[1] + match[2] + "h" + match[3] + "m" + seconds + "s")
	return span
}

func (c *checker) zone(part *component) *zone {
	if !c.exactly(part, "TZID") {
		return nil
	}
	id, _ := part.first("TZID")
	z := &zone{id: id.value}
	observances := part.named("STANDARD", "DAYLIGHT")
	if len(observances) == 0 {
		c.fault(part.line, "zone", "VTIMEZONE %s has neither STANDARD nor DAYLIGHT", z.id)
	}
	for _, observance := range observances {
		if !c.exactly(observance, "DTSTART", "TZOFFSETFROM", "TZOFFSETTO") {
			continue
		}
		for _, name := range []string{"RRULE", "RDATE"} {
			if p, ok := observance.first(name); ok {
				c.fault(p.line, "zone", "%s in a VTIMEZONE: programs differ, give each onset its own part", name)
			}
		}
		start, _ := observance.first("DTSTART")
		from, _ := observance.first("TZOFFSETFROM")
		to, _ := observance.first("TZOFFSETTO")
		local, err := time.Parse(localForm, start.value)
		if err != nil || len(start.parameters) > 0 {
			c.fault(start.line, "zone", "onset DTSTART:%s must be a local time without TZID", start.value)
			continue
		}
		// An onset is told in the wall clock time that ends at it.
		before := c.offset(from)
		z.onsets = append(z.onsets, onset{local.Add(-before), before, c.offset(to)})
	}
	slices.SortFunc(z.onsets, func(a, b onset) int { return a.at.Compare(b.at) })
	return z
}

// instant is the wall clock time local of the zone; false before its first
// onset. Of two instants with the same reading it is the first, and a reading that
// the clock skips is told by the offset before it [RFC5545 3.3.5].
func (z *zone) instant(local time.Time) (time.Time, bool) {
	for i, o := range z.onsets {
		t := local.Add(-o.to)
		switch {
		case t.Before(o.at) && i > 0 && !local.Add(-o.from).Before(o.at):
			return local.Add(-o.from), true
		case t.Before(o.at):
			return time.Time{}, false
		case i+1 == len(z.onsets) || t.Before(z.onsets[i+1].at):
			return t, true
		}
	}
	return time.Time{}, false
}
