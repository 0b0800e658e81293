package export

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// Markdown writes plan as a page to print: the answer first, what is refused,
// the canner loads and the other ways to fill the jars, the steps by day and time on the clock of the plan's place,
// then what may go wrong, what was assumed and the cautions. units says which
// system of units comes first. Text is escaped, so that no title or note can
// change the page. The only errors are those of w.
func Markdown(w io.Writer, plan timeline.Plan, units quantity.System) error {
	plan.Batch.Units = units
	batch := plan.Batch
	var page bytes.Buffer

	fmt.Fprintf(&page, "# %s\n", plainText(heading(batch)))
	markdownRows(&page, "", answer(batch))
	markdownNotes(&page, words.Form{Units: units}, "Refused", batch.Refusals)
	if len(batch.Loads) > 0 {
		markdownLoads(&page, batch)
	}
	markdownRivals(&page, batch)
	markdownRows(&page, "How the water goes", balance(batch))
	if rows := drying(batch); len(rows) > 0 {
		markdownRows(&page, "Freeze-drying", rows)
	}
	markdownLevers(&page, batch)
	if len(plan.Steps) > 0 {
		markdownSteps(&page, plan)
	}
	if rows := useBy(plan); len(rows) > 0 {
		markdownRows(&page, "Use by", rows)
	}
	markdownNotes(&page, words.Form{Units: units}, "Watch out", batch.Warnings, plan.Warnings)
	markdownNotes(&page, words.Form{Units: units}, "Assumed", batch.Assumed)
	if len(batch.Cautions) > 0 {
		page.WriteString("\n## Always\n\n")
		for _, caution := range batch.Cautions {
			fmt.Fprintf(&page, "- %s\n", plainText(caution))
		}
	}
	_, err := w.Write(page.Bytes())
	return err
}

func markdownRows(page *bytes.Buffer, title string, rows []row) {
	if title != "" {
		fmt.Fprintf(page, "\n## %s\n", title)
	}
	page.WriteString("\n| | | |\n| --- | --- | --- |\n")
	for _, r := range rows {
		markdownRow(page, r.label, r.value, r.remark)
	}
}

func markdownRow(page *bytes.Buffer, cells ...string) {
	for _, text := range cells {
		fmt.Fprintf(page, "| %s ", plainText(text))
	}
	page.WriteString("|\n")
}

func markdownLoads(page *bytes.Buffer, batch stock.Batch) {
	page.WriteString("\n## Canner loads\n\n| Load | Jars, lowest rack first | Pressure | Gauge | At pressure | In all | Water left |\n| --- | --- | --- | --- | --- | --- | --- |\n")
	for _, load := range batch.Loads {
		var layers []string
		for _, layer := range load.Layers {
			var jars []string
			for _, jar := range layer.Jars {
				jars = append(jars, fmt.Sprintf("%d × %s", jar.Count, jar.Jar))
			}
			layers = append(layers, strings.Join(jars, ", "))
		}
		gauge := load.Gauge
		if batch.OtherGauge != nil {
			gauge = "not named"
		}
		markdownRow(page, fmt.Sprint(load.Number), strings.Join(layers, "; "), batch.Pressures(load, quantity.Pressure.Both), gauge,
			quantity.FormatDuration(load.Process), quantity.FormatDuration(load.Cycle.Total().Likely), load.WaterLeft.Likely.Both(batch.Units))
	}
}

func markdownSteps(page *bytes.Buffer, plan timeline.Plan) {
	place := plan.Location
	if place == nil {
		place = time.UTC
	}
	fmt.Fprintf(page, "\n## Steps\n\nTimes are those of %s.\n\n| Day | From | To | Step | What it asks | What to do |\n| --- | --- | --- | --- | --- | --- |\n",
		plainText(place.String()))
	form := words.Form{Units: plan.Batch.Units}
	day := ""
	for _, step := range plan.Steps {
		start, end := step.Start.In(place), step.End.In(place)
		date, until := start.Format("Mon 2 Jan"), "15:04"
		if end.Format("Mon 2 Jan") != date {
			until = "Mon 15:04"
		}
		from, to := timeline.ClockSpan(start, end, "15:04", until)
		shown := date
		if date == day {
			shown = ""
		}
		day = date
		markdownRow(page, shown, from, to, words.Title(plan, step, form), string(step.Kind), strings.Join(words.Detail(plan, step, form), " "))
	}
}

func markdownNotes(page *bytes.Buffer, form words.Form, title string, lists ...[]stock.Note) {
	written := false
	for _, notes := range lists {
		for _, note := range notes {
			if !written {
				fmt.Fprintf(page, "\n## %s\n\n", title)
				written = true
			}
			fmt.Fprintf(page, "- %s\n", plainText(words.Note(note, form)))
		}
	}
}

// markup is what Markdown may read as more than text anywhere in a line.
var markup = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`,
	"<", `\<`, ">", `\>`, "|", `\|`, "#", `\#`, "~", `\~`, "&", `\&`)

// plainText is text on one line that Markdown shows as it is. What would begin
// a list at the start of a line is escaped too.
func plainText(text string) string {
	text = markup.Replace(ical.OneLine(text))
	rest := strings.TrimLeft(text, "0123456789")
	if digits := text[:len(text)-len(rest)]; digits != "" && numbered(rest) {
		return digits + `\` + rest
	}
	if strings.HasPrefix(text, "-") || strings.HasPrefix(text, "+") || strings.HasPrefix(text, "=") {
		return `\` + text
	}
	return text
}

// numbered reports whether digits before rest would number a list.
func numbered(rest string) bool {
	return rest == "." || rest == ")" || strings.HasPrefix(rest, ". ") || strings.HasPrefix(rest, ") ")
}
