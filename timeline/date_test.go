package timeline_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline"
)

// wednesday is 18 November 2026, 04:06 in Denver.
func wednesday(t *testing.T, place string) time.Time {
	return time.Date(2026, time.November, 18, 4, 6, 40, 0, zone(t, place))
}

// Weekdays by the calendar of 2026; the order of figures by the short dates of Unicode
// CLDR 48 for the country of the zone; the rest is common practice, no source.
func TestReadDate(t *testing.T) {
	for _, row := range []struct {
		zone, text, want string
		moves            bool
	}{
		{"America/Denver", "2026-11-28 08:00", "2026-11-28 08:00", false},
		{"America/Denver", "2026-11-28T08:00:30", "2026-11-28T08:00:30", false},
		{"America/Denver", "2026-11-28 8am", "2026-11-28 08:00", false},
		{"America/Denver", "Sat 8am", "2026-11-21 08:00", true},
		{"America/Denver", "saturday 8:00", "2026-11-21 08:00", true},
		{"America/Denver", "8 a.m. on SATURDAY", "2026-11-21 08:00", true},
		{"America/Denver", "this Tues at 5:30 pm", "2026-11-24 17:30", true},
		{"America/Denver", "Wed 5am", "2026-11-18 05:00", true}, // still to come today
		{"America/Denver", "Wed 4am", "2026-11-25 04:00", true}, // past today
		{"America/Denver", "today 3am", "2026-11-18 03:00", true},
		{"America/Denver", "tomorrow 8am", "2026-11-19 08:00", true},
		{"America/Denver", "28 Nov 6pm", "2026-11-28 18:00", true},
		{"America/Denver", "Nov. 28th 6pm", "2026-11-28 18:00", true},
		{"America/Denver", "Sat 28 Nov 6pm", "2026-11-28 18:00", true},
		{"America/Denver", "18 Nov 3:00", "2026-11-18 03:00", true}, // today, though past
		{"America/Denver", "17 Nov 18:00", "2027-11-17 18:00", true},
		{"America/Denver", "29 feb 6pm", "2028-02-29 18:00", true},
		{"America/Denver", "Saturday, November 28, 2026 8:00 am", "2026-11-28 08:00", false},
		{"America/Denver", "28 Nov 2026 noon", "2026-11-28 12:00", false},
		{"America/Denver", "28 Nov 2026 12pm", "2026-11-28 12:00", false},
		{"America/Denver", "28 Nov 2026 12:05 am", "2026-11-28 00:05", false},

		{"America/Denver", "12/5/2026 8:00", "2026-12-05 08:00", false},
		{"US/Mountain", "12/5/2026 8:00", "2026-12-05 08:00", false},
		{"Pacific/Honolulu", "12/5/2026 8:00", "2026-12-05 08:00", false},
		{"Europe/London", "12/5/2026 8:00", "2026-05-12 08:00", false},
		{"Europe/Berlin", "12.5.2026 8:00", "2026-05-12 08:00", false},
		{"Australia/Sydney", "12/5 8:00", "2027-05-12 08:00", true},
		{"America/Denver", "28/11/2026 8:00", "2026-11-28 08:00", false}, // no 28th month
		{"America/Toronto", "11/28/2026 8:00", "2026-11-28 08:00", false},
		{"America/Toronto", "5/5/2026 8:00", "2026-05-05 08:00", false},
	} {
		local, moves, err := timeline.ReadDate(row.text, wednesday(t, row.zone))
		require.NoError(t, err, row.text)
		assert.Equal(t, row.want, local, row.text)
		assert.Equal(t, row.moves, moves, row.text)
		_, _, err = timeline.ParseLocal(local, zone(t, row.zone))
		assert.NoError(t, err, row.text)
	}
}

func TestDatesThatMayBeSeveralAreErrors(t *testing.T) {
	for _, row := range []struct{ zone, text, want string }{
		{"America/Denver", "Sat", "say no time of day"},
		{"America/Denver", "Sat 8", "say no time of day"},
		{"America/Denver", "8am", "say no day"},
		{"America/Denver", "next Sat 8am", "this week or the week after"},
		{"America/Denver", "Sun 28 Nov 8am", "28 November 2026 is a Saturday"},
		{"America/Denver", "today 28 Nov 8am", "say two days"},
		{"America/Denver", "Sat Sun 8am", "cannot be read"},
		{"America/Denver", "Sat 8am 9am", "cannot be read"},
		{"America/Denver", "Sat 13pm", "cannot be read"},
		{"America/Denver", "Sat 0am", "cannot be read"},
		{"America/Denver", "Sat 24:00", "cannot be read"},
		{"America/Denver", "Sat midnight", "cannot be read"},
		{"America/Denver", "28 Nov 26 8am", "cannot be read"},
		{"America/Denver", "2026-02-30 08:00", "cannot be read"},
		{"America/Denver", "30 Feb 8am", "name no day of the calendar"},
		{"America/Denver", "29 Feb 2026 8am", "name no day of the calendar"},
		{"America/Denver", "31/31/2026 8am", "name no day of the calendar"},
		{"America/Denver", "28 Nov 1969 8am", "from 1970 to 2200"},
		{"America/Toronto", "12/5/2026 8:00", "may be 12 May or 5 December"}, // Canada writes both
		{"Asia/Tokyo", "12/5/2026 8:00", "may be 12 May or 5 December"},      // there the year comes first
		{"Etc/UTC", "12/5/2026 8:00", "may be 12 May or 5 December"},
		{"America/Denver", "", "cannot be read"},
	} {
		_, _, err := timeline.ReadDate(row.text, wednesday(t, row.zone))
		assert.ErrorContains(t, err, row.want, row.text)
	}
}

// The cities are those of the zones of tzdb; Salt Lake City is none.
func TestFindZone(t *testing.T) {
	for text, want := range map[string]string{
		"Denver": "America/Denver", "denver": "America/Denver", "New York": "America/New_York",
		"america/los_angeles": "America/Los_Angeles", "US/Mountain": "US/Mountain", "Knox": "America/Indiana/Knox",
	} {
		location, err := timeline.FindZone(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, location.String())
	}
	for text, want := range map[string]string{
		"Salt Lake City": "is not known", "Denvr": "did you mean Denver?", "york": "did you mean New_York?",
		"america/denvr": "did you mean Denver?", "dakota": "is not known", "Local": "names no place", "": "names no place",
		"right/America/Denver": "names no place",
	} {
		_, err := timeline.FindZone(text)
		assert.ErrorContains(t, err, want, text)
	}
}
