// Package wet makes pictures of spray papers, and of what is none, for tests only. It knows nothing of the reader. Its
// sprays are drops that fall where a jet scatters them and soak into the paper: thousands of spots, not smooth shapes;
// its camera looks askew, has an uneven lamp, noise, and packs the picture as a telephone does.
package wet

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
)

// Paper is one spray paper and how it was photographed.
type Paper struct {
	Holes    int
	Flow     []float64 // of each hole, 1 is usual; nil for all usual
	Bend     []float64 // degrees
	Jet      []bool    // a solid jet: narrow, dark, hard-edged
	Turned   float64   // degrees
	Distance float64   // mm at which the marks are
	Scatter  float64   // share by which good holes differ
	OffX     float64   // mm
	OffY     float64
	Drip     float64 // mm across, 0 for none
	Strokes  int     // 1; of two the second is turned by half a space
	Strength float64 // darkness, 1 is usual

	Tilt, Yaw  float64 // degrees
	Roll       float64 // degrees
	Uneven     float64 // share of the light that is lost across the picture
	Shadow     float64 // share of the light lost in a hard shadow; 0 for none
	ShadowAt   float64 // degrees, the direction in which it begins
	Ruled      bool    // ruled paper
	Fibres     bool
	Halo       bool // wet rims
	Thumb      int  // the corner mark, from 1, that a thumb covers
	Coffee     bool // a ring of a cup at the edge
	Blur       float64
	Noise      float64
	Quality    int // of the JPEG
	Wide, High int
}

// Usual is a good paper in an ordinary picture.
func Usual() Paper {
	return Paper{Holes: 9, Distance: 45, Scatter: 0.05, Strokes: 1, Strength: 1, Tilt: 8, Yaw: -5, Roll: 4, Uneven: 0.25,
		Noise: 3, Quality: 75, Wide: 900, High: 1240}
}

// perMM is how finely the paper itself is made.
const perMM = 4.0

const (
	wide, high = 210.0, 297.0
	midX, midY = 105.0, 147.0
)

// sheet is the paper: the share of light it gives back.
type sheet struct {
	w, h int
	v    []float32
}

func (s *sheet) spot(x, y, r, dark float64, soft float64) {
	reach := r * (1 + soft)
	x0, x1 := int((x-reach)*perMM), int((x+reach)*perMM)
	y0, y1 := int((y-reach)*perMM), int((y+reach)*perMM)
	for j := max(y0, 0); j <= min(y1, s.h-1); j++ {
		for i := max(x0, 0); i <= min(x1, s.w-1); i++ {
			d := math.Hypot((float64(i)+0.5)/perMM-x, (float64(j)+0.5)/perMM-y)
			if d < reach {
				part := min(1, (reach-d)/(reach-r*(1-soft)+1e-9))
				s.v[j*s.w+i] *= float32(math.Exp(-dark * part))
			}
		}
	}
}

func (s *sheet) block(x0, y0, x1, y1, v float64) {
	for j := max(int(y0*perMM), 0); j < min(int(y1*perMM), s.h); j++ {
		for i := max(int(x0*perMM), 0); i < min(int(x1*perMM), s.w); i++ {
			s.v[j*s.w+i] = float32(v)
		}
	}
}

// JPEG is the picture, and the angles in degrees at which the marks are.
func (p Paper) JPEG(seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, 11))
	s := &sheet{w: int(wide * perMM), h: int(high * perMM)}
	s.v = make([]float32, s.w*s.h)
	for i := range s.v {
		s.v[i] = 0.88
	}
	p.print(s)
	p.spray(s, r)
	p.dirt(s, r)
	return p.photograph(s, r)
}

// print is what the printer put on the paper.
func (p Paper) print(s *sheet) {
	if p.Ruled {
		for y := 8.0; y < high; y += 8 {
			s.block(0, y, wide, y+0.3, 0.62)
		}
	}
	for _, m := range [3][2]float64{{10, 10}, {188, 10}, {10, 272}} {
		s.block(m[0], m[1], m[0]+12, m[1]+12, 0.08)
	}
	s.block(188, 272, 200, 284, 0.08)
	s.block(191, 275, 197, 281, 0.88)
	for a := 0.0; a < 360; a += 0.05 {
		x, y := math.Sincos(a * math.Pi / 180)
		for _, radius := range []float64{78, 2} {
			s.block(midX+radius*x-0.12, midY-radius*y-0.12, midX+radius*x+0.13, midY-radius*y+0.13, 0.3)
		}
	}
	for _, l := range [5][4]float64{{105, 141, 105.25, 145}, {105, 149, 105.25, 153}, {99, 147, 103, 147.25},
		{107, 147, 111, 147.25}, {105, 69, 105.25, 78}} {
		s.block(l[0], l[1], l[2], l[3], 0.2)
	}
	for k := range p.Holes { // the numbers
		x, y := math.Sincos(2 * math.Pi * float64(k) / float64(p.Holes))
		s.block(midX+84*x-1.2, midY-84*y-2, midX+84*x-0.5, midY-84*y+2, 0.2)
		s.block(midX+84*x+0.3, midY-84*y-2, midX+84*x+0.9, midY-84*y+2, 0.2)
	}
	for y := 12.0; y < 28; y += 5 { // lines of text
		for x := 30.0; x < 170; x += 2.1 {
			s.block(x, y, x+1.2, y+2.2, 0.35)
		}
	}
}

func of[T any](v []T, k int, usual T) T {
	if k < len(v) {
		return v[k]
	}
	return usual
}

// spray is drops where the jets scatter them.
func (p Paper) spray(s *sheet, r *rand.Rand) {
	for stroke := range p.Strokes {
		for k := range p.Holes {
			flow := of(p.Flow, k, 1) * max(1+p.Scatter*r.NormFloat64(), 0)
			angle := p.Turned + of(p.Bend, k, 0) + 360*(float64(k)+0.5*float64(stroke))/float64(p.Holes) + 0.5*r.NormFloat64()
			sx, cx := math.Sincos(angle * math.Pi / 180)
			along, across, dark := 7.0, 2.6, 0.11
			if of(p.Jet, k, false) {
				along, across, dark = 3.0, 0.5, 0.3
			}
			distance := p.Distance * (1 + 0.02*r.NormFloat64())
			for range int(380 * flow) {
				d := distance + along*r.NormFloat64()*0.8
				t := across * r.NormFloat64() * (d / p.Distance)
				x, y := midX+p.OffX+d*sx+t*cx, midY+p.OffY-d*cx+t*sx
				s.spot(x, y, 0.5+0.5*r.Float64(), p.Strength*dark*(0.6+0.8*r.Float64()), 0.5)
			}
			if p.Halo && flow > 0.3 {
				s.spot(midX+p.OffX+distance*sx, midY+p.OffY-distance*cx, 7, 0.05*p.Strength, 0.6)
			}
		}
	}
	if p.Drip > 0 {
		s.spot(midX+p.OffX, midY+p.OffY, p.Drip/2, 0.6*p.Strength, 0.2)
	}
}

// dirt is what a workshop adds.
func (p Paper) dirt(s *sheet, r *rand.Rand) {
	if p.Fibres {
		for range 400 {
			x, y, a := wide*r.Float64(), high*r.Float64(), 2*math.Pi*r.Float64()
			for d := 0.0; d < 3; d += 0.2 {
				s.spot(x+d*math.Cos(a), y+d*math.Sin(a), 0.15, 0.15, 0.2)
			}
		}
	}
	if p.Coffee {
		for a := 0.0; a < 360; a++ {
			y, x := math.Sincos(a * math.Pi / 180)
			s.spot(20+38*x, 240+38*y, 1.4, 0.12, 0.5)
		}
	}
	if p.Thumb > 0 {
		at := [4][2]float64{{14, 14}, {196, 14}, {14, 280}, {196, 280}}[p.Thumb-1]
		s.spot(at[0], at[1], 14, 0.7, 0.1)
		for d := -14.0; d < 14; d += 0.5 {
			for e := -14.0; e < 14; e += 0.5 {
				if math.Hypot(d, e) < 14 {
					s.block(at[0]+d, at[1]+e, at[0]+d+0.5, at[1]+e+0.5, 0.5)
				}
			}
		}
	}
}

// photograph looks at the paper through a camera that is a distance of two heights away.
func (p Paper) photograph(s *sheet, r *rand.Rand) []byte {
	out := image.NewYCbCr(image.Rect(0, 0, p.Wide, p.High), image.YCbCrSubsampleRatio420)
	for i := range out.Cb {
		out.Cb[i], out.Cr[i] = 126, 130
	}
	st, ct := math.Sincos(p.Tilt * math.Pi / 180)
	sy, cy := math.Sincos(p.Yaw * math.Pi / 180)
	sr, cr := math.Sincos(p.Roll * math.Pi / 180)
	away := 2.2 * high
	fill := 0.74 * math.Min(float64(p.Wide)/wide, float64(p.High)/high) * away
	// the inverse: a ray of the camera meets the plane of the paper
	nx, ny, nz := sy, -st*cy, ct*cy                      // normal of the paper, turned about x by tilt, about y by yaw
	ux, uy, uz := cr*cy, sr*ct+cr*st*sy, sr*st-cr*ct*sy  // its x axis
	vx, vy, vz := -sr*cy, cr*ct-sr*st*sy, cr*st+sr*ct*sy // its y axis
	ux, uy, uz, vx, vy, vz = orthogonal(nx, ny, nz, ux, uy, uz, vx, vy, vz)
	for j := range p.High {
		for i := range p.Wide {
			dx, dy := (float64(i)-float64(p.Wide)/2)/fill, (float64(j)-float64(p.High)/2)/fill
			// the plane passes through (0, 0, away)
			t := away * nz / (dx*nx + dy*ny + nz)
			px, py, pz := t*dx, t*dy, t-away
			x, y := px*ux+py*uy+pz*uz+midX, px*vx+py*vy+pz*vz+high/2
			light := 0.42 + 0.05*math.Sin(x/17)*math.Cos(y/23) // the bench
			if x > 0 && y > 0 && x < wide-0.3 && y < high-0.3 {
				light = s.mean(x, y, p.Blur)
			}
			light *= 1 - p.Uneven*(0.6*float64(i)/float64(p.Wide)+0.4*float64(j)/float64(p.High))
			if p.Shadow > 0 {
				ex, ey := math.Sincos(p.ShadowAt * math.Pi / 180)
				if (x-midX)*ex-(y-midY)*ey > 0 && (x-midX)*ey+(y-midY)*ex > 0 { // a quarter
					light *= 1 - p.Shadow
				}
			}
			v := 235*light + p.Noise*r.NormFloat64()
			out.Y[out.YOffset(i, j)] = uint8(min(max(v, 0), 255))
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, out, &jpeg.Options{Quality: p.Quality}); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// orthogonal makes two axes in the plane of a normal out of two that nearly are.
func orthogonal(nx, ny, nz, ux, uy, uz, vx, vy, vz float64) (a, b, c, d, e, f float64) {
	dot := ux*nx + uy*ny + uz*nz
	ux, uy, uz = ux-dot*nx, uy-dot*ny, uz-dot*nz
	l := math.Sqrt(ux*ux + uy*uy + uz*uz)
	ux, uy, uz = ux/l, uy/l, uz/l
	wx, wy, wz := ny*uz-nz*uy, nz*ux-nx*uz, nx*uy-ny*ux
	if wx*vx+wy*vy+wz*vz < 0 {
		wx, wy, wz = -wx, -wy, -wz
	}
	return ux, uy, uz, wx, wy, wz
}

// mean is the light of the sheet at a place, over a disc where the picture is blurred.
func (s *sheet) mean(x, y, blur float64) float64 {
	at := func(x, y float64) float64 {
		i, j := x*perMM-0.5, y*perMM-0.5
		k, l := min(max(int(i), 0), s.w-2), min(max(int(j), 0), s.h-2)
		u, v := min(max(i-float64(k), 0), 1), min(max(j-float64(l), 0), 1)
		m := l*s.w + k
		return (float64(s.v[m])*(1-u)+float64(s.v[m+1])*u)*(1-v) + (float64(s.v[m+s.w])*(1-u)+float64(s.v[m+s.w+1])*u)*v
	}
	if blur == 0 {
		return at(x, y)
	}
	sum := 0.0
	for a := range 12 {
		ey, ex := math.Sincos(2 * math.Pi * float64(a) / 12)
		sum += at(x+blur*ex, y+blur*ey) + at(x+0.5*blur*ex, y+0.5*blur*ey)
	}
	return sum / 24
}

// Other is a picture that is no spray paper, of one of twenty kinds.
func Other(kind int, seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, uint64(kind)))
	w, h := 640+int(400*r.Float64()), 640+int(400*r.Float64())
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = uint8(180 + 8*r.NormFloat64())
	}
	box := func(x, y, a, b int, v uint8) {
		for j := max(y, 0); j < min(y+b, h); j++ {
			for i := max(x, 0); i < min(x+a, w); i++ {
				m.SetGray(i, j, color.Gray{Y: v})
			}
		}
	}
	disc := func(x, y, rad float64, v uint8) {
		for j := max(int(y-rad), 0); j < min(int(y+rad), h); j++ {
			for i := max(int(x-rad), 0); i < min(int(x+rad), w); i++ {
				if math.Hypot(float64(i)-x, float64(j)-y) < rad {
					m.SetGray(i, j, color.Gray{Y: v})
				}
			}
		}
	}
	any := func(n int) int { return int(float64(n) * r.Float64()) }
	size := 20 + any(20)
	squares := func(n int) {
		for range n {
			box(any(w), any(h), size, size, 20)
		}
	}
	switch kind {
	case 0: // nothing
	case 1: // noise
		for i := range m.Pix {
			m.Pix[i] = uint8(r.IntN(256))
		}
	case 2:
		squares(4)
	case 3:
		squares(30)
	case 4: // a chess board
		for y := 0; y < h; y += 2 * size {
			for x := 0; x < w; x += 2 * size {
				box(x, y, size, size, 20)
				box(x+size, y+size, size, size, 20)
			}
		}
	case 5: // three full squares and an open one, none where it belongs
		squares(3)
		x, y := any(w-size), any(h-size)
		box(x, y, size, size, 20)
		box(x+size/4, y+size/4, size/2, size/2, 190)
	case 6: // the finder marks of a code
		for _, c := range [3][2]int{{60, 60}, {w - 200, 60}, {60, h - 200}} {
			box(c[0], c[1], 140, 140, 20)
			box(c[0]+20, c[1]+20, 100, 100, 200)
			box(c[0]+40, c[1]+40, 60, 60, 20)
		}
	case 7: // a page of text
		for y := 40; y < h-40; y += 26 {
			for x := 40; x < w-40; x += 5 + any(12) {
				box(x, y, 4+any(6), 14, 40)
			}
		}
	case 8, 9: // a dial
		disc(float64(w)/2, float64(h)/2, float64(w)/3, 230)
		for a := 0.0; a < 2*math.Pi; a += 0.2 {
			disc(float64(w)/2+float64(w)/3.6*math.Cos(a), float64(h)/2+float64(w)/3.6*math.Sin(a), 6, 30)
		}
	case 10: // a nozzle tip with its holes
		disc(float64(w)/2, float64(h)/2, float64(w)/4, 90)
		for a := range 9 {
			disc(float64(w)/2+90*math.Cos(float64(a)*0.698), float64(h)/2+90*math.Sin(float64(a)*0.698), 7, 10)
		}
	case 11: // windows of a house
		for y := 60; y < h-80; y += 90 {
			for x := 60; x < w-60; x += 80 {
				box(x, y, 36, 40, 30)
				if any(2) == 0 {
					box(x+9, y+10, 18, 20, 190)
				}
			}
		}
	case 12: // a spray without marks
		for a := range 9 {
			for range 200 {
				t, d := float64(a)*0.698+0.05*r.NormFloat64(), 150+25*r.NormFloat64()
				disc(float64(w)/2+d*math.Cos(t), float64(h)/2+d*math.Sin(t), 3, 120)
			}
		}
	case 13: // keys
		for y := 30; y < h; y += 60 {
			for x := 30; x < w; x += 60 {
				box(x, y, 48, 48, 50)
			}
		}
	case 14: // a dark hall with lamps
		for i := range m.Pix {
			m.Pix[i] = uint8(25 + 4*r.NormFloat64())
		}
		for range 12 {
			disc(float64(any(w)), float64(any(h)), 14, 250)
		}
	case 15: // stripes
		for y := 0; y < h; y += 2 * size {
			box(0, y, w, size, 20)
		}
	case 16: // four discs in the corners
		for _, c := range [4][2]int{{60, 60}, {w - 60, 60}, {60, h - 60}, {w - 60, h - 60}} {
			disc(float64(c[0]), float64(c[1]), 22, 20)
		}
	case 17: // four full squares in the corners
		for _, c := range [4][2]int{{40, 40}, {w - 80, 40}, {40, h - 80}, {w - 80, h - 80}} {
			box(c[0], c[1], 36, 36, 20)
		}
	case 18: // a slope of light
		for i := range m.Pix {
			m.Pix[i] = uint8(255 * (i % w) / w)
		}
	case 19: // marks of another paper: a square one
		for _, c := range [3][2]int{{40, 40}, {w - 100, 40}, {40, w - 100}} {
			box(c[0], c[1], 50, 50, 20)
		}
		box(w-100, w-100, 50, 50, 20)
		box(w-88, w-88, 25, 25, 190)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 70}); err != nil {
		panic(err)
	}
	return b.Bytes()
}
