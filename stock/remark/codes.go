package remark

// The codes, each with the facts it carries, in their order, and its cases in
// brackets; a case has the facts of its code where it does not name its own. A clause
// is a note of the same code, whose cases stand behind "clauses".

// What was assumed. A kitchen alone also says what it does not give [missing: none].
const (
	// CannerAssumed: clause of what was assumed [clauses width: Length, height: Length, rack]; of
	// a kitchen [found: clause] [narrow: reason]
	CannerAssumed  = "canner"
	DryerAssumed   = "freeze-dryer" // trays int, length, width, depth Length
	FreezerAssumed = "freezer"      // Temperature; of a kitchen [found]
	FridgeAssumed  = "fridge"       // Temperature; of a kitchen [found] [missing]
	// GaugeAssumed: clause of what a dial needs [clauses dial: Pressure, none]; of a kitchen
	// [missing]
	GaugeAssumed    = "gauge"
	JarsOnHand      = "jars-on-hand" // JarCount on hand, int asked for
	JarsFull        = "jars-full"    // JarWish owned, int full, int left
	LidAssumed      = "lid"
	LidMeasured     = "lid-measured"
	MouthAssumed    = "mouth"
	PotWidthAssumed = "pot-width" // Length
	RouteAssumed    = "route"
	SimmerAssumed   = "simmer" // time.Duration, what is in the pot [whole: of whole birds]
	SizesAssumed    = "kinds"  // int sizes of jar [one: none]
	// VegetablesCounted: clauses [kind: int, name, Mass of all, Band[Mass] of one].
	VegetablesCounted = "vegetables"
	TapAssumed        = "tap" // Temperature [compared]; of a kitchen [found]
	// JarOfKitchen: [found: name, process.Size, Volume, clause or none] [refused: name, the
	// refusal] [clauses on-hand: int]
	JarOfKitchen = "jar"
	// PotOfKitchen: [found: name, Volume, clause] [missing] [volume: name] [boils-off: name]
	// [clauses wide, assumed: Length]
	PotOfKitchen      = "pot"
	ProcessOfKitchen  = "process"  // sizes of jar, process.Gauge, Pressure, time.Duration
	RefusedInKitchen  = "refused"  // the refusal
	AltitudeOfKitchen = "altitude" // [found: Length] [missing]
	AwakeOfKitchen    = "awake"    // [missing]
	BurnerOfKitchen   = "burner"   // [missing]
	JarsOfKitchen     = "jars"     // [missing]
	ZoneOfKitchen     = "zone"     // [missing]
)

// What may go wrong with the pot and the chill.
const (
	GaugeDiffers    = "gauge-differs"    // the run's, the kitchen's
	AltitudeDiffers = "altitude-differs" // Length of the run, of the kitchen
	BelowSeaLevel   = "below-sea-level"  // Length, as much above the sea, Pressure there
	BonesNotCovered = "bones-not-covered"
	NearOverflow    = "near-overflow"
	LevelFalls      = "level-falls"
	BoilsDry        = "boils-dry" // clause [clauses may, would]
	ReducedHard     = "reduced-hard"
	BurnerLimit     = "burner-limit"
	SlowHeatUp      = "slow-heat-up"    // Band[time.Duration]
	BirdsNotDone    = "birds-not-done"  // time.Duration, what is in the pot, the usual least
	ManyVegetables  = "many-vegetables" // [counted: Mass, the most they may weigh]
	// ChillNarrow is of a chill that keeps the limits only if all goes well.
	ChillNarrow  = "chill-narrow"  // clause of ChillTooSlow's times [melts: Reach]
	Diluted      = "diluted"       // Volume melted, percent float64, clause [clauses hold: Volume, round]
	IceCounted   = "ice-counted"   // Volume; part of the chill's advice
	IceOverflows = "ice-overflows" // Volume of broth and ice, of the pot
	// FridgeWarms is what a chill does to the other food beside it.
	// FridgeWarms: Temperature likely, on the slow side [freezer] [thaws] [above: a clause behind
	// each] [clauses never: Temperature, for: Temperature, time.Duration]
	FridgeWarms = "fridge-warms"
	// FreezerWarm: Temperature, published, Keeps [trays: no Keeps]; of a kitchen [kitchen: no
	// Keeps]
	FreezerWarm = "freezer-warm"
	// FridgeRoom and FreezerRoom are of broth that finds no room there.
	FridgeRoom  = "fridge-room"  // Volume it takes, Volume there is [together: of several runs]
	FreezerRoom = "freezer-room" // the same
)

// What may go wrong with jars, loads and the canner.
const (
	JarDoesNotFit  = "jar-does-not-fit" // reasons
	NoJars         = "no-jars"
	TooLittleToCan = "too-little-to-can"
	SecondRack     = "second-rack" // jars, clause [clauses fewer, more]
	// SharedJarsCode: clause [clauses few: JarCount wanted, int on hand; and: two clauses]
	SharedJarsCode = "shared-jars"
	LessThanALoad  = "less-than-a-load" // [jars] [canned]
	RunsUnread     = "runs-unread"      // int run files
	SmallLastLoad  = "small-last-load"  // percent float64
	// SmallLoad: number int, Load, clause [several: int before these] [clauses none, save: jars,
	// saves: jars]
	SmallLoad = "small-load"
	// HoldsGeometry: JarCount counted, int that stand, Length across, Length of the canner [few, unmeasured]
	HoldsGeometry = "holds-geometry"
	ReheatPots    = "reheat-pots"           // Volume of the jars, of the pot, int pots
	DryerBatches  = "several-dryer-batches" // int
	CannerTooFull = "canner-too-full"       // Volume, usual
	// NearDryCode is of a canner that may run dry.
	// NearDryCode: Volume put in, least left, likely left, clause or none [clauses usual: Volume]
	NearDryCode = "canner-near-dry"
	CannerSlow  = "canner-slow" // time.Duration to steam, to pressure
	// OutdoorBurnerCode is of a burner outdoors, or a flame as strong as one.
	OutdoorBurnerCode = "outdoor-burner"     // [strong: Power]
	HeatUpShort       = "heat-up-short"      // time.Duration noted, published
	PressuriseShort   = "pressurise-short"   // the same
	DepressuriseShort = "depressurise-short" // the same [quarts]
)

// What must not be done, beside the refusals of process.
const (
	// UnattendedCode is of the one refusal that leaves the canning as it is: the simmer
	// is planned with somebody beside it instead.
	UnattendedCode = "unattended-may-boil-dry" // time.Duration, clause [clauses dry, bare, falls]
	// CannerTooSmall: clause, clause or none, clause [clauses measured, counted, others: int
	// quarts; because: reason; try: int quarts, flag; larger]
	CannerTooSmall = "canner-too-small"
	// ChillTooSlow and FridgeTooWarm end a plan at the straining: broth that cannot be
	// made cold in time, or be kept cold, is not food, so nothing that follows is planned.
	// ChillTooSlow: two clauses [none: one] [clauses trials: Method; slow: Method, clause,
	// Temperature; use: Method, as a flag, clause; times: Reach, Temperature, twice; one-pot:
	// Volume, Length, Temperature, Temperature, clause; divide: int, Volume, Method; less]
	ChillTooSlow = "chill-too-slow"
	// RestSpoilt is of broth that was heated for a load, had to wait, and was not cold in
	// time: a warning, for what is canned is not meant.
	RestSpoilt = "rest-spoilt"
	// BrothSpoilt is of broth that readings show was not cold in time.
	BrothSpoilt = "broth-spoilt"
	// BrothKept is of broth that stood in the fridge for longer than it keeps before it
	// was skimmed or reheated: time.Duration, the most.
	BrothKept     = "broth-kept-too-long"
	FridgeTooWarm = "fridge-too-warm" // Past, warmest [compared]; of a kitchen [kitchen]
)

// What to do with the leftover.
const (
	LeftoverSplash  = "leftover-splash"
	LeftoverFreezer = "leftover-freezer" // room in a wide pint, in a wide quart Length
	LeftoverFridge  = "leftover-fridge"
	FreezeFlat      = "freeze-flat" // Volume of a tray, Length deep [busy: Length deep]
	// MuchToFreeze: Mass a day for a cubic foot, Mass, cubic feet and litres float64 [size: cubic
	// feet and litres float64 of the freezer, int days, Mass; size-long: the same]
	MuchToFreeze = "much-to-freeze"
)

// What every plan says.
const (
	ManualFirst  = "manual-first"
	FailedSeal   = "failed-seal"
	PowderIsRaw  = "powder-is-raw"
	HotPots      = "hot-pots"
	NoOtherWay   = "no-other-process" // of broth that is not canned
	GaugeYearly  = "gauge-yearly"
	SkimAndBoil  = "skim-and-boil"
	VentAndTime  = "vent-and-time"
	NeverForce   = "never-force"
	SealsIn24Hrs = "seals-in-24-h"
)
