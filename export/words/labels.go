package words

import (
	"fmt"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/timeline"
)

// LabelLine is a line of a label. Those of the lowest rank go first where there is no
// room; the first line, and that with the date, never do.
type LabelLine struct {
	Text string
	Rank int // 0: never left out
}

// Label is what stands on a jar or box, the kind first.
func Label(b stock.Batch, l timeline.Label) []LabelLine {
	kind := strings.ToUpper(b.What[:1]) + b.What[1:] + " broth"
	lines := []LabelLine{{kind, 0}, {b.Name, 1}}
	put := func(rank int, text string) { lines = append(lines, LabelLine{text, rank}) }
	date := func(word string, t time.Time, unsaid string) string {
		if t.IsZero() {
			return unsaid
		}
		return word + " " + t.Format("2 Jan 2006")
	}
	holding, _ := b.Holding(l.Form)
	useBy := date("Use by", l.By, "Use within "+holding.Least.String())
	switch l.Form {
	case stock.Canned:
		put(0, date("Canned", l.On, "Canned: "+toWrite))
		put(3, Setting(b, l.Load))
		put(4, useBy)
		put(2, fmt.Sprintf("Load %d", l.Load.Number))
	case stock.Frozen:
		put(0, date("Frozen", l.On, "Frozen: "+toWrite))
		put(4, useBy)
	case stock.Powder:
		lines[0].Text += ", dried"
		put(0, date("Dried", l.On, "Dried: "+toWrite))
		put(4, useBy)
		put(3, fmt.Sprintf("%.0f g for a cup", b.Leftover.Drying.Spoon.Grams.Grams()))
	}
	return lines
}

// toWrite is room to write a date.
const toWrite = "__________"

// LabelsOf says for what labels are: "7 quarts of load 1".
func LabelsOf(l timeline.Label) string {
	switch l.Form {
	case stock.Canned:
		return fmt.Sprintf("%s of load %d", stock.CountJars(l.Count, l.Jar), l.Load.Number)
	case stock.Frozen:
		return counted(l.Count, "freezer box")
	}
	return counted(l.Count, "jar") + " of powder"
}

func counted(n int, word string) string {
	switch {
	case n == 1:
		return "1 " + word
	case strings.HasSuffix(word, "x"):
		return fmt.Sprintf("%d %ses", n, word)
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// HeldUnsaid is said of a label of a load of which nobody noted that its time was held.
func HeldUnsaid(l timeline.Label) string {
	return fmt.Sprintf("Load %d: nobody noted that its time was held. Label its jars only if it was.", l.Load.Number)
}

// LabelCount says how many labels of a size there are, and on how many sheets.
func LabelCount(labels, sheets int, size, paper string) string {
	return fmt.Sprintf("%s of %s on %s of %s paper", counted(labels, "label"), size, counted(sheets, "sheet"), paper)
}
