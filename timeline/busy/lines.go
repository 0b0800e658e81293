package busy

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// deepest is how deep components may stand in one another. RFC 5545 and its
// additions need four; the rest is room for strangers. Own choice, no source.
const deepest = 16

// kept are the components and properties that say when somebody is busy; the rest
// is checked and dropped, so that a hostile file takes little memory.
var kept = map[string]bool{
	"VEVENT": true, "VFREEBUSY": true, "VTIMEZONE": true, "STANDARD": true, "DAYLIGHT": true,
	"VERSION": true, "METHOD": true, "UID": true, "SUMMARY": true, "DTSTART": true, "DTEND": true, "DURATION": true,
	"TRANSP": true, "STATUS": true, "X-MICROSOFT-CDO-BUSYSTATUS": true, RunProperty: true, "FREEBUSY": true,
	"RECURRENCE-ID": true, "RRULE": true, "EXRULE": true, "RDATE": true, "EXDATE": true,
	"TZID": true, "TZOFFSETFROM": true, "TZOFFSETTO": true,
}

// component is what stands between BEGIN and END.
type component struct {
	line       int
	name       string // upper case
	properties []property
	children   []*component
}

// counts reports whether a component says when somebody is busy.
func (c *component) counts() bool { return kept[c.name] || c.name == "VCALENDAR" }

// keep counts a line of c, if that counts.
func (r *Reader) keep(c *component, line int) error {
	if !c.counts() {
		return nil
	}
	return r.spend(&r.lines, 1, mostLines, line, "lines about times")
}

// property is one unfolded line.
type property struct {
	line   int // the first of its lines in the file
	name   string
	params map[string][]string // by upper-case name; nil when there are none
	value  string
}

// parse returns the calendars of a file. It wants every BEGIN closed, every line
// to be a property and nothing outside the calendars.
func (r *Reader) parse(data []byte) ([]*component, error) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) // byte order mark
	var calendars []*component
	var open []*component

	take := func(number int, text []byte) error {
		p, err := r.property(number, text)
		if err != nil {
			return err
		}
		name := strings.ToUpper(strings.TrimSpace(p.value))
		switch {
		case p.name == "BEGIN":
			within := ""
			if len(open) > 0 {
				within = open[len(open)-1].name
			}
			switch {
			case len(open) == deepest:
				return r.fail(number, "", "components stand more than %d deep in one another", deepest)
			case within == "" && name != "VCALENDAR":
				return r.fail(number, "export the calendar again", "%s stands outside a calendar; a calendar file begins with BEGIN:VCALENDAR", quote(p.value))
			case within != "" && name == "VCALENDAR",
				within != "VCALENDAR" && (name == "VEVENT" || name == "VFREEBUSY" || name == "VTIMEZONE"):
				return r.fail(number, "export the calendar again", "BEGIN:%s stands inside %s, which was not closed (line %d)", name, within, open[len(open)-1].line)
			}
			c := &component{line: number, name: name}
			if err := r.keep(c, number); err != nil {
				return err
			}
			if len(open) == 0 {
				calendars = append(calendars, c)
			} else if kept[name] {
				above := open[len(open)-1]
				above.children = append(above.children, c)
			}
			open = append(open, c)
		case len(open) == 0:
			return r.fail(number, "export the calendar again", "%s stands outside a calendar; a calendar file begins with BEGIN:VCALENDAR", quote(string(text)))
		case p.name == "END":
			c := open[len(open)-1]
			if name != c.name {
				return r.fail(number, "export the calendar again", "END:%s closes nothing: %s of line %d is open", name, c.name, c.line)
			}
			open = open[:len(open)-1]
		default:
			if c := open[len(open)-1]; kept[p.name] && c.counts() {
				if err := r.keep(c, number); err != nil {
					return err
				}
				c.properties = append(c.properties, p)
			}
		}
		return nil
	}

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
		raw := data
		if end := bytes.IndexByte(data, '\n'); end >= 0 {
			raw, data = data[:end], data[end+1:]
		} else {
			data = nil
		}
		number++
		raw = bytes.TrimSuffix(raw, []byte("\r"))
		// Folding may cut a letter in two, so it is undone before anything else
		// (RFC 5545 3.1).
		if len(raw) > 0 && (raw[0] == ' ' || raw[0] == '\t') {
			if begun > 0 {
				text = append(text, raw[1:]...)
				continue
			}
			if len(bytes.TrimSpace(raw)) > 0 {
				return nil, r.fail(number, "export the calendar again", "this line continues another, but none stands before it")
			}
			continue
		}
		if err := flush(); err != nil {
			return nil, err
		}
		if len(raw) > 0 {
			text, begun = append(text[:0], raw...), number
		}
	}
	if err := flush(); err != nil {
		return nil, err
	}
	if len(open) > 0 {
		c := open[len(open)-1]
		return nil, r.fail(c.line, "the file is cut short: export or copy it again", "BEGIN:%s is never closed", c.name)
	}
	if len(calendars) == 0 {
		return nil, r.fail(1, "export the calendar as iCalendar, .ics", "this is no calendar file: it has no BEGIN:VCALENDAR")
	}
	return calendars, nil
}

// property reads one unfolded line: NAME;PARAMETER=VALUE,"VALUE":VALUE.
func (r *Reader) property(number int, line []byte) (property, error) {
	p := property{line: number}
	if !utf8.Valid(line) {
		return p, r.fail(number, "save the calendar as UTF-8", "this line is not UTF-8")
	}
	text := string(line)
	broken := func() error {
		return r.fail(number, "export the calendar again", "%s is no calendar line, such as SUMMARY:Dentist", quote(text))
	}
	name, rest := token(text)
	if name == "" || rest == "" {
		return p, broken()
	}
	p.name = strings.ToUpper(name)
	if !kept[p.name] && p.name != "BEGIN" && p.name != "END" {
		// Programs write names of guests and places in parameters any way they
		// like; it says nothing about when.
		if (rest[0] != ';' && rest[0] != ':') || !strings.Contains(rest, ":") {
			return p, broken()
		}
		return p, nil
	}
	if len(line) > longestLine {
		return p, r.fail(number, fewer, "this %s is longer than 2 MiB, the most that is read of one line", p.name)
	}
	for rest[0] == ';' {
		if name, rest = token(rest[1:]); name == "" || !strings.HasPrefix(rest, "=") {
			return p, broken()
		}
		name = strings.ToUpper(name)
		if _, twice := p.params[name]; twice {
			return p, r.fail(number, "", "parameter %s stands twice in this line", name)
		}
		var values []string
		for more := true; more; more = rest[0] == ',' {
			rest = rest[1:] // the = or the comma
			end := strings.IndexAny(rest, `,;:"`)
			value := ""
			if strings.HasPrefix(rest, `"`) {
				if end = strings.IndexByte(rest[1:], '"'); end < 0 {
					return p, broken()
				}
				value, rest = rest[1:end+1], rest[end+2:]
			} else if end >= 0 {
				value, rest = rest[:end], rest[end:]
			} else {
				return p, broken()
			}
			if rest == "" || !strings.ContainsRune(",;:", rune(rest[0])) {
				return p, broken()
			}
			values = append(values, carets.Replace(value))
		}
		if p.params == nil {
			p.params = map[string][]string{}
		}
		p.params[name] = values
	}
	if rest[0] != ':' {
		return p, broken()
	}
	p.value = rest[1:]
	return p, nil
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
