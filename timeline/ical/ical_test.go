package ical_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline/ical"
)

// ours is a calendar as File writes it, with an event and what more is given.
func ours(zone, event string) string {
	return strings.ReplaceAll("BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//brothrun//kitchen plan//EN\n"+zone+
		"BEGIN:VEVENT\nUID:one\nSEQUENCE:3\nX-BROTHRUN-RUN:run\n"+event+"END:VEVENT\nEND:VCALENDAR\n", "\n", "\r\n")
}

// Sources: RFC 5545 3.3.11, the example of a TEXT value, and 3.1 for its folding.
func TestTextOfTheStandardReadsAsItSays(t *testing.T) {
	file := ours("", "DTSTART;VALUE=DATE:20261128\nDTEND;VALUE=DATE:20261129\nSTATUS:CANCELLED\n"+
		`DESCRIPTION:Project XYZ Final Review\nConference Room - 3B\n`+"\n "+`Come Prepared.`+"\n"+
		`SUMMARY:C:\\notes\, then \; and`+"\n")
	events, known, err := ical.Read(strings.NewReader(file), "run.ics")
	require.NoError(t, err)
	require.True(t, known)
	day := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)
	assert.Equal(t, []ical.Event{{
		UID: "one", Run: "run", Sequence: 3, Title: `C:\notes, then ; and`, Cancelled: true,
		Text:  "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
		Start: day, End: day.AddDate(0, 0, 1), AllDay: true,
	}}, events)
}

// What File never writes, and Read does not guess.
func TestReadTellsWhatItCannotKnow(t *testing.T) {
	zone := "BEGIN:VTIMEZONE\nTZID:Home\nBEGIN:STANDARD\nDTSTART:19700101T000000\n" +
		"TZOFFSETFROM:+0100\nTZOFFSETTO:+0100\nRRULE:FREQ=YEARLY\nEND:STANDARD\nEND:VTIMEZONE\n"
	for want, file := range map[string]string{
		`run.ics:8: DTSTART "20261128T080000" has neither a TZID nor a Z: it is unclear which clock it means`: ours("",
			"DTSTART:20261128T080000\nDTEND:20261128T090000\n"),
		`run.ics:10: a rule of STANDARD is not read here`: ours(zone,
			"DTSTART;TZID=Home:20261128T080000\nDTEND;TZID=Home:20261128T090000\n"),
		`run.ics:9: the end of this event does not go with its start`: ours("",
			"DTSTART:20261128T080000Z\nDTEND:20261128T080000Z\n"),
	} {
		_, _, err := ical.Read(strings.NewReader(file), "run.ics")
		assert.EqualError(t, err, want)
	}
}
