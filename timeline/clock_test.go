package timeline_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline"
)

// Clock changes are those of the IANA time zone database, as published by the
// governments named.
func TestParseLocal(t *testing.T) {
	for _, row := range []struct {
		source, zone, text, want string
		repeated                 bool
	}{
		{"plain", "America/Denver", "2026-11-28 08:00", "2026-11-28T15:00:00Z", false},
		{"plain, ISO 8601 form", "America/Denver", "2026-11-28T08:00", "2026-11-28T15:00:00Z", false},
		{"US: back at 2:00 on 1 Nov 2026", "America/Denver", "2026-11-01 01:30", "2026-11-01T07:30:00Z", true},
		{"US: an hour later it shows once", "America/Denver", "2026-11-01 02:00", "2026-11-01T09:00:00Z", false},
		{"EU: back at 3:00 on 25 Oct 2026", "Europe/Berlin", "2026-10-25 02:15", "2026-10-25T00:15:00Z", true},
		{"Lord Howe: back by half an hour at 2:00 on 5 Apr 2026", "Australia/Lord_Howe", "2026-04-05 01:45", "2026-04-04T14:45:00Z", true},
		{"no changes in Kathmandu, UTC+5:45", "Asia/Kathmandu", "2026-04-05 01:45", "2026-04-04T20:00:00Z", false},
	} {
		got, repeated, err := timeline.ParseLocal(row.text, zone(t, row.zone))
		require.NoError(t, err, row.source)
		assert.Equal(t, row.want, got.UTC().Format(time.RFC3339), row.source)
		assert.Equal(t, row.repeated, repeated, row.source)
	}
}

// Clock changes as above.
func TestASpanNeverLooksBackwards(t *testing.T) {
	for _, row := range []struct {
		source, zone, from, to string // instants
		want                   string
	}{
		{"plain", "America/Denver", "2026-11-28T15:00:00Z", "2026-11-28T15:30:00Z", "08:00-08:30"},
		{"US: back at 2:00 on 1 Nov 2026", "America/Denver", "2026-11-01T07:40:00Z", "2026-11-01T08:25:00Z", "01:40 MDT-01:25 MST"},
		{"the first of the two", "America/Denver", "2026-11-01T07:00:00Z", "2026-11-01T07:30:00Z", "01:00 MDT-01:30 MDT"},
		{"the second of the two", "America/Denver", "2026-11-01T08:30:00Z", "2026-11-01T09:00:00Z", "01:30 MST-02:00 MST"},
		{"until the hour that comes twice", "America/Denver", "2026-11-01T06:30:00Z", "2026-11-01T07:00:00Z", "00:30 MDT-01:00 MDT"},
		{"up to it, and from its end", "America/Denver", "2026-11-01T06:30:00Z", "2026-11-01T06:59:00Z", "00:30-00:59"},
		{"after it", "America/Denver", "2026-11-01T09:00:00Z", "2026-11-01T10:00:00Z", "02:00-03:00"},
		{"over it, through the night", "America/Denver", "2026-11-01T04:00:00Z", "2026-11-01T15:00:00Z", "22:00 MDT-08:00 MST"},
		{"US: forward at 2:00 on 8 Mar 2026", "America/Denver", "2026-03-08T08:40:00Z", "2026-03-08T09:10:00Z", "01:40 MST-03:10 MDT"},
		{"EU: back at 3:00 on 25 Oct 2026", "Europe/Berlin", "2026-10-25T00:50:00Z", "2026-10-25T01:10:00Z", "02:50 CEST-02:10 CET"},
		{"Lord Howe: back by half an hour at 2:00 on 5 Apr 2026, its zones without letters", "Australia/Lord_Howe", "2026-04-04T14:50:00Z", "2026-04-04T15:10:00Z", "01:50 UTC+11-01:40 UTC+1030"},
		{"no changes in Kathmandu", "Asia/Kathmandu", "2026-11-01T07:40:00Z", "2026-11-01T08:25:00Z", "13:25-14:10"},
	} {
		at := func(text string) time.Time {
			instant, err := time.Parse(time.RFC3339, text)
			require.NoError(t, err)
			return instant.In(zone(t, row.zone))
		}
		from, to := timeline.ClockSpan(at(row.from), at(row.to), "15:04", "15:04")
		assert.Equal(t, row.want, from+"-"+to, row.source)
	}
	twice := time.Date(2026, 11, 1, 8, 25, 0, 0, time.UTC).In(zone(t, "America/Denver"))
	assert.Equal(t, "Sun 01:25 MST", timeline.Clock(twice, "Mon 15:04"))
	assert.Equal(t, "Sun 02:25", timeline.Clock(twice.Add(time.Hour), "Mon 15:04"))
}

func TestImpossibleTimesAreErrors(t *testing.T) {
	for _, row := range []struct{ zone, text, want string }{
		{"America/Denver", "2026-03-08 02:30", "do not exist in America/Denver: the clock is put forward over it; 03:30 comes in its place"},
		{"Europe/Berlin", "2026-03-29 02:00", "do not exist in Europe/Berlin"},
		{"Australia/Lord_Howe", "2026-10-04 02:15", "do not exist"},
		{"Pacific/Apia", "2011-12-30 12:00", "do not exist"}, // the day Samoa left out
		{"America/Denver", "2026-02-29 08:00", "such as 2026-11-28 08:00"},
		{"America/Denver", "2026-11-31 08:00", "such as"},
		{"America/Denver", "2026-11-28 25:00", "such as"},
		{"America/Denver", "28.11.2026 08:00", "such as"},
		{"America/Denver", "tomorrow", "such as"},
		{"America/Denver", "", "such as"},
		{"America/Denver", "9026-11-28 08:00", "1970 to 2200"},
	} {
		_, _, err := timeline.ParseLocal(row.text, zone(t, row.zone))
		require.Error(t, err, row.text)
		assert.Contains(t, err.Error(), row.want)
	}
}

func TestZonesThatNameNoPlaceAreErrors(t *testing.T) {
	for _, name := range []string{"", "Local", "local", "Mars/Olympus", "../etc/passwd", "MST7MDT/x", "right/America/Denver", "posix/UTC", "Factory", "posixrules", "America/Denver\n"} {
		_, err := timeline.LoadZone(name)
		require.Error(t, err, name)
		assert.Contains(t, err.Error(), "America/Denver")
	}
}

func TestParseAwake(t *testing.T) {
	for text, want := range map[string]timeline.Hours{
		"06:30-22:00":   {From: 6*time.Hour + 30*time.Minute, Until: 22 * time.Hour},
		" 7:00 - 21:30": {From: 7 * time.Hour, Until: 21*time.Hour + 30*time.Minute},
		"00:00-24:00":   {From: 0, Until: 24 * time.Hour},
		"14:00-02:00":   {From: 14 * time.Hour, Until: 2 * time.Hour},
		"06:30-06:30":   {From: 0, Until: 24 * time.Hour},
		"00:00-00:00":   {From: 0, Until: 24 * time.Hour},
	} {
		got, err := timeline.ParseAwake(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "6-22", "06:30", "25:00-26:00", "06:60-22:00", "06:30-07:30", "22:00-23:00", "24:01-24:30", "morning"} {
		_, err := timeline.ParseAwake(text)
		assert.Error(t, err, text)
	}
	assert.Equal(t, "06:30-22:00", timeline.DefaultAwake().String())
}

func TestParseBooking(t *testing.T) {
	denver := zone(t, "America/Denver")
	got, err := timeline.ParseBooking("2026-11-27 12:00", "2026-11-29 18:00", denver)
	require.NoError(t, err)
	assert.Equal(t, 54*time.Hour, got.To.Sub(got.From))
	for _, pair := range [][2]string{{"2026-11-29 18:00", "2026-11-27 12:00"}, {"x", "2026-11-27 12:00"}, {"2026-11-27 12:00", "x"}} {
		_, err := timeline.ParseBooking(pair[0], pair[1], denver)
		assert.Error(t, err)
	}
}
