package export_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/timeline"
)

// A feed has its own run, with the same events as the file, and nothing that others put into
// the file beside it.
func TestAFeedHasItsOwnRunAlone(t *testing.T) {
	ours, other := turkeyFrames(t), overChange(time.UTC, now)
	both, _ := replace(t, nil, export.Options{}, ours, other)
	const dentist = "BEGIN:VEVENT\r\nUID:dentist\r\nDTSTAMP:20261101T000000Z\r\nDTSTART:20261128T150000Z\r\n" +
		"DTEND:20261128T160000Z\r\nSUMMARY:Dentist\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
	both = bytes.Replace(both, []byte("END:VCALENDAR\r\n"), []byte(dentist), 1)
	former, err := export.ReadFormer(bytes.NewReader(both))
	require.NoError(t, err)
	var feed bytes.Buffer
	options := export.Options{Now: now, Former: former, Refresh: 15 * time.Minute, Others: true}
	require.NoError(t, export.Feed(&feed, ours, options))
	assert.NotContains(t, feed.String(), "Dentist")
	assert.Contains(t, feed.String(), "\r\nREFRESH-INTERVAL;VALUE=DURATION:PT15M\r\nX-PUBLISHED-TTL:PT15M\r\n") // RFC 7986 5.7

	alone, _ := replace(t, nil, export.Options{}, ours)
	uids := func(file string) (found []string) {
		for line := range strings.Lines(file) {
			if strings.HasPrefix(line, "UID:") {
				found = append(found, line)
			}
		}
		return found
	}
	assert.Equal(t, uids(string(alone)), uids(feed.String()))
	var file bytes.Buffer
	require.NoError(t, export.Calendar(&file, []timeline.Plan{ours}, export.Options{Now: now, Former: former}))
	assert.Contains(t, file.String(), "Dentist", "the former is as it was")
}

// Without a clock that counts down there is no timer.
func TestNoTimerWithoutAClock(t *testing.T) {
	var file bytes.Buffer
	assert.Error(t, export.Timer(&file, turkeyFrames(t), now))
	assert.Empty(t, file.String())
}
