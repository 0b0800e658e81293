package export

import (
	"errors"
	"io"
	"time"

	"brothrun/export/words"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// Feed writes the calendar of one run for programs that ask for it again and again, as
// Calendar does; they are told to do so every options.Refresh. It has what stood in
// options.Former of this run, and nothing of others. Errors are those of Calendar.
func Feed(w io.Writer, plan timeline.Plan, options Options) error {
	if options.Former != nil {
		own := *options.Former
		own.kept = nil // not ours to hand on
		options.Former = &own
	}
	options.Others = false
	return Calendar(w, []timeline.Plan{plan}, options)
}

// errNoTimer is the error where no clock counts down.
var errNoTimer = errors.New("no load is on a clock that ends")

// Timer writes the clock of the load on the heat as one event that rings when it is over,
// or up to a minute later, never before. It is an error where no clock counts down at now;
// others are those of w.
func Timer(w io.Writer, plan timeline.Plan, now time.Time) error {
	for _, due := range plan.Due(now, now.Add(24*time.Hour)) {
		if due.Phase == timeline.NotOn {
			continue
		}
		whole := minute(due.At.Add(time.Minute - time.Second))
		event := ical.Event{
			UID: uidOf(plan.RunID, due.Step.ID+"-timer-"+words.Phase(due.Phase)), Run: RunKey(plan.RunID),
			Sequence: plan.Revision,
			Title:    ical.OneLine(words.Call(plan, due)), Category: checkCategory,
			Text:  ical.Clean(words.Title(plan, due.Step, words.Form{Units: plan.Batch.Units})),
			Start: whole.Add(leastReminder), End: whole.Add(leastReminder + time.Minute), Reminder: leastReminder,
		}
		file, err := ical.Calendar{Events: []ical.Event{event}}.Compose(now)
		if err != nil {
			return err
		}
		return file.Write(w)
	}
	return errNoTimer
}
