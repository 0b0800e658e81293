package chill

import (
	"fmt"
	"math"
	"strings"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// Method is a way of cooling a pot. Two methods joined by "+" follow one
// another: the second from where the first stops paying (see switchFor).
type Method string

// The methods.
const (
	Fridge         Method = "fridge"           // the pot as it is, in still fridge air
	Counter        Method = "counter"          // the pot left in the room
	Outdoors       Method = "outdoors"         // the pot on a cold porch
	Freezer        Method = "freezer"          // the pot in still freezer air
	ColdWater      Method = "cold-water"       // tap water round the pot, renewed before it warms
	IceBath        Method = "ice-bath"         // ice and water round the pot, ice always floating
	IceBathStirred Method = "ice-bath-stirred" // the same, broth and bath stirred
	ShallowPans    Method = "shallow-pans"     // 2 in deep open pans in the fridge
	JarsInFridge   Method = "jars-in-fridge"   // ladled hot into open jars, apart on the fridge shelf
	IceAdded       Method = "ice-added"        // part of the measured water, stirred in as ice
	FrozenBottles  Method = "frozen-bottles"   // clean bottles of ice standing in the broth

	ColdWaterThenFridge         Method = "cold-water+fridge"
	ColdWaterThenJarsInFridge   Method = "cold-water+jars-in-fridge"
	ColdWaterThenIceBathStirred Method = "cold-water+ice-bath-stirred"
	IceBathThenFridge           Method = "ice-bath+fridge"
	IceBathStirredThenFridge    Method = "ice-bath-stirred+fridge"
	IceAddedThenFridge          Method = "ice-added+fridge"
	FrozenBottlesThenFridge     Method = "frozen-bottles+fridge"
)

// Methods returns every method Cool knows, single ones first.
func Methods() []Method {
	return []Method{
		Fridge, Counter, Outdoors, Freezer, ColdWater, IceBath, IceBathStirred, ShallowPans, JarsInFridge, IceAdded,
		FrozenBottles, ColdWaterThenFridge, ColdWaterThenJarsInFridge, ColdWaterThenIceBathStirred, IceBathThenFridge,
		IceBathStirredThenFridge,
		IceAddedThenFridge, FrozenBottlesThenFridge,
	}
}

// easiest lists what Propose may answer, least work first. Left out are the
// counter, which no rule allows; a still ice bath kept to the end, because the
// published advice stirs and water near 4 °C hardly convects; and jars, ice added
// and frozen bottles, whose times are guesses. Cold water first comes before ice alone
// because it leaves part of the ice to be bought and carried.
var easiest = [...]Method{
	Fridge, Outdoors, Freezer, ColdWater, ColdWaterThenFridge, ColdWaterThenIceBathStirred, IceBathThenFridge,
	IceBathStirredThenFridge, IceBathStirred, ShallowPans,
}

// ParseMethod returns the method written as text, such as "ice-bath" or
// "ice-bath-stirred+fridge"; upper case and blanks do not matter.
// Any other text is an error that lists the methods.
func ParseMethod(text string) (Method, error) {
	m, ok := fault.One(text, Methods())
	if !ok {
		names := make([]string, 0, len(Methods()))
		for _, known := range Methods() {
			names = append(names, string(known))
		}
		return "", fmt.Errorf("chill method %q is not known: use one of %s%s", text, strings.Join(names, ", "),
			fault.DidYouMean(text, Methods()))
	}
	return m, nil
}

// Parts splits a sequence; a single method has no second part.
func (m Method) Parts() (first, second Method) {
	a, b, _ := strings.Cut(string(m), "+")
	return Method(a), Method(b)
}

// EndsInFridge reports whether the broth is left to the fridge, which needs
// nobody, to get cold.
func (m Method) EndsInFridge() bool {
	last, second := m.Parts()
	if second != "" {
		last = second
	}
	return last == Fridge || last == ShallowPans || last == JarsInFridge
}

// needsOutdoors reports whether m cannot be worked out without Surroundings.Outdoors.
func (m Method) needsOutdoors() bool { return m == Outdoors }

// side picks one end of what is uncertain.
type side int

const (
	slow side = iota
	likely
	fast
	sides
)

// band is a figure on the slow side, likely and on the fast side.
type band [sides]float64

// Sources, by tag: [HT] free convection (Churchill-Chu) and radiation worked out
// for a pot side 0.25 m high; [REP] coefficients backed out of home brewers'
// reports of wort cooled in ice, pot sizes assumed: 150 and 240 W/(m²·K) in a
// still bath, at least 320 stirred.
var (
	// Air. Free convection times 0.8 where the pot stands crowded, 1.2 with a fan:
	// guesses. Emissivity: bright steel 0.15 to enamel 0.85, from memory. With [HT]
	// 7–11 W/(m²·K) in all at a 57 °C wall.
	airScale   = band{0.8, 1, 1.2}
	emissivity = band{0.15, 0.4, 0.85}
	// Ends of the pot that count, bottom and lid together, in bottoms: a bottom on a
	// shelf and a lid over a gap of steam each give part. An assumption.
	ends = band{1, 1.5, 2}
	// Wind, W/(m²·K): none to a breeze; 25 is where textbooks start forced
	// convection of gases (Çengel, course note). Guesses.
	porchWind = band{0, 3, 15}

	// Draught in a cabinet, W/(m²·K) beside free convection, from none to a fan:
	// guesses.
	draught = band{0, 2, 5}

	// Water. Free convection on both sides, scaled to [REP]: layers of warm and cold
	// water hinder it, above all under the bottom; carrying and adding ice help it.
	waterScale = band{0.45, 0.9, 1.5}
	// What stirring both sides adds, W/(m²·K): a cook who stirs every 10 minutes to
	// one who never stops. With waterScale, to [REP]; a guess at both ends.
	stirring = band{80, 200, 350}

	// Jars. Glass sends out nearly all it can, 0.9 (from memory); what jars see of
	// one another counts for nothing, which is a guess. A quart jar weighs 0.35 to
	// 0.55 kg empty (from memory), a twelfth to an eighth of what is in it in heat.
	jarEmissivity = band{0.5, 0.7, 0.9}
	jarHeat       = band{1.13, 1.1, 1.08}

	// Gelling: the share of the resistance of fully set broth that adds below 15 °C.
	// Thin broth stays liquid, rich broth sets. A guess, wide; stirring breaks the
	// jelly.
	gelStill   = band{1, 0.1, 0}
	gelStirred = band{0.1, 0, 0}

	// Cabinets: power that a home fridge or freezer has to spare, W, the food in it,
	// kg, which takes heat at 0.4 W/K a kilogram, and the loss through the walls,
	// 1 W/K. From memory of rated sizes, wide.
	fridgePower  = band{50, 100, 150}
	freezerPower = band{40, 80, 120}
	cabinetFood  = band{10, 20, 30}

	// A bath: kg of water a kg of broth, and how often cold water is changed, s.
	// Assumptions. The room gives the bath 8 W/(m²·K) over 1.5 times the pot's face.
	iceBathWater   = band{0.7, 0.5, 0.3}
	coldBathWater  = band{0.7, 1, 1.5}
	changeInterval = band{600, 300, 120}

	// Bottles, W/(m²·K): a guess, wide: their walls and the melted layer inside hinder
	// the heat. Bottles of a litre fill a fifth of the pot; each has 0.055 m².
	bottles = band{20, 60, 150}

	// The pot's own metal, as a share of the broth's heat capacity.
	potHeat = band{1.05, 1.03, 1.02}
)

const (
	gelStarts = 25.0 // °C: rich broth thickens below; an assumption, no source
	gelEnds   = 15.0 // °C: and has set here; an assumption, no source

	foodFilmPerKilogram = 0.4   // W/(K·kg): a kilogram pack has some 0.06 m² at 6–8 W/(m²·K); assumed
	chilledFoodHeat     = 3.5e3 // J/(kg·K): mixed food, 3.2–3.9, from memory
	frozenFoodHeat      = 2.0e3 // J/(kg·K): the same frozen, 1.8–2.2, from memory; thawing is not counted
	boxLoss             = 1.0   // W/K, 0.7–1.5, from memory

	roomFilm     = 8.0 // W/(m²·K)
	roomFaces    = 1.5
	bottleShare  = 0.2
	bottleFaces  = 55.0 // m² a m³ of ice
	airGuess     = 8.0  // W/(m²·K), only to find the resistance of set broth
	waterGuess   = 150.0
	workingStep  = 0.3                      // of the time constant; TestStepHalving shows what it leaves
	plateHeight  = 10 * quantity.Centimetre // of a pan: area over half its rim, about
	tallestPlume = 60 * quantity.Centimetre
)

// iceBathTemperature is what a bath with floating ice holds at the pot's wall:
// a degree above melting, an assumption, no source.
var iceBathTemperature = quantity.Celsius(1)

// meltingTime is how long stirred-in ice takes to melt and bring the broth down,
// by side: a guess, no source.
var meltingTime = [sides]time.Duration{30 * time.Minute, 15 * time.Minute, 10 * time.Minute}

// ladlingTime is how long filling one jar with broth that is not to be canned takes,
// by side: a minute a jar, common practice, no source.
var ladlingTime = [sides]time.Duration{2 * time.Minute, time.Minute, 30 * time.Second}

// medium is what takes the heat from the broth.
type medium struct {
	film     film
	base     quantity.Temperature
	cabinet  bool // a fridge or freezer, which warms
	frozen   bool // a freezer
	porch    bool // wind may blow
	pans     bool // poured out shallow instead of left in the pot
	jars     bool // ladled into jars
	stirred  bool // a jelly is broken up
	attended bool // the cook stirs, renews or empties something
	bath     bool // ice and water outside the pot
	bottles  bool // ice inside it
	renewed  bool // tap water, changed
	ice      bool // the heat goes into ice outside the broth
	melts    bool // the ice is stirred into the broth itself
	guessed  bool // no measurement stands behind the time
}

// medium returns what a single method cools with. m must be a known single method.
func (m Method) medium(around Surroundings) medium {
	switch m {
	case Fridge:
		return medium{film: air, base: around.Fridge, cabinet: true}
	case Counter:
		return medium{film: air, base: around.Room}
	case Outdoors:
		return medium{film: air, base: *around.Outdoors, porch: true}
	case Freezer:
		return medium{film: air, base: around.Freezer, cabinet: true, frozen: true}
	case ColdWater:
		return medium{film: water, base: around.Tap, renewed: true, stirred: true, attended: true}
	case IceBath:
		return medium{film: water, base: iceBathTemperature, bath: true, ice: true, attended: true}
	case IceBathStirred:
		return medium{film: water, base: iceBathTemperature, bath: true, ice: true, stirred: true, attended: true}
	case ShallowPans:
		return medium{film: air, base: around.Fridge, cabinet: true, pans: true}
	case JarsInFridge:
		return medium{film: air, base: around.Fridge, cabinet: true, jars: true, guessed: true}
	case IceAdded:
		return medium{base: iceBathTemperature, attended: true, melts: true, guessed: true}
	default: // FrozenBottles
		return medium{film: constant, base: iceBathTemperature, bottles: true, ice: true, stirred: true, attended: true,
			guessed: true}
	}
}

// leg sets the transient up for a pot.
func (m medium) leg(pot Pot, around Surroundings, s side) leg {
	broth := float64(brothDensity.Times(pot.Volume))
	end, wall := pot.faces()
	l := leg{
		heat: broth * brothHeatCapacity * potHeat[s], base: m.base.Celsius(), film: m.film,
		room: around.Room.Celsius(), least: math.Inf(1), step: workingStep,
		height: min(max(pot.depth(), 2*quantity.Centimetre), tallestPlume),
	}
	gel := gelStill[s]
	if m.stirred {
		gel = gelStirred[s]
	}
	switch {
	case m.bottles:
		l.area, l.overall = bottleShare*bottleFaces*pot.Volume.CubicMetres(), bottles[s]
	case m.film == air:
		l.area = (wall + quantity.Area(ends[s])*end).SquareMetres()
		l.convection, l.emissivity = airScale[s], emissivity[s]
		switch {
		case m.porch:
			l.wind = porchWind[s]
		case m.cabinet:
			l.wind = draught[s]
		}
		switch {
		case m.jars:
			l.heat = broth * brothHeatCapacity * jarHeat[s]
			one := pot.jar()
			jarEnd, jarWall := one.faces()
			l.area = pot.jars() * (jarWall + quantity.Area(ends[s])*jarEnd).SquareMetres()
			l.height, l.emissivity = max(one.depth(), 2*quantity.Centimetre), jarEmissivity[s]
			if gel > 0 {
				l.setting = gel * one.setting(airGuess, true)
			}
		case m.pans:
			base, sides := panFaces(pot.Volume, pot.PanDepth)
			l.area, l.height = (sides + quantity.Area(ends[s])*base).SquareMetres(), plateHeight
			l.setting, l.alwaysSet = gel*slabSetting(pot.PanDepth/2, airGuess), s == slow
		case gel > 0:
			l.setting = gel * pot.setting(airGuess, true)
		}
	default:
		l.area = (wall + end).SquareMetres()
		l.convection = waterScale[s]
		// A cook who changes the water stirs when she does, no more.
		if m.stirred && !m.renewed {
			l.overall = stirring[s]
		}
		if gel > 0 {
			l.setting = gel * pot.setting(waterGuess, false)
		}
	}
	if m.cabinet {
		l.shut(around, m.frozen, s)
	}
	if m.renewed {
		l.bath, l.renewed = coldBathWater[s]*broth*waterHeatCapacity, 2/changeInterval[s]
	}
	if m.bath {
		l.bath, l.roomFor = iceBathWater[s]*broth*waterHeatCapacity, roomFilm*roomFaces*l.area
	}
	if m.ice {
		l.ice = true
		if around.Ice > 0 {
			l.least = around.Ice.Kilograms()
		}
	}
	return l
}

// shut puts the pot into a fridge or freezer, with its machine and its other food.
func (l *leg) shut(around Surroundings, frozen bool, s side) {
	l.cabinet, l.box = true, boxLoss
	food, heat := cabinetFood[s], chilledFoodHeat
	l.power = fridgePower[s]
	switch {
	case frozen:
		l.power, heat = freezerPower[s], frozenFoodHeat
	default:
		if around.FridgePower > 0 {
			l.power = around.FridgePower.Watts()
		}
		if around.FridgeFood > 0 {
			food = around.FridgeFood.Kilograms()
		}
	}
	l.food, l.foodFilm = food*heat, food*foodFilmPerKilogram
}

// begin returns what the surroundings start at, °C, having cooled the bath's own
// water with the ice.
func (m medium) begin(around Surroundings, l *leg, y *state) float64 {
	if !m.bath {
		return l.base
	}
	tap := max(around.Tap, iceBathTemperature).Celsius()
	first := l.bath * (tap - iceBathTemperature.Celsius()) / perMelted
	if l.least > first {
		y.melted += first
		return l.base
	}
	// There is not even that much ice.
	y.melted += l.least
	begins := (l.bath*tap - l.least*float64(fusion)) / (l.bath + l.least*waterHeatCapacity)
	l.bath, l.ice = l.bath+l.least*waterHeatCapacity, false
	return begins
}
