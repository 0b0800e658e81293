package stock

import (
	"fmt"
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
	"brothrun/stock/runfile"
	"brothrun/stock/thermo"
)

// What is assumed when nobody says. Common practice, no source: each is printed
// with the plan so that the cook sees what to measure.
const (
	defaultCannerWidth  = 12.25 * quantity.Inch
	defaultCannerHeight = 10.5 * quantity.Inch
	defaultRacks        = 1
	defaultJars         = "quart,pint"
)

// House is a kitchen with every value typed and every default settled.
type House struct {
	Units quantity.System
	shelf shelf

	Gauge      process.Gauge
	GaugeNamed bool // otherwise weighted is assumed

	Canner canner.Canner
	// WidthGiven and HeightGiven tell a measured canner from an assumed one, and
	// Counted is the jars in a layer the cook counted under [canner].
	WidthGiven, HeightGiven bool
	Counted                 map[string]int
	Firing                  canner.Load // the canner's vessel, place, burner and noted times; its jars come with the load
	Burner                  quantity.Power
	Hob                     string

	Around   chill.Surroundings // what broth may be cooled against, outdoors apart
	TapGiven bool
	Freezer  *quantity.Temperature // as the cook gave it; nil: not known

	Dryer    freezedry.Dryer
	HasDryer bool

	assumed []Note // in the order they were settled
}

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
	Bare         quantity.Mass // of the bones alone
	Vegetables   quantity.Mass // beside the bones, and among them
	SimmersAlone bool          // the cook says the simmer may go on unattended

	Chill chill.Method // empty: the easiest that is safe

	Jars       []JarWish // in order of preference
	Mouth      jar.Mouth
	Prefer     loading.Preference
	Mix        bool
	SmallLoads bool
	Route      Route

	warnings []Note
}

// Settle reads a kitchen and a run. What they do not give is assumed, and Plan lists
// it where it matters; kind, bones, pot and altitude have no default, because
// nothing can be planned, or canned safely, without them. Errors are *fault.Fault.
func Settle(kitchen runfile.Kitchen, run runfile.Run) (Setup, error) {
	house, err := settleHouse(kitchen, run.Gauge)
	if err != nil {
		return Setup{}, err
	}
	s := Setup{House: house, Name: run.Name, Mix: run.Mix, SmallLoads: run.SmallLoads}
	s.assumed = slices.Clone(house.assumed)
	err = inTurn(
		func() error { return s.settleKinds(run) },
		func() error { return s.settlePlace(kitchen, run) },
		func() error { return s.settlePot(kitchen, run) },
		func() error { return s.settleChill(run) },
		func() error { return s.settleJars(kitchen, run) },
		func() error { return s.settleRoute(run) },
	)
	return s, err
}

// inTurn does one thing after another until one fails.
func inTurn(all ...func() error) error {
	for _, work := range all {
		if err := work(); err != nil {
			return err
		}
	}
	return nil
}

func (h *House) assume(note Note) { h.assumed = append(h.assumed, note) }

// assumption is what was assumed under some codes, in their order.
func (h *House) assumption(codes ...string) []Note {
	var notes []Note
	for _, code := range codes {
		notes = append(notes, Noted(h.assumed, code)...)
	}
	return notes
}

// settleHouse reads a kitchen. gauge is the run's, and comes before the kitchen's.
func settleHouse(kitchen runfile.Kitchen, gauge string) (House, error) {
	h := House{shelf: shelf{own: kitchen.OwnJars, onHand: kitchen.Jars}, Hob: kitchen.Hob, Burner: valueOf(kitchen.Burner)}
	if kitchen.Units != "" {
		units, err := quantity.ParseSystem(kitchen.Units)
		if err != nil {
			return h, fault.Of("units", err, "")
		}
		h.Units = units
	}
	if gauge == "" {
		gauge = kitchen.Gauge
	}
	h.Gauge = process.Weighted
	if gauge != "" {
		named, err := process.ParseGauge(gauge)
		if err != nil {
			return h, fault.Of("gauge", err, "")
		}
		h.Gauge, h.GaugeNamed = named, true
	}
	h.settleCanner(kitchen)
	h.settleDryer(kitchen.FreezeDryer)
	return h, h.settleCold(kitchen)
}

// settleCanner reads the canner and what heats it.
func (h *House) settleCanner(kitchen runfile.Kitchen) {
	given := kitchen.Canner
	h.Counted = given.Holds
	h.Canner = canner.Canner{Width: defaultCannerWidth, Height: defaultCannerHeight,
		RackThickness: valueOf(given.RackThickness), Racks: defaultRacks, Holds: h.shelf.holds(given.Holds)}
	h.WidthGiven, h.HeightGiven = given.Width != nil, given.Height != nil
	var missing []Note
	if h.WidthGiven {
		h.Canner.Width = *given.Width
	} else if len(given.Holds) == 0 {
		missing = append(missing, note(CannerAssumed, h.Canner.Width).in("width"))
	}
	if h.HeightGiven {
		h.Canner.Height = *given.Height
	} else {
		missing = append(missing, note(CannerAssumed, h.Canner.Height).in("height"))
	}
	if given.Racks != 0 {
		h.Canner.Racks = given.Racks
	} else {
		missing = append(missing, note(CannerAssumed).in("rack"))
	}
	if len(missing) > 0 {
		h.assume(note(CannerAssumed, missing))
	}
	h.Firing = canner.Load{
		Vessel: canner.Vessel{Width: h.Canner.Width, Height: h.Canner.Height, Mass: valueOf(given.Mass),
			Wall: canner.Wall(given.Wall), Water: valueOf(given.Water)},
		Place:  canner.Place{Outdoors: given.Outdoors != "", Air: valueOf(given.Air)},
		Burner: canner.Burner{Rating: h.Burner, Share: kettle.HobShare(h.Hob)},
		Noted: canner.Noted{HeatUp: valueOf(given.HeatUp), Pressurise: valueOf(given.Pressurise),
			Depressurise: valueOf(given.Depressurise)},
	}
}

// settleCold reads the fridge, the freezer and the tap.
func (h *House) settleCold(kitchen runfile.Kitchen) error {
	h.Around = chill.DefaultSurroundings()
	if kitchen.Fridge != nil {
		h.Around.Fridge = *kitchen.Fridge
	} else {
		h.assume(note(FridgeAssumed, h.Around.Fridge))
	}
	if h.Freezer = kitchen.Freezer; h.Freezer != nil {
		h.Around.Freezer = *h.Freezer
		if h.Around.Freezer > warmestFreezer {
			return fault.New("freezer", "turn it down and read a thermometer in it, or leave the temperature out",
				"a freezer at %s does not freeze broth through: must be %s or colder", h.Freezer.Both(h.Units), warmestFreezer.Both(h.Units))
		}
	}
	if h.TapGiven = kitchen.Tap != nil; h.TapGiven {
		h.Around.Tap = *kitchen.Tap
	}
	return nil
}

// settleDryer reads the freeze dryer.
func (h *House) settleDryer(given runfile.FreezeDryer) {
	h.HasDryer = given.Trays > 0 || given.TrayLength != nil || given.Capacity != nil || len(given.Bookings) > 0
	h.Dryer = freezedry.DefaultDryer()
	if given.Trays != 0 {
		h.Dryer.Trays = given.Trays
	}
	if given.TrayLength != nil && given.TrayWidth != nil {
		h.Dryer.TrayLength, h.Dryer.TrayWidth, h.Dryer.Assumed = *given.TrayLength, *given.TrayWidth, false
	}
	if given.FillDepth != nil {
		h.Dryer.FillDepth = *given.FillDepth
	}
	h.Dryer.Capacity = valueOf(given.Capacity)
	if !h.HasDryer {
		h.assume(note(DryerAssumed, h.Dryer.Trays, h.Dryer.TrayLength, h.Dryer.TrayWidth, h.Dryer.FillDepth))
	}
}

func (s *Setup) warn(note Note) { s.warnings = append(s.warnings, note) }

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
		portions = []runfile.Portion{{Kind: run.Kind, Weight: run.Bones}}
	}
	var pot []kindFacts
	s.Vegetables = valueOf(run.Vegetables)
	heaviest := -1
	for i, portion := range portions {
		key := "kind"
		if len(run.Portions) > 0 {
			key = fmt.Sprintf("bones[%d].kind", i)
		}
		facts, ok := Kind(spelling(portion.Kind)).facts()
		if !ok {
			return fault.New(key, "write one of: "+kindList(), "kind %q is not known", portion.Kind)
		}
		solids, err := kettle.For(string(facts.kind))
		if err != nil {
			return fault.Of(key, err, "")
		}
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

// spelling forgives upper case and blanks for hyphens: "Turkey frames".
func spelling(text string) string {
	return strings.Join(strings.Fields(strings.ToLower(text)), "-")
}

func kindList() string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// settlePlace reads the altitude, and where run and kitchen differ about it or about
// the gauge.
func (s *Setup) settlePlace(kitchen runfile.Kitchen, run runfile.Run) error {
	if run.Gauge != "" && kitchen.Gauge != "" && !strings.EqualFold(run.Gauge, kitchen.Gauge) {
		s.warn(note(GaugeDiffers, run.Gauge, kitchen.Gauge))
	}
	altitude := kitchen.Altitude
	if run.Altitude != nil {
		altitude = run.Altitude
	}
	if altitude == nil {
		return fault.New("altitude", "--altitude 3200ft, or altitude = \"3200 ft\" in the kitchen file; look your house up on a map",
			"the altitude of the kitchen is not given, and it has no default: "+
				"it sets the canner's pressure, and too little pressure leaves broth unsafe")
	}
	s.Altitude = *altitude
	if run.Altitude != nil && kitchen.Altitude != nil && math.Abs((*run.Altitude-*kitchen.Altitude).Feet()) > 1 {
		s.warn(note(AltitudeDiffers, *run.Altitude, *kitchen.Altitude))
	}
	s.warnings = append(s.warnings, minusDoubted(s.Stock, s.Gauge, s.Altitude)...)
	boiling, err := thermo.BoilingPoint(s.Altitude)
	if err != nil {
		return fault.Of("altitude", err, "")
	}
	s.Boiling, s.Pot.Altitude, s.Firing.Place.Altitude = boiling, s.Altitude, s.Altitude
	return nil
}

// minusDoubted warns of a place so far below the sea that as high above it the
// pressure would be higher: a minus that slipped in would then be unsafe.
func minusDoubted(stock process.Stock, gauge process.Gauge, altitude quantity.Length) []Note {
	if altitude >= 0 {
		return nil
	}
	here, err := process.Lookup(stock, process.Quart, gauge, altitude)
	above, aboveErr := process.Lookup(stock, process.Quart, gauge, -altitude)
	if err != nil || aboveErr != nil || above.Pressure <= here.Pressure {
		return nil
	}
	return []Note{note(BelowSeaLevel, altitude, -altitude, above.Pressure)}
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
		width := quantity.Length(math.Round(kettle.PotWidth(*pot.Volume).Inches()*10)) * quantity.Inch / 10
		pot.Width, in.WidthAssumed = &width, true
		s.assume(note(PotWidthAssumed, width))
	}
	in.Pot, in.PotWidth, in.FillLine = *pot.Volume, *pot.Width, kettle.DefaultFillLine
	if pot.FillLine != nil {
		in.FillLine = *pot.FillLine
	}
	in.Evaporation, in.Held, in.Vegetables = valueOf(pot.Evaporation), valueOf(pot.Held), valueOf(run.Vegetables)
	in.Fit = run.Fit || run.Water == nil
	if !in.Fit {
		in.Water = *run.Water
	}
	if in.Simmer = s.simmers.usual; run.Simmer != nil {
		in.Simmer = *run.Simmer
	} else {
		s.assume(note(SimmerAssumed, in.Simmer, s.What))
	}
	in.Lid = kettle.LidAjar
	if run.Lid != "" {
		if in.Lid, err = kettle.ParseLid(spelling(run.Lid)); err != nil {
			return fault.Of("lid", err, "")
		}
	} else if in.Evaporation == 0 {
		s.assume(note(LidAssumed))
	}
	if in.Evaporation > 0 {
		s.assume(note(LidMeasured))
	}
	topUp := spelling(run.TopUp)
	if topUp != "" && topUp != "never" && topUp != "level" {
		return fault.New("top_up", "write never or level", "top up %q is not known", run.TopUp)
	}
	in.TopUp = topUp == "level"
	if in.Burner = s.Burner; in.Burner > 0 {
		in.Hob = s.Hob
	}
	if s.SimmersAlone = pot.Unattended; run.Unattended != nil {
		s.SimmersAlone = *run.Unattended
	}
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
		text = defaultJars
	}
	var err error
	if s.Jars, err = ParseJars(text); err != nil {
		return fault.Of("jars", err, "")
	}
	for _, wish := range s.Jars {
		if _, err := s.shelf.class(wish.Jar); err != nil && !isRefusal(err) {
			return err
		}
	}
	if s.Mouth, err = s.settleMouth(run.Mouth, kitchen.Mouth); err != nil {
		return err
	}
	if s.Prefer, err = loading.ParsePreference(run.Prefer); err != nil {
		return fault.Of("prefer", err, "write jars, loads or leftover")
	}
	return nil
}

// settleMouth reads the mouth of the catalogue's jars: the run's, or else the
// kitchen's.
func (h *House) settleMouth(ofRun, ofKitchen string) (jar.Mouth, error) {
	key, text := "mouth", ofRun
	if text == "" {
		key, text = "jars.mouth", ofKitchen
	}
	if text == "" {
		h.assume(note(MouthAssumed))
		return jar.Regular, nil
	}
	mouth, err := jar.ParseMouth(text)
	if err != nil {
		return "", fault.Of(key, err, "")
	}
	return mouth, nil
}

func (s *Setup) settleRoute(run runfile.Run) error {
	switch s.Route = Route(spelling(run.Route)); s.Route {
	case FreezeDry, Freezer, Fridge:
	case "":
		if s.Route = Freezer; s.HasDryer {
			s.Route = FreezeDry
			return nil
		}
		s.assume(note(RouteAssumed))
	default:
		return fault.New("route", "write freeze-dry, freezer or fridge", "route %q is not known", run.Route)
	}
	return nil
}

// LongestSimmer is the long end of what the directions for what is in the pot
// describe; 0 where they set none.
func (s Setup) LongestSimmer() time.Duration { return s.simmers.longest }

// Shape is what a jar to be filled is to the canner. Errors are *fault.Fault.
func (s Setup) Shape(jar string) (canner.Shape, error) { return s.shelf.shape(jar, s.Mouth) }

// TimesBones is the setup with so many times the bones, and vegetables among them.
func (s Setup) TimesBones(times float64) Setup {
	factor := quantity.Mass(times)
	s.Pot.Bones = slices.Clone(s.Pot.Bones)
	for i := range s.Pot.Bones {
		s.Pot.Bones[i].Mass *= factor
	}
	s.Bare *= factor
	s.Vegetables = s.Pot.Vegetables + factor*(s.Vegetables-s.Pot.Vegetables)
	return s
}

// WithoutLimits is the setup with jars enough of every size that is to be filled.
func (s Setup) WithoutLimits() Setup {
	s.shelf.onHand, s.shelf.own = nil, slices.Clone(s.shelf.own)
	for i := range s.shelf.own {
		s.shelf.own[i].OnHand = nil
	}
	s.Jars = slices.Clone(s.Jars)
	for i := range s.Jars {
		if s.Jars[i].Limit > 0 {
			s.Jars[i].Limit = -1
		}
	}
	return s
}
