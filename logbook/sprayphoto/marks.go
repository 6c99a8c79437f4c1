package sprayphoto

import (
	"cmp"
	"math"
	"slices"
)

// The printed paper, in mm from its upper left corner: three corner marks are full squares, the one at the lower right
// has a square hole. Package card prints it, and its test holds the two against each other.
const (
	Width, Height    = 210.0, 297.0
	CentreX, CentreY = 105.0, 147.0
	MarkSide         = 12.0
	RingRadius       = 78.0 // the thin printed circle
)

// Marks are the centres of the corner marks: upper left, upper right, lower left, and the open one at the lower right.
var Marks = [4][2]float64{{16, 16}, {194, 16}, {16, 278}, {194, 278}}

// grey is a picture in grey, from 0 black to 255 white.
type grey struct {
	w, h int
	pix  []float32
}

func (g *grey) at(x, y int) float32 { return g.pix[y*g.w+x] }

// between is the value at a place between pixels; outside it is that of the edge.
func (g *grey) between(x, y float64) float64 {
	x, y = min(max(x, 0), float64(g.w-1)-1e-6), min(max(y, 0), float64(g.h-1)-1e-6)
	i, j := int(x), int(y)
	u, v := x-float64(i), y-float64(j)
	k := j*g.w + i
	return (float64(g.pix[k])*(1-u)+float64(g.pix[k+1])*u)*(1-v) +
		(float64(g.pix[k+g.w])*(1-u)+float64(g.pix[k+g.w+1])*u)*v
}

// blob is a patch of dark pixels.
type blob struct {
	area             float64
	x, y             float64 // its centre
	sxx, syy, sxy    float64 // its second moments, over the area
	left, right      int
	top, bottom      int
	full, open, edge bool
}

// parallelogram is 1 for a full parallelogram, however it leans, and 0.36 for a square with a hole of half its side:
// the area squared over 144 times the determinant of the moments.
func (b *blob) parallelogram() float64 {
	det := b.sxx*b.syy - b.sxy*b.sxy
	if det <= 0 {
		return 0
	}
	return b.area * b.area / (144 * det)
}

// longish is the ratio of its axes.
func (b *blob) longish() float64 {
	mean, diff := (b.sxx+b.syy)/2, math.Hypot((b.sxx-b.syy)/2, b.sxy)
	if mean-diff <= 0 {
		return math.Inf(1)
	}
	return math.Sqrt((mean + diff) / (mean - diff))
}

// mostBlobs is how many candidates of each kind are tried: four nested loops over them stay bounded.
const mostBlobs = 14

// darkPatches are the connected patches that are darker than a share of their surroundings: the mean of a window an
// eighth of the picture wide, from sums over rectangles. Source: Bradley and Roth, Adaptive thresholding using the
// integral image.
func (g *grey) darkPatches(share float64) []blob {
	sums := make([]float64, (g.w+1)*(g.h+1))
	for y := range g.h {
		row := 0.0
		for x := range g.w {
			row += float64(g.at(x, y))
			sums[(y+1)*(g.w+1)+x+1] = sums[y*(g.w+1)+x+1] + row
		}
	}
	half := max(g.w, g.h) / 16
	dark := make([]bool, g.w*g.h)
	for y := range g.h {
		y0, y1 := max(y-half, 0), min(y+half, g.h-1)+1
		for x := range g.w {
			x0, x1 := max(x-half, 0), min(x+half, g.w-1)+1
			sum := sums[y1*(g.w+1)+x1] - sums[y0*(g.w+1)+x1] - sums[y1*(g.w+1)+x0] + sums[y0*(g.w+1)+x0]
			dark[y*g.w+x] = float64(g.at(x, y))*float64((x1-x0)*(y1-y0)) < share*sum
		}
	}
	return patches(dark, g.w, g.h)
}

// patches gathers connected pixels.
func patches(dark []bool, w, h int) (all []blob) {
	var stack []int32
	least, most := float64(w*h)*1e-4, float64(w*h)*0.02
	for start := range dark {
		if !dark[start] {
			continue
		}
		b := blob{left: w, top: h}
		var x1, y1, xx, yy, xy float64
		dark[start] = false
		stack = append(stack[:0], int32(start))
		for len(stack) > 0 {
			k := int(stack[len(stack)-1])
			stack = stack[:len(stack)-1]
			x, y := k%w, k/w
			fx, fy := float64(x), float64(y)
			b.area++
			x1, y1, xx, yy, xy = x1+fx, y1+fy, xx+fx*fx, yy+fy*fy, xy+fx*fy
			b.left, b.right, b.top, b.bottom = min(b.left, x), max(b.right, x), min(b.top, y), max(b.bottom, y)
			for _, n := range [4][2]int{{x - 1, y}, {x + 1, y}, {x, y - 1}, {x, y + 1}} {
				if n[0] >= 0 && n[1] >= 0 && n[0] < w && n[1] < h && dark[n[1]*w+n[0]] {
					dark[n[1]*w+n[0]] = false
					stack = append(stack, int32(n[1]*w+n[0]))
				}
			}
		}
		if b.area < least || b.area > most {
			continue
		}
		b.x, b.y = x1/b.area, y1/b.area
		b.sxx, b.syy, b.sxy = xx/b.area-b.x*b.x, yy/b.area-b.y*b.y, xy/b.area-b.x*b.y
		b.edge = b.left == 0 || b.top == 0 || b.right == w-1 || b.bottom == h-1
		p := b.parallelogram()
		b.full = p > 0.88 && p < 1.06 && b.longish() < 3
		b.open = p > 0.28 && p < 0.46 && b.longish() < 3
		if (b.full || b.open) && !b.edge {
			all = append(all, b)
		}
	}
	return all
}

// findMarks are the four corner marks in the picture, in the order of [Marks], with the plane that they span; ok is
// false where they are not to be seen. What fits best is what the areas of the four marks are explained by.
func (g *grey) findMarks() (h plane, ok bool) {
	for _, share := range []float64{0.66, 0.42} { // the lower one parts a mark from a stain that touches it
		if h, ok = g.marksAt(share); ok {
			break
		}
	}
	return h, ok
}

func (g *grey) marksAt(share float64) (h plane, ok bool) {
	var full, open []blob
	for _, b := range g.darkPatches(share) {
		if b.full {
			full = append(full, b)
		} else if g.hollow(&b) {
			open = append(open, b)
		}
	}
	byArea := func(a, b blob) int { return cmp.Compare(b.area, a.area) }
	slices.SortFunc(full, byArea)
	slices.SortFunc(open, byArea)
	full, open = full[:min(len(full), mostBlobs)], open[:min(len(open), mostBlobs)]
	best := 0.16 // the most that an area may be off, as a mean of logarithms
	for o := range open {
		for a := range full {
			for b := range full {
				for c := range full {
					if a == b || b == c || a == c {
						continue
					}
					four := [4]*blob{&full[a], &full[b], &full[c], &open[o]}
					if p, off := spanned(four); off < best {
						best, h, ok = off, p, true
					}
				}
			}
		}
	}
	return h, ok
}

// hollow says that the middle of a patch is bright.
func (g *grey) hollow(b *blob) bool {
	x, y := int(b.x), int(b.y)
	return b.open && g.at(x, y) > 1.3*g.at(b.left+(x-b.left)/4, y)
}

// spanned is the plane through four marks, and how far their areas are from what it makes of them.
func spanned(m [4]*blob) (h plane, off float64) {
	off = math.Inf(1)
	// turned the right way round, and no corner inside the others: upper left, upper right, lower right, lower left
	ring := [4]*blob{m[0], m[1], m[3], m[2]}
	for i := range ring {
		p, q, r := ring[i], ring[(i+1)%4], ring[(i+2)%4]
		if (q.x-p.x)*(r.y-q.y)-(q.y-p.y)*(r.x-q.x) <= 0 {
			return h, off
		}
	}
	if m[0].area > 6*m[1].area || m[1].area > 6*m[0].area || m[2].area > 6*m[0].area || m[0].area > 6*m[2].area {
		return h, off
	}
	var from, to [4][2]float64
	for i, b := range m {
		from[i], to[i] = Marks[i], [2]float64{b.x, b.y}
	}
	h, ok := planeThrough(from, to)
	if !ok {
		return h, off
	}
	off = 0
	for i, b := range m {
		want := h.areaOf(Marks[i], MarkSide)
		if i == 3 {
			want *= 0.75
		}
		off = max(off, math.Abs(math.Log(b.area/want)))
	}
	return h, off
}
