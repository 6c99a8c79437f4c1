package sprayphoto

import (
	"fmt"
	"math"
	"slices"

	"needlebook/logbook/refusal"
)

// sprays finds the marks about the middle of the ring, and what each says of its hole.
func (p *paper) sprays() error {
	p.turn()
	profile := p.profile()
	off, contrast := p.phase(profile)
	if contrast == 0 {
		return &Refused{Reason: refusal.NoSprays}
	}
	for range 2 { // the middle of the ring is that of its marks
		if !p.recentre(off) {
			break
		}
		p.turn()
		profile = p.profile()
		off, _ = p.phase(profile)
	}
	p.out.OffX, p.out.OffY = p.cx-CentreX, p.cy-CentreY
	p.holes(off)
	if err := p.believable(profile); err != nil {
		return err
	}
	p.comb()
	p.judge()
	p.drip()
	return nil
}

// turn unrolls the darkness about the middle: a line an angle, from the top clockwise.
func (p *paper) turn() {
	p.polar = make([]float32, angles*rings)
	for a := range angles {
		s, c := math.Sincos(2 * math.Pi * float64(a) / angles)
		for k := range rings {
			r := innerEdge + ringStep*float64(k)
			p.polar[a*rings+k] = float32(p.darkAt(p.cx+r*s, p.cy-r*c))
		}
	}
}

// profile is the darkness along each angle, above the light of its own direction.
func (p *paper) profile() []float64 {
	out := make([]float64, angles)
	line := make([]float64, rings)
	for a := range out {
		for k := range line {
			line[k] = float64(p.polar[a*rings+k])
		}
		level := quantileOf(line, 0.2)
		for k, v := range line {
			if v -= level; v > 0.02 {
				out[a] += v * (innerEdge + ringStep*float64(k)) * ringStep
			}
		}
	}
	return out
}

func quantileOf(v []float64, q float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[int(q*float64(len(s)-1))]
}

// phase is by how many steps the ring is turned, and how strongly the profile repeats with the holes: the angle and the
// size of its harmonic of that number.
func (p *paper) phase(profile []float64) (off float64, contrast float64) {
	var s, c, sum float64
	for a, v := range profile {
		x, y := math.Sincos(2 * math.Pi * float64(a) / angles * float64(p.n))
		s, c, sum = s+v*x, c+v*y, sum+v
	}
	if sum < 1 {
		return 0, 0
	}
	return math.Atan2(s, c) / float64(p.n) * angles / (2 * math.Pi), math.Hypot(s, c) / sum
}

// sector is the first and the last angle of a hole, as steps that may be below nought.
func (p *paper) sector(k int, off float64) (from, to int) {
	wide := float64(angles) / float64(p.n)
	mid := off + wide*float64(k)
	return int(math.Ceil(mid - wide/2)), int(math.Ceil(mid+wide/2)) - 1
}

func wrap(a int) int { return (a%angles + angles) % angles }

// recentre moves the middle to that of a circle through the centres of the marks. Source: Kåsa, A circle fitting
// procedure and its error analysis, IEEE Trans. Instrum. Meas. 25, 1976.
func (p *paper) recentre(off float64) bool {
	var a [6][7]float64
	var usual []float64
	type spot struct{ x, y, m float64 }
	var spots []spot
	for k := range p.n {
		from, to := p.sector(k, off)
		level, shaded := p.ground(from, to)
		if shaded != nil {
			continue
		}
		var m, mx, my float64
		for t := from; t <= to; t++ {
			s, c := math.Sincos(2 * math.Pi * float64(t) / angles)
			for i := range rings {
				if v := float64(p.polar[wrap(t)*rings+i]) - level; v > 0.05 {
					r := innerEdge + ringStep*float64(i)
					m, mx, my = m+v*r, mx+v*r*r*s, my+v*r*r*c
				}
			}
		}
		if m > 0 {
			spots = append(spots, spot{mx / m, my / m, m})
			usual = append(usual, m)
		}
	}
	if len(spots) < 4 {
		return false
	}
	least := quantileOf(usual, 0.5) / 2
	n := 0
	for _, s := range spots {
		if s.m < least {
			continue
		}
		f := [3]float64{s.x, s.y, 1}
		for i := range f {
			for j := range f {
				a[i][j] += f[i] * f[j]
			}
			a[i][6] += f[i] * (s.x*s.x + s.y*s.y)
		}
		n++
	}
	for i := 3; i < 6; i++ {
		a[i][i] = 1
	}
	c := solved(a)
	dx, dy := c[0]/2, c[1]/2
	if n < 4 || math.Hypot(dx, dy) > 20 {
		return false
	}
	p.cx, p.cy = p.cx+dx, p.cy-dy
	return true
}

// holes measures each mark in its sector.
func (p *paper) holes(off float64) {
	p.out.Holes = nil
	for k := range p.n {
		p.out.Holes = append(p.out.Holes, p.hole(k, off))
	}
}

func (p *paper) hole(k int, off float64) Hole {
	from, to := p.sector(k, off)
	h := Hole{Number: k + 1}
	level, why := p.ground(from, to)
	h.NotJudged = why
	var m, ma, mr, peak float64
	var all []float64
	for t := from; t <= to; t++ {
		for i := range rings {
			if v := float64(p.polar[wrap(t)*rings+i]) - level; v > 0.03 {
				all = append(all, v)
			}
		}
	}
	if len(all) > 40 {
		peak = quantileOf(all, 0.97)
	}
	for t := from; t <= to; t++ {
		for i := range rings {
			v := float64(p.polar[wrap(t)*rings+i]) - level
			r := innerEdge + ringStep*float64(i)
			cell := r * 2 * math.Pi / angles * ringStep
			if v < 0.03 || v < 0.12*peak {
				continue
			}
			m += v * cell
			ma += v * cell * float64(t)
			mr += v * cell * r
			if v > peak/2 {
				h.Area += cell
			}
		}
	}
	h.Share, h.Darkness = m, peak
	if m > 0 {
		h.Angle, h.Distance = ma/m*360/angles, mr/m
		h.Edge = p.outline(from, to, level, peak)
	}
	return h
}

// ground is the light of a sector away from its mark: along both of its sides, near the middle and far out. Where those
// differ, a shadow ends in it, and it is not judged.
func (p *paper) ground(from, to int) (level float64, why *Refused) {
	side := func(t int) float64 {
		var line []float64
		for d := -2; d <= 2; d++ {
			for i := range rings {
				line = append(line, float64(p.polar[wrap(t+d)*rings+i]))
			}
		}
		return quantileOf(line, 0.3)
	}
	arc := func(low, high int) float64 {
		var line []float64
		for t := from; t <= to; t++ {
			for i := low; i < high; i++ {
				line = append(line, float64(p.polar[wrap(t)*rings+i]))
			}
		}
		return quantileOf(line, 0.3)
	}
	all := []float64{side(from), side(to), arc(0, 8), arc(rings-10, rings)}
	slices.Sort(all)
	level = (all[0] + all[1]) / 2
	if all[3]-all[0] > shadowStep {
		return level, &Refused{refusal.Shadow, fmt.Sprintf("light differs by %.0f %%", 100*(all[3]-all[0]))}
	}
	return (all[0] + all[1] + all[2] + all[3]) / 4, nil
}

// outline is how many mm the outline across the mark takes from a quarter to three quarters of the peak, doubled.
func (p *paper) outline(from, to int, level, peak float64) float64 {
	var all []float64
	for i := 4; i < rings-4; i += 2 {
		r := innerEdge + ringStep*float64(i)
		mm := r * 2 * math.Pi / angles
		top := 0.0
		for t := from; t <= to; t++ {
			top = max(top, float64(p.polar[wrap(t)*rings+i])-level)
		}
		if top < 0.6*peak {
			continue
		}
		steep := 0.0
		for t := from; t < to-1; t++ {
			steep = max(steep, math.Abs(float64(p.polar[wrap(t+2)*rings+i]-p.polar[wrap(t)*rings+i]))/(2*mm))
		}
		if steep > 0 {
			all = append(all, top/steep)
		}
	}
	if len(all) == 0 {
		return 0
	}
	return quantileOf(all, 0.5)
}

// believable refuses what is no paper of one stroke.
func (p *paper) believable(profile []float64) error {
	var dark, mass []float64
	for _, h := range p.out.Holes {
		dark, mass = append(dark, h.Darkness), append(mass, h.Share)
	}
	switch usual := quantileOf(dark, 0.6); {
	case quantileOf(mass, 0.6) < 2:
		return &Refused{Reason: refusal.NoSprays}
	case usual < paleDark:
		return &Refused{refusal.TooPale, fmt.Sprintf("%.0f %% darker than the paper", 100*usual)}
	}
	if n := p.peaks(profile); n > p.n+max(2, p.n/4) {
		return &Refused{refusal.TwoStrokes, fmt.Sprintf("%d of them where %d belong", n, p.n)}
	}
	if _, contrast := p.phase(profile); contrast < 0.12 {
		return &Refused{refusal.NoSprays, "what is dark is not in a ring of sprays"}
	}
	return nil
}

// peaks counts the marks by angle: rises above half of the usual peak, each left again before the next.
func (p *paper) peaks(profile []float64) (n int) {
	const half = 3
	smooth := make([]float64, angles)
	for a := range smooth {
		for d := -half; d <= half; d++ {
			smooth[a] += profile[wrap(a+d)] / (2*half + 1)
		}
	}
	high := quantileOf(smooth, 0.9)
	up, down := 0.5*high, 0.3*high
	in := false
	start := 0
	for a, v := range smooth {
		if v < down {
			start = a
			break
		}
	}
	for k := range angles {
		switch v := smooth[wrap(start+k)]; {
		case !in && v > up:
			in, n = true, n+1
		case in && v < down:
			in = false
		}
	}
	return n
}

// comb compares the marks with one another: the usual darkness times area, and the angles at which they belong.
func (p *paper) comb() {
	var mass []float64
	for _, h := range p.out.Holes {
		if h.NotJudged == nil {
			mass = append(mass, h.Share)
		}
	}
	if len(mass) < 3 {
		mass = nil
		for _, h := range p.out.Holes {
			mass = append(mass, h.Share)
		}
	}
	usual := quantileOf(mass, 0.5)
	var near []float64
	for _, m := range mass {
		near = append(near, math.Abs(m/usual-1))
	}
	spread := max(1.4826*quantileOf(near, 0.5), 0.05)
	wide := 360 / float64(p.n)
	for i := range p.out.Holes {
		h := &p.out.Holes[i]
		h.Share /= usual
		h.ShareU = 2.3 * spread * math.Sqrt(1+1.57/float64(len(mass))) // few marks tell little of their own scatter
		h.Off = h.Angle - wide*float64(i)
	}
	p.belong()
}

// belong takes out of the angles what the whole ring has in common: by how much it is turned, and what its middle is
// still off, which goes once round with the angle. A spray that is turned aside counts the less the further it is off:
// least squares again and again, with Cauchy's weights. Source: Huber, Robust Statistics.
func (p *paper) belong() {
	var c [6]float64
	common := func(h *Hole) float64 {
		s, co := math.Sincos(h.Angle * math.Pi / 180)
		return c[0] + c[1]*s + c[2]*co
	}
	for range 10 {
		var a [6][7]float64
		for i := range p.out.Holes {
			h := &p.out.Holes[i]
			if h.NotJudged != nil || h.Share < missingBelow {
				continue
			}
			s, co := math.Sincos(h.Angle * math.Pi / 180)
			rest := (h.Off - common(h)) / 1.2
			w := 1 / (1 + rest*rest)
			f := [3]float64{1, s, co}
			for j := range f {
				for k := range f {
					a[j][k] += w * f[j] * f[k]
				}
				a[j][6] += w * f[j] * h.Off
			}
		}
		for j := 1; j < 3; j++ { // the circle through the marks has found the middle to a mm or two
			a[j][j] += 0.3
		}
		for j := 3; j < 6; j++ {
			a[j][j] = 1
		}
		c = solved(a)
	}
	p.out.Turned = c[0]
	for i := range p.out.Holes {
		h := &p.out.Holes[i]
		h.Off -= common(h)
	}
}

// judge says of each hole what its mark shows.
func (p *paper) judge() {
	var edges, distances, areas []float64
	for _, h := range p.out.Holes {
		if h.Share > missingBelow && h.NotJudged == nil {
			edges, distances, areas = append(edges, h.Edge), append(distances, h.Distance), append(areas, h.Area)
		}
	}
	missing, weak, bent, hard := 0, 0, 0, 0
	for i := range p.out.Holes {
		h := &p.out.Holes[i]
		if h.NotJudged == nil && len(areas) > 2 && (h.Area > 2.5*quantileOf(areas, 0.5) ||
			h.Share > missingBelow && math.Abs(h.Distance-quantileOf(distances, 0.5)) > 14) {
			h.NotJudged = &Refused{refusal.Shadow, "something else is on its mark"}
		}
		if h.NotJudged != nil {
			continue
		}
		h.Missing = h.Share < missingBelow
		h.Weak = !h.Missing && h.Share < weakBelow
		h.Bent = !h.Missing && math.Abs(h.Off) > bentBeyond
		h.Merged = p.merged(i)
		h.HardEdged = !h.Missing && len(edges) > 2 && h.Edge < 0.55*quantileOf(edges, 0.5) ||
			!h.Missing && h.Edge > 0 && h.Edge < 1.3
		for _, x := range []struct {
			is bool
			n  *int
		}{{h.Missing, &missing}, {h.Weak, &weak}, {h.Bent, &bent}, {h.HardEdged, &hard}} {
			if x.is {
				*x.n++
			}
		}
	}
	switch {
	case 2*hard > p.n:
		p.out.Pattern = "jet"
	case missing+weak+hard > 0:
		p.out.Pattern = "uneven"
	case bent > 0:
		p.out.Pattern = "skewed"
	default:
		p.out.Pattern = "even"
	}
}

// merged says that a mark runs into the next one: the gap between them is more than half as dark as the paler of both.
func (p *paper) merged(i int) bool {
	h, next := &p.out.Holes[i], &p.out.Holes[(i+1)%p.n]
	if next.NotJudged != nil || h.Share < missingBelow || next.Share < missingBelow {
		return false
	}
	other := next.Angle
	if other < h.Angle {
		other += 360
	}
	least := math.Inf(1)
	low := int((min(h.Distance, next.Distance) - 4 - innerEdge) / ringStep)
	for t := int(h.Angle * angles / 360); t <= int(other*angles/360); t++ {
		sum, n := 0.0, 0.0
		for k := max(low, 0); k < min(low+16, rings); k++ {
			sum, n = sum+float64(p.polar[wrap(t)*rings+k]), n+1
		}
		if n > 0 {
			least = min(least, sum/n)
		}
	}
	return least > 0.5*min(h.Darkness, next.Darkness)
}

// drip looks at the middle, between the lines of the cross.
func (p *paper) drip() {
	var all, about []float64
	for a := range 24 {
		s, c := math.Sincos(2 * math.Pi * float64(a) / 24)
		for r := 0.4; r < 4; r += 0.4 {
			x, y := r*s, -r*c
			if r > 1.2 && r < 2.8 || math.Abs(x) < 0.8 && r > 2.4 || math.Abs(y) < 0.8 && r > 2.4 {
				continue // the printed circle and the cross
			}
			all = append(all, p.darkAt(p.cx+x, p.cy+y))
		}
		about = append(about, p.darkAt(p.cx+7.5*s, p.cy-7.5*c))
	}
	p.out.Blot = quantileOf(all, 0.5) - quantileOf(about, 0.5)
	usual := make([]float64, 0, p.n)
	for _, h := range p.out.Holes {
		usual = append(usual, h.Darkness)
	}
	p.out.Drip = p.out.Blot > max(dripDark, 0.35*quantileOf(usual, 0.5))
}
