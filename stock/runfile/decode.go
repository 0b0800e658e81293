package runfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"

	"brothrun/stock/fault"

	"github.com/pelletier/go-toml/v2"
)

// MaxSize is the largest file that is read: 1 MiB, some thousand times an
// ordinary one; common practice, no source.
const MaxSize = 1 << 20

// DecodeKitchen reads a kitchen file of at most 1 MiB from r. name is what
// errors call the file. Every key may be left out. A byte order mark and CRLF
// line ends are accepted.
//
// An unknown key, a key twice, a quantity without a unit, a value out of range
// and anything that is not TOML is an *Error with its line; of several, the
// first in the file, but what several keys say together is checked last. A
// failure of r is returned wrapped.
func DecodeKitchen(r io.Reader, name string) (Kitchen, error) {
	var kitchen Kitchen
	if err := decode(r, name, &kitchen, new(Run), "run file"); err != nil {
		return Kitchen{}, err
	}
	return kitchen, nil
}

// DecodeRun reads a run file the way DecodeKitchen reads a kitchen file.
func DecodeRun(r io.Reader, name string) (Run, error) {
	var run Run
	if err := decode(r, name, &run, new(Kitchen), "kitchen file"); err != nil {
		return Run{}, err
	}
	return run, nil
}

// form is one kind of file.
type form interface {
	// keys are all that may stand in it, each with where its value goes: those of
	// a list into its last element.
	keys() []key
	// lists are the sections that may stand in it more than once, each with how to
	// begin another.
	lists() map[string]func()
	// settle checks what several keys say together.
	settle() *Error
	from() *Source
}

// key is one key of a form.
type key struct {
	name     string // "canner.width", "pot.name"
	examples string // as TOML values: `"12.25 in" or "31 cm"`
	set      func(value) *problem
}

// decode reads a file into a form. other is the other kind of file, called
// otherName, whose keys belong there.
func decode(r io.Reader, name string, into, other form, otherName string) error {
	data, err := io.ReadAll(io.LimitReader(r, MaxSize+1))
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if len(data) > MaxSize {
		return &Error{File: name, Reason: "is larger than 1 MiB", Hint: "is this the right file?"}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	*into.from() = Source{File: name, Lines: map[string]int{}}

	// The walk knows the keys and the lines, the library's decoder knows all of
	// TOML's rules and is given what stands before the first mistake of the walk,
	// no more: it takes the square of the lines.
	d := decoder{form: into, scanner: scanner{text: string(data), line: 1}, known: into.keys(), sections: into.lists(),
		other: names(other), otherName: otherName, counts: map[string]int{}}
	read, found := d.walk()
	if broken := syntax(data[:read], name); broken != nil {
		return broken
	}
	if found == nil {
		found = into.settle()
	}
	if found != nil {
		return found
	}
	return nil
}

// maxReason is the longest complaint of the library that is passed on, in
// characters.
const maxReason = 200

// syntax returns what makes data no TOML, duplicate keys included.
func syntax(data []byte, name string) *Error {
	var anything map[string]any
	err := toml.Unmarshal(data, &anything)
	if err == nil {
		return nil
	}
	// The library repeats keys as they are, line breaks and all.
	reason := strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return '?'
		}
		return r
	}, strings.TrimPrefix(err.Error(), "toml: "))
	if long := []rune(reason); len(long) > maxReason {
		reason = string(long[:maxReason]) + "…"
	}
	e := &Error{File: name, Reason: "cannot be read as TOML: " + reason,
		Hint: `text and quantities stand in quotes: altitude = "3200 ft"`}
	if strings.Contains(reason, "already") {
		e.Hint = "write each key and each section once, and take the others out"
	}
	var broken *toml.DecodeError
	if errors.As(err, &broken) {
		e.Line, _ = broken.Position()
	}
	return e
}

// decoder walks a file in its own order and puts every value where it belongs.
type decoder struct {
	form
	scanner
	known     []key             // of the form
	sections  map[string]func() // its lists
	other     []string          // keys and sections that belong in the file called otherName
	otherName string

	header string         // the section being read: "canner"
	counts map[string]int // elements of each list so far
}

// noTOML says that no key or value could be found; the library tells why.
var noTOML = &Error{Reason: "cannot be read as TOML"}

// walk returns the first thing wrong with a key or value, and how far the library
// is to judge: up to the statement in which that stands, or all of the file.
func (d *decoder) walk() (good int, wrong *Error) {
	for d.skip(); d.at < len(d.text); d.skip() {
		good = d.at
		if double := d.take("[["); double || d.take("[") {
			wrong = d.open(double)
		} else {
			wrong = d.assign(d.header)
		}
		switch wrong {
		case nil:
		case noTOML:
			return len(d.text), d.wrong("", noTOML.Reason, "")
		default:
			return good, wrong
		}
	}
	return len(d.text), nil
}

// open begins the section of a header, in double brackets or single ones.
func (d *decoder) open(double bool) *Error {
	path, ok := d.key("")
	if !ok || !double && !d.take("]") || double && !d.take("]]") {
		return noTOML
	}
	begin, isList := d.sections[path]
	known := find(d.known, path)
	switch {
	case isList && !double:
		return d.wrong(path, "is a list of sections, each in double brackets", "write [["+path+"]]")
	case isList && d.counts[path] == 0 && d.from().Lines[path] > 0:
		return d.wrong(path, "is given as a value further up, and here as a section", "keep one of them")
	case isList && d.counts[path] == maxCount:
		return d.wrong(path, fmt.Sprintf("is there more than %d times", maxCount), "")
	case isList:
		d.counts[path]++
		begin()
		d.known = d.keys()
	case known != nil:
		return d.wrong(path, "is a value, not a section", known.asWritten(""))
	case !d.isSection(path):
		return d.unknown(path)
	case double:
		return d.wrong(path, "is one section, in single brackets", "write ["+path+"]")
	}
	d.header = path
	d.mark(path, d.list(path))
	return nil
}

// assign reads a key and its value under a section.
func (d *decoder) assign(under string) *Error {
	path, ok := d.key(under)
	if !ok || !d.take("=") {
		return noTOML
	}
	known := find(d.known, path)
	switch {
	case known == nil && d.sections[path] != nil:
		return d.wrong(path, "is a list of sections, each in double brackets", "write [["+path+"]] and its keys below it")
	case known == nil && d.isSection(path) && d.take("{"):
		return d.inline(path)
	case known == nil && d.isSection(path):
		return d.wrong(path, "is a section, not a value", "write ["+path+"] and its keys below it")
	case known == nil:
		return d.unknown(path)
	}
	list := d.list(section(path))
	if list != "" && d.header != list {
		return d.wrong(path, "stands in a section of its own", "write [["+list+"]] and "+leaf(path)+" below it")
	}
	d.mark(path, list)
	v := value{raw: d.value()}
	if v.is, ok = decodeValue(v.raw); !ok {
		return noTOML
	}
	wrong := known.set(v)
	if wrong == nil {
		return nil
	}
	if wrong.hint == "" || wrong.number != "" {
		wrong.hint = known.asWritten(wrong.number)
	}
	return d.wrong(path, wrong.reason, wrong.hint)
}

// inline reads the keys of a section in braces.
func (d *decoder) inline(path string) *Error {
	d.mark(path, "")
	for !d.take("}") {
		if wrong := d.assign(path); wrong != nil {
			return wrong
		}
		d.take(",")
	}
	return nil
}

// find returns the key of that name, nil when there is none.
func find(keys []key, name string) *key {
	if i := slices.IndexFunc(keys, func(k key) bool { return k.name == name }); i >= 0 {
		return &keys[i]
	}
	return nil
}

// isSection reports whether path is one section, in single brackets.
func (d *decoder) isSection(path string) bool {
	return d.sections[path] == nil &&
		slices.ContainsFunc(d.known, func(k key) bool { return strings.HasPrefix(k.name, path+".") })
}

// list returns the list path stands in or is, or "".
func (d *decoder) list(path string) string {
	for path != "" && d.sections[path] == nil {
		path = section(path)
	}
	return path
}

// mark notes the line of path, which stands in list unless that is "".
func (d *decoder) mark(path, list string) {
	if _, ok := d.from().Lines[path]; !ok {
		d.from().Lines[path] = d.line
	}
	if list != "" {
		d.from().Lines[fmt.Sprintf("%s[%d]%s", list, d.counts[list]-1, path[len(list):])] = d.line
	}
}

// wrong complains of the key that was passed last.
func (d *decoder) wrong(path, reason, hint string) *Error {
	return &Error{d.from().File, d.line, path, reason, hint}
}

// unknown complains of a key the form does not have, and says what comes
// nearest: its right place, or the right spelling.
func (d *decoder) unknown(path string) *Error {
	if slices.Contains(d.other, path) {
		return d.wrong(path, "belongs in the "+d.otherName, "move it there")
	}
	var places []string
	for _, k := range d.known {
		in := section(k.name)
		switch {
		case leaf(k.name) != leaf(path):
		case in == "":
			places = append(places, "at the top of the file, above every [section]")
		case d.sections[in] != nil:
			places = append(places, "under [["+in+"]]")
		default:
			places = append(places, "under ["+in+"]")
		}
	}
	if len(places) > 0 {
		return d.wrong(path, fmt.Sprintf("is not known here: %s stands %s", leaf(path), strings.Join(places, " or ")),
			"move the line there")
	}
	return d.wrong(path, "is not a known key; the nearest is "+fault.Nearest(path, names(d.form)),
		"correct the spelling, or take the line out")
}

// names returns every key and section of a form, keys first.
func names(f form) []string {
	var names, sections []string
	for _, k := range f.keys() {
		names = append(names, k.name)
		for in := section(k.name); in != ""; in = section(in) {
			sections = append(sections, in)
		}
	}
	slices.Sort(sections)
	return append(names, slices.Compact(sections)...)
}

// section returns the section a key stands in: "canner" for "canner.width".
func section(name string) string { return name[:max(strings.LastIndexByte(name, '.'), 0)] }

// leaf returns a key as it is written in its section.
func leaf(name string) string { return name[strings.LastIndexByte(name, '.')+1:] }

// Source says where in a file each key stands. The zero value is "no file".
type Source struct {
	File string
	// Lines maps a key to its line, from 1: "altitude", "canner.width",
	// "pot[0].width" with "pot.width" for the first of them, and the headers of
	// sections, "canner" and "pot[0]". Delete a key that a flag overrides.
	Lines map[string]int
}

func (s *Source) from() *Source { return s }

// index is the place in a list within a key: "pot[0].width".
var index = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\[\d+\]`) })

// wrong complains of a key by its line.
func (s *Source) wrong(key, reason, hint string) *Error {
	return &Error{s.File, s.Lines[key], index().ReplaceAllString(key, ""), reason, hint}
}

// At returns where key stands, "run.toml:7": its own line or that of the
// section it would stand in; empty when the file has neither.
func (s Source) At(key string) string {
	for ; key != ""; key = section(key) {
		if line, ok := s.Lines[key]; ok {
			return fmt.Sprintf("%s:%d", s.File, line)
		}
	}
	return ""
}

// Error is something in a file that cannot be used.
type Error struct {
	File   string
	Line   int    // from 1; 0 when no single line is at fault
	Key    string // "canner.width"; empty when no single key is at fault
	Reason string
	Hint   string // the next step; may be empty
}

// Error returns "run.toml:7: pot: " and the reason.
func (e *Error) Error() string {
	text := e.File
	if e.Line > 0 {
		text += fmt.Sprintf(":%d", e.Line)
	}
	if e.Key != "" {
		text += ": " + e.Key
	}
	return text + ": " + e.Reason
}
