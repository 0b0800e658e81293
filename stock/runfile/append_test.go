package runfile_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/runfile"
)

var strained = runfile.Note{ID: "k3v9tw", At: "2026-11-28 17:10:30", What: "strained", Value: "11 qt",
	Step: "strain", Load: 2}

func TestWhatIsAppended(t *testing.T) {
	const written = `[[note]]
id = "k3v9tw"
at = "2026-11-28 17:10:30"
what = "strained"
value = "11 qt"
step = "strain"
load = 2
`
	short := runfile.Note{At: "2026-11-28 17:10:30", What: "done"}
	for _, row := range []struct {
		name, old string
		note      runfile.Note
		added     string
	}{
		{"every key", "name = \"x\"\n", strained, "\n" + written},
		{"only what has to be given", "name = \"x\"\n", short, "\n[[note]]\nat = \"2026-11-28 17:10:30\"\nwhat = \"done\"\n"},
		{"a file without a last line end", "name = \"x\"", strained, "\n\n" + written},
		{"one that ends in a comment", "# a broth", strained, "\n\n" + written},
		{"CRLF", "name = \"x\"\r\n", strained, strings.ReplaceAll("\n"+written, "\n", "\r\n")},
		{"CRLF without a last line end", "name = \"x\"\r\nkind = \"beef\"", strained, strings.ReplaceAll("\n\n"+written, "\n", "\r\n")},
		{"line ends of both kinds: as the last", "name = \"x\"\r\nkind = \"beef\"\n", strained, "\n" + written},
		{"another section last", "[[bones]]\nkind = \"beef\"\nweight = \"2 lb\"\n", strained, "\n" + written},
		{"an empty file", "", strained, written},
		{"nothing but a byte order mark", "\ufeff", strained, written},
		{"quotes, emoji, a script from right to left, a turning mark", "", runfile.Note{At: "2026-11-28T17:10:30-07:00", What: "remark",
			Value: "\"6\\8\" 🍲 מרק \u202eqt"},
			"[[note]]\nat = \"2026-11-28T17:10:30-07:00\"\nwhat = \"remark\"\nvalue = \"\\\"6\\\\8\\\" 🍲 מרק \\U0000202Eqt\"\n"},
	} {
		data, run, err := runfile.Append([]byte(row.old), "run.toml", row.note)
		require.NoError(t, err, row.name)
		assert.Equal(t, row.old+row.added, string(data), row.name)
		assert.Equal(t, row.note, run.Notes[0], row.name)
	}
}

func TestANoteIsAppendedOnce(t *testing.T) {
	once, _, err := runfile.Append([]byte("kind = \"beef\"\n"), "run.toml", strained)
	require.NoError(t, err)
	other := runfile.Note{ID: strained.ID, At: "2026-11-28 18:00:00", What: "undo", Value: "x"}
	for _, note := range []runfile.Note{strained, other} {
		twice, run, err := runfile.Append(once, "run.toml", note)
		require.NoError(t, err)
		assert.Equal(t, string(once), string(twice))
		assert.Equal(t, []runfile.Note{strained}, run.Notes, "what stands there is kept")
	}
	nameless := strained
	nameless.ID = ""
	data, _, err := runfile.Append(once, "run.toml", nameless)
	require.NoError(t, err)
	_, run, err := runfile.Append(data, "run.toml", nameless)
	require.NoError(t, err)
	assert.Equal(t, []runfile.Note{strained, nameless, nameless}, run.Notes, "without an ID nothing is known again")
}

func TestWhatIsNotAppended(t *testing.T) {
	remark := func(value string) runfile.Note {
		return runfile.Note{At: "2026-11-28 17:10:30", What: "remark", Value: value}
	}
	comment := func(length int) string { return "#" + strings.Repeat("x", length-2) + "\n" }
	for _, row := range []struct {
		old  string
		note runfile.Note
		want string
	}{
		{"", runfile.Note{ID: "a", What: "done"}, "run.toml: note: needs both at and what"},
		{"", runfile.Note{ID: "a", At: "2026-11-28 17:10:30"}, "run.toml: note: needs both at and what"},
		{"", runfile.Note{At: "17:10", What: "done"}, `run.toml: note.at: "17:10" is no date and time from 1970 to 2200 on a 24-hour clock`},
		{"", runfile.Note{At: "2026-11-28 17:10:30", What: "straned"}, `run.toml: note.what: "straned" is nothing that can be noted; the nearest is strained`},
		{"", runfile.Note{At: "2026-11-28 17:10:30", What: "Done"}, `run.toml: note.what: "Done" would be read as "done"`},
		{"", runfile.Note{At: "2026-11-28 17:10:30", What: "done", Load: 1001}, "run.toml: note.load: must be a whole number from 1 to 1000, not the number 1001"},
		{"", runfile.Note{At: "2026-11-28 17:10:30", What: "done", Load: -1}, "run.toml: note.load: must be a whole number from 1 to 1000, not the number -1"},
		{"", remark(strings.Repeat("ü", 501)), "run.toml: note.value: is 501 characters long, must be at most 500"},
		{"", remark("two\nlines"), "run.toml: note.value: holds a line break or another control character"},
		{"", remark("a\x00b"), "run.toml: note.value: holds a line break or another control character"},
		{"", remark(" 11 qt"), `run.toml: note.value: " 11 qt" would be read as "11 qt"`},
		{"", remark("a\xffb"), "run.toml: note.value: \"a\\xffb\" would be read as \"a\ufffdb\""},
		{"kind = \"beef\"\nname = '''abc", remark("''' # x"), "run.toml:2: cannot be read as TOML"}, // which would close it
		{"name = [", strained, "run.toml:1: name: must be text in quotes, not a list"},
		{"name = \"abc", strained, "run.toml:1: cannot be read as TOML"},
		{"name", strained, "run.toml:1: cannot be read as TOML"},
		{"[canner]\nracks = 2\n", strained, "run.toml:1: canner: belongs in the kitchen file"},
		{comment(runfile.MaxSize - 100), strained, "run.toml: would be larger than 1 MiB with one more note"},
		{comment(runfile.MaxSize + 1), strained, "run.toml: is larger than 1 MiB"},
		{strings.Repeat("[[note]]\nat = \"2026-11-28 17:10\"\nwhat = \"done\"\n", 1000), strained, "run.toml: holds 1000 notes, the most it may"},
	} {
		data, _, err := runfile.Append([]byte(row.old), "run.toml", row.note)
		var e *runfile.Error
		require.ErrorAs(t, err, &e, row.want)
		assert.ErrorContains(t, err, row.want)
		assert.Empty(t, data)
	}
	largest := comment(runfile.MaxSize - len("\n[[note]]\nat = \"2026-11-28 17:10:30\"\nwhat = \"done\"\n"))
	_, _, err := runfile.Append([]byte(largest), "run.toml", runfile.Note{At: "2026-11-28 17:10:30", What: "done"})
	assert.NoError(t, err)
}

// drawnRun is a run file in one of the forms that files have.
func drawnRun(r *rand.Rand) string {
	text := document(runfile.RunKeys(), r.IntN(2))
	lines := strings.SplitAfter(text, "\n")
	between := []string{"\n", "# [[note]]\n", "# \"\"\" מרק 🍲\n", "  \t\n"}
	for range r.IntN(4) {
		lines = slices.Insert(lines, r.IntN(len(lines)), between[r.IntN(len(between))])
	}
	if r.IntN(3) == 0 { // no sections, or some of them
		lines = lines[:slices.Index(lines, "[[note]]\n")]
	}
	text = strings.Join(lines, "")
	text += []string{"", "# the end", "\n\n", "[[note]]\nat = 2026-11-28 08:00:00\nwhat = 'done' # so"}[r.IntN(4)]
	if r.IntN(3) == 0 {
		text = strings.TrimRight(text, "\n")
	}
	if r.IntN(2) == 0 {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	return []string{"", "\ufeff"}[r.IntN(2)] + text
}

// drawnText is up to 12 characters, of which few are letters, without blanks at its
// ends and line breaks.
func drawnText(r *rand.Rand) string {
	alphabet := []rune("aZ9 .,#=[]{}\"'\\/%$`\u00a0\u202e\u2066\u200d\u2028\ufeffé́מרقش湯🍲👩\U0010ffff")
	var text []rune
	for range 1 + r.IntN(12) {
		text = append(text, alphabet[r.IntN(len(alphabet))])
	}
	if trimmed := strings.TrimSpace(string(text)); trimmed != "" {
		return trimmed
	}
	return "'''"
}

// Whatever the file and the note: the file that comes out begins with the one that
// went in, and says the same and the note.
func TestAppendedNotesReadBack(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 1))
	for range 2000 {
		old, note := drawnRun(r), runfile.Note{At: "2026-11-28 17:10:30", What: "remark"}
		for _, text := range []*string{&note.ID, &note.Value, &note.Step} {
			if r.IntN(3) > 0 {
				*text = drawnText(r)
			}
		}
		note.Load = r.IntN(4)
		appendedReadsBack(t, []byte(old), note)
	}
}

func appendedReadsBack(t *testing.T, old []byte, note runfile.Note) {
	t.Helper()
	before, err := runfile.DecodeRun(bytes.NewReader(old), "run.toml")
	require.NoError(t, err, "%q", old)
	data, run, err := runfile.Append(old, "run.toml", note)
	require.NoError(t, err, "%q %+v", old, note)
	require.True(t, bytes.HasPrefix(data, old))
	after, err := runfile.DecodeRun(bytes.NewReader(data), "run.toml")
	require.NoError(t, err)
	require.Equal(t, after, run)
	if note.ID != "" && slices.ContainsFunc(before.Notes, func(n runfile.Note) bool { return n.ID == note.ID }) {
		require.Equal(t, string(old), string(data))
		return
	}
	require.Equal(t, append(before.Notes, note), after.Notes, "%q", data)
	before.Notes, after.Notes = nil, nil
	require.Subset(t, after.Lines, before.Lines, "no line is moved")
	before.Lines, after.Lines = nil, nil
	require.Equal(t, before, after)

	added := string(data[len(old):])
	if bytes.Contains(old, []byte("\r\n")) {
		added = strings.ReplaceAll(added, "\r\n", "")
		require.NotContains(t, added, "\n", "line ends are as before")
	}
	require.NotContains(t, added, "\r")
	var parsed struct{ Note []map[string]any }
	require.NoError(t, toml.Unmarshal(bytes.TrimPrefix(data, []byte("\ufeff")), &parsed), "to a reader of TOML too")
	require.Len(t, parsed.Note, run.Revision())
}

// A file that is none and a note that is none are errors; all else reads back.
func FuzzAppend(f *testing.F) {
	f.Add([]byte(document(runfile.RunKeys(), 0)), "k3v9tw", "2026-11-28 17:10:30", "strained", "11 qt", "strain", 1)
	f.Add([]byte("\ufeffname = '''abc"), "", "2026-11-28 17:10:30", "remark", "''' # x", "", 0)
	f.Add([]byte("name = \"x\"\r"), "a\"b", "2026-11-28 17:10:30+01:00", "undo", "\u202e\x01", "\\", -1)
	f.Fuzz(func(t *testing.T, old []byte, id, at, what, value, step string, load int) {
		note := runfile.Note{ID: id, At: at, What: what, Value: value, Step: step, Load: load}
		data, run, err := runfile.Append(old, "run.toml", note)
		if err != nil {
			require.ErrorAs(t, err, new(*runfile.Error))
			require.NotContains(t, err.Error(), "\n")
			return
		}
		require.True(t, bytes.HasPrefix(data, old))
		again, err := runfile.DecodeRun(bytes.NewReader(data), "run.toml")
		require.NoError(t, err)
		require.Equal(t, run, again)
		require.True(t, len(data) == len(old) || run.Notes[run.Revision()-1] == note)
		once, _, err := runfile.Append(data, "run.toml", note)
		require.NoError(t, err)
		require.True(t, note.ID == "" || bytes.Equal(data, once), "known the second time")
	})
}

func BenchmarkAppendNote(b *testing.B) {
	for _, notes := range []int{0, 20, 100, 500} {
		file := []byte(document(runfile.RunKeys(), 0))
		for i := range notes {
			note := strained
			note.ID = fmt.Sprintf("n%d", i)
			var err error
			file, _, err = runfile.Append(file, "run.toml", note)
			require.NoError(b, err)
		}
		b.Run(fmt.Sprintf("to %d notes", notes), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, _, err := runfile.Append(file, "run.toml", strained); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
