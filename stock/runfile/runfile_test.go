package runfile_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func kitchen(text string) (runfile.Kitchen, error) {
	return runfile.DecodeKitchen(strings.NewReader(text), "kitchen.toml")
}

func run(text string) (runfile.Run, error) {
	return runfile.DecodeRun(strings.NewReader(text), "run.toml")
}

func TestKitchenWithEveryKey(t *testing.T) {
	got, err := kitchen(`
altitude = "3200 ft"
gauge = "dial"
zone = "America/Denver"
awake = "06:30-22:00"
units = "metric"
[canner]
width = "12.25 in"
height = "29 cm"
rack_thickness = "6 mm"
racks = 2
holds = { pint = 9, quart = 7 }
mass = "11 lb"
wall = "Heavy"
water = "3 qt"
outdoors = "08:00-19:00"
air = "35 F"
heat_up = "14 min"
pressurise = "5 min"
depressurise = "45 min"
[jars]
half-pint = 0
quart = 14
mouth = "wide"
[[pot]]
name = "big pot"
volume = "22 qt"
width = "12 in"
fill_line = "90 %"
evaporation = "0.7 qt/h"
[[pot]]
volume = "10 l"
fill_line = "8 l"
[burner]
power = "12000 BTU/h"
hob = "gas"
[fridge]
temperature = "38 F"
[freezer]
temperature = "-18 C"
[freeze_dryer]
trays = 4
tray_length = "18 in"
tray_width = "20 cm"
fill_depth = "12 mm"
[[freeze_dryer.booking]]
from = "2026-11-27 12:00"
to = 2026-11-29T18:00:00
`)
	require.NoError(t, err)
	got.Source = runfile.Source{}
	require.Equal(t, runfile.Kitchen{
		Altitude: new(3200 * quantity.Foot),
		Gauge:    "dial", Zone: "America/Denver", Awake: "06:30-22:00", Units: "metric",
		Canner: runfile.Canner{
			Width: new(12.25 * quantity.Inch), Height: new(29 * quantity.Centimetre), RackThickness: new(6 * quantity.Millimetre),
			Racks: 2, Holds: map[string]int{"pint": 9, "quart": 7},
			Mass: new(11 * quantity.Pound), Wall: "heavy", Water: new(3 * quantity.Quart), Outdoors: "08:00-19:00",
			Air:    new(quantity.Fahrenheit(35)),
			HeatUp: new(14 * time.Minute), Pressurise: new(5 * time.Minute), Depressurise: new(45 * time.Minute),
		},
		Jars: map[string]int{"half-pint": 0, "quart": 14}, Mouth: "wide",
		Pots: []runfile.Pot{
			{Name: "big pot", Volume: new(22 * quantity.Quart), Width: new(12 * quantity.Inch), FillLine: new(0.9), Evaporation: new(0.7 * quantity.QuartPerHour)},
			{Volume: new(10 * quantity.Litre), FillLine: new(0.8)},
		},
		Burner: new(12000 * quantity.BTUPerHour), Hob: "gas", Fridge: new(quantity.Fahrenheit(38)), Freezer: new(quantity.Celsius(-18)),
		FreezeDryer: runfile.FreezeDryer{
			Trays: 4, TrayLength: new(18 * quantity.Inch), TrayWidth: new(20 * quantity.Centimetre), FillDepth: new(12 * quantity.Millimetre),
			Bookings: []runfile.Booking{{From: "2026-11-27 12:00", To: "2026-11-29T18:00:00"}},
		},
	}, got)
}

func TestRunWithEveryKey(t *testing.T) {
	got, err := run(`
id = "harvest"
name = "Harvest broth"
kitchen = "../kitchen.toml"
kind = "turkey-frames"
bones = "9 lb 4 oz"
vegetables = "0 lb"
water = "6 1/2 qt"
pot = "22 qt"
pot_width = "12 in"
simmer = "2h30m"
lid = "ajar"
top_up = "never"
jars = "quart=14,pint"
mouth = "regular"
chill = "ice-bath-stirred+fridge"
route = "freezer"
start = "2026-11-28 08:00"
finish_by = "2026-11-29 20:00"
altitude = "-20 m"
gauge = "weighted"
[[note]]
at = "2026-11-28 17:10"
what = "strained"
value = "11 qt"
[[note]]
id = "k3v9"
at = 2026-11-29T01:40:30-06:00
what = "At-pressure"
step = "load-1"
load = 1
`)
	require.NoError(t, err)
	assert.Equal(t, 2, got.Revision())
	got.Source = runfile.Source{}
	require.Equal(t, runfile.Run{
		ID: "harvest", Name: "Harvest broth", Kitchen: "../kitchen.toml", Kind: "turkey-frames",
		Bones: new(9*quantity.Pound + 4*quantity.Ounce), Vegetables: new(quantity.Mass(0)), Water: new(6.5 * quantity.Quart),
		Pot: "22 qt", PotWidth: new(12 * quantity.Inch), Simmer: new(150 * time.Minute), Lid: "ajar", TopUp: "never",
		Jars: "quart=14,pint", Mouth: "regular", Chill: "ice-bath-stirred+fridge", Route: "freezer",
		Start: "2026-11-28 08:00", FinishBy: "2026-11-29 20:00", Altitude: new(-20 * quantity.Metre), Gauge: "weighted",
		Notes: []runfile.Note{
			{At: "2026-11-28 17:10", What: "strained", Value: "11 qt"},
			{ID: "k3v9", At: "2026-11-29T01:40:30-06:00", What: "at-pressure", Step: "load-1", Load: 1},
		},
	}, got)
}

// The same kitchen however TOML lets it be written.
func TestWaysToWriteAKitchen(t *testing.T) {
	tests := []struct{ source, text string }{
		{"TOML v1.0.0, Table", "altitude = \"975 m\"\n[canner]\nracks = 2\n[canner.holds]\nquart = 7\n"},
		{"TOML v1.0.0, Keys: dotted keys", "canner.racks = 2\ncanner.holds.quart = 7\naltitude = \"975 m\""},
		{"TOML v1.0.0, Inline Table", "altitude = '975 m'\ncanner = { racks = 2, holds = { quart = 7 } }"},
		{"TOML v1.0.0, Spec: a newline is LF or CRLF", "altitude = \"975 m\"\r\n[canner]\r\nracks = 2\r\nholds = { quart = 7 }\r\n"},
		{"TOML v1.0.0, Keys: quoted keys; Integer: bases, underscores and signs", "\"altitude\" = \"975 m\"\n['canner']\nracks = 0x2\nholds.quart = +7 # seven"},
		{"common practice, no source: editors add a byte order mark", "\ufeffaltitude = \" 975 m \"\n[canner]\nracks = 2\nholds.quart = 7"},
	}
	for _, test := range tests {
		t.Run(test.source, func(t *testing.T) {
			got, err := kitchen(test.text)
			require.NoError(t, err)
			got.Source = runfile.Source{}
			require.Equal(t, runfile.Kitchen{
				Altitude: new(975 * quantity.Metre),
				Canner:   runfile.Canner{Racks: 2, Holds: map[string]int{"quart": 7}},
			}, got)
		})
	}
}

func TestNothingGivenIsNothingAssumed(t *testing.T) {
	for _, text := range []string{"", "# only words\n", "[canner]\n[jars]\n[freeze_dryer]\n"} {
		got, err := kitchen(text)
		require.NoError(t, err)
		got.Source = runfile.Source{}
		require.Equal(t, runfile.Kitchen{}, got)
	}
	got, err := run("")
	require.NoError(t, err)
	require.Equal(t, runfile.Run{Source: runfile.Source{File: "run.toml", Lines: map[string]int{}}}, got)
}

func TestBadKitchens(t *testing.T) {
	tests := []struct{ text, want, hint string }{
		// Keys that are not there.
		{"altitude = \"1 ft\"\n\n[canner]\nwidht = \"12 in\"", "kitchen.toml:4: canner.widht: is not a known key; the nearest is canner.width", "correct the spelling, or take the line out"},
		{"altitudes = \"1 ft\"", "kitchen.toml:1: altitudes: is not a known key; the nearest is altitude", "correct the spelling, or take the line out"},
		{"[caner]\nwidth = \"12 in\"", "kitchen.toml:1: caner: is not a known key; the nearest is canner", "correct the spelling, or take the line out"},
		{"[jars]\nquart = 7\nqaurt = 8", "kitchen.toml:3: jars.qaurt: is not a known key; the nearest is jars.quart", "correct the spelling, or take the line out"},
		{"[canner]\nholds = {\n  pnt = 9 }", "kitchen.toml:3: canner.holds.pnt: is not a known key; the nearest is canner.holds.pint", "correct the spelling, or take the line out"},
		{"canner.height.inside = 1", "kitchen.toml:1: canner.height.inside: is not a known key; the nearest is canner.height", "correct the spelling, or take the line out"},
		{"\"canner.width\" = \"12 in\"", "kitchen.toml:1: \"canner.width\": is not a known key; the nearest is canner.width", "correct the spelling, or take the line out"},
		{"a.b.c.d.e.f = 1", "kitchen.toml:1: a.b.c.d.…: is not a known key; the nearest is altitude", "correct the spelling, or take the line out"},
		{"[canner]\naltitude = \"3200 ft\"", "kitchen.toml:2: canner.altitude: is not known here: altitude stands at the top of the file, above every [section]", "move the line there"},
		{"temperature = \"38 F\"", "kitchen.toml:1: temperature: is not known here: temperature stands under [fridge] or under [freezer] or under [tap]", "move the line there"},
		{"fill_line = \"90 %\"", "kitchen.toml:1: fill_line: is not known here: fill_line stands under [[pot]]", "move the line there"},
		{"bones = \"9 lb\"", "kitchen.toml:1: bones: belongs in the run file", "move it there"},

		// Sections and values in each other's place.
		{"[pot]\nvolume = \"22 qt\"", "kitchen.toml:1: pot: is a list of sections, each in double brackets", "write [[pot]]"},
		{"pot = \"22 qt\"", "kitchen.toml:1: pot: is a list of sections, each in double brackets", "write [[pot]] and its keys below it"},
		{"pot.volume = \"22 qt\"", "kitchen.toml:1: pot.volume: stands in a section of its own", "write [[pot]] and volume below it"},
		{"[[canner]]\nracks = 1", "kitchen.toml:1: canner: is one section, in single brackets", "write [canner]"},
		{"canner = \"big\"", "kitchen.toml:1: canner: is a section, not a value", "write [canner] and its keys below it"},
		{"[altitude]", "kitchen.toml:1: altitude: is a value, not a section", `write altitude = "3200 ft" or altitude = "975 m"`},

		// Quantities.
		{"\naltitude = 3200", "kitchen.toml:2: altitude: 3200 has no unit, and must be text in quotes", `write altitude = "3200 ft" or altitude = "3200 m"`},
		{"altitude = 4.500", "kitchen.toml:1: altitude: 4.500 has no unit, and must be text in quotes", `write altitude = "4500 ft" or altitude = "4500 m"`},
		{"altitude = \"4,500\"", "kitchen.toml:1: altitude: \"4,500\" has no unit", `write altitude = "4,500 ft" or altitude = "4,500 m"`},
		{"altitude = -280", "kitchen.toml:1: altitude: -280 has no unit, and must be text in quotes", `write altitude = "-280 ft" or altitude = "-280 m"`},
		{"altitude = \"4.500 ft\"", "kitchen.toml:1: altitude: \"4.500 ft\" has three decimals, as if the point stood between thousands", "write 4500 ft"},
		{"altitude = \"3200 in\"", "kitchen.toml:1: altitude: \"3200 in\" is not in feet or metres", "write an altitude in ft or m, such as 3,200 ft or 975 m"},
		{"altitude = nan", "kitchen.toml:1: altitude: nan has no unit, and must be text in quotes", `write altitude = "3200 ft" or altitude = "975 m"`},
		{"altitude = \"3200\"", "kitchen.toml:1: altitude: \"3200\" has no unit", `write altitude = "3200 ft" or altitude = "3200 m"`},
		{"altitude = [\"3200 ft\"]", "kitchen.toml:1: altitude: must be text in quotes, not a list", `write altitude = "3200 ft" or altitude = "975 m"`},
		{"altitude = { feet = 3200 }", "kitchen.toml:1: altitude: must be text in quotes, not a section", `write altitude = "3200 ft" or altitude = "975 m"`},
		{"altitude = true", "kitchen.toml:1: altitude: must be text in quotes, not true", `write altitude = "3200 ft" or altitude = "975 m"`},
		{"altitude = \"\"", "kitchen.toml:1: altitude: is empty", "fill it in, or take the line out"},
		{"altitude = \"32000 ft\"", "kitchen.toml:1: altitude: \"32000 ft\" is out of range: must be from -500 m to 6,000 m (-1,640 ft to 19,685 ft)", `write altitude = "3200 ft" or altitude = "975 m"`},
		{"[canner]\nwall = \"tin\"", "kitchen.toml:2: canner.wall: \"tin\" is not known: must be heavy or thin; did you mean thin?", `write wall = "heavy" or wall = "thin"`},
		{"[canner]\noutdoors = \"8-19\"", "kitchen.toml:2: canner.outdoors: \"8-19\" is not two times on a 24-hour clock", `write outdoors = "08:00-19:00"`},
		{"[canner]\nmass = \"11 oz\"", "kitchen.toml:2: canner.mass: \"11 oz\" is out of range: must be from 1 kg to 50 kg (about 2.2 lb to 110 lb)", `write mass = "11 lb" or mass = "5 kg"`},
		{"[canner]\nheat_up = \"10 s\"", "kitchen.toml:2: canner.heat_up: \"10 s\" is out of range: must be from 1 min to 4 h", `write heat_up = "14 min"`},
		{"[burner]\nhob = \"wood\"", "kitchen.toml:2: burner.hob: \"wood\" is not known: must be gas or propane or electric or induction", `write hob = "gas" or hob = "electric"`},
		{"[canner]\nwidth = \"0 in\"", "kitchen.toml:2: canner.width: \"0 in\" is out of range: must be from 10 cm to 100 cm (about 4 in to 39 in)", `write width = "12.25 in" or width = "31 cm"`},
		{"[[pot]]\nvolume = \"22 in\"", "kitchen.toml:2: pot.volume: \"22 in\" is a length; a volume is needed", "write a volume such as 6 qt or 5.7 l"},
		{"[[pot]]\nvolume = \"220 qt\"", "kitchen.toml:2: pot.volume: \"220 qt\" is out of range: must be from 1 l to 200 l (about 1 qt to 211 qt)", `write volume = "22 qt" or volume = "21 l"`},
		{"[[pot]]\nfill_line = 90", "kitchen.toml:2: pot.fill_line: 90 has no unit, and must be text in quotes", `write fill_line = "90 %" or fill_line = "90 qt"`},
		{"[[pot]]\nfill_line = \"9 %\"", "kitchen.toml:2: pot.fill_line: \"9 %\" is out of range: must be from 30 % to 100 % of the pot", `write fill_line = "90 %" or fill_line = "20 qt"`},
		{"[[pot]]\nfill_line = \"NaN %\"", "kitchen.toml:2: pot.fill_line: \"NaN %\" is out of range: must be from 30 % to 100 % of the pot", `write fill_line = "90 %" or fill_line = "20 qt"`},
		{"[fridge]\ntemperature = \"38\"", "kitchen.toml:2: fridge.temperature: \"38\" has no unit", `write temperature = "38 F" or temperature = "38 C"`},
		{"[fridge]\ntemperature = \"38 C\"", "kitchen.toml:2: fridge.temperature: \"38 C\" is out of range: must be from -5 C to 20 C (23 F to 68 F)", `write temperature = "38 F" or temperature = "3 C"`},

		// Texts and counts.
		{"zone = 7", "kitchen.toml:1: zone: must be text in quotes, not the number 7", `write zone = "America/Denver"`},
		{"zone = 2026-11-28", "kitchen.toml:1: zone: must be text in quotes, not a bare date or time", `write zone = "America/Denver"`},
		{"zone = \"America\\nDenver\"", "kitchen.toml:1: zone: holds a line break or another control character", "write it on one line, without tabs"},
		{"zone = \"" + strings.Repeat("é", 501) + "\"", "kitchen.toml:1: zone: is 501 characters long, must be at most 500", "shorten it"},
		{"[canner]\nracks = \"2\"", "kitchen.toml:2: canner.racks: must be a whole number from 1 to 10, not the text \"2\"", "write racks = 1"},
		{"[canner]\nracks = 0", "kitchen.toml:2: canner.racks: must be a whole number from 1 to 10, not the number 0", "write racks = 1"},
		{"[jars]\nquart = -1", "kitchen.toml:2: jars.quart: must be a whole number from 0 to 1000, not the number -1", "write quart = 14"},
		{"[jars]\nquart = 1001", "kitchen.toml:2: jars.quart: must be a whole number from 0 to 1000, not the number 1001", "write quart = 14"},
		{"[jars]\nquart = 7.0", "kitchen.toml:2: jars.quart: must be a whole number from 0 to 1000, not the number 7.0", "write quart = 14"},
		{"[freeze_dryer]\ntrays = 21", "kitchen.toml:2: freeze_dryer.trays: must be a whole number from 1 to 20, not the number 21", "write trays = 4"},
		{"[[freeze_dryer.booking]]\nfrom = 2026-11-28T08:00:00Z", "kitchen.toml:2: freeze_dryer.booking.from: 2026-11-28T08:00:00Z names an offset; a run goes by the clock on the wall", `write from = "2026-11-27 12:00"`},

		// What several keys say together.
		{"[[pot]]\nname = \"Big\"\n[[pot]]\nname = \"big\"", "kitchen.toml:4: pot.name: two pots are called \"big\"", "give each pot a name of its own"},
		{"[[pot]]\nfill_line = \"20 qt\"", "kitchen.toml:2: pot.fill_line: is a volume, but the pot's own volume is not given", `add volume = "22 qt", or write fill_line = "90 %"`},
		{"[[pot]]\nvolume = \"10 qt\"\n[[pot]]\nvolume = \"16 qt\"\nfill_line = \"20 qt\"", "kitchen.toml:5: pot.fill_line: is 125 % of the pot: must be from 30 % to 100 %", "measure the line and the pot to the brim with the same jug"},
		{"[[freeze_dryer.booking]]\nfrom = \"2026-11-27 12:00\"", "kitchen.toml:1: freeze_dryer.booking: needs both from and to", `write from = "2026-11-27 12:00" and to = "2026-11-29 18:00"`},

		// Not TOML.
		{"altitude = 3200 ft", "kitchen.toml:1: cannot be read as TOML: expected newline but got U+0066 'f'", `text and quantities stand in quotes: altitude = "3200 ft"`},
		{"\n\naltitude = \"3200 ft", "kitchen.toml:3: cannot be read as TOML: unterminated basic string", `text and quantities stand in quotes: altitude = "3200 ft"`},
		{"altitude = \"1 ft\"\r\ngauge = \"dial\"\r\naltitude = \"2 ft\"\r\n", "kitchen.toml:3: cannot be read as TOML: key altitude is already defined", "write each key and each section once, and take the others out"},
		{"[canner]\n[jars]\n[canner]", "kitchen.toml:3: cannot be read as TOML: table canner already exists", "write each key and each section once, and take the others out"},
		{"[[pot]]\n[[pot]]\nname = \"a\"\n\"na\\u006De\" = \"b\"", "kitchen.toml:4: cannot be read as TOML: key name is already defined", "write each key and each section once, and take the others out"},

		// Of several, the first.
		{"zone = 7\naltitude = 3200\nx", "kitchen.toml:1: zone: must be text in quotes, not the number 7", `write zone = "America/Denver"`},
		{"zone = \"a\"\nzone = \"b\"\naltitude = 3200", "kitchen.toml:2: cannot be read as TOML: key zone is already defined", "write each key and each section once, and take the others out"},
	}
	for _, test := range tests {
		t.Run(test.want, func(t *testing.T) {
			got, err := kitchen(test.text)
			var e *runfile.Error
			require.ErrorAs(t, err, &e)
			assert.Equal(t, test.want, e.Error())
			assert.Equal(t, test.hint, e.Hint)
			assert.Equal(t, runfile.Kitchen{}, got)
		})
	}
}

func TestBadRuns(t *testing.T) {
	tests := []struct{ text, want, hint string }{
		{"bones = 9", "run.toml:1: bones: 9 has no unit, and must be text in quotes", `write bones = "9 lb" or bones = "9 kg"`},
		{"bones = \"0 lb\"", "run.toml:1: bones: \"0 lb\" is out of range: must be from 50 g to 100 kg (about 2 oz to 220 lb)", `write bones = "9 lb" or bones = "4 kg"`},
		{"bones = \"-9 lb\"", "run.toml:1: bones: \"-9 lb\" is negative; a weight is zero or more", "write a weight such as 9 lb or 4.1 kg"},
		{"pot = 22", "run.toml:1: pot: 22 has no unit, and must be text in quotes", `write pot = "big pot" or pot = "22 qt"`},
		{"kind = \"fish\"\n\npot = \"900 qt\"", "run.toml:3: pot: \"900 qt\" is out of range: must be from 1 l to 200 l (about 1 qt to 211 qt)", `write pot = "big pot" or pot = "22 qt"`},
		{"[pot]\nvolume = \"22 qt\"", "run.toml:1: pot: is a value, not a section", `write pot = "big pot" or pot = "22 qt"`},
		{"water = \"full\"", "run.toml:1: water: \"full\" does not begin with a number", "write a volume such as 6 qt or 5.7 l"},
		{"simmer = 4", "run.toml:1: simmer: 4 has no unit, and must be text in quotes", `write simmer = "4h" or simmer = "4 min"`},
		{"simmer = 04:00:00", "run.toml:1: simmer: must be text in quotes, not a bare date or time", `write simmer = "4h" or simmer = "45 min"`},
		{"simmer = \"100 h\"", "run.toml:1: simmer: \"100 h\" is out of range: must be from 10 min to 72 h", `write simmer = "4h" or simmer = "45 min"`},
		{"finish-by = \"2026-11-29 20:00\"", "run.toml:1: finish-by: is not a known key; the nearest is finish_by", "correct the spelling, or take the line out"},
		{"[canner]\nracks = 2", "run.toml:1: canner: belongs in the kitchen file", "move it there"},
		{"zone = \"America/Denver\"", "run.toml:1: zone: belongs in the kitchen file", "move it there"},
		{"[[note]]\nwhat = \"strained\"\nkind = \"fish\"", "run.toml:3: note.kind: is not known here: kind stands at the top of the file, above every [section] or under [[bones]]", "move the line there"},
		{"[[note]]\nvalue = 11", "run.toml:2: note.value: must be text in quotes, not the number 11", `write value = "11 qt"`},
		{"[[note]]\nvlaue = \"strained\"", "run.toml:2: note.vlaue: is not a known key; the nearest is note.value", "correct the spelling, or take the line out"},
		{"[[note]]\nload = 0", "run.toml:2: note.load: must be a whole number from 1 to 1000, not the number 0", "write load = 1"},
		{"[[note]]\nload = \"1\"", "run.toml:2: note.load: must be a whole number from 1 to 1000, not the text \"1\"", "write load = 1"},
		{"[[note]]\nstep = 3", "run.toml:2: note.step: must be text in quotes, not the number 3", `write step = "strain"`},
		{"[[note]]\nid = \"\"", "run.toml:2: note.id: is empty", "fill it in, or take the line out"},
		{"[[note]]\nwhat = \"straned\"", "run.toml:2: note.what: \"straned\" is nothing that can be noted; the nearest is strained",
			"write one of: began, done, late, skipped, topped-up, strained, drained, ready, reading, steam, vented, at-pressure, fell, heat-off, zero, lid-off, filled, broken, unsealed, sealed, used, drying, dried, frozen, remark, undo"},
		{"[[note]]\nat = \"17:10\"", "run.toml:2: note.at: \"17:10\" is no date and time from 1970 to 2200 on a 24-hour clock", `write at = "2026-11-28 17:10" or at = "2026-11-01T01:40:00-06:00"`},
		{"[[note]]\nat = \"2026-02-30 17:10\"", "run.toml:2: note.at: \"2026-02-30 17:10\" is no date and time from 1970 to 2200 on a 24-hour clock", `write at = "2026-11-28 17:10" or at = "2026-11-01T01:40:00-06:00"`},
		{"[[note]]\nat = \"2026-11-28 17:10\"\nwhat = \"done\"\n[[note]]\nwhat = \"done\"", "run.toml:4: note: needs both at and what", `write at = "2026-11-28 17:10" and what = "strained"`},
		{strings.Repeat("[[note]]\nat = \"2026-11-28 17:10\"\nwhat = \"done\"\nid = \"a\"\n", 2), "run.toml:8: note.id: two notes have the id \"a\"", "give each an id of its own, or none"},
		{strings.Repeat("[[note]]\n", 1001), "run.toml:1001: note: is there more than 1000 times", ""},
		{strings.Repeat("#\n", 1<<19) + "#", "run.toml: is larger than 1 MiB", "is this the right file?"},
	}
	for _, test := range tests {
		t.Run(test.want, func(t *testing.T) {
			_, err := run(test.text)
			var e *runfile.Error
			require.ErrorAs(t, err, &e)
			assert.Equal(t, test.want, e.Error())
			assert.Equal(t, test.hint, e.Hint)
		})
	}
}

// The ends of each range are in it, what lies beyond is not, and the error reads
// the ends to the cook.
func TestRangesHoldTheirEnds(t *testing.T) {
	decodeKitchen := func(text string) error { _, err := kitchen(text); return err }
	decodeRun := func(text string) error { _, err := run(text); return err }
	tests := []struct {
		decode                         func(string) error
		key, least, most, below, above string
	}{
		{decodeKitchen, "altitude = ", "-500 m", "6,000 m", "-501 m", "6001 m"},
		{decodeKitchen, "canner.width = ", "10 cm", "100 cm", "9.9 cm", "101 cm"},
		{decodeKitchen, "canner.height = ", "10 cm", "100 cm", "3 in", "40 in"},
		{decodeKitchen, "canner.rack_thickness = ", "0.5 mm", "50 mm", "0.4 mm", "51 mm"},
		{decodeKitchen, "[[pot]]\nvolume = ", "1 l", "200 l", "999 ml", "212 qt"},
		{decodeKitchen, "[[pot]]\nwidth = ", "10 cm", "100 cm", "3.9 in", "40 in"},
		{decodeKitchen, "[[pot]]\nevaporation = ", "0.01 l/h", "20 l/h", "0 qt/h", "22 qt/h"},
		{decodeKitchen, "burner.power = ", "100 W", "50 kW", "99 W", "171000 BTU/h"},
		{decodeKitchen, "fridge.temperature = ", "23 F", "68 F", "22 F", "69 F"},
		{decodeKitchen, "freezer.temperature = ", "-60 C", "-5 C", "-61 C", "24 F"},
		{decodeKitchen, "freeze_dryer.tray_length = ", "5 cm", "100 cm", "49 mm", "101 cm"},
		{decodeKitchen, "freeze_dryer.fill_depth = ", "5 mm", "20 mm", "4 mm", "21 mm"},
		{decodeKitchen, "freeze_dryer.capacity = ", "0.2 kg", "50 kg", "199 g", "111 lb"},
		{decodeRun, "bones = ", "50 g", "100 kg", "49 g", "221 lb"},
		{decodeRun, "water = ", "10 ml", "200 l", "0 qt", "201 l"},
		{decodeRun, "pot = ", "1 l", "200 l", "0 qt", "201 l"},
		{decodeRun, "simmer = ", "10 min", "72 h", "9 min", "73 h"},
	}
	for _, test := range tests {
		for _, text := range []string{test.least, test.most} {
			assert.NoError(t, test.decode(fmt.Sprintf("%s%q", test.key, text)), "%s%s", test.key, text)
		}
		for _, text := range []string{test.below, test.above} {
			err := test.decode(fmt.Sprintf("%s%q", test.key, text))
			if assert.ErrorContains(t, err, "out of range", "%s%s", test.key, text) {
				assert.Contains(t, err.Error(), test.least)
				assert.Contains(t, err.Error(), test.most)
			}
		}
	}
}

func TestAFailingReaderIsNoMistakeOfTheCook(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, err := runfile.DecodeRun(iotest.ErrReader(broken), "run.toml")
	require.ErrorIs(t, err, broken)
	require.EqualError(t, err, "run.toml: the disk is gone")
	require.False(t, errors.As(err, new(*runfile.Error)))
}

func TestWhereAKeyStands(t *testing.T) {
	k, err := kitchen("zone = \"Europe/Berlin\"\n[canner]\nwidth = \"31 cm\"\n[[pot]]\nname = \"a\"\n[[pot]]\nname = \"b\"\nwidth = \"30 cm\"\n")
	require.NoError(t, err)
	for key, want := range map[string]string{
		"zone":          "kitchen.toml:1",
		"canner.width":  "kitchen.toml:3",
		"canner.height": "kitchen.toml:2", // not given: its section
		"pot.name":      "kitchen.toml:5", // the first
		"pot[1].name":   "kitchen.toml:7",
		"pot[0].width":  "kitchen.toml:4",
		"altitude":      "",
		"":              "",
	} {
		assert.Equal(t, want, k.At(key), key)
	}
	assert.Empty(t, runfile.Run{}.At("pot"))
}

func TestPotByNameOrVolume(t *testing.T) {
	big := runfile.Pot{Name: "Big pot", Volume: new(22 * quantity.Quart)}
	small := runfile.Pot{Name: "8 qt", Volume: new(7.5 * quantity.Litre)}
	tests := []struct {
		pots []runfile.Pot
		text string
		want runfile.Pot
		err  string
	}{
		{[]runfile.Pot{big, small}, "big pot", big, ""},
		{[]runfile.Pot{big, small}, "8 qt", small, ""}, // a name goes before a volume
		{[]runfile.Pot{big, small}, " 12 qt ", runfile.Pot{Volume: new(12 * quantity.Quart)}, ""},
		{[]runfile.Pot{big}, "", big, ""},
		{[]runfile.Pot{big, small}, "", runfile.Pot{}, `no pot is given, and the kitchen has 2 to choose from; the kitchen has "Big pot", "8 qt"`},
		{nil, "", runfile.Pot{}, "no pot is given, and the kitchen has none"},
		{nil, "22", runfile.Pot{}, `pot "22" is neither a pot of the kitchen nor a volume such as 22 qt; the kitchen names no pot`},
		{[]runfile.Pot{big}, "300 qt", runfile.Pot{}, `pot "300 qt" is out of range: must be from 1 l to 200 l (about 1 qt to 211 qt)`},
	}
	for _, test := range tests {
		got, err := runfile.Kitchen{Pots: test.pots}.Pot(test.text)
		if test.err != "" {
			assert.EqualError(t, err, test.err)
			continue
		}
		assert.NoError(t, err)
		assert.Equal(t, test.want, got)
	}
}

// document writes every key of keys, with its example of that number. One kind
// and several go against each other: the first example is of one.
func document(keys []runfile.Key, example int) string {
	var top, rest strings.Builder
	in := ""
	for _, key := range keys {
		if several := strings.HasPrefix(key.Name, "bones."); several && example == 0 || (key.Name == "kind" || key.Name == "bones") && example == 1 {
			continue
		}
		value := key.Examples[min(example, len(key.Examples)-1)]
		dot := strings.LastIndexByte(key.Name, '.')
		if dot < 0 {
			fmt.Fprintf(&top, "%s = %s\n", key.Name, value)
			continue
		}
		if section := key.Name[:dot]; section != in {
			in = section
			if in == "pot" || in == "note" || in == "jar" || in == "bones" || in == "freeze_dryer.booking" {
				fmt.Fprintf(&rest, "[[%s]]\n", in)
			} else {
				fmt.Fprintf(&rest, "[%s]\n", in)
			}
		}
		fmt.Fprintf(&rest, "%s = %s\n", key.Name[dot+1:], value)
	}
	return top.String() + rest.String()
}

// unset lists the exported fields of v that hold their zero value.
func unset(v reflect.Value, path string) []string {
	if v.IsZero() {
		return []string{path}
	}
	var fields []string
	switch v.Kind() {
	case reflect.Slice:
		return unset(v.Index(0), path+"[0]")
	case reflect.Struct:
		for i := range v.NumField() {
			if field := v.Type().Field(i); field.IsExported() {
				fields = append(fields, unset(v.Field(i), path+"."+field.Name)...)
			}
		}
	}
	return fields
}

// Every key has examples that decode, and together they reach every field.
func TestKeysReachEveryField(t *testing.T) {
	for example := range 2 {
		k, err := kitchen(document(runfile.KitchenKeys(), example))
		require.NoError(t, err)
		r, err := run(document(runfile.RunKeys(), example))
		require.NoError(t, err)
		if example == 1 { // water is "fit" in one example and a volume in the other
			assert.Empty(t, unset(reflect.ValueOf(k), "Kitchen"))
			assert.Equal(t, []string{"Run.Kind", "Run.Bones", "Run.Portions[0].Birds", "Run.Birds", "Run.Fit"}, unset(reflect.ValueOf(r), "Run"))
		} else {
			assert.True(t, r.Fit)
		}
	}
}

// blank is a line of the starter to fill in.
var blank = regexp.MustCompile(`(?m)^#(\[\[?[a-z_.]+\]\]?$|[a-z_-]+ = .*$)`)

func TestStarterGivesNothingAway(t *testing.T) {
	got, err := kitchen(runfile.Starter())
	require.NoError(t, err)
	got.Source = runfile.Source{}
	require.Equal(t, runfile.Kitchen{}, got)

	for _, line := range blank.FindAllStringSubmatch(runfile.Starter(), -1) {
		if !strings.HasPrefix(line[1], "[") {
			assert.Contains(t, line[1], "___", "a figure that could pass for the cook's own")
		}
	}
	assert.Contains(t, runfile.Starter(), "\n#altitude = \"___ ft\"\n")
}

// The starter names every key in its section: with the # away and the blanks
// filled in it gives them all.
func TestStarterShowsEveryKey(t *testing.T) {
	examples := map[string]string{}
	var want []string
	for _, key := range runfile.KitchenKeys() {
		examples[key.Name] = key.Examples[0]
		want = append(want, key.Name)
	}
	section := ""
	var filled []string
	for line := range strings.Lines(runfile.Starter()) {
		line = blank.ReplaceAllString(strings.TrimSuffix(line, "\n"), "$1")
		if strings.HasPrefix(line, "[") {
			section = strings.Trim(line, "[]") + "."
		} else if name, _, isKey := strings.Cut(line, " = "); isKey && !strings.HasPrefix(line, "#") {
			line = name + " = " + examples[section+name]
		}
		filled = append(filled, line)
	}
	got, err := kitchen(strings.Join(filled, "\n"))
	require.NoError(t, err)
	for _, name := range want {
		assert.Contains(t, got.Lines, name)
	}
}

// flatten lists the keys of a TOML document by the library's own decoder.
func flatten(v any, path string, into map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		for key, value := range v {
			flatten(value, strings.TrimPrefix(path+"."+key, "."), into)
		}
	case []any:
		for i, value := range v {
			flatten(value, fmt.Sprintf("%s[%d]", path, i), into)
		}
	default:
		into[path] = true
	}
}

func TestDemo(t *testing.T) {
	read := func(name string) string {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", name))
		require.NoError(t, err)
		return string(data)
	}
	k, err := kitchen(read("kitchen.toml"))
	require.NoError(t, err)
	r, err := run(read("run.toml"))
	require.NoError(t, err)

	assert.Equal(t, 3200*quantity.Foot, *k.Altitude)
	assert.Equal(t, 9*quantity.Pound, *r.Bones)
	assert.Equal(t, "kitchen.toml", r.Kitchen)
	pot, err := k.Pot(r.Pot)
	require.NoError(t, err)
	assert.Equal(t, 22*quantity.Quart, *pot.Volume)
	start, err := time.Parse("2006-01-02 15:04", r.Start)
	require.NoError(t, err)
	assert.Equal(t, time.Saturday, start.Weekday())

	// A second route to the keys and their lines: the library's decoder for
	// which there are, the text for where they stand.
	for name, source := range map[string]runfile.Source{"kitchen.toml": k.Source, "run.toml": r.Source} {
		text := read(name)
		var all map[string]any
		require.NoError(t, toml.Unmarshal([]byte(text), &all))
		keys := map[string]bool{}
		flatten(all, "", keys)
		lines := strings.Split(text, "\n")
		for key := range keys {
			require.Contains(t, source.Lines, key)
			leaf := key[strings.LastIndexByte(key, '.')+1:]
			assert.True(t, strings.HasPrefix(lines[source.Lines[key]-1], leaf+" = "), "%s at %s", key, source.At(key))
		}
	}
}

func FuzzDecodeRun(f *testing.F) {
	f.Add([]byte(document(runfile.RunKeys(), 0)))
	f.Add([]byte(document(runfile.KitchenKeys(), 1)))
	f.Add([]byte("altitude = \"4,500 ft (1,372 m)\"\nbones = \"1.250 g\"\nsimmer = \"1,5 h\""))
	f.Add([]byte("altitude = 4.500"))
	f.Add([]byte("[canner]\n\n\"\\n\" = 1\n\"\\n\" = 2\nx = { \"\\n\" = 1, \"\\n\" = 2 }"))
	f.Add([]byte("\ufeffbones = 9\r\n[[note]]\nat = 2026-11-28 08:00:00\n[pot]\nx.y.\"z.\" = { a = [{}] }"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := runfile.DecodeRun(strings.NewReader(string(data)), "run.toml")
		k, kitchenErr := runfile.DecodeKitchen(strings.NewReader(string(data)), "kitchen.toml")
		lines := strings.Count(string(data), "\n") + 1
		for _, err := range []error{err, kitchenErr} {
			var e *runfile.Error
			if err == nil {
				continue
			}
			require.ErrorAs(t, err, &e)
			require.LessOrEqual(t, e.Line, lines)
			require.NotContains(t, e.Error(), "\n")
			require.NotEmpty(t, e.Reason)
		}
		if err == nil {
			require.NoError(t, toml.Unmarshal([]byte(strings.TrimPrefix(string(data), "\ufeff")), new(map[string]any)))
			require.False(t, r.Bones != nil && !(*r.Bones > 0), "bones without weight")
			require.Len(t, r.Notes, r.Revision())
			require.False(t, len(r.Portions) > 0 && (r.Kind != "" || r.Bones != nil), "one kind and several")
		}
		if kitchenErr == nil && k.Altitude != nil {
			require.True(t, *k.Altitude > -501 && *k.Altitude < 6001, "altitude out of range")
		}
	})
}

func BenchmarkDecodeRun(b *testing.B) {
	text := document(runfile.RunKeys(), 0)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := run(text); err != nil {
			b.Fatal(err)
		}
	}
}

// The library that knows all of TOML takes the square of the lines, 9 s for 80,000;
// where the first is wrong already, the others are no work.
func TestWhatStandsBehindAMistakeIsNoWork(t *testing.T) {
	for _, row := range []struct{ name, before, line, want string }{
		{"keys", "", "stray%d = 1\n", "run.toml:1: stray0: is not a known key; the nearest is start"},
		{"sections", "name = \"x\"\n", "[stray%d]\n", "run.toml:2: stray0: is not a known key; the nearest is start"},
	} {
		t.Run(row.name, func(t *testing.T) {
			decode := func(lines int) func() {
				var file strings.Builder
				file.WriteString(row.before)
				for i := range lines {
					fmt.Fprintf(&file, row.line, i)
				}
				return func() {
					_, err := run(file.String())
					require.EqualError(t, err, row.want)
				}
			}
			few, many := testing.AllocsPerRun(5, decode(10)), testing.AllocsPerRun(5, decode(20_000))
			assert.InDelta(t, few, many, 50, "allocations")
		})
	}
}

// What TOML itself forbids is told where it stands before the first unknown key, and
// only there.
func TestTheFirstMistakeIsTold(t *testing.T) {
	for _, row := range []struct{ name, file, want string }{
		{"a key twice, then a stray one", "name = \"a\"\nname = \"b\"\nstray = 1\n", "run.toml:2: cannot be read as TOML: key name is already defined"},
		{"a stray key, then one twice", "stray = 1\nname = \"a\"\nname = \"b\"\n", "run.toml:1: stray: is not a known key; the nearest is start"},
		{"a stray key after a value of several lines", "name = \"\"\"\na\"\"\"\nstray = [\n1,\n2]\n", "run.toml:3: stray: is not a known key; the nearest is start"},
		{"a stray key within a value of several lines", "what = { a = [\n1,\n2], b = 1 }\n", "run.toml:1: what: is not known here"},
		{"a stray key, then nothing that is TOML", "stray = 1\n= = =\n", "run.toml:1: stray: is not a known key; the nearest is start"},
	} {
		_, err := run(row.file)
		require.ErrorContains(t, err, row.want, row.name)
	}
	_, err := kitchen("jars = { quart = 1, mouth = \"\"\"\nwide\"\"\", stray = 1 }\n")
	require.ErrorContains(t, err, "kitchen.toml:2: jars.stray: is not a known key", "within a section of several lines")
}
