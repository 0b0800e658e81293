package runfile_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// ownJar is a jar that reads well, after the lines in front of it; the first key
// given in other replaces its own.
func ownJar(other ...string) string {
	text := "[[jar]]\n"
	for _, line := range []string{`name = "Jam glasses"`, `brimful = "16.5 fl oz"`, `bore = "2.8 in"`, `diameter = "3.4 in"`, `height = "5 in"`} {
		key, _, _ := strings.Cut(line, " ")
		for _, replacement := range other {
			if replaced, _, _ := strings.Cut(replacement, " "); replaced == key {
				line = replacement
			}
		}
		text += line + "\n"
	}
	return text
}

func TestOwnJars(t *testing.T) {
	k, err := kitchen("[jars]\nquart = 7\n" + ownJar() + "on_hand = 0\nholds = 8\n" + ownJar(`name = "Tall"`))
	require.NoError(t, err)
	jam := runfile.OwnJar{
		Name: "jam-glass", Brimful: new(16.5 * quantity.FluidOunce),
		Bore: new(2.8 * quantity.Inch), Diameter: new(3.4 * quantity.Inch), Height: new(5 * quantity.Inch),
		OnHand: new(0), Holds: 8,
	}
	tall := jam
	tall.Name, tall.OnHand, tall.Holds = "tall", nil, 0
	assert.Equal(t, []runfile.OwnJar{jam, tall}, k.OwnJars)
	assert.Equal(t, map[string]int{"quart": 7}, k.Jars)
	assert.Equal(t, "kitchen.toml:13", k.At("jar[1].brimful"))

	for _, name := range []string{"jam-glass", "Jam Glasses", " JAM  glass "} {
		found, ok := k.OwnJar(name)
		assert.True(t, ok, name)
		assert.Equal(t, jam, found)
	}
	_, ok := k.OwnJar("quart")
	assert.False(t, ok)
}

// Every jar of the catalogue, measured by a cook, reads well as an own jar.
// Sizes: testdata/published/jars.csv.
func TestPublishedJarsCanBeOwnJars(t *testing.T) {
	for i, row := range []string{
		"8.9 2.7 3.95 2.375", "9.0 3.6 2.75 3.0", "17.1 3.25 5.13 2.375", "17.1 3.6 4.65 3.0", "25.3 3.6 6.65 3.0", "33.4 3.83 6.9 2.375", "33.8 3.93 6.8 3.0",
	} {
		size := strings.Fields(row)
		_, err := kitchen(ownJar(fmt.Sprintf("name = \"jar %d\"", i), fmt.Sprintf("brimful = \"%s fl oz\"", size[0]),
			fmt.Sprintf("diameter = \"%s in\"", size[1]), fmt.Sprintf("height = \"%s in\"", size[2]), fmt.Sprintf("bore = \"%s in\"", size[3])))
		assert.NoError(t, err, row)
	}
}

func TestBadOwnJars(t *testing.T) {
	for _, row := range []struct{ text, want, hint string }{
		{"[jar]", "kitchen.toml:1: jar: is a list of sections, each in double brackets", "write [[jar]]"},
		{"[[jar]]\nname = \"a\"", "kitchen.toml:1: jar: needs a brimful", `write brimful = "16.5 fl oz" or brimful = "490 ml"`},
		{"\n[[jar]]\nbore = \"2 in\"", "kitchen.toml:2: jar: needs a name", `write name = "jam glass"`},
		{ownJar() + "[[jar]]\nname = \"x\"", "kitchen.toml:7: jar: needs a brimful", `write brimful = "16.5 fl oz" or brimful = "490 ml"`},
		{ownJar(`name = "Quarts"`), "kitchen.toml:2: jar.name: \"Quarts\" is the name of a size that is known already", "give your own jar a name of its own"},
		{ownJar(`name = "pint and half"`), "kitchen.toml:2: jar.name: \"pint and half\" is the name of a size that is known already", "give your own jar a name of its own"},
		{ownJar(`name = "half gallon"`), "kitchen.toml:2: jar.name: \"half gallon\" is the name of a size that is known already", "give your own jar a name of its own"},
		{ownJar(`name = "a,b"`), "kitchen.toml:2: jar.name: \"a,b\" is not a name --jars can be given", "use up to 40 letters, figures, blanks and hyphens"},
		{ownJar(`name = "a=4"`), "kitchen.toml:2: jar.name: \"a=4\" is not a name --jars can be given", "use up to 40 letters, figures, blanks and hyphens"},
		{ownJar() + ownJar(`name = "JAM GLASS"`), "kitchen.toml:8: jar.name: two jars are called \"jam-glass\"", "give each jar a name of its own"},
		{ownJar(`brimful = 16.5`), "kitchen.toml:3: jar.brimful: 16.5 has no unit, and must be text in quotes", `write brimful = "16.5 fl oz" or brimful = "16.5 ml"`},
		{ownJar(`brimful = "11 l"`), "kitchen.toml:3: jar.brimful: \"11 l\" is out of range: must be from 30 ml to 10 l (about 1 fl oz to 10 qt)", `write brimful = "16.5 fl oz" or brimful = "490 ml"`},
		{ownJar(`bore = "3.4 in"`), "kitchen.toml:4: jar.bore: is not less than the diameter of the jar", "measure the mouth inside, and the jar outside at its widest"},
		// A quart's size with a pint's volume would take the pint's time.
		{ownJar(`brimful = "16 fl oz"`, `diameter = "3.83 in"`, `height = "6.9 in"`),
			"kitchen.toml:3: jar.brimful: is 36 % of what a plain cylinder of the jar's diameter and height holds: must be from 40 % to 95 %",
			"measure again: water to the rim, not what is printed on the glass, and the outside with the lid on"},
		{ownJar(`brimful = "33 fl oz"`), "kitchen.toml:3: jar.brimful: is 131 % of what a plain cylinder of the jar's diameter and height holds: must be from 40 % to 95 %",
			"measure again: water to the rim, not what is printed on the glass, and the outside with the lid on"},
		{ownJar() + "on_hand = -1", "kitchen.toml:7: jar.on_hand: must be a whole number from 0 to 1000, not the number -1", "write on_hand = 12"},
		{ownJar() + "holds = 62", "kitchen.toml:7: jar.holds: must be a whole number from 1 to 61, not the number 62", "write holds = 8"},
		{ownJar() + "class = \"pint\"", "kitchen.toml:7: jar.class: is not a known key; the nearest is jar.name", "correct the spelling, or take the line out"},
		// The sizes of the catalogue are counted under [jars], others in their block.
		{"[jars]\njam-glass = 4\n" + ownJar(), "kitchen.toml:2: jars.jam-glass: is not a known key; the nearest is jars.half-pint", "correct the spelling, or take the line out"},
	} {
		_, err := kitchen(row.text)
		var e *runfile.Error
		if assert.ErrorAs(t, err, &e, row.want) {
			assert.Equal(t, row.want, e.Error())
			assert.Equal(t, row.hint, e.Hint, row.want)
		}
	}
}

func TestHeld(t *testing.T) {
	for text, want := range map[string]float64{"12 %": 0.12, "1%": 0.01, " 60 % ": 0.6} {
		k, err := kitchen(fmt.Sprintf("[[pot]]\nheld = %q", text))
		require.NoError(t, err, text)
		assert.InDelta(t, want, *k.Pots[0].Held, 1e-12, text)
	}
	const range_ = "is out of range: must be from 1 % to 60 % of the weight that went in"
	for _, row := range []struct{ value, want, hint string }{
		{`"0 %"`, `"0 %" ` + range_, `write held = "12 %"`},
		{`"61 %"`, `"61 %" ` + range_, `write held = "12 %"`},
		{`"-5 %"`, `"-5 %" ` + range_, `write held = "12 %"`},
		{`"NaN %"`, `"NaN %" ` + range_, `write held = "12 %"`},
		{`"%"`, `"%" ` + range_, `write held = "12 %"`},
		{`"12"`, `"12" is not a percentage`, `write held = "12 %"`},
		{`"1 lb"`, `"1 lb" is not a percentage`, `write held = "12 %"`},
		{`""`, "is empty", "fill it in, or take the line out"},
		{`9`, "9 has no unit, and must be text in quotes", `write held = "9 %"`},
		{`true`, "must be text in quotes, not true", `write held = "12 %"`},
	} {
		_, err := kitchen("[[pot]]\nheld = " + row.value)
		var e *runfile.Error
		if assert.ErrorAs(t, err, &e, row.value) {
			assert.Equal(t, "kitchen.toml:2: pot.held: "+row.want, e.Error())
			assert.Equal(t, row.hint, e.Hint, row.value)
		}
	}
}

func TestSeveralKindsInOnePot(t *testing.T) {
	r, err := run("pot = \"22 qt\"\n[[bones]]\nkind = \"chicken-frames\"\nweight = \"3 lb\"\n[[bones]]\nkind = \"turkey-necks\"\nweight = \"1 kg\"\n")
	require.NoError(t, err)
	assert.Equal(t, []runfile.Portion{{Kind: "chicken-frames", Weight: new(3 * quantity.Pound)}, {Kind: "turkey-necks", Weight: new(1 * quantity.Kilogram)}}, r.Portions)
	assert.Empty(t, r.Kind)
	assert.Nil(t, r.Bones)
	assert.Equal(t, "run.toml:6", r.At("bones[1].kind"))
	assert.Equal(t, "run.toml:2", r.At("bones"))

	one, err := run("kind = \"beef\"\nbones = \"9 lb\"")
	require.NoError(t, err)
	assert.Equal(t, map[string]int{"kind": 1, "bones": 2}, one.Lines)

	const both = "[[bones]]\nkind = \"beef\"\nweight = \"3 lb\"\n"
	for _, row := range []struct{ text, want, hint string }{
		{"\nbones = \"9 lb\"\n" + both, "run.toml:3: bones: is given as a value further up, and here as a section", "keep one of them"},
		{"kind = \"beef\"\n" + both, "run.toml:1: kind: goes against [[bones]], each of which has a kind of its own", "take this line out, or write one kind and bones without brackets"},
		{both + "[[bones]]\nkind = \"beef\"", "run.toml:4: bones: needs both kind and weight", `write kind = "chicken-frames" and weight = "3 lb"`},
		{"[[bones]]\nweight = \"3 lb\"", "run.toml:1: bones: needs both kind and weight", `write kind = "chicken-frames" and weight = "3 lb"`},
		{"[[bones]]\nkind = \"beef\"\nweight = 3", "run.toml:3: bones.weight: 3 has no unit, and must be text in quotes", `write weight = "3 lb" or weight = "3 kg"`},
		{"[[bones]]\nkind = \"beef\"\nweight = \"49 g\"", "run.toml:3: bones.weight: \"49 g\" is out of range: must be from 50 g to 100 kg (about 2 oz to 220 lb)", `write weight = "3 lb" or weight = "1.4 kg"`},
		{"[bones]\nkind = \"beef\"", "run.toml:1: bones: is a list of sections, each in double brackets", "write [[bones]]"},
		{"bones.kind = \"beef\"", "run.toml:1: bones.kind: stands in a section of its own", "write [[bones]] and kind below it"},
		{"bones = [\"9 lb\"]", "run.toml:1: bones: must be text in quotes, not a list", `write bones = "9 lb" or bones = "4 kg"`},
		{both + "bones = \"9 lb\"", "run.toml:4: bones.bones: is not known here: bones stands at the top of the file, above every [section]", "move the line there"},
	} {
		_, err := run(row.text)
		var e *runfile.Error
		if assert.ErrorAs(t, err, &e, row.want) {
			assert.Equal(t, row.want, e.Error())
			assert.Equal(t, row.hint, e.Hint, row.want)
		}
	}
}

func TestJarName(t *testing.T) {
	for text, want := range map[string]string{
		"Quarts": "quart", " pint  and half ": "pint-and-half", "Jam glasses": "jam-glass", "glass": "glass", "passata": "passata", "": "", "s": "",
	} {
		assert.Equal(t, want, runfile.JarName(text), text)
	}
}
