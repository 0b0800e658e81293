package runfile

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"brothrun/stock/fault"
)

// Field is a key of a run or kitchen file that is given in it, or that stands there to be
// filled in, as #width = "___ in" does in Starter.
type Field struct {
	Key     string // "canner.width", and of the second [[pot]] "pot[1].volume"
	Text    string // its value, a text without its quotes; empty: not given
	Example string // what stands where it is not given: "___ in"
	Advice  string // the comment above it, on one line
}

// Fields are the keys of a file, in its order. They are found by their lines, whatever they
// say: whether the file can be read, DecodeKitchen and DecodeRun tell.
func Fields(data []byte) (all []Field) {
	for _, e := range entriesOf(split(data)) {
		if e.key == "" {
			continue
		}
		f := Field{Key: e.key, Advice: e.advice}
		if text, _ := strings.CutSuffix(e.value, "\r"); e.off {
			f.Example = unquoted(text)
		} else {
			f.Text = unquoted(text)
		}
		all = append(all, f)
	}
	return all
}

// Edit changes one key of a file, as Fields calls it, and leaves every other octet as it
// is. A key that is not there is put at the end of its section, and a section at the end
// of the file. Without text the key is taken out of use by a # before it. text is one
// line. Whether it can be read is for DecodeKitchen and DecodeRun. A text of more lines,
// and a value that stands on several or is a list, are a *fault.Fault.
func Edit(data []byte, key, text string) ([]byte, error) {
	if strings.ContainsAny(text, "\r\n") || len(text) > maxText {
		return nil, fault.New(key, "write it on one line", "%s: a text has one line of up to %d characters", key, maxText)
	}
	if bytes.Contains(data, []byte(`"""`)) || bytes.Contains(data, []byte("'''")) { // a line in it may look like a key
		return nil, fault.New(key, "change it in the file", "%s: the file has a text over several lines", key)
	}
	section, name := "", key
	if i := strings.LastIndexByte(key, '.'); i >= 0 {
		section, name = key[:i], key[i+1:]
	}
	lines := split(data)
	all := entriesOf(lines)
	at := slices.IndexFunc(all, func(e entry) bool { return e.key == key && !e.off })
	if at < 0 {
		at = slices.IndexFunc(all, func(e entry) bool { return e.key == key })
	}
	switch {
	case at >= 0 && !all[at].plain:
		return nil, fault.New(key, "change it in the file", "%s: its value is a list, or stands on several lines", key)
	case at >= 0:
		return all[at].put(lines, text), nil
	case text == "":
		return data, nil
	}
	added := name + " = " + quoted(text) + lineEnd(string(data))
	last := -1
	for i, e := range all {
		if e.section == section && !(e.off && e.headless >= 0) {
			last = i
		}
	}
	if last < 0 && section == "" { // before the first section
		if len(all) == 0 {
			return joined(lines, len(lines), added), nil
		}
		return joined(lines, all[0].line, added), nil
	}
	if last < 0 {
		header := "[" + section + "]"
		if list, _, ok := strings.Cut(section, "["); ok {
			header = "[[" + list + "]]"
		}
		return slices.Concat(data, []byte(gap(string(data))+header+lineEnd(string(data))+added)), nil
	}
	return joined(lines, all[last].line+1, added), nil
}

// entry is a line that holds a key or begins a section.
type entry struct {
	line          int
	key, section  string // key is empty of the beginning of a section
	off           bool   // it stands behind a #
	headless      int    // of a key that is off: the line where its section begins, behind a # too; else -1
	before, value string // what stands before the value, with its =
	after         string // blanks, a comment and the line end
	plain         bool   // the value is one text, number or truth
	advice        string
}

var (
	keyLine    = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^([ \t]*)(#?)([A-Za-z0-9_.-]+)([ \t]*=[ \t]*)(.*)$`) })
	headerLine = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^(#?)(\[\[?)[ \t]*([A-Za-z0-9_.-]+)[ \t]*\]\]?[ \t]*(?:#.*)?\r?$`)
	})
	plainValue = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^("(?:[^"\\]|\\.)*"|'[^']*'|[^"'\[{#][^#]*?)([ \t]*(?:#.*)?\r?)$`)
	})
)

// split are the lines of a file, each with its end.
func split(data []byte) []string { return strings.SplitAfter(string(data), "\n") }

func joined(lines []string, at int, added string) []byte {
	if at > 0 && !strings.HasSuffix(lines[at-1], "\n") && lines[at-1] != "" {
		added = lineEnd(strings.Join(lines, "")) + added
	}
	return []byte(strings.Join(slices.Insert(slices.Clone(lines), at, added), ""))
}

// entriesOf finds the keys and sections by their lines.
func entriesOf(lines []string) (all []entry) {
	section, offSection, offLine := "", "", -1
	counts := map[string]int{}
	var advice []string
	for i, line := range lines {
		text := strings.TrimSuffix(line, "\n")
		if i == 0 {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		bare := strings.TrimRight(text, " \t\r")
		if found := headerLine().FindStringSubmatch(bare); found != nil {
			name := found[3]
			if found[2] == "[[" {
				name = fmt.Sprintf("%s[%d]", found[3], counts[found[3]])
			}
			e := entry{line: i, section: name, off: found[1] != "", headless: -1}
			if e.off {
				offSection, offLine = name, i
			} else {
				section, offSection, offLine = name, name, -1
				counts[found[3]]++
			}
			all, advice = append(all, e), nil
			continue
		}
		found := keyLine().FindStringSubmatch(text)
		if found == nil {
			switch comment, is := strings.CutPrefix(bare, "# "); {
			case is:
				advice = append(advice, comment)
			case bare == "":
				advice = nil
			}
			continue
		}
		e := entry{line: i, off: found[2] != "", headless: -1, section: section, value: found[5], advice: strings.Join(advice, " "),
			before: line[:strings.Index(line, found[0])] + strings.Join(found[1:5], "")}
		if e.off {
			e.section, e.headless = offSection, offLine
		}
		e.key = strings.TrimPrefix(e.section+"."+found[3], ".")
		if value := plainValue().FindStringSubmatch(found[5]); value != nil {
			e.plain, e.value, e.after = true, value[1], value[2]
		}
		e.plain = e.plain && !strings.HasPrefix(e.value, `""`) || e.value == `""`
		e.after += line[len(strings.TrimSuffix(line, "\n")):]
		all, advice = append(all, e), nil
	}
	return all
}

// put writes a text as the value of a key.
func (e entry) put(lines []string, text string) []byte {
	lines = slices.Clone(lines)
	before := e.before
	switch {
	case text == "" && e.off:
		return []byte(strings.Join(lines, ""))
	case text == "":
		start := len(before) - len(strings.TrimLeft(before, "\ufeff \t"))
		lines[e.line] = before[:start] + "#" + lines[e.line][start:]
		return []byte(strings.Join(lines, ""))
	case e.off:
		before = strings.Replace(before, "#", "", 1)
	}
	value := quoted(text)
	bare := !strings.HasPrefix(e.value, `"`) && !strings.HasPrefix(e.value, "'")
	if bare && (strings.Trim(text, "0123456789") == "" || text == "true" || text == "false") {
		value = text
	}
	lines[e.line] = before + value + e.after
	if e.headless >= 0 {
		lines[e.headless] = strings.Replace(lines[e.headless], "#", "", 1)
	}
	return []byte(strings.Join(lines, ""))
}

// unquoted is what a value says, as far as that is one text.
func unquoted(raw string) string {
	if meaning, ok := decodeValue(raw); ok {
		if text, is := meaning.(string); is {
			return text
		}
	}
	return strings.Trim(raw, `"'`)
}
