package canner

import (
	"math"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/thermo"
)

// Wall is how heavy a canner is built.
type Wall string

// The walls. Unknown is taken for heavy, with room for either.
const (
	Unknown Wall = ""
	Heavy   Wall = "heavy" // cast or thick, about 5 kg with its lid
	Thin    Wall = "thin"  // pressed, about 3 kg with its lid
)

// Jars are a number of equal jars in a load.
type Jars struct {
	Count int           // 1 to 1000, all jars of a load together
	Broth quantity.Mass // in one, 10 g to 10 kg
	Glass quantity.Mass // of one, 10 g to 10 kg; GlassOf where nobody weighed it
}

// GlassOf returns what a jar weighs empty by what it holds to the rim, which must
// be above 0: 0.29 kg for a pint of 17.1 fl oz, and as the volume to the power two
// thirds, as for a wall of one thickness. From memory, 15 % either way; a quart
// comes to 0.45 kg.
func GlassOf(brimful quantity.Volume) quantity.Mass {
	const pint = 17.1 * quantity.FluidOunce
	return quantity.Mass(0.29 * math.Pow(float64(brimful/pint), 2.0/3))
}

// Vessel is the canner as heat sees it.
type Vessel struct {
	Width, Height quantity.Length // inside, 4 in to 40 in
	Mass          quantity.Mass   // with its lid, 1 kg to 50 kg; 0 when nobody weighed it
	Wall          Wall
	Water         quantity.Volume // put in, 0.3 l to 30 l and what Room leaves; 0 for UsualWater
}

// UsualWater is what is put in when nobody says: 3 qt in a canner 12.25 in wide, the
// 2 to 3 in of water that Alaska Extension calls about 3 qt, and in another as its
// floor is larger or smaller, so that it stands as deep.
func (v Vessel) UsualWater() quantity.Volume {
	wide := v.Width / (12.25 * quantity.Inch)
	return waterUsual * quantity.Volume(wide*wide)
}

// Room is the canner's inside volume less its jars: their hot broth and their glass,
// of 2500 kg/m³ (handbook value). Headspace is left out, so that it is on the large
// side; jars that take more than all leave 0.
func (v Vessel) Room(jars []Jars) quantity.Volume {
	width, height := v.Width.Metres(), v.Height.Metres()
	room := math.Pi / 4 * width * width * height
	for _, j := range jars {
		room -= float64(j.Count) * (j.Broth.Kilograms()/hotBroth + j.Glass.Kilograms()/2500)
	}
	return quantity.Volume(max(0, room))
}

// Place is where the canner stands.
type Place struct {
	Altitude quantity.Length
	Outdoors bool
	Air      quantity.Temperature // -40 °C to 50 °C; 0 when not known
}

// Burner is what heats the canner.
type Burner struct {
	Rating quantity.Power         // 0 when not known
	Share  quantity.Band[float64] // of the rating that reaches the canner, 0 to 1
}

// Load is one load of a pressure canner, and all its heat depends on.
type Load struct {
	Jars      []Jars
	Vessel    Vessel
	Place     Place
	Burner    Burner
	Pressure  quantity.Pressure // gauge reading held, 1 psi to 30 psi
	Weighted  bool              // a weighted gauge, which lets steam off
	Process   time.Duration     // tested time at pressure, up to 4 h
	QuartTime bool              // the jars take the quart time
	Later     bool              // not the first load: the canner is hot
	Noted     Noted
	Pace      Pace
}

// Pace is how long the phases of a canner on its burner take against what Cycle says
// without it, as noted loads tell. A phase with a Noted time goes by that.
type Pace struct{ HeatUp, Pressurise, Depressurise Factor }

// Factor is that of one phase; the zero Factor tells nothing.
type Factor struct {
	Likely float64
	Spread float64 // standard deviation of the logarithm of a next load's
}

// of is a phase at that pace.
func (f Factor) of(phase quantity.Band[time.Duration]) quantity.Band[time.Duration] {
	if f.Likely <= 0 {
		return phase
	}
	const score90 = 1.2816 // of the 90 % point, standard normal
	wide := math.Exp(score90 * f.Spread)
	return quantity.Band[time.Duration]{
		Low: part(phase.Likely, f.Likely/wide), Likely: part(phase.Likely, f.Likely), High: part(phase.Likely, f.Likely*wide),
	}
}

// Noted are the times a cook has taken of her own loads; 0 where she has not.
// They are of a first load of 7 quarts for loads at the quart time, of 9 pints for
// others, or of a full layer where fewer fit.
type Noted struct{ HeatUp, Pressurise, Depressurise time.Duration }

// Estimate is what one load takes.
type Estimate struct {
	Phases
	Fuel       quantity.Band[quantity.Energy] // what the burner takes in
	WaterPutIn quantity.Volume                // as given, or the usual
	WaterUsual quantity.Volume                // for that width
	WaterLeft  quantity.Band[quantity.Volume]
	// NearDry says that less than a third of the water put in, or of the usual, may be
	// left, or that less than half of the usual was put in.
	NearDry bool
	// MayFail says that within the spread the burner would not bring the load to
	// pressure: HeatUp.High or Pressurise.High is three hours, where reckoning ends,
	// and no time.
	MayFail bool
	// Short are the noted times that are shorter than the published ones, and were
	// not used.
	Short struct{ HeatUp, Pressurise, Depressurise bool }
}

// What the model takes for granted. Published times were found for no canner of
// known mass on a burner of known power: there are no data that would settle any of
// these, and the spreads are wide.
var (
	unknownNet = quantity.Spread(1600, 1900, 2200) // W that reach the canner: what fits the published 12 to 15 and 3 to 5 min
	coldStart  = quantity.Spread(50, 60, 80)       // °C of canner and water when the lid goes on; common practice, no source
	hotStart   = quantity.Spread(70, 85, 95)       // °C, a later load; from memory
	jarStart   = quantity.Spread(65, 75, 90)       // °C, hot-packed; common practice, no source
	jarMass    = quantity.Spread(0.95, 1, 1.05)    // glass and broth against what is given; from memory
	heavyMass  = quantity.Spread(0.75, 1, 1.3)     // a canner of known wall against 5 or 3 kg a standard size; from memory
	eitherMass = quantity.Spread(0.6, 1, 1.3)      // wall not known: from thin to heavy
	usualWater = quantity.Spread(0.85, 1, 1.35)    // against UsualWater, for 2 to 3 in of water (Alaska Extension)
	givenWater = quantity.Spread(0.95, 1, 1.05)    // as measured; common practice, no source
	// calmFilm is what a canner loses by its wall and lid in still air, W/(m²·K):
	// convection 6.5 and radiation from 0.9 (bright aluminium) to 7.6 (dark), derived; 7
	// to 8 gives the published 30 and 45 min to zero. The spread holds 12 % less and 20 %
	// more area too, for handles and rim.
	calmFilm   = quantity.Spread(6.6, 8, 12.5)
	indoorAir  = quantity.Spread(16, 22, 30)   // °C; common practice, no source
	outdoorAir = quantity.Spread(-5, 15, 32)   // °C, nobody said; common practice, no source
	draught    = quantity.Spread(0.6, 1, 1)    // share of its heat a burner outdoors gives the canner: no data
	letOff     = quantity.Spread(0, 0.2, 0.5)  // kg/h a weighted gauge lets off at pressure: no data
	dialLetOff = quantity.Spread(0, 0.03, 0.1) // kg/h past a dial gauge's seals: no data
	// jarFilm is between what surrounds a jar and its broth, W/(m²·K) of its wetted
	// side: 3 to 4 mm of glass of 1.0 W/(m·K) 290, free convection within about 1000
	// (0.13·Ra^⅓ at 10 K), steam condensing outside 5000 and more, in series 210.
	// Derived, wide: air among the steam and scale lower it.
	jarFilm = quantity.Spread(110, 200, 290)
)

const (
	standardArea = 0.3366           // m², wall and lid of 12.25 by 10.5 in inside, the canner of 5 kg
	heavyKilos   = 5.0              // kg with lid, that size; a tall one 7.5; from memory
	thinKilos    = 3.0              // kg with lid, that size; from memory
	venting      = 10 * time.Minute // steady steam before closing [EXT]
	waterUsual   = 3 * quantity.Quart
	warmWater    = 990.0 // kg/m³, about 45 °C, as measured from a kettle and a tap
	// jarSide is the wetted side of a jar over its broth's volume to the power two
	// thirds: a cylinder half again as high as wide. Derived.
	jarSide  = 4.22
	hotBroth = 958.0 // kg/m³ at 100 °C, [SR1-86] of thermo
	// warming is the longest phase that is worked out, and slowest the longest from
	// lid on to pressure, venting aside, a burner may take: common practice, no source.
	warming = 3 * time.Hour
	slowest = 2 * time.Hour
)

// The inputs that have a spread, by their place in a vector.
const (
	burnerPower = iota // W: the rating, or what reaches the canner when that is not known
	burnerShare
	flameKept // share of its heat a draught leaves a burner
	potMass   // kg
	waterMass // kg
	potStart  // °C
	jarsStart // °C
	jarsMass
	jarsFilm // W/(m²·K)
	wallFilm // W/(m²·K)
	airHeat  // °C
	steamOff // kg/h
	inputs
)

// prepared is a load with everything worked out once.
type prepared struct {
	likely, low, high [inputs]float64
	known             bool    // the burner's rating is
	glass, broth      float64 // kJ/K -> J/K: heat capacities of all jars
	side, area        float64 // m², of all jars and of the canner's wall and lid
	boil, steam       float64 // °C, of water here and at pressure
	vapour, hotVapour float64 // J/kg, heats of vaporisation at both
	process           float64 // s
	putIn, usualWater quantity.Volume
}

func (l Load) prepare() (*prepared, error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	air, err := thermo.StandardAtmosphere(l.Place.Altitude)
	if err != nil {
		return nil, fault.Of("altitude", err, "")
	}
	boil, err := thermo.SaturationTemperature(air)
	if err != nil {
		return nil, fault.Of("altitude", err, "")
	}
	steam, err := thermo.SaturationTemperature(air + l.Pressure)
	if err != nil {
		return nil, fault.Of("canner.pressure", err, "")
	}
	vapour, err := thermo.HeatOfVaporisation(boil)
	if err != nil {
		return nil, fault.Of("altitude", err, "")
	}
	hotVapour, err := thermo.HeatOfVaporisation(steam)
	if err != nil {
		return nil, fault.Of("canner.pressure", err, "")
	}
	in := &prepared{
		known: l.Burner.Rating > 0, boil: boil.Celsius(), steam: steam.Celsius(),
		vapour: float64(vapour), hotVapour: float64(hotVapour), process: l.Process.Seconds(),
	}
	in.fill(l.Jars)
	in.vessel(l.Vessel)
	in.place(l.Place)
	in.burner(l.Burner)
	start := coldStart
	if l.Later {
		start = hotStart
	}
	// High up water boils below what is usual at the sea.
	below := func(s quantity.Band[float64]) quantity.Band[float64] {
		most := in.boil - 2
		return quantity.Spread(min(s.Low, most), min(s.Likely, most), min(s.High, most))
	}
	in.set(potStart, below(start), 1)
	in.set(jarsStart, below(jarStart), 1)
	in.set(jarsMass, jarMass, 1)
	in.set(jarsFilm, jarFilm, 1)
	off := dialLetOff
	if l.Weighted {
		off = letOff
	}
	in.set(steamOff, off, 1)
	return in, nil
}

// set puts an input and its spread in place.
func (in *prepared) set(i int, s quantity.Band[float64], times float64) {
	in.low[i], in.likely[i], in.high[i] = s.Low*times, s.Likely*times, s.High*times
}

// vessel puts the canner's own metal and its water in place.
func (in *prepared) vessel(v Vessel) {
	width, height := v.Width.Metres(), v.Height.Metres()
	in.area = math.Pi*width*height + math.Pi/4*width*width
	switch {
	case v.Mass > 0:
		in.set(potMass, quantity.Spread(1, 1, 1), v.Mass.Kilograms())
	case v.Wall == Thin:
		in.set(potMass, heavyMass, thinKilos*in.area/standardArea)
	case v.Wall == Heavy:
		in.set(potMass, heavyMass, heavyKilos*in.area/standardArea)
	default:
		in.set(potMass, eitherMass, heavyKilos*in.area/standardArea)
	}
	in.putIn, in.usualWater = v.Water, v.UsualWater()
	if v.Water > 0 {
		in.set(waterMass, givenWater, warmWater*v.Water.CubicMetres())
		return
	}
	in.putIn = in.usualWater
	in.set(waterMass, usualWater, warmWater*in.putIn.CubicMetres())
}

// place puts the air about the canner in place, and what a draught leaves the burner.
func (in *prepared) place(p Place) {
	in.set(wallFilm, calmFilm, 1)
	switch {
	case p.Air > 0:
		c := p.Air.Celsius()
		in.set(airHeat, quantity.Spread(c-3, c, c+3), 1) // common practice, no source
	case p.Outdoors:
		in.set(airHeat, outdoorAir, 1)
	default:
		in.set(airHeat, indoorAir, 1)
	}
	kept := quantity.Spread(1, 1, 1)
	if p.Outdoors {
		kept = draught
	}
	in.set(flameKept, kept, 1)
}

// burner puts the burner in place; the air has to be.
func (in *prepared) burner(b Burner) {
	in.set(burnerShare, b.Share, 1)
	if in.known {
		in.set(burnerPower, quantity.Spread(1, 1, 1), b.Rating.Watts())
		return
	}
	// A canner so large that this would hardly hold its pressure stands on a burner
	// that fits it.
	walls := 2 * calmFilm.Likely * in.area * (in.steam - in.likely[airHeat])
	in.set(burnerPower, unknownNet, max(1, walls/unknownNet.Likely))
}

// fill puts jars in place of those there are.
func (in *prepared) fill(jars []Jars) {
	in.glass, in.broth, in.side = 0, 0, 0
	for _, j := range jars {
		n := float64(j.Count)
		in.glass += n * j.Glass.Kilograms() * glassHeat
		in.broth += n * j.Broth.Kilograms() * waterHeat
		in.side += n * jarSide * math.Pow(j.Broth.Kilograms()/hotBroth, 2.0/3)
	}
}

func (l Load) check() error {
	jars := 0
	for _, j := range l.Jars {
		if !(j.Broth >= 10*quantity.Gram && j.Broth <= 10*quantity.Kilogram && j.Glass >= 10*quantity.Gram && j.Glass <= 10*quantity.Kilogram) || j.Count < 1 || j.Count > 1000 {
			return fault.New("canner.jars", "", "%d jars of %.4g kg broth and %.4g kg glass: must be 1 or more, of 0.01 kg to 10 kg each", j.Count, j.Broth.Kilograms(), j.Glass.Kilograms())
		}
		jars += j.Count
	}
	v, share := l.Vessel, l.Burner.Share
	between := func(x, low, high float64) bool { return x >= low && x <= high }
	switch {
	case jars < 1 || jars > 1000:
		return fault.New("canner.jars", "", "%d jars in a load: must be from 1 to 1000", jars)
	case l.Process <= 0 || l.Process > 4*time.Hour:
		return fault.New("canner.process", "", "%s at pressure is out of range: above 0 and up to 4 h", l.Process)
	case !between(v.Width.Inches(), 4, 40):
		return fault.New("canner.width", measureInside, "canner width %s is out of range: 4 in to 40 in (10 cm to 102 cm) inside", measured(v.Width))
	case !between(v.Height.Inches(), 4, 40):
		return fault.New("canner.height", measureInside, "canner height %s is out of range: 4 in to 40 in (10 cm to 102 cm) inside", measured(v.Height))
	case v.Mass != 0 && !between(v.Mass.Kilograms(), 1, 50):
		return fault.New("canner.mass", "", "canner of %.4g kg is out of range: 1 kg to 50 kg (2.2 lb to 110 lb) with its lid", v.Mass.Kilograms())
	case v.Water != 0 && !between(v.Water.Litres(), 0.3, 30):
		return fault.New("canner.water", "", "water of %.4g l is out of range: 0.3 l to 30 l (1/3 qt to 32 qt)", v.Water.Litres())
	case v.Water > v.Room(l.Jars):
		return fault.New("canner.water", "", "water of %.4g l (%.3g qt) is more than there is room for: the canner and this load's jars leave %.3g l (%.3g qt)",
			v.Water.Litres(), v.Water.Quarts(), v.Room(l.Jars).Litres(), v.Room(l.Jars).Quarts())
	case v.Wall != Unknown && v.Wall != Heavy && v.Wall != Thin:
		return fault.New("canner.wall", "", "wall %q is not known: write heavy or thin", v.Wall)
	case l.Place.Air != 0 && !between(l.Place.Air.Celsius(), -40.001, 50.001):
		return fault.New("canner.air", "", "air of %.4g °C is out of range: -40 °C to 50 °C (-40 °F to 122 °F)", l.Place.Air.Celsius())
	case !between(l.Pressure.PSI(), 1, 30):
		return fault.New("canner.pressure", "", "gauge pressure %.4g psi is out of range: 1 psi to 30 psi (7 kPa to 207 kPa)", l.Pressure.PSI())
	case !between(l.Burner.Rating.Watts(), 0, 1e5):
		return fault.New("burner", lookAtRating, "burner of %.4g W is out of range: up to 100 kW, 0 when not known", l.Burner.Rating.Watts())
	case !(share.Low > 0 && share.Low <= share.Likely && share.Likely <= share.High && share.High <= 1):
		return fault.New("burner", lookAtRating, "share %v of the burner's heat that reaches the canner: must be above 0 and up to 1, low before likely before high", share)
	case !(l.Noted.HeatUp >= 0 && l.Noted.Pressurise >= 0 && l.Noted.Depressurise >= 0) ||
		max(l.Noted.HeatUp, l.Noted.Pressurise, l.Noted.Depressurise) > 6*time.Hour:
		return fault.New("canner.noted", "", "noted times %s, %s and %s: must be up to 6 h", l.Noted.HeatUp, l.Noted.Pressurise, l.Noted.Depressurise)
	}
	return nil
}
