package busy_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOutsideReaderAgrees has another reader work out the same files. It is
// looked for where BROTHRUN_PYTHON says, else at /usr/bin/python3; with
// CI=true a missing one fails the test rather than skips it.
func TestOutsideReaderAgrees(t *testing.T) {
	interpreter := os.Getenv("BROTHRUN_PYTHON")
	if interpreter == "" {
		interpreter = "/usr/bin/python3"
	}
	if output, err := exec.Command(interpreter, "-c", "import recurring_ical_events").CombinedOutput(); err != nil {
		missing := fmt.Sprintf("%s cannot import recurring_ical_events (Debian: python3-recurring-ical-events): %v %s", interpreter, err, output)
		if os.Getenv("CI") == "true" {
			t.Fatalf("outside reader missing: %s", missing)
		}
		t.Skipf("SKIPPED, outside reader missing: %s", missing)
	}

	files := map[string]string{"random rules": randomRules(t), "an office": office(20)}
	for _, name := range []string{"household.ics", "own_zones.ics"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(t, err)
		files[name] = string(data)
	}
	for name, file := range files {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "work.ics")
			require.NoError(t, os.WriteFile(path, []byte(file), 0o600))
			command := exec.Command(interpreter, filepath.Join("..", "..", ".ci", "readers", "recurring_reader.py"), path, "America/Denver",
				year2026.Format(time.RFC3339), year2027.Format(time.RFC3339))
			var complaint bytes.Buffer
			command.Stderr = &complaint
			output, err := command.Output()
			require.NoError(t, err, "%s", complaint.String())

			lines := bufio.NewScanner(bytes.NewReader(output))
			require.True(t, lines.Scan(), "the reader says who it is")
			var who struct{ Reader, Version string }
			require.NoError(t, json.Unmarshal(lines.Bytes(), &who))
			t.Logf("read by %s %s", who.Reader, who.Version)
			want := map[string][]string{}
			for lines.Scan() {
				var one struct{ Start, End, Summary string }
				require.NoError(t, json.Unmarshal(lines.Bytes(), &one))
				want[one.Summary] = append(want[one.Summary], one.Start+"/"+one.End)
			}
			require.NoError(t, lines.Err())
			require.NotEmpty(t, want)

			got := map[string][]string{}
			bookings := read(t, file, "America/Denver", year2026, year2027)
			for i, span := range spans(bookings) {
				got[bookings[i].What] = append(got[bookings[i].What], span)
			}
			if name == "own_zones.ics" {
				// It reads a time shown twice as the second pass; RFC 5545 3.3.5 has
				// the first, which TestReadFixtures checks.
				delete(want, "Shown twice")
				delete(got, "Shown twice")
			}
			for what := range got {
				assert.Equal(t, want[what], got[what], what)
			}
			assert.Len(t, got, len(want))
		})
	}
}

// randomRules is a calendar of events that repeat by rules drawn by lot, always
// the same ones. Each is named by its rule. Half an hour at 09:00 to 20:00 keeps
// them off the hours at which clocks change, where the other reader adds spans on
// the clock's face.
func randomRules(t *testing.T) string {
	dice := rand.New(rand.NewPCG(1, 5545))
	some := func(low, high, most int) string {
		var list []string
		for range 1 + dice.IntN(most) {
			n := low + dice.IntN(high-low+1)
			if n != 0 {
				list = append(list, fmt.Sprint(n))
			}
		}
		if list == nil {
			return fmt.Sprint(high)
		}
		return strings.Join(list, ",")
	}
	weekdays := []string{"MO", "TU", "WE", "TH", "FR", "SA", "SU"}
	var b strings.Builder
	made := map[string]int{}
	for n := 0; n < 200; {
		freq := []string{"YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY"}[dice.IntN(5)]
		rule := "FREQ=" + freq
		if dice.IntN(2) == 0 {
			rule += fmt.Sprintf(";INTERVAL=%d", 1+dice.IntN(5))
		}
		by := false
		part := func(chance int, text func() string) {
			if dice.IntN(chance) == 0 {
				rule += ";" + text()
				by = true
			}
		}
		part(3, func() string { return "BYMONTH=" + some(1, 12, 4) })
		if freq != "WEEKLY" {
			part(4, func() string { return "BYMONTHDAY=" + some(-31, 31, 5) })
		}
		if freq == "YEARLY" {
			part(6, func() string { return "BYYEARDAY=" + some(-366, 366, 20) })
		}
		weeks := freq == "YEARLY" && dice.IntN(6) == 0
		if weeks {
			rule += ";BYWEEKNO=" + some(1, 53, 6)
			by = true
		}
		part(2, func() string {
			var days []string
			for range 1 + dice.IntN(4) {
				day := weekdays[dice.IntN(7)]
				if (freq == "MONTHLY" || freq == "YEARLY" && !weeks) && dice.IntN(2) == 0 {
					day = []string{"1", "2", "-1", "-2", "+3"}[dice.IntN(5)] + day
				}
				days = append(days, day)
			}
			return "BYDAY=" + strings.Join(days, ",")
		})
		if freq != "HOURLY" {
			part(6, func() string { return "BYHOUR=" + some(9, 20, 3) })
			if by && dice.IntN(5) == 0 {
				rule += ";BYSETPOS=" + some(-3, 3, 2)
			}
		}
		if freq == "HOURLY" {
			rule += ";BYHOUR=" + some(9, 20, 12)
			if strings.Contains(rule, "INTERVAL") {
				continue // where the two never meet, the other reader gives up
			}
		}
		if dice.IntN(3) == 0 {
			rule += ";WKST=" + weekdays[dice.IntN(7)]
		}
		started := 2019 + dice.IntN(8)
		switch dice.IntN(4) {
		case 0:
			rule += fmt.Sprintf(";COUNT=%d", 1+dice.IntN(400))
		case 1:
			// One that ends before it starts has no instance to the other reader
			// and DTSTART to this one.
			started = min(started, 2025)
			rule += fmt.Sprintf(";UNTIL=2026%02d%02dT%02d0000Z", 1+dice.IntN(12), 1+dice.IntN(28), dice.IntN(24))
		}
		one := fmt.Sprintf("BEGIN:VEVENT\nUID:%d\nSUMMARY:%d %s\nDTSTART;TZID=America/Denver:%d%02d%02dT%02d0000\nDURATION:PT30M\nRRULE:%s\nEND:VEVENT",
			n, n, rule, started, 1+dice.IntN(12), 1+dice.IntN(28), 9+dice.IntN(12), rule)
		if _, err := readAs(strings.NewReader(calendar(one)), "work.ics", time.UTC, year2026, year2027); err != nil {
			// The other reader would look for such a rule's dates for minutes.
			require.ErrorContains(t, err, "never falls")
			continue
		}
		made[freq]++
		b.WriteString(one + "\n")
		n++
	}
	for _, freq := range []string{"YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY"} {
		require.Greater(t, made[freq], 15, freq)
	}
	return calendar(strings.TrimSpace(b.String()))
}
