package timeline

import "brothrun/stock/remark"

// The codes of notes about the clock and the calendar, for ever, each with its facts
// in order. Instants are on the clock of the plan.
const (
	AwakeAssumed = "awake" // Hours
	ZoneAssumed  = "zone"  // its name and where it is from, strings

	GaugeCheckDue      = "gauge-check-due"      // noon of the last check, number of the load
	GaugeCheckFuture   = "gauge-check-future"   // noon of the check
	Slack              = "slack"                // when the kitchen is wiped down, how long before the deadline
	EarlierDay         = "earlier-day"          // when the run ends, the deadline, why
	SeveralCanningDays = "several-canning-days" // when each session begins: []time.Time
	UnattendedTopUp    = "unattended-top-up"
	UnattendedDry      = "unattended-dry" // water put in, the least broth strained
	OneBurner          = "one-burner"
	LateEvening        = "late-evening" // Batch, the Step that ends late, when, Hours
	// []stock.Load, nil for all; when they are checked; from when and until when that
	// would save a jar
	LateSealCheck = "late-seal-check"

	// Of a run with a record:
	GoesOn      = "goes-on"       // Part that runs into something, when its row is over, Why, until when the broth keeps
	CoolAgain   = "cool-again"    // []stock.Load whose broth was heated and that wait, until when it keeps
	KeptTooLong = "kept-too-long" // time.Duration from the straining to the skimming, the most

	Past             = "past"               // when the run begins
	RepeatedHour     = "repeated-hour"      // the time as given, a string
	RunMoved         = "run-moved"          // when it began, when it begins
	OtherRunsDropped = "other-runs-dropped" // the file, a string; how many runs
)

func note(code string, facts ...any) remark.Note { return remark.Note{Code: code, Facts: facts} }
