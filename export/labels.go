package export

import (
	"io"
	"math"
	"strings"
	"unicode"

	"brothrun/export/words"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// Labels writes labels to print on sheets of labels, those of a plan, behind as many that
// are gone from the first sheet. It is a self-contained HTML file without script. A label
// is never cut off: its letters are made smaller, down to 8 pt, and then, one after the
// other, the run, the load, pressure and time, and the day it is best by are left out.
// Where not even the kind and the date fit, that is a *fault.Fault; other errors are
// those of w.
func Labels(w io.Writer, plan timeline.Plan, labels []timeline.Label, sheet LabelSheet, skip int) error {
	view := labelsView{Title: heading(plan.Batch), Sheet: sheet}
	at := skip
	for _, label := range labels {
		text, fits := sheet.fit(words.Label(plan.Batch, label))
		if !fits {
			return fault.New("label", "larger labels, such as --label 63.5x38.1mm",
				"labels of %s are too small for the kind and the date in letters of 8 pt", sheet.size())
		}
		for range label.Count {
			if at == skip || at%sheet.Labels() == 0 {
				view.Pages = append(view.Pages, nil)
			}
			last := &view.Pages[len(view.Pages)-1]
			column, row := at%sheet.Labels()%sheet.Across, at%sheet.Labels()/sheet.Across
			*last = append(*last, placedLabel{text, sheet.Left + quantity.Length(column)*sheet.PitchX,
				sheet.Top + quantity.Length(row)*sheet.PitchY})
			at++
		}
	}
	return writePage(w, "labels", view)
}

type labelsView struct {
	Title string
	Sheet LabelSheet
	Pages [][]placedLabel
}

type placedLabel struct {
	labelText
	Left, Top quantity.Length
}

// labelText is a label set in lines of one size of letters, the first in bold.
type labelText struct {
	Points float64
	Head   []string
	Lines  []string
}

// The letters of a label, in points, and the room about them.
const (
	largestLetters  = 13.0
	smallestLetters = 8.0
	labelLine       = 1.16 // from one line to the next, as a share of the letters
	plainLetters    = 0.93 // how wide plain letters are beside bold ones, at most
	labelEdge       = 1.5 * quantity.Millimetre
	point           = quantity.Inch / 72
)

// fit sets the lines of a label as large as they fit; ok is false where they do not.
func (s LabelSheet) fit(lines []words.LabelLine) (text labelText, ok bool) {
	width, height := s.Width-2*labelEdge, s.Height-2*labelEdge
	if s.Round { // the widest rectangle of four by three within
		width, height = 0.8*(s.Width-labelEdge), 0.6*(s.Width-labelEdge)
	}
	for rank := 1; ; rank++ {
		for size := largestLetters; size >= smallestLetters; size -= 0.5 {
			if text, ok = set(lines, size, float64(width/point), float64(height/point)); ok {
				return text, true
			}
		}
		if rank > 4 {
			return text, false
		}
		var kept []words.LabelLine
		for _, line := range lines {
			if line.Rank == 0 || line.Rank > rank {
				kept = append(kept, line)
			}
		}
		lines = kept
	}
}

// set breaks lines to a width; ok tells whether they fit. The run has two lines at most.
func set(lines []words.LabelLine, size, width, height float64) (text labelText, ok bool) {
	text.Points = size
	for i, line := range lines {
		if strings.TrimSpace(line.Text) == "" {
			continue
		}
		ems := width / size
		if i > 0 {
			ems /= plainLetters
		}
		within := broken(shown(line.Text), ems)
		if line.Rank == 1 && len(within) > 2 {
			return text, false
		}
		if i == 0 {
			text.Head = within
		} else {
			text.Lines = append(text.Lines, within...)
		}
	}
	return text, float64(len(text.Head)+len(text.Lines))*labelLine*size <= height
}

// broken breaks text into lines of at most ems, between words, or within one that is
// longer.
func broken(text string, ems float64) (lines []string) {
	line, used := "", 0.0
	end := func() {
		if line != "" {
			lines = append(lines, line)
		}
		line, used = "", 0
	}
	for _, word := range strings.Fields(text) {
		if wide := emsOf(word); line != "" && used+emsOf(" ")+wide > ems {
			end()
		} else if line != "" {
			line, used = line+" ", used+emsOf(" ")
		}
		for _, r := range word {
			wide := emsOf(string(r))
			if line != "" && used+wide > ems {
				end()
			}
			line, used = line+string(r), used+wide
		}
	}
	end()
	return lines
}

// emsOf is how wide text is at most, in sizes of its letters: wider than in any common
// plain face in bold, so that a line stays on its label. Measured in a wide one (DejaVu
// Sans Bold), and rounded up.
func emsOf(text string) (ems float64) {
	for _, r := range text {
		switch {
		case unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Cf, r):
		case r == '\ufdfd': // a sentence in one letter
			ems += 12
		case strings.ContainsRune("ijlI.,:;'|! ", r):
			ems += 0.46
		case strings.ContainsRune("ftr()[]/-\"", r):
			ems += 0.53
		case strings.ContainsRune("mwMW@%", r):
			ems += 1.12
		case unicode.IsDigit(r) || r == '_':
			ems += 0.7
		case r <= unicode.MaxASCII && unicode.IsLower(r):
			ems += 0.73
		case r <= unicode.MaxLatin1:
			ems += 0.9
		default:
			ems += 1.4
		}
	}
	return math.Ceil(ems*100) / 100
}

// LabelsList writes what labels there are and on how many sheets. The only errors are
// those of w.
func LabelsList(w io.Writer, labels []timeline.Label, sheet LabelSheet, skip int) error {
	s := newScreen(w, false, quantity.US)
	count := 0
	for _, label := range labels {
		count += label.Count
	}
	sheets := (skip + count + sheet.Labels() - 1) / sheet.Labels()
	s.line(words.LabelCount(count, sheets, sheet.size(), sheet.Paper.Name))
	for _, label := range labels {
		s.line("  " + Printable(words.LabelsOf(label)))
	}
	for _, label := range labels {
		if label.Unsaid {
			s.bullet(yellow, words.HeldUnsaid(label))
		}
	}
	return s.w.Flush()
}
