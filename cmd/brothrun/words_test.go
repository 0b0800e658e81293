package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/process"
)

// README.md and the program say the same of a long simmer, in one sentence.
func TestReadmeSaysTheSameOfALongSimmer(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	assert.Contains(t, strings.Join(strings.Fields(string(readme)), " "), process.TierOf(2, 1, 1, 0).Text)
}
