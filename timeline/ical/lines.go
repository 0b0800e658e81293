// Package ical reads and writes calendar files, and is the only room that knows the
// calendar library.
//
// That library writes them. It accepts files cut short, junk and dates that are none,
// reads no VTIMEZONE and takes floating times as the machine's own, so lines are read
// here, for the calendar that is about to be replaced (Read) as for those of others
// (Reader); what repeats is for the caller to work out.
//
// Sources: [RFC 5545] (iCalendar), RFC 6868 (carets in parameters), and the Unicode
// CLDR's windowsZones table (Windows zone names).
package ical

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"
)

// The limits of all files of a Reader together. They are far above ten years of a
// large household's calendars. Own choice, no source.
const (
	largest     = 32 << 20 // bytes of files
	longestLine = 2 << 20  // bytes of one line that is wanted, unfolded; others are dropped anyway
	mostLines   = 400_000  // lines that are wanted: of times alone, some 60,000 events
	mostDates   = 100_000  // dates and periods in lists, and what EXRULE takes out
	mostZones   = 1000     // names of time zones, each looked up among the world's
	// deepest is how deep components may stand in one another. RFC 5545 and its
	// additions need four; the rest is room for strangers.
	deepest = 16
)

// Error is something in a calendar file that cannot be used.
type Error struct {
	File   string
	Line   int // from 1
	Reason string
	Hint   string // the next step; may be empty
	Limit  bool   // a limit was passed, which does not hang on one event
}

// Error returns "work.ics:14: " and the reason.
func (e *Error) Error() string { return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Reason) }

// Reader reads calendar files one after another, within the limits of this package.
type Reader struct {
	// Repeat works out an RRULE of a VTIMEZONE that begins at start. Without it such
	// a rule is an error.
	Repeat func(rule Property, start Moment) ([]Instance, error)

	// Unknown is told why a zone is not known, once in a calendar, with an *Error; moments
	// in it are then Vague. Without it that is an error of theirs.
	Unknown func(why error)

	zone   *time.Location
	wanted map[string]bool

	// What was spent so far of the limits.
	size, lines, listed int
	world               map[string]Clock // names of zones looked up; nil for those unknown

	file      string                  // being read
	timezones map[string][]*Component // of the calendar being read, by TZID
	clocks    map[string]Clock        // of these, what was worked out already
}

// NewReader returns a reader that reads floating times and whole days in zone. It
// keeps the components and properties wanted, and those that describe zones; the
// rest is checked and dropped, so that a hostile file takes little memory.
func NewReader(zone *time.Location, wanted ...string) *Reader {
	r := &Reader{zone: zone, world: map[string]Clock{}, wanted: map[string]bool{}}
	zones := strings.Fields("VERSION VTIMEZONE STANDARD DAYLIGHT TZID TZOFFSETFROM TZOFFSETTO DTSTART RRULE RDATE")
	for _, name := range append(zones, wanted...) {
		r.wanted[name] = true
	}
	return r
}

// Fail returns an *Error about a line.
func (r *Reader) Fail(line int, hint, format string, values ...any) error {
	return &Error{File: r.file, Line: line, Reason: fmt.Sprintf(format, values...), Hint: hint}
}

// Pass returns an *Error about a limit that was passed.
func (r *Reader) Pass(line int, hint, format string, values ...any) error {
	return &Error{File: r.file, Line: line, Reason: fmt.Sprintf(format, values...), Hint: hint, Limit: true}
}

const (
	// Fewer is what to do where files ask for too much.
	Fewer = "export fewer years or fewer calendars"
	again = "export the calendar again"
)

// spend counts n against the limit most of a tally; what names it in an error.
func (r *Reader) spend(tally *int, most, line int, what string) error {
	if *tally++; *tally > most {
		return r.Pass(line, Fewer, "up to this line there are more than %d %s, the most that are read", most, what)
	}
	return nil
}

// CountDate counts a date of a list.
func (r *Reader) CountDate(line int) error {
	return r.spend(&r.listed, mostDates, line, "dates and periods in lists")
}

// Component is what stands between BEGIN and END.
type Component struct {
	Line       int
	Name       string // upper case
	Properties []Property
	Children   []*Component
}

// Property is one unfolded line.
type Property struct {
	Line   int // the first of its lines in the file
	Name   string
	Params map[string][]string // by upper-case name; nil when there are none
	Value  string
}

// Text is the value as TEXT [RFC 5545 3.3.11], unescaped.
func (p Property) Text() string { return escapes.Replace(p.Value) }

var escapes = strings.NewReplacer(`\\`, `\`, `\n`, "\n", `\N`, "\n", `\;`, ";", `\,`, ",")

// Once returns the properties of these names, nil where there is none; a second of
// one name is an error.
func (r *Reader) Once(c *Component, names ...string) (map[string]*Property, error) {
	found := make(map[string]*Property, len(names))
	for _, name := range names {
		for i := range c.Properties {
			if c.Properties[i].Name != name {
				continue
			}
			if found[name] != nil {
				return nil, r.Fail(c.Properties[i].Line, "", "%s stands twice in this %s", name, c.Name)
			}
			found[name] = &c.Properties[i]
		}
	}
	return found, nil
}

// need returns the only property of that name.
func (r *Reader) need(c *Component, name string) (Property, error) {
	found, err := r.Once(c, name)
	switch {
	case err != nil:
		return Property{}, err
	case found[name] == nil:
		return Property{}, r.Fail(c.Line, "", "%s has no %s", c.Name, name)
	}
	return *found[name], nil
}

// Read returns the calendars of a file, called name in errors. It wants every BEGIN
// closed, every line to be a property and nothing outside the calendars. After an
// error, which is an *Error or wraps one of in, the reader is of no use.
func (r *Reader) Read(in io.Reader, name string) ([]*Component, error) {
	r.file = name
	data, err := io.ReadAll(io.LimitReader(in, int64(largest-r.size)+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if r.size += len(data); r.size > largest {
		what := "the file is"
		if r.size > len(data) {
			what = "the calendar files together are"
		}
		return nil, r.Fail(1, Fewer, "%s larger than 32 MiB, the most that is read", what)
	}
	n := nesting{Reader: r}
	if err := r.unfold(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), n.take); err != nil { // byte order mark
		return nil, err
	}
	if len(n.open) > 0 {
		c := n.open[len(n.open)-1]
		return nil, r.Fail(c.Line, "the file is cut short: export or copy it again", "BEGIN:%s is never closed", c.Name)
	}
	if len(n.calendars) == 0 {
		return nil, r.Fail(1, "export the calendar as iCalendar, .ics",
			"this is no calendar file: it has no BEGIN:VCALENDAR")
	}
	return n.calendars, nil
}

// Open begins with a calendar: the zones it describes are those of the moments read
// from now on.
func (r *Reader) Open(c *Component) error {
	found, err := r.Once(c, "VERSION")
	if err != nil {
		return err
	}
	if version := found["VERSION"]; version == nil || version.Value != "2.0" {
		line, got := c.Line, ""
		if version != nil {
			line, got = version.Line, version.Value
		}
		return r.Fail(line, "export it as iCalendar, .ics",
			"VERSION is %s; only calendars of VERSION:2.0 can be read", Quote(got))
	}
	r.timezones, r.clocks = map[string][]*Component{}, map[string]Clock{}
	for _, child := range c.Children {
		if id := value(child, "TZID"); child.Name == "VTIMEZONE" && id != "" { // else nothing can go by it
			r.timezones[id] = append(r.timezones[id], child)
		}
	}
	return nil
}

// unfold hands each unfolded line to take, with the number of its first.
func (r *Reader) unfold(data []byte, take func(number int, line []byte) error) error {
	var text []byte // the unfolded line so far
	number, begun := 0, 0
	flush := func() error {
		if begun == 0 {
			return nil
		}
		err := take(begun, text)
		begun = 0
		return err
	}
	for len(data) > 0 {
		raw, rest, _ := bytes.Cut(data, []byte("\n"))
		data = rest
		number++
		raw = bytes.TrimSuffix(raw, []byte("\r"))
		// Folding may cut a letter in two, so it is undone before anything else
		// [RFC 5545 3.1].
		if len(raw) > 0 && (raw[0] == ' ' || raw[0] == '\t') {
			if begun > 0 {
				text = append(text, raw[1:]...)
				continue
			}
			if len(bytes.TrimSpace(raw)) > 0 {
				return r.Fail(number, again, "this line continues another, but none stands before it")
			}
			continue
		}
		if err := flush(); err != nil {
			return err
		}
		if len(raw) > 0 {
			text, begun = append(text[:0], raw...), number
		}
	}
	return flush()
}

// nesting puts the lines of a file into components.
type nesting struct {
	*Reader
	calendars, open []*Component
}

// keeps reports whether what stands in c is wanted, and counts a line of it.
func (n *nesting) keeps(c *Component, line int) (bool, error) {
	if !n.wanted[c.Name] && c.Name != "VCALENDAR" {
		return false, nil
	}
	return true, n.spend(&n.lines, mostLines, line, "lines about times")
}

func (n *nesting) take(number int, text []byte) error {
	p, err := n.property(number, text)
	if err != nil {
		return err
	}
	switch {
	case p.Name == "BEGIN":
		return n.begin(p)
	case len(n.open) == 0:
		return n.outside(number, string(text))
	}
	c := n.open[len(n.open)-1]
	switch {
	case p.Name == "END":
		if name := componentName(p); name != c.Name {
			return n.Fail(number, again, "END:%s closes nothing: %s of line %d is open", name, c.Name, c.Line)
		}
		n.open = n.open[:len(n.open)-1]
	case n.wanted[p.Name]:
		kept, err := n.keeps(c, number)
		if kept {
			c.Properties = append(c.Properties, p)
		}
		return err
	}
	return nil
}

func componentName(p Property) string { return strings.ToUpper(strings.TrimSpace(p.Value)) }

func (n *nesting) outside(line int, text string) error {
	return n.Fail(line, again, "%s stands outside a calendar; a calendar file begins with BEGIN:VCALENDAR", Quote(text))
}

// begin opens the component of a BEGIN.
func (n *nesting) begin(p Property) error {
	c := &Component{Line: p.Line, Name: componentName(p)}
	if len(n.open) == 0 {
		if c.Name != "VCALENDAR" {
			return n.outside(p.Line, p.Value)
		}
		n.calendars = append(n.calendars, c)
	} else {
		above := n.open[len(n.open)-1]
		top := c.Name == "VEVENT" || c.Name == "VFREEBUSY" || c.Name == "VTIMEZONE"
		switch {
		case len(n.open) == deepest:
			return n.Fail(p.Line, "", "components stand more than %d deep in one another", deepest)
		case c.Name == "VCALENDAR", above.Name != "VCALENDAR" && top:
			return n.Fail(p.Line, again, "BEGIN:%s stands inside %s, which was not closed (line %d)",
				c.Name, above.Name, above.Line)
		}
		if n.wanted[c.Name] {
			above.Children = append(above.Children, c)
		}
	}
	n.open = append(n.open, c)
	_, err := n.keeps(c, p.Line)
	return err
}

// property reads one unfolded line: NAME;PARAMETER=VALUE,"VALUE":VALUE. Of one that
// is not wanted only the name is read.
func (r *Reader) property(number int, line []byte) (Property, error) {
	p := Property{Line: number}
	if !utf8.Valid(line) {
		return p, r.Fail(number, "save the calendar as UTF-8", "this line is not UTF-8")
	}
	text := string(line)
	broken := func() error {
		return r.Fail(number, again, "%s is no calendar line, such as SUMMARY:Dentist", Quote(text))
	}
	name, rest := token(text)
	if name == "" || rest == "" {
		return p, broken()
	}
	p.Name = strings.ToUpper(name)
	if !r.wanted[p.Name] && p.Name != "BEGIN" && p.Name != "END" {
		// Programs write names of guests and places in parameters any way they
		// like; it says nothing about when.
		if (rest[0] != ';' && rest[0] != ':') || !strings.Contains(rest, ":") {
			return p, broken()
		}
		return p, nil
	}
	if len(line) > longestLine {
		return p, r.Fail(number, Fewer, "this %s is longer than 2 MiB, the most that is read of one line", p.Name)
	}
	for rest[0] == ';' {
		if name, rest = token(rest[1:]); name == "" || !strings.HasPrefix(rest, "=") {
			return p, broken()
		}
		name = strings.ToUpper(name)
		if _, twice := p.Params[name]; twice {
			return p, r.Fail(number, "", "parameter %s stands twice in this line", name)
		}
		var values []string
		if values, rest = parameterValues(rest); rest == "" {
			return p, broken()
		}
		if p.Params == nil {
			p.Params = map[string][]string{}
		}
		p.Params[name] = values
	}
	if rest[0] != ':' {
		return p, broken()
	}
	p.Value = rest[1:]
	return p, nil
}

// parameterValues cuts =VALUE,"VALUE" off a line; nothing is left of a broken one.
func parameterValues(rest string) (values []string, left string) {
	for more := true; more; more = rest[0] == ',' {
		rest = rest[1:] // the = or the comma
		end := strings.IndexAny(rest, `,;:"`)
		value := ""
		if strings.HasPrefix(rest, `"`) {
			if end = strings.IndexByte(rest[1:], '"'); end < 0 {
				return nil, ""
			}
			value, rest = rest[1:end+1], rest[end+2:]
		} else if end >= 0 {
			value, rest = rest[:end], rest[end:]
		} else {
			return nil, ""
		}
		if rest == "" || !strings.ContainsRune(",;:", rune(rest[0])) {
			return nil, ""
		}
		values = append(values, carets.Replace(value))
	}
	return values, rest
}

// carets undoes RFC 6868.
var carets = strings.NewReplacer("^^", "^", "^n", "\n", "^'", `"`)

// token cuts a name off text: letters, digits and hyphens.
func token(text string) (name, rest string) {
	end := strings.IndexFunc(text, func(c rune) bool {
		return (c < 'a' || c > 'z') && (c < 'A' || c > 'Z') && (c < '0' || c > '9') && c != '-'
	})
	if end < 0 {
		return text, ""
	}
	return text[:end], text[end:]
}

// Quote is text for an error, in quotes and not too long.
func Quote(text string) string {
	const longest = 60
	letters := 0
	for at := range text {
		if letters++; letters > longest {
			text = text[:at] + "…"
			break
		}
	}
	return fmt.Sprintf("%q", text)
}
