package sprayphoto

import (
	"bytes"
	"image"
	_ "image/jpeg" // what telephones and scanners write
	_ "image/png"

	"needlebook/logbook/refusal"
)

// The bounds of a picture: one of 12 million pixels is an ordinary telephone's.
const (
	MaxBytes  = 64 << 20
	mostPixel = 64 << 20
	worked    = 1500 // pixels on the longer side of what is worked on
)

// Decode reads a picture, JPEG or PNG, within bounds. The error is a *Refused.
func Decode(src []byte) (image.Image, error) {
	c, _, err := image.DecodeConfig(bytes.NewReader(src))
	if err != nil || len(src) > MaxBytes || c.Width < 64 || c.Height < 64 || c.Width > mostPixel/c.Height {
		return nil, &Refused{Reason: refusal.NoPicture}
	}
	m, _, err := image.Decode(bytes.NewReader(src))
	if err != nil {
		return nil, &Refused{Reason: refusal.NoPicture}
	}
	return m, nil
}

// shrunk is the picture in grey, each pixel the mean of a square of it.
func shrunk(m image.Image) *grey {
	b := m.Bounds()
	by := max((max(b.Dx(), b.Dy())+worked-1)/worked, 1)
	g := &grey{w: b.Dx() / by, h: b.Dy() / by}
	g.pix = make([]float32, g.w*g.h)
	row := lumaOf(m)
	line := make([]uint8, b.Dx())
	scale := 1 / float32(by*by)
	for y := range g.h * by {
		row(y, line)
		out := g.pix[(y/by)*g.w : (y/by+1)*g.w]
		for x := range out {
			var sum uint32
			for _, v := range line[x*by : (x+1)*by] {
				sum += uint32(v)
			}
			out[x] += float32(sum) * scale
		}
	}
	return g
}

// lumaOf gives the brightness of a picture line by line: as it is stored, where it is.
func lumaOf(m image.Image) func(y int, line []uint8) {
	b := m.Bounds()
	switch p := m.(type) {
	case *image.YCbCr:
		return func(y int, line []uint8) { copy(line, p.Y[p.YOffset(b.Min.X, b.Min.Y+y):]) }
	case *image.Gray:
		return func(y int, line []uint8) { copy(line, p.Pix[p.PixOffset(b.Min.X, b.Min.Y+y):]) }
	}
	return func(y int, line []uint8) {
		for x := range line {
			r, g, bl, _ := m.At(b.Min.X+x, b.Min.Y+y).RGBA()
			line[x] = uint8((299*r + 587*g + 114*bl) / 1000 >> 8)
		}
	}
}
