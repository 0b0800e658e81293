package ical

import (
	_ "embed"
	"strings"
	"sync"
)

//go:embed windows_zones.tsv
var windowsTable string

// windowsZones are the IANA names of zones by what Windows calls them, in lower case: by
// name, "mountain standard time", and by what its settings show, with the offset or
// without, "(utc-07:00) mountain time (us & canada)". Source: Unicode CLDR, windowsZones;
// the file says which.
var windowsZones = sync.OnceValue(func() map[string]string {
	zones := map[string]string{}
	for line := range strings.Lines(windowsTable) {
		parts := strings.Split(strings.TrimSpace(line), "\t")
		if len(parts) != 3 {
			continue
		}
		for _, name := range []string{parts[0], parts[2], place(parts[2])} {
			zones[strings.ToLower(name)] = parts[1]
		}
	}
	return zones
})

// place is what is shown of a zone without its offset, which others write as GMT.
func place(shown string) string {
	offset, rest, found := strings.Cut(shown, ")")
	if found && (strings.HasPrefix(offset, "(UTC") || strings.HasPrefix(offset, "(GMT")) {
		return strings.TrimSpace(rest)
	}
	return shown
}

// fromWindows is the IANA name of a zone that Windows calls so, or shows so; empty for none.
func fromWindows(name string) string {
	zones := windowsZones()
	if zone := zones[strings.ToLower(name)]; zone != "" {
		return zone
	}
	return zones[strings.ToLower(place(name))]
}
