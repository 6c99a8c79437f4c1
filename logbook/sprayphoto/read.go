package sprayphoto

import (
	"fmt"
	"image"
	"math"
	"slices"

	"needlebook/logbook/refusal"
)

// Refused is a reason with what was found.
type Refused struct {
	Reason refusal.Reason
	Found  string
}

// Error says the reason in words.
func (r *Refused) Error() string {
	if r.Found == "" {
		return r.Reason.Says()
	}
	return r.Reason.Says() + ": " + r.Found
}

// What the reader goes by: parts of the method, not limits of a nozzle.
const (
	perMM        = 2.5  // pixels of the squared picture to a mm
	innerEdge    = 9.0  // mm from the middle: nearer is the cross and a drip
	outerEdge    = 75.0 // mm: beyond is the printed circle
	angles       = 720  // of the picture about the middle
	rings        = 133  // steps of half a mm from the inner edge to the outer one
	ringStep     = 0.5
	mostTilt     = 1.9  // ratio of the scales at the corners
	blurMM       = 1.7  // mm: an edge of a mark is sharper than that
	paleDark     = 0.07 // darkness of the marks in the middle: less is too pale
	missingBelow = 0.15 // share of the usual darkness times area
	weakBelow    = 0.78
	bentBeyond   = 3.6  // degrees
	shadowStep   = 0.08 // darkness by which the light differs across a sector
	dripDark     = 0.16
)

// Hole is one spray hole as its mark shows it.
type Hole struct {
	Number    int     // clock number from the dowel, from 1
	Share     float64 // darkness times area over that of the usual hole
	ShareU    float64 // half width of the interval that holds it with a chance of 95 %
	Angle     float64 // degrees from the top, clockwise
	Off       float64 // degrees from where it belongs
	Distance  float64 // mm from the middle of the ring
	Area      float64 // mm² darker than half of its peak
	Darkness  float64 // peak, as a logarithm of the light lost
	Edge      float64 // mm over which the outline goes from dark to light; short is a hard edge
	Missing   bool
	Weak      bool
	Bent      bool
	Merged    bool // with the next one
	HardEdged bool
	NotJudged *Refused
}

// Reading is what a picture of a spray paper shows.
type Reading struct {
	Holes     []Hole
	Turned    float64 // degrees by which the ring is turned against the dowel's mark
	OffX      float64 // mm from the cross to the middle of the ring: the valve was not square; no fault of it
	OffY      float64
	Drip      bool
	Blot      float64 // darkness of the middle
	Tilt      float64 // ratio of the scales at the corners
	MMPerEdge float64 // sharpness of the picture: mm over which an edge of a corner mark goes
	Pattern   string  // even, uneven, jet or skewed
	Squared   *image.Gray
}

// Open is how many holes have a mark; those that were not judged count as open.
func (r *Reading) Open() (n int) {
	for _, h := range r.Holes {
		if !h.Missing {
			n++
		}
	}
	return n
}

// paper is one squared paper being read.
type paper struct {
	flat   *grey // the squared picture
	dark   []float32
	n      int
	cx, cy float64
	polar  []float32 // darkness by angle and ring
	out    *Reading
}

// Read reads a picture of a spray paper with so many holes. The error is a *Refused.
func Read(m image.Image, holes int) (*Reading, error) {
	if holes < 2 || holes > 16 {
		return nil, &Refused{Reason: refusal.HolesNotSet}
	}
	g := shrunk(m)
	h, ok := g.findMarks()
	if !ok {
		return nil, &Refused{Reason: refusal.NoMarks}
	}
	p := &paper{n: holes, cx: CentreX, cy: CentreY, out: &Reading{Tilt: h.tilt()}}
	if p.out.Tilt > mostTilt {
		return nil, &Refused{refusal.TooTilted, fmt.Sprintf("%.1f times as large at one end", p.out.Tilt)}
	}
	p.square(g, &h)
	if p.out.MMPerEdge = p.edge(); p.out.MMPerEdge > blurMM {
		return nil, &Refused{refusal.Blurred, fmt.Sprintf("edges %.1f mm wide", p.out.MMPerEdge)}
	}
	if why := p.even(); why != nil {
		return nil, why
	}
	if err := p.sprays(); err != nil {
		return nil, err
	}
	return p.out, nil
}

// square makes the paper flat and upright.
func (p *paper) square(g *grey, h *plane) {
	w, t := int(math.Round(Width*perMM)), int(math.Round(Height*perMM))
	p.flat = &grey{w: w, h: t, pix: make([]float32, w*t)}
	p.out.Squared = image.NewGray(image.Rect(0, 0, w, t))
	for y := range t {
		for x := range w {
			u, v := h.to((float64(x)+0.5)/perMM, (float64(y)+0.5)/perMM)
			light := g.between(u, v)
			p.flat.pix[y*w+x] = float32(light)
			p.out.Squared.Pix[y*w+x] = uint8(light)
		}
	}
}

// light is the squared picture at a place in mm.
func (p *paper) light(x, y float64) float64 { return p.flat.between(x*perMM-0.5, y*perMM-0.5) }

// edge is how wide the outlines of the corner marks are: the step over the steepest slope, in the middle of many.
func (p *paper) edge() float64 {
	var all []float64
	for _, m := range Marks {
		for _, d := range [4][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			for _, side := range []float64{-3.5, -2, 2, 3.5} {
				at := func(r float64) float64 { return p.light(m[0]+d[0]*r+d[1]*side, m[1]+d[1]*r+d[0]*side) }
				step, steep := at(8.5)-at(4.5), 0.0
				for r := 4.5; r < 8.4; r += 0.2 {
					steep = max(steep, (at(r+0.4)-at(r))/0.4)
				}
				if steep > 0 && step > 10 {
					all = append(all, step/steep)
				}
			}
		}
	}
	if len(all) < 12 {
		return math.Inf(1)
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// even takes the light of the lamp out: a smooth surface through the bright part of the paper, fitted to what stands
// out of it again and again. What is left is how much darker a place is, as a logarithm.
func (p *paper) even() *Refused {
	const cell = 7.0
	type spot struct{ x, y, v float64 }
	var spots []spot
	bright := 0.0
	for y := 30.0; y < 262; y += cell {
		for x := 8.0; x < 200; x += cell {
			var in []float64
			for dy := 0.0; dy < cell; dy += 0.8 {
				for dx := 0.0; dx < cell; dx += 0.8 {
					in = append(in, p.light(x+dx, y+dy))
				}
			}
			slices.Sort(in)
			v := in[len(in)*3/4]
			spots = append(spots, spot{(x + cell/2 - CentreX) / 100, (y + cell/2 - CentreY) / 100, math.Log(max(v, 1))})
			bright = max(bright, v)
		}
	}
	if bright < 50 {
		return &Refused{Reason: refusal.TooDark}
	}
	weight := make([]float64, len(spots))
	for i := range weight {
		weight[i] = 1
	}
	basis := func(x, y float64) [6]float64 { return [6]float64{1, x, y, x * x, x * y, y * y} }
	var c [6]float64
	for range 12 {
		var a [6][7]float64
		for i, s := range spots {
			f := basis(s.x, s.y)
			for j := range f {
				for k := range f {
					a[j][k] += weight[i] * f[j] * f[k]
				}
				a[j][6] += weight[i] * f[j] * s.v
			}
		}
		c = solved(a)
		for i, s := range spots {
			f := basis(s.x, s.y)
			rest := s.v
			for j := range f {
				rest -= c[j] * f[j]
			}
			weight[i] = 1
			if rest < -0.02 { // a mark or a shadow: darker than the paper
				weight[i] = 0.02 / -rest * 0.02 / -rest
			}
		}
	}
	p.dark = make([]float32, len(p.flat.pix))
	for y := range p.flat.h {
		for x := range p.flat.w {
			f := basis(((float64(x)+0.5)/perMM-CentreX)/100, ((float64(y)+0.5)/perMM-CentreY)/100)
			level := 0.0
			for j := range f {
				level += c[j] * f[j]
			}
			k := y*p.flat.w + x
			p.dark[k] = float32(level - math.Log(max(float64(p.flat.pix[k]), 1)))
		}
	}
	p.dark = withoutLines(p.dark, p.flat.w, p.flat.h)
	return nil
}

// solved solves six equations by elimination.
func solved(a [6][7]float64) (c [6]float64) {
	for i := range 6 {
		best := i
		for j := i; j < 6; j++ {
			if math.Abs(a[j][i]) > math.Abs(a[best][i]) {
				best = j
			}
		}
		a[i], a[best] = a[best], a[i]
		if a[i][i] == 0 {
			return c
		}
		for j := range 6 {
			if j != i {
				f := a[j][i] / a[i][i]
				for k := i; k < 7; k++ {
					a[j][k] -= f * a[i][k]
				}
			}
		}
	}
	for i := range 6 {
		c[i] = a[i][6] / a[i][i]
	}
	return c
}

// withoutLines takes out what is dark and thinner than a mm or so, printed or ruled: the least of a small square, then
// the most of one. Source: Serra, Image Analysis and Mathematical Morphology, opening.
func withoutLines(v []float32, w, h int) []float32 {
	const half = 1
	for _, most := range []bool{false, true} {
		for _, step := range []int{1, w} {
			out := make([]float32, len(v))
			for y := range h {
				for x := range w {
					k, at, end := y*w+x, x, w
					if step == w {
						at, end = y, h
					}
					best := v[k]
					for d := -half; d <= half; d++ {
						if at+d >= 0 && at+d < end {
							if n := v[k+d*step]; most == (n > best) && n != best {
								best = n
							}
						}
					}
					out[k] = best
				}
			}
			v = out
		}
	}
	return v
}

// darkAt is the darkness at a place in mm.
func (p *paper) darkAt(x, y float64) float64 {
	u, v := x*perMM-0.5, y*perMM-0.5
	i, j := int(u), int(v)
	if i < 0 || j < 0 || i >= p.flat.w-1 || j >= p.flat.h-1 {
		return 0
	}
	a, b := u-float64(i), v-float64(j)
	k := j*p.flat.w + i
	return (float64(p.dark[k])*(1-a)+float64(p.dark[k+1])*a)*(1-b) +
		(float64(p.dark[k+p.flat.w])*(1-a)+float64(p.dark[k+p.flat.w+1])*a)*b
}
