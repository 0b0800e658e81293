package export

import (
	"strings"

	"brothrun/timeline"
)

// Asked is how a calendar is asked for beside its plans. What is nil is as it was in
// the calendar it takes the place of.
type Asked struct {
	// Remind is how long before a step its reminder comes, as timeline.ParseRemind reads
	// it; empty for what suits each step. It is for whoever places the steps: here it is
	// written down.
	Remind *string
	// NoWaiting leaves out what nobody is needed for.
	NoWaiting *bool
	// Phases has an event for each phase of a load.
	Phases *bool
}

// Or is what is asked for, and where nothing is, what was before.
func (a Asked) Or(before Asked) Asked {
	if a.Remind == nil {
		a.Remind = before.Remind
	}
	if a.NoWaiting == nil {
		a.NoWaiting = before.NoWaiting
	}
	if a.Phases == nil {
		a.Phases = before.Phases
	}
	return a
}

func is(choice *bool) bool { return choice != nil && *choice }

// String is what an event carries of it: "remind=15m waiting=no phases=yes"; empty where
// nothing was asked for.
func (a Asked) String() string {
	var parts []string
	if a.Remind != nil && *a.Remind != "" && *a.Remind != timeline.UsualRemind {
		parts = append(parts, "remind="+strings.ReplaceAll(*a.Remind, " ", ""))
	}
	if is(a.NoWaiting) {
		parts = append(parts, "waiting=no")
	}
	if is(a.Phases) {
		parts = append(parts, "phases=yes")
	}
	return strings.Join(parts, " ")
}

// parseAsked reads what String writes.
func parseAsked(text string) (a Asked, ok bool) {
	for part := range strings.FieldsSeq(text) {
		yes := true
		switch name, value, _ := strings.Cut(part, "="); {
		case name == "remind":
			if _, err := timeline.ParseRemind(value); err == nil {
				a.Remind = &value
			}
		case part == "waiting=no":
			a.NoWaiting = &yes
		case part == "phases=yes":
			a.Phases = &yes
		}
	}
	return a, a != Asked{}
}
