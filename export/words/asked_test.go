package words_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/words"
	"brothrun/timeline"
)

// Common practice, no source, but for the clock change: US, 1 Nov 2026 at 2:00.
func TestAskedIsSaidBackInFull(t *testing.T) {
	denver, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	for text, want := range map[string]string{
		"2026-11-28 08:00": "Begins Saturday 28 November 2026, 8 in the morning",
		"2026-11-28 08:30": "Begins Saturday 28 November 2026, 8:30 in the morning",
		"2026-11-28 12:00": "Begins Saturday 28 November 2026, at noon",
		"2026-11-28 12:15": "Begins Saturday 28 November 2026, 12:15 in the afternoon",
		"2026-11-28 18:00": "Begins Saturday 28 November 2026, 6 in the evening",
		"2026-11-28 22:05": "Begins Saturday 28 November 2026, 10:05 at night",
		"2026-11-28 04:00": "Begins Saturday 28 November 2026, 4 at night",
		"2026-11-28 00:00": "Begins Saturday 28 November 2026, 0:00, as the day begins",
		"2026-11-01 01:30": "Begins Sunday 1 November 2026, 1:30 at night (MDT)",
	} {
		at, err := time.ParseInLocation("2006-01-02 15:04", text, denver)
		require.NoError(t, err)
		assert.Equal(t, want, words.Asked(timeline.Plan{Asked: timeline.When{Start: at}}))
	}
	at := time.Date(2026, 11, 29, 18, 0, 0, 0, denver)
	assert.Equal(t, "To be done by Sunday 29 November 2026, 6 in the evening",
		words.Asked(timeline.Plan{Asked: timeline.When{FinishBy: at}}))
	assert.Equal(t, "Between Sunday 29 November 2026, 6 in the evening, and Monday 30 November 2026, 6 in the evening",
		words.Asked(timeline.Plan{Asked: timeline.When{From: at, Until: at.AddDate(0, 0, 1)}}))
	assert.Empty(t, words.Asked(timeline.Plan{}))
}
