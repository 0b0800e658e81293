// Package quantity holds the typed quantities every other room computes with:
// Volume, Mass, Length, Area, Temperature, TemperatureChange, Pressure, Power,
// Energy and the few derived ones heat and vapour need. Each is a named float64
// in the SI unit its doc states. Build a value from a unit constant
// (5 * quantity.Litre), read it with the accessor of a unit (v.Litres()), and
// never pass the bare number on.
//
// A temperature is a point on a scale and a temperature change a distance on
// it, so they are two types and only Celsius, Fahrenheit and Kelvin build a
// Temperature. Time spans are time.Duration.
//
// Sources, by tag:
//
//	[SP811] NIST Special Publication 811, 2008 edition, appendix B (exact and
//	        conventional conversion factors).
//	[HB44]  NIST Handbook 44, appendix C (General Tables of Units of
//	        Measurement): 1 US gallon = 231 cubic inches exactly.
package quantity

import "time"

// Volume is a volume in cubic metres. The zero value is no volume.
type Volume float64

// Units of volume. The inch is exactly 0.0254 m [SP811 B.8], the US gallon
// exactly 231 cubic inches, and quart, pint, cup and fluid ounce are exact
// divisions of it [HB44 appendix C].
const (
	CubicMetre Volume = 1
	Litre      Volume = 1e-3
	Millilitre Volume = 1e-6
	Gallon     Volume = 231 * 0.0254 * 0.0254 * 0.0254
	Quart      Volume = Gallon / 4
	Pint       Volume = Gallon / 8
	Cup        Volume = Gallon / 16
	FluidOunce Volume = Gallon / 128
	CubicFoot  Volume = 0.3048 * 0.3048 * 0.3048
)

// CubicMetres returns v in m³.
func (v Volume) CubicMetres() float64 { return float64(v) }

// Litres returns v in litres.
func (v Volume) Litres() float64 { return float64(v / Litre) }

// Millilitres returns v in millilitres.
func (v Volume) Millilitres() float64 { return float64(v / Millilitre) }

// Gallons returns v in US gallons.
func (v Volume) Gallons() float64 { return float64(v / Gallon) }

// Quarts returns v in US liquid quarts.
func (v Volume) Quarts() float64 { return float64(v / Quart) }

// Pints returns v in US liquid pints.
func (v Volume) Pints() float64 { return float64(v / Pint) }

// Cups returns v in US cups.
func (v Volume) Cups() float64 { return float64(v / Cup) }

// FluidOunces returns v in US fluid ounces.
func (v Volume) FluidOunces() float64 { return float64(v / FluidOunce) }

// Mass is a mass in kilograms; in the kitchen's words, a weight.
type Mass float64

// Units of mass. The avoirdupois pound is exactly 0.453 592 37 kg [SP811 B.8].
const (
	Kilogram Mass = 1
	Gram     Mass = 1e-3
	Pound    Mass = 0.45359237
	Ounce    Mass = Pound / 16
)

// Kilograms returns m in kg.
func (m Mass) Kilograms() float64 { return float64(m) }

// Grams returns m in g.
func (m Mass) Grams() float64 { return float64(m / Gram) }

// Pounds returns m in avoirdupois pounds.
func (m Mass) Pounds() float64 { return float64(m / Pound) }

// Ounces returns m in avoirdupois ounces.
func (m Mass) Ounces() float64 { return float64(m / Ounce) }

// At returns the volume m fills at density d. d must be > 0.
func (m Mass) At(d Density) Volume { return Volume(float64(m) / float64(d)) }

// Length is a length in metres; altitudes above sea level are lengths too.
type Length float64

// Units of length. The foot is exactly 0.3048 m, the inch 0.0254 m [SP811 B.8].
const (
	Metre      Length = 1
	Centimetre Length = 1e-2
	Millimetre Length = 1e-3
	Foot       Length = 0.3048
	Inch       Length = 0.0254
)

// Metres returns l in m.
func (l Length) Metres() float64 { return float64(l) }

// Centimetres returns l in cm.
func (l Length) Centimetres() float64 { return float64(l / Centimetre) }

// Millimetres returns l in mm.
func (l Length) Millimetres() float64 { return float64(l / Millimetre) }

// Feet returns l in feet.
func (l Length) Feet() float64 { return float64(l / Foot) }

// Inches returns l in inches.
func (l Length) Inches() float64 { return float64(l / Inch) }

// Times returns the area of a rectangle with sides l and m.
func (l Length) Times(m Length) Area { return Area(float64(l) * float64(m)) }

// Area is an area in square metres.
type Area float64

// SquareMetre is the unit of Area.
const SquareMetre Area = 1

// SquareMetres returns a in m².
func (a Area) SquareMetres() float64 { return float64(a) }

// Times returns the volume of a prism of base a and height l.
func (a Area) Times(l Length) Volume { return Volume(float64(a) * float64(l)) }

// Temperature is a thermodynamic temperature in kelvins. Build one with
// Celsius, Fahrenheit or Kelvin; its zero value is absolute zero.
type Temperature float64

// kelvinAtZeroCelsius is the ice point of the Celsius scale in kelvins, exact
// by definition [SP811 B.8].
const kelvinAtZeroCelsius = 273.15

// Kelvin returns the temperature k kelvins above absolute zero.
func Kelvin(k float64) Temperature { return Temperature(k) }

// Celsius returns the temperature c on the Celsius scale.
func Celsius(c float64) Temperature { return Temperature(c + kelvinAtZeroCelsius) }

// Fahrenheit returns the temperature f on the Fahrenheit scale:
// t/°C = (t/°F − 32)/1.8, exact [SP811 B.8].
func Fahrenheit(f float64) Temperature { return Celsius((f - 32) / 1.8) }

// Kelvins returns t in K.
func (t Temperature) Kelvins() float64 { return float64(t) }

// Celsius returns t in °C.
func (t Temperature) Celsius() float64 { return float64(t) - kelvinAtZeroCelsius }

// Fahrenheit returns t in °F.
func (t Temperature) Fahrenheit() float64 { return t.Celsius()*1.8 + 32 }

// Above returns how far t lies above u; negative when it lies below.
func (t Temperature) Above(u Temperature) TemperatureChange { return TemperatureChange(t - u) }

// Plus returns the temperature d warmer than t.
func (t Temperature) Plus(d TemperatureChange) Temperature { return t + Temperature(d) }

// TemperatureChange is a difference of two temperatures in kelvins.
type TemperatureChange float64

// Units of temperature change: one degree Fahrenheit is exactly 5/9 K [SP811 B.8].
const (
	KelvinChange     TemperatureChange = 1
	FahrenheitChange TemperatureChange = 5.0 / 9.0
)

// Kelvins returns d in K, which is also d in Celsius degrees.
func (d TemperatureChange) Kelvins() float64 { return float64(d) }

// FahrenheitDegrees returns d in Fahrenheit degrees.
func (d TemperatureChange) FahrenheitDegrees() float64 { return float64(d / FahrenheitChange) }

// Pressure is a pressure in pascals. Whether it is absolute or gauge is said
// where it is used.
type Pressure float64

// Units of pressure. The pound-force is exactly 4.448 221 615 260 5 N
// [SP811 B.8], so the psi is that over one square inch.
const (
	Pascal     Pressure = 1
	Kilopascal Pressure = 1e3
	PSI        Pressure = 4.4482216152605 / (0.0254 * 0.0254)
)

// Pascals returns p in Pa.
func (p Pressure) Pascals() float64 { return float64(p) }

// Kilopascals returns p in kPa.
func (p Pressure) Kilopascals() float64 { return float64(p / Kilopascal) }

// PSI returns p in pounds-force per square inch.
func (p Pressure) PSI() float64 { return float64(p / PSI) }

// Energy is an energy in joules.
type Energy float64

// Units of energy. The British thermal unit is the International Table one,
// 1055.055 852 62 J [SP811 B.8, footnote 9].
const (
	Joule        Energy = 1
	Kilojoule    Energy = 1e3
	KilowattHour Energy = 3.6e6
	BTU          Energy = 1055.05585262
)

// Joules returns e in J.
func (e Energy) Joules() float64 { return float64(e) }

// Kilojoules returns e in kJ.
func (e Energy) Kilojoules() float64 { return float64(e / Kilojoule) }

// KilowattHours returns e in kWh.
func (e Energy) KilowattHours() float64 { return float64(e / KilowattHour) }

// Power is a power in watts.
type Power float64

// Units of power.
const (
	Watt       Power = 1
	Kilowatt   Power = 1e3
	BTUPerHour Power = Power(BTU) / 3600
)

// Watts returns p in W.
func (p Power) Watts() float64 { return float64(p) }

// Kilowatts returns p in kW.
func (p Power) Kilowatts() float64 { return float64(p / Kilowatt) }

// BTUPerHour returns p in International Table BTU an hour.
func (p Power) BTUPerHour() float64 { return float64(p / BTUPerHour) }

// Over returns the energy p delivers in d.
func (p Power) Over(d time.Duration) Energy { return Energy(float64(p) * d.Seconds()) }

// Density is a density in kilograms per cubic metre.
type Density float64

// Units of density.
const (
	KilogramPerCubicMetre Density = 1
	KilogramPerLitre      Density = 1e3
)

// KilogramsPerCubicMetre returns d in kg/m³.
func (d Density) KilogramsPerCubicMetre() float64 { return float64(d) }

// Times returns the mass of volume v at density d.
func (d Density) Times(v Volume) Mass { return Mass(float64(d) * float64(v)) }

// SpecificEnergy is an energy per mass in joules per kilogram, such as a heat
// of vaporisation.
type SpecificEnergy float64

// KilojoulePerKilogram is a unit of SpecificEnergy.
const KilojoulePerKilogram SpecificEnergy = 1e3

// Times returns the energy mass m takes up at s.
func (s SpecificEnergy) Times(m Mass) Energy { return Energy(float64(s) * float64(m)) }

// MassFlux is a mass flow through a surface in kilograms per square metre and
// second, such as water leaving a simmering pot.
type MassFlux float64

// KilogramPerSquareMetreHour is a unit of MassFlux.
const KilogramPerSquareMetreHour MassFlux = 1.0 / 3600

// Through returns the mass that flows through area a in d.
func (f MassFlux) Through(a Area, d time.Duration) Mass {
	return Mass(float64(f) * float64(a) * d.Seconds())
}

// VolumeRate is a volume per time in cubic metres per second, such as what a
// cook measured her own pot to boil off in an hour.
type VolumeRate float64

// Units of volume rate.
const (
	LitrePerHour VolumeRate = VolumeRate(Litre) / 3600
	QuartPerHour VolumeRate = VolumeRate(Quart) / 3600
)

// LitresPerHour returns r in l/h.
func (r VolumeRate) LitresPerHour() float64 { return float64(r / LitrePerHour) }

// QuartsPerHour returns r in US quarts an hour.
func (r VolumeRate) QuartsPerHour() float64 { return float64(r / QuartPerHour) }

// Over returns the volume that r moves in d.
func (r VolumeRate) Over(d time.Duration) Volume { return Volume(float64(r) * d.Seconds()) }

// HeatTransferCoefficient is a heat flow per area and temperature difference in
// watts per square metre and kelvin.
type HeatTransferCoefficient float64

// WattPerSquareMetreKelvin is the unit of HeatTransferCoefficient.
const WattPerSquareMetreKelvin HeatTransferCoefficient = 1

// Through returns the heat that flows through area a for a difference d.
func (h HeatTransferCoefficient) Through(a Area, d TemperatureChange) Power {
	return Power(float64(h) * float64(a) * float64(d))
}
