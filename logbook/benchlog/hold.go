package benchlog

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"needlebook/logbook/refusal"
)

// hold times the fall between the two pressures on the last hold, searched from the end. The crossings decide; the
// exponential is shown with its residuals.
func (r *reader) hold(why *Refused) {
	a, out := r.asked, r.out
	if a.From == 0 && a.Fall > 0 && out.Opening.Known() {
		a.From = out.Opening.X - a.FromBelow
		a.To = a.From - a.Fall
	}
	switch {
	case why != nil:
		out.LeakDown = refused(why)
		return
	case !(a.From > a.To && a.To > 0):
		out.LeakDown = refused(&Refused{Reason: refusal.NoHold})
		if out.Opening.Why != nil && a.Fall > 0 {
			out.LeakDown = refused(out.Opening.Why)
		}
		return
	}
	out.From, out.To = a.From, a.To
	first, last, refusedFor := r.crossings(a.From, a.To)
	if refusedFor == nil {
		refusedFor = r.disturbed(first, last)
	}
	if refusedFor != nil {
		out.LeakDown = refused(refusedFor)
		return
	}
	t1, s1, slope1 := r.crossing(a.From, first, last)
	t2, s2, slope2 := r.crossing(a.To, first, last)
	out.HoldFrom, out.HoldTo = t1, t2
	r.fit(first, last)
	if !(t2 > t1) || slope1 >= 0 || slope2 >= 0 {
		out.LeakDown = refused(&Refused{Reason: refusal.NoHold})
		return
	}
	// a zero that is off moves both crossings; the class, as a bow of a third of it over the span, likewise
	moved := math.Abs(1/slope2 - 1/slope1)
	bow := func(p float64) float64 {
		if r.sensor.SpanBar == 0 {
			return 0
		}
		x := p / r.sensor.SpanBar
		return r.class / 3 * 4 * x * (1 - x)
	}
	out.LeakDown = known(t2-t1,
		Part{"noise at the crossings", math.Hypot(s1, s2), 0},
		Part{"zero", out.Zero.U / 2 * moved, 0},
		Part{"drift of zero", 0, r.drift * (moved + 2*(t2-t1)/out.Duration/math.Abs(slope2))},
		Part{"unevenness of the hold", math.Hypot(1/slope1, 1/slope2) * r.uneven(first, last), 0},
		Part{sensorClass, 0, math.Abs(bow(a.From)/slope1 - bow(a.To)/slope2)},
		Part{"clock", clockError * (t2 - t1), 0})
	if out.LeakDown.U > 0.15*out.LeakDown.X {
		out.LeakDown.Why = &Refused{refusal.Uncertain, fmt.Sprintf("%.1f s ± %.1f s", out.LeakDown.X, out.LeakDown.U)}
	}
	if out.Air.Known() && out.Air.X-out.Air.U > 1 {
		out.LeakDown.Beside = append(out.LeakDown.Beside, &Refused{refusal.Air, fmt.Sprintf("%.1f %%", out.Air.X)})
	}
}

// smooth is the running mean of three samples; a packed or slow log is its own.
func (r *reader) smooth(i int) float64 {
	if i == 0 || i == len(r.p)-1 || r.grain == 0 || r.t[i+1]-r.t[i-1] > 0.1 {
		return r.p[i]
	}
	return (r.p[i-1] + r.p[i] + r.p[i+1]) / 3
}

// crossings are the samples just before the upper and just after the lower pressure, of the last hold.
func (r *reader) crossings(from, to float64) (first, last int, why *Refused) {
	for last = len(r.p) - 1; last > 0 && r.smooth(last) <= to; last-- {
	}
	if last == len(r.p)-1 {
		return 0, 0, &Refused{refusal.HoldCut, fmt.Sprintf("at %.0f bar", r.p[last])}
	}
	if last == 0 {
		return 0, 0, &Refused{Reason: refusal.NoHold}
	}
	for first = last; first > 0 && r.smooth(first) < from; first-- {
	}
	if first == 0 {
		return 0, 0, &Refused{Reason: refusal.NoHold}
	}
	if last = min(last+1, len(r.p)-1); r.vented(first, last) {
		return 0, 0, &Refused{refusal.HoldCut, "it was vented"}
	}
	return first, last, nil
}

// vented reports whether the lower pressure was crossed by the bench being vented: the last quarter of the fall took
// next to no time beside the rest, or all of it did.
func (r *reader) vented(first, last int) bool {
	from, to := r.p[first], r.p[last]
	bend := last
	for bend > first && r.p[bend] < to+(from-to)/4 {
		bend--
	}
	all := r.t[last] - r.t[first]
	end := r.t[last] - r.t[bend]
	few := last-bend <= 3
	return all < 2*fallTime || end < 0.03*all || few && to < r.asked.To*0.7 && all > 4*end
}

// disturbed says whether the pressure jumped during the hold: up by a hand on the pump, down by a knock.
func (r *reader) disturbed(first, last int) *Refused {
	if last-first < 2 {
		return nil
	}
	span := r.t[last] - r.t[first]
	for i := first + 1; i <= last; i++ {
		if gap := r.t[i] - r.t[i-1]; gap > max(5/r.rate, 0.12*span, 0.3) {
			return &Refused{refusal.Gap, fmt.Sprintf("%.1f s", gap)}
		}
	}
	width := max(0.1, 4/r.rate)
	mean := r.means(first, last, width)
	// a mean of n samples scatters less; hum does not, and is seen at rest
	n := max(1, width*r.rate)
	usual := 6*r.grain*math.Sqrt2/math.Sqrt(n) + 0.5
	slope := (r.p[first] - r.p[last]) / span
	for k := 1; k < len(mean); k++ {
		step := mean[k] - mean[k-1]
		for lag := 1; lag <= min(2, k); lag++ { // a jump within a window is in two steps; the fall hides a part of it
			if up := mean[k] - mean[k-lag]; up+0.6*slope*width*float64(lag) > usual {
				if k+1 < len(mean) {
					up = max(up, mean[k+1]-mean[k-lag])
				}
				return &Refused{refusal.HoldDisturbed, fmt.Sprintf("up by %.1f bar", up)}
			}
		}
		if -step > usual+1+4*slope*width*max(1, mean[k-1]/((r.p[first]+r.p[last])/2)) {
			return &Refused{refusal.HoldDisturbed, fmt.Sprintf("down by %.1f bar", -step)}
		}
	}
	return nil
}

// means are the means of the log in windows of a width, one after another; an empty window repeats the one before.
func (r *reader) means(first, last int, width float64) (all []float64) {
	sum, n, end := 0.0, 0.0, r.t[first]+width
	for i := first; i <= last; i++ {
		if r.t[i] >= end && n > 0 {
			all = append(all, sum/n)
			sum, n, end = 0, 0, r.t[i]+width
		}
		sum, n = sum+r.p[i], n+1
	}
	return all
}

// crossing is the time at which the hold passes a pressure, its standard deviation, and the slope there. It is read
// from a line through the logarithms around it, which an exponential follows exactly.
func (r *reader) crossing(level float64, first, last int) (at, std, slope float64) {
	mid := first + sort.Search(last-first, func(i int) bool { return r.smooth(first+i) < level })
	begin, end := mid, mid
	lowest, highest := max(first-r.before(first), 0), min(last+r.beyond(last), len(r.p)-1)
	for wide := 4.0; wide <= 40; wide *= 1.5 {
		begin, end = mid, mid
		for begin > lowest && r.p[begin-1] < level+wide {
			begin--
		}
		for end < highest && r.p[end+1] > level-wide {
			end++
		}
		if n := end - begin; n >= 40 || n >= 12 && r.t[end]-r.t[begin] > 0.5 || n >= 4 && wide > 16 {
			break
		}
	}
	begin, end = max(min(begin, mid-1), 0), min(max(end, mid), len(r.p)-1)
	logs := make([]float64, end-begin+1)
	for i := range logs {
		logs[i] = math.Log(max(r.p[begin+i], 1))
	}
	l := straight(r.t[begin:end+1], logs, 0, len(logs))
	if l.slope >= 0 {
		return r.t[mid], math.Inf(1), 0
	}
	at = l.at + (math.Log(level)-l.value)/l.slope
	slope = l.slope * level
	noise := max(r.grain, l.scatter*level)
	switch {
	case l.n >= 5 && (!r.rested || r.packed):
		noise = l.scatter * level * student(l.n-2) / 2
	case l.n >= 60:
		noise = l.scatter * level * humming(l, r.t[begin:end+1], logs)
	}
	return at, l.std(at) * noise / math.Abs(slope), slope
}

// humming is by how much means of the points about a line scatter more than those of independent points would: hum is
// averaged out, what is slow is not. Between the two it is one.
func humming(l line, x, y []float64) float64 {
	const blocks = 12
	size := len(x) / blocks
	means := make([]float64, blocks)
	for i := range means {
		for j := i * size; j < (i+1)*size; j++ {
			means[i] += (y[j] - l.to(x[j])) / float64(size)
		}
	}
	_, spread := meanAndSpread(means)
	if l.scatter == 0 {
		return 1
	}
	if ratio := spread * math.Sqrt(float64(size)) / l.scatter; ratio < 0.55 || ratio > 1.6 {
		return ratio
	}
	return 1
}

// before is how many samples the hold began before its upper pressure was crossed: back to the last rise.
func (r *reader) before(first int) (n int) {
	for first-n > 1 && n < 4000 && r.smooth(first-n-1) >= r.smooth(first-n)-2*r.grain-0.2 &&
		r.p[first-n] < r.p[first]+20 {
		n++
	}
	return max(n-max(2, int(0.05*r.rate)), 0)
}

// beyond is how many samples the hold goes on after its lower pressure, before it is vented.
func (r *reader) beyond(last int) (n int) {
	step := 6*r.grain + 0.5
	for last+n+1 < len(r.p) && n < 4000 && math.Abs(r.p[last+n+1]-r.p[last+n]) < step && r.p[last+n] > r.p[last]-20 {
		n++
	}
	return max(n-2, 0)
}

// uneven is what is slow in a hold and yet no part of its fall, in bar: the beat of hum with the sampling, a zero that
// wanders. It is what the means of a hold scatter about a cubic through its logarithms, beyond their noise.
func (r *reader) uneven(first, last int) float64 {
	const blocks, terms = 16, 4
	size := (last - first + 1) / blocks
	if size < 1 {
		return 0
	}
	x, y := mat.NewDense(blocks, terms, nil), mat.NewVecDense(blocks, nil)
	for k := range blocks {
		var t, p float64
		for i := first + k*size; i < first+(k+1)*size; i++ {
			t, p = t+r.t[i]/float64(size), p+math.Log(max(r.p[i], 1))/float64(size)
		}
		t = 2*(t-r.t[first])/(r.t[last]-r.t[first]) - 1
		for j, power := 0, 1.0; j < terms; j, power = j+1, power*t {
			x.Set(k, j, power)
		}
		y.SetVec(k, p)
	}
	var fit, rest mat.VecDense
	if fit.SolveVec(x, y) != nil {
		return 0
	}
	rest.MulVec(x, &fit)
	rest.SubVec(y, &rest)
	middle := (r.p[first] + r.p[last]) / 2
	scatter := mat.Dot(&rest, &rest) / (blocks - terms) * middle * middle
	noise := r.grain * r.grain / float64(size)
	return math.Sqrt(max(scatter-2*noise, 0))
}

// fit is the exponential through the hold.
func (r *reader) fit(first, last int) {
	if last-first < 3 {
		return
	}
	logs := make([]float64, last-first+1)
	for i := range logs {
		logs[i] = math.Log(max(r.p[first+i], 1))
	}
	l := straight(r.t[first:last+1], logs, 0, len(logs))
	if l.slope >= 0 {
		return
	}
	f := &r.out.Fit
	f.Tau = -1 / l.slope
	for i := range logs {
		d := r.p[first+i] - math.Exp(l.to(r.t[first+i]))
		f.Residual += d * d / float64(len(logs))
		f.Largest = max(f.Largest, math.Abs(d))
	}
	f.Residual = math.Sqrt(f.Residual)
}

// seat is how much of the seat test's pressure is lost in its time, on the last hold that begins above it. Drops at the
// tip are seen by an eye and by no log.
func (r *reader) seat(why *Refused) {
	a, out := r.asked, r.out
	if a.SeatAt == 0 && a.SeatBelow > 0 && out.Opening.Known() {
		a.SeatAt = out.Opening.X - a.SeatBelow
	}
	out.SeatAt, out.SeatFor = a.SeatAt, a.SeatFor
	if why == nil && !(a.SeatAt > 0 && a.SeatFor > 0) {
		why = &Refused{Reason: refusal.NoSeat}
	}
	if why != nil {
		out.SeatFall = refused(why)
		return
	}
	at := len(r.p) - 1
	for at > 0 && r.smooth(at) < a.SeatAt {
		at--
	}
	end := sort.SearchFloat64s(r.t, r.t[at]+a.SeatFor)
	if at == 0 || end >= len(r.p) || end-at < 2 {
		out.SeatFall = refused(&Refused{Reason: refusal.NoSeat})
		return
	}
	if r.p[end] < releaseShare*a.SeatAt {
		out.SeatFall = refused(&Refused{refusal.HoldCut, "it was vented"})
		return
	}
	if d := r.disturbed(at, end); d != nil {
		out.SeatFall = refused(d)
		return
	}
	near := func(i int) (float64, float64) {
		n, sum := 0.0, 0.0
		for j := max(i-2, 0); j <= min(i+2, len(r.p)-1); j++ {
			sum, n = sum+r.p[j], n+1
		}
		return sum / n, r.grain / math.Sqrt(n)
	}
	upper, s1 := near(at)
	lower, s2 := near(end)
	out.SeatFall = known(upper-lower, Part{"noise", math.Hypot(s1, s2), 0}, Part{sensorClass, 0, r.class / 3})
}

// windows are the means of the log up to a sample, in windows of a tenth of a second or so.
func (r *reader) windows(top int) (at, bar []float64, width float64) {
	width = max(0.1, 2/r.out.Rate)
	for i := 0; i <= top; {
		j, sum := i, 0.0
		for ; j <= top && r.t[j] < r.t[i]+width; j++ {
			sum += r.p[j]
		}
		at, bar = append(at, (r.t[i]+r.t[j-1])/2), append(bar, sum/float64(j-i))
		i = j
	}
	return at, bar, width
}

// air is the share of bubbles in the oil, from the bend of the first ramp: with the same oil pumped in the same time,
// oil alone rises in a straight line, and bubbles, which halve when the pressure doubles, take up the beginning. The
// time pumped is a·p + b·p/(p + 1 bar); the share of air is b/(a·K). Source: the isothermal compression of a gas and
// the constant bulk modulus of the oil, both as in Rabie, Fluid Power Engineering.
func (r *reader) air() {
	refuse := func(found string) { r.out.Air = refused(&Refused{refusal.NoOpening, found}) }
	if len(r.out.Openings) == 0 {
		refuse("")
		return
	}
	top := sort.SearchFloat64s(r.t, r.out.Openings[0].At) - 1
	at, bar, width := r.windows(top)
	begin := len(bar) - 1
	for begin > 0 && bar[begin] > 0.3+r.out.Noise/2 {
		begin--
	}
	var pumped, high, n float64
	var sxx, sxz, szz, sxy, szy, syy float64
	for i := begin + 1; i < len(bar); i++ {
		p := bar[i]
		if p > lowRamp && p < high+r.out.Noise { // between two strokes
			continue
		}
		pumped, high = pumped+at[i]-at[i-1], max(high, p)
		x, z := p, p/(p+1.013)
		sxx, sxz, szz, sxy, szy, syy, n = sxx+x*x, sxz+x*z, szz+z*z, sxy+x*pumped, szy+z*pumped, syy+pumped*pumped, n+1
	}
	det := sxx*szz - sxz*sxz
	if n < 8 || det <= 0 {
		refuse("the ramp has too few samples")
		return
	}
	a := (sxy*szz - szy*sxz) / det
	b := (szy*sxx - sxy*sxz) / det
	rest := max(syy-a*sxy-b*szy, 0) / (n - 2)
	if a <= 0 {
		refuse("the ramp is not even")
		return
	}
	bulk := r.asked.BulkGPa * 1e4
	if bulk == 0 {
		bulk = oilAdiabatic * 1e4
	}
	share := 100 / (a * bulk)
	// one stroke more or less at the beginning, and the unevenness of the strokes
	r.out.Air = known(max(b, 0)*share, Part{"unevenness of the strokes", math.Sqrt(rest*sxx/det) * share, 0},
		Part{"bulk modulus of the oil", 0, 0.15 * math.Abs(b) * share}, Part{"beginning of the ramp", 0, width * share})
}
