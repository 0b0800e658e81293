package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
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
	day, err := order.Today(machine(), path, t.kitchen, order.Clock{Now: now, Busy: t.busy})
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
	cmd.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		if negative.MatchString(err.Error()) {
			return fault.Of("", err, "-- before a value that is below zero: brothrun note RUN.toml reading -- -3C")
		}
		return cmd.Parent().FlagErrorFunc()(cmd, err)
	})
	given.register(cmd, "when it was, `TIME` such as 10:54 or \"2026-11-28 10:54\"; without it, now")
	cmd.Flags().IntVar(&note.Load, "load", 0, "the canner load it is about, by its `NUMBER`")
	cmd.Flags().StringVar(&note.Step, "step", "", "the `STEP` it is about, by its name in plan --json, such as simmer")
	cmd.Flags().StringArrayVar(&write, "write", nil, "calendar `FILE` (.ics) to move, beside the run's own (repeatable)")
	return cmd
}

// negative is the complaint of a value below zero that was taken for a flag.
var negative = regexp.MustCompile(`shorthand flag: '[0-9.]'`)

// put fits a word and what follows it into a note: a step for what is about one, else a
// value. Empty arguments say nothing.
func put(note *runfile.Note, word string, rest []string) error {
	note.What = strings.ToLower(strings.TrimSpace(word))
	what := record.What(note.What)
	if !what.Known() {
		return fault.New("", "brothrun note --help lists them",
			"%q is nothing that can be noted; the nearest is %s", word, fault.Nearest(note.What, record.Words()))
	}
	rest = strings.Fields(strings.Join(rest, " "))
	values := len(rest)
	switch what {
	case record.Began, record.Done, record.Skipped:
		values = 0
	case record.Late: // what reads as a time is one, and a step follows it
		for values > 0 {
			if _, err := quantity.ParseDuration(strings.Join(rest[:values], " ")); err == nil {
				break
			}
			values--
		}
		if values == 0 {
			values = len(rest)
		}
	}
	note.Value = strings.Join(rest[:values], " ")
	if named := strings.Join(rest[values:], "-"); named != "" {
		if note.Step != "" && note.Step != named {
			return fault.New("step", "give one of them", "the step is given twice, %s and --step %s", named, note.Step)
		}
		note.Step = named
	}
	return nil
}

// noteDown works out what follows from a note, adds it to the run file, moves the
// calendars, and says so. Once it stands in the file, what goes wrong takes nothing of
// it back.
func noteDown(stdout io.Writer, path string, note runfile.Note, given today, write []string) error {
	now, err := stamp()
	if err != nil {
		return err
	}
	noting := order.Noting{Note: note, At: given.at, Kitchen: given.kitchen, NewID: newNoteID,
		Clock: order.Clock{Now: now, Busy: given.busy}}
	noted, calendars, stays, err := addNote(path, noting, write, false)
	if err != nil {
		return err
	}
	failed := func(format string, err error) error {
		text := err.Error()
		if next := (*fault.Fault)(nil); errors.As(err, &next) && next.Hint != "" {
			text += "; " + next.Hint
		}
		return fmt.Errorf("noted (%s), but "+format, noted.Entry.ID, text) // it is no fault of the note
	}
	if noted.Unplanned != nil {
		return failed("the run cannot be planned as it is: %s", noted.Unplanned)
	}
	before, after := noted.Before.Plan, noted.After.Plan
	if err := export.Noted(stdout, before, after, noted.Entry, noted.Questions, colourful(stdout)); err != nil {
		return failed("the answer cannot be written: %s", err)
	}
	if stays != nil {
		return failed("the calendar stays as it was: %s", stays)
	}
	for _, o := range calendars {
		if _, err := fmt.Fprintf(stdout, "  Calendar: %s\n", export.Printable(o.path)); err != nil {
			return failed("the answer cannot be written: %s", err)
		}
	}
	if after.Batch.EndsAtStraining() {
		return errRefused
	}
	return nil
}

// addNote makes a note in a run file and moves its calendars, and those of write; stays is
// why they stay as they were. A calendar that cannot be moved keeps the note from being made,
// but for an undo, and for any note where it is said so. Once it returns without err the
// note stands in the file.
func addNote(
	path string, noting order.Noting, write []string, anyway bool,
) (noted order.Noted, calendars []output, stays, err error) {
	err = change(path, func(old []byte) (data []byte, err error) {
		if noted, err = noting.In(machine(), old, path); err != nil || noted.Unplanned != nil {
			return noted.Data, err
		}
		calendars, err = movable(noted.After, write, noting.Clock.Busy)
		if err = noted.After.Locate(err); err != nil && (anyway || noted.Entry.What == record.Undo) {
			calendars, stays, err = nil, err, nil // nothing stands in its way
		}
		return noted.Data, err
	}, func() {
		if stays == nil {
			stays = move(calendars, noted, noting.Clock)
		}
	})
	return noted, calendars, stays, err
}

// movable are the calendar files that move with a run: its own, and those of --write. A
// file that is read is none, but for a calendar of ours that the run says is busy too:
// its own events do not stand in its way.
func movable(day order.Day, write, busy []string) ([]output, error) {
	var outs []output
	own := day.CalendarFile()
	if own != "" {
		outs = append(outs, output{path: own, form: "ics", key: "calendar"})
	}
	for _, path := range write {
		if !strings.EqualFold(filepath.Ext(path), ".ics") {
			return nil, fault.New("write", "end the file name in .ics; brothrun plan --write writes the other forms",
				"--write %s: a note moves calendars alone", path)
		}
		if own == "" || filepath.Clean(path) != filepath.Clean(own) {
			outs = append(outs, output{path: path, form: "ics"})
		}
	}
	if len(day.Plan.Steps) == 0 {
		outs = nil
	}
	read := inputs([]*order.Request{day.Request}, busy)
	for _, path := range day.BusyFiles() {
		if former, err := formerAt(path, nil); path != own || err != nil || former == nil {
			read = append(read, input{"a calendar of when you are busy", path})
		}
	}
	return outs, place(outs, true, read)
}

// move writes the calendar files of a run again: the same events, moved, and those of
// other runs as they are.
func move(outs []output, noted order.Noted, clock order.Clock) error {
	if len(outs) == 0 {
		return nil
	}
	var targets []string
	for _, o := range outs {
		targets = append(targets, o.target)
	}
	slices.Sort(targets) // whoever needs several waits for them in one order
	for _, target := range targets {
		unlock, err := lock(target) // runs may share it
		if err != nil {
			return err
		}
		defer unlock()
	}
	for _, o := range outs {
		file, _, err := openToReplace(o)
		if err == nil {
			file.Close()
		} else if !errors.As(err, new(*fault.Fault)) { // there is none yet
			return err
		}
	}
	if err := readFormers(outs, order.RunIDs([]*order.Request{noted.After.Request})); err != nil {
		return err
	}
	if lead := remind(outs, export.Asked{}); lead != "" {
		clock.Remind = lead
		again, err := noted.After.Again(clock)
		if err != nil {
			return err
		}
		noted.After = again
	}
	formers := make([]*export.Former, len(outs))
	for i, o := range outs {
		formers[i] = o.former
	}
	noted.After.Keep(formers, clock.Now)
	return writeAll(outs, nil, []timeline.Plan{noted.After.Plan}, export.Options{Now: clock.Now, Others: true}, true)
}
