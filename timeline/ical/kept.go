package ical

import (
	"bytes"
	"slices"
	"strings"
)

// Kept is a component that somebody else put into a calendar of ours: an event of the
// cook's own, a to-do, or the rules of a zone that one of them goes by.
type Kept struct {
	// Data is the component as it stood, byte for byte, from BEGIN to the end of the line
	// of END; but lines that ended otherwise end with CRLF, as the file has to.
	Data []byte
	line int      // of its BEGIN
	zone string   // that it describes; empty for all but a VTIMEZONE
	uses []string // the zones its times are in
}

// used are those of kept that are to be written: zones only where another goes by them,
// once each, and first.
func used(kept []Kept) []Kept {
	var zones, rest []Kept
	for _, k := range kept {
		if k.zone == "" {
			rest = append(rest, k)
		}
	}
	for _, k := range kept {
		wanted := k.zone != "" && slices.ContainsFunc(rest, func(other Kept) bool { return slices.Contains(other.uses, k.zone) })
		if wanted && !slices.ContainsFunc(zones, func(other Kept) bool { return other.zone == k.zone }) {
			zones = append(zones, k)
		}
	}
	return append(zones, rest...)
}

// componentsOf cuts the components out of the calendars of a file that Reader.Read took.
func componentsOf(data []byte) (all []Kept) {
	depth, number := 0, 0
	var open *Kept
	for line := range bytes.Lines(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))) {
		number++
		text := bytes.TrimRight(line, "\r\n")
		name := strings.ToUpper(string(text[:min(len(text), 6)]))
		begins, ends := name == "BEGIN:", strings.HasPrefix(name, "END:")
		if begins {
			depth++
			if depth == 2 {
				all = append(all, Kept{line: number})
				open = &all[len(all)-1]
			}
		}
		if open != nil && len(text) > 0 {
			open.Data = append(append(open.Data, text...), "\r\n"...)
		}
		if ends {
			if depth--; depth == 1 && open != nil {
				open.describe()
				open = nil
			}
		}
	}
	return all
}

// describe finds the zone that a component describes, and those it goes by.
func (k *Kept) describe() {
	unfolded := strings.NewReplacer("\r\n ", "", "\r\n\t", "").Replace(string(k.Data))
	timezone := strings.HasPrefix(strings.ToUpper(unfolded), "BEGIN:VTIMEZONE")
	for line := range strings.SplitSeq(unfolded, "\r\n") {
		name, rest := token(line)
		if timezone && strings.EqualFold(name, "TZID") {
			k.zone = rest[min(len(rest), strings.IndexByte(rest, ':')+1):]
			return
		}
		for strings.HasPrefix(rest, ";") {
			var parameter string
			parameter, rest = token(rest[1:])
			if !strings.HasPrefix(rest, "=") {
				break
			}
			var values []string
			if values, rest = parameterValues(rest); strings.EqualFold(parameter, "TZID") {
				k.uses = append(k.uses, values...)
			}
		}
	}
}
