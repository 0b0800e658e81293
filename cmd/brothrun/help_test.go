package main

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"brothrun/cmd/brothrun/order"
	"brothrun/stock/ask"

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

// Every flag that sets something of the run has its setting in order.
func TestEveryFlagIsASetting(t *testing.T) {
	var names []string
	for _, flag := range slices.Concat(planFlags, racksFlags) {
		names = append(names, flag.name)
	}
	for _, flag := range chillFlags(new(ask.ChillQuery)) {
		if flag.set == nil {
			names = append(names, flag.name)
		}
	}
	for _, name := range names {
		if err := new(order.Request).Set(name, "x"); err != nil {
			assert.NotContains(t, err.Error(), "there is no setting", name)
		}
	}
	assert.Greater(t, len(names), 35)
}
