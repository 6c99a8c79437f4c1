package benchlog

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"needlebook/logbook/refusal"
)

// What the reader goes by. They are parts of the method, not limits of a valve: those come with the question.
const (
	restTime      = 1.0    // s: the first second is at rest
	zeroShare     = 0.01   // of the span: more than that off zero is refused
	leastDrop     = 15.0   // bar: an opening ends in a fall of at least that
	leastShare    = 0.05   // of the pressure, likewise
	fallTime      = 0.06   // s: an opening falls within that, or within three samples
	mostBeyond    = 1.5    // times its range: no sensor shows more, another unit does
	releaseShare  = 0.45   // of the peak: a fall below is the bench being vented
	withHigh      = 0.8    // of the median peak: lower ones are no openings of the needle
	leastRate     = 15.0   // samples a second for an opening pressure
	mostStep      = 8.0    // bar: the ramp between two samples
	fastRamp      = 150.0  // bar/s: a ramp above is said
	rampSpan      = 50.0   // bar below the opening in which the ramp is measured
	oilAdiabatic  = 1.4    // GPa: bulk modulus of a test oil without air, where the bench's is not stated
	lowRamp       = 20.0   // bar: below it bubbles take up what is pumped
	repeats       = 1.0    // bar: by how much a valve's openings differ, where too few are seen to tell
	clockError    = 0.0002 // share: a logger's clock
	mainsPeriod   = 0.02   // s: hum of 50 Hz is gone from a mean over it, that of 60 Hz nearly
	mostUncertain = 8.0    // bar, without the sensor's class: a gauge reads better
	loud          = 1.5    // bar: noise above it makes falls of its own among many samples
)

// Asked is what is to be read: pressures in bar, times in s. What is zero is not asked for.
type Asked struct {
	From, To        float64 // leak-down between these pressures
	FromBelow, Fall float64 // or from so much below the opening pressure as read, over this fall
	SeatAt, SeatFor float64 // seat test
	SeatBelow       float64 // or so much below the opening pressure as read
	BulkGPa         float64 // of the oil
}

// Opening is one opening of the needle.
type Opening struct {
	At, Bar float64 // time, and pressure at which the needle lifted
	Std     float64 // standard deviation of that pressure, without the sensor's own error
	Closing float64 // lowest pressure right after
	Ramp    float64 // bar/s over the last 50 bar before it
	step    float64 // bar between the two samples around it
}

// Chatter is how regularly the openings follow one another.
type Chatter struct {
	Openings int
	Interval float64 // s, median between two
	Spread   float64 // share: scatter of the intervals over their mean
}

// Fit is the exponential through the hold, and how far the log is from it: oil cools and thins, air dissolves.
type Fit struct {
	Tau       float64 // s
	Residual  float64 // bar, standard deviation
	Largest   float64 // bar
	Disturbed bool
}

// Reading is what a log says.
type Reading struct {
	Duration, Rate float64 // s; samples a second, in the middle
	Noise          float64 // bar, standard deviation of one sample at rest
	Zero           Value   // bar at rest, before the test
	ZeroAfter      Value
	Ramp           Value // bar/s
	First          Value // bar
	Opening        Value // bar, median without the first
	Closing        Value // bar
	LeakDown       Value // s
	From, To       float64
	SeatFall       Value // bar lost from the seat test's pressure in its time
	SeatAt         float64
	SeatFor        float64
	Air            Value // per cent of the oil's volume, as bubbles at no pressure
	Openings       []Opening
	Chatter        Chatter
	Fit            Fit
	HoldFrom       float64 // s: when the hold crossed From
	HoldTo         float64 // s: when it crossed To
	Flags          []*Refused
}

// reader is one log being read.
type reader struct {
	t, p   []float64
	sensor Sensor
	asked  Asked
	out    *Reading
	zero   float64
	tilt   float64 // bar/s, by which the zero moves
	drift  float64 // half width
	class  float64 // bar, half width
	step   float64 // bar, one digit
	rested bool    // the noise was seen at rest
	grain  float64 // bar, standard deviation of one sample of this view of the log
	rate   float64 // samples a second of this view
	packed bool    // the samples of a hold are means, which scatter less than those at rest
}

// Read reads a log. What cannot be read says why in its place.
func Read(l *Log, sensor Sensor, asked Asked) *Reading {
	r := &reader{t: l.Time, p: slices.Clone(l.Bar), sensor: sensor, asked: asked, out: &Reading{}}
	r.packed = l.Packed
	r.class = sensor.Class / 100 * sensor.SpanBar
	r.out.Duration = r.t[len(r.t)-1]
	steps := make([]float64, len(r.t)-1)
	for i := range steps {
		steps[i] = r.t[i+1] - r.t[i]
	}
	r.out.Rate = 1 / median(steps)
	r.resolution()
	why := r.rest()
	if why == nil {
		why = r.clipped(l)
	}
	for i := range r.p {
		r.p[i] -= r.zero + r.tilt*(r.t[i]-r.out.Duration/2)
	}
	r.grain, r.rate = r.out.Noise, r.out.Rate
	r.openings()
	r.pressures(why)
	still := r.still()
	still.hold(why)
	still.seat(why)
	r.air()
	return r.out
}

// resolution is the smallest difference between samples.
func (r *reader) resolution() {
	least := math.Inf(1)
	for i := 1; i < len(r.p); i++ {
		if d := math.Abs(r.p[i] - r.p[i-1]); d > 1e-9 {
			least = min(least, d)
		}
	}
	if !math.IsInf(least, 1) && least < 20 {
		r.step = least
	}
}

// rest looks at the first second, and at the last: zero, noise and drift.
func (r *reader) rest() *Refused {
	from, to := 0, sort.SearchFloat64s(r.t, restTime)
	// the rest ends where the pressure begins to rise: the quiet part is taken
	rise := max(0.01*r.sensor.SpanBar, 5)
	few := max(1, int(2*mainsPeriod*r.out.Rate)) // hum alone rises as far
	first, _ := meanAndSpread(r.p[:min(few, len(r.p))])
	for i := range to {
		if now, _ := meanAndSpread(r.p[i:min(i+few, len(r.p))]); math.Abs(now-first) > rise {
			to = i
			break
		}
	}
	span := r.sensor.SpanBar
	if span == 0 {
		span = slices.Max(r.p)
	}
	if to-from < 2 || r.t[to-1] < 0.3*restTime && r.out.Rate > 3 {
		r.out.Zero, r.drift = refused(&Refused{Reason: refusal.ZeroNotSeen}), zeroShare*span
		if to-from < 2 && math.Abs(r.p[0]) <= zeroShare*span { // one sample a second or less
			r.zero, r.drift = r.p[0], 0
			r.out.Zero = known(r.p[0], Part{"noise", r.noise(), 0}, Part{"resolution", 0, r.step / 2})
		}
		r.out.Noise = r.noise()
		return nil
	}
	n := float64(to - from)
	var mean, rest float64
	for _, v := range r.p[from:to] {
		mean += v / n
	}
	for _, v := range r.p[from:to] {
		rest += (v - mean) * (v - mean) / (n - 1)
	}
	r.rested = n >= 5
	r.out.Noise = max(math.Sqrt(rest), r.step/math.Sqrt(12))
	digit := r.step / 2
	if rest > r.step*r.step/10 { // the noise moves it over the digits, and the mean has finer ones
		digit = 0
	}
	r.out.Zero = known(mean, Part{"noise", r.out.Noise / math.Sqrt(n), 0}, Part{"resolution", 0, digit})
	if math.Abs(mean) > zeroShare*span {
		why := &Refused{refusal.ZeroOff, fmt.Sprintf("%.1f bar of %.0f", mean, span)}
		if mean > 3*zeroShare*span { // nobody's zero: the log begins in the test
			why = &Refused{Reason: refusal.ZeroNotSeen}
			r.out.Zero = refused(why)
			r.drift = zeroShare * span
			return nil
		}
		r.out.Zero.Why = why
		return why
	}
	r.zero = mean
	return r.after(mean, span)
}

// after looks at the zero at the end, where the bench was vented before the log ended.
func (r *reader) after(before, span float64) *Refused {
	from := sort.SearchFloat64s(r.t, r.out.Duration-restTime/2)
	mean, n := 0.0, float64(len(r.p)-from)
	if n < 2 {
		return nil
	}
	for _, v := range r.p[from:] {
		if math.Abs(v-before) > 2*zeroShare*span+4*r.out.Noise {
			return nil
		}
		mean += v / n
	}
	r.out.ZeroAfter = known(mean, Part{"noise", r.out.Noise / math.Sqrt(n), 0}, Part{"resolution", 0, r.step / 2})
	r.tilt = (mean - before) / r.out.Duration // nobody saw the way between the two: half of the half is left to it
	r.drift = math.Abs(mean-before) / 4
	r.zero = (mean + before) / 2
	if math.Abs(mean-before) > zeroShare*span {
		return &Refused{refusal.ZeroDrift, fmt.Sprintf("%.1f bar", mean-before)}
	}
	return nil
}

// noise is that of single samples, from third differences, which neither ramp nor hold reaches: the
// lower quarter of them, which pump and needle do not reach.
func (r *reader) noise() float64 {
	every := max(1, len(r.p)/20000)
	var third []float64
	for i := 3; i < len(r.p); i += every {
		third = append(third, math.Abs(r.p[i]-3*r.p[i-1]+3*r.p[i-2]-r.p[i-3]))
	}
	if len(third) == 0 {
		return 0
	}
	slices.Sort(third)
	return third[len(third)/4] / (0.3186 * math.Sqrt(20))
}

// clipped says whether the top of the log is flat: at the end of the sensor, or at one value again and again.
func (r *reader) clipped(l *Log) *Refused {
	top, runs, longest, run := slices.Max(r.p), 0, 0, 0
	for _, v := range r.p {
		if v < top-1e-9 {
			run = 0
			continue
		}
		if run++; run == 3 {
			runs++
		}
		longest = max(longest, run)
	}
	end := r.sensor.SpanBar
	if end > 0 && top > mostBeyond*end {
		return &Refused{refusal.BeyondSensor, fmt.Sprintf("%.0f bar of %.0f", top, end)}
	}
	if l.Overload > 0 || end > 0 && top >= 0.999*end || top > 20 && (runs > 1 || longest >= 10) && r.out.Noise > r.step {
		return &Refused{refusal.Clipped, fmt.Sprintf("%.0f bar", top)}
	}
	return nil
}

// openings finds each fall that is deep and quick, and where the ramp before it ends.
func (r *reader) openings() {
	raw := r.p
	var noise float64
	r.p, noise = r.quiet()
	least := r.swing(noise)
	high, highAt, rose := r.p[0], 0, 0
	for i := 1; i < len(r.p); i++ {
		if r.p[i] >= high {
			high, highAt = r.p[i], i
			continue
		}
		drop := max(leastDrop, leastShare*high, least)
		if high-r.p[i] < drop {
			continue
		}
		begin := i - 1
		for begin > highAt && r.p[begin] < high-0.3*drop {
			begin--
		}
		// a slow fall before the quick one: the last sample from which this fall is quick
		for begin < i-1 && r.t[i]-r.t[begin] > r.quick(begin) {
			begin++
		}
		if r.p[begin]-r.p[i] < 0.7*drop {
			if r.p[i] < high-2*drop { // a hold: it is followed down
				high, highAt, rose = r.p[i], i, i
			}
			continue
		}
		low := r.trough(i, noise)
		if r.p[low] > releaseShare*r.p[begin] && r.p[begin] > 2*drop {
			if o, fine := r.openingIn(raw, rose, begin); fine {
				o.Closing = r.p[low]
				r.out.Openings = append(r.out.Openings, o)
			}
		}
		high, highAt, rose, i = r.p[low], low, low, low
	}
	r.p = raw
	r.belonging()
}

// openingIn is an opening that was seen in a quieter view, read in the samples as they were logged.
func (r *reader) openingIn(raw []float64, from, near int) (Opening, bool) {
	seen := r.p
	r.p = raw
	defer func() { r.p = seen }()
	return r.opening(from, near)
}

// swing is the fall that noise and hum do not make: more than they swing at rest. Hum swings less than noise does for
// the same standard deviation.
func (r *reader) swing(noise float64) float64 {
	rest := r.p[:sort.SearchFloat64s(r.t, 0.8*restTime)]
	if !r.rested || len(rest) < 20 {
		return 8 * noise
	}
	return min(8*noise, 1.4*(slices.Max(rest)-slices.Min(rest)))
}

// quiet is the log in running means over a period of the mains, in which hum and noise make no fall, and the noise of
// one such mean: where samples are many and loud. Elsewhere it is the log itself.
func (r *reader) quiet() (p []float64, noise float64) {
	half := int(mainsPeriod*r.out.Rate) / 2
	if half < 2 || r.out.Noise < loud {
		return r.p, r.out.Noise
	}
	p = make([]float64, len(r.p))
	sum, from, to := 0.0, 0, 0
	for i := range p {
		for ; to < len(r.p) && to <= i+half; to++ {
			sum += r.p[to]
		}
		for ; from < i-half; from++ {
			sum -= r.p[from]
		}
		p[i] = sum / float64(to-from)
	}
	if rest := sort.SearchFloat64s(r.t, 0.8*restTime); r.rested && rest > 4*half {
		_, noise = meanAndSpread(p[half : rest-half])
		return p, noise
	}
	return p, r.out.Noise / math.Sqrt(float64(half))
}

// still is the log in means over a period of the mains, one after another, for what is slow: hum is gone from them, and
// what is left of it and of the noise is seen at rest. A log with few samples is its own.
func (r *reader) still() *reader {
	if r.packed || r.out.Rate*mainsPeriod < 3.9 {
		return r
	}
	s := *r
	s.t, s.p, s.rate = nil, nil, 1/mainsPeriod
	for i := 0; i < len(r.t); {
		j, t, p := i, 0.0, 0.0
		for ; j < len(r.t) && r.t[j] < r.t[i]+mainsPeriod-0.1/r.out.Rate; j++ {
			t, p = t+r.t[j], p+r.p[j]
		}
		s.t, s.p = append(s.t, t/float64(j-i)), append(s.p, p/float64(j-i))
		i = j
	}
	if rest := sort.SearchFloat64s(s.t, 0.8*restTime); r.rested && rest > 8 {
		_, s.grain = meanAndSpread(s.p[:rest])
		s.grain = max(s.grain, r.step/math.Sqrt(12*r.out.Rate*mainsPeriod))
	} else {
		s.grain = r.out.Noise / math.Sqrt(r.out.Rate*mainsPeriod)
	}
	return &s
}

// quick is the time within which a fall is one of the needle: three samples where they are slow.
func (r *reader) quick(at int) float64 {
	if at+1 < len(r.t) {
		return max(fallTime, 2.5*(r.t[at+1]-r.t[at]))
	}
	return fallTime
}

// trough is the lowest sample right after a fall.
func (r *reader) trough(i int, noise float64) int {
	low, back := i, max(3, 5*noise)
	for j := i + 1; j < len(r.p) && r.p[j] < r.p[low]+back; j++ {
		if r.p[j] < r.p[low] {
			if r.t[j]-r.t[i] > 5*fallTime && r.p[low]-r.p[j] < back {
				break // from here on it only leaks
			}
			low = j
		}
	}
	return low
}

// opening follows the ramp to its end near a sample, from the trough before.
func (r *reader) opening(from, near int) (Opening, bool) {
	end := near
	for end > from+1 && r.p[end] < r.p[end-1]-3*r.out.Noise { // a sample of the fall itself
		end--
	}
	l := r.rampTo(from, max(end-1, from+1))
	for end+1 < len(r.p) && r.t[end+1]-r.t[near] < fallTime &&
		math.Abs(r.p[end+1]-l.to(r.t[end+1])) < max(4*max(r.out.Noise, l.scatter), 0.3) {
		end++
	}
	l = r.rampTo(from, end)
	if end+1 >= len(r.t) || l.n < 2 {
		return Opening{}, false
	}
	gap := r.t[end+1] - r.t[end]
	at := r.t[end] + gap/2
	o := Opening{At: at, Bar: l.to(at), step: l.slope * gap, Ramp: r.rampRate(from, end)}
	o.Std = math.Hypot(l.std(at)*max(r.out.Noise, l.scatter), math.Abs(o.step)/math.Sqrt(12))
	if r.out.Noise < loud {
		return o, o.Bar > 0
	}
	return o, math.Abs(o.Bar-slices.Max(r.p[max(end-2, 0):end+1])) < max(6*r.out.Noise, 2*math.Abs(o.step), 5)
}

// rampTo is the line through the last samples of a ramp: a tenth of a second, or as many as a line needs.
func (r *reader) rampTo(from, end int) line {
	begin, loudly := end, 0.0
	if r.out.Noise > loud { // hum alone rises that far
		loudly = 4 * r.out.Noise
	}
	for begin > from && (end-begin < 5 || r.t[end]-r.t[begin] < 0.12 && r.p[end]-r.p[begin] < 12+loudly) &&
		r.t[end]-r.t[begin-1] < 0.35 && r.p[end]-r.p[begin-1] < 40+loudly {
		begin--
	}
	if begin == end && end > 0 {
		begin--
	}
	return straight(r.t, r.p, begin, end+1)
}

// rampRate is the mean rise over the last fifty bar, or over what there is since the trough.
func (r *reader) rampRate(from, end int) float64 {
	begin := end
	for begin > from && r.p[end]-r.p[begin] < rampSpan {
		begin--
	}
	if r.t[end] <= r.t[begin] {
		return 0
	}
	return (r.p[end] - r.p[begin]) / (r.t[end] - r.t[begin])
}

// belonging keeps the openings near the middle one: a knock of the pump lower down is none of the needle.
func (r *reader) belonging() {
	all := make([]float64, 0, len(r.out.Openings))
	for _, o := range r.out.Openings {
		all = append(all, o.Bar)
	}
	high := withHigh * median(all)
	r.out.Openings = slices.DeleteFunc(r.out.Openings, func(o Opening) bool { return o.Bar < high })
	c := &r.out.Chatter
	if c.Openings = len(r.out.Openings); c.Openings < 3 {
		return
	}
	var between []float64
	for i := 1; i < c.Openings; i++ {
		between = append(between, r.out.Openings[i].At-r.out.Openings[i-1].At)
	}
	mean, spread := meanAndSpread(between)
	c.Interval, c.Spread = median(between), spread/mean
}

func meanAndSpread(values []float64) (mean, spread float64) {
	n := float64(len(values))
	for _, v := range values {
		mean += v / n
	}
	for _, v := range values {
		spread += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(spread / max(n-1, 1))
}

// pressures are the first opening, the middle one and the closing.
func (r *reader) pressures(why *Refused) {
	out, all := r.out, r.out.Openings
	if why == nil {
		why = r.tooFewOrFast()
	}
	if why != nil {
		out.Opening, out.First, out.Closing, out.Ramp = refused(why), refused(why), refused(why), refused(why)
		return
	}
	zero := []Part{{"zero", out.Zero.U / 2, 0}, {"drift of zero", 0, r.drift}, {sensorClass, 0, r.class}}
	out.First = known(all[0].Bar, append([]Part{{"ramp and noise", all[0].Std, 0}}, zero...)...)
	var rest, closing, ramps []float64
	for _, o := range all[1:] {
		rest, closing, ramps = append(rest, o.Bar), append(closing, o.Closing), append(ramps, o.Ramp)
	}
	out.Opening = known(median(rest), append([]Part{{"scatter of the readings", r.scatter(rest), 0}}, zero...)...)
	out.Closing = known(median(closing), append([]Part{{"scatter of the readings", r.scatter(closing), 0},
		{"lowest sample", 0, 8}}, zero...)...)
	_, spread := meanAndSpread(ramps)
	out.Ramp = known(median(ramps), Part{"scatter of the readings", spread, 0}, Part{"sensor", 0.01 * median(ramps), 0})
	if out.Opening.Own > mostUncertain {
		out.Opening.Why = &Refused{refusal.Uncertain, fmt.Sprintf("%.0f bar ± %.0f bar", out.Opening.X, out.Opening.U)}
	}
	for _, v := range []*Value{&out.Opening, &out.First, &out.Closing} {
		v.Beside = append(v.Beside, r.weaker()...)
	}
}

// tooFewOrFast says why no opening pressure can be read.
func (r *reader) tooFewOrFast() *Refused {
	all := r.out.Openings
	switch {
	case r.out.Rate < leastRate && r.rateAtOpenings() < leastRate:
		return &Refused{refusal.SlowSampling, fmt.Sprintf("%.3g a second", r.out.Rate)}
	case len(all) == 0:
		return &Refused{Reason: refusal.NoOpening}
	case len(all) < 3:
		return &Refused{refusal.FewOpenings, fmt.Sprint(len(all))}
	}
	var steps []float64
	for _, o := range all {
		steps = append(steps, math.Abs(o.step))
	}
	if s := median(steps); s > mostStep {
		return &Refused{refusal.FastRamp, fmt.Sprintf("%.0f bar between samples", s)}
	}
	return nil
}

// rateAtOpenings is the sampling around the openings, where a packed log keeps every sample.
func (r *reader) rateAtOpenings() float64 {
	var steps []float64
	for _, o := range r.out.Openings {
		if i := sort.SearchFloat64s(r.t, o.At); i > 0 && i < len(r.t) {
			steps = append(steps, r.t[i]-r.t[i-1])
		}
	}
	if len(steps) == 0 {
		return 0
	}
	return 1 / median(steps)
}

func (r *reader) weaker() (all []*Refused) {
	if r.out.Zero.Why != nil {
		all = append(all, r.out.Zero.Why)
	}
	if r.out.Ramp.X > fastRamp {
		all = append(all, &Refused{refusal.FastRamp, fmt.Sprintf("%.0f bar/s", r.out.Ramp.X)})
	}
	return all
}

// scatter is the standard deviation of the median of values: what they show, and what openings usually show where they
// are few. The factor of the median over the mean is that of a normal sample.
func (r *reader) scatter(values []float64) float64 {
	n := len(values)
	_, s := meanAndSpread(values)
	usual := math.Hypot(repeats, r.out.Noise/3)
	freedom := n + 1 // two of them from what is usual
	s = math.Sqrt((float64(n-1)*s*s + 2*usual*usual) / float64(freedom))
	over := 1.2533
	if n < 10 {
		over = []float64{1, 1, 1, 1.160, 1.092, 1.197, 1.135, 1.214, 1.160, 1.223}[n]
	}
	return over * s / math.Sqrt(float64(n)) * student(freedom) / 2
}
