package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/agnivade/levenshtein"
	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/fault"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

const noteLong = `Notes what happened at the end of the run file, and says what follows: the rest
of the run is placed again from what is true, measured volumes take the place of
estimates, and the calendar file that the run names moves with it.

What can be noted, and with what:
  any step  began STEP, done STEP, late TIME [STEP], skipped STEP
  the pot   topped-up VOLUME|none, strained VOLUME [hot|cold], drained WEIGHT,
            ready VOLUME, reading TEMPERATURE
  a load    filled JARS, steam, vented, at-pressure, fell, heat-off, zero,
            lid-off
  jars      broken JARS, unsealed JARS, sealed JARS, used JARS
  dryer     drying, dried WEIGHT, frozen VOLUME
  anything  remark TEXT, undo ID

A note of a load is about the one that is on, unless --load says which, and one
of a step about the one that is on or next. Nothing is ever deleted: undo with
its id takes a wrong note back.`

// today is what note and now are given beside the run.
type today struct {
	kitchen, at string
	busy        []string
	remind      string // as the calendar that moves with it has it
}

func (t *today) register(cmd *cobra.Command, at string) {
	cmd.Flags().StringVar(&t.at, "at", "", at)
	cmd.Flags().StringVar(&t.kitchen, "kitchen", "", "`FILE` of the equipment that stays, instead of the run's")
	cmd.Flags().StringArrayVar(&t.busy, "busy", nil, "calendar `FILE` (.ics) of when you are out, beside the run's own (repeatable)")
}

// plan is the run of a file by its notes, and the present instant.
func (t *today) plan(path string) (order.Day, time.Time, error) {
	now, err := stamp()
	if err != nil {
		return order.Day{}, now, err
	}
	day, err := order.Today(machine(), path, t.kitchen, order.Clock{Now: now, Busy: t.busy, Remind: t.remind})
	return day, now, err
}

func newNote() *cobra.Command {
	var given today
	var note runfile.Note
	var write []string
	cmd := &cobra.Command{
		Use:   "note RUN.toml WHAT [VALUE]",
		Short: "Note what happened; the rest of the run moves",
		Long:  noteLong,
		Example: `  brothrun note run.toml strained 11 qt hot
  brothrun note run.toml late 30m
  brothrun note run.toml at-pressure --load 1 --at 10:54
  brothrun note run.toml undo k3v9bd`,
		Args: arguments(cobra.MinimumNArgs(2)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := put(&note, args[1], args[2:]); err != nil {
				return err
			}
			return noteDown(cmd.OutOrStdout(), args[0], note, given, write)
		},
	}
	given.register(cmd, "when it was, `TIME` such as 10:54 or \"2026-11-28 10:54\"; without it, now")
	cmd.Flags().IntVar(&note.Load, "load", 0, "the canner load it is about, by its `NUMBER`")
	cmd.Flags().StringVar(&note.Step, "step", "", "the `STEP` it is about, by its name in plan --json, such as simmer")
	cmd.Flags().StringArrayVar(&write, "write", nil, "calendar `FILE` (.ics) to move, beside the run's own (repeatable)")
	return cmd
}

// put fits a word and what follows it into a note: a step for what is about one, else a
// value.
func put(note *runfile.Note, word string, rest []string) error {
	note.What = strings.ToLower(strings.TrimSpace(word))
	what := record.What(note.What)
	if !what.Known() {
		nearest := slices.MinFunc(record.Words(), func(a, b record.What) int {
			return levenshtein.ComputeDistance(note.What, string(a)) - levenshtein.ComputeDistance(note.What, string(b))
		})
		return fault.New("", "brothrun note --help lists them", "%q is nothing that can be noted; the nearest is %s", word, nearest)
	}
	step := &rest
	switch what {
	case record.Began, record.Done, record.Skipped:
	case record.Late:
		step = new([]string)
		if len(rest) > 1 && strings.ContainsAny(rest[0], "0123456789") && !strings.ContainsAny(rest[1][:1], "0123456789mh") {
			rest, *step = rest[:1], rest[1:]
		}
		note.Value = strings.Join(rest, " ")
	default:
		step = new([]string)
		note.Value = strings.TrimSpace(strings.Join(rest, " "))
	}
	if named := strings.Join(*step, "-"); named != "" {
		if note.Step != "" && note.Step != named {
			return fault.New("step", "give one of them", "the step is given twice, %s and --step %s", named, note.Step)
		}
		note.Step = named
	}
	return nil
}

// noteDown checks a note against the plan there is, adds it to the run file, and says
// what follows.
func noteDown(stdout io.Writer, path string, note runfile.Note, given today, write []string) error {
	before, now, err := given.plan(path)
	if err != nil {
		return err
	}
	at, err := before.Moment(given.at, now)
	if err != nil {
		return err
	}
	note.ID = newNoteID(before.Run)
	note, entry, err := before.Note(note, at)
	if err != nil {
		return err
	}
	if _, _, err := appendNote(path, note); err != nil {
		return err
	}
	after, _, err := given.plan(path)
	if err != nil {
		return fmt.Errorf("noted (%s), but what follows cannot be planned: %w", note.ID, err)
	}
	questions := before.Plan.Odd(before.Planned, entry, now)
	if err := export.Noted(stdout, before.Plan, after.Plan, entry, questions, colourful(stdout)); err != nil {
		return err
	}
	if err := move(stdout, &after, write, given, now); err != nil {
		return fmt.Errorf("noted (%s), but the calendar stays as it was: %w", note.ID, err)
	}
	if after.Plan.Batch.EndsAtStraining() {
		return errRefused
	}
	return nil
}

// move writes the calendar files of a run again: the same events, moved.
func move(stdout io.Writer, day *order.Day, write []string, given today, now time.Time) error {
	if own := day.CalendarFile(); own != "" && !slices.Contains(write, own) {
		write = append([]string{own}, write...)
	}
	if len(write) == 0 || len(day.Plan.Steps) == 0 {
		return nil
	}
	outs, err := outputs(write, "")
	if err != nil {
		return err
	}
	if err := prepare(outs, true, inputs([]*order.Request{day.Request}, append(day.BusyFiles(), given.busy...)),
		order.RunIDs([]*order.Request{day.Request})); err != nil {
		return err
	}
	if given.remind = remind(outs, export.Asked{}); given.remind != "" {
		moved, _, err := given.plan(day.RunFile)
		if err != nil {
			return err
		}
		*day = moved
	}
	formers := make([]*export.Former, len(outs))
	for i, o := range outs {
		formers[i] = o.former
	}
	day.Keep(formers, now)
	if err := writeAll(outs, stdout, []timeline.Plan{day.Plan}, export.Options{Now: now}, true); err != nil {
		return err
	}
	for _, o := range outs {
		fmt.Fprintf(stdout, "  Calendar: %s\n", export.Printable(o.path))
	}
	return nil
}
