package timeline

import (
	"fmt"
	"math/bits"
	"slices"
	"sort"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
)

// Calendar is the clock and the kitchen that runs have to fit.
type Calendar struct {
	Location *time.Location
	Awake    Hours     // zero: DefaultAwake, said in the plan's assumptions
	Busy     []Booking // when nobody who cooks is at home
	Bookings []Booking // when the freeze dryer is taken
	Canning  []Booking // when the canner is, by runs in other calendars
	// CannerHours are the hours of the day in which the canner may run, for one
	// that stands outside; zero: whenever somebody is up.
	CannerHours  Hours
	GaugeChecked time.Time // noon of the day a dial gauge was last checked; zero: not known
	Cooks        int       // who can have their hands full at once, 1 to 9; 0: 1
	Burners      int       // big pots the stove takes at once, 1 to 9; 0: 2, for the pot and the canner
	// Remind is how long before a step of a kind its reminder comes; a kind that is
	// not in it has the lead that suits the step.
	Remind map[Kind]time.Duration
	// ChooseFrom is before when nobody chooses to begin: now, say. Zero: any time will do.
	ChooseFrom time.Time
}

// Booking is a span in which someone or something is taken.
type Booking struct {
	From, To time.Time
	What     string // what for, in the cook's words; may be empty
	More     bool   // and for more that follows it
}

// Run is a batch to be put on the clock.
type Run struct {
	Batch    stock.Batch
	ID       string // keys the calendar entries
	Revision int    // counts the run file's notes
	When     When
	Choose   int    // which of its places it takes, from 1; 0 the best. Of a run by itself, without a start
	Pot      string // which pot of the kitchen it takes; two runs with one name take turns
	// Heat is what the pot simmers on: Stove, Oven, or OwnHeat for a roaster that
	// is plugged in. Empty is Stove.
	Heat Resource
	// Unattended lets the simmer go on with nobody up or at home. It is the cook's
	// to say: nothing is assumed to be safe alone.
	Unattended bool

	// Record is what came, in the order in which it happened; Planned is then the
	// batch as it was before any of it, and Batch what is true by now.
	Record  []record.Entry
	Planned stock.Batch
	course  *course // of a run that was placed by its record
	// base is where it was planned among all runs, and before the plan of that; nil
	// where nothing came, or where the runs as planned have no place together.
	base   *finding
	before *Plan
}

// alone reports whether the simmer goes on with nobody beside it: where the cook says
// that it may, and the pot neither boils dry nor leaves the bones uncovered.
func (r Run) alone() bool { return r.Unattended && !r.Batch.NeedsWatching }

// When is what the cook asks of the clock: a start, or a time to finish by, or a
// span the whole of the run has to fall in. The others are zero.
type When struct {
	Start       time.Time // when the first step begins
	FinishBy    time.Time // the kitchen is wiped down by then
	From, Until time.Time // it begins and ends in between
}

const (
	// fridgeHold is the longest the strained broth waits for the canner: the low
	// end of the 3 to 4 days of the USDA chart for broth at 40 °F or below. No
	// canning-specific limit was found.
	fridgeHold = 3 * 24 * time.Hour

	// meatHold is the same of cooked poultry: 3 to 4 days by the same chart (from memory).
	meatHold = 3 * 24 * time.Hour
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

// equal tells whether two bookings are the same: one event may stand in two
// calendars.
func (b Booking) equal(other Booking) bool {
	return b.From.Equal(other.From) && b.To.Equal(other.To) && b.What == other.What
}

// spans are stretches of time in which something cannot be had, in order and
// apart from one another.
type spans []Booking

// first returns the span that overlaps from to until first.
func (s spans) first(from, until time.Time) (Booking, bool) {
	var last int
	return s.near(from, until, &last)
}

// near is first, looked for around the place of the last span that was looked for.
func (s spans) near(from, until time.Time, last *int) (Booking, bool) {
	i := *last
	for steps := 0; ; steps++ {
		switch {
		case i < len(s) && !s[i].To.After(from):
			i++
		case i > 0 && s[i-1].To.After(from):
			i--
		default:
			*last = i
			if i < len(s) && s[i].From.Before(until) {
				return s[i], true
			}
			return Booking{}, false
		}
		if steps == 4 {
			i = sort.Search(len(s), func(i int) bool { return s[i].To.After(from) })
		}
	}
}

// full joins the spans in which at least capacity of bookings overlap. What names
// one of them, and More says when there are more.
func full(bookings []Booking, capacity int) spans {
	type edge struct {
		at time.Time
		in bool
		of *Booking
	}
	edges := make([]edge, 0, 2*len(bookings))
	for i := range bookings {
		if b := &bookings[i]; b.To.After(b.From) {
			edges = append(edges, edge{b.From, true, b}, edge{b.To, false, b})
		}
	}
	also := func(name *Booking, of *Booking) {
		name.More = name.More || name.What != "" && (of.More || name.What != of.What)
	}
	slices.SortStableFunc(edges, func(a, b edge) int {
		if order := a.at.Compare(b.at); order != 0 {
			return order
		}
		// What ends makes room for what begins at the same instant; where both
		// leave it full, the spans are joined below.
		switch {
		case a.in == b.in:
			return 0
		case b.in:
			return -1
		}
		return 1
	})
	var joined spans
	count := 0
	for _, e := range edges {
		if e.in {
			count++
			if count > capacity && capacity == 1 {
				also(&joined[len(joined)-1], e.of)
			}
			if count == capacity {
				if n := len(joined); n > 0 && joined[n-1].To.Equal(e.at) {
					continue // goes on without a gap
				}
				joined = append(joined, Booking{From: e.at, What: e.of.What, More: e.of.More})
			}
			continue
		}
		if count == capacity {
			last := &joined[len(joined)-1]
			last.To = e.at
			also(last, e.of)
		}
		count--
	}
	return joined
}

// closed returns what lies outside hours between from and until.
func closed(hours Hours, from, until time.Time, location *time.Location) spans {
	if hours.always() {
		return nil
	}
	gaps := make(spans, 0, 3+int(until.Sub(from)/day))
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
	from, until        time.Time // what is known of
	asleep, away, shut spans     // shut: the canner may not run
	uncivil            spans     // nobody is asked where that costs nothing; none where it is no matter
	reserved           map[thing][]Booking
	taken              map[use]spans   // worked out from reserved when it is asked for
	rows               map[variant]row // shared by all tries
	chains             map[int]*chains // of away, by the binary logarithm of minutes
}

func newHouse(calendar Calendar, from, until time.Time) *house {
	h := house{Calendar: calendar, from: from, until: until, taken: map[use]spans{}, reserved: map[thing][]Booking{},
		rows: map[variant]row{}, chains: map[int]*chains{}}
	h.away = full(wholeMinutes(calendar.Busy), 1)
	h.reserved[thing{Resource: FreezeDryer}] = wholeMinutes(calendar.Bookings)
	h.reserved[thing{Resource: Canner}] = wholeMinutes(calendar.Canning)
	h.reserved[thing{Resource: Attention}] = wholeMinutes(calendar.Canning)
	return h.on(func(*Calendar) {})
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

// capacity is how many can use a resource at once.
func (h *house) capacity(what Resource) int {
	switch what {
	case Cook, likelyHands, Attention:
		return max(1, h.Cooks)
	case Stove:
		if h.Burners > 0 {
			return h.Burners
		}
		return usualBurners
	}
	return 1
}

// thing is what runs share: a resource of the kitchen, a pot by its name.
type thing struct {
	Resource
	pot string
}

// use is how many places of a thing a task takes at once.
type use struct {
	thing
	places int
}

func one(what Resource) use { return use{thing{Resource: what}, 1} }

// Attention is somebody's eye on a canner under pressure: what follows a run does
// not call them away from it. No step needs it.
const Attention Resource = "attention"

// likelyHands are the cook's hands as long as steps take what is likely.
const likelyHands Resource = "hands"

// usualBurners is how many big pots a stove takes at once; common practice, no
// source: the pot and the canner.
const usualBurners = 2

// reserve takes a resource for what one run does with it, so that others go round
// it. Its own spans may overlap where steps may run long: they count once.
func (h *house) reserve(what thing, own ...Booking) {
	h.reserved[what] = append(h.reserved[what], full(own, 1)...)
	for places := 1; places <= mostPlaces; places++ {
		delete(h.taken, use{what, places})
	}
}

// mostPlaces is how many places of a thing one task takes at most: a canner on the
// stove, and the broth for its next load.
const mostPlaces = 2

// busyWith is when so many places of a thing cannot be had.
func (h *house) busyWith(wanted use) spans {
	s, known := h.taken[wanted]
	if !known {
		// One pot more than there are places has to do with what there is.
		s = full(h.reserved[wanted.thing], max(1, h.capacity(wanted.Resource)-wanted.places+1))
		h.taken[wanted] = s
	}
	return s
}

// apart returns a copy to reserve in without changing h.
func (h *house) apart() *house {
	other := *h
	other.taken, other.reserved = map[use]spans{}, map[thing][]Booking{}
	for what, b := range h.reserved {
		other.reserved[what] = slices.Clone(b)
	}
	return &other
}

// on returns a copy with another clock or other busy times, around the same runs.
func (h *house) on(change func(*Calendar)) *house {
	other := *h
	change(&other.Calendar)
	other.asleep, other.uncivil = closed(other.Awake, h.from, h.until, h.Location), nil
	if hours, narrower := other.Awake.civil(); narrower {
		other.uncivil = slices.Clone(other.asleep)
		for i := range other.uncivil { // an hour off where the clock changes beside the night is no matter
			s := &other.uncivil[i]
			s.From, s.To = s.From.Add(hours.Until-other.Awake.Until), s.To.Add(hours.From-other.Awake.From)
		}
	}
	other.shut = nil
	if other.CannerHours != (Hours{}) {
		other.shut = closed(other.CannerHours, h.from, h.until, h.Location)
	}
	if len(other.Busy) != len(h.Busy) {
		other.away, other.chains = full(wholeMinutes(other.Busy), 1), map[int]*chains{}
	}
	return &other
}

// manyBusy is from how many busy times on it is worth knowing their chains. Own choice.
const manyBusy = 1000

// chains tells of spans which of them have no more room between them than some length:
// the first and the last of those around each.
type chains struct{ first, last []int }

// chainsFor returns the chains of the times nobody is at home between which nothing of
// a length fits; only about, for each length would take a table of its own. Without
// them a thousand short times would be gone through one by one.
func (h *house) chainsFor(length time.Duration) *chains {
	of := bits.Len(uint(max(0, length/time.Minute))) // 0 for less than a minute
	c := h.chains[of]
	if c == nil {
		room := time.Duration(1<<of/2) * time.Minute // as long or less
		n := len(h.away)
		c = &chains{make([]int, n), make([]int, n)}
		for i := range n {
			if c.first[i] = i; i > 0 && h.away[i].From.Sub(h.away[i-1].To) < room {
				c.first[i] = c.first[i-1]
			}
			j := n - 1 - i
			if c.last[j] = j; i > 0 && h.away[j+1].From.Sub(h.away[j].To) < room {
				c.last[j] = c.last[j+1]
			}
		}
		h.chains[of] = c
	}
	return c
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
	return "", fmt.Errorf("heat %q is not known: write stove, oven, or own for a roaster with its own heat%s", text,
		fault.DidYouMean(text, []Resource{Stove, Oven, OwnHeat}))
}

// UsualRemind asks for the lead that suits each step.
const UsualRemind = "usual"

// LongestLead is the longest lead a reminder may have: meat thaws, and ice is bought, up
// to 3 days ahead. It is counted in exact time, not in days. Common practice, no source.
const LongestLead = 3 * day

// ParseRemind reads how long before a step its reminder comes: "15m" for every
// kind, or "hands-on=20m,watch=5m" for some. A lead is from 0 to 3 days.
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
		if d < 0 || d > LongestLead {
			return nil, fmt.Errorf("reminder %q is out of range: from 0 to 3d before the step", part)
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

// Reach returns the instants between which runs and what follows them may be
// placed, and so what of other calendars matters.
func Reach(runs []Run) (from, until time.Time) {
	var after time.Duration
	for _, run := range runs {
		dried := time.Duration(run.Batch.Leftover.Batches) * (run.Batch.Leftover.Hours.High + 2*day)
		after = max(after, dried)
	}
	return earliest(runs).Add(-(searchDays + 5) * day), latest(runs).Add((2*searchDays+5)*day + after)
}
