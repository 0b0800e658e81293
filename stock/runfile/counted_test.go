package runfile_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func TestBirdsAreCountedAndWeighed(t *testing.T) {
	for _, row := range []struct {
		text   string
		pounds quantity.Mass // of all
		birds  runfile.Birds
	}{
		{"9 lb", 9, runfile.Birds{}},
		{"2 birds, 9 lb", 9, runfile.Birds{Count: 2, Bird: "bird"}},
		{"2 birds 9 lb", 9, runfile.Birds{Count: 2, Bird: "bird"}},
		{"2 birds of 4.5 lb", 9, runfile.Birds{Count: 2, Bird: "bird"}},
		{"2 Birds,  4 lb 8 oz each", 9, runfile.Birds{Count: 2, Bird: "bird"}},
		{"2 birds of 4.5 lb each", 9, runfile.Birds{Count: 2, Bird: "bird"}},
		{"1 turkey, 14 lb", 14, runfile.Birds{Count: 1, Bird: "turkey"}},
		{"3 whole chickens, 12 lb in all", 12, runfile.Birds{Count: 3, Bird: "chicken"}},
		// As the plan says them back.
		{"2 birds, 9 lb (4.1 kg) in all", 9, runfile.Birds{Count: 2, Bird: "bird"}},
		{"2 whole chickens, 9 lb (4.1 kg) in all,", 9, runfile.Birds{Count: 2, Bird: "chicken"}},
		{"1 whole turkey, 14 lb (6.4 kg),", 14, runfile.Birds{Count: 1, Bird: "turkey"}},
	} {
		mass, birds, err := runfile.ParseBones(row.text)
		require.NoError(t, err, row.text)
		assert.InDelta(t, float64(row.pounds), mass.Pounds(), 1e-9, row.text)
		assert.Equal(t, row.birds, birds, row.text)
	}
	const hint = `write the weight of all of them, "2 birds, 9 lb", or of each, "2 birds of 4.5 lb"`
	for _, row := range []struct{ text, wrong, hint string }{
		{"0 birds, 9 lb", `"0 birds, 9 lb" is no count of birds: a whole number from 1 to 100`, hint},
		{"2.5 birds, 9 lb", `"2.5 birds, 9 lb" is no count of birds: a whole number from 1 to 100`, hint},
		{"101 birds, 900 lb", `"101 birds, 900 lb" is no count of birds: a whole number from 1 to 100`, hint},
		{"birds, 9 lb", `"birds, 9 lb" does not begin with how many birds there are`, hint},
		{"2 birds", `"2 birds" does not say what they weigh`, hint},
		{"2 birds of 9 lb in all", `"2 birds of 9 lb in all" says both, the weight of each and of all`, hint},
		{"2 birds, 9", `"9" has no unit`, "write 9 lb or 9 kg"},
		{"1 frame, 4 lb", `"1 frame, 4 lb" counts what is only weighed`, `write the weight of all: "4 lb"`},
		{"3 turkey carcasses, 12 lb", `"3 turkey carcasses, 12 lb" counts what is only weighed`, `write the weight of all: "12 lb"`},
		{"1e9lb", `"1e9lb" has a number in exponent or hexadecimal form`, "write the number out, such as 1500 or 0.5"},
		{"2 x 4.5 lb", `"2 x 4.5 lb" is the weight of each`, `write the weight of all: "9 lb"`},
		{"2 frames of 2.25 kg", `"2 frames of 2.25 kg" is the weight of each`, `write the weight of all: "4.5 kg"`},
		{"9 pounds and 4 oz", `"9 pounds and 4 oz" has an unknown unit, "pounds and"`, "did you mean pounds? units of mass: lb, oz, kg, g"},
	} {
		_, birds, err := runfile.ParseBones(row.text)
		var wrong *quantity.ParseError
		require.True(t, errors.As(err, &wrong), row.text)
		assert.EqualError(t, err, row.wrong)
		assert.Equal(t, row.hint, wrong.Hint)
		assert.Zero(t, birds)
	}
}

func TestVegetablesByWeightAndCount(t *testing.T) {
	type counts = []runfile.VegetableCount
	for _, row := range []struct {
		text    string
		weighed float64 // kg
		counted counts
	}{
		{"900 g", 0.9, nil},
		{"1,250 g", 1.25, nil},
		{"4 onions", 0, counts{{4, "onion"}}},
		{"1 Onion", 0, counts{{1, "onion"}}},
		{"900 g, 3 onions", 0.9, counts{{3, "onion"}}},
		{"3 onions and 900 g", 0.9, counts{{3, "onion"}}},
		{"1,250 g,2 carrots", 1.25, counts{{2, "carrot"}}},
		{"4 onions, 6 carrots, 5 celery stalks", 0, counts{{4, "onion"}, {6, "carrot"}, {5, "celery stalk"}}},
		{"5 stalks of celery, 1 celery rib", 0, counts{{5, "celery stalk"}, {1, "celery stalk"}}},
	} {
		weighed, counted, err := runfile.ParseVegetables(row.text)
		require.NoError(t, err, row.text)
		assert.InDelta(t, row.weighed, weighed.Kilograms(), 1e-9, row.text)
		assert.Equal(t, row.counted, counted, row.text)
	}
	for _, row := range []struct{ text, wrong string }{
		{"4 leeks", `"4 leeks" is neither a weight nor a count of onions, carrots or celery stalks`},
		{"5 celery", `"5 celery" is neither a weight nor a count of onions, carrots or celery stalks`},
		{"2.5 onions", `"2.5 onions" is no count: a whole number from 1 to 100`},
		{"0 onions", `"0 onions" is no count: a whole number from 1 to 100`},
		{"onions", `"onions" is no count: a whole number from 1 to 100`},
		{"2 lb, 3", `"3" has no unit`},
		{"1.250 g", `"1.250 g" has three decimals, as if the point stood between thousands`},
		{"2 lb,", `"" is empty; a weight is needed`},
	} {
		_, _, err := runfile.ParseVegetables(row.text)
		assert.EqualError(t, err, row.wrong, row.text)
		assert.NotEmpty(t, err.(*quantity.ParseError).Hint)
	}
}

func TestAFileCountsBirdsAndVegetables(t *testing.T) {
	r, err := run("bones = \"2 birds of 4.5 lb\"\nvegetables = \"2 lb, 3 onions\"")
	require.NoError(t, err)
	assert.InDelta(t, 9, r.Bones.Pounds(), 1e-9)
	assert.Equal(t, 2, r.Birds.Count)
	assert.InDelta(t, 2, r.Vegetables.Pounds(), 1e-9)
	assert.Equal(t, []runfile.VegetableCount{{3, "onion"}}, r.Counted)

	r, err = run("[[bones]]\nkind = \"whole-chicken\"\nweight = \"1 bird, 4 lb\"")
	require.NoError(t, err)
	assert.Equal(t, 1, r.Portions[0].Birds.Count)

	for _, row := range []struct{ text, wrong string }{
		{`bones = "2 birds"`, `run.toml:1: bones: "2 birds" does not say what they weigh`},
		{`bones = "100 birds of 5 lb"`, `run.toml:1: bones: "100 birds of 5 lb" is out of range: must be from 50 g to 100 kg (about 2 oz to 220 lb)`},
		{`vegetables = "4 leeks"`, `run.toml:1: vegetables: "4 leeks" is neither a weight nor a count of onions, carrots or celery stalks`},
		{`vegetables = 4`, `run.toml:1: vegetables: 4 has no unit, and must be text in quotes`},
	} {
		_, err := run(row.text)
		assert.EqualError(t, err, row.wrong)
	}
}
