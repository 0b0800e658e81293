package main

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHelpFitsTheScreen(t *testing.T) {
	var visit func(cmd *cobra.Command)
	seen := 0
	visit = func(cmd *cobra.Command) {
		seen++
		var text bytes.Buffer
		cmd.SetOut(&text)
		require.NoError(t, cmd.Help())
		for line := range strings.SplitSeq(text.String(), "\n") {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), helpWidth, "%s: %s", cmd.CommandPath(), line)
		}
		for _, sub := range cmd.Commands() {
			visit(sub)
		}
	}
	visit(newRoot())
	assert.Greater(t, seen, 6)
}
