package timeline_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// came reads "2026-11-28 12:40 began simmer", "... at-pressure load 1" and
// "... late 30m simmer".
func came(t testing.TB, place *time.Location, lines ...string) []record.Entry {
	t.Helper()
	var entries []record.Entry
	for _, line := range lines {
		words := strings.Fields(line)
		e := record.Entry{At: at(t, words[0]+" "+words[1], place), What: record.What(words[2])}
		rest := words[3:]
		if e.What == record.Late {
			var err error
			e.Span, err = time.ParseDuration(rest[0])
			require.NoError(t, err)
			rest = rest[1:]
		}
		switch {
		case len(rest) == 2:
			_, err := fmt.Sscan(rest[1], &e.Load)
			require.NoError(t, err)
		case len(rest) == 1:
			e.Step = rest[0]
		}
		entries = append(entries, e)
	}
	return entries
}

// follow is a run that begins when the weekend says, with its notes.
func (w weekend) follow(planned, now stock.Batch, entries ...record.Entry) (timeline.Plan, error) {
	return alone(
		timeline.Run{Batch: now, Planned: planned, Record: entries, ID: "harvest-supper", Unattended: w.Unattended,
			When: timeline.When{Start: w.Start, FinishBy: w.FinishBy, From: w.From, Until: w.Until}},
		timeline.Calendar{Location: w.Location, Awake: w.Awake, Bookings: w.Bookings, Busy: w.Busy, CannerHours: w.CannerHours})
}

func lines(plan timeline.Plan) string {
	var b strings.Builder
	for _, s := range plan.Steps {
		fmt.Fprintf(&b, "%-13s %s-%s  %d", s.ID, s.Start.Format("Mon 15:04"), s.End.Format("Mon 15:04"), s.State)
		if !s.Planned.From.Equal(s.Start) {
			fmt.Fprintf(&b, "  planned %s-%s", s.Planned.From.Format("Mon 15:04"), s.Planned.To.Format("Mon 15:04"))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func TestExplore(t *testing.T) {
	denver := zone(t, "America/Denver")
	w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	for _, notes := range [][]string{
		{},
		{"2026-11-28 12:40 began simmer"},
		{"2026-11-28 12:40 began simmer", "2026-11-28 13:40 late 30m"},
		{"2026-11-28 19:40 began simmer"},
		{"2026-11-28 13:40 strained"},
		{"2026-11-29 11:40 at-pressure load 1"},
		{"2026-11-29 19:40 began reheat"},
		{"2026-11-29 17:00 began reheat", "2026-11-29 19:40 steam load 1"},
		{"2026-11-30 06:40 remark"},
	} {
		plan, err := w.follow(batch(), batch(), came(t, denver, notes...)...)
		if !assert.NoError(t, err) {
			continue
		}
		t.Log(notes, "\n"+lines(plan), plan.Warnings)
	}
}
