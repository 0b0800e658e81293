package ask

import (
	"fmt"

	"brothrun/stock/fault"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// ProcessQuery asks for the tested process. Empty fields stand for all.
type ProcessQuery struct {
	Kind     settle.Kind      // "" for any with a tested process: they share it
	Altitude *quantity.Length // nil is an error: it has no default
	Gauge    string           // "weighted", "dial" or "" for both
	Jar      string           // a size, or "" for every size that may be canned
}

// ProcessAnswer is every setting a ProcessQuery has, and what was refused.
type ProcessAnswer struct {
	What     string // "chicken pieces"; empty for any with a tested process
	Altitude quantity.Length
	Settings []ProcessSetting
	Refusals []remark.Note
}

// ProcessSetting is the tested setting for one gauge and one or more sizes of
// jar that share it.
type ProcessSetting struct {
	Jars []string
	process.Setting
}

// canned is the sizes of jar that may be canned, smallest first.
var canned = []process.Size{process.HalfPint, process.Pint, process.PintAndHalf, process.Quart}

// Process looks the tested process up. The units are those its texts put first.
// Errors are *fault.Fault; a query that nothing tested answers is not an error
// but an answer with refusals and no setting.
func Process(query ProcessQuery, units quantity.System) (ProcessAnswer, error) {
	anyKind := query.Kind == ""
	if anyKind {
		query.Kind = settle.Kinds()[0]
	}
	house := settle.House{Units: units, Gauge: process.Weighted}
	if query.Gauge != "" {
		var err error
		if house.Gauge, err = process.ParseGauge(query.Gauge); err != nil {
			return ProcessAnswer{}, fault.Of("gauge", err, "")
		}
	}
	place, err := house.At(runfile.Kitchen{}, runfile.Run{Kind: string(query.Kind), Altitude: query.Altitude})
	if err != nil {
		return ProcessAnswer{}, err
	}
	sizes := canned
	if query.Jar != "" {
		size, err := process.ParseSize(query.Jar)
		if err != nil {
			return ProcessAnswer{}, fault.Of("jar", err, "")
		}
		sizes = []process.Size{size}
	}
	gauges := []process.Gauge{house.Gauge}
	if query.Gauge == "" {
		gauges = []process.Gauge{process.Weighted, process.Dial}
	}

	answer := ProcessAnswer{Altitude: place.Altitude}
	if !anyKind {
		answer.What = place.What
	}
	for _, gauge := range gauges {
		for _, size := range sizes {
			setting, err := process.Lookup(place.Stock, size, gauge, place.Altitude)
			if refusal, is := process.AsRefusal(err); is {
				if len(remark.Noted(answer.Refusals, refusal.Code)) == 0 {
					answer.Refusals = append(answer.Refusals, refusal.Note)
				}
				continue
			} else if err != nil {
				return ProcessAnswer{}, fault.Of("altitude", err, "")
			}
			if n := len(answer.Settings); n > 0 && answer.Settings[n-1].Setting == setting {
				answer.Settings[n-1].Jars = append(answer.Settings[n-1].Jars, string(size))
				continue
			}
			answer.Settings = append(answer.Settings, ProcessSetting{[]string{string(size)}, setting})
		}
	}
	return answer, nil
}

// Text names the setting: "15 psi (103 kPa) for 25 min".
func (s ProcessSetting) Text(units quantity.System) string {
	return fmt.Sprintf("%s for %s", s.Pressure.Both(units), quantity.FormatDuration(s.Time))
}
