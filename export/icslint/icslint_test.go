package icslint_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/icslint"
)

// good is a calendar that keeps every rule: an event in each form of time.
var good = crlf(`BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//example//test//EN
BEGIN:VTIMEZONE
TZID:America/Denver
BEGIN:DAYLIGHT
DTSTART:20260308T020000
TZOFFSETFROM:-0700
TZOFFSETTO:-0600
TZNAME:MDT
END:DAYLIGHT
BEGIN:STANDARD
DTSTART:20261101T020000
TZOFFSETFROM:-0600
TZOFFSETTO:-0700
TZNAME:MST
END:STANDARD
END:VTIMEZONE
BEGIN:VEVENT
UID:one
DTSTAMP:20261001T120000Z
DTSTART:20261031T140000Z
DTEND:20261031T150000Z
SUMMARY:Strain\, then chill
DESCRIPTION:First line\nsecond \; line
CATEGORIES:hands-on
BEGIN:VALARM
ACTION:DISPLAY
DESCRIPTION:Strain
TRIGGER:-PT10M
END:VALARM
END:VEVENT
BEGIN:VEVENT
UID:two
DTSTAMP:20261001T120000Z
DTSTART;TZID=America/Denver:20261031T230000
DTEND;TZID=America/Denver:20261101T030000
SUMMARY:Over the
  change of clocks
END:VEVENT
BEGIN:VEVENT
UID:three
DTSTAMP:20261001T120000Z
DTSTART;VALUE=DATE:20261231
DTEND;VALUE=DATE:20270101
SUMMARY:Use by
STATUS:CONFIRMED
END:VEVENT
BEGIN:VEVENT
UID:four
DTSTAMP:20261001T120000Z
DTSTART:20261031T140000Z
DTEND:20261031T160000Z
SUMMARY:Cancelled
STATUS:CANCELLED
END:VEVENT
END:VCALENDAR
`)

func crlf(text string) string { return strings.ReplaceAll(text, "\n", "\r\n") }

func TestAGoodFileHasNoProblemAndReadsBack(t *testing.T) {
	require.Empty(t, icslint.Check([]byte(good)))
	events, err := icslint.Read([]byte(good))
	require.NoError(t, err)
	// Denver keeps UTC-6 until 2026-11-01 02:00 and UTC-7 after it: Energy Policy
	// Act of 2005, section 110 (daylight time ends on the first Sunday of November).
	require.Equal(t, []icslint.Event{
		{UID: "one", Summary: "Strain, then chill", Description: "First line\nsecond ; line", Reminder: -10 * time.Minute,
			Start: time.Date(2026, 10, 31, 14, 0, 0, 0, time.UTC), End: time.Date(2026, 10, 31, 15, 0, 0, 0, time.UTC)},
		{UID: "two", Summary: "Over the change of clocks",
			Start: time.Date(2026, 11, 1, 5, 0, 0, 0, time.UTC), End: time.Date(2026, 11, 1, 10, 0, 0, 0, time.UTC)},
		{UID: "three", Summary: "Use by", AllDay: true,
			Start: time.Date(2026, 12, 31, 0, 0, 0, 0, time.UTC), End: time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)},
		{UID: "four", Summary: "Cancelled", Cancelled: true,
			Start: time.Date(2026, 10, 31, 14, 0, 0, 0, time.UTC), End: time.Date(2026, 10, 31, 16, 0, 0, 0, time.UTC)},
	}, events)
}

func TestEachRuleIsFound(t *testing.T) {
	tests := []struct {
		source   string
		rule     string
		old, new string // breaks the good file
	}{
		{"RFC 5545 3.1, lines end with CRLF", "crlf", "VERSION:2.0\r\n", "VERSION:2.0\n"},
		{"RFC 5545 3.1, the last line too", "crlf", "END:VCALENDAR\r\n", "END:VCALENDAR"},
		{"RFC 5545 3.1, at most 75 octets", "fold", "UID:one", "UID:" + strings.Repeat("x", 72)},
		{"RFC 5545 3.1, octets and not letters are counted", "fold", "SUMMARY:Strain", "SUMMARY:" + strings.Repeat("é", 34) + "Strain"},
		{"RFC 5545 3.1, folding within a character confuses readers", "utf8", "SUMMARY:Strain", "SUMMARY:\xc3\r\n \xa9Strain"},
		{"RFC 5545 3.1, VALUE-CHAR has no control characters", "control", "SUMMARY:Strain", "SUMMARY:\x00Strain"},
		{"RFC 5545 3.1, a carriage return alone is one", "control", "SUMMARY:Strain", "SUMMARY:\rStrain"},
		{"RFC 5545 3.1, contentline", "syntax", "UID:one", "UID one\r\nUID:one"},
		{"RFC 5545 3.1, contentline", "syntax", "UID:one", "\r\nUID:one"},
		{"RFC 5545 3.6, components nest", "structure", "END:VALARM\r\n", ""},
		{"RFC 5545 3.6, components are closed", "structure", "END:VCALENDAR\r\n", ""},
		{"RFC 5545 3.4, nothing after the calendar", "structure", "END:VCALENDAR\r\n", "END:VCALENDAR\r\nX-A:1\r\n"},
		{"RFC 5545 3.4, one calendar here", "structure", "END:VCALENDAR\r\n", "END:VCALENDAR\r\nBEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"},
		{"RFC 5545 3.6, PRODID is required", "once", "PRODID:-//example//test//EN\r\n", ""},
		{"RFC 5545 3.6, VERSION once", "once", "VERSION:2.0\r\n", "VERSION:2.0\r\nVERSION:2.0\r\n"},
		{"RFC 5545 3.7.4, version 2.0", "version", "VERSION:2.0", "VERSION:1.0"},
		{"RFC 5546 3.2.1, a METHOD needs an ORGANIZER", "method", "VERSION:2.0\r\n", "VERSION:2.0\r\nMETHOD:PUBLISH\r\n"},
		{"RFC 5545 3.6.1, UID is required", "once", "UID:one\r\n", ""},
		{"RFC 5545 3.6.1, DTSTAMP is required", "once", "UID:one\r\nDTSTAMP:20261001T120000Z\r\n", "UID:one\r\n"},
		{"RFC 5545 3.6.1, DTSTART is required", "once", "DTSTART:20261031T140000Z\r\n", ""},
		{"RFC 5545 3.6.1, SUMMARY at most once", "once", "CATEGORIES:hands-on", "SUMMARY:a"},
		{"RFC 5545 3.8.4.7, UID is unique", "uid", "UID:two", "UID:one"},
		{"RFC 5545 3.8.7.2, DTSTAMP is in UTC", "time", "UID:one\r\nDTSTAMP:20261001T120000Z", "UID:one\r\nDTSTAMP:20261001T120000"},
		{"RFC 5545 3.3.5, date-time", "time", "DTSTART:20261031T140000Z", "DTSTART:20261331T140000Z"},
		{"RFC 5545 3.3.5, no zone with UTC", "time", "DTSTART:20261031T140000Z", "DTSTART;TZID=America/Denver:20261031T140000Z"},
		{"RFC 5545 3.3.5 form 1 floats; programs in use do not support it", "time", "DTSTART:20261031T140000Z", "DTSTART:20261031T140000"},
		{"RFC 5545 3.8.2.2, the end is later than the start", "end", "DTEND:20261031T150000Z", "DTEND:20261031T140000Z"},
		{"RFC 5545 3.8.2.2, across zones too", "end", "DTEND;TZID=America/Denver:20261101T030000", "DTEND:20261101T050000Z"},
		{"common practice, no source: the end is given", "end", "DTEND:20261031T150000Z\r\n", ""},
		{"common practice, no source: readers differ over DURATION", "duration", "DTEND:20261031T150000Z", "DURATION:PT1H"},
		{"RFC 5545 3.6.1, a date goes with a date", "end", "DTEND;VALUE=DATE:20270101", "DTEND:20270101T000000Z"},
		{"RFC 5545 3.3.4, date", "time", "DTSTART;VALUE=DATE:20261231", "DTSTART;VALUE=DATE:20261232"},
		{"RFC 5545 3.8.2.4, no zone with a date", "time", "DTSTART;VALUE=DATE:20261231", "DTSTART;TZID=America/Denver;VALUE=DATE:20261231"},
		{"RFC 5545 3.8.1.11, the statuses of an event", "status", "STATUS:CONFIRMED", "STATUS:COMPLETED"},
		{"common practice, no source: what is called off does not ring", "alarm", "STATUS:CANCELLED\r\n", "STATUS:CANCELLED\r\nBEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:a\r\nTRIGGER:-PT5M\r\nEND:VALARM\r\n"},
		{"RFC 5545 3.2.19, a TZID has its VTIMEZONE", "zone", "DTSTART;TZID=America/Denver", "DTSTART;TZID=America/Boise"},
		{"RFC 5545 3.6.5, the first onset is no later than the first event", "zone", "DTSTART;TZID=America/Denver:2026", "DTSTART;TZID=America/Denver:2025"},
		{"RFC 5545 3.6.5, an observance at least", "zone", "END:VCALENDAR", "BEGIN:VTIMEZONE\r\nTZID:X\r\nEND:VTIMEZONE\r\nEND:VCALENDAR"},
		{"RFC 5545 3.6.5, one VTIMEZONE a TZID", "zone", "END:VCALENDAR", "BEGIN:VTIMEZONE\r\nTZID:America/Denver\r\nBEGIN:STANDARD\r\nDTSTART:20261101T020000\r\nTZOFFSETFROM:-0600\r\nTZOFFSETTO:-0700\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\nEND:VCALENDAR"},
		{"RFC 5545 3.6.5, an onset has its offsets", "once", "TZOFFSETFROM:-0700\r\n", ""},
		{"RFC 5545 3.6.5, an onset is a local time", "zone", "DTSTART:20260308T020000", "DTSTART:20260308T090000Z"},
		{"RFC 5545 3.3.14, no negative zero", "zone", "TZOFFSETTO:-0600", "TZOFFSETTO:-0000"},
		{"common practice, no source: readers differ over RDATE", "zone", "TZNAME:MST", "RDATE:20271107T020000"},
		{"RFC 5545 3.6.6, DISPLAY has a DESCRIPTION", "once", "DESCRIPTION:Strain\r\n", ""},
		{"RFC 5545 3.8.6.3, hours stand after the T", "alarm", "TRIGGER:-PT10M", "TRIGGER:-P10M"},
		{"common practice, no source: not after the start", "alarm", "TRIGGER:-PT10M", "TRIGGER:PT10M"},
		{"common practice, no source: not from the end", "alarm", "TRIGGER:-PT10M", "TRIGGER;RELATED=END:-PT10M"},
		{"common practice, no source: less than a day", "alarm", "TRIGGER:-PT10M", "TRIGGER:-PT1440M"},
		{"common practice, no source: one alarm", "alarm", "END:VALARM\r\n", "END:VALARM\r\nBEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:x\r\nTRIGGER:-PT1M\r\nEND:VALARM\r\n"},
		{"common practice, no source: the alarm stands last", "alarm", "END:VALARM\r\n", "END:VALARM\r\nLOCATION:kitchen\r\n"},
		{"common practice, no source: no empty values", "empty", "SUMMARY:Strain\\, then chill", "SUMMARY:"},
		{"RFC 5545 3.3.11, a comma is escaped", "escape", `Strain\, then`, `Strain, then`},
		{"RFC 5545 3.3.11, a semicolon is escaped", "escape", `\; line`, `; line`},
		{"RFC 5545 3.3.11, there are four escapes", "escape", `Strain\, then`, `Strain\t then`},
		{"RFC 5545 3.3.11, an escape is whole", "escape", "then chill", `then chill\`},
	}
	for _, test := range tests {
		t.Run(test.rule+"/"+test.source, func(t *testing.T) {
			require.Contains(t, good, test.old, "nothing to break")
			bad := strings.Replace(good, test.old, test.new, 1)
			var rules []string
			for _, problem := range icslint.Check([]byte(bad)) {
				rules = append(rules, problem.Rule)
			}
			assert.Contains(t, rules, test.rule)
			_, err := icslint.Read([]byte(bad))
			assert.Error(t, err)
		})
	}
}

func TestAnEmptyFileIsAProblem(t *testing.T) {
	assert.NotEmpty(t, icslint.Check(nil))
}

// Source: RFC 5545 3.3.11, the example of a TEXT value.
func TestTextOfTheStandardReadsAsItSays(t *testing.T) {
	file := strings.Replace(good, `First line\nsecond \; line`, `Project XYZ Final Review\nConference Room - 3B\n`+"\r\n "+`Come Prepared.`, 1)
	events, err := icslint.Read([]byte(file))
	require.NoError(t, err)
	assert.Equal(t, "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.", events[0].Description)
}

func FuzzCheck(f *testing.F) {
	f.Add([]byte(good))
	f.Add([]byte("BEGIN:VCALENDAR\r\nEND:VEVENT\r\n :\r\n"))
	f.Fuzz(func(t *testing.T, file []byte) {
		problems := icslint.Check(file)
		_, err := icslint.Read(file)
		if (err == nil) != (len(problems) == 0) {
			t.Fatalf("Check found %v, Read gave %v", problems, err)
		}
	})
}
