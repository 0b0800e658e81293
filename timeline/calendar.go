package timeline

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
)

// Calendar is the clock and the kitchen that runs have to fit.
type Calendar struct {
	Location *time.Location
	Awake    Awake     // zero: DefaultAwake, said in the plan's assumptions
	Busy     []Booking // when nobody who cooks is at home
	Bookings []Booking // when the freeze dryer is taken
	// CannerHours are the hours of the day in which the canner may run, for one
	// that stands outside; zero: whenever somebody is up.
	CannerHours  Awake
	GaugeChecked time.Time // noon of the day a dial gauge was last checked; zero: not known
	Cooks        int       // who can have their hands full at once, 1 to 9; 0: 1
	Burners      int       // big pots the stove takes at once, 1 to 9; 0: 2, for the pot and the canner
	// Remind is how long before a step of a kind its reminder comes; a kind that is
	// not in it has the lead that suits the step.
	Remind map[Kind]time.Duration
}

// Booking is a span in which someone or something is taken.
type Booking struct {
	From, To time.Time
	What     string // what for, in the cook's words; may be empty
}

// Run is a batch to be put on the clock.
type Run struct {
	Batch    stock.Batch
	ID       string // keys the calendar entries
	Revision int    // counts the run file's notes
	When     When
	Pot      string // which pot of the kitchen it takes; two runs with one name take turns
	// Heat is what the pot simmers on: Stove, Oven, or OwnHeat for a roaster that
	// is plugged in. Empty is Stove.
	Heat Resource
	// Unattended lets the simmer go on with nobody up or at home. It is the cook's
	// to say: nothing is assumed to be safe alone.
	Unattended bool
}

// When is what the cook asks of the clock: a start, or a time to finish by, or a
// span the whole of the run has to fall in. The others are zero.
type When struct {
	Start       time.Time // when the first step begins
	FinishBy    time.Time // the kitchen is wiped down by then
	From, Until time.Time // it begins and ends in between
}

const (
	// fridgeHold is the longest the chilled broth waits for the canner: the low
	// end of the 3 to 4 days of the USDA chart for broth at 40 °F or below. No
	// canning-specific limit was found.
	fridgeHold = 3 * 24 * time.Hour
	// fatSets is the least time between fridge and skimming, so that the fat is
	// a firm cap; common practice, no source, 6 to 12 h.
	fatSets = 8 * time.Hour
	// jarsRest is the least time jars stand undisturbed before the seals are
	// checked, and reprocessWithin the limit for canning an unsealed jar again:
	// 12 to 24 h and 24 h (extension reprints of the USDA guide; Nebraska
	// Extension, jars that did not seal).
	jarsRest        = 12 * time.Hour
	reprocessWithin = 24 * time.Hour
	// latestMorning is the latest a later day begins where the start of the first
	// does not say otherwise; common practice, no source.
	latestMorning = 10 * time.Hour
	// searchDays is how far from what the cook asked for a place is looked for.
	searchDays = 60
	day        = 24 * time.Hour
)

// spans are stretches of time in which something cannot be had, in order and
// apart from one another.
type spans []Booking

// first returns the span that overlaps from to until first.
func (s spans) first(from, until time.Time) (Booking, bool) {
	i, _ := slices.BinarySearchFunc(s, from, func(b Booking, t time.Time) int {
		if b.To.After(t) {
			return 1
		}
		return -1
	})
	if i < len(s) && s[i].From.Before(until) {
		return s[i], true
	}
	return Booking{}, false
}

// full joins the spans in which at least capacity of bookings overlap. What is
// that of the one that lasts longest.
func full(bookings []Booking, capacity int) spans {
	type edge struct {
		at   time.Time
		in   bool
		what string
	}
	edges := make([]edge, 0, 2*len(bookings))
	for _, b := range bookings {
		if b.To.After(b.From) {
			edges = append(edges, edge{b.From, true, b.What}, edge{b.To, false, b.What})
		}
	}
	slices.SortStableFunc(edges, func(a, b edge) int {
		if order := a.at.Compare(b.at); order != 0 {
			return order
		}
		// What ends makes room for what begins at the same instant; where both
		// leave it full, the spans are joined below.
		return cmp.Compare(rank(a.in), rank(b.in))
	})
	var joined spans
	count := 0
	for _, e := range edges {
		if e.in {
			count++
			if count == capacity {
				if n := len(joined); n > 0 && joined[n-1].To.Equal(e.at) {
					continue // goes on without a gap
				}
				joined = append(joined, Booking{From: e.at, What: e.what})
			}
			continue
		}
		if count == capacity {
			joined[len(joined)-1].To, joined[len(joined)-1].What = e.at, e.what
		}
		count--
	}
	return joined
}

func rank(in bool) int {
	if in {
		return 1
	}
	return 0
}

// closed returns what lies outside hours between from and until.
func closed(hours Awake, from, until time.Time, location *time.Location) spans {
	if hours.always() {
		return nil
	}
	var gaps spans
	local := from.In(location)
	_, last := hours.on(local, -2)
	for days := -1; last.Before(until); days++ {
		open, end := hours.on(local, days)
		if open.After(last) {
			gaps = append(gaps, Booking{From: last, To: open})
		}
		last = end
	}
	return gaps
}

// house is what cannot be had, and when, between two instants.
type house struct {
	Calendar
	asleep, away, shut spans // shut: the canner may not run
	taken              map[Resource]spans
	reserved           map[Resource][]Booking
	rows               map[variant]row
}

func newHouse(calendar Calendar, from, until time.Time, rows map[variant]row) *house {
	h := &house{Calendar: calendar, taken: map[Resource]spans{}, reserved: map[Resource][]Booking{}, rows: rows}
	h.asleep = closed(calendar.Awake, from, until, calendar.Location)
	if calendar.CannerHours != (Awake{}) {
		h.shut = closed(calendar.CannerHours, from, until, calendar.Location)
	}
	h.away = full(wholeMinutes(calendar.Busy), 1)
	h.reserved[FreezeDryer] = wholeMinutes(calendar.Bookings)
	h.taken[FreezeDryer] = full(h.reserved[FreezeDryer], 1)
	return h
}

// wholeMinutes widens bookings to whole minutes, the grain of a plan.
func wholeMinutes(bookings []Booking) []Booking {
	out := make([]Booking, 0, len(bookings))
	for _, b := range bookings {
		b.From = b.From.Truncate(time.Minute)
		b.To = minuteUp(b.To)
		out = append(out, b)
	}
	return out
}

// reserve takes a resource for a span, so that later runs go round it.
func (h *house) reserve(what Resource, b Booking) {
	h.reserved[what] = append(h.reserved[what], b)
	capacity := 1
	switch what {
	case Cook:
		capacity = max(1, h.Cooks)
	case Stove:
		capacity = 2
		if h.Burners > 0 {
			capacity = h.Burners
		}
	}
	h.taken[what] = full(h.reserved[what], capacity)
}

// ParseHeat reads what a pot simmers on: "stove", "oven" or "own" for a roaster
// with its own heat; empty is the stove.
func ParseHeat(text string) (Resource, error) {
	switch heat := Resource(strings.ToLower(strings.TrimSpace(text))); heat {
	case "":
		return Stove, nil
	case Stove, Oven, OwnHeat:
		return heat, nil
	}
	return "", fmt.Errorf("heat %q is not known: write stove, oven, or own for a roaster with its own heat", text)
}

// The longest lead a reminder may have: a day-long trigger means different
// things to calendar programs over a clock change.
const longestLead = 23*time.Hour + 59*time.Minute

// ParseRemind reads how long before a step its reminder comes: "15m" for every
// kind, or "hands-on=20m,watch=5m" for some. A lead is from 0 to 23 h 59 min.
func ParseRemind(text string) (map[Kind]time.Duration, error) {
	leads := map[Kind]time.Duration{}
	kinds := []Kind{HandsOn, Watch, Waiting}
	for part := range strings.SplitSeq(text, ",") {
		name, lead, named := strings.Cut(strings.TrimSpace(part), "=")
		some := kinds
		if named {
			some = []Kind{Kind(strings.ToLower(strings.TrimSpace(name)))}
			if !slices.Contains(kinds, some[0]) {
				return nil, fmt.Errorf("reminder %q: no such kind of step; write hands-on, watch or waiting", part)
			}
		} else {
			lead = name
		}
		d := time.Duration(0)
		if strings.TrimSpace(lead) != "0" {
			var err error
			if d, err = quantity.ParseDuration(lead); err != nil {
				return nil, fmt.Errorf("reminder %q: %w", part, err)
			}
		}
		if d < 0 || d > longestLead {
			return nil, fmt.Errorf("reminder %q is out of range: from 0 to 23 h 59 min before the step", part)
		}
		for _, kind := range some {
			if _, twice := leads[kind]; twice {
				return nil, fmt.Errorf("reminder %q: %s steps have a lead already; name each kind once", text, kind)
			}
			leads[kind] = d
		}
	}
	return leads, nil
}

// Reach returns the instants between which runs may be placed, and so what of
// other calendars matters.
func Reach(runs []Run) (from, until time.Time) {
	return earliest(runs).Add(-(searchDays + 5) * day), latest(runs).Add((searchDays + 5) * day)
}
