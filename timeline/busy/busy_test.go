package busy_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"time"
	_ "time/tzdata" // the same zones wherever the tests run

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline"
	"brothrun/timeline/busy"
	"brothrun/timeline/ical"
)

func place(t testing.TB, name string) *time.Location {
	t.Helper()
	location, err := time.LoadLocation(name)
	require.NoError(t, err)
	return location
}

// calendar wraps components, given with LF, in a calendar with CRLF.
func calendar(components string) string {
	return strings.ReplaceAll("BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//example//test//EN\n"+components+"\nEND:VCALENDAR\n", "\n", "\r\n")
}

func event(lines ...string) string {
	return calendar("BEGIN:VEVENT\nUID:1\nSUMMARY:Choir\n" + strings.Join(lines, "\n") + "\nEND:VEVENT")
}

// readAs reads one file, called name in errors.
func readAs(in io.Reader, name string, zone *time.Location, from, until time.Time, own ...string) ([]timeline.Booking, error) {
	r := busy.NewReader(zone, from, until, own...)
	if err := r.Add(in, name); err != nil {
		return nil, err
	}
	return r.Bookings(), nil
}

func read(t testing.TB, file, zone string, from, until time.Time) []timeline.Booking {
	t.Helper()
	bookings, err := readAs(strings.NewReader(file), "work.ics", place(t, zone), from, until)
	require.NoError(t, err)
	return bookings
}

func starts(bookings []timeline.Booking) []string {
	var list []string
	for _, b := range bookings {
		list = append(list, b.From.Format("2006-01-02 15:04"))
	}
	return list
}

// spans are bookings in UTC: "2026-03-28T08:00Z/2026-03-28T09:00Z".
func spans(bookings []timeline.Booking) []string {
	var list []string
	for _, b := range bookings {
		list = append(list, b.From.UTC().Format("2006-01-02T15:04Z")+"/"+b.To.UTC().Format("2006-01-02T15:04Z"))
	}
	return list
}

var (
	year2026 = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	year2027 = time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
)

// Clock changes of 2026: Europe/Berlin 29 March 02:00 to 03:00 and 25 October
// 03:00 back to 02:00; America/Denver 8 March and 1 November (IANA time zone
// database). Everything else is RFC 5545, at the section named.
func TestReadTimes(t *testing.T) {
	for _, row := range []struct {
		name, source string
		file         string
		want         []string
	}{
		{"UTC", "3.3.5 form 2", event("DTSTART:20260328T080000Z", "DTEND:20260328T090000Z"), []string{"2026-03-28T08:00Z/2026-03-28T09:00Z"}},
		{"floating", "3.3.5 form 1", event("DTSTART:20260328T080000", "DTEND:20260328T090000"), []string{"2026-03-28T07:00Z/2026-03-28T08:00Z"}},
		{"IANA zone", "3.3.5 form 3", event("DTSTART;TZID=America/Denver:20260328T080000", "DTEND;TZID=America/Denver:20260328T090000"), []string{"2026-03-28T14:00Z/2026-03-28T15:00Z"}},
		{"quoted zone", "3.2", event(`DTSTART;TZID="America/Denver":20260328T080000`, "DURATION:PT1H"), []string{"2026-03-28T14:00Z/2026-03-28T15:00Z"}},
		{"Windows zone", "CLDR windowsZones: Mountain Standard Time is America/Denver", event("DTSTART;TZID=Mountain Standard Time:20260328T080000", "DURATION:PT1H"), []string{"2026-03-28T14:00Z/2026-03-28T15:00Z"}},
		{"globally unique zone", "3.8.3.1; spelled as calendar programs do", event("DTSTART;TZID=/citadel.org/20210210_1/America/New_York:20260328T080000", "DURATION:PT1H"), []string{"2026-03-28T12:00Z/2026-03-28T13:00Z"}},
		{"tzone UTC", "3.2: a value with a colon is quoted", event("DTSTART;TZID=\"tzone://Microsoft/Utc\":20260328T080000", "DURATION:PT1H"), []string{"2026-03-28T08:00Z/2026-03-28T09:00Z"}},
		{"two zones", "3.8.2.2", event("DTSTART;TZID=America/Denver:20260328T080000", "DTEND;TZID=Europe/Berlin:20260329T090000"), []string{"2026-03-28T14:00Z/2026-03-29T07:00Z"}},
		{"gap: offset before it", "3.3.5", event("DTSTART;TZID=America/New_York:20260308T023000", "DURATION:PT1H"), []string{"2026-03-08T07:30Z/2026-03-08T08:30Z"}},
		{"repeated hour: first pass", "3.3.5", event("DTSTART;TZID=America/New_York:20261101T013000", "DURATION:PT1H"), []string{"2026-11-01T05:30Z/2026-11-01T06:30Z"}},
		{"all day", "3.6.1: one day", event("DTSTART;VALUE=DATE:20260328"), []string{"2026-03-27T23:00Z/2026-03-28T23:00Z"}},
		{"all day, VALUE=DATE forgotten", "can mean nothing else", event("DTSTART:20260328"), []string{"2026-03-27T23:00Z/2026-03-28T23:00Z"}},
		{"all day of 23 h", "3.3.4, midnight to midnight", event("DTSTART;VALUE=DATE:20260329", "DTEND;VALUE=DATE:20260330"), []string{"2026-03-28T23:00Z/2026-03-29T22:00Z"}},
		{"all day of 25 h", "3.3.4, midnight to midnight", event("DTSTART;VALUE=DATE:20261025", "DURATION:P1D"), []string{"2026-10-24T22:00Z/2026-10-25T23:00Z"}},
		{"all day that ends where it starts", "against 3.6.1; meant as that day", event("DTSTART;VALUE=DATE:20260328", "DTEND;VALUE=DATE:20260328"), []string{"2026-03-27T23:00Z/2026-03-28T23:00Z"}},
		{"24 exact hours over the change", "3.3.6", event("DTSTART;TZID=Europe/Berlin:20260328T180000", "DURATION:PT24H"), []string{"2026-03-28T17:00Z/2026-03-29T17:00Z"}},
		{"one nominal day over the change", "3.3.6", event("DTSTART;TZID=Europe/Berlin:20260328T180000", "DURATION:P1D"), []string{"2026-03-28T17:00Z/2026-03-29T16:00Z"}},
		{"weeks, and a day with hours", "3.3.6", event("DTSTART;TZID=Europe/Berlin:20260328T180000", "DURATION:P1DT2H30M"), []string{"2026-03-28T17:00Z/2026-03-29T18:30Z"}},
		{"a week", "3.3.6", event("DTSTART:20260328T180000Z", "DURATION:P1W"), []string{"2026-03-28T18:00Z/2026-04-04T18:00Z"}},
		{"no length", "3.6.1: takes no time", event("DTSTART:20260328T180000Z"), nil},
		{"leap second", "3.3.12: as second 59", event("DTSTART:20260328T175960Z", "DTEND:20260328T185959Z"), []string{"2026-03-28T17:59Z/2026-03-28T18:59Z"}},
		{"a guest's name not quoted", "against 3.2, and common; not about when", event("DTSTART:20260328T080000Z", "DURATION:PT1H", `ATTENDEE;CN=Doe; "Jo" John:mailto:jo@example.org`), []string{"2026-03-28T08:00Z/2026-03-28T09:00Z"}},
		{"lower case", "1.3 and 2: names ignore case", "begin:vcalendar\nversion:2.0\nbegin:vevent\nuid:1\ndtstart;value=date:20260328\nend:vevent\nend:vcalendar\n", []string{"2026-03-27T23:00Z/2026-03-28T23:00Z"}},

		{"transparent", "3.8.2.7", event("DTSTART:20260328T080000Z", "DURATION:PT1H", "TRANSP:TRANSPARENT"), nil},
		{"opaque all day", "3.8.2.7", event("DTSTART;VALUE=DATE:20260328", "TRANSP:OPAQUE"), []string{"2026-03-27T23:00Z/2026-03-28T23:00Z"}},
		{"cancelled", "3.8.1.11", event("DTSTART:20260328T080000Z", "DURATION:PT1H", "STATUS:CANCELLED"), nil},
		{"tentative counts", "3.8.1.11", event("DTSTART:20260328T080000Z", "DURATION:PT1H", "STATUS:TENTATIVE"), []string{"2026-03-28T08:00Z/2026-03-28T09:00Z"}},
		{"marked free by its maker", "MS-OXCICAL, X-MICROSOFT-CDO-BUSYSTATUS", event("DTSTART:20260328T080000Z", "DURATION:PT1H", "X-MICROSOFT-CDO-BUSYSTATUS:FREE"), nil},
		{"marked away by its maker", "MS-OXCICAL, X-MICROSOFT-CDO-BUSYSTATUS", event("DTSTART:20260328T080000Z", "DURATION:PT1H", "X-MICROSOFT-CDO-BUSYSTATUS:OOF"), []string{"2026-03-28T08:00Z/2026-03-28T09:00Z"}},
		{"cancelling calendar", "RFC 5546 3.2.5", calendar("METHOD:CANCEL\nBEGIN:VEVENT\nUID:1\nDTSTART:20260328T080000Z\nDURATION:PT1H\nEND:VEVENT"), nil},
		{"to-do and journal", "3.6.2, 3.6.3: take no time", calendar("BEGIN:VTODO\nUID:1\nDTSTART:20260328T080000Z\nDUE:20260328T100000Z\nEND:VTODO\nBEGIN:VJOURNAL\nUID:2\nDTSTART;VALUE=DATE:20260328\nEND:VJOURNAL"), nil},
		{"nothing in it", "a calendar without events is one", calendar("X-WR-CALNAME:Empty"), nil},
		{"two calendars in a file", "3.4", event("DTSTART:20260328T080000Z", "DURATION:PT1H") + event("DTSTART:20260329T080000Z", "DURATION:PT1H"),
			[]string{"2026-03-28T08:00Z/2026-03-28T09:00Z", "2026-03-29T08:00Z/2026-03-29T09:00Z"}},
		{"free and busy periods", "3.8.2.6, 3.2.9", calendar("BEGIN:VFREEBUSY\nUID:1\nFREEBUSY:20260328T080000Z/PT1H,20260328T100000Z/20260328T113000Z\n" +
			"FREEBUSY;FBTYPE=FREE:20260328T120000Z/PT1H\nFREEBUSY;FBTYPE=BUSY-UNAVAILABLE:20260328T140000Z/PT1H\nFREEBUSY;FBTYPE=BUSY-TENTATIVE:20260328T150000Z/PT1H\nFREEBUSY;FBTYPE=X-ODD:20260328T170000Z/PT1H\nEND:VFREEBUSY"),
			[]string{"2026-03-28T08:00Z/2026-03-28T09:00Z", "2026-03-28T10:00Z/2026-03-28T11:30Z", "2026-03-28T14:00Z/2026-03-28T15:00Z", "2026-03-28T15:00Z/2026-03-28T16:00Z", "2026-03-28T17:00Z/2026-03-28T18:00Z"}},

		{"weekly across the change keeps its time", "3.3.10", event("DTSTART;TZID=Europe/Berlin:20260325T200000", "DURATION:PT2H", "RRULE:FREQ=WEEKLY;COUNT=2"),
			[]string{"2026-03-25T19:00Z/2026-03-25T21:00Z", "2026-04-01T18:00Z/2026-04-01T20:00Z"}},
		{"rule into the gap", "3.8.5.3: as 3.3.5", event("DTSTART;TZID=Europe/Berlin:20260328T023000", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=3"),
			[]string{"2026-03-28T01:30Z/2026-03-28T02:30Z", "2026-03-29T01:30Z/2026-03-29T02:30Z", "2026-03-30T00:30Z/2026-03-30T01:30Z"}},
		{"all day, recurring over the change", "3.3.10", event("DTSTART;VALUE=DATE:20260328", "RRULE:FREQ=DAILY;COUNT=2"),
			[]string{"2026-03-27T23:00Z/2026-03-28T23:00Z", "2026-03-28T23:00Z/2026-03-29T22:00Z"}},
		{"DTSTART outside its rule counts", "3.3.10, 3.8.5.3", event("DTSTART:20260324T080000Z", "DURATION:PT1H", "RRULE:FREQ=WEEKLY;BYDAY=WE;UNTIL=20260401T080000Z"),
			[]string{"2026-03-24T08:00Z/2026-03-24T09:00Z", "2026-03-25T08:00Z/2026-03-25T09:00Z", "2026-04-01T08:00Z/2026-04-01T09:00Z"}},
		{"UNTIL as a date", "3.3.10 forbids it; the day is meant whole", event("DTSTART:20260324T080000Z", "DURATION:PT1H", "RRULE:FREQ=DAILY;UNTIL=20260325"),
			[]string{"2026-03-24T08:00Z/2026-03-24T09:00Z", "2026-03-25T08:00Z/2026-03-25T09:00Z"}},
		{"UNTIL in UTC ends a zoned rule", "3.3.10", event("DTSTART;TZID=America/Denver:20260324T200000", "DURATION:PT1H", "RRULE:FREQ=DAILY;UNTIL=20260326T015959Z"),
			[]string{"2026-03-25T02:00Z/2026-03-25T03:00Z"}},
		{"EXDATE in UTC", "3.8.5.1", event("DTSTART;TZID=Europe/Berlin:20260324T080000", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=3", "EXDATE:20260325T070000Z"),
			[]string{"2026-03-24T07:00Z/2026-03-24T08:00Z", "2026-03-26T07:00Z/2026-03-26T08:00Z"}},
		{"EXDATE as dates", "a day takes out what starts on it", event("DTSTART;TZID=Europe/Berlin:20260324T080000", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=4", "EXDATE;VALUE=DATE:20260325,20260326"),
			[]string{"2026-03-24T07:00Z/2026-03-24T08:00Z", "2026-03-27T07:00Z/2026-03-27T08:00Z"}},
		{"EXDATE of DTSTART", "3.8.5.1", event("DTSTART;TZID=Europe/Berlin:20260324T080000", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=2", "EXDATE;TZID=Europe/Berlin:20260324T080000"),
			[]string{"2026-03-25T07:00Z/2026-03-25T08:00Z"}},
		{"EXRULE", "RFC 2445 4.8.5.2", event("DTSTART:20260324T080000Z", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=4", "EXRULE:FREQ=DAILY;INTERVAL=2"),
			[]string{"2026-03-25T08:00Z/2026-03-25T09:00Z", "2026-03-27T08:00Z/2026-03-27T09:00Z"}},
		{"RDATE, one of them twice", "3.8.5.2: duplicates count once", event("DTSTART:20260324T080000Z", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=2", "RDATE:20260325T080000Z,20260330T080000Z"),
			[]string{"2026-03-24T08:00Z/2026-03-24T09:00Z", "2026-03-25T08:00Z/2026-03-25T09:00Z", "2026-03-30T08:00Z/2026-03-30T09:00Z"}},
		{"RDATE as periods", "3.8.5.2", event("DTSTART:20260324T080000Z", "DURATION:PT1H", "RDATE;VALUE=PERIOD:20260325T080000Z/PT3H,20260326T080000Z/20260326T100000Z"),
			[]string{"2026-03-24T08:00Z/2026-03-24T09:00Z", "2026-03-25T08:00Z/2026-03-25T11:00Z", "2026-03-26T08:00Z/2026-03-26T10:00Z"}},
		{"one instance moved, one cancelled", "3.8.4.4", calendar("BEGIN:VEVENT\nUID:1\nDTSTART;TZID=Europe/Berlin:20260324T080000\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=4\nEND:VEVENT\n" +
			"BEGIN:VEVENT\nUID:1\nRECURRENCE-ID;TZID=Europe/Berlin:20260325T080000\nDTSTART;TZID=Europe/Berlin:20260325T150000\nDURATION:PT2H\nEND:VEVENT\n" +
			"BEGIN:VEVENT\nUID:1\nRECURRENCE-ID:20260326T070000Z\nDTSTART;TZID=Europe/Berlin:20260326T080000\nDURATION:PT1H\nSTATUS:CANCELLED\nEND:VEVENT"),
			[]string{"2026-03-24T07:00Z/2026-03-24T08:00Z", "2026-03-25T14:00Z/2026-03-25T16:00Z", "2026-03-27T07:00Z/2026-03-27T08:00Z"}},
		{"an instance without its series", "3.8.4.4: as sent in invitations", event("RECURRENCE-ID:20260325T080000Z", "DTSTART:20260325T150000Z", "DURATION:PT2H"), []string{"2026-03-25T15:00Z/2026-03-25T17:00Z"}},
		{"another event's instance is not taken out", "3.8.4.4", calendar("BEGIN:VEVENT\nUID:1\nDTSTART:20260325T080000Z\nDURATION:PT1H\nEND:VEVENT\n" +
			"BEGIN:VEVENT\nUID:2\nRECURRENCE-ID:20260325T080000Z\nDTSTART:20260326T080000Z\nDURATION:PT2H\nEND:VEVENT"),
			[]string{"2026-03-25T08:00Z/2026-03-25T09:00Z", "2026-03-26T08:00Z/2026-03-26T10:00Z"}},
		{"overlapping ones are kept", "each booking is somebody's reason", calendar("BEGIN:VEVENT\nUID:1\nDTSTART:20260325T080000Z\nDURATION:PT2H\nEND:VEVENT\nBEGIN:VEVENT\nUID:2\nDTSTART:20260325T080000Z\nDURATION:PT1H\nEND:VEVENT"),
			[]string{"2026-03-25T08:00Z/2026-03-25T09:00Z", "2026-03-25T08:00Z/2026-03-25T10:00Z"}},
		{"hourly, half past as well", "3.3.10: BYMINUTE expands", event("DTSTART:20260325T083000Z", "DURATION:PT5M", "RRULE:FREQ=HOURLY;COUNT=3;BYMINUTE=0,30"),
			[]string{"2026-03-25T08:30Z/2026-03-25T08:35Z", "2026-03-25T09:00Z/2026-03-25T09:05Z", "2026-03-25T09:30Z/2026-03-25T09:35Z"}},
		{"an interval that never meets its hour", "3.3.10; DTSTART alone is left", event("DTSTART:20260325T080000Z", "DURATION:PT5M", "RRULE:FREQ=HOURLY;INTERVAL=24;BYHOUR=9"), []string{"2026-03-25T08:00Z/2026-03-25T08:05Z"}},
		{"begun before the window, by a rule", "it lasts into it", event("DTSTART:20251101T000000Z", "DURATION:P20D", "RRULE:FREQ=DAILY;INTERVAL=50;COUNT=2"), []string{"2025-12-21T00:00Z/2026-01-10T00:00Z"}},
		{"since the year 1", "the library takes that instant for none", event("DTSTART:00010101T000000Z", "DURATION:PT1H", "RRULE:FREQ=YEARLY"), []string{"2026-01-01T00:00Z/2026-01-01T01:00Z"}},
		{"since 1604", "a year programs write for a birthday without one", event("DTSTART;VALUE=DATE:16040325", "RRULE:FREQ=YEARLY"), []string{"2026-03-24T23:00Z/2026-03-25T23:00Z"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			assert.Equal(t, row.want, spans(read(t, row.file, "Europe/Berlin", year2026, year2027)), row.source)
		})
	}
}

// Whole files, written by hand. The instants were worked out by
// hand from the files; outside_test.go has another reader do the same.
func TestReadFixtures(t *testing.T) {
	for _, row := range []struct {
		file string
		want []string
	}{
		// A made-up zone of -02:00, -01:00 from the last Sunday of March at 01:00
		// to the last Sunday of October, and a custom name with the same rules
		// since 1601, as Windows programs write it.
		{"own_zones.ics", []string{
			"2026-03-28T11:00Z/2026-03-28T12:00Z Before the change", // 09:00 -02
			"2026-03-29T03:30Z/2026-03-29T04:00Z In the gap",        // 01:30 read with -02
			"2026-03-30T10:00Z/2026-03-30T11:00Z After the change",  // 09:00 -01
			"2026-10-25T01:30Z/2026-10-25T02:00Z Shown twice",       // 00:30, first pass, -01
			"2026-12-01T14:00Z/2026-12-01T15:00Z Custom, winter",    // 09:00 -05
		}},
		{"household.ics", []string{
			"2026-11-23T23:30Z/2026-11-24T01:00Z Choir, hall B",
			"2026-11-26T07:00Z/2026-11-27T07:00Z Feast, at ours; bring chairs",
			"2026-11-28T16:00Z/2026-11-28T17:30Z Market",
			"2026-12-01T01:00Z/2026-12-01T02:30Z Choir, moved",
			"2026-12-14T23:30Z/2026-12-15T01:00Z Choir, hall B",
		}},
	} {
		t.Run(row.file, func(t *testing.T) {
			data, err := os.ReadFile(filepath.Join("testdata", row.file))
			require.NoError(t, err)
			bookings := read(t, string(data), "America/Denver", year2026, year2027)
			var got []string
			for i, b := range bookings {
				got = append(got, spans(bookings)[i]+" "+b.What)
			}
			assert.Equal(t, row.want, got)
		})
	}
}

// The tool's own calendars are read like any other: hands-on steps are busy,
// watched and waiting ones transparent. With and without its zone in the file it is
// the same plan.
func TestReadOwnCalendars(t *testing.T) {
	var both [][]string
	for _, name := range []string{"turkey-frames.ics", "turkey-frames-zone.ics"} {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "golden", name))
		require.NoError(t, err)
		both = append(both, spans(read(t, string(data), "America/Denver", year2026, year2027)))
	}
	assert.Equal(t, both[0], both[1])
	assert.Equal(t, "2026-11-28T15:00Z/2026-11-28T15:30Z", both[0][0], "8:00 to 8:30 in Denver")
	assert.Len(t, both[0], 4, "hands-on steps of turkeyFrames")
}

func TestReadKeepsToTheWindow(t *testing.T) {
	file := event("DTSTART:20260328T080000Z", "DTEND:20260328T100000Z", "RRULE:FREQ=DAILY;COUNT=3")
	at := func(day, hour int) time.Time { return time.Date(2026, 3, day, hour, 0, 0, 0, time.UTC) }
	assert.Equal(t, []string{"2026-03-28T08:00Z/2026-03-28T10:00Z"}, spans(read(t, file, "UTC", at(28, 9), at(28, 10))), "whole, though half outside")
	assert.Empty(t, read(t, file, "UTC", at(28, 10), at(29, 8)), "from is within, until is not")
	assert.Len(t, read(t, file, "UTC", at(28, 9), at(30, 9)), 3)

	long := event("DTSTART:20250101T000000Z", "DTEND:20260401T000000Z")
	assert.Len(t, read(t, long, "UTC", at(28, 9), at(28, 10)), 1, "begun long before")
}

func TestReadCleansTheSummary(t *testing.T) {
	file := calendar("BEGIN:VEVENT\nUID:1\nDTSTART:20260328T080000Z\nDURATION:PT1H\nSUMMARY;LANGUAGE=de:Zahnarzt\\, \x1b[31mDr.\x07 Müller\\nC:\\\\neu\\; Tür\n  zwei\nEND:VEVENT")
	// Folded within a letter as well: RFC 5545 3.1 counts octets.
	file = strings.Replace(file, "Müller", "M\xc3\r\n \xbcller", 1)
	bookings := read(t, file, "Europe/Berlin", year2026, year2027)
	require.Len(t, bookings, 1)
	assert.Equal(t, `Zahnarzt, [31mDr. Müller C:\neu; Tür zwei`, bookings[0].What)
	assert.Equal(t, "Europe/Berlin", bookings[0].From.Location().String())
}

func TestReadAcceptsLineEndsAndMark(t *testing.T) {
	file := event("DTSTART:20260328T080000Z", "DURATION:PT1H")
	for name, form := range map[string]string{
		"LF": strings.ReplaceAll(file, "\r\n", "\n"), "mark": "\xef\xbb\xbf" + file, "no last line end": strings.TrimSpace(file), "blank lines": "\r\n" + file + "\r\n\r\n",
	} {
		assert.Len(t, read(t, form, "UTC", year2026, year2027), 1, name)
	}
}

const (
	head  = "BEGIN:VCALENDAR\nVERSION:2.0\n" // lines 1 and 2
	start = "DTSTART:20260328T080000Z\n"
)

// in is an event of these lines, from the fifth of the file on.
func in(lines string) string {
	return head + "BEGIN:VEVENT\nUID:1\n" + lines + "END:VEVENT\nEND:VCALENDAR\n"
}

func TestReadErrorsNameFileAndLine(t *testing.T) {
	for _, row := range []struct{ name, file, want string }{
		{"empty", "", `work.ics:1: this is no calendar file: it has no BEGIN:VCALENDAR`},
		{"junk", "hello\n", `work.ics:1: "hello" is no calendar line, such as SUMMARY:Dentist`},
		{"a web page", "<html>\n", `work.ics:1: "<html>" is no calendar line, such as SUMMARY:Dentist`},
		{"not UTF-8", head + "X-A:caf\xe9\nEND:VCALENDAR\n", `work.ics:3: this line is not UTF-8`},
		{"cut short", head, `work.ics:1: BEGIN:VCALENDAR is never closed`},
		{"cut short in an event", head + "BEGIN:VEVENT\nUID:1\n", `work.ics:3: BEGIN:VEVENT is never closed`},
		{"event in an event", head + "BEGIN:VEVENT\nUID:1\nBEGIN:VEVENT\nUID:2\nEND:VEVENT\nEND:VEVENT\nEND:VCALENDAR\n", `work.ics:5: BEGIN:VEVENT stands inside VEVENT, which was not closed (line 3)`},
		{"wrong end", head + "BEGIN:VEVENT\nEND:VTODO\n", `work.ics:4: END:VTODO closes nothing: VEVENT of line 3 is open`},
		{"end too many", head + "END:VCALENDAR\nEND:VCALENDAR\n", `work.ics:4: "END:VCALENDAR" stands outside a calendar; a calendar file begins with BEGIN:VCALENDAR`},
		{"event outside", "BEGIN:VEVENT\n", `work.ics:1: "VEVENT" stands outside a calendar; a calendar file begins with BEGIN:VCALENDAR`},
		{"too deep", head + strings.Repeat("BEGIN:X-A\n", 20), `work.ics:18: components stand more than 16 deep in one another`},
		{"fold before anything", " x\n" + head, `work.ics:1: this line continues another, but none stands before it`},
		{"open quote", in("DTSTART;TZID=\"A:20260328T080000\n"), `work.ics:5: "DTSTART;TZID=\"A:20260328T080000" is no calendar line, such as SUMMARY:Dentist`},
		{"no colon", in("SUMMARY\n"), `work.ics:5: "SUMMARY" is no calendar line, such as SUMMARY:Dentist`},
		{"no colon after a parameter", in("X-A;B=1\n"), `work.ics:5: "X-A;B=1" is no calendar line, such as SUMMARY:Dentist`},
		{"parameter without value", in("DTSTART;TZID:20260328T080000\n"), `work.ics:5: "DTSTART;TZID:20260328T080000" is no calendar line, such as SUMMARY:Dentist`},
		{"old version", "BEGIN:VCALENDAR\nVERSION:1.0\nEND:VCALENDAR\n", `work.ics:2: VERSION is "1.0"; only calendars of VERSION:2.0 can be read`},
		{"no time for what repeats", in("DTSTART:20260328T0800\nRRULE:FREQ=DAILY\n"), `work.ics:5: DTSTART "20260328T0800" is no date or time`},
		{"every second", in(start + "DURATION:PT1S\nRRULE:FREQ=SECONDLY\n"), `work.ics:7: RRULE repeats too often: more than 10000 times in the time planned for`},
		{"every second, counted", in("DTSTART:19700101T000000Z\nRRULE:FREQ=SECONDLY;COUNT=2000000000\n"), `work.ics:6: up to this line repeating events take more than 50000000 steps, the most that are worked out`},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := readAs(strings.NewReader(row.file), "work.ics", time.UTC, year2026, year2027)
			var refused *busy.Error
			require.ErrorAs(t, err, &refused)
			assert.Equal(t, row.want, err.Error())
			assert.Nil(t, got)
		})
	}
}

// Source: the issue, no published source: one odd event refuses no file. What may matter is
// taken for as long as it may be: an event without the exceptions that cannot be read, every
// day where its rule cannot, and the whole days it names where its times cannot, on any clock
// where it names one. What does not say when at all is left out.
func TestOddPartsAreTakenForAllTheyMayBe(t *testing.T) {
	zone := func(lines string) string {
		return head + "BEGIN:VTIMEZONE\nTZID:Home\n" + lines + "END:VTIMEZONE\nBEGIN:VEVENT\nUID:1\n" +
			"DTSTART;TZID=Home:20260328T080000\nDURATION:PT1H\nEND:VEVENT\nEND:VCALENDAR\n"
	}
	const daily = "2026-03-28T08:00Z/2026-03-28T09:00Z 2026-03-29T08:00Z/2026-03-29T09:00Z " +
		"2026-03-30T08:00Z/2026-03-30T09:00Z 2026-03-31T08:00Z/2026-03-31T09:00Z"
	for _, row := range []struct{ name, file, want, taken string }{
		{"a change to an event without a UID", head + "BEGIN:VEVENT\n" + start + "RECURRENCE-ID:20260328T080000Z\nDURATION:PT1H\nEND:VEVENT\nEND:VCALENDAR\n", `work.ics:3: this event changes an instance of another, and has no UID to tell which`, "2026-03-28T08:00Z/2026-03-28T09:00Z"},
		{"two DTSTART", in(start + start), `work.ics:6: DTSTART stands twice in this VEVENT`, "2026-03-28T08:00Z/2026-03-29T08:00Z"},
		{"no date", in("DTSTART:2026banana\n"), `work.ics:5: DTSTART "2026banana" is no date or time`, ``},
		{"no start, but an end", in("DTSTART:banana\nDTEND:20260328T080000Z\n"), `work.ics:5: DTSTART "banana" is no date or time`, "2026-03-27T08:00Z/2026-03-28T08:00Z"},
		{"no such day", in("DTSTART;VALUE=DATE:20260230\n"), `work.ics:5: DTSTART "20260230" is no date`, ``},
		{"folded: the first line is named", in("DTSTART\n :2026\n banana\n"), `work.ics:5: DTSTART "2026banana" is no date or time`, ``},
		{"fraction", in("DTSTART:20260328T080000.5Z\n"), `work.ics:5: DTSTART "20260328T080000.5Z" is no date or time`, "2026-03-27T10:00Z/2026-03-29T12:00Z"},
		{"zone and Z", in("DTSTART;TZID=Europe/Berlin:20260328T080000Z\n"), `work.ics:5: DTSTART "20260328T080000Z" has a TZID and ends with Z: it is unclear which clock it means`, "2026-03-27T10:00Z/2026-03-29T12:00Z"},
		{"end before start", in(start + "DTEND:20260328T070000Z\n"), `work.ics:6: DTEND "20260328T070000Z" is before DTSTART`, "2026-03-28T07:00Z/2026-03-29T07:00Z"},
		{"end is a date", in(start + "DTEND;VALUE=DATE:20260329\n"), `work.ics:6: DTEND "20260329" does not go with DTSTART: one is a date, the other a time`, "2026-03-28T08:00Z/2026-03-30T00:00Z"},
		{"end and duration", in(start + "DTEND:20260328T090000Z\nDURATION:PT1H\n"), `work.ics:6: this event has both DTEND and DURATION`, "2026-03-28T08:00Z/2026-03-29T08:00Z"},
		{"negative duration", in(start + "DURATION:-PT1H\n"), `work.ics:6: DURATION "-PT1H" is no duration of at most 100 years`, "2026-03-28T08:00Z/2026-03-29T08:00Z"},
		{"endless duration", in(start + "DURATION:P99999999999999999999D\n"), `work.ics:6: DURATION "P99999999999999999999D" is no duration of at most 100 years`, "2026-03-28T08:00Z/2026-03-29T08:00Z"},
		{"empty duration", in(start + "DURATION:PT\n"), `work.ics:6: DURATION "PT" is no duration of at most 100 years`, "2026-03-28T08:00Z/2026-03-29T08:00Z"},
		{"hours of a day", in("DTSTART;VALUE=DATE:20260328\nDURATION:PT1H\n"), `work.ics:6: DURATION "PT1H" has hours, but DTSTART is a date`, "2026-03-28T00:00Z/2026-03-29T00:00Z"},
		{"rule", in(start + "RRULE:FREQ=FORTNIGHTLY\nDURATION:PT1H\n"), `work.ics:6: RRULE "FREQ=FORTNIGHTLY" cannot be read: undefined frequency: FORTNIGHTLY`, daily},
		{"rule part", in(start + "RRULE:FREQ=DAILY;BYEASTER=1\nDURATION:PT1H\n"), `work.ics:6: RRULE "FREQ=DAILY;BYEASTER=1" cannot be read: "BYEASTER" is no part of a rule`, daily},
		{"rule without frequency", in(start + "RRULE:COUNT=1\nDURATION:PT1H\n"), `work.ics:6: RRULE "COUNT=1" cannot be read: RRULE property FREQ is required`, daily},
		{"interval", in(start + "RRULE:FREQ=DAILY;INTERVAL=0\nDURATION:PT1H\n"), `work.ics:6: RRULE "FREQ=DAILY;INTERVAL=0" cannot be read: INTERVAL must be from 1 to 1000000`, daily},
		{"fifth week of a year's fifth month", in(start + "RRULE:FREQ=MONTHLY;BYDAY=53MO\nDURATION:PT1H\n"), `work.ics:6: RRULE "FREQ=MONTHLY;BYDAY=53MO" cannot be read: BYDAY counts weekdays that are not there, or where nothing is counted`, daily},
		{"counted weekday of a week", in(start + "RRULE:FREQ=WEEKLY;BYDAY=2MO\nDURATION:PT1H\n"), `work.ics:6: RRULE "FREQ=WEEKLY;BYDAY=2MO" cannot be read: BYDAY counts weekdays that are not there, or where nothing is counted`, daily},
		{"until", in(start + "RRULE:FREQ=DAILY;UNTIL=soon\nDURATION:PT1H\n"), `work.ics:6: UNTIL "SOON" is no date or time`, daily},
		{"never", in(start + "RRULE:FREQ=DAILY;BYMONTH=2;BYDAY=MO,TU\nRRULE:FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30\nDURATION:PT1H\n"), `work.ics:7: RRULE never falls on any date`, "2026-03-28T08:00Z/2026-03-28T09:00Z"},
		{"never, by the second", in(start + "RRULE:FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30\nDURATION:PT1H\n"), `work.ics:6: RRULE never falls on any date`, "2026-03-28T08:00Z/2026-03-28T09:00Z"},
		{"a rule that is over", in("DTSTART:20200328T080000Z\nRRULE:FREQ=FORTNIGHTLY;UNTIL=20251231T000000Z\nDURATION:PT1H\n"),
			`work.ics:6: RRULE "FREQ=FORTNIGHTLY;UNTIL=20251231T000000Z" cannot be read: undefined frequency: FORTNIGHTLY`, ``},
		{"exceptions", in(start + "RRULE:FREQ=DAILY;INTERVAL=2\nDURATION:PT1H\nEXDATE:junk\n"), `work.ics:8: EXDATE "junk" is no date or time`,
			"2026-03-28T08:00Z/2026-03-28T09:00Z 2026-03-30T08:00Z/2026-03-30T09:00Z"},
		{"a busy time that names no day", head + "BEGIN:VFREEBUSY\nFREEBUSY:junk/PT1H\nEND:VFREEBUSY\nEND:VCALENDAR\n", `work.ics:4: FREEBUSY "junk" is no date or time`, ``},
		{"all this and later ones", in("RECURRENCE-ID;RANGE=THISANDFUTURE:20260328T080000Z\n" + start + "DURATION:PT1H\n"), `work.ics:5: RECURRENCE-ID with RANGE, a change to all later instances at once, is not read`, daily},
		{"date among times", in(start + "RDATE;VALUE=DATE:20260329\nDURATION:PT1H\n"), `work.ics:6: RDATE "20260329" does not go with DTSTART: one is a date, the other a time`, daily},
		{"period", head + "BEGIN:VFREEBUSY\nFREEBUSY:20260328T080000Z\nEND:VFREEBUSY\nEND:VCALENDAR\n", `work.ics:4: FREEBUSY "20260328T080000Z" is no period`, "2026-03-27T10:00Z/2026-03-29T12:00Z"},
		{"zone without rules", zone(""), `work.ics:3: this VTIMEZONE has neither STANDARD nor DAYLIGHT`, "2026-03-27T18:00Z/2026-03-28T21:00Z"},
		{"zone without offset", zone("BEGIN:STANDARD\nDTSTART:16010101T000000\nTZOFFSETFROM:+0100\nEND:STANDARD\n"), `work.ics:5: STANDARD has no TZOFFSETTO`, "2026-03-27T18:00Z/2026-03-28T21:00Z"},
		{"zone with a wrong offset", zone("BEGIN:STANDARD\nDTSTART:16010101T000000\nTZOFFSETFROM:+01:00\nTZOFFSETTO:+0100\nEND:STANDARD\n"), `work.ics:7: TZOFFSETFROM "+01:00" is no offset from UTC`, "2026-03-27T18:00Z/2026-03-28T21:00Z"},
		{"zone in terms of itself", zone("BEGIN:STANDARD\nDTSTART:16010101T000000\nTZOFFSETFROM:+0100\nTZOFFSETTO:+0100\nRDATE;TZID=Home:20260101T000000\nEND:STANDARD\n"), `work.ics:9: RDATE of STANDARD must be a local time`, "2026-03-27T18:00Z/2026-03-28T21:00Z"},
	} {
		r := busy.NewReader(time.UTC, year2026, time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC))
		require.NoError(t, r.Add(strings.NewReader(row.file), "work.ics"), row.name)
		require.NotEmpty(t, r.Oddities(), row.name)
		assert.EqualError(t, r.Oddities()[0].Err, row.want, row.name)
		assert.Equal(t, row.taken, strings.Join(spans(r.Bookings()), " "), row.name)
		left := row.taken == "" && row.name != "a rule that is over" || strings.HasPrefix(row.name, "never") // a rule that never falls adds nothing
		assert.Equal(t, !left, r.Oddities()[0].Widest, row.name)
	}
}

func TestReadPassesOnErrorsOfItsInput(t *testing.T) {
	gone := errors.New("disk gone")
	_, err := readAs(iotest.ErrReader(gone), "work.ics", time.UTC, year2026, year2027)
	require.ErrorIs(t, err, gone)
}

func TestReadRefusesHugeFiles(t *testing.T) {
	_, err := readAs(strings.NewReader(strings.Repeat("X-A:aaaaaaaaaaa\n", 2<<20+1)), "work.ics", time.UTC, year2026, year2027)
	require.EqualError(t, err, "work.ics:1: the file is larger than 32 MiB, the most that is read")
}

// office is a calendar of n events every week since 2020, each on another minute.
func office(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "BEGIN:VEVENT\nUID:%d\nSUMMARY:Meeting %d\nDTSTART;TZID=Mountain Standard Time:20200106T%02d%02d00\nDURATION:PT30M\nRRULE:FREQ=WEEKLY;BYDAY=MO,TH\nEXDATE;TZID=Mountain Standard Time:20261126T%02d%02d00\nEND:VEVENT\n",
			i, i, i/60%24, i%60, i/60%24, i%60)
	}
	return calendar(strings.TrimSpace(b.String()))
}

// BenchmarkRead reads 500 weekly events for a fortnight.
func BenchmarkRead(b *testing.B) {
	file := office(500)
	from := time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC)
	for b.Loop() {
		require.Len(b, read(b, file, "America/Denver", from, from.AddDate(0, 0, 14)), 1500)
	}
}

// FuzzRead wants no file to make the reader panic or run on, and what it returns
// to be in order and in the window.
func FuzzRead(f *testing.F) {
	fixtures, err := filepath.Glob("testdata/*.ics")
	require.NoError(f, err)
	require.NotEmpty(f, fixtures)
	for _, name := range fixtures {
		data, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Add([]byte(event("DTSTART:20260328T080000Z", "DURATION:PT1H", "RRULE:FREQ=MINUTELY;INTERVAL=7;BYHOUR=1,2;BYSECOND=0,30;UNTIL=20260401")))
	f.Add([]byte(event("DTSTART:00010101T000000Z", "DURATION:PT1H", "RRULE:FREQ=YEARLY;BYWEEKNO=53,-1;BYDAY=MO;BYSETPOS=-1,2;WKST=SU")))
	f.Add([]byte(event("DTSTART:99991231T235959Z", "DURATION:PT1H", "RRULE:FREQ=MONTHLY;BYDAY=-5SU,5MO;BYMONTHDAY=-31")))
	f.Add([]byte(event("DTSTART;VALUE=DATE:20260328", "RRULE:FREQ=WEEKLY;INTERVAL=1000000;BYDAY=SU", "RDATE;VALUE=DATE:20260401", "EXDATE;VALUE=DATE:20260328")))
	f.Fuzz(func(t *testing.T, data []byte) {
		from := time.Date(2026, 3, 20, 0, 0, 0, 0, time.UTC)
		until := from.AddDate(0, 0, 60)
		bookings, err := readAs(strings.NewReader(string(data)), "f.ics", time.UTC, from, until)
		if err != nil {
			var refused *busy.Error
			require.ErrorAs(t, err, &refused)
			require.Positive(t, refused.Line)
			require.NotEmpty(t, refused.Reason)
			require.Nil(t, bookings)
			return
		}
		for i, b := range bookings {
			require.True(t, b.From.Before(until) && b.To.After(from) && b.To.After(b.From))
			require.True(t, i == 0 || !b.From.Before(bookings[i-1].From))
			require.NotContains(t, b.What, "\n")
		}
	})
}

// FuzzRule puts any rule to the RRULE library, which by itself panics on some and
// never ends on others.
func FuzzRule(f *testing.F) {
	for _, rule := range []string{
		"FREQ=MONTHLY;BYDAY=53MO", "FREQ=HOURLY;INTERVAL=2;BYHOUR=1", "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30", "FREQ=YEARLY;BYWEEKNO=53,-1;BYDAY=MO;BYSETPOS=-1,2;WKST=SU",
		"FREQ=YEARLY;BYYEARDAY=366,-366;BYHOUR=1,2;BYMINUTE=1,2;BYSECOND=1,2", "FREQ=WEEKLY;INTERVAL=1000000;COUNT=9;BYDAY=SU,MO,TU", "FREQ=DAILY;UNTIL=99991231", "FREQ=MINUTELY;INTERVAL=7;BYDAY=FR;BYSECOND=0,30",
	} {
		f.Add("20260101T093000Z", rule)
		f.Add("16010101", rule)
	}
	f.Fuzz(func(t *testing.T, start, rule string) {
		if strings.ContainsAny(start+rule, "\r\n") {
			return
		}
		from := time.Date(2026, 3, 20, 0, 0, 0, 0, time.UTC)
		bookings, err := readAs(strings.NewReader(event("DTSTART:"+start, "DTEND:"+start, "RRULE:"+rule)), "f.ics", time.UTC, from, from.AddDate(0, 0, 60))
		var refused *busy.Error
		require.True(t, err == nil || errors.As(err, &refused))
		require.LessOrEqual(t, len(bookings), 10_001)
	})
}

// What other programs write against the RFC, and what is plain all the same.
func TestOddButPlain(t *testing.T) {
	for _, row := range []struct{ name, file, want string }{
		{"no UID", calendar("BEGIN:VEVENT\nDTSTART:20260328T080000Z\nDURATION:PT1H\nEND:VEVENT"), "2026-03-28T08:00Z/2026-03-28T09:00Z"},
		{"a title twice", calendar("BEGIN:VEVENT\nUID:1\nSUMMARY:Choir\nSUMMARY:Chor\nDTSTART:20260328T080000Z\nDURATION:PT1H\nEND:VEVENT"), "2026-03-28T08:00Z/2026-03-28T09:00Z"},
		{"a rule that ends in a semicolon", event("DTSTART:20260328T080000Z", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=1;"), "2026-03-28T08:00Z/2026-03-28T09:00Z"},
		{"an empty list of exceptions", event("DTSTART:20260328T080000Z", "DURATION:PT1H", "EXDATE:"), "2026-03-28T08:00Z/2026-03-28T09:00Z"},
		// Europe: 2:00 to 3:00 does not exist on 29 March 2026.
		{"half an hour the clock skips", event("DTSTART;TZID=Europe/Berlin:20260329T023000", "DTEND;TZID=Europe/Berlin:20260329T030000"), ""},
	} {
		got, err := readAs(strings.NewReader(row.file), "work.ics", time.UTC, year2026, year2027)
		require.NoError(t, err, row.name)
		assert.Equal(t, row.want, strings.Join(spans(got), " "), row.name)
	}
}

// The steps of the run that is planned anew do not stand in their own way.
func TestOwnStepsAreNotBusy(t *testing.T) {
	file := event("DTSTART:20260328T080000Z", "DURATION:PT1H", ical.RunProperty+":0b9d0a1e-0000-5000-8000-000000000001")
	for _, row := range []struct {
		own  []string
		want int
	}{{nil, 1}, {[]string{"0b9d0a1e-0000-5000-8000-000000000001"}, 0}, {[]string{"another"}, 1}} {
		got, err := readAs(strings.NewReader(file), "work.ics", time.UTC, year2026, year2027, row.own...)
		require.NoError(t, err)
		assert.Len(t, got, row.want)
	}
}

// Source: the issue, no published source: what cannot matter does not refuse a file, and
// what may is taken for all it may be.
func TestOddEventsThatCannotMatterAreLeftOut(t *testing.T) {
	choir := "BEGIN:VEVENT\nUID:9\nDTSTART:20260328T080000Z\nDURATION:PT1H\nSUMMARY:Choir\nEND:VEVENT\n"
	for _, row := range []struct{ name, odd, says string }{
		{"no DTSTART", "BEGIN:VEVENT\nUID:1\nEND:VEVENT\n", "work.ics:4: this event has no DTSTART"},
		{"an end that is none, long past", "BEGIN:VEVENT\nUID:1\nDTSTART:20251101T080000Z\nDTEND:banana\nEND:VEVENT\n", `work.ics:7: DTEND "banana" is no date or time`},
		{"an end before the start, years later", "BEGIN:VEVENT\nUID:1\nDTSTART:20290101T080000Z\nDTEND:20290101T070000Z\nEND:VEVENT\n", `work.ics:7: DTEND "20290101T070000Z" is before DTSTART`},
	} {
		r := busy.NewReader(time.UTC, year2026, year2027)
		require.NoError(t, r.Add(strings.NewReader(calendar(row.odd+choir)), "work.ics"), row.name)
		assert.Equal(t, []string{"2026-03-28T08:00Z/2026-03-28T09:00Z"}, spans(r.Bookings()), row.name)
		require.Len(t, r.Oddities(), 1, row.name)
		assert.EqualError(t, r.Oddities()[0].Err, row.says)
		assert.False(t, r.Oddities()[0].Widest)
	}
}

// Source: tz database: Baker Island is 12 h behind UTC, Kiritimati 14 h ahead.
func TestAZoneNobodyKnowsIsTakenForEvery(t *testing.T) {
	for _, zone := range []string{"Home", "Local", "(UTC-07:00) Nowhere"} {
		r := busy.NewReader(time.UTC, year2026, year2027)
		file := event("DTSTART;TZID=\""+zone+"\":20260328T080000", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=3", "EXDATE;TZID=\""+zone+"\":20260329T080000")
		require.NoError(t, r.Add(strings.NewReader(file), "work.ics"))
		assert.Equal(t, []string{"2026-03-27T18:00Z/2026-03-28T21:00Z", "2026-03-29T18:00Z/2026-03-30T21:00Z"}, spans(r.Bookings()), zone)
		require.Len(t, r.Oddities(), 1, "it is said once")
		assert.True(t, r.Oddities()[0].Widest)
	}
}

// A VTIMEZONE without a name is that of nothing.
func TestAZoneWithoutANameHarmsNothing(t *testing.T) {
	file := strings.Replace(event("DTSTART:20260328T080000Z", "DURATION:PT1H"), "BEGIN:VEVENT", "BEGIN:VTIMEZONE\r\nEND:VTIMEZONE\r\nBEGIN:VEVENT", 1)
	assert.Len(t, read(t, file, "UTC", year2026, year2027), 1)
}

// Sources: RFC 5545 3.2.19; Unicode CLDR 41, windowsZones.
func TestZonesAsWindowsCallsAndShowsThem(t *testing.T) {
	for zone, want := range map[string]string{
		"UTC": "08:00", "Mountain Standard Time": "14:00", "(UTC-07:00) Mountain Time (US & Canada)": "14:00",
		"(GMT-07:00) Mountain Time (US & Canada)": "14:00", "Mountain Time (US & Canada)": "14:00", "W. Europe Standard Time": "07:00",
		"(UTC+01:00) Amsterdam, Berlin, Bern, Rome, Stockholm, Vienna": "07:00", "(UTC+05:30) Chennai, Kolkata, Mumbai, New Delhi": "02:30",
		"(UTC) Coordinated Universal Time": "08:00",
	} {
		r := busy.NewReader(time.UTC, year2026, year2027)
		require.NoError(t, r.Add(strings.NewReader(event("DTSTART;TZID=\""+zone+"\":20260328T080000", "DURATION:PT1H")), "work.ics"))
		require.Len(t, r.Bookings(), 1)
		assert.Equal(t, want, r.Bookings()[0].From.Format("15:04"), zone)
		assert.Empty(t, r.Oddities(), zone)
	}
	assert.Len(t, read(t, event("DTSTART;TZID=UTC:20260328T080000Z", "DURATION:PT1H"), "UTC", year2026, year2027), 1, "both say the same")
}

// What another run of ours takes of the kitchen is taken, as long as all may run.
func TestOtherRunsTakeCannerAndDryer(t *testing.T) {
	file := calendar("BEGIN:VEVENT\nUID:1\nSUMMARY:Load 1\nX-BROTHRUN-RUN:other\nX-BROTHRUN-TAKES:canner/20260328T080000Z/20260328T110000Z\n" +
		"DTSTART:20260328T080000Z\nDURATION:PT2H\nEND:VEVENT\nBEGIN:VEVENT\nUID:2\nX-BROTHRUN-RUN:other\n" +
		"X-BROTHRUN-TAKES:freeze-dryer/20260328T120000Z/20260330T120000Z\nDTSTART:20260328T120000Z\nDURATION:PT10M\nEND:VEVENT\n" +
		"BEGIN:VEVENT\nUID:3\nX-BROTHRUN-RUN:mine\nX-BROTHRUN-TAKES:canner/20260401T080000Z/20260401T110000Z\nDTSTART:20260401T080000Z\nEND:VEVENT\n" +
		"BEGIN:VEVENT\nUID:4\nSTATUS:CANCELLED\nX-BROTHRUN-TAKES:canner/20260402T080000Z/20260402T110000Z\nDTSTART:20260402T080000Z\nEND:VEVENT")
	r := busy.NewReader(time.UTC, year2026, year2027, "mine")
	require.NoError(t, r.Add(strings.NewReader(file), "work.ics"))
	assert.Equal(t, []string{"2026-03-28T08:00Z/2026-03-28T11:00Z"}, spans(r.Taken(timeline.Canner)))
	assert.Equal(t, []string{"2026-03-28T12:00Z/2026-03-30T12:00Z"}, spans(r.Taken(timeline.FreezeDryer)))
	assert.Equal(t, []string{"2026-03-28T12:00Z/2026-03-28T12:10Z"}, spans(r.Bookings()), "beside a load somebody is at home")
}

// A load that was dragged to another hour in another program takes the canner from then on.
func TestALoadThatWasMovedTakesTheCannerThen(t *testing.T) {
	for start, want := range map[string]string{
		"DTSTART:20260328T093000Z":                     "2026-03-28T09:30Z/2026-03-28T12:30Z",
		"DTSTART;TZID=Europe/Berlin:20260328T090000":   "2026-03-28T08:00Z/2026-03-28T11:00Z",
		"DTSTART;TZID=Nowhere:20260328T120000":         "2026-03-28T08:00Z/2026-03-28T11:00Z",
		"DTSTART;VALUE=DATE:20260328":                  "2026-03-28T08:00Z/2026-03-28T11:00Z",
		"DTSTART:banana\nX-A:is not looked at further": "2026-03-28T08:00Z/2026-03-28T11:00Z",
	} {
		r := busy.NewReader(time.UTC, year2026, year2027)
		file := calendar("BEGIN:VEVENT\nUID:1\nX-BROTHRUN-RUN:other\nX-BROTHRUN-TAKES:canner/20260328T080000Z/20260328T110000Z\n" + start + "\nEND:VEVENT")
		require.NoError(t, r.Add(strings.NewReader(file), "work.ics"), start)
		assert.Equal(t, []string{want}, spans(r.Taken(timeline.Canner)), start)
	}
}
