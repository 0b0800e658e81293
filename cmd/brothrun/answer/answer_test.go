package answer

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the same zones wherever the tests run

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/brothrun/order"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func demo(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../../testdata/demo", name))
	require.NoError(t, err)
	return data
}

// asking is a question about the demo, before it begins.
func asking(t testing.TB, ask string) Question {
	return Question{Ask: ask, Now: time.Date(2026, 11, 20, 12, 0, 0, 0, time.UTC), Zone: "America/Denver", Runs: []string{"run.toml"},
		Files: map[string][]byte{"kitchen.toml": demo(t, "kitchen.toml"), "run.toml": demo(t, "run.toml")}}
}

// What the README shows of the demo, a page has too.
func TestThePlanIsTheCommands(t *testing.T) {
	a := Of(asking(t, "plan"))
	require.Equal(t, order.Done, a.Status)
	readme, err := os.ReadFile("../../../README.md")
	require.NoError(t, err)
	for _, said := range []string{"Harvest supper broth: 9 lb of turkey frames at 3,200 ft (975 m)", "Load 2 of 2: 6 quarts, 15 psi for 25 min",
		"08:00-11:50; hands-on for 1 h 54 min"} {
		assert.Contains(t, string(readme), said)
		assert.Contains(t, a.HTML, said)
	}
	assert.NotContains(t, a.HTML, "--", "no flag is named on a phone")
	figures, err := json.Marshal(a.Figures)
	require.NoError(t, err)
	assert.Contains(t, string(figures), `{"label":"Jars","value":"13 quarts","remark":"12 to 14; wash 14"}`)
	assert.Nil(t, a.Files)
	assert.Equal(t, a.Figures, Of(asking(t, "figures")).Figures, "the figures need no clock")
}

func TestFilesThatAreMade(t *testing.T) {
	for ask, want := range map[string]struct{ name, kind, holds string }{
		"calendar": {"run.ics", "text/calendar; charset=utf-8", "BEGIN:VCALENDAR\r\n"},
		"sheet":    {"run.html", webPage, "Canner log"},
		"labels":   {"labels.html", webPage, "transform:translate("},
		"ready":    {"ready.html", webPage, "new lids"},
		"json":     {"run.json", "application/json", `"jars"`},
		"starter":  {"kitchen.toml", "application/toml", "altitude"},
	} {
		a := Of(asking(t, ask))
		require.Empty(t, a.Problems, ask)
		assert.Equal(t, []string{want.name, want.kind}, []string{a.File.Name, a.File.Type})
		assert.Contains(t, string(a.File.Data), want.holds)
	}
}

func TestWhatIsRefusedIsPlannedAsFarAsItGoes(t *testing.T) {
	q := asking(t, "plan")
	q.Set = map[string]string{"kind": "fish"}
	a := Of(q)
	assert.Equal(t, order.Refused, a.Status)
	assert.Contains(t, a.HTML, "do not can it")
	q.Ask = "labels"
	q.Files["run.toml"] = []byte(strings.Replace(string(q.Files["run.toml"]), "turkey-frames", "fish", 1))
	q.Set = nil
	assert.NotEqual(t, order.Failed, Of(q).Status)
}

// Each problem has the field it is about and a next step without a command in it.
func TestProblemsHaveTheirField(t *testing.T) {
	for _, row := range []struct{ flag, text, key, said, hint string }{
		{"bones", "9", "bones", `bones: "9" has no unit`, "write"},
		{"kind", "turkey-fraims", "kind", "turkey-fraims", "turkey-frames"},
		{"start", "tomorow", "start", "tomorow", ""},
		{"altitude", "", "altitude", "altitude is empty", ""},
		{"colour", "red", "colour", "there is no setting", ""},
	} {
		q := asking(t, "plan")
		q.Set = map[string]string{row.flag: row.text}
		a := Of(q)
		assert.Equal(t, order.Usage, a.Status, row)
		require.Len(t, a.Problems, 1, row)
		assert.Equal(t, row.key, a.Problems[0].Key)
		assert.Contains(t, a.Problems[0].Text, row.said)
		assert.Contains(t, a.Problems[0].Text+a.Problems[0].Hint, row.hint)
		assert.NotContains(t, a.Problems[0].Text+a.Problems[0].Hint, "--")
	}
	for _, text := range []string{"", "{", "[]", `{"ask":"dance"}`, `{"ask":"plan"}`, `{"ask":"plan","runs":["run.toml"]}`, `{"ask":"press","runs":["x"]}`,
		`{"ask":"run"}`, `{"ask":"day","runs":["a/b"]}`} {
		var a Answer
		require.NoError(t, json.Unmarshal([]byte(JSON(text)), &a), text)
		assert.NotEmpty(t, a.Problems, text)
		assert.NotZero(t, a.Status, text)
	}
}

// One key is changed in place: the mark at the beginning, line ends and comments stay.
func TestAFieldIsWrittenInPlace(t *testing.T) {
	q := asking(t, "run")
	file := "\ufeff" + strings.ReplaceAll(string(demo(t, "run.toml")), "\n", "\r\n")
	q.Files["run.toml"] = []byte(file)
	q.Set = map[string]string{"bones": "7 lb", "kind": "turkey-frames", "pot": "big pot", "jars": "quart,pint", "start": "2026-11-28T08:00"}
	a := Of(q)
	require.Empty(t, a.Problems)
	assert.Equal(t, strings.Replace(file, `"9 lb"`, `"7 lb"`, 1), string(a.Files["run.toml"]))
	assert.Contains(t, a.HTML, `value="7"`)
	q.Set = map[string]string{"bones": "9 lb"}
	assert.Nil(t, Of(q).Files, "what stands there already changes nothing")
	q.Set = map[string]string{"finish-by": "2026-11-29T20:00"}
	run, err := runfile.DecodeRun(strings.NewReader(string(Of(q).Files["run.toml"])), "run.toml")
	require.NoError(t, err)
	assert.Equal(t, []string{"", "2026-11-29 20:00"}, []string{run.Start, run.FinishBy}, "one way to say when")
	q.Set = map[string]string{"bones": "a lot"}
	a = Of(q)
	assert.Equal(t, "bones", a.Problems[0].Key)
	assert.Nil(t, a.Files)
}

// A new run is planned as it stands, once the kitchen has its altitude.
func TestANewRunInANewKitchen(t *testing.T) {
	q := asking(t, "run")
	q.Files = map[string][]byte{}
	a := Of(q)
	require.Empty(t, a.Problems)
	q.Files["run.toml"] = a.Files["run.toml"]
	q.Ask = "plan"
	a = Of(q)
	require.Len(t, a.Problems, 1)
	assert.Equal(t, "altitude", a.Problems[0].Key)
	q.Ask, q.Set = "kitchen", map[string]string{"altitude": "975 m"}
	a = Of(q)
	assert.Equal(t, strings.NewReplacer(`#altitude = "___ ft"`, `altitude = "975 m"`, `#runs = "___"`, `runs = "."`).Replace(runfile.Starter()),
		string(a.Files["kitchen.toml"]), "what came of her runs sharpens the next")
	q.Files["kitchen.toml"] = a.Files["kitchen.toml"]
	q.Ask, q.Set = "plan", nil
	a = Of(q)
	assert.Empty(t, a.Problems)
	assert.Contains(t, a.HTML, "Begins Saturday 21 November 2026, 8 in the morning")
}

// Every key of a kitchen has its field, though the cook's file names few, and each can be
// written: the second pot too.
func TestEveryKeyOfAKitchenHasAField(t *testing.T) {
	q := asking(t, "kitchen")
	a := Of(q)
	for _, f := range runfile.Fields([]byte(runfile.Starter())) {
		if f.Key != "runs" {
			assert.Contains(t, a.HTML, `name="`+f.Key+`"`)
		}
	}
	assert.Contains(t, a.HTML, `name="pot[1].name"`)
	assert.NotContains(t, a.HTML, `name="pot[2].name"`)
	for _, row := range [][2]string{{"pot[1].name", "roaster"}, {"pot[1].volume", "18 qt"}, {"canner.water", "3 qt"}, {"tap.temperature", "60 F"}} {
		q.Set = map[string]string{row[0]: row[1]}
		a := Of(q)
		require.Empty(t, a.Problems, row)
		q.Files["kitchen.toml"] = a.Files["kitchen.toml"]
	}
	kitchen, err := runfile.DecodeKitchen(strings.NewReader(string(q.Files["kitchen.toml"])), "kitchen.toml")
	require.NoError(t, err)
	require.Len(t, kitchen.Pots, 2)
	assert.Equal(t, "roaster", kitchen.Pots[1].Name)
	assert.Equal(t, "60 °F", kitchen.Tap.Format(quantity.US))
}

// A press is a note at the end of the file; sent again it is the same one, and what cannot
// be is said and noted nowhere.
func TestAPressIsANote(t *testing.T) {
	q := asking(t, "press")
	q.Now = time.Date(2026, 11, 28, 15, 31, 0, 0, time.UTC) // 08:31 in the kitchen
	q.Note = map[string]string{"id": "aaaaaa", "what": "began", "step": "heat-up"}
	a := Of(q)
	require.Equal(t, order.Done, a.Status)
	file := string(a.Files["run.toml"])
	require.True(t, strings.HasPrefix(file, string(demo(t, "run.toml"))))
	assert.Equal(t, 1, strings.Count(file, "[[note]]"))
	assert.Contains(t, a.HTML, "08:31: ")
	assert.Equal(t, map[string]string{"zone": "America/Denver", "title": "Harvest supper broth: 9 lb of turkey frames at 3,200 ft (975 m)"}, a.Figures)

	q.Files["run.toml"] = []byte(file)
	assert.Nil(t, Of(q).Files, "it is noted already")
	for _, note := range []map[string]string{
		{"id": "bbbbbb", "what": "dance"}, {"id": "bbbbbb", "what": "strained", "amount": "eleven", "unit": "qt"},
		{"id": "bbbbbb", "what": "done", "step": "heat-up", "run": "another"}, {"id": "bbbbbb", "what": "heat-off", "load": "1"},
	} {
		q.Note = note
		a := Of(q)
		assert.Equal(t, order.Usage, a.Status, note)
		assert.Nil(t, a.Files, note)
		assert.Contains(t, a.HTML, "data-refused", note)
	}
	q.Ask, q.Note = "timer", nil
	assert.Nil(t, Of(q).File, "no clock counts down")
}

// A file that is picked is known by what is in it, and by its name where that could be either.
func TestAPickedFileIsKnown(t *testing.T) {
	kitchen, run := string(demo(t, "kitchen.toml")), string(demo(t, "run.toml"))
	for name, row := range map[string]struct{ data, kept string }{
		"kitchen.toml":            {kitchen, "kitchen.toml"},
		"kitchen (1).toml":        {kitchen, "kitchen.toml"},
		"kitchen(12).toml":        {kitchen, "kitchen.toml"},
		"hers.txt":                {kitchen, "kitchen.toml"},
		"run.toml":                {run, "run.toml"},
		"run (2).toml":            {run, "run.toml"},
		"kitchen.toml.txt":        {run, "run.toml"},
		"Suppe für Oma.toml":      {"\ufeff" + strings.ReplaceAll(run, "\n", "\r\n"), "Suppe für Oma.toml"},
		"notes.txt":               {"a shopping list", ""},
		"letter.toml":             {"altitude = 'banana'", ""},
		"kitchen (3).toml":        {"altitude = 'banana'", ""},
		"picture.png":             {"\x89PNG\r\n\x1a\n\x00", ""},
		"run (of the first).toml": {run, "run (of the first).toml"},
	} {
		a := Of(Question{Ask: "open", Runs: []string{name}, Files: map[string][]byte{name: []byte(row.data)}})
		if row.kept == "" {
			assert.NotEmpty(t, a.Problems, name)
			assert.Empty(t, a.Files, name)
			continue
		}
		assert.Empty(t, a.Problems, name)
		assert.Equal(t, map[string][]byte{row.kept: []byte(row.data)}, a.Files, name)
	}
	a := Of(Question{Ask: "open", Runs: []string{"kitchen.toml"}, Files: map[string][]byte{"kitchen.toml": []byte(run)}})
	assert.Equal(t, map[string][]byte{"run.toml": []byte(run)}, a.Files, "a run never stands in the kitchen's place")
}

// The first pot of a kitchen is what a new run goes into, under whatever name it has.
func TestTheFirstPotIsTaken(t *testing.T) {
	q := Question{Ask: "run", Now: time.Date(2026, 11, 20, 12, 0, 0, 0, time.UTC), Zone: "America/Denver", Runs: []string{"run.toml"}}
	fresh := Of(q).Files["run.toml"]
	require.Contains(t, string(fresh), `pot = "12 qt"`)
	q.Files = map[string][]byte{"run.toml": fresh}
	q.Ask, q.Set = "kitchen", map[string]string{"pot[0].volume": "22 qt"}
	a := Of(q)
	require.Empty(t, a.Problems)
	assert.Contains(t, string(a.Files["kitchen.toml"]), `name = "pot 1"`)
	assert.Contains(t, string(a.Files["run.toml"]), `pot = "pot 1"`)
	q.Set = map[string]string{"pot[0].volume": ""}
	assert.NotContains(t, string(Of(q).Files["kitchen.toml"]), "pot 1", "what is taken out begins no pot")
	q.Set = map[string]string{"pot[0].volume": "22 qt"}
	for name, data := range map[string]string{
		"another pot was chosen": strings.Replace(string(fresh), `"12 qt"`, `"30 qt"`, 1),
		"it has begun":           string(fresh) + "[[note]]\nat = \"2026-11-21 08:00\"\nwhat = \"began\"\nstep = \"prepare\"\n",
	} {
		q.Files["run.toml"] = []byte(data)
		assert.NotContains(t, Of(q).Files, "run.toml", name)
	}
}

// A calendar that was taken before is told what is gone since: a load that is no more does
// not ring.
func TestTheNextCalendarSaysWhatIsGone(t *testing.T) {
	q := asking(t, "calendar")
	first := Of(q)
	require.Empty(t, first.Problems)
	gone := func(a Answer) int { return bytes.Count(a.File.Data, []byte("STATUS:CANCELLED")) }
	assert.Zero(t, gone(first))
	assert.Equal(t, first.File.Data, first.Files["run.ics"])
	q.Files["run.ics"] = first.Files["run.ics"]
	q.Files["run.toml"] = bytes.Replace(q.Files["run.toml"], []byte(`water = "fit"`), []byte(`water = "8 qt"`), 1)
	q.Now = q.Now.Add(time.Hour)
	second := Of(q)
	require.Empty(t, second.Problems)
	assert.GreaterOrEqual(t, gone(second), 3, "fill, process and unload load 2")
	q.Files["run.ics"] = []byte("no calendar")
	third := Of(q)
	require.Empty(t, third.Problems)
	assert.Zero(t, gone(third), "it is as if there were none")
}

// What was read last is not taken for what is asked now.
func TestNothingIsRememberedThatChanged(t *testing.T) {
	q := asking(t, "figures")
	first := Of(q)
	require.Equal(t, order.Done, first.Status)
	q.Set = map[string]string{"bones": "4 lb"}
	assert.NotEqual(t, first.Figures, Of(q).Figures)
	q.Set = nil
	assert.Equal(t, first.Figures, Of(q).Figures, "what was set is of that question alone")
	whole := q.Files
	for name, change := range map[string]func(string) string{
		"run.toml":     func(text string) string { return strings.Replace(text, `"9 lb"`, `"5 lb"`, 1) },
		"kitchen.toml": func(text string) string { return strings.Replace(text, `"3200 ft"`, `"200 ft"`, 1) },
	} {
		q.Files = maps.Clone(whole)
		q.Files[name] = []byte(change(string(whole[name])))
		assert.NotEqual(t, first.Figures, Of(q).Figures, name)
		delete(q.Files, name)
		assert.NotEmpty(t, Of(q).Problems, name)
		q.Files[name] = nil
		assert.NotEmpty(t, Of(q).Problems, name)
	}
	q.Files = whole
	assert.Equal(t, first, Of(q))
}

// What is remembered of a file is what it says, whatever was set beside it.
func TestNothingThatIsRememberedIsChanged(t *testing.T) {
	q := asking(t, "plan")
	q.Files["run.toml"] = []byte("kitchen = 'kitchen.toml'\nstart = '2026-11-28 08:00'\n[[bones]]\nkind = 'turkey-frames'\nweight = '9 lb'\n" +
		"[[bones]]\nkind = 'chicken-backs'\nweight = '2 lb'\n")
	fills := []byte("kitchen = 'kitchen.toml'\nstart = '2026-11-28 08:00'\nkind = 'turkey-frames'\nbones = '9 lb'\n" +
		"[[fill]]\npot = 'big pot'\n[[fill]]\npot = '12 qt'\n")
	for _, file := range [][]byte{q.Files["run.toml"], fills, demo(t, "run.toml")} {
		q.Files["run.toml"] = file
		for flag, text := range map[string]string{"kind": "beef", "bones": "4 lb", "pot": "22 qt", "vegetables": "1 lb", "jars": "pint=20",
			"lid": "on", "simmer": "1 h", "finish-by": "2026-11-30 18:00", "start": "2026-11-29 08:00"} {
			q.Set = map[string]string{flag: text}
			Of(q)
			want, err := runfile.DecodeRun(bytes.NewReader(file), "run.toml")
			require.NoError(t, err)
			assert.Equal(t, want, runs.value.said, flag)
			kitchen, err := runfile.DecodeKitchen(bytes.NewReader(q.Files["kitchen.toml"]), "kitchen.toml")
			require.NoError(t, err)
			assert.Equal(t, kitchen, kitchens.value.said, flag)
		}
	}
}

// What past runs teach and what stands full is read out of the other files of the phone.
func TestOtherRunsAreThePast(t *testing.T) {
	folder := "../../../testdata/year"
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	q := asking(t, "plan")
	q.Files, q.Runs = map[string][]byte{}, nil
	for _, entry := range entries {
		data, err := os.ReadFile(filepath.Join(folder, entry.Name()))
		require.NoError(t, err)
		q.Files[entry.Name()] = data
	}
	for name, data := range q.Files {
		if strings.HasSuffix(name, ".toml") && name != kitchenFile && !strings.Contains(string(data), "[[note]]") {
			q.Runs = []string{name}
		}
	}
	require.NotNil(t, q.Runs)
	with := Of(q)
	require.Empty(t, with.Problems)
	for name := range q.Files {
		if name != q.Runs[0] && name != kitchenFile {
			delete(q.Files, name)
		}
	}
	without := Of(q)
	require.Empty(t, without.Problems)
	assert.NotEqual(t, without.Figures, with.Figures)
}

// Whatever is asked, there is an answer in JSON, and no file that cannot be read again takes
// the place of one that could.
func FuzzQuestion(f *testing.F) {
	kitchen, run := string(demo(f, "kitchen.toml")), string(demo(f, "run.toml"))
	for ask := range asks {
		f.Add(ask, kitchen, run, "bones", "4 lb", "began", "prepare", int64(1796000000))
	}
	f.Add("kitchen", kitchen, run, "pot[1].volume", "20 qt", "", "", int64(0))
	f.Add("press", kitchen, run+"[[note]]\nat = \"2026-11-28 08:00\"\nwhat = \"began\"\nstep = \"prepare\"\n", "", "", "strained", "11 qt", int64(1796000000))
	f.Fuzz(func(t *testing.T, ask, kitchen, run, key, text, what, step string, now int64) {
		q := Question{Ask: ask, Now: time.Unix(now%(1<<33), 0).UTC(), Zone: "America/Denver", Runs: []string{"run.toml"},
			Files: map[string][]byte{"kitchen.toml": []byte(kitchen), "run.toml": []byte(run)}, Set: map[string]string{key: text},
			Note: map[string]string{"id": "press12345", "what": what, "step": step, "value": text, "amount": text, "unit": key, "load": step}}
		if key == "" {
			q.Set = nil
		}
		question, err := json.Marshal(q)
		require.NoError(t, err)
		var a Answer
		require.NoError(t, json.Unmarshal([]byte(JSON(string(question))), &a))
		for name, data := range a.Files {
			if name == "kitchen.toml" {
				_, err = runfile.DecodeKitchen(bytes.NewReader(data), name)
			} else if strings.HasSuffix(name, ".toml") {
				_, err = runfile.DecodeRun(bytes.NewReader(data), name)
			}
			if err != nil && ask != "open" {
				t.Fatalf("%s: %v:\n%s", name, err, data)
			}
		}
	})
}
