package export_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline/ical"
)

// houseFile is the one form of a calendar file that the readers of .ci/readers were
// seen to read alike; DEVELOPERS.md says why. Lines are unfolded and end with \n.
var houseFile, houseEvent = func() (file, event *regexp.Regexp) {
	expand := strings.NewReplacer(
		"<key>", `[0-9a-f-]{36}`, "<utc>", `\d{8}T\d{6}Z`, "<local>", `\d{8}T\d{6}`, "<zone>", `[\w/+-]+`,
		"<offset>", `(?:\+|-[0-9]*[1-9])\d+`,
		"<line>", `(?:[^\\;,\n]|\\[\\;,])+`, "<text>", `(?:[^\\;,\n]|\\[\\;,n])+`, // RFC 5545 3.3.11
		"<time>", `(?::\d{8}T\d{6}Z|;TZID=[\w/+-]+:\d{8}T\d{6}|;VALUE=DATE:\d{8})`)
	head := expand.Replace(`BEGIN:VCALENDAR\nVERSION:2\.0\nPRODID:<line>\nCALSCALE:GREGORIAN\n` +
		`(?:NAME:<line>\nX-WR-CALNAME:<line>\n)?`)
	zone := expand.Replace(`BEGIN:VTIMEZONE\nTZID:<zone>\n(?:BEGIN:(?:STANDARD|DAYLIGHT)\nDTSTART:<local>\n` +
		`TZOFFSETFROM:<offset>\nTZOFFSETTO:<offset>\n(?:TZNAME:<line>\n)?` +
		`(?:RRULE:FREQ=YEARLY;BYMONTH=\d{1,2};BYDAY=(?:-1|[1-4])(?:SU|MO|TU|WE|TH|FR|SA)\n)?END:(?:STANDARD|DAYLIGHT)\n)+END:VTIMEZONE\n`)
	one := expand.Replace(`BEGIN:VEVENT\nUID:(<key>)\nDTSTAMP:<utc>\nLAST-MODIFIED:<utc>\nSEQUENCE:\d+\n` +
		`X-BROTHRUN-RUN:<key>\n(?:X-BROTHRUN-ALIKE:<key>(?: <key>)?\n)?(?:X-BROTHRUN-SET:<line>\n)?` +
		`(?:X-BROTHRUN-TAKES:[a-z-]+/<utc>/<utc>\n)?DTSTART<time>\nDTEND<time>\n` +
		`SUMMARY:<line>\n(?:DESCRIPTION:<text>\n)?(?:CATEGORIES:<line>\n)?(?:STATUS:CANCELLED\nTRANSP:TRANSPARENT\n|` +
		`STATUS:CONFIRMED\nTRANSP:(?:OPAQUE|TRANSPARENT)\n` +
		`(?:BEGIN:VALARM\nACTION:DISPLAY\nDESCRIPTION:<line>\nTRIGGER:-PT([1-9]\d{0,3})M\nEND:VALARM\n)?)END:VEVENT\n`)
	return regexp.MustCompile(`^` + head + `(?:` + zone + `)*(?:` + one + `)*END:VCALENDAR\n$`), regexp.MustCompile(one)
}()

// tzid is where a file names a zone.
var tzid = regexp.MustCompile(`(?m)^(TZID:|DT(?:START|END);TZID=)`)

// lint finds what no outside reader complains of and this house wants all the same,
// and reads the events of a file by the rules of its zones, whatever their names.
func lint(file []byte) ([]ical.Event, error) {
	for i, line := range strings.SplitAfter(strings.TrimSuffix(string(file), "\n")+"\n", "\n") {
		text, ended := strings.CutSuffix(line, "\r\n")
		control := func(r rune) bool { return r < 0x20 && r != '\t' || r == 0x7f }
		switch { // RFC 5545 3.1
		case line == "": // behind the last
		case !ended, strings.ContainsFunc(text, control):
			return nil, fmt.Errorf("line %d: a control character, or no CRLF at its end", i+1)
		case text == "" || len(text) > 75 || !utf8.ValidString(text):
			return nil, fmt.Errorf("line %d: %d octets: at most 75, and each line UTF-8 by itself", i+1, len(text))
		}
	}
	unfolded := strings.NewReplacer("\r\n ", "", "\r\n", "\n").Replace(string(file))
	zones, standards := strings.Count(unfolded, "\nBEGIN:VTIMEZONE"), strings.Count(unfolded, "\nBEGIN:STANDARD")
	if !houseFile.MatchString(unfolded) || zones > standards {
		return nil, errors.New("not as the house writes it")
	}
	former, err := ical.Read(bytes.NewReader(tzid.ReplaceAll(file, []byte("${1}Nowhere/"))), "file", nil)
	if err != nil || !former.Ours || len(former.Kept) > 0 {
		return nil, fmt.Errorf("ours %t, %d parts of others: %w", former.Ours, len(former.Kept), err)
	}
	uids, minutes := map[string]bool{}, map[int64]string{}
	for i, part := range houseEvent.FindAllStringSubmatch(unfolded, -1) {
		e := former.Events[i]
		ahead, _ := time.ParseDuration("0" + part[2] + "m")
		if uids[part[1]] || e.Reminder > 72*time.Hour || e.Reminder != ahead {
			return nil, fmt.Errorf("UID %s twice, or a reminder %s ahead", part[1], e.Reminder)
		}
		uids[part[1]] = true
		if ring := e.Start.Add(-e.Reminder).Unix() / 60; ahead > 0 && !e.AllDay {
			if minutes[ring] != "" {
				return nil, fmt.Errorf("%q and %q ring in one minute", minutes[ring], e.Title)
			}
			minutes[ring] = e.Title
		}
	}
	return former.Events, nil
}

// read wants a file to keep the rules, and returns its events.
func read(t testing.TB, file []byte) []ical.Event {
	t.Helper()
	events, err := lint(file)
	require.NoError(t, err, "%.2000s", file)
	return events
}

func TestEachRuleOfTheHouseIsFound(t *testing.T) {
	const zone, utc = "turkey-frames-zone.ics", "turkey-frames.ics"
	alarm := "BEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:x\r\nTRIGGER:-PT1M\r\nEND:VALARM\r\n"
	const onset = "DTSTART:20251102T020000"
	for _, test := range []struct{ source, file, old, new string }{ // old is a regular expression
		{"RFC 5545 3.1, lines end with CRLF", utc, `VERSION:2.0\r\n`, "VERSION:2.0\n"},
		{"RFC 5545 3.1, the last line too", utc, `END:VCALENDAR\r\n`, "END:VCALENDAR"},
		{"RFC 5545 3.1, at most 75 octets", utc, `SUMMARY:`, "SUMMARY:" + strings.Repeat("x", 72)},
		{"RFC 5545 3.1, octets and not letters are counted", utc, `SUMMARY:`, "SUMMARY:" + strings.Repeat("é", 34)},
		{"RFC 5545 3.1, folding within a character confuses readers", utc, `SUMMARY:`, "SUMMARY:\xc3\r\n \xa9"},
		{"RFC 5545 3.1, no control characters", utc, `SUMMARY:`, "SUMMARY:\x00"},
		{"RFC 5545 3.1, a carriage return alone is one", utc, `SUMMARY:`, "SUMMARY:\r"},
		{"RFC 5545 3.1, no empty lines", utc, `BEGIN:VEVENT`, "\r\nBEGIN:VEVENT"},
		{"RFC 5545 3.6, components nest", utc, `END:VALARM\r\n`, ""},
		{"RFC 5546 3.2.1, a METHOD needs an ORGANIZER", utc, `VERSION:2.0\r\n`, "VERSION:2.0\r\nMETHOD:PUBLISH\r\n"},
		{"RFC 5545 3.8.4.7, UID is unique", utc, `UID:.*\r\n`, "UID:0ba3915a-167a-5a57-b69d-e1613f7ba92f\r\n"},
		{"RFC 5545 3.3.5 form 1 floats; programs differ", utc, `(DTSTART:\w+)Z`, "$1"},
		{"RFC 5545 3.3.5, no such month", utc, `DTSTART:202611`, "DTSTART:202613"},
		{"RFC 5545 3.8.2.2, the end is later than the start", utc, `DTSTART(:\w+)\r\nDTEND:\w+`, "DTSTART$1\r\nDTEND$1"},
		{"readers differ over DURATION", utc, `DTEND:\w+`, "DURATION:PT30M"},
		{"RFC 5545 3.2.19, a TZID has its VTIMEZONE", zone, `DTSTART;TZID=America/Denver`, "DTSTART;TZID=America/Boise"},
		{"RFC 5545 3.6.5, an onset is a local time", zone, onset, onset + "Z"},
		{"RFC 5545 3.3.14, no negative zero", zone, `TZOFFSETTO:-0700`, "TZOFFSETTO:-0000"},
		{"readers differ over RDATE", zone, `TZNAME:MST`, "RDATE:20271107T020000"},
		{"python-icalendar 4.0 fails without STANDARD", zone, `STANDARD`, "DAYLIGHT"},
		{"calcurse 4.7 crashes without a title", utc, `SUMMARY:.*\n(?: .*\n)*`, ""},
		{"no empty values", utc, `SUMMARY:.*\n(?: .*\n)*`, "SUMMARY:\r\n"},
		{"RFC 5545 3.6.6, DISPLAY has a DESCRIPTION", utc, `DISPLAY\r\nDESCRIPTION:.*\n(?: .*\n)*`, "DISPLAY\r\n"},
		{"an alarm is not after the start", utc, `TRIGGER:-`, "TRIGGER:"},
		{"an alarm is not from the end", utc, `TRIGGER:`, "TRIGGER;RELATED=END:"},
		{"an alarm is at most three days ahead", utc, `TRIGGER:-PT15M`, "TRIGGER:-PT4321M"},
		{"one alarm", utc, `BEGIN:VALARM`, alarm + "BEGIN:VALARM"},
		{"the alarm stands last", utc, `END:VALARM\r\n`, "END:VALARM\r\nLOCATION:kitchen\r\n"},
		{"what is called off does not ring", utc, `STATUS:CONFIRMED`, "STATUS:CANCELLED"},
		{"RFC 5545 3.3.11, a comma is escaped", utc, `SUMMARY:`, "SUMMARY:Skim, "},
		{"RFC 5545 3.3.11, a semicolon is escaped", utc, `SUMMARY:`, "SUMMARY:Skim; "},
		{"RFC 5545 3.3.11, there are four escapes", utc, `SUMMARY:`, `SUMMARY:\t`},
		{"RFC 5545 3.3.11, an escape is whole", utc, `(SUMMARY:\w+).*`, "$1\\\r"},
	} {
		t.Run(test.source, func(t *testing.T) {
			good, err := os.ReadFile(filepath.Join("..", "testdata", "golden", test.file))
			require.NoError(t, err)
			_, err = lint(good)
			require.NoError(t, err)
			bad := regexp.MustCompile(test.old).ReplaceAll(good, []byte(test.new))
			require.NotEqual(t, good, bad, "nothing to break")
			_, err = lint(bad)
			assert.Error(t, err)
		})
	}
}
