package ical_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline/ical"
)

const uid, run = "0ba3915a-167a-5a57-b69d-e1613f7ba92f", "a41b0bde-5e9b-5537-9828-5f14262ee8b3"

// ours is a calendar as File writes it, with an event and what more is given.
func ours(zone, event string) string {
	return strings.ReplaceAll("BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//brothrun//kitchen plan//EN\n"+zone+
		"BEGIN:VEVENT\nUID:"+uid+"\nSEQUENCE:3\nX-BROTHRUN-RUN:"+run+"\n"+event+"END:VEVENT\nEND:VCALENDAR\n", "\n", "\r\n")
}

// Sources: RFC 5545 3.3.11, the example of a TEXT value, and 3.1 for its folding.
func TestTextOfTheStandardReadsAsItSays(t *testing.T) {
	file := ours("", "DTSTART;VALUE=DATE:20261128\nDTEND;VALUE=DATE:20261129\nSTATUS:CANCELLED\n"+
		`DESCRIPTION:Project XYZ Final Review\nConference Room - 3B\n`+"\n "+`Come Prepared.`+"\n"+
		`SUMMARY:C:\\notes\, then \; and`+"\n")
	former, err := ical.Read(strings.NewReader(file), "run.ics", nil)
	require.NoError(t, err)
	require.True(t, former.Ours)
	day := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)
	assert.Equal(t, []ical.Event{{
		UID: uid, Run: run, Sequence: 3, Title: `C:\notes, then ; and`, Cancelled: true,
		Text:  "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
		Start: day, End: day.AddDate(0, 0, 1), AllDay: true,
	}}, former.Events)
}

// What File never writes, and Read does not guess.
func TestReadTellsWhatItCannotKnow(t *testing.T) {
	zone := "BEGIN:VTIMEZONE\nTZID:Home\nBEGIN:STANDARD\nDTSTART:19700101T000000\n" +
		"TZOFFSETFROM:+0100\nTZOFFSETTO:+0100\nRRULE:FREQ=YEARLY\nEND:STANDARD\nEND:VTIMEZONE\n"
	for want, file := range map[string]string{
		`run.ics:8: DTSTART "20261128T080000" has neither a TZID nor a Z: it is unclear which clock it means`: ours("",
			"DTSTART:20261128T080000\nDTEND:20261128T090000\n"),
		`run.ics:10: RRULE "FREQ=YEARLY" of a time zone is not read here`: ours(zone,
			"DTSTART;TZID=Home:20261128T080000\nDTEND;TZID=Home:20261128T090000\n"),
		`run.ics:8: the end of this event does not go with its start`: ours("",
			"DTSTART:20261128T080000Z\nDTEND:20261128T080000Z\n"),
	} {
		_, err := ical.Read(strings.NewReader(file), "run.ics", nil)
		assert.EqualError(t, err, want)
	}
}
