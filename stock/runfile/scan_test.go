package runfile

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// anyForm takes whatever the library's own decoder finds in a file: the second
// opinion on what the scanner finds.
type anyForm struct {
	Source
	all      []key
	several  map[string]func()
	set      map[string][]any // by the scanner, in the order of the file
	want     map[string][]any // by the library, in the same order
	unlikely bool             // deeper, longer or more than any file a form describes
}

func (f *anyForm) keys() []key              { return f.all }
func (f *anyForm) lists() map[string]func() { return f.several }
func (f *anyForm) settle() *Error           { return nil }

func (f *anyForm) add(path string) {
	f.all = append(f.all, key{path, "1", func(v value) *problem {
		f.set[path] = append(f.set[path], v.is)
		return nil
	}})
}

// expect adds what v holds to the form.
func (f *anyForm) expect(path string, v any) {
	if find(f.all, path) == nil {
		f.add(path)
	}
	list, isList := v.([]any)
	for _, element := range list {
		_, isSection := element.(map[string]any)
		isList = isList && isSection
	}
	switch section, isSection := v.(map[string]any); {
	case isSection:
		f.all = append(f.all[:len(f.all)-1], key{name: path + ".known to be a section"})
		f.section(path, section)
	case isList && len(list) > 0:
		f.unlikely = f.unlikely || len(list) > maxCount
		f.several[path] = func() {}
		for _, element := range list {
			f.section(path, element.(map[string]any))
		}
	default:
		f.want[path] = append(f.want[path], v)
	}
}

func (f *anyForm) section(path string, section map[string]any) {
	for name, v := range section {
		f.unlikely = f.unlikely || utf8.RuneCountInString(name) > 40 || strings.Count(path, ".") >= maxParts-1
		if name == "" || strings.Trim(name, bareCharacters) != "" {
			name = strconv.Quote(name)
		}
		f.expect(strings.TrimPrefix(path+"."+name, "."), v)
	}
}

// agree decodes text by the scanner and by the library and compares keys, values and
// lines. It returns what was set, nil where the scanner need not take the file.
func agree(t *testing.T, text string) map[string][]any {
	var all map[string]any
	if toml.Unmarshal([]byte(text), &all) != nil {
		return nil
	}
	form := &anyForm{several: map[string]func(){}, set: map[string][]any{}, want: map[string][]any{}}
	form.section("", all)
	err := decode(strings.NewReader(text), "any.toml", form, new(anyForm), "other")
	if form.unlikely || err != nil && strings.Contains(err.Error(), "stands in a section of its own") {
		return nil
	}
	require.NoError(t, err)
	for path, want := range form.want {
		inline := false // in a list of sections that is written as a value
		for in := section(path); in != ""; in = section(in) {
			inline = inline || form.several[in] != nil && len(form.set[in]) > 0
		}
		if inline {
			continue
		}
		for i, v := range want {
			if _, isList := v.([]any); isList {
				want[i] = nil
			}
		}
		assert.Equal(t, fmt.Sprint(want), fmt.Sprint(form.set[path]), path)
	}
	// The library's strict mode tells where each key stands that has no field.
	decoder := toml.NewDecoder(strings.NewReader(text)).DisallowUnknownFields()
	var missing *toml.StrictMissingError
	if errors.As(decoder.Decode(new(struct{})), &missing) {
		seen := map[string]bool{}
		for _, e := range missing.Errors {
			path := ""
			for _, name := range e.Key() {
				if name == "" || strings.Trim(name, bareCharacters) != "" {
					name = strconv.Quote(name)
				}
				path = strings.TrimPrefix(path+"."+name, ".")
			}
			line, _ := e.Position()
			if form.Lines[path] > 0 && !seen[path] {
				assert.Equal(t, line, form.Lines[path], path)
			}
			seen[path] = true
		}
	}
	return form.set
}

func TestScannerFindsWhatTheLibraryDoes(t *testing.T) {
	for _, row := range []struct {
		source, text string
		key          string
		want         any
	}{
		{"TOML v1.0.0, Comment", "# a\nkey = \"value\" # b\nanother = \"# c\"", "another", "# c"},
		{"TOML v1.0.0, Keys: bare and dotted", "fruit . flavor = 1\n3.14159 = \"pi\"", "3.14159", "pi"},
		{"TOML v1.0.0, Keys: quoted", "site.\"google.com\" = true\n'quoted \"value\"' = 2\n\"\" = 3", `"quoted \"value\""`, int64(2)},
		{"TOML v1.0.0, String: escapes", `str = "a \"quoted\". N\tJos\u00E9\\"`, "str", "a \"quoted\". N\tJosé\\"},
		{"TOML v1.0.0, String: multi-line", "a = \"\"\"\\\n  one = 1\n  \\\"\"\" two\"\"\"\nb = 2", "a", "one = 1\n  \"\"\" two"},
		{"TOML v1.0.0, String: quotes beside the closing ones", "a = \"\"\"\"x\"\"\"\"\"\nb = '''''y'''''\nc = ''", "b", "''y''"},
		{"TOML v1.0.0, String: literal", "a = 'C:\\nodejs\\'\nb = '\"'", "a", `C:\nodejs\`},
		{"TOML v1.0.0, Array: lines, comments, a comma at the end", "a = [\n \"]\", # [\n [1, 2], '''\n]''',\n]\nb = 2", "b", int64(2)},
		{"TOML v1.0.0, Inline Table", "p = { x = 1, y.z = [ { } ], s = \"}\" } # c\nb = 2", "p.s", "}"},
		{"TOML v1.0.0, Table: blanks in a header", "[ d . \"e f\" ] # c\ng = 1", `d."e f".g`, int64(1)},
		{"TOML v1.0.0, Array of Tables", "[[a]]\nb = 1\n\n[[ a ]]\nb = 2\n", "a.b", int64(1)},
		{"TOML v1.0.0, Integer, Float", "a = 1_000\nb = 0xdead_beef\nc = -1.5e-3\nd = -inf", "b", int64(0xdeadbeef)},
		{"TOML v1.0.0, Spec: a newline is LF or CRLF", "a = 1\r\n\r\n[b]\r\nc = \"x\"\r\n", "b.c", "x"},
	} {
		t.Run(row.source, func(t *testing.T) {
			set := agree(t, row.text)
			require.NotEmpty(t, set[row.key])
			require.Equal(t, row.want, set[row.key][0])
		})
	}
}

// A value without an end is passed once, however many openings it has.
func TestScannerPassesOpenQuotesOnce(t *testing.T) {
	text := "name = " + strings.Repeat(`"""\`, 1<<17)
	var e *Error
	_, err := DecodeRun(strings.NewReader(text), "run.toml")
	require.ErrorAs(t, err, &e)
	require.Equal(t, 1, e.Line)
	s := scanner{text: text[len("name = "):]}
	require.Equal(t, s.text, s.value())
	require.Equal(t, len(s.text), quotedLength(s.text))
}

func FuzzScanner(f *testing.F) {
	f.Add("a.b = \"\"\"x\"\"\"\n[c]\nd = [ { e = 1 }, { e = 2 } ]\n[[g]]\n'h.i' = 2026-11-28 08:00:00 # j\n[[g]]\n")
	f.Add("a = { b = [\n1, # ]\n], \"c\" = {} }\r\n[ d . e ]\nf=\"\\\"#\"\n[ [1], ['''x''''']]\n")
	f.Add("a = [ # \"\n]\nb = 0x_1\n\"\\u0041\" = nan")
	f.Fuzz(func(t *testing.T, text string) { agree(t, text) })
}
