package record_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
)

// clock reads a time of a day in November.
func clock(text string) (time.Time, error) {
	at, err := time.Parse("15:04", text)
	if err != nil {
		return time.Time{}, fmt.Errorf("%q is no time", text)
	}
	return time.Date(2026, 11, 28, at.Hour(), at.Minute(), 0, 0, time.UTC), nil
}

// noted reads one note, of load 1 where its word needs one and of a step where it does.
func noted(what record.What, value string) (record.Entry, error) {
	note := runfile.Note{At: "17:10", What: string(what), Value: value, Step: "simmer"}
	if what.OfLoad() {
		note.Load = 1
	}
	entries, err := record.Read([]runfile.Note{note}, clock)
	if err != nil {
		return record.Entry{}, err
	}
	return entries[0], nil
}

// Every word, with what a cook may say with it. There is no published source for how
// cooks write; the ranges are those of a run file.
func TestWhatANoteSays(t *testing.T) {
	const qt, lb = quantity.Quart, quantity.Pound
	jars := func(counts ...record.JarCount) record.Entry { return record.Entry{Jars: counts} }
	volume := func(v quantity.Volume) record.Entry { return record.Entry{Volume: v} }
	cold := func(v quantity.Volume) record.Entry { return record.Entry{Volume: v, Cold: true} }
	said := map[record.What]map[string]record.Entry{
		record.Late:     {"30m": {Span: 30 * time.Minute}, "1 min": {Span: time.Minute}, "72h": {Span: 72 * time.Hour}, "1 h 30 min": {Span: 90 * time.Minute}},
		record.ToppedUp: {"2 qt": volume(2 * qt), "none": {}, "None": {}, "0 qt": {}, "0 l": {}, "1 gal": volume(4 * qt), "200 l": volume(200 * quantity.Litre)},
		record.Strained: {"11 qt": {Volume: 11 * qt, HeatUnsaid: true}, "11 qt hot": volume(11 * qt), "11 qt, hot": volume(11 * qt), "11 QT HOT": volume(11 * qt),
			"11 qt cold": cold(11 * qt), "11 qt, cold": cold(11 * qt), "11 1/2 qt Cold": cold(11.5 * qt), "11 qt (10.4 l) cold": cold(11 * qt)},
		record.Drained:  {"6 lb 4 oz": {Weight: 6.25 * lb}, "2,800 g": {Weight: 2.8 * quantity.Kilogram}},
		record.Ready:    {"10.5 qt": cold(10.5 * qt), "10.5 qt cold": cold(10.5 * qt), "10.5 qt, cold": cold(10.5 * qt)},
		record.Reading:  {"68 F": {Temperature: quantity.Fahrenheit(68)}, "68F": {Temperature: quantity.Fahrenheit(68)}, "-5 C": {Temperature: quantity.Celsius(-5)}, "110 C": {Temperature: quantity.Celsius(110)}},
		record.Filled:   {"quart=7": jars(record.JarCount{Jar: "quart", Count: 7})},
		record.Unsealed: {"1 quart": jars(record.JarCount{Jar: "quart", Count: 1})},
		record.Sealed:   {"12 Quarts": jars(record.JarCount{Jar: "quart", Count: 12})},
		record.Used:     {"quart=2": jars(record.JarCount{Jar: "quart", Count: 2})},
		record.Broken:   {"pint=1": jars(record.JarCount{Jar: "pint", Count: 1}), "half-pint=1000": jars(record.JarCount{Jar: "half-pint", Count: 1000})},
		record.Dried:    {"45 g": {Weight: 45 * quantity.Gram}, "1.6 oz": {Weight: 1.6 * quantity.Ounce}},
		record.Frozen:   {"2 qt": volume(2 * qt), "500 ml": volume(500 * quantity.Millilitre)},
		record.Remark:   {"gauge checked": {Text: "gauge checked"}, "  undo, or not  ": {Text: "undo, or not"}},
		record.Undo:     nil, // TestAnUndoTakesANoteBack
	}
	for _, what := range record.Words() {
		if what.Takes() == "" {
			said[what] = map[string]record.Entry{"": {}, "  ": {}}
		}
		assert.Contains(t, said, what, "each word has its row")
	}
	for what, rows := range said {
		for text, want := range rows {
			e, err := noted(what, text)
			require.NoError(t, err, "%s %s", what, text)
			want.At, _ = clock("17:10")
			want.What, want.Step, want.Load = what, "simmer", e.Load
			for _, pair := range [][2]*float64{{(*float64)(&e.Volume), (*float64)(&want.Volume)}, {(*float64)(&e.Weight), (*float64)(&want.Weight)}, {(*float64)(&e.Temperature), (*float64)(&want.Temperature)}} {
				require.InDelta(t, *pair[1], *pair[0], 1e-9*math.Abs(*pair[1]), "%s %s", what, text)
				*pair[0] = *pair[1]
			}
			require.Equal(t, want, e, "%s %s", what, text)
		}
	}
}

// The examples hints give are read.
func TestExamplesAreRead(t *testing.T) {
	for _, what := range record.Words() {
		for example := range strings.SplitSeq(what.Takes(), ", or ") {
			if what != record.Undo {
				_, err := noted(what, example)
				assert.NoError(t, err, what)
			}
		}
	}
}

func TestJarsAsACookSaysThem(t *testing.T) {
	quart, pint := record.JarCount{Jar: "quart", Count: 7}, record.JarCount{Jar: "pint", Count: 2}
	for text, want := range map[string][]record.JarCount{
		"quart=7,pint=2":              {quart, pint},
		"quart=7, pint=2":             {quart, pint},
		"Quarts = 7 , PINTS = 2":      {quart, pint},
		"7 quarts and 2 pints":        {quart, pint},
		"7 quarts, 2 pints":           {quart, pint},
		"7 quarts, and 2 pints":       {quart, pint},
		"7  quarts AND 2 pints":       {quart, pint},
		"quart=7 and pint=2":          {quart, pint},
		"quart=7 and 2 pints":         {quart, pint},
		"007 quarts":                  {quart},
		"pint and half=2":             {{Jar: "pint-and-half", Count: 2}},
		"2 pints and half":            {{Jar: "pint-and-half", Count: 2}},
		"2 pint-and-half, 7 quarts":   {{Jar: "pint-and-half", Count: 2}, quart},
		"2 pints and half and 1 pint": {{Jar: "pint-and-half", Count: 2}, {Jar: "pint", Count: 1}},
		"3 half pints":                {{Jar: "half-pint", Count: 3}},
		"2 jam glasses":               {{Jar: "jam-glass", Count: 2}}, // whether there is one, the caller knows
	} {
		e, err := noted(record.Filled, text)
		require.NoError(t, err, text)
		require.Equal(t, want, e.Jars, text)
	}
}

// What is wrong is told with the value, the range and the unit.
func TestNotesThatCannotBeRead(t *testing.T) {
	const volumes, weights = "must be above 0 and up to 200 l (about 211 qt)", "must be above 0 and up to 150 kg (about 330 lb)"
	nothing := func(part string) string {
		return fmt.Sprintf("filled: %q is no number of jars: must be from 1 to 1000 of a size", part)
	}
	for _, row := range []struct {
		what        record.What
		value       string
		error, hint string
	}{
		{"boiled", "", `"boiled" is nothing that can be noted`, ""},
		{"", "", `"" is nothing that can be noted`, ""},
		{record.Began, "7", `began takes no value, and "7" is given`, "leave it out; a remark takes any text"},
		{record.Steam, "lots", `steam takes no value, and "lots" is given`, "leave it out; a remark takes any text"},
		{record.Remark, " ", "remark does not say how much", "such as gauge checked"},
		{record.Undo, "", "undo does not say how much", "such as k3v9"},

		{record.Late, "", "late does not say how much", "such as 30m"},
		{record.Late, "30", `late: "30" has no unit`, "write 30 min or 30 h"},
		{record.Late, "59 s", `late: "59 s" is out of range: must be from 1 min to 72 h`, "such as 30m"},
		{record.Late, "73 h", `late: "73 h" is out of range: must be from 1 min to 72 h`, "such as 30m"},
		{record.Late, "-5 min", `late: "-5 min" is negative; a time span is zero or more`, "write a time span such as 90 min or 2h30m"},

		{record.Strained, "11", `strained: "11" has no unit`, "write 11 qt or 11 l"},
		{record.Strained, "none", `strained: "none" does not begin with a number`, "write a volume such as 6 qt or 5.7 l"},
		{record.Strained, "hot", `strained: "hot" does not begin with a number`, "write a volume such as 6 qt or 5.7 l"},
		{record.Strained, "0 qt", `strained: "0 qt" is out of range: ` + volumes, "such as 11 qt hot"},
		{record.Strained, "200.1 l", `strained: "200.1 l" is out of range: ` + volumes, "such as 11 qt hot"},
		{record.Strained, "-1 qt", `strained: "-1 qt" is negative; a volume is zero or more`, "write a volume such as 6 qt or 5.7 l"},
		{record.Strained, "NaN qt", `strained: "NaN qt" does not begin with a number`, "write a volume such as 6 qt or 5.7 l"},
		{record.Strained, "inf l", `strained: "inf l" does not begin with a number`, "write a volume such as 6 qt or 5.7 l"},
		{record.Strained, "99999999999999999999999999999999999999999999999999999999 l cold", `strained: "99999999999999999999999999999999999999999999999999999999 l" is out of range: ` + volumes, "such as 11 qt hot"},
		{record.Ready, "10.5 qt hot", `ready: "10.5 qt hot" is hot: it is measured cold and skimmed`, "such as 10.5 qt"},
		{record.Ready, "none", `ready: "none" does not begin with a number`, "write a volume such as 6 qt or 5.7 l"},
		{record.ToppedUp, "201 l", `topped-up: "201 l" is out of range: ` + volumes, "such as 2 qt, or none"},
		{record.ToppedUp, "some", `topped-up: "some" does not begin with a number`, "write a volume such as 6 qt or 5.7 l"},
		{record.Frozen, "0 ml", `frozen: "0 ml" is out of range: ` + volumes, "such as 2 qt"},

		{record.Drained, "0 lb", `drained: "0 lb" is out of range: ` + weights, "such as 6 lb 4 oz"},
		{record.Drained, "151 kg", `drained: "151 kg" is out of range: ` + weights, "such as 6 lb 4 oz"},
		{record.Dried, "45", `dried: "45" has no unit`, "write 45 lb or 45 kg"},
		{record.Dried, "1 qt", "", ""}, // the words are those of quantity

		{record.Reading, "70", `reading: "70" has no unit`, "write 70 F or 70 C"},
		{record.Reading, "-5.1 C", `reading: "-5.1 C" is out of range: must be from -5 C to 110 C (23 F to 230 F)`, "such as 68 F"},
		{record.Reading, "231 F", `reading: "231 F" is out of range: must be from -5 C to 110 C (23 F to 230 F)`, "such as 68 F"},
		{record.Reading, "-500 F", `reading: "-500 F" is below absolute zero`, "the coldest there is: -459.67 F or -273.15 C"},

		{record.Filled, "", "filled does not say how much", "such as quart=7"},
		{record.Filled, "quart", nothing("quart"), "such as quart=7"},
		{record.Filled, "7", nothing("7"), "such as quart=7"},
		{record.Filled, "=7", nothing("=7"), "such as quart=7"},
		{record.Filled, "quart=0", nothing("quart=0"), "such as quart=7"},
		{record.Filled, "quart=-1", nothing("quart=-1"), "such as quart=7"},
		{record.Filled, "quart=1001", nothing("quart=1001"), "such as quart=7"},
		{record.Filled, "quart=18446744073709551617", nothing("quart=18446744073709551617"), "such as quart=7"},
		{record.Filled, "quart=1.5", nothing("quart=1.5"), "such as quart=7"},
		{record.Filled, "quart=1e2", nothing("quart=1e2"), "such as quart=7"},
		{record.Filled, "quart=NaN", nothing("quart=NaN"), "such as quart=7"},
		{record.Filled, "quart=٧", nothing("quart=٧"), "such as quart=7"},
		{record.Filled, "quart=7,", nothing(""), "such as quart=7"},
		{record.Filled, "1,000 quarts", nothing("1"), "such as quart=7"},
		{record.Filled, "7 quarts, 1 Quart", "filled: quart is named twice; write each size once", "such as quart=7"},
	} {
		_, err := noted(row.what, row.value)
		var wrong *fault.Fault
		require.ErrorAs(t, err, &wrong, "%s %s", row.what, row.value)
		if row.error == "" {
			continue
		}
		assert.Equal(t, row.error, wrong.Error())
		assert.Equal(t, row.hint, wrong.Hint, row.error)
	}
}

// What is wrong is told with which note of the file and which key.
func TestAFaultNamesItsNote(t *testing.T) {
	good := runfile.Note{At: "08:00", What: "drying", ID: "a"}
	for _, row := range []struct {
		note  runfile.Note
		key   string
		error string
	}{
		{runfile.Note{At: "09:00", What: "steam"}, "load", "steam does not say of which load"},
		{runfile.Note{At: "09:00", What: "steam", Step: "load-1"}, "load", "steam does not say of which load"},
		{runfile.Note{At: "09:00", What: "steam", Load: -1}, "load", "steam does not say of which load"},
		{runfile.Note{At: "09:00", What: "done"}, "step", "done does not say of which step"},
		{runfile.Note{At: "09:00", What: "done", Load: math.MinInt}, "step", "done does not say of which step"},
		{runfile.Note{At: "nine", What: "drying"}, "at", `"nine" is no time`},
		{runfile.Note{At: "09:00", What: "sleeping"}, "what", `"sleeping" is nothing that can be noted`},
		{runfile.Note{At: "09:00", What: "frozen"}, "value", "frozen does not say how much"},
		{runfile.Note{At: "09:00", What: "undo", Value: "b"}, "value", `no note before this one has the id "b"`},
	} {
		_, err := record.Read([]runfile.Note{good, row.note, good}, clock)
		var wrong *fault.Fault
		require.ErrorAs(t, err, &wrong, row.error)
		assert.Equal(t, row.error, wrong.Error())
		assert.Equal(t, "note[1]."+row.key, wrong.Key, row.error)
	}
	for _, note := range []runfile.Note{{At: "09:00", What: "began", Load: 2}, {At: "09:00", What: "began", Step: "simmer"}, {At: "09:00", What: "late", Value: "30m"}} {
		_, err := record.Read([]runfile.Note{note}, clock)
		assert.NoError(t, err, "a load is a step too; what is late may be unsaid")
	}
}

// read reads notes written "08:00 a remark b": when, ID ("-" for none), what, value.
func read(lines ...string) ([]string, error) {
	var notes []runfile.Note
	for _, line := range lines {
		words := strings.SplitN(line, " ", 4)
		note := runfile.Note{At: words[0], ID: strings.TrimPrefix(words[1], "-"), What: words[2]}
		if len(words) > 3 {
			note.Value = words[3]
		}
		notes = append(notes, note)
	}
	entries, err := record.Read(notes, clock)
	var left []string
	for _, e := range entries {
		left = append(left, e.Text)
		if e.Text != notes[e.Index].Value {
			return nil, fmt.Errorf("index %d is of another note", e.Index)
		}
	}
	return left, err
}

func TestAnUndoTakesANoteBack(t *testing.T) {
	for _, row := range []struct {
		name  string
		lines []string
		left  []string
		error string
	}{
		{"the note is gone, and the undo", []string{"08:00 a remark A", "08:01 b remark B", "08:02 u undo a"}, []string{"B"}, ""},
		{"an undo taken back", []string{"08:00 a remark A", "08:02 u undo a", "08:03 v undo u"}, []string{"A"}, ""},
		{"and that one too", []string{"08:00 a remark A", "08:02 u undo a", "08:03 v undo u", "08:04 w undo v"}, nil, ""},
		{"twice the same", []string{"08:00 a remark A", "08:02 u undo a", "08:03 v undo a"}, nil, ""},
		{"one of two taken back leaves the other", []string{"08:00 a remark A", "08:02 u undo a", "08:03 v undo a", "08:04 w undo u"}, nil, ""},
		{"without an id of its own", []string{"08:00 a remark A", "08:02 - undo a", "08:03 - remark B"}, []string{"B"}, ""},
		{"before is by the file, not the clock", []string{"08:00 a remark A", "07:00 u undo a"}, nil, ""},
		{"of a later note", []string{"08:00 u undo a", "08:01 a remark A"}, nil, `no note before this one has the id "a"`},
		{"of itself", []string{"08:00 u undo u"}, nil, `no note before this one has the id "u"`},
		{"of none, taken back", []string{"08:00 u undo nothing", "08:01 v undo u"}, nil, ""},
		{"of nothing", []string{"08:00 - remark A", "08:01 u undo -"}, nil, `no note before this one has the id "-"`},
	} {
		left, err := read(row.lines...)
		if row.error != "" {
			require.EqualError(t, err, row.error, row.name)
			continue
		}
		require.NoError(t, err, row.name)
		require.Equal(t, row.left, left, row.name)
	}
}

func TestEntriesComeInTheOrderInWhichTheyHappened(t *testing.T) {
	left, err := read("09:00 - remark C", "08:00 - remark A", "09:00 - remark D", "08:30 - remark B", "09:00 - remark E")
	require.NoError(t, err)
	require.Equal(t, []string{"A", "B", "C", "D", "E"}, left, "those of one minute as in the file")
	left, err = read()
	require.NoError(t, err)
	require.Empty(t, left)
}

// A word the run file takes is read here, and the reverse: the run file names all its
// words when it is given none of them.
func TestWordsAreThoseOfTheRunFile(t *testing.T) {
	_, err := runfile.DecodeRun(strings.NewReader("[[note]]\nat = \"2026-11-28 17:10\"\nwhat = \"?\"\n"), "run.toml")
	var e *runfile.Error
	require.ErrorAs(t, err, &e)
	list, listed := strings.CutPrefix(e.Hint, "write one of: ")
	require.True(t, listed, e.Hint)
	theirs := strings.Split(list, ", ")
	slices.Sort(theirs)
	var ours []string
	for _, what := range record.Words() {
		ours = append(ours, string(what))
	}
	require.Equal(t, theirs, ours)
}

// Whatever a note says, it is read in range or refused with a reason in one line.
func FuzzRead(f *testing.F) {
	for _, what := range record.Words() {
		f.Add(string(what), what.Takes(), "a", "simmer", 1, "08:00")
		f.Add(string(what), "quart=7 and 2 pints", "", "", -1, "99:99")
	}
	f.Add("strained", "1e999 qt hot", "\xff", "", 0, "")
	f.Add("filled", "\xff=\xff, and 1", "a", "\x00", math.MaxInt, "08:00")
	f.Fuzz(func(t *testing.T, what, value, id, step string, load int, at string) {
		notes := []runfile.Note{{ID: "a", At: "07:00", What: "remark", Value: "first"}, {ID: id, At: at, What: what, Value: value, Step: step, Load: load}}
		entries, err := record.Read(notes, clock)
		if err != nil {
			var wrong *fault.Fault
			require.ErrorAs(t, err, &wrong)
			require.Contains(t, wrong.Key, "note[1].")
			require.NotEmpty(t, wrong.Reason)
			require.NotContains(t, wrong.Reason, "\n")
			return
		}
		for _, e := range entries {
			require.True(t, e.Volume >= 0 && e.Volume <= 200*quantity.Litre, e.Volume)
			require.True(t, e.Weight >= 0 && e.Weight <= 150*quantity.Kilogram, e.Weight)
			require.True(t, e.Temperature == 0 || e.Temperature.Celsius() >= -5.001 && e.Temperature.Celsius() <= 110.001, e.Temperature)
			require.True(t, e.Span == 0 || e.Span >= time.Minute && e.Span <= 72*time.Hour, e.Span)
			for _, jars := range e.Jars {
				require.True(t, jars.Jar != "" && jars.Count >= 1 && jars.Count <= 1000, jars)
			}
			require.True(t, !e.What.OfLoad() || e.Load > 0, e)
			require.NotEqual(t, record.Undo, e.What)
		}
	})
}
