package export

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// LabelSheet is a sheet of labels: how many, how large and where they lie. What is left
// at the edges is as wide on the left as on the right, unless Left and Top say otherwise.
type LabelSheet struct {
	Paper          Paper
	Across, Down   int
	Width, Height  quantity.Length // of a label
	PitchX, PitchY quantity.Length // from one label's edge to the next one's
	Left, Top      quantity.Length // of the first label
	Round          bool
}

// labelSheets are sheets as they are sold, by size alone, each the first of its size; from
// memory, no source. The margins follow: a sheet is cut in the middle of its paper.
// Round ones are a layout of our own for paper that is cut by hand.
var labelSheets = []LabelSheet{
	us(3, 10, 2.625, 1, 2.75, 1),
	us(2, 10, 4, 1, 4.1875, 1),
	us(2, 7, 4, 4./3, 4.1875, 4./3),
	us(2, 5, 4, 2, 4.1875, 2),
	us(2, 3, 4, 10./3, 4.1875, 10./3),
	round(us(3, 4, 2.5, 2.5, 2.625, 2.625)),
	round(us(4, 5, 2, 2, 2.05, 2.05)),
	a4(3, 7, 63.5, 38.1, 66, 38.1),
	a4(3, 6, 63.5, 46.6, 66, 46.6),
	a4(3, 9, 63.5, 29.6, 66, 29.6),
	a4(3, 8, 70, 37, 70, 37),
	a4(5, 13, 38.1, 21.2, 40.6, 21.2),
	a4(4, 12, 45.7, 21.2, 48.3, 21.2),
	a4(2, 7, 99.1, 38.1, 101.6, 38.1),
	a4(2, 8, 99.1, 33.9, 101.6, 33.9),
	a4(2, 4, 99.1, 67.7, 101.6, 67.7),
	round(a4(3, 4, 63.5, 63.5, 66, 66)),
	round(a4(4, 5, 50, 50, 51, 51)),
}

func us(across, down int, width, height, pitchX, pitchY quantity.Length) LabelSheet {
	return centred(papers[0], across, down, quantity.Inch, width, height, pitchX, pitchY)
}

func a4(across, down int, width, height, pitchX, pitchY quantity.Length) LabelSheet {
	return centred(papers[1], across, down, quantity.Millimetre, width, height, pitchX, pitchY)
}

// centred is a sheet in the middle of its paper, of measures in a unit.
func centred(paper Paper, across, down int, unit, width, height, pitchX, pitchY quantity.Length) LabelSheet {
	s := LabelSheet{Paper: paper, Across: across, Down: down, Width: width * unit, Height: height * unit,
		PitchX: pitchX * unit, PitchY: pitchY * unit}
	s.centre()
	return s
}

func round(s LabelSheet) LabelSheet { s.Round = true; return s }

func (s *LabelSheet) centre() {
	s.Left = (s.Paper.Width - s.across()) / 2
	s.Top = (s.Paper.Height - s.down()) / 2
}

// across and down are how much of the paper the labels take.
func (s LabelSheet) across() quantity.Length { return quantity.Length(s.Across-1)*s.PitchX + s.Width }
func (s LabelSheet) down() quantity.Length   { return quantity.Length(s.Down-1)*s.PitchY + s.Height }

// Labels is how many there are on a sheet.
func (s LabelSheet) Labels() int { return s.Across * s.Down }

// nearly is how far a size as it is printed on a box may be from that of the sheet, and
// how far labels may stick out of the paper by the rounding of its measures.
const nearly = 0.4 * quantity.Millimetre

// LabelAsk is how labels are asked for, each as it is typed; empty is what is usual.
type LabelAsk struct {
	Paper string // "letter"
	Label string // "63.5x38.1mm"
	Round string // "63.5mm", instead of Label
	Sheet string // "across=3,down=7,left=7.2mm,top=15mm,pitch=66x38.1mm": one of the cook's own
	Shift string // "1mm,0": how much further right and down all is printed
	Skip  int    // labels of the first sheet that are used already
}

// Read finds the sheet that is asked for, moved by its shift, for a kitchen with such
// units. Errors are *fault.Fault.
func (a LabelAsk) Read(u quantity.System) (LabelSheet, error) {
	paper, err := ParsePaper(a.Paper, u)
	if err != nil {
		return LabelSheet{}, err
	}
	sheet, err := a.on(paper)
	if err != nil {
		return sheet, err
	}
	if a.Skip < 0 || a.Skip >= sheet.Labels() {
		return sheet, fault.New("skip", "count the labels that are gone from the first sheet",
			"--skip %d: a sheet has %d labels, so 0 to %d", a.Skip, sheet.Labels(), sheet.Labels()-1)
	}
	if a.Shift == "" {
		return sheet, nil
	}
	right, down, err := parsePair("shift", a.Shift, ",", "1mm,0")
	const most = 20 * quantity.Millimetre
	if err == nil && (max(right, -right) > most || max(down, -down) > most) {
		err = fault.New("shift", "describe the sheet with --sheet", "--shift %s: at most 20 mm (0.79 in) either way", a.Shift)
	}
	sheet.Left, sheet.Top = sheet.Left+right, sheet.Top+down
	return sheet, err
}

func (a LabelAsk) on(paper Paper) (LabelSheet, error) {
	key, text, isRound := "label", a.Label, a.Round != ""
	if isRound {
		if a.Label != "" {
			return LabelSheet{}, fault.New("round", "give one of them", "--label and --round go against each other")
		}
		key, text = "round", a.Round
	}
	alike := func(s LabelSheet) bool { return s.Paper == paper && s.Round == isRound }
	if text == "" && a.Sheet == "" {
		return labelSheets[slices.IndexFunc(labelSheets, alike)], nil
	}
	if text == "" {
		return LabelSheet{}, fault.New("sheet", "add --label, such as --label 63.5x38.1mm",
			"--sheet does not say how large a label is")
	}
	width, height, err := parseSize(key, text, isRound)
	if err != nil {
		return LabelSheet{}, err
	}
	if a.Sheet != "" {
		return ownSheet(LabelSheet{Paper: paper, Width: width, Height: height, Round: isRound}, a.Sheet)
	}
	var sizes []string
	other := ""
	for _, s := range labelSheets {
		same := s.Round == isRound && max(s.Width-width, width-s.Width) <= nearly &&
			max(s.Height-height, height-s.Height) <= nearly
		switch {
		case same && s.Paper == paper:
			return s, nil
		case same:
			other = "--paper " + s.Paper.Name + ", or "
		case alike(s):
			sizes = append(sizes, s.size())
		}
	}
	return LabelSheet{}, fault.New(key, other+"--sheet across=3,down=7,pitch=66x38.1mm with its own figures",
		"--%s %s: no sheet of %s paper with such labels is known; known are %s", key, text, paper.Name,
		strings.Join(sizes, ", "))
}

// size is that of a label, in the unit of its paper, as --label and --round read it.
func (s LabelSheet) size() string {
	unit, name := quantity.Millimetre, "mm"
	if s.Paper == papers[0] {
		unit, name = quantity.Inch, "in"
	}
	write := func(l quantity.Length) string {
		return strconv.FormatFloat(math.Round(float64(l/unit)*100)/100, 'f', -1, 64)
	}
	if s.Round {
		return write(s.Width) + name
	}
	return write(s.Width) + "x" + write(s.Height) + name
}

// parseSize reads "63.5x38.1mm", or the width of a round label.
func parseSize(key, text string, isRound bool) (width, height quantity.Length, err error) {
	if isRound {
		width, err = parseMeasure(key, text, text)
		height = width
	} else {
		width, height, err = parsePair(key, text, "x", "63.5x38.1mm")
	}
	const least = 10 * quantity.Millimetre
	if err == nil && (width < least || height < least) {
		err = fault.New(key, "measure a label", "--%s %s: a label is at least 10 mm (0.39 in) each way", key, text)
	}
	return width, height, err
}

// parsePair reads two lengths; the first may leave its unit to the second, and 0 needs none.
func parsePair(key, text, between, such string) (first, second quantity.Length, err error) {
	one, two, both := strings.Cut(strings.ToLower(strings.ReplaceAll(text, "×", "x")), between)
	if !both {
		return 0, 0, fault.New(key, "write --"+key+" "+such, "--%s %s: two measures are needed", key, text)
	}
	unit := strings.TrimLeft(strings.TrimSpace(two), "+-0123456789./ ")
	if strings.Trim(strings.TrimSpace(one), "+-0123456789./ ") == "" {
		one += unit
	}
	if first, err = parseMeasure(key, text, one); err == nil {
		second, err = parseMeasure(key, text, two)
	}
	return first, second, err
}

func parseMeasure(key, whole, text string) (quantity.Length, error) {
	if strings.Trim(strings.TrimSpace(text), "0+-") == "" && strings.Contains(text, "0") {
		return 0, nil
	}
	length, err := quantity.ParseLength(text)
	if err != nil {
		return 0, fault.Of(key, fmt.Errorf("--%s %s: %w", key, whole, err), "write --"+key+" with mm or in")
	}
	return length, nil
}

// mostLabels is how many there may be across or down a sheet of one's own.
const mostLabels = 50

// ownSheet reads a sheet as the cook describes it, whose paper and labels are known.
func ownSheet(s LabelSheet, text string) (LabelSheet, error) {
	wrong := func(hint, format string, about ...any) (LabelSheet, error) {
		return s, fault.New("sheet", hint, "--sheet "+text+": "+format, about...)
	}
	const such = "write --sheet across=3,down=7,left=7.2mm,top=15.1mm,pitch=66x38.1mm"
	given := map[string]string{}
	for pair := range strings.SplitSeq(text, ",") {
		name, value, _ := strings.Cut(pair, "=")
		if name = strings.ToLower(strings.TrimSpace(name)); given[name] != "" {
			return wrong(such, "%s is given twice", name)
		}
		given[name] = strings.TrimSpace(value)
	}
	s.PitchX, s.PitchY = s.Width, s.Height
	var err error
	for _, name := range slices.Sorted(maps.Keys(given)) {
		value := given[name]
		switch name {
		case "across", "down":
			n, bad := strconv.Atoi(value)
			if bad != nil || n < 1 || n > mostLabels {
				return wrong(such, "%s is a count of 1 to %d, not %q", name, mostLabels, value)
			}
			*map[string]*int{"across": &s.Across, "down": &s.Down}[name] = n
		case "pitch":
			s.PitchX, s.PitchY, err = parsePair("sheet", value, "x", "across=3,down=7,pitch=66x38.1mm")
		case "left", "top":
		default:
			return wrong(such, "there is no %q in a sheet", name)
		}
		if err != nil {
			return s, err
		}
	}
	if s.Across == 0 || s.Down == 0 {
		return wrong(such, "it does not say how many labels there are across and down")
	}
	s.centre()
	for name, to := range map[string]*quantity.Length{"left": &s.Left, "top": &s.Top} {
		if value, ok := given[name]; ok {
			if *to, err = parseMeasure("sheet", value, value); err != nil {
				return s, err
			}
		}
	}
	switch {
	case s.PitchX < s.Width-nearly || s.PitchY < s.Height-nearly:
		return wrong("measure from the edge of one label to the same edge of the next",
			"labels of %s overlap at that pitch", s.size())
	case s.Left < -nearly || s.Top < -nearly || s.Left+s.across() > s.Paper.Width+nearly ||
		s.Top+s.down() > s.Paper.Height+nearly:
		return wrong("fewer labels, a smaller pitch, or --paper", "the labels do not fit on %s paper, %s wide and %s high",
			s.Paper.Name, s.Paper.Width.Both(quantity.US), s.Paper.Height.Both(quantity.US))
	}
	return s, nil
}
