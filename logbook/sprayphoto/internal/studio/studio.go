// Package studio draws spray papers and things that are none, and photographs them, for tests of a reader that knows
// nothing of it. It is the second of its kind: its marks are smooth films of oil that soak along the fibres and
// saturate, its light is a lamp near the paper, its camera has a lens that bends lines, and a telephone's turned file.
// Begin with Shoot.
//
// Sources: the pinhole camera: Hartley and Zisserman, Multiple View Geometry; a near lamp and the look of oil on paper:
// from memory.
package studio

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
)

// Shot is a paper and how it was photographed.
type Shot struct {
	Holes    int
	Flow     map[int]float64 // by hole, from 1; others are usual
	Bend     map[int]float64 // degrees
	Drip     bool
	Radius   float64 // mm; 38 to 55 where none is given
	Askew    float64 // degrees between lens and paper, at most
	Dim      float64 // share of the light lost at the far side
	Shadow   float64 // share of the light lost in a hard shadow
	Halo     bool
	Ruled    bool
	Thumb    bool // over the edge of the paper, beside the marks
	Covered  bool // over a corner mark
	Coffee   bool
	Blur     float64 // pixels
	Quality  int     // of the JPEG; 80 where none is given
	Turned   bool    // the file is turned, as its EXIF data say
	Blank    bool    // nothing was sprayed
	Wide     int     // pixels of the longer side; 1600 where none is given
	Roll     float64 // degrees at most by which the picture is turned
	Coloured bool    // a warm lamp
}

const (
	wide, high = 210.0, 297.0
	scale      = 4.0 // dots of the sheet in a mm
)

// sheet is what lies under the camera: how much light it gives back, by dots.
type sheet struct {
	w, h int
	ink  []float32 // logarithm of the light lost
	oil  []float32
}

func blank() *sheet {
	s := &sheet{w: int(wide * scale), h: int(high * scale)}
	s.ink, s.oil = make([]float32, s.w*s.h), make([]float32, s.w*s.h)
	return s
}

// fill adds to dots by what a function gives at mm, in a box.
func (s *sheet) fill(to []float32, x0, y0, x1, y1 float64, f func(x, y float64) float64) {
	for j := max(0, int(y0*scale)); j < min(s.h, int(y1*scale)+1); j++ {
		for i := max(0, int(x0*scale)); i < min(s.w, int(x1*scale)+1); i++ {
			to[j*s.w+i] += float32(f((float64(i)+0.5)/scale, (float64(j)+0.5)/scale))
		}
	}
}

func (s *sheet) box(x, y, w, h, dark float64) {
	s.fill(s.ink, x, y, x+w, y+h, func(px, py float64) float64 {
		in := func(v, from, to float64) float64 { return min(1, max(0, 0.5+scale*min(v-from, to-v))) }
		return dark * in(px, x, x+w) * in(py, y, y+h)
	})
}

// ring is a circle of a line's width; a disc where the width is the radius.
func (s *sheet) ring(x, y, r, width, dark float64) {
	s.fill(s.ink, x-r-1, y-r-1, x+r+1, y+r+1, func(px, py float64) float64 {
		d := math.Hypot(px-x, py-y)
		return dark * min(1, max(0, 0.5+scale*min(r-d, d-r+width)))
	})
}

func (s *sheet) text(r *rand.Rand, x, y, w, h float64, lines int) {
	for l := range lines {
		for at := x; at < x+w; {
			word := (1 + 8*r.Float64()) * h * 0.5
			for k := 0.0; k < word; k += h * 0.5 {
				s.box(at+k, y+float64(l)*h*1.7, h*0.12, h*(0.5+0.5*r.Float64()), 1.6)
				s.box(at+k, y+float64(l)*h*1.7+h*r.Float64(), h*0.35, h*0.12, 1.6)
			}
			at += word + h*0.5
		}
	}
}

// printed is the target as it is printed, without a spray.
func printed(r *rand.Rand, marks int) *sheet {
	s := blank()
	for i, m := range [4][2]float64{{10, 10}, {188, 10}, {10, 272}, {188, 272}} {
		if marks&(1<<i) != 0 {
			s.box(m[0], m[1], 12, 12, 2.6)
		}
	}
	if marks&8 != 0 {
		s.box(191, 275, 6, 6, -2.6)
	}
	s.ring(105, 147, 78.1, 0.25, 2)
	s.ring(105, 147, 2.1, 0.25, 2)
	s.box(104.9, 141, 0.25, 4, 2)
	s.box(104.9, 149, 0.25, 4, 2)
	s.box(99, 146.9, 4, 0.25, 2)
	s.box(107, 146.9, 4, 0.25, 2)
	s.box(104.9, 69, 0.25, 9, 2)
	s.box(55, 262, 100, 0.4, 2)
	s.text(r, 30, 12, 150, 2.6, 4)
	s.text(r, 30, 268, 150, 2.4, 3)
	for h := range 9 {
		a := float64(h) * 2 * math.Pi / 9
		s.box(104+84*math.Sin(a), 145-84*math.Cos(a), 0.8, 5, 1.8)
	}
	return s
}

// Shoot is the picture as a telephone writes it.
func Shoot(seed uint64, p Shot) []byte {
	r := rand.New(rand.NewPCG(seed, 77)) //nolint:gosec // a simulation
	marks := 15
	s := printed(r, marks)
	if p.Ruled {
		every := []float64{5, 7, 8}[r.IntN(3)]
		for y := every; y < high; y += every {
			s.box(0, y, wide, 0.3, 0.25)
		}
		if every == 5 {
			for x := every; x < wide; x += every {
				s.box(x, 0, 0.3, high, 0.25)
			}
		}
	}
	if !p.Blank {
		s.spray(r, &p)
	}
	if p.Coffee {
		s.ring(30+20*r.Float64(), 205+15*r.Float64(), 36, 2.5, 0.5)
	}
	return s.photograph(r, &p)
}

// spray lays the films of oil.
func (s *sheet) spray(r *rand.Rand, p *Shot) {
	radius := p.Radius
	if radius == 0 {
		radius = 38 + 17*r.Float64()
	}
	cx, cy, turn := 105+5*(2*r.Float64()-1), 147+5*(2*r.Float64()-1), 4*(2*r.Float64()-1)
	peak, cap := 0.9+0.7*r.Float64(), 1.6+r.Float64()
	long, across := radius*(0.13+0.05*r.Float64()), radius*(0.055+0.015*r.Float64())
	fx, fy := 0.1*r.Float64(), 3+3*r.Float64()
	for h := range p.Holes {
		flow := 1.0
		if f, ok := p.Flow[h+1]; ok {
			flow = f
		}
		flow *= 1 + 0.04*r.NormFloat64()
		if flow <= 0.02 {
			continue
		}
		a := (float64(h)*360/float64(p.Holes) + turn + p.Bend[h+1] + 0.5*r.NormFloat64()) * math.Pi / 180
		d := radius * (1 + 0.02*r.NormFloat64())
		sin, cos := math.Sincos(a)
		grow := math.Pow(flow, 0.25) // a film spreads and thickens
		l, w, high := long*grow, across*grow, peak*math.Sqrt(flow)
		mx, my := cx+d*sin, cy-d*cos
		reach := 3.2 * l
		s.fill(s.oil, mx-reach, my-reach, mx+reach, my+reach, func(x, y float64) float64 {
			u, v := (x-mx)*sin-(y-my)*cos, (x-mx)*cos+(y-my)*sin
			if u < 0 { // the tail toward the middle is longer
				u *= 0.8
			}
			q := (u/l)*(u/l) + (v/w)*(v/w)
			film := high * math.Exp(-q/2) * (1 + fx*math.Sin(fy*x)*math.Sin(fy*1.3*y+1))
			if p.Halo {
				film += 0.1 * high / (1 + math.Exp((math.Sqrt(q)-2.1)*6))
			}
			return film
		})
		for range 25 { // what splashes
			du, dv, size := l*1.3*r.NormFloat64(), w*1.8*r.NormFloat64(), 0.25+0.35*r.Float64()
			s.ringOil(mx+du*sin+dv*cos, my-du*cos+dv*sin, size, 0.5*high)
		}
	}
	if p.Drip {
		s.ringOil(cx+2*r.NormFloat64(), cy+2*r.NormFloat64(), 4+3*r.Float64(), 1.3)
	}
	for i, v := range s.oil {
		s.oil[i] = float32(cap * (1 - math.Exp(-float64(v)/cap)))
	}
}

func (s *sheet) ringOil(x, y, r, dark float64) {
	s.fill(s.oil, x-r-1, y-r-1, x+r+1, y+r+1, func(px, py float64) float64 {
		return dark / (1 + math.Exp((math.Hypot(px-x, py-y)-r)*5))
	})
}

func (s *sheet) at(to []float32, x, y float64) float64 {
	x, y = x*scale-0.5, y*scale-0.5
	i, j := int(math.Floor(x)), int(math.Floor(y))
	if i < 0 || j < 0 || i+1 >= s.w || j+1 >= s.h {
		return 0
	}
	fx, fy, k := x-float64(i), y-float64(j), j*s.w+i
	return (float64(to[k])*(1-fx)+float64(to[k+1])*fx)*(1-fy) + (float64(to[k+s.w])*(1-fx)+float64(to[k+s.w+1])*fx)*fy
}

// camera maps a pixel to mm of the sheet.
type camera struct {
	f, bend float64
	m       [3][3]float64 // rotation
	back    float64
	w, h    int
	x, y    float64 // where it looks
}

func (c *camera) sheet(px, py float64) (x, y float64) {
	u, v := (px-float64(c.w)/2)/c.f, (py-float64(c.h)/2)/c.f
	k := 1 + c.bend*(u*u+v*v)
	u, v = u*k, v*k
	var d [3]float64
	for i := range d {
		d[i] = c.m[i][0]*u + c.m[i][1]*v + c.m[i][2]
	}
	// the camera is at -back along its own axis
	t := (c.back * c.m[2][2]) / d[2]
	return c.x - c.back*c.m[0][2] + t*d[0], c.y - c.back*c.m[1][2] + t*d[1]
}

func (s *sheet) photograph(r *rand.Rand, p *Shot) []byte {
	if p.Wide == 0 {
		p.Wide = 1600
	}
	if p.Quality == 0 {
		p.Quality = 80
	}
	askew, toward := p.Askew*math.Pi/180*(0.6+0.4*r.Float64()), 2*math.Pi*r.Float64()
	roll := p.Roll * math.Pi / 180 * (2*r.Float64() - 1)
	c := &camera{w: p.Wide * 3 / 4, h: p.Wide, bend: 0.03 * (2*r.Float64() - 1), x: wide / 2, y: high / 2}
	c.back = 480 + 150*r.Float64()
	near := 1 + 0.9*math.Sin(askew)
	room := math.Abs(math.Sin(roll))*0.5 + 1
	c.f = float64(c.h) * c.back / (high * 1.14 * near * room)
	// roll about the axis, then lean toward a side
	cr, sr := math.Cos(roll), math.Sin(roll)
	ca, sa, ct, st := math.Cos(askew), math.Sin(askew), math.Cos(toward), math.Sin(toward)
	lean := [3][3]float64{{ct*ct*ca + st*st, ct * st * (ca - 1), ct * sa}, {ct * st * (ca - 1), st*st*ca + ct*ct, st * sa},
		{-ct * sa, -st * sa, ca}}
	for i := range 3 {
		c.m[i] = [3]float64{lean[i][0]*cr + lean[i][1]*sr, -lean[i][0]*sr + lean[i][1]*cr, lean[i][2]}
	}
	lampX, lampY, lampZ := wide*r.Float64()*2-wide/2, high*r.Float64()*2-high/2, 300+300*r.Float64()
	shadowAt, edge := r.Float64()*2*math.Pi, 25+25*r.Float64()
	bench, grain := 0.12+0.5*r.Float64(), 0.02+0.06*r.Float64()
	tint := [3]float64{1, 1, 1}
	if p.Coloured {
		tint = [3]float64{1, 0.86, 0.62}
	}
	thumbX, thumbY, thumbs := wide-4.0, 90+100*r.Float64(), p.Thumb || p.Covered
	if p.Covered {
		thumbX, thumbY = 192, 18
	}
	light := func(x, y float64) float64 {
		d2 := func(x, y float64) float64 {
			return 1 / ((x-lampX)*(x-lampX) + (y-lampY)*(y-lampY) + lampZ*lampZ)
		}
		far, most := math.Inf(1), 0.0
		for _, k := range [4][2]float64{{0, 0}, {wide, 0}, {0, high}, {wide, high}} {
			far, most = min(far, d2(k[0], k[1])), max(most, d2(k[0], k[1]))
		}
		l := 1 - p.Dim*(most-d2(x, y))/max(most-far, 1e-12)
		if p.Shadow > 0 && (x-105)*math.Cos(shadowAt)+(y-147)*math.Sin(shadowAt) > edge {
			l *= 1 - p.Shadow
		}
		return max(l, 0.05)
	}
	lum := make([][3]float64, c.w*c.h)
	exposure := 205 + 35*r.Float64()
	for j := range c.h {
		for i := range c.w {
			var sum [3]float64
			for _, q := range [2][2]float64{{0.25, 0.3}, {0.75, 0.7}} {
				x, y := c.sheet(float64(i)+q[0], float64(j)+q[1])
				l, rgb := light(x, y), [3]float64{}
				switch {
				case thumbs && math.Hypot((x-thumbX)/22, (y-thumbY)/11) < 1:
					rgb = [3]float64{0.75, 0.52, 0.42}
				case x < 0 || y < 0 || x > wide || y > high:
					g := bench + grain*math.Sin(x*0.31+2*math.Sin(y*0.05))
					rgb = [3]float64{g, g * 0.95, g * 0.88}
				default:
					ink, oil := math.Exp(-s.at(s.ink, x, y)), s.at(s.oil, x, y)
					rgb = [3]float64{ink * math.Exp(-oil*0.9), ink * math.Exp(-oil), ink * math.Exp(-oil*1.2)}
				}
				for k := range 3 {
					sum[k] += rgb[k] * l * tint[k] / 2
				}
			}
			lum[j*c.w+i] = sum
		}
	}
	if p.Blur > 0 {
		for range 3 {
			lum = blurred(lum, c.w, c.h, int(p.Blur+0.5))
		}
	}
	m := image.NewNRGBA(image.Rect(0, 0, c.w, c.h))
	noise := 1 + 4*r.Float64()
	for n, v := range lum {
		common := noise * r.NormFloat64()
		var out [3]uint8
		for k := range 3 {
			out[k] = uint8(min(255, max(0, exposure*math.Pow(v[k], 1/1.15)+common+0.5*noise*r.NormFloat64())))
		}
		m.SetNRGBA(n%c.w, n/c.w, color.NRGBA{out[0], out[1], out[2], 255})
	}
	return write(m, p)
}

func blurred(in [][3]float64, w, h, half int) [][3]float64 {
	pass := func(in [][3]float64, n, lines, step, jump int) [][3]float64 {
		out := make([][3]float64, len(in))
		for l := range lines {
			for i := range n {
				var sum [3]float64
				from, to := max(0, i-half), min(n-1, i+half)
				for k := from; k <= to; k++ {
					v := &in[l*jump+k*step]
					sum[0], sum[1], sum[2] = sum[0]+v[0], sum[1]+v[1], sum[2]+v[2]
				}
				d := float64(to - from + 1)
				out[l*jump+i*step] = [3]float64{sum[0] / d, sum[1] / d, sum[2] / d}
			}
		}
		return out
	}
	return pass(pass(in, w, h, 1, w), h, w, w, 1)
}

// write packs the picture; turned by a quarter, with the EXIF data that say how to turn it back.
func write(m *image.NRGBA, p *Shot) []byte {
	var b bytes.Buffer
	if !p.Turned {
		_ = jpeg.Encode(&b, m, &jpeg.Options{Quality: p.Quality})
		return b.Bytes()
	}
	w, h := m.Rect.Dx(), m.Rect.Dy()
	q := image.NewNRGBA(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			q.SetNRGBA(y, w-1-x, m.NRGBAAt(x, y)) // a quarter to the left; 6 says: to the right
		}
	}
	_ = jpeg.Encode(&b, q, &jpeg.Options{Quality: p.Quality})
	exif := []byte("Exif\x00\x00" + "II*\x00\x08\x00\x00\x00\x01\x00" +
		"\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00\x00\x00\x00\x00")
	out := append([]byte{0xff, 0xd8, 0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(exif)+2))...)
	return append(append(out, exif...), b.Bytes()[2:]...)
}
