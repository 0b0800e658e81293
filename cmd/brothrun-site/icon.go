package main

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"sync"
)

// icon is a picture of the page on a home screen: a pot with its lid, steam, and a jar.
type icon struct {
	name  string
	width int     // pixels
	room  float64 // what of the width the picture takes; the rest is for a phone's mask
}

// icons are those that phones ask for; a mask leaves a circle of 80 % of the width
// (W3C, Web Application Manifest, "Icon masks and safe zone").
var icons = []icon{{"icon-180.png", 180, .86}, {"icon-192.png", 192, .96}, {"icon-512.png", 512, .96}, {"icon-mask.png", 512, .7}}

var (
	green = color.NRGBA{0x0b, 0x5d, 0x2a, 255}
	cream = color.NRGBA{0xfd, 0xfc, 0xf8, 255}
	broth = color.NRGBA{0xe0, 0xa0, 0x3a, 255}
)

// box reports whether a point lies in a rectangle with round corners.
func box(x, y, left, top, right, bottom, round float64) bool {
	dx := math.Max(math.Max(left+round-x, x-(right-round)), 0)
	dy := math.Max(math.Max(top+round-y, y-(bottom-round)), 0)
	return x >= left && x <= right && y >= top && y <= bottom && dx*dx+dy*dy <= round*round
}

// steam is a line that sways upward.
func steam(x, y, foot float64) bool {
	return y > .09 && y < .24 && math.Abs(x-foot-.018*math.Sin((y-.09)*30)) < .016
}

// paint is the colour at a point of the picture, which is 1 wide and high.
func paint(x, y float64) color.NRGBA {
	switch {
	case box(x, y, .685, .6, .925, .87, .04) && y > .66: // the jar's broth
		return broth
	case box(x, y, .67, .54, .94, .885, .06), box(x, y, .69, .475, .92, .525, .02): // the jar and its lid
		return cream
	case box(x, y, .29, .27, .39, .35, .04), box(x, y, .09, .33, .59, .39, .03): // the pot's lid
		return cream
	case box(x, y, .1, .42, .58, .885, .08), box(x, y, .03, .47, .65, .55, .04): // the pot and its handles
		return cream
	case steam(x, y, .24), steam(x, y, .34), steam(x, y, .44):
		return cream
	}
	return green
}

// draw is the picture as PNG, each dot the mean of 16.
func (i icon) draw() ([]byte, error) {
	const fine = 4
	picture := image.NewNRGBA(image.Rect(0, 0, i.width, i.width))
	place := func(n int) float64 { return ((float64(n)+.5)/float64(fine*i.width)-.5)/i.room + .5 }
	for y := range i.width {
		for x := range i.width {
			var r, g, b int
			for n := range fine * fine {
				c := paint(place(x*fine+n%fine), place(y*fine+n/fine))
				r, g, b = r+int(c.R), g+int(c.G), b+int(c.B)
			}
			picture.SetNRGBA(x, y, color.NRGBA{uint8(r / fine / fine), uint8(g / fine / fine), uint8(b / fine / fine), 255})
		}
	}
	var out bytes.Buffer
	err := png.Encode(&out, picture)
	return out.Bytes(), err
}

// drawn are the icons, drawn once.
var drawn = sync.OnceValues(func() (all [][]byte, err error) {
	for _, i := range icons {
		picture, err := i.draw()
		if err != nil {
			return nil, err
		}
		all = append(all, picture)
	}
	return all, nil
})
