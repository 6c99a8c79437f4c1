package sprayphoto

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"strconv"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"
)

// Shown is the squared picture with a ring about each mark and its clock number: a cross where it is missing, a second
// ring where it is weak or bent, a question mark where it was not judged.
func (r *Reading) Shown() *image.Gray {
	out := image.NewGray(r.Squared.Rect)
	draw.Draw(out, out.Rect, r.Squared, image.Point{}, draw.Src)
	cx, cy := CentreX+r.OffX, CentreY+r.OffY
	usual := 0.0
	for _, h := range r.Holes {
		usual = max(usual, h.Distance)
	}
	for i, h := range r.Holes {
		angle, distance := h.Angle, h.Distance
		if h.Missing || distance == 0 {
			angle, distance = r.Turned+360*float64(i)/float64(len(r.Holes)), usual
		}
		s, c := math.Sincos(angle * math.Pi / 180)
		x, y := (cx+distance*s)*perMM, (cy-distance*c)*perMM
		radius := 11 * perMM
		circle(out, x, y, radius)
		label := strconv.Itoa(h.Number)
		switch {
		case h.NotJudged != nil:
			label += "?"
		case h.Missing:
			for d := -radius * 0.7; d <= radius*0.7; d += 0.5 {
				dot(out, x+d, y+d)
				dot(out, x+d, y-d)
			}
		case h.Weak || h.Bent:
			circle(out, x, y, radius-4)
		}
		lx, ly := (cx+(distance+16)*s)*perMM, (cy-(distance+16)*c)*perMM
		d := font.Drawer{Dst: out, Src: image.NewUniform(color.Gray{}), Face: basicfont.Face7x13,
			Dot: fixed.P(int(lx)-3*len(label), int(ly)+5)}
		d.DrawString(label)
	}
	return out
}

func circle(m *image.Gray, x, y, radius float64) {
	for a := 0.0; a < 2*math.Pi; a += 0.5 / radius {
		s, c := math.Sincos(a)
		dot(m, x+radius*s, y+radius*c)
	}
}

func dot(m *image.Gray, x, y float64) {
	m.SetGray(int(math.Round(x)), int(math.Round(y)), color.Gray{})
}
