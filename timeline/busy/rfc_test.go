package busy_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dates reads "1997 9/2 9/9 1998 1/6" as 09:00 New York time on those days, or at
// the times given: "1997 9/2@10:30".
func dates(t *testing.T, text string) []string {
	t.Helper()
	var year int
	var list []string
	for _, word := range strings.Fields(text) {
		face := "09:00"
		word, clock, timed := strings.Cut(word, "@")
		if timed {
			face = clock
		}
		var month, day int
		if n, _ := fmt.Sscanf(word, "%d/%d", &month, &day); n == 2 {
			list = append(list, fmt.Sprintf("%04d-%02d-%02d %s", year, month, day, face))
			continue
		}
		_, err := fmt.Sscanf(word, "%d", &year)
		require.NoError(t, err)
	}
	return list
}

// run is "m/from" to "m/to" written out.
func run(month, from, to int) string {
	var days []string
	for day := from; day <= to; day++ {
		days = append(days, fmt.Sprintf("%d/%d", month, day))
	}
	return strings.Join(days, " ")
}

// The examples of RFC 5545, section 3.8.5.3, with the instances printed there
// (typed from memory). Those that go on for ever are compared as far as until.
func TestExamplesOfRFC5545(t *testing.T) {
	january := func(year int) string { return fmt.Sprintf("%d %s ", year, run(1, 1, 31)) }
	everyTwenty := func(day string) string {
		var list []string
		for hour := 9; hour <= 16; hour++ {
			for minute := 0; minute < 60; minute += 20 {
				list = append(list, fmt.Sprintf("9/%s@%02d:%02d", day, hour, minute))
			}
		}
		return strings.Join(list, " ") + " "
	}
	allDaily := "1997 " + run(9, 2, 30) + " " + run(10, 1, 31) + " " + run(11, 1, 30) + " " + run(12, 1, 23)
	for _, row := range []struct {
		name, start, rule, until, want string
	}{
		{"daily for 10 occurrences", "19970902T090000", "RRULE:FREQ=DAILY;COUNT=10", "2010", "1997 " + run(9, 2, 11)},
		{"daily until December 24, 1997", "19970902T090000", "RRULE:FREQ=DAILY;UNTIL=19971224T000000Z", "2010", allDaily},
		{"every other day, forever", "19970902T090000", "RRULE:FREQ=DAILY;INTERVAL=2", "1997-10-05", "1997 9/2 9/4 9/6 9/8 9/10 9/12 9/14 9/16 9/18 9/20 9/22 9/24 9/26 9/28 9/30 10/2 10/4"},
		{"every 10 days, 5 occurrences", "19970902T090000", "RRULE:FREQ=DAILY;INTERVAL=10;COUNT=5", "2010", "1997 9/2 9/12 9/22 10/2 10/12"},
		{"every day in January, for 3 years", "19980101T090000", "RRULE:FREQ=YEARLY;UNTIL=20000131T140000Z;BYMONTH=1;BYDAY=SU,MO,TU,WE,TH,FR,SA", "2010", january(1998) + january(1999) + january(2000)},
		{"every day in January, daily", "19980101T090000", "RRULE:FREQ=DAILY;UNTIL=20000131T140000Z;BYMONTH=1", "2010", january(1998) + january(1999) + january(2000)},
		{"weekly for 10 occurrences", "19970902T090000", "RRULE:FREQ=WEEKLY;COUNT=10", "2010", "1997 9/2 9/9 9/16 9/23 9/30 10/7 10/14 10/21 10/28 11/4"},
		{"weekly until December 24, 1997", "19970902T090000", "RRULE:FREQ=WEEKLY;UNTIL=19971224T000000Z", "2010", "1997 9/2 9/9 9/16 9/23 9/30 10/7 10/14 10/21 10/28 11/4 11/11 11/18 11/25 12/2 12/9 12/16 12/23"},
		{"every other week, forever", "19970902T090000", "RRULE:FREQ=WEEKLY;INTERVAL=2;WKST=SU", "1998-02-20", "1997 9/2 9/16 9/30 10/14 10/28 11/11 11/25 12/9 12/23 1998 1/6 1/20 2/3 2/17"},
		{"weekly on Tuesday and Thursday for five weeks", "19970902T090000", "RRULE:FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH", "2010", "1997 9/2 9/4 9/9 9/11 9/16 9/18 9/23 9/25 9/30 10/2"},
		{"every other week on Monday, Wednesday and Friday", "19970901T090000", "RRULE:FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR", "2010", "1997 9/1 9/3 9/5 9/15 9/17 9/19 9/29 10/1 10/3 10/13 10/15 10/17 10/27 10/29 10/31 11/10 11/12 11/14 11/24 11/26 11/28 12/8 12/10 12/12 12/22"},
		{"every other week on Tuesday and Thursday, for 8 occurrences", "19970902T090000", "RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH", "2010", "1997 9/2 9/4 9/16 9/18 9/30 10/2 10/14 10/16"},
		{"monthly on the first Friday for 10 occurrences", "19970905T090000", "RRULE:FREQ=MONTHLY;COUNT=10;BYDAY=1FR", "2010", "1997 9/5 10/3 11/7 12/5 1998 1/2 2/6 3/6 4/3 5/1 6/5"},
		{"monthly on the first Friday until December 24, 1997", "19970905T090000", "RRULE:FREQ=MONTHLY;UNTIL=19971224T000000Z;BYDAY=1FR", "2010", "1997 9/5 10/3 11/7 12/5"},
		{"every other month on the first and last Sunday", "19970907T090000", "RRULE:FREQ=MONTHLY;INTERVAL=2;COUNT=10;BYDAY=1SU,-1SU", "2010", "1997 9/7 9/28 11/2 11/30 1998 1/4 1/25 3/1 3/29 5/3 5/31"},
		{"monthly on the second-to-last Monday for 6 months", "19970922T090000", "RRULE:FREQ=MONTHLY;COUNT=6;BYDAY=-2MO", "2010", "1997 9/22 10/20 11/17 12/22 1998 1/19 2/16"},
		{"monthly on the third-to-the-last day", "19970928T090000", "RRULE:FREQ=MONTHLY;BYMONTHDAY=-3", "1998-03-01", "1997 9/28 10/29 11/28 12/29 1998 1/29 2/26"},
		{"monthly on the 2nd and 15th for 10 occurrences", "19970902T090000", "RRULE:FREQ=MONTHLY;COUNT=10;BYMONTHDAY=2,15", "2010", "1997 9/2 9/15 10/2 10/15 11/2 11/15 12/2 12/15 1998 1/2 1/15"},
		{"monthly on the first and last day for 10 occurrences", "19970930T090000", "RRULE:FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1", "2010", "1997 9/30 10/1 10/31 11/1 11/30 12/1 12/31 1998 1/1 1/31 2/1"},
		{"every 18 months on the 10th thru 15th for 10 occurrences", "19970910T090000", "RRULE:FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15", "2010", "1997 9/10 9/11 9/12 9/13 9/14 9/15 1999 3/10 3/11 3/12 3/13"},
		{"every Tuesday, every other month", "19970902T090000", "RRULE:FREQ=MONTHLY;INTERVAL=2;BYDAY=TU", "1998-04-30", "1997 9/2 9/9 9/16 9/23 9/30 11/4 11/11 11/18 11/25 1998 1/6 1/13 1/20 1/27 3/3 3/10 3/17 3/24 3/31"},
		{"yearly in June and July for 10 occurrences", "19970610T090000", "RRULE:FREQ=YEARLY;COUNT=10;BYMONTH=6,7", "2010", "1997 6/10 7/10 1998 6/10 7/10 1999 6/10 7/10 2000 6/10 7/10 2001 6/10 7/10"},
		{"every other year on January, February and March", "19970310T090000", "RRULE:FREQ=YEARLY;INTERVAL=2;COUNT=10;BYMONTH=1,2,3", "2010", "1997 3/10 1999 1/10 2/10 3/10 2001 1/10 2/10 3/10 2003 1/10 2/10 3/10"},
		{"every third year on the 1st, 100th and 200th day", "19970101T090000", "RRULE:FREQ=YEARLY;INTERVAL=3;COUNT=10;BYYEARDAY=1,100,200", "2010", "1997 1/1 4/10 7/19 2000 1/1 4/9 7/18 2003 1/1 4/10 7/19 2006 1/1"},
		{"every 20th Monday of the year", "19970519T090000", "RRULE:FREQ=YEARLY;BYDAY=20MO", "1999-12-31", "1997 5/19 1998 5/18 1999 5/17"},
		{"Monday of week number 20", "19970512T090000", "RRULE:FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO", "1999-12-31", "1997 5/12 1998 5/11 1999 5/17"},
		{"every Thursday in March", "19970313T090000", "RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=TH", "1999-12-31", "1997 3/13 3/20 3/27 1998 3/5 3/12 3/19 3/26 1999 3/4 3/11 3/18 3/25"},
		{"every Thursday, only during June, July and August", "19970605T090000", "RRULE:FREQ=YEARLY;BYDAY=TH;BYMONTH=6,7,8", "1997-12-31", "1997 6/5 6/12 6/19 6/26 7/3 7/10 7/17 7/24 7/31 8/7 8/14 8/21 8/28"},
		{"every Friday the 13th", "19970902T090000", "EXDATE;TZID=America/New_York:19970902T090000\nRRULE:FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13", "2000-12-31", "1998 2/13 3/13 11/13 1999 8/13 2000 10/13"},
		{"the first Saturday that follows the first Sunday", "19970913T090000", "RRULE:FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13", "1998-06-30", "1997 9/13 10/11 11/8 12/13 1998 1/10 2/7 3/7 4/11 5/9 6/13"},
		{"U.S. Presidential Election day", "19961105T090000", "RRULE:FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8", "2004-12-31", "1996 11/5 2000 11/7 2004 11/2"},
		{"the third Tuesday, Wednesday or Thursday", "19970904T090000", "RRULE:FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3", "2010", "1997 9/4 10/7 11/6"},
		{"the second-to-last weekday of the month", "19970929T090000", "RRULE:FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2", "1998-03-31", "1997 9/29 10/30 11/27 12/30 1998 1/29 2/26 3/30"},
		// Printed with UNTIL=19970902T170000Z, which is 13:00 in New York and gives
		// two instances where three are printed; the time meant is 17:00 there.
		{"every 3 hours from 9:00 to 17:00 on a day", "19970902T090000", "RRULE:FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T210000Z", "2010", "1997 9/2 9/2@12:00 9/2@15:00"},
		{"every 15 minutes for 6 occurrences", "19970902T090000", "RRULE:FREQ=MINUTELY;INTERVAL=15;COUNT=6", "2010", "1997 9/2 9/2@09:15 9/2@09:30 9/2@09:45 9/2@10:00 9/2@10:15"},
		{"every hour and a half for 4 occurrences", "19970902T090000", "RRULE:FREQ=MINUTELY;INTERVAL=90;COUNT=4", "2010", "1997 9/2 9/2@10:30 9/2@12:00 9/2@13:30"},
		{"every 20 minutes from 9:00 to 16:40 every day", "19970902T090000", "RRULE:FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40", "1997-09-04", "1997 " + everyTwenty("2") + everyTwenty("3")},
		{"the same, by the minute", "19970902T090000", "RRULE:FREQ=MINUTELY;INTERVAL=20;BYHOUR=9,10,11,12,13,14,15,16", "1997-09-04", "1997 " + everyTwenty("2") + everyTwenty("3")},
		{"weeks begin on Monday", "19970805T090000", "RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", "2010", "1997 8/5 8/10 8/19 8/24"},
		{"weeks begin on Sunday", "19970805T090000", "RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", "2010", "1997 8/5 8/17 8/19 8/31"},
		{"February 30 is ignored", "20070115T090000", "RRULE:FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5", "2010", "2007 1/15 1/30 2/15 3/15 3/30"},
	} {
		t.Run(row.name, func(t *testing.T) {
			until, err := time.Parse("2006-01-02", row.until)
			if err != nil {
				until, err = time.Parse("2006", row.until)
			}
			require.NoError(t, err)
			file := calendar("BEGIN:VEVENT\nUID:1\nDTSTART;TZID=America/New_York:" + row.start + "\nDURATION:PT10M\n" + row.rule + "\nEND:VEVENT")
			want := dates(t, row.want)

			got := starts(read(t, file, "America/New_York", time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC), until))
			assert.Equal(t, want, got)

			// A window that opens late sees the same instances, although the rule is
			// then not walked from its start.
			middle := want[len(want)/2]
			from, err := time.ParseInLocation("2006-01-02 15:04", middle, place(t, "America/New_York"))
			require.NoError(t, err)
			assert.Equal(t, want[len(want)/2:], starts(read(t, file, "America/New_York", from, until)), "from %s", middle)
		})
	}
}
