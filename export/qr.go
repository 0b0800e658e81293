package export

import (
	"bufio"
	"io"

	"rsc.io/qr"
)

// quiet is the light border that a reader needs, in modules (ISO/IEC 18004: 4).
const quiet = 4

// QR draws text as a QR code (ISO/IEC 18004) for a terminal, two modules in a cell, in black
// and white whatever its colours are. Where a cell is both, the light half is its glyph and
// the dark one its background: glyphs leave hairlines, which then fall into what is light.
// It is an error when text is too long; others are those of w.
func QR(w io.Writer, text string) error {
	code, err := qr.Encode(text, qr.L)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	for y := -quiet; y < code.Size+quiet; y += 2 {
		for x := -quiet; x < code.Size+quiet; x++ {
			out.WriteString(cells[code.Black(x, y)][y+1 < code.Size+quiet && code.Black(x, y+1)])
		}
		out.WriteString("\x1b[0m\n")
	}
	return out.Flush()
}

// cells are two modules, the upper and the lower, in black (16) and white (231) of the 256
// colours, which no theme changes.
var cells = map[bool]map[bool]string{
	true:  {true: "\x1b[48;5;16m ", false: "\x1b[38;5;231;48;5;16m▄"},
	false: {true: "\x1b[38;5;231;48;5;16m▀", false: "\x1b[48;5;231m "},
}
