package export

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// Measures of the page, in millimetres of the canner: the drawing is to scale,
// and a viewer sizes it.
const (
	svgMargin = 15.0
	svgText   = 11.0 // size of the letters
	svgLine   = 15.0 // from one line of text to the next
	svgFoot   = 4 * svgLine
	svgInch   = 25.4
	// svgLetter is how wide a letter is at most, as a share of its size: wider than
	// in any common plain face, so that a name stays in its circle.
	svgLetter = 0.65
)

// SVG writes the layers of plan.Batch.Drawings as one picture, two in a row:
// circles to scale with the jar's name and number, another shape in those of another
// size, the wall of the canner and in broken line
// the clearance kept from it, the measures in both systems of units and a scale
// bar. It is black on white, needs no fonts but the viewer's own, and the same
// plan gives the same bytes. A layer that has no true picture is said in words.
// Without drawings the picture is empty. The only errors are those of w.
func SVG(w io.Writer, plan timeline.Plan) error {
	b := plan.Batch
	widest := 0.0
	for _, d := range b.Drawings {
		widest = max(widest, d.Width.Metres()*1000)
	}
	// Text may be wider than a small canner.
	panel := max(widest, 230)
	columns := max(1, min(2, len(b.Drawings)))
	rows := (len(b.Drawings) + 1) / 2
	page := svgPage{}
	const head = svgMargin + 2.5*svgLine
	rowHeight := 2*svgLine + panel + svgFoot + svgMargin
	width := svgMargin + float64(columns)*(panel+svgMargin)
	height := head + float64(rows)*rowHeight + 3*svgLine + svgMargin

	page.line(`<?xml version="1.0" encoding="UTF-8"?>`)
	page.line(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.1f %.1f" font-family="sans-serif" font-size="%g" fill="black" stroke="none">`, width, height, svgText)
	page.line(`<title>%s</title>`, svgEscape(heading(b)))
	page.line(`<desc>Layers of jars in the canner, from above. One unit is 1 mm.</desc>`)
	page.line(`<rect width="%.1f" height="%.1f" fill="white"/>`, width, height)
	page.text("start", svgMargin, svgMargin+svgLine, heading(b), width-2*svgMargin, svgText)
	marks := marksOf(b.Drawings)
	for i, d := range b.Drawings {
		left := svgMargin + float64(i%2)*(panel+svgMargin)
		page.layer(d, left, head+float64(i/2)*rowHeight, panel, b.Units, marks)
	}
	if rows > 0 {
		page.scaleBar(svgMargin, head+float64(rows)*rowHeight, svgText)
	}
	page.line(`</svg>`)
	_, err := w.Write(page.Bytes())
	return err
}

type svgPage struct{ bytes.Buffer }

func (p *svgPage) line(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }

// layer writes one layer into a panel whose left upper corner is given.
func (p *svgPage) layer(d stock.LayerDrawing, left, top, panel float64, u quantity.System, marks map[string]int) {
	p.line(`<g class="layer">`)
	p.text("start", left, top+svgLine, layerTitle(d), panel, svgText)
	legend := top + svgLine
	if len(d.Spots) > 0 {
		legend += svgLine + panel
		p.stand(d, left+panel/2, top+2*svgLine+panel/2, svgText, marks, nil)
	}
	for i, line := range layerLegend(d, u) {
		p.text("start", left, legend+float64(i+1)*svgLine, line, panel, svgText)
	}
	p.line(`</g>`)
}

// stand draws the jars of a layer about a middle: the name of each, or what short has for
// it, its number in the layer and, by marks, the shape of its size. letters is the size of
// those.
func (p *svgPage) stand(d stock.LayerDrawing, x, y, letters float64, marks map[string]int, short map[string]string) {
	p.line(`<g fill="none" stroke="black">`)
	p.circle("canner", x, y, d.Width, `stroke-width="2"`)
	if d.Clearance > 0 {
		p.circle("clearance", x, y, d.Width-d.Clearance, `stroke-width="0.5" stroke-dasharray="4 3"`)
	}
	at := func(s stock.Spot) (jarX, jarY, diameter float64) {
		return x + s.At.X.Metres()*1000, y - s.At.Y.Metres()*1000, s.Diameter.Metres() * 1000
	}
	for _, s := range d.Spots {
		jarX, jarY, diameter := at(s)
		p.circle("jar", jarX, jarY, s.Diameter, `stroke-width="1"`)
		if mark := svgMarks[marks[s.Jar]%len(svgMarks)]; mark.corners > 0 {
			p.polygon(jarX, jarY, 0.49*diameter, mark)
		}
	}
	p.line(`</g>`)
	for i, s := range d.Spots {
		jarX, jarY, diameter := at(s)
		room := svgMarks[marks[s.Jar]%len(svgMarks)].room * diameter
		p.text("middle", jarX, jarY-letters/10, cmp.Or(short[s.Jar], s.Jar), room, letters)
		p.text("middle", jarX, jarY+0.85*letters, fmt.Sprint(i+1), room/2, letters)
	}
}

// svgMark is the shape within the circle of a size of jar, and how wide, as a share of
// the circle, a word in its middle may be.
type svgMark struct {
	corners int
	turn    float64 // of the first corner, in turns from the right
	room    float64
}

// svgMarks tell sizes of jar apart without colour, the first by none.
var svgMarks = []svgMark{{room: 0.9}, {4, 0.125, 0.65}, {6, 0, 0.75}, {4, 0.25, 0.5}}

// marksOf numbers the sizes of jar in drawings, in their order: there is no mark for the
// first, which is the only one in most.
func marksOf(drawings []stock.LayerDrawing) map[string]int {
	marks := map[string]int{}
	for _, d := range drawings {
		for _, j := range d.Jars {
			if _, known := marks[j.Jar]; !known {
				marks[j.Jar] = len(marks)
			}
		}
	}
	return marks
}

func (p *svgPage) polygon(x, y, radius float64, mark svgMark) {
	var points []string
	for i := range mark.corners {
		sin, cos := math.Sincos(2 * math.Pi * (mark.turn + float64(i)/float64(mark.corners)))
		points = append(points, fmt.Sprintf("%.2f,%.2f", x+radius*cos, y-radius*sin))
	}
	p.line(`<polygon class="size" points="%s" stroke-width="1"/>`, strings.Join(points, " "))
}

// circle writes a circle of a diameter, to a ten-thousandth of a millimetre.
func (p *svgPage) circle(class string, x, y float64, diameter quantity.Length, style string) {
	p.line(`<circle class="%s" cx="%.4f" cy="%.4f" r="%.4f" %s/>`, class, x, y, diameter.Metres()*1000/2, style)
}

// text writes a line of text, in smaller letters where it would be wider than
// room.
func (p *svgPage) text(anchor string, x, y float64, words string, room, letters float64) {
	words = Printable(words)
	size := min(letters, room/max(svgLetter, svgWidth(words)))
	p.line(`<text x="%.2f" y="%.2f" text-anchor="%s" font-size="%.2f">%s</text>`, x, y, anchor, size, svgEscape(words))
}

// svgWidth is how wide words are at most, in sizes of their letters.
func svgWidth(words string) float64 {
	wide := 0.0
	for _, r := range words {
		if r < 0x1100 { // the first of the wide scripts
			wide += svgLetter
		} else {
			wide += 2 * svgLetter
		}
	}
	return wide
}

// scaleBar writes a bar of inches above one of centimetres.
func (p *svgPage) scaleBar(x, y, letters float64) {
	const inches, centimetres = 4, 10
	p.line(`<g class="scale">`)
	bar := func(y, unit float64, count int, name string) {
		for i := range count {
			fill := "white"
			if i%2 == 0 {
				fill = "black"
			}
			p.line(`<rect x="%.2f" y="%.2f" width="%.2f" height="%.3g" fill="%s" stroke="black" stroke-width="0.5"/>`,
				x+float64(i)*unit, y, unit, 4*letters/svgText, fill)
		}
		p.text("start", x+float64(count)*unit+4, y+6*letters/svgText, fmt.Sprintf("%d %s", count, name), 100, letters)
	}
	bar(y, svgInch, inches, "in")
	bar(y+svgLine*letters/svgText, 10, centimetres, "cm")
	p.line(`</g>`)
}

func svgEscape(text string) string {
	var b strings.Builder
	// Escaping fails only where writing does, and a Builder takes everything.
	_ = xml.EscapeText(&b, []byte(text))
	return b.String()
}
