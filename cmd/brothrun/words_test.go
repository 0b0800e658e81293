package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/words"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
)

// README.md and the program say the same of a long simmer, in one sentence.
func TestReadmeSaysTheSameOfALongSimmer(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	note := remark.Note{Code: process.LongSimmer, Facts: []any{time.Hour, time.Minute, "this pot", quantity.Quart}}
	_, sentence, _ := strings.Cut(words.Note(note, words.Form{}), "this pot. ")
	sentence, _, _ = strings.Cut(sentence, " Half is")
	require.Greater(t, len(sentence), 100)
	assert.Contains(t, strings.Join(strings.Fields(string(readme)), " "), sentence)
}
