package export

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"brothrun/stock/ask"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
)

// Process writes the tested settings of answer for a cook at a counter, with
// what is refused and the directions that go with them. The only errors are
// those of w.
func Process(w io.Writer, answer ask.ProcessAnswer, units quantity.System, colour bool) error {
	s := newScreen(w, colour, units)
	s.wrap("", s.bold(fmt.Sprintf("Strained, skimmed stock (%s) at %s", cmp.Or(answer.What, "chicken, turkey or beef"),
		quantity.AltitudeBoth(answer.Altitude, units))))
	if len(answer.Settings) > 0 {
		s.line("")
		gauge := ""
		for _, setting := range answer.Settings {
			label := ""
			if string(setting.Gauge) != gauge {
				gauge = string(setting.Gauge)
				label = gauge + " gauge"
			}
			s.row(row{label, strings.Join(setting.Jars, ", "), setting.Text(units)})
		}
		s.line("")
		s.wrap("  ", fmt.Sprintf("Hot pack, %s headspace, vent 10 min before the weight goes on. Time counts from when the "+
			"pressure is reached.", process.Headspace.Both(units)))
	}
	s.notes("Refused", red, answer.Refusals)
	if len(answer.Settings) > 0 {
		s.heading("Source")
		for _, source := range process.Sources() {
			s.bullet(none, s.form.Order(source))
		}
		s.bullet(none, "Your canner's manual and your local extension office come first where they differ.")
	}
	return s.w.Flush()
}
