package runfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"github.com/agnivade/levenshtein"
	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"brothrun/stock/quantity"
)

// maxSize is the largest file that is read: 1 MiB, some thousand times an
// ordinary one; common practice, no source.
const maxSize = 1 << 20

// DecodeKitchen reads a kitchen file of at most 1 MiB from r. name is what
// errors call the file. Every key may be left out. A byte order mark and CRLF
// line ends are accepted.
//
// An unknown key, a key twice, a quantity without a unit, a value out of range
// and anything that is not TOML is an *Error with its line; of several, the
// first in the file, but what several keys say together is checked last. A
// failure of r is returned wrapped.
func DecodeKitchen(r io.Reader, name string) (Kitchen, error) {
	kitchen, source, err := decode(r, name, kitchenForm(), func(path string) bool { return runForm().has(path) }, "run file")
	if err != nil {
		return Kitchen{}, err
	}
	kitchen.Source = source
	if err := kitchen.settle(); err != nil {
		return Kitchen{}, err
	}
	return kitchen, nil
}

// DecodeRun reads a run file the way DecodeKitchen reads a kitchen file.
func DecodeRun(r io.Reader, name string) (Run, error) {
	run, source, err := decode(r, name, runForm(), func(path string) bool { return kitchenForm().has(path) }, "kitchen file")
	if err != nil {
		return Run{}, err
	}
	run.Source = source
	if err := run.settle(); err != nil {
		return Run{}, err
	}
	return run, nil
}

// index is the place in a list within a key: "pot[0].width".
var index = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\[\d+\]`) })

// settle checks what several keys say together and works out fill lines that
// are volumes.
func (k *Kitchen) settle() error {
	wrong := func(key, reason, hint string) error {
		return &Error{k.File, k.Lines[key], index().ReplaceAllString(key, ""), reason, hint}
	}
	names := map[string]bool{}
	for i := range k.Pots {
		pot := &k.Pots[i]
		key := fmt.Sprintf("pot[%d]", i)
		if name := strings.ToLower(pot.Name); name != "" {
			if names[name] {
				return wrong(key+".name", fmt.Sprintf("two pots are called %q", pot.Name), "give each pot a name of its own")
			}
			names[name] = true
		}
		if pot.fillVolume == nil {
			continue
		}
		if pot.Volume == nil {
			return wrong(key+".fill_line", "is a volume, but the pot's own volume is not given", `add volume = "22 qt", or write fill_line = "90 %"`)
		}
		part := pot.fillVolume.Litres() / pot.Volume.Litres()
		if !(part >= 0.3 && part <= 1) {
			return wrong(key+".fill_line", fmt.Sprintf("is %.0f %% of the pot: must be from 30 %% to 100 %%", 100*part), "measure the line and the pot to the brim with the same jug")
		}
		pot.FillLine, pot.fillVolume = &part, nil
	}
	for i := range k.OwnJars {
		if key, reason, hint := k.OwnJars[i].settle(k.OwnJars[:i]); reason != "" {
			return wrong(strings.TrimSuffix(fmt.Sprintf("jar[%d].%s", i, key), "."), reason, hint)
		}
	}
	for i, booking := range k.FreezeDryer.Bookings {
		if booking.From == "" || booking.To == "" {
			return wrong(fmt.Sprintf("freeze_dryer.booking[%d]", i), "needs both from and to", `write from = "2026-11-27 12:00" and to = "2026-11-29 18:00"`)
		}
	}
	return nil
}

// settle checks what a jar's keys say together, with the jars before it, and
// writes its name as JarName does.
func (j *OwnJar) settle(before []OwnJar) (key, reason, hint string) {
	for _, size := range []struct {
		key   string
		given bool
	}{
		{"name", j.Name != ""}, {"brimful", j.Brimful != nil}, {"bore", j.Bore != nil},
		{"diameter", j.Diameter != nil}, {"height", j.Height != nil},
	} {
		if !size.given {
			return "", "needs a " + size.key, kitchenForm().byName["jar."+size.key].asWritten()
		}
	}
	name := JarName(j.Name)
	switch {
	case !jarWord().MatchString(name):
		return "name", fmt.Sprintf("%q is not a name --jars can be given", clip(j.Name)), "use up to 40 letters, figures, blanks and hyphens"
	case slices.Contains(jarSizes, name) || slices.Contains(unitWords, name):
		return "name", fmt.Sprintf("%q is the name of a size that is known already", clip(j.Name)), "give your own jar a name of its own"
	}
	for _, other := range before {
		if other.Name == name {
			return "name", fmt.Sprintf("two jars are called %q", name), "give each jar a name of its own"
		}
	}
	j.Name = name
	if *j.Bore >= *j.Diameter {
		return "bore", "is not less than the diameter of the jar", "measure the mouth inside, and the jar outside at its widest"
	}
	radius := j.Diameter.Metres() / 2
	outside := quantity.Volume(math.Pi * radius * radius * j.Height.Metres())
	if share := float64(*j.Brimful / outside); !(share >= leastInside && share <= mostInside) {
		return "brimful", fmt.Sprintf("is %.0f %% of what a plain cylinder of the jar's diameter and height holds: must be from %.0f %% to %.0f %%", 100*share, 100*leastInside, 100*mostInside),
			"measure again: water to the rim, not what is printed on the glass, and the outside with the lid on"
	}
	return "", "", ""
}

// unitWords would be read as a size of jar, and its time, wherever they stand.
var unitWords = []string{"half-gallon", "gallon", "gal", "qt", "pt", "cup", "l", "ml", "oz", "fl-oz"}

// jarWord is a name that fits into --jars: no comma, no equals sign.
var jarWord = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}-]{0,39}$`) })

// A jar holds this share of the cylinder around it, 0.58 to 0.76 for those of the
// catalogue: a slip in a measure, which would take a quart for a pint, falls
// outside. Common practice, no source.
const leastInside, mostInside = 0.40, 0.95

// settle checks what several keys say together.
func (r *Run) settle() error {
	for i, portion := range r.Portions {
		key := fmt.Sprintf("bones[%d]", i)
		if portion.Kind == "" || portion.Weight == nil {
			return &Error{r.File, r.Lines[key], "bones", "needs both kind and weight", `write kind = "chicken-frames" and weight = "3 lb"`}
		}
	}
	ids := map[string]bool{}
	for i, note := range r.Notes {
		key := fmt.Sprintf("note[%d]", i)
		switch {
		case note.At == "" || note.What == "":
			return &Error{r.File, r.Lines[key], "note", "needs both at and what", `write at = "2026-11-28 17:10" and what = "strained"`}
		case ids[note.ID]:
			return &Error{r.File, r.Lines[key+".id"], "note.id", fmt.Sprintf("two notes have the id %q", clip(note.ID)), "give each an id of its own, or none"}
		}
		ids[note.ID] = note.ID != ""
	}
	if len(r.Portions) > 0 && r.Kind != "" {
		return &Error{r.File, r.Lines["kind"], "kind", "goes against [[bones]], each of which has a kind of its own", "take this line out, or write one kind and bones without brackets"}
	}
	return nil
}

// decode reads a file of form f. elsewhere tells keys that belong in the other
// kind of file, called other.
func decode[T any](r io.Reader, name string, f *form[T], elsewhere func(string) bool, other string) (T, Source, error) {
	d := decoder[T]{form: f, elsewhere: elsewhere, other: other,
		source: Source{File: name, Lines: map[string]int{}}, counts: map[string]int{}, valued: map[string]bool{}}
	data, err := io.ReadAll(io.LimitReader(r, maxSize+1))
	if err != nil {
		return d.result, d.source, fmt.Errorf("%s: %w", name, err)
	}
	if len(data) > maxSize {
		return d.result, d.source, &Error{File: name, Reason: "is larger than 1 MiB", Hint: "is this the right file?"}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))

	// The walk knows the keys and the lines, the library's own decoder knows
	// all of TOML's rules: the earlier complaint is the one to show. What stands
	// behind the first is not decoded: the library takes the square of the lines.
	read, found := d.walk(data)
	if broken := syntax(data[:read], name); broken != nil && (found == nil || broken.Line < found.Line) {
		found = broken
	}
	if found != nil {
		return d.result, d.source, found
	}
	return d.result, d.source, nil
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
type decoder[T any] struct {
	form      *form[T]
	elsewhere func(string) bool
	other     string

	parser unstable.Parser
	result T
	source Source
	header string          // the section being read: "canner"
	counts map[string]int  // elements of each list so far
	valued map[string]bool // keys that were given a value

	offset, line int // lines are counted as the walk goes on
}

// walk returns the first thing wrong with a key or value, and how far the file is
// good: up to the line in which that stands, or all of it.
func (d *decoder[T]) walk(data []byte) (good int, wrong *Error) {
	d.line = 1
	d.parser.Reset(data)
	for d.parser.NextExpression() {
		node := d.parser.Expression()
		if key := node.Key(); key.Next() {
			good = 1 + bytes.LastIndexByte(data[:key.Node().Raw.Offset], '\n')
		}
		switch node.Kind {
		case unstable.Table, unstable.ArrayTable:
			wrong = d.open(node)
		case unstable.KeyValue:
			wrong = d.assign(d.header, node)
		}
		if wrong != nil {
			return good, wrong
		}
	}
	return len(data), nil
}

// maxParts is more than any known key has; the rest of a longer one is cut.
const maxParts = 4

// path joins a dotted key under a section and moves on to its line.
func (d *decoder[T]) path(under string, key unstable.Iterator) string {
	path := under
	for parts := 0; key.Next(); parts++ {
		node := key.Node()
		if parts == 0 {
			offset := int(node.Raw.Offset)
			d.line += bytes.Count(d.parser.Data()[d.offset:offset], []byte("\n"))
			d.offset = offset
		}
		if parts == maxParts {
			return path + ".…"
		}
		if path != "" {
			path += "."
		}
		path += part(string(node.Data))
	}
	return path
}

// bareKey reports whether TOML lets a key stand without quotes.
func bareKey(key string) bool {
	return key != "" && strings.Trim(key, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-") == ""
}

// part writes one part of a key; what is not a bare key in quotes, so that a
// quoted dot is no divider.
func part(key string) string {
	if bareKey(key) {
		return clip(key)
	}
	return strconv.Quote(clip(key))
}

// open begins the section of a header.
func (d *decoder[T]) open(node *unstable.Node) *Error {
	path := d.path("", node.Key())
	begin, isList := d.form.lists[path]
	switch {
	case isList && node.Kind == unstable.Table:
		return d.wrong(path, "is a list of sections, each in double brackets", "write [["+path+"]]")
	case isList && d.form.byName[path] != nil && d.valued[path]:
		return d.wrong(path, "is given as a value further up, and here as a section", "keep one of them")
	case isList:
		if d.counts[path]++; d.counts[path] > maxCount {
			return d.wrong(path, fmt.Sprintf("is there more than %d times", maxCount), "")
		}
		begin(&d.result)
	case d.form.tables[path] && node.Kind == unstable.ArrayTable:
		return d.wrong(path, "is one section, in single brackets", "write ["+path+"]")
	case d.form.byName[path] != nil:
		return d.wrong(path, "is a value, not a section", d.form.byName[path].asWritten())
	case !d.form.tables[path]:
		return d.unknown(path)
	}
	d.header = path
	d.mark(path, d.list(path))
	return nil
}

// assign reads a key and its value under a section.
func (d *decoder[T]) assign(under string, node *unstable.Node) *Error {
	path := d.path(under, node.Key())
	v := node.Value()
	e := d.form.byName[path]
	switch {
	case d.form.lists[path] != nil && e == nil:
		return d.wrong(path, "is a list of sections, each in double brackets", "write [["+path+"]] and its keys below it")
	case d.form.tables[path] && v.Kind == unstable.InlineTable:
		d.mark(path, "")
		for children := v.Children(); children.Next(); {
			if err := d.assign(path, children.Node()); err != nil {
				return err
			}
		}
		return nil
	case d.form.tables[path]:
		return d.wrong(path, "is a section, not a value", "write ["+path+"] and its keys below it")
	case e == nil:
		return d.unknown(path)
	}
	list := d.list(section(path))
	if list != "" && d.header != list {
		return d.wrong(path, "stands in a section of its own", "write [["+list+"]] and "+leaf(path)+" below it")
	}
	d.mark(path, list)
	d.valued[path] = true
	if err := e.set(&d.result, value{v.Kind, string(v.Data)}); err != nil {
		var p *problem
		if !errors.As(err, &p) {
			p = &problem{reason: err.Error()}
		}
		switch {
		case p.number != "":
			p.hint = e.withNumber(p.number)
		case p.hint == "":
			p.hint = e.asWritten()
		}
		return d.wrong(path, p.reason, p.hint)
	}
	return nil
}

// list returns the list path stands in or is, or "".
func (d *decoder[T]) list(path string) string {
	for ; path != ""; path = section(path) {
		if d.form.lists[path] != nil {
			return path
		}
	}
	return ""
}

// mark notes the line of path, which stands in list unless that is "".
func (d *decoder[T]) mark(path, list string) {
	if _, ok := d.source.Lines[path]; !ok {
		d.source.Lines[path] = d.line
	}
	if list != "" {
		d.source.Lines[fmt.Sprintf("%s[%d]%s", list, d.counts[list]-1, path[len(list):])] = d.line
	}
}

func (d *decoder[T]) wrong(path, reason, hint string) *Error {
	return &Error{d.source.File, d.line, path, reason, hint}
}

// has reports whether the form knows path, as a key or as a section.
func (f *form[T]) has(path string) bool {
	return f.byName[path] != nil || f.tables[path] || f.lists[path] != nil
}

// unknown complains of a key the form does not have, and says what comes
// nearest: its right place, or the right spelling.
func (d *decoder[T]) unknown(path string) *Error {
	if d.elsewhere(path) {
		return d.wrong(path, "belongs in the "+d.other, "move it there")
	}
	var places []string
	for _, e := range d.form.entries {
		if leaf(e.Name) == leaf(path) {
			places = append(places, d.place(section(e.Name)))
		}
	}
	if len(places) > 0 {
		return d.wrong(path, fmt.Sprintf("is not known here: %s stands %s", leaf(path), strings.Join(places, " or ")), "move the line there")
	}
	return d.wrong(path, "is not a known key; the nearest is "+nearest(path, d.form.names()), "correct the spelling, or take the line out")
}

// nearest is the word that is most like what was written.
func nearest(written string, words []string) string {
	return slices.MinFunc(words, func(a, b string) int {
		return levenshtein.ComputeDistance(written, a) - levenshtein.ComputeDistance(written, b)
	})
}

// place says where the keys of a section stand.
func (d *decoder[T]) place(in string) string {
	switch {
	case in == "":
		return "at the top of the file, above every [section]"
	case d.form.lists[in] != nil:
		return "under [[" + in + "]]"
	}
	return "under [" + in + "]"
}

// names returns every key and section, keys first.
func (f *form[T]) names() []string {
	var names []string
	for _, e := range f.entries {
		names = append(names, e.Name)
	}
	names = append(names, slices.Sorted(maps.Keys(f.tables))...)
	return append(names, slices.Sorted(maps.Keys(f.lists))...)
}
