package busy_test

import (
	"flag"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/timeline/busy"
)

// As much is read, one more is not. The limits are our own.
func TestReadRefusesWhatIsPastALimit(t *testing.T) {
	list := func(n int, each string) string { return strings.TrimSuffix(strings.Repeat(each+",", n), ",") }
	for _, row := range []struct {
		name string
		most int
		file func(n int) string
		want string
	}{
		// VCALENDAR, VERSION, VEVENT and DTSTART are lines about times as well.
		{"lines", 400_000 - 4, func(n int) string {
			return calendar("BEGIN:VEVENT\nDTSTART:20260328T080000Z\n" + strings.Repeat("SUMMARY:s\n", n) + "END:VEVENT")
		}, `work.ics:400002: up to this line there are more than 400000 lines about times, the most that are read`},
		{"calendars", 200_000, func(n int) string { return strings.Repeat("BEGIN:VCALENDAR\nVERSION:2.0\nEND:VCALENDAR\n", n) },
			`work.ics:600001: up to this line there are more than 400000 lines about times, the most that are read`},
		{"dates", 100_000, func(n int) string {
			return event("DTSTART:20260328T080000Z", "EXDATE:"+list(n/2, "20260101T000000Z"), "RDATE:"+list(n-n/2, "20260101T000000Z"))
		}, `work.ics:8: up to this line there are more than 100000 dates and periods in lists, the most that are read`},
		{"busy periods", 100_000, func(n int) string {
			return calendar("BEGIN:VFREEBUSY\nFREEBUSY:" + list(n/2, "20200101T000000Z/PT1S") + "\nFREEBUSY:" + list(n-n/2, "20200101T000000Z/PT1S") + "\nEND:VFREEBUSY")
		}, `work.ics:6: up to this line there are more than 100000 dates and periods in lists, the most that are read`},
		{"a line", 2 << 20, func(n int) string {
			return event("DTSTART:20260328T080000Z", "COMMENT:"+strings.Repeat("dropped ", n/4), "UID:"+strings.Repeat("x", n-len("UID:")))
		}, `work.ics:8: this UID is longer than 2 MiB, the most that is read of one line`},
		{"zones", 1000, func(n int) string {
			var b strings.Builder
			for i := range n {
				fmt.Fprintf(&b, "BEGIN:VTIMEZONE\nTZID:Z%d\nBEGIN:STANDARD\nDTSTART:16010101T000000\nTZOFFSETFROM:+0100\nTZOFFSETTO:+0100\nEND:STANDARD\nEND:VTIMEZONE\n", i)
				fmt.Fprintf(&b, "BEGIN:VEVENT\nDTSTART;TZID=Z%d:20260328T080000\nDTEND;TZID=Z%d:20260328T090000\nEND:VEVENT\n", i, i)
			}
			return calendar(strings.TrimSpace(b.String()))
		}, `work.ics:12013: up to this line there are more than 1000 names of time zones, the most that are read`},
	} {
		t.Run(row.name, func(t *testing.T) {
			file := func(n int) string { return strings.Replace(row.file(n), "UID:1\r\n", "", 1) }
			_, err := readAs(strings.NewReader(file(row.most)), "work.ics", time.UTC, year2026, year2027)
			require.NoError(t, err)
			_, err = readAs(strings.NewReader(file(row.most+1)), "work.ics", time.UTC, year2026, year2027)
			require.EqualError(t, err, row.want)
			var refused *busy.Error
			require.ErrorAs(t, err, &refused)
			assert.Equal(t, "export fewer years or fewer calendars", refused.Hint)
		})
	}
}

// A name of a zone may be of any length and have any number of slashes; the longest
// of the world has 32 letters (IANA time zone database).
func TestALongNameOfAZoneIsNotLookedUpPieceByPiece(t *testing.T) {
	r := busy.NewReader(time.UTC, year2026, year2027)
	require.NoError(t, r.Add(strings.NewReader(event("DTSTART;TZID="+strings.Repeat("/a", 900_000)+":20260328T080000")), "work.ics"))
	require.Len(t, r.Oddities(), 1)
	assert.Less(t, len(r.Oddities()[0].Err.Error()), 300)
}

// The limits are of all files together, or twenty times as much would pass.
func TestLimitsAreOfAllFilesTogether(t *testing.T) {
	r := busy.NewReader(time.UTC, year2026, year2027)
	half := event("DTSTART:20260328T080000Z", "DURATION:PT1H", "EXDATE:"+strings.TrimSuffix(strings.Repeat("20260101T000000Z,", 60_000), ","))
	require.NoError(t, r.Add(strings.NewReader(half), "a.ics"))
	require.EqualError(t, r.Add(strings.NewReader(half), "b.ics"),
		"b.ics:9: up to this line there are more than 100000 dates and periods in lists, the most that are read")

	r = busy.NewReader(time.UTC, year2026, year2027)
	require.NoError(t, r.Add(strings.NewReader(event("DTSTART:20260328T100000Z", "DURATION:PT1H")), "a.ics"))
	require.NoError(t, r.Add(strings.NewReader(event("DTSTART:20260328T080000Z", "DURATION:PT1H")), "b.ics"))
	assert.Equal(t, []string{"2026-03-28 08:00", "2026-03-28 10:00"}, starts(r.Bookings()))
	large := strings.Repeat("X-A:aaaaaaaaaaa\n", 1<<21)
	require.EqualError(t, r.Add(strings.NewReader(large), "c.ics"), "c.ics:1: the calendar files together are larger than 32 MiB, the most that is read")
}

// Each of these took a second or more of work though it stands in a file of a few
// kilobytes; the work is counted, in days looked at.
func TestRulesOfHostileFilesAreNotWorkedOutToTheEnd(t *testing.T) {
	numbers := func(from, until int) string {
		var list []string
		for n := from; n <= until; n++ {
			list = append(list, fmt.Sprint(n))
		}
		return strings.Join(list, ",")
	}
	many := func(n int, rule string) string {
		return event("DTSTART:16010101T000000Z", "DURATION:PT1H", strings.TrimSpace(strings.Repeat("RRULE:"+rule+"\n", n)))
	}
	for _, row := range []struct{ name, file string }{
		{"positions", many(100, "FREQ=YEARLY;COUNT=100000;BYDAY=MO,TU,WE,TH,FR,SA,SU;BYSETPOS="+numbers(1, 366))},
		{"days of the year", many(1000, "FREQ=YEARLY;COUNT=100000;BYMONTH=2;BYMONTHDAY=29;BYYEARDAY="+numbers(-366, -1))},
		{"by the second", many(1, "FREQ=SECONDLY;BYHOUR=3;BYMINUTE=2;BYSECOND=1")},
		{"counted", many(100, "FREQ=DAILY;COUNT=1000000")},
		{"ten thousand rules", many(80_000, "FREQ=DAILY")},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := busy.NewReader(time.UTC, year2026, year2027)
			err := r.Add(strings.NewReader(row.file), "work.ics")
			require.ErrorContains(t, err, "up to this line repeating events take more than 50000000 steps, the most that are worked out")
			assert.Less(t, r.Work(), 60_000_000)
		})
	}
}

// A rule without a count is not walked from where it began.
func TestOldRulesTakeNoMoreWorkThanNewOnes(t *testing.T) {
	for _, rule := range []string{"FREQ=YEARLY", "FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU", "FREQ=MONTHLY;BYDAY=2TU", "FREQ=WEEKLY", "FREQ=DAILY;INTERVAL=3", "FREQ=HOURLY;INTERVAL=11"} {
		work := func(start string) int {
			r := busy.NewReader(time.UTC, year2026, year2026.AddDate(0, 1, 0))
			require.NoError(t, r.Add(strings.NewReader(event("DTSTART:"+start, "DURATION:PT1H", "RRULE:"+rule)), "work.ics"))
			return r.Work()
		}
		assert.InDelta(t, work("20230301T090000Z"), work("16040301T090000Z"), 1500, rule)
	}
}

// Leaping over the past of a rule changes nothing: with a count that is never
// reached every time since its start is gone through.
func TestALeapGivesTheSameTimes(t *testing.T) {
	require.NoError(t, flag.Set("rapid.seed", "20261128"))
	require.NoError(t, flag.Set("rapid.nofailfile", "true"))
	rapid.Check(t, func(t *rapid.T) {
		some := func(name string, least, most int) string {
			list := rapid.SliceOfNDistinct(rapid.IntRange(least, most).Filter(func(n int) bool { return n != 0 }), 0, 3, rapid.ID).Draw(t, name)
			if len(list) == 0 {
				return ""
			}
			return ";" + name + "=" + strings.ReplaceAll(strings.Trim(fmt.Sprint(list), "[]"), " ", ",")
		}
		frequency := rapid.SampledFrom([]string{"YEARLY", "MONTHLY"}).Draw(t, "FREQ")
		rule := fmt.Sprintf("FREQ=%s;INTERVAL=%d", frequency, rapid.IntRange(1, 14).Draw(t, "INTERVAL")) +
			some("BYMONTH", 1, 12) + some("BYMONTHDAY", -31, 31) + some("BYSETPOS", -3, 3)
		if frequency == "YEARLY" {
			rule += some("BYWEEKNO", -53, 53) + some("BYYEARDAY", -366, 366)
		}
		if rapid.Bool().Draw(t, "days") {
			days := []string{"MO", "TU", "WE", "TH", "FR", "SA", "SU"}
			if !strings.Contains(rule, "BYWEEKNO") {
				days = append(days, "1MO", "-1SU", "5FR")
			}
			rule += ";BYDAY=" + rapid.SampledFrom(days).Draw(t, "BYDAY")
		}
		start := time.Date(1990, 1, 1, 7, 30, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 20_000).Draw(t, "start"))
		begins := start.Format("20060102T150405Z")
		leapt, err := readAs(strings.NewReader(event("DTSTART:"+begins, "DURATION:PT1H", "RRULE:"+rule)), "a.ics", time.UTC, year2026, year2026.AddDate(3, 0, 0))
		walked, walkErr := readAs(strings.NewReader(event("DTSTART:"+begins, "DURATION:PT1H", "RRULE:"+rule+";COUNT=100000")), "a.ics", time.UTC, year2026, year2026.AddDate(3, 0, 0))
		require.Equal(t, walkErr == nil, err == nil)
		require.Equal(t, walked, leapt, rule)
		if len(leapt) > 0 {
			require.True(t, slices.IsSorted(starts(leapt)))
		}
	})
}
