// Package timeline puts a batch on a clock: its steps, how long each takes, who
// and what each needs, and when each falls. It reads no clock itself: every
// instant comes from the caller.
package timeline

import (
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
)

// Plan is a batch with its steps on the clock.
type Plan struct {
	Batch    stock.Batch
	RunID    string   // stable over replans: keys the calendar UIDs
	Likeness []string // what a replanned run is known by, the surest first; none where the cook gave it an ID
	Revision int      // of the run file, rises with every note: the calendar's SEQUENCE
	Location *time.Location
	Asked    When           // what was asked of the clock; zero: nothing, or nobody says
	Steps    []Step         // in order of start
	AsOf     time.Time      // of the last note; zero: nothing came
	Record   []record.Entry // what came
	Planned  *stock.Batch   // the batch as it was before that; nil: nothing came
	Unfit    *Unfit         // why there are no steps although a time was asked for; nil: they fit
	Checks   []Check        // when to look at a thermometer beside the steps, in order
	Sessions int            // on how many occasions the loads are canned; 0 without a clock
	UseBy    []UseBy        // until when what comes of it keeps
	Choices  []Choice       // the days on which it might fall, the chosen first; nil where there is no other
	Warnings []remark.Note  // about the clock; the batch has its own
}

// Kind says what a step asks of the cook.
type Kind string

// The kinds of step.
const (
	HandsOn Kind = "hands-on" // someone works
	Watch   Kind = "watch"    // someone is home and looks in
	Waiting Kind = "waiting"  // nobody is needed
)

// Role is what a step is for. With the facts of the step and of the batch it is all
// that export/words needs to word it.
type Role int

// The roles of steps, in about the order in which they come.
const (
	Thaw Role = iota + 1 // in cold water, on the day
	Prepare
	HeatUp
	Simmer
	Strain
	Chill
	Pick     // the meat off whole birds
	InFridge // from the chill to the skimming
	Skim
	Leftover     // what fills no jar is kept back
	Pack         // all of it, where nothing is canned
	BackInFridge // skimmed broth between the skimming and its reheat
	Reheat
	WashJars
	Fill
	Load
	Unload
	CleanUp
	Rest // of the jars
	SealCheck
	PreFreeze
	DryLoad
	Dry
	DryCheck
)

// Step is one thing that happens, with its place on the clock.
type Step struct {
	ID     string // stable: "strain", "load-1"
	Role   Role
	Start  time.Time
	End    time.Time
	Span   quantity.Band[time.Duration] // how long it may take
	Kind   Kind
	Needs  []Resource
	Remind time.Duration // how long before Start to remind; 0: at Start
	Why    Why           // what keeps the step where it stands
	// Earliest and Latest are when it starts if all before it in the same row of
	// steps run short or long.
	Earliest, Latest time.Time

	Session    int          // which occasion of canning it belongs to, from 1; 0: none
	Loads      []stock.Load // the canner loads it is for
	DryerBatch int          // which filling of the freeze dryer, from 1; 0: none
	UseBy      time.Time    // where broth or meat goes into the fridge: its last day there, at noon
	Cold       bool         // of picking: the birds come out of the fridge, and not straight from the pot
	Seals      Seals        // of a check of the seals
	State      State
	Planned    Booking       // where it stood before anything came; zero: nowhere, or nothing came
	Notes      []remark.Note // warnings to be read with it
}

// Seals is what a check of the seals has to know.
type Seals struct {
	LookOnly bool      // no time for rings and labels
	SaveBy   time.Time // until when a jar that did not seal may be saved; zero: none may
	Late     int       // of the step's loads, from the first: whose jars have been out too long
}

// Resource is what a step occupies while it runs.
type Resource string

// The resources of a home kitchen.
const (
	Cook        Resource = "cook"
	Stove       Resource = "stove"
	Oven        Resource = "oven"
	Pot         Resource = "pot"
	Canner      Resource = "canner"
	Fridge      Resource = "fridge"
	Freezer     Resource = "freezer"
	FreezeDryer Resource = "freeze-dryer"
	Outdoors    Resource = "outdoors"
)

// OwnHeat is the heat of a pot that has its own, such as a roaster: nothing of
// the kitchen is taken by it.
const OwnHeat Resource = "own"

// Begins is when the first step begins; zero without steps.
func (p Plan) Begins() time.Time {
	if len(p.Steps) == 0 {
		return time.Time{}
	}
	return p.Steps[0].Start
}
