package runfile_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/stock/runfile"
)

func field(t testing.TB, data []byte, key string) runfile.Field {
	t.Helper()
	for _, f := range runfile.Fields(data) {
		if f.Key == key {
			return f
		}
	}
	return runfile.Field{}
}

func TestTheStarterIsAForm(t *testing.T) {
	data := []byte(runfile.Starter())
	all := runfile.Fields(data)
	require.Greater(t, len(all), 40)
	assert.Equal(t, "altitude", all[0].Key)
	assert.Equal(t, "___ ft", all[0].Example)
	assert.Contains(t, all[0].Advice, "Height of your kitchen above sea level.")
	for _, row := range [][2]string{{"altitude", "3200 ft"}, {"gauge", "weighted"}, {"canner.racks", "2"}, {"jars.quart", "14"},
		{"pot[0].name", "big pot"}, {"pot[0].volume", "22 qt"}, {"zone", "America/Denver"}, {"fridge.temperature", "38 F"}} {
		var err error
		data, err = runfile.Edit(data, row[0], row[1])
		require.NoError(t, err)
		assert.Equal(t, row[1], field(t, data, row[0]).Text, row[0])
	}
	kitchen, err := runfile.DecodeKitchen(bytes.NewReader(data), "kitchen.toml")
	require.NoError(t, err, string(data))
	assert.InDelta(t, 3200, kitchen.Altitude.Feet(), 1e-9)
	assert.Equal(t, "big pot", kitchen.Pots[0].Name)
	assert.Equal(t, 2, kitchen.Canner.Racks)
	assert.Equal(t, 14, kitchen.Jars["quart"])
	for _, key := range []string{"altitude", "gauge"} {
		data, err = runfile.Edit(data, key, "")
		require.NoError(t, err)
		assert.Empty(t, field(t, data, key).Text)
	}
}

func TestOneKeyIsChangedInPlace(t *testing.T) {
	for _, row := range []struct{ name, file, key, text, want string }{
		{"a comment stays", "bones = \"9 lb\"  # picked\n", "bones", "8 lb", "bones = \"8 lb\"  # picked\n"},
		{"a mark and line ends stay", "\ufeffkind = 'beef'\r\nbones = '9 lb'\r\n", "kind", "chicken", "\ufeffkind = \"chicken\"\r\nbones = '9 lb'\r\n"},
		{"a number stays one", "[canner]\nracks = 1\n", "canner.racks", "2", "[canner]\nracks = 2\n"},
		{"a dotted key", "canner.racks = 1\n", "canner.racks", "2", "canner.racks = 2\n"},
		{"a # in a text", "name = \"a # b\" # c\n", "name", "d", "name = \"d\" # c\n"},
		{"quotes", "name = \"x\"\n", "name", `a"b\c`, `name = "a\"b\\c"` + "\n"},
		{"at the end of its section", "kind = 'beef'\n[jars]\nquart = 1\n", "bones", "9 lb", "kind = 'beef'\nbones = \"9 lb\"\n[jars]\nquart = 1\n"},
		{"in a section of its own", "kind = 'beef'", "canner.width", "12 in", "kind = 'beef'\n\n[canner]\nwidth = \"12 in\"\n"},
		{"the second of a list", "[[pot]]\nname = 'a'\n[[pot]]\nname = 'b'\n", "pot[1].name", "c", "[[pot]]\nname = 'a'\n[[pot]]\nname = \"c\"\n"},
		{"taken out", "lid = 'on'\nkind = 'beef'\n", "lid", "", "#lid = 'on'\nkind = 'beef'\n"},
		{"and back", "#lid = 'on'\nkind = 'beef'\n", "lid", "off", "lid = \"off\"\nkind = 'beef'\n"},
		{"what is not there", "kind = 'beef'\n", "lid", "", "kind = 'beef'\n"},
		{"an empty file", "", "lid", "on", "lid = \"on\"\n"},
	} {
		got, err := runfile.Edit([]byte(row.file), row.key, row.text)
		require.NoError(t, err, row.name)
		assert.Equal(t, row.want, string(got), row.name)
	}
	for _, row := range [][3]string{{"name = 'a'\n", "name", "two\nlines"}, {"pot = [\n'a',\n'b']\n", "pot", "c"},
		{"name = \"\"\"\na\"\"\"\n", "name", "b"}, {"name = '''\nlid = \"on\"'''\n", "lid", "off"}, {"name = 'a'\n", "name", strings.Repeat("x", 501)}} {
		_, err := runfile.Edit([]byte(row[0]), row[1], row[2])
		assert.Error(t, err, row[0])
	}
}

// Whatever text is written for whatever key, every other line stays, and the file says the
// text.
func TestEveryOtherLineStays(t *testing.T) {
	var files [][]byte
	for _, pattern := range []string{"demo/*.toml", "pots/*.toml", "weekend/*.toml"} {
		paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", pattern))
		require.NoError(t, err)
		for _, path := range paths {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			files = append(files, data, bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n")))
		}
	}
	require.GreaterOrEqual(t, len(files), 12)
	rapid.Check(t, func(t *rapid.T) {
		data := rapid.SampledFrom(files).Draw(t, "file")
		key := rapid.SampledFrom([]string{"name", "kind", "bones", "gauge", "lid", "canner.width", "pot[0].name", "fridge.temperature",
			"jars", "route", "zone", "canner.racks"}).Draw(t, "key")
		text := strings.TrimSpace(rapid.StringMatching(`[ -~äß€\x{202e}\t]{1,40}`).Draw(t, "text"))
		got, err := runfile.Edit(data, key, text)
		if err != nil {
			return // a list
		}
		if text == "" {
			return
		}
		var found []string
		for _, f := range runfile.Fields(got) {
			if f.Key == key {
				found = append(found, f.Text)
			}
		}
		if len(found) != 1 || found[0] != text {
			t.Fatalf("%s: %q, not %q\n%s", key, found, text, got)
		}
		before, after := strings.SplitAfter(string(data), "\n"), strings.SplitAfter(string(got), "\n")
		first, last := 0, 0
		for first < min(len(before), len(after)) && before[first] == after[first] {
			first++
		}
		for last < min(len(before), len(after))-first && before[len(before)-1-last] == after[len(after)-1-last] {
			last++
		}
		if len(before)-first-last > 1 {
			t.Fatalf("%s = %q: more than one line changed\n%s", key, text, got)
		}
	})
}

// As an outside reader of TOML (go-toml) sees it, the key says the text and all others what
// they said; a file that it cannot read is none after either.
func FuzzEdit(f *testing.F) {
	for _, name := range []string{"demo/kitchen.toml", "demo/run.toml", "pots/run.toml", "weekend/kitchen.toml"} {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", name))
		if err != nil {
			continue
		}
		f.Add(string(data), "name", "hers")
		f.Add(string(data), "canner.width", "12 in")
		f.Add(string(data), "pot[0].volume", "20 qt")
	}
	f.Add(runfile.Starter(), "altitude", "3200 ft")
	f.Add("[canner]\nwidth = 1 # a\n[[pot]]\n", "pot[0].name", "#")
	f.Fuzz(func(t *testing.T, text, key, value string) {
		var before, after map[string]any
		edited, err := runfile.Edit([]byte(text), key, value)
		if err != nil || toml.Unmarshal([]byte(strings.TrimPrefix(text, "\ufeff")), &before) != nil {
			return
		}
		if err := toml.Unmarshal(bytes.TrimPrefix(edited, []byte("\ufeff")), &after); err != nil {
			return // a section that stands elsewhere as a value: who edits reads it after, and keeps nothing
		}
		if value == "" || !regexp.MustCompile(`^[a-z_]+$`).MatchString(key) {
			return
		}
		if fmt.Sprint(after[key]) != value && strings.TrimSpace(value) == value && utf8.ValidString(value) {
			t.Fatalf("%s says %v, not %q:\n%s", key, after[key], value, edited)
		}
		delete(before, key)
		delete(after, key)
		if fmt.Sprint(before) != fmt.Sprint(after) {
			t.Fatalf("%v became %v", before, after)
		}
	})
}
