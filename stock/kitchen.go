package stock

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/kettle"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// KitchenReport is what a kitchen file gives a plan and what it leaves to be
// assumed.
type KitchenReport struct {
	Findings []Note // what it holds, Code a short subject such as "canner"
	Missing  []Note // what a plan would have to assume or ask for
	Warnings []Note
	// NoAltitude tells that a plan would have to be given the altitude.
	NoAltitude bool
}

// CheckKitchen judges a kitchen as far as that goes without a run: the settings
// its altitude and gauge ask for, the jars its canner holds, and what is missing.
// Values no plan could use are an *InputError.
func CheckKitchen(kitchen runfile.Kitchen) (KitchenReport, error) {
	var report KitchenReport
	house, err := settleHouse(kitchen, "")
	if err != nil {
		return report, err
	}
	p := Setup{House: house}
	u := p.Units
	found := func(subject, format string, args ...any) {
		report.Findings = append(report.Findings, Note{Code: subject, Text: fmt.Sprintf(format, args...)})
	}
	missing := func(subject, format string, args ...any) {
		report.Missing = append(report.Missing, Note{Code: subject, Text: fmt.Sprintf(format, args...)})
	}

	// Any kind with a tested process will do.
	if err := p.settleKinds(runfile.Run{Kind: string(kinds[0].kind)}); err != nil {
		return report, err
	}
	if kitchen.Altitude == nil {
		report.NoAltitude = true
		missing("altitude", "The altitude, which has no default: it sets the canner's pressure.")
	} else {
		if err := p.settlePlace(kitchen, runfile.Run{}); err != nil {
			return report, err
		}
		found("altitude", "The kitchen is at %s.", quantity.AltitudeBoth(p.Altitude, u))
		report.Warnings = append(report.Warnings, p.warnings...)
		if err := p.checkSettings(kitchen.Gauge, found); err != nil {
			return report, err
		}
	}
	if kitchen.Gauge == "" {
		missing("gauge", "The canner's gauge, weighted or dial: until it is given, plans carry the pressures of both.")
	}

	mouth, err := p.settleMouth("", kitchen.Mouth)
	if err != nil {
		return report, err
	}
	can := p.Canner
	var holds, names []string
	for _, size := range canned {
		names = append(names, string(size))
	}
	for _, name := range append(names, p.shelf.names()...) {
		j, err := p.shelf.find(name, mouth)
		if err != nil {
			return report, err
		}
		size, err := p.shelf.class(name)
		var refusal *process.Refusal
		switch {
		case errors.As(err, &refusal):
			report.Warnings = append(report.Warnings, Note{Code: "jar", Text: name + ": " + refusal.Error()})
			continue
		case err != nil:
			return report, err
		}
		if own, _, isOwn := p.shelf.measured(name); isOwn {
			fill, err := j.ColdFill(process.Headspace, quantity.Celsius(100))
			if err != nil {
				return report, wrong(p.shelf.key(name), err, "")
			}
			text := ""
			if own.OnHand != nil {
				text = fmt.Sprintf("; %d on hand", *own.OnHand)
			}
			found("jar", "%s takes the %s's time, and %s of cold broth%s.", name, size, fill.Both(u), text)
		}
		capacity, err := can.Capacity(shapeOf(j))
		var narrow *canner.FitError
		switch {
		case errors.As(err, &narrow):
			report.Warnings = append(report.Warnings, Note{Code: "canner", Text: err.Error() + "."})
			continue
		case err != nil:
			return report, cannerError(err)
		}
		text := CountJars(capacity.Jars(), j.Name)
		if capacity.Layers > 1 {
			text += fmt.Sprintf(" in %d layers", capacity.Layers)
		}
		holds = append(holds, text)
	}
	small, err := p.tooSmall()
	if err != nil {
		return report, err
	}
	if small != nil {
		report.Warnings = append(report.Warnings, Note{Code: small.Code, Text: small.Error()})
	}
	if len(holds) > 0 {
		found("canner", "One load is %s.", strings.Join(holds, ", or "))
	}
	if fridge := kitchen.Fridge; fridge != nil && *fridge > warmestFridge {
		report.Warnings = append(report.Warnings, Note{Code: FridgeTooWarm, Text: fmt.Sprintf("The fridge, at %s, is too warm to hold broth, and no run is planned past its straining: turn it down to %s or colder.",
			fridge.Both(u), warmestFridge.Both(u))})
	}
	if freezer := kitchen.Freezer; freezer != nil && tooWarm(*freezer) {
		report.Warnings = append(report.Warnings, Note{Code: "freezer-warm", Text: fmt.Sprintf("The freezer is at %s: frozen broth keeps shorter in it than at %s.",
			freezer.Both(u), publishedFreezer.Both(u))})
	}
	for _, short := range p.notedShort() {
		report.Warnings = append(report.Warnings, Note{Code: shortCode(short), Text: shortText(short)})
	}
	if water := kitchen.Canner.Water; water != nil {
		if room := (canner.Vessel{Width: can.Width, Height: can.Height}).Room(nil); *water > room {
			return report, &InputError{"canner.water", fmt.Sprintf("water of %s is more than the canner holds, %s", water.Both(u), room.Both(u)), "measure what you put in before a load"}
		}
	}
	for _, pot := range kitchen.Pots {
		if pot.Volume == nil {
			missing("pot", "The volume of the pot %q.", pot.Name)
			continue
		}
		text := "width assumed " + kettle.PotWidth(*pot.Volume).Both(u)
		if pot.Width != nil {
			text = pot.Width.Both(u) + " wide"
		}
		name := pot.Name
		if name == "" {
			name = "the pot"
		}
		found("pot", "%s: %s, %s.", name, pot.Volume.Both(u), text)
		if pot.Evaporation == nil {
			missing("pot", "What %s boils off in an hour: measured once, it narrows the estimate more than anything else.", name)
		}
	}
	for _, cold := range []struct {
		place       string
		temperature *quantity.Temperature
	}{{"fridge", kitchen.Fridge}, {"freezer", kitchen.Freezer}, {"tap", kitchen.Tap}} {
		if cold.temperature != nil {
			// In both scales: 18 F for -18 C passes every range.
			found(cold.place, "At %s.", cold.temperature.Both(u))
		}
	}
	if len(kitchen.Pots) == 0 {
		missing("pot", "A pot: the run then has to give its volume.")
	}
	if len(kitchen.Jars) == 0 && !slices.ContainsFunc(kitchen.OwnJars, func(own runfile.OwnJar) bool { return own.OnHand != nil }) {
		missing("jars", "The jars on hand: as many as it takes are assumed.")
	}
	for _, note := range p.assumption("mouth", "canner") {
		missing(note.Code, "%s", note.Text)
	}
	for _, optional := range []struct {
		subject, what string
		given         bool
	}{
		{"zone", "The time zone.", kitchen.Zone != ""},
		{"awake", "The hours you are up and at home.", kitchen.Awake != ""},
		{"burner", "The power of the burner: it sets how long heating up takes.", kitchen.Burner != nil},
		{"fridge", "The temperature of the fridge.", kitchen.Fridge != nil},
	} {
		if !optional.given {
			missing(optional.subject, "%s", optional.what)
		}
	}
	return report, nil
}

// checkSettings finds the tested settings of the kitchen's altitude and gauge.
func (s *Setup) checkSettings(gauge string, found func(subject, format string, args ...any)) error {
	answer, err := Process(ProcessQuery{Kind: s.Kind, Altitude: &s.Altitude, Gauge: gauge}, s.Units)
	if err != nil {
		return err
	}
	for _, setting := range answer.Settings {
		found("process", "%s, %s gauge: %s.", strings.Join(setting.Jars, ", "), setting.Gauge, setting.Text(s.Units))
	}
	for _, refusal := range answer.Refusals {
		found("refused", "%s", refusal.Text)
	}
	return nil
}
