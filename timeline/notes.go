package timeline

import "brothrun/stock/remark"

// The codes of notes about the clock and the calendar, for ever, each with its facts
// in order. Instants are on the clock of the plan.
const (
	AwakeAssumed = "awake" // Hours
	ZoneAssumed  = "zone"  // its name and where it is from, strings

	GaugeCheckDue      = "gauge-check-due"      // noon of the last check, number of the load
	ThawLate           = "thaw-late"            // when it should have begun, when the pot is lit
	GaugeCheckFuture   = "gauge-check-future"   // noon of the check
	Slack              = "slack"                // when the kitchen is wiped down, how long before the deadline
	EarlierDay         = "earlier-day"          // when the run ends, the deadline, why [later: a deadline that lets it begin later]
	SeveralCanningDays = "several-canning-days" // when each session begins: []time.Time
	UnattendedTopUp    = "unattended-top-up"
	UnattendedDry      = "unattended-dry" // water put in, the least broth strained
	OneBurner          = "one-burner"
	// MoreLoads: how many there may be and are planned, their chance in percent, when they
	// would be wiped down [late: and awake hours that it is after]
	MoreLoads   = "more-loads"
	LateEvening = "late-evening" // Batch, the Step that ends late, when, Hours
	// []stock.Load, nil for all; when they are checked; from when and until when that
	// would save a jar
	LateSealCheck = "late-seal-check"

	// Of a run with a record:
	GoesOn    = "goes-on"    // Part that runs into something, when its row is over, Why, until when the broth keeps
	CoolAgain = "cool-again" // []stock.Load whose broth was heated and that wait, until when it keeps
	MeatWaits = "meat-waits" // of birds that can no longer be picked in time: until when they may be out
	// MeatTooLong is of birds picked, as noted, for too long: until when, and until when they may be out
	MeatTooLong = "meat-too-long"
	RestUnfit   = "rest-unfit" // *Unfit, []WayOut, until when the broth keeps; zero: not strained yet

	ReheatBroth = "reheat-broth" // of a chill that missed its first limit: since when it cools, until when it may
	// ChillUnproven is of broth that is cold: by when it had to be at 70 °F, and at 41 °F
	ChillUnproven = "chill-unproven"
	RedoLoad      = "redo-load" // number of a load that was not processed, stock.Load, until when
	// UnsealedJars: []record.JarCount, until when they may be canned again, last day in the
	// fridge [late: jars, when they came out of the canner]
	UnsealedJars = "unsealed-jars"

	// What a note of a load may not say, its number first. A record.What is the word of a note.
	HeatOffTooSoon = "heat-off-too-soon" // number, from when it may be, at pressure since
	LidOffTooSoon  = "lid-off-too-soon"  // number, from when it may be, at zero since
	VentTooShort   = "vent-too-short"    // number, from when the weight may go on, steady steam since
	NotAtPressure  = "not-at-pressure"   // number, What was to be noted, Phase, since when; zero where unsaid
	LoadOver       = "load-over"         // number, What was to be noted, when the lid came off
	// OutOfOrder: number, What was to be noted [first: What has to be before it] [after:
	// What it cannot follow, when that was]
	OutOfOrder = "out-of-order"
	// NotProcessed: number, when that was settled [heat-off: how long it was at pressure, the
	// tested time] [kept: how long after the straining it went on, the most] [raw: before the
	// straining] [pressure: heat off while not at pressure] [zero: without the heat off]
	// [lid-off: without the heat off] [vented: for how long, how long it has to be] [again:
	// not vented again after the gauge was at zero]
	NotProcessed = "not-processed"

	// What else a note may not say.
	NotYet      = "not-yet"       // What, Part that has not begun, when it begins, its name
	TooMuch     = "too-much"      // What, Volume noted, the most
	NoSuchStep  = "no-such-step"  // its name, the names there are
	NoSuchLoad  = "no-such-load"  // its number, how many there are
	SeveralPots = "several-pots"  // int: a reading is of one pot, and the run has so many
	OfAllPots   = "of-all-pots"   // What, int pots, the name of the last, when it is strained, the name of that step
	NotStrained = "not-strained"  // none: a reading before anything says when it was strained
	StillOn     = "still-on"      // number of a load that is in the canner, Phase
	KeptTooOld  = "kept-too-old"  // number, how long after the straining, the most
	NoSuchJar   = "no-such-jar"   // its name, []stock.JarCount of the plan
	MayNotSkip  = "may-not-skip"  // Part
	TooManyJars = "too-many-jars" // []record.JarCount, What, []stock.JarCount there are [load: jars, its number, int]

	// What is asked of a note that is kept.
	NotedAhead  = "noted-ahead"  // when
	NotedBefore = "noted-before" // when, when the run begins
	VolumeOdd   = "volume-odd"   // What, Volume noted, Band[Volume] expected [pots: of several pots]
	HeatUnsaid  = "heat-unsaid"  // hot or cold

	DryerTakenLong   = "dryer-taken-long"   // when it is free [never: int days in which it is not]
	Past             = "past"               // when the run begins
	RepeatedHour     = "repeated-hour"      // the time as given, a string
	RunMoved         = "run-moved"          // when it began, when it begins
	OtherRunsDropped = "other-runs-dropped" // the file, a string; how many runs
	BusyOdd          = "busy-odd"           // what is wrong with a calendar, a string [widest: taken as busy] [more: how many]
)

func note(code string, facts ...any) remark.Note { return remark.Note{Code: code, Facts: facts} }
