package text_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"brothrun/export/text"
)

func TestLinesBreakAtBlanks(t *testing.T) {
	tests := []struct {
		text  string
		width int
		want  []string
	}{
		{"", 10, []string{""}},
		{"one two three", 7, []string{"one two", "three"}},
		{"one two three", 6, []string{"one", "two", "three"}},
		{"a  word\nand another", 80, []string{"a word and another"}},
		{"abcdefghij k", 4, []string{"abcd", "efgh", "ij k"}},
		{"to abcdefghij", 4, []string{"to", "abcd", "efgh", "ij"}},
		{"7" + text.Glue + "quarts, 9" + text.Glue + "pints", 12, []string{"7 quarts,", "9 pints"}},
		{"\x1b[1mbold\x1b[0m text", 9, []string{"\x1b[1mbold\x1b[0m text"}},
		{"\x1b[1mboldest\x1b[0m", 4, []string{"\x1b[1mbold", "est\x1b[0m"}},
		{"Knödel über", 6, []string{"Knödel", "über"}},
	}
	for _, test := range tests {
		assert.Equal(t, test.want, text.Wrap(test.text, test.width), test.text)
	}
}

func TestTextHangsBesideItsHead(t *testing.T) {
	long := strings.Repeat("word ", 20)
	lines := text.Hang("  * ", long)
	assert.Len(t, lines, 2)
	assert.True(t, strings.HasPrefix(lines[0], "  * word"))
	assert.True(t, strings.HasPrefix(lines[1], "    word"))
	assert.Equal(t, []string{"  head"}, text.Hang("  head ", ""))
}

func TestCellsStandInColumns(t *testing.T) {
	rows := [][]string{{"", "jars", "loads"}, {"planned", "13" + text.Glue + "quarts", "2"}}
	table := text.Table{Indent: 2, Columns: []text.Column{{}, {Breaks: true}, {}}}.Fit(rows)
	assert.Equal(t, []string{"           jars       loads"}, table.Row(rows[0]...))
	assert.Equal(t, []string{"  planned  13 quarts  2"}, table.Row(rows[1]...))

	fixed := text.Table{Columns: []text.Column{{Width: 6}, {Width: 8}}}
	assert.Equal(t, []string{"a     b       c"}, fixed.Row("a", "b", "c"))
	assert.Equal(t, []string{"\x1b[31ma\x1b[0m     b"}, fixed.Row("\x1b[31ma\x1b[0m", "b"), "paint takes no room")
	assert.Equal(t, []string{"too wide b       c"}, fixed.Row("too wide", "b", "c"), "what is too wide moves the rest")
}

func TestATableNeverLeavesTheScreen(t *testing.T) {
	wide := strings.Repeat("wide ", 12)
	rows := [][]string{{"left", wide, "1", "2"}, {"left", "short", "1", "2"}}
	table := text.Table{Indent: 2, Columns: []text.Column{{}, {Breaks: true}, {Width: 12}, {}}}.Fit(rows)
	lines := table.Row(rows[0]...)
	assert.Equal(t, 2, len(lines))
	assert.Contains(t, lines[0], "1           2")
	for _, cells := range [][]string{
		rows[0], {wide + wide, "x", "y", "z"}, {"a", "b", wide + wide + wide, "c"}, {strings.Repeat("x", 100), "remark on it"},
	} {
		for _, line := range table.Row(cells...) {
			assert.LessOrEqual(t, text.Shown(line), text.Width, "%q", line)
		}
	}
}
