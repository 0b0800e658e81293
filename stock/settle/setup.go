// Package settle makes of what the cook wrote, a kitchen file and a run, what can be
// planned with: every word read, every value typed, every default settled. Kitchen gives
// a House, Run a Setup in it. What nobody gave is assumed and noted, for the plan to say
// where it matters; altitude, kind, bones and pot have no default. It knows every room a
// value goes to, works nothing out but whether the kitchen itself will do (limits.go),
// and is pure. The defaults are common practice, no source, but for the rooms' own.
package settle

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/freezedry"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/loading"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/thaw"
	"brothrun/stock/thermo"
)

// Setup is one run in one kitchen with every value typed and every default settled:
// all that Plan goes by. Change a copy to ask what would be if; slices and maps are
// shared and never written through.
type Setup struct {
	House
	Name    string
	Kind    Kind   // several in one pot are joined: "chicken-frames+turkey-necks"
	What    string // "turkey frames"
	Stock   process.Stock
	Solids  freezedry.SolidsKind
	simmers simmerRange

	Altitude quantity.Length
	Boiling  quantity.Temperature // of water there

	Pot          kettle.Input
	Into         Vessel        // what the broth is strained into, chilled and reheated in
	Pots         []Setup       // of a run of several pots each as if alone, of which Pot is the first; else nil
	Label        string        // what it is called among several: "roaster", "pot 2"
	nth          int           // of several, from 0
	given        runfile.Fill  // as the run file has it
	Bare         quantity.Mass // of the bones alone
	Vegetables   quantity.Mass // beside the bones, and among them; of those counted the most they may weigh
	Counted      []Counted     // those of the vegetables beside them that were counted
	Birds        int           // whole birds in the pot; 0: none, or not counted
	SimmersAlone bool          // the cook says the simmer may go on unattended
	PotHob       string        // what the pot stands on, though nobody rated it; as House.Hob
	Thaw         thaw.Method   // how the bones thaw, where they are frozen

	Chill chill.Method // empty: the easiest that is safe

	Jars       []runfile.JarWish // in order of preference
	Mouth      jar.Mouth
	Prefer     loading.Preference
	Mix        bool
	SmallLoads bool
	Route      Route
	RouteAsked bool // the cook says so; otherwise it is what suits the kitchen

	Warnings []remark.Note // where run and kitchen differ, and of a place below the sea
}

// Run reads a kitchen and a run. What they do not give is assumed, and Plan lists
// it where it matters; kind, bones, pot and altitude have no default, because
// nothing can be planned, or canned safely, without them. Errors are *fault.Fault.
func Run(kitchen runfile.Kitchen, run runfile.Run) (Setup, error) {
	if fills := run.Several(); len(fills) > 0 {
		return several(kitchen, run, fills)
	}
	return alone(kitchen, run)
}

// alone settles a run of one pot.
func alone(kitchen runfile.Kitchen, run runfile.Run) (Setup, error) {
	house, err := Kitchen(kitchen, run.Gauge)
	if err != nil {
		return Setup{}, err
	}
	s, err := house.At(kitchen, run)
	if err != nil {
		return s, err
	}
	s.Name, s.Mix, s.SmallLoads = run.Name, run.Mix, run.SmallLoads
	for _, part := range []func() error{
		func() error { return s.settlePot(kitchen, run) },
		func() error { return s.settleThaw(run) },
		func() error { return s.settleChill(run) },
		func() error { return s.settleJars(kitchen, run) },
		func() error { return s.settleRoute(run) },
	} {
		if err := part(); err != nil {
			return s, err
		}
	}
	return s, nil
}

// At is the kitchen with a run's kind of bones at its altitude: as much of a Setup as
// decides which tested process there is. Errors are those of Run.
func (h House) At(kitchen runfile.Kitchen, run runfile.Run) (Setup, error) {
	s := Setup{House: h}
	s.assumed = slices.Clone(h.assumed)
	if err := s.settleKinds(run); err != nil {
		return s, err
	}
	err := s.settlePlace(kitchen, run)
	return s, err
}

func (s *Setup) warn(note remark.Note) { s.Warnings = append(s.Warnings, note) }

// settleKinds reads what goes into the pot: one kind, or several portions. How much
// of one kind is for settlePot to ask: a canner setting needs none.
func (s *Setup) settleKinds(run runfile.Run) error {
	if len(run.Portions) > 0 && (run.Kind != "" || run.Bones != nil) {
		return fault.New("bones", "keep one of them", "one kind and several kinds in the pot are given")
	}
	portions := run.Portions
	if len(portions) == 0 {
		if run.Kind == "" {
			return fault.New("kind", "--kind turkey-frames, or one of: "+kindList(), "what goes into the pot is not given")
		}
		portions = []runfile.Portion{{Kind: run.Kind, Weight: run.Bones, Birds: run.Birds}}
	}
	var pot []kindFacts
	if err := s.settleVegetables(run); err != nil {
		return err
	}
	heaviest := -1
	for i, portion := range portions {
		key, weight := "kind", "bones"
		if len(run.Portions) > 0 {
			key, weight = fmt.Sprintf("bones[%d].kind", i), fmt.Sprintf("bones[%d].weight", i)
		}
		kind, err := ParseKind(portion.Kind)
		if err != nil {
			return fault.Of(key, err, "")
		}
		facts, _ := kind.facts()
		solids, err := kettle.For(string(facts.kind))
		if err != nil {
			return fault.Of(key, err, "")
		}
		if err := facts.checkBirds(weight, portion); err != nil {
			return err
		}
		s.Birds += portion.Birds.Count
		mass := valueOf(portion.Weight)
		pot = append(pot, facts)
		s.Pot.Bones = append(s.Pot.Bones, kettle.Portion{Kind: string(facts.kind), Solids: solids, Mass: mass})
		switch {
		case facts.stock == process.Vegetable:
			s.Vegetables += mass
			continue
		case heaviest < 0 || mass > s.Pot.Bones[heaviest].Mass:
			heaviest = i
		}
		s.Bare += mass
	}
	solids := freezedry.Vegetable
	if heaviest >= 0 && s.Vegetables <= s.Bare {
		solids = pot[heaviest].solids
	}
	all := mixed(pot, solids)
	s.Kind, s.What, s.Stock, s.Solids, s.simmers = all.kind, all.words, all.stock, all.solids, all.simmer
	return nil
}

// Counted is vegetables that were counted.
type Counted struct {
	Name   string // "onions"
	Count  int
	Likely quantity.Mass // of all of them
}

// settleVegetables reads the vegetables beside the bones, some of which may be counted.
func (s *Setup) settleVegetables(run runfile.Run) error {
	weighed := valueOf(run.Vegetables)
	all := quantity.Band[quantity.Mass]{Low: weighed, Likely: weighed, High: weighed}
	var clauses []remark.Note
	for _, counted := range run.Counted {
		each, ok := kettle.EachVegetable(counted.Name)
		if !ok {
			return fault.New("vegetables", "weigh them, such as 2 lb", "nobody knows what a %s weighs", counted.Name)
		}
		n := quantity.Mass(counted.Count)
		all.Low, all.Likely, all.High = all.Low+n*each.Low, all.Likely+n*each.Likely, all.High+n*each.High
		name := counted.Name
		if counted.Count > 1 {
			name += "s"
		}
		s.Counted = append(s.Counted, Counted{counted.Name + "s", counted.Count, n * each.Likely})
		clauses = append(clauses, remark.Of(remark.VegetablesCounted, counted.Count, name, n*each.Likely, each).In("kind"))
	}
	s.Pot.Vegetables, s.Vegetables = all.Likely, all.High
	if len(clauses) > 0 {
		s.Pot.Counted = quantity.Spread(float64(all.Low/all.Likely), 1, float64(all.High/all.Likely))
		s.assume(remark.Of(remark.VegetablesCounted, clauses))
	}
	return nil
}

// settlePlace reads the altitude, and where run and kitchen differ about it or about
// the gauge.
func (s *Setup) settlePlace(kitchen runfile.Kitchen, run runfile.Run) error {
	if run.Gauge != "" && kitchen.Gauge != "" && !strings.EqualFold(run.Gauge, kitchen.Gauge) {
		s.warn(remark.Of(remark.GaugeDiffers, run.Gauge, kitchen.Gauge))
	}
	altitude := kitchen.Altitude
	if run.Altitude != nil {
		altitude = run.Altitude
	}
	if altitude == nil {
		return fault.New("altitude",
			"--altitude 3200ft, or altitude = \"3200 ft\" in the kitchen file; look your house up on a map",
			"the altitude of the kitchen is not given, and it has no default: "+
				"it sets the canner's pressure, and too little pressure leaves broth unsafe")
	}
	s.Altitude = *altitude
	if run.Altitude != nil && kitchen.Altitude != nil && math.Abs((*run.Altitude-*kitchen.Altitude).Feet()) > 1 {
		s.warn(remark.Of(remark.AltitudeDiffers, *run.Altitude, *kitchen.Altitude))
	}
	s.Warnings = append(s.Warnings, minusDoubted(s.Stock, s.Gauge, s.Altitude)...)
	boiling, err := thermo.BoilingPoint(s.Altitude)
	if err != nil {
		return fault.Of("altitude", err, "")
	}
	s.Boiling, s.Pot.Altitude, s.Firing.Place.Altitude = boiling, s.Altitude, s.Altitude
	return nil
}

// minusDoubted warns of a place so far below the sea that as high above it the
// pressure would be higher: a minus that slipped in would then be unsafe.
func minusDoubted(stock process.Stock, gauge process.Gauge, altitude quantity.Length) []remark.Note {
	if altitude >= 0 {
		return nil
	}
	here, err := process.Lookup(stock, process.Quart, gauge, altitude)
	above, aboveErr := process.Lookup(stock, process.Quart, gauge, -altitude)
	if err != nil || aboveErr != nil || above.Pressure <= here.Pressure {
		return nil
	}
	return []remark.Note{remark.Of(remark.BelowSeaLevel, altitude, -altitude, above.Pressure)}
}

// settlePot reads the pot and how it simmers.
func (s *Setup) settlePot(kitchen runfile.Kitchen, run runfile.Run) error {
	if run.Bones == nil && len(run.Portions) == 0 {
		return fault.New("bones", "--bones 9lb", "how much %s goes into the pot is not given", s.What)
	}
	pot, err := kitchen.Pot(run.Pot)
	switch {
	case err != nil:
		return fault.Of("pot", err, "--pot 22qt, or pot = \"22 qt\" in the run file")
	case pot.Volume == nil:
		return fault.New(kitchen.PotKey(run.Pot, "volume"),
			"--pot 22qt, or volume = \"22 qt\" under [[pot]] in the kitchen file", "the volume of the pot is not given")
	case run.PotWidth != nil:
		pot.Width = run.PotWidth
	}
	in := &s.Pot
	if pot.Width == nil {
		width := usualWidth(*pot.Volume)
		pot.Width, in.WidthAssumed = &width, true
		s.assume(remark.Of(remark.PotWidthAssumed, width))
	}
	in.PotName, in.Pot, in.PotWidth, in.FillLine = pot.Name, *pot.Volume, *pot.Width, kettle.DefaultFillLine
	if pot.FillLine != nil {
		in.FillLine = *pot.FillLine
	}
	in.Evaporation, in.Held = valueOf(pot.Evaporation), valueOf(pot.Held)
	in.Fit = run.Fit || run.Water == nil
	if !in.Fit {
		in.Water = *run.Water
	}
	if in.Simmer = s.simmers.usual; run.Simmer != nil {
		in.Simmer = *run.Simmer
	} else {
		assumed := remark.Of(remark.SimmerAssumed, in.Simmer, s.What)
		if s.Meat().Likely > 0 {
			assumed = assumed.In("whole")
		}
		s.assume(assumed)
	}
	in.Lid = kettle.LidAjar
	if run.Lid != "" {
		if in.Lid, err = kettle.ParseLid(run.Lid); err != nil {
			return fault.Of("lid", err, "")
		}
	} else if in.Evaporation == 0 {
		s.assume(remark.Of(remark.LidAssumed))
	}
	if in.Evaporation > 0 {
		s.assume(remark.Of(remark.LidMeasured))
	}
	topUp := spelling(run.TopUp)
	if topUp != "" && topUp != "never" && topUp != "level" {
		return fault.New("top_up", "write never or level", "top up %q is not known%s", run.TopUp,
			fault.DidYouMean(run.TopUp, []string{"never", "level"}))
	}
	if in.TopUp = topUp == "level"; topUp == "" {
		in.MayTopUp = kettle.ToppedUpUnsaid
	}
	in.Burner, in.Hob = s.heatOf(pot)
	if s.Into, err = s.settleInto(kitchen, run, pot); err != nil {
		return err
	}
	s.PotHob = s.hobOf(pot)
	if s.SimmersAlone = pot.Unattended; run.Unattended != nil {
		s.SimmersAlone = *run.Unattended
	}
	return nil
}

// Vessel is a pot that strained broth is in.
type Vessel struct {
	Name    string // as the kitchen has it, where it is not the one it simmered in; may be empty
	Given   bool   // the cook names it
	Assumed bool   // the broth cannot stay where it simmered, and nobody says what it goes into
	Volume  quantity.Volume
	Width   quantity.Length
	Burner  quantity.Power // that it is reheated on; 0 when not known
	Hob     string
	On      string // the hob, though nobody rated it
}

// What a pot stands on beside the stove, as ParseHeat of timeline reads it.
const ownHeat, inOven = "own", "oven"

// plugged reports whether a pot has its own heat, and so cannot stand in ice.
func plugged(pot runfile.Pot) bool { return spelling(pot.Heat) == ownHeat }

// heatOf is what heats a pot: on the stove its burner, unless the pot has one of its own;
// elsewhere never the stove's. A pot with its own heat is plugged in.
func (h *House) heatOf(pot runfile.Pot) (burner quantity.Power, hob string) {
	burner, hob = valueOf(pot.Power), pot.Hob
	switch heat := spelling(pot.Heat); {
	case heat == ownHeat && hob == "":
		hob = "electric"
	case heat == ownHeat || heat == inOven:
	case pot.Power == nil && hob == "":
		burner, hob = h.Burner, h.Hob
	case pot.Power == nil:
		burner = h.Burner
	case hob == "":
		hob = h.Hob
	}
	if burner == 0 {
		hob = ""
	}
	return burner, hob
}

// hobOf is what a pot stands on, though nobody rated it; one with its own heat is plugged in.
func (h *House) hobOf(pot runfile.Pot) string {
	if plugged(pot) {
		return cmp.Or(pot.Hob, "electric")
	}
	return cmp.Or(pot.Hob, h.Hob)
}

// settleInto reads what the broth of a pot is strained into: the pot itself where nobody
// says, but one with its own heat cannot stand in ice.
func (s *Setup) settleInto(kitchen runfile.Kitchen, run runfile.Run, pot runfile.Pot) (Vessel, error) {
	into := Vessel{Volume: *pot.Volume, Width: *pot.Width}
	switch own := plugged(pot); {
	case run.StrainInto != "" && !(pot.Name != "" && strings.EqualFold(pot.Name, run.StrainInto)):
		other, err := kitchen.Pot(run.StrainInto)
		if err != nil {
			return into, fault.Of("strain_into", err, fmt.Sprintf("strain_into = %q", free(kitchen, run)))
		}
		if other.Volume == nil {
			return into, fault.New(kitchen.PotKey(run.StrainInto, "volume"),
				`volume = "22 qt" under [[pot]] in the kitchen file`, "the volume of %s is not given", PotWords(other.Name))
		}
		if plugged(other) {
			return into, fault.New("strain_into", fmt.Sprintf("name a pot that can stand in ice, such as strain_into = %q", free(kitchen, run)),
				"%s has its own heat and cannot stand in ice", PotWords(other.Name))
		}
		into = Vessel{Name: cmp.Or(other.Name, run.StrainInto+" pot"), Given: true, Volume: *other.Volume,
			Width: valueOf(other.Width)}
		pot = other
		if other.Width == nil {
			into.Width = usualWidth(into.Volume)
			s.assume(remark.Of(remark.IntoWidthAssumed, into.Name, into.Width))
		}
	case own && run.StrainInto != "":
		return into, fault.New("strain_into", fmt.Sprintf("name a pot that can stand in ice, such as strain_into = %q", free(kitchen, run)),
			"%s has its own heat and cannot stand in ice", PotWords(pot.Name))
	case own:
		into.Assumed, into.Width, pot = true, usualWidth(into.Volume), runfile.Pot{}
	}
	if spelling(pot.Heat) == inOven {
		pot = runfile.Pot{} // it is reheated on the stove
	}
	into.Burner, into.Hob = s.heatOf(pot)
	into.On = s.hobOf(pot)
	return into, nil
}

// PotWords names a pot: as the kitchen does, or else as the pot.
func PotWords(name string) string {
	if name == "" {
		return "the pot"
	}
	return "the " + strings.TrimPrefix(name, "the ")
}

// usualWidth is the width of a pot nobody measured, to a tenth of an inch.
func usualWidth(volume quantity.Volume) quantity.Length {
	return quantity.Length(math.Round(kettle.PotWidth(volume).Inches()*10)) * quantity.Inch / 10
}

// settleThaw reads whether the bones are frozen, and what becomes of that.
func (s *Setup) settleThaw(run runfile.Run) (err error) {
	if strings.TrimSpace(run.Thaw) == "" {
		return nil
	}
	if s.Thaw, err = thaw.Parse(run.Thaw); err != nil {
		return fault.Of("thaw", err, "write fridge or cold-water, pot for frames and bones that go in frozen, or none where "+
			"nothing is frozen")
	}
	if s.Thaw != thaw.Pot {
		return nil
	}
	for _, portion := range s.Pot.Bones {
		if !slices.Contains(lean, Kind(portion.Kind)) {
			return fault.New("thaw", "write fridge or cold-water", "%s may not go into the pot frozen: in raw meat the "+
				"middle is ice while the outside is warm for hours; only picked frames and bare bones may", portion.Kind)
		}
	}
	s.Pot.Frozen = s.Around.Freezer
	return nil
}

func (s *Setup) settleChill(run runfile.Run) error {
	s.Around.Outdoors = run.Outdoors
	if run.Chill == "" {
		return nil
	}
	method, err := chill.ParseMethod(run.Chill)
	if err != nil {
		return fault.Of("chill", err, "")
	}
	s.Chill = method
	return nil
}

// settleJars reads which jars to fill, and what for.
func (s *Setup) settleJars(kitchen runfile.Kitchen, run runfile.Run) error {
	text := run.Jars
	if text == "" {
		text = "quart,pint" // common practice, no source
	}
	var err error
	if s.Jars, err = runfile.ParseJars(text); err != nil {
		return fault.Of("jars", err, "")
	}
	for _, wish := range s.Jars {
		_, err := s.Shelf.Class(wish.Jar)
		if _, refused := process.AsRefusal(err); err != nil && !refused {
			return err
		}
	}
	if s.Mouth, err = s.SettleMouth(run.Mouth, kitchen.Mouth); err != nil {
		return err
	}
	if s.Prefer, err = loading.ParsePreference(run.Prefer); err != nil {
		return fault.Of("prefer", err, "write jars, loads or leftover")
	}
	return nil
}

func (s *Setup) settleRoute(run runfile.Run) error {
	if run.Route == "" {
		if s.Route = Freezer; s.HasDryer {
			s.Route = FreezeDry
			return nil
		}
		s.assume(remark.Of(remark.RouteAssumed))
		return nil
	}
	routes := []Route{FreezeDry, Freezer, Fridge}
	if s.Route, s.RouteAsked = fault.One(run.Route, routes); !s.RouteAsked {
		return fault.New("route", "write freeze-dry, freezer or fridge", "route %q is not known%s", run.Route,
			fault.DidYouMean(run.Route, routes))
	}
	return nil
}

// ShortestSimmer is the short end of what the directions for what is in the pot
// describe; a simmer below it is not offered.
func (s Setup) ShortestSimmer() time.Duration { return s.simmers.shortest }

// LongestSimmer is the long end of what the directions for what is in the pot
// describe; 0 where they set none.
func (s Setup) LongestSimmer() time.Duration { return s.simmers.longest }

// Meat is what is picked off the whole birds once they are cooked; nothing without any.
func (s Setup) Meat() (meat quantity.Band[quantity.Mass]) {
	for _, portion := range s.Pot.Bones {
		of := portion.Solids.Meat
		meat.Low += portion.Mass * quantity.Mass(of.Low)
		meat.Likely += portion.Mass * quantity.Mass(of.Likely)
		meat.High += portion.Mass * quantity.Mass(of.High)
	}
	return meat
}

// Shape is what a jar to be filled is to the canner. Errors are *fault.Fault.
func (s Setup) Shape(jar string) (canner.Shape, error) {
	j, err := s.Shelf.Find(jar, s.Mouth)
	return ShapeOf(j), err
}

// TimesBones is the setup with so many times the bones, and vegetables among them.
func (s Setup) TimesBones(times float64) Setup {
	if factor := quantity.Mass(times); len(s.Pots) > 0 {
		s.Pots = slices.Clone(s.Pots)
		for i, pot := range s.Pots {
			s.Pots[i] = pot.TimesBones(times)
		}
		s.Pot, s.Bare = s.Pots[0].Pot, s.Bare*factor
		s.Vegetables = 0
		for _, pot := range s.Pots {
			s.Vegetables += pot.Vegetables
		}
		return s
	}
	factor := quantity.Mass(times)
	s.Pot.Bones = slices.Clone(s.Pot.Bones)
	for i := range s.Pot.Bones {
		s.Pot.Bones[i].Mass *= factor
	}
	s.Bare *= factor
	beside := s.Pot.Vegetables
	if s.Pot.Counted.Likely > 0 {
		beside *= quantity.Mass(s.Pot.Counted.High)
	}
	s.Vegetables = beside + factor*(s.Vegetables-beside)
	s.Birds = 0 // those that were counted are fewer or more
	return s
}

// WithoutLimits is the setup with jars enough of every size that is to be filled.
func (s Setup) WithoutLimits() Setup {
	s.Shelf.onHand, s.Shelf.own = nil, slices.Clone(s.Shelf.own)
	for i := range s.Shelf.own {
		s.Shelf.own[i].OnHand = nil
	}
	s.Jars = slices.Clone(s.Jars)
	for i := range s.Jars {
		if s.Jars[i].Limit > 0 {
			s.Jars[i].Limit = -1
		}
	}
	return s
}

// Route is where broth goes that fills no jar.
type Route string

// The routes.
const (
	FreezeDry Route = "freeze-dry"
	Freezer   Route = "freezer"
	Fridge    Route = "fridge"
)

// WithFull is the setup with the jars that stand full taken off those of the kitchen,
// which are then all that it has. unread is how many runs could not be read, of which
// nobody knows what stands.
func (s Setup) WithFull(full map[string]int, unread int) Setup {
	owned := s.Shelf
	s = s.Without(nil, full)
	s.assumed, s.Warnings = slices.Clip(s.assumed), slices.Clip(s.Warnings)
	for _, wish := range s.Jars {
		if n, counted := owned.Count(wish.Jar); counted && full[wish.Jar] > 0 {
			left, _ := s.Shelf.Count(wish.Jar)
			s.assume(remark.Of(remark.JarsFull, runfile.JarWish{Jar: wish.Jar, Limit: n}, full[wish.Jar], left))
		}
	}
	if unread > 0 {
		s.warn(remark.Of(remark.RunsUnread, unread))
	}
	return s
}

// Without is the setup with so many jars less of each size on hand, and of those
// that were filled so many less to fill.
func (s Setup) Without(filled, broken map[string]int) Setup {
	s.Jars = slices.Clone(s.Jars)
	for i, wish := range s.Jars {
		if wish.Limit > 0 {
			s.Jars[i].Limit = max(0, wish.Limit-filled[wish.Jar])
		}
	}
	s.Shelf.onHand, s.Shelf.own = maps.Clone(s.Shelf.onHand), slices.Clone(s.Shelf.own)
	for name, n := range s.Shelf.onHand {
		s.Shelf.onHand[name] = max(0, n-filled[name]-broken[name])
	}
	for i, own := range s.Shelf.own {
		if own.OnHand != nil {
			name := runfile.JarName(own.Name)
			left := max(0, *own.OnHand-filled[name]-broken[name])
			s.Shelf.own[i].OnHand = &left
		}
	}
	return s
}
