package words

import (
	"strings"

	"brothrun/stock/record"
	"brothrun/timeline"
)

// Look says what is known of jars on the shelf; nothing of those that were looked at.
func Look(l timeline.Look) string {
	switch l {
	case timeline.NotLookedAt:
		return "not yet looked at"
	case timeline.TimeUnsaid:
		return "time at pressure not noted"
	}
	return ""
}

// LookCode is Look for scripts.
func LookCode(l timeline.Look) string {
	switch l {
	case timeline.NotLookedAt:
		return "not-looked-at"
	case timeline.TimeUnsaid:
		return "time-not-noted"
	}
	return "sealed"
}

// Missing lists what nobody noted, as the words to note it by.
func Missing(words []record.What, between string) string {
	var names []string
	for _, word := range words {
		names = append(names, string(word))
	}
	return strings.Join(names, between)
}
