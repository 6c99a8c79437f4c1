// Package pump is a hand pump with an injection valve on it, for tests only: what a pressure sensor and a logger would
// write. It knows nothing of the reader. Its physics are not what the reader takes for granted: the pump's strokes are
// uneven, the oil stiffens with pressure and has bubbles in it, its viscosity rises with pressure and as it cools, the
// bench leaks as well as the valve, and the sensor is off within its class and bowed.
//
// Sources: secant bulk modulus rising with pressure and Barus' law of viscosity, from tables of mineral oils, from
// memory; the flow through a gap and the compression of bubbles as in Rabie, Fluid Power Engineering.
package pump

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
)

// Test is one test on the bench.
type Test struct {
	Opening  float64 // bar, setting of the valve
	Repeat   float64 // bar, standard deviation between openings
	Stiction float64 // bar by which the first is higher
	Reseat   float64 // share of the opening pressure at which the needle closes
	Openings int     // how many are pumped
	Careful  bool    // slow strokes; otherwise fast ones
	Leak     float64 // s: about how long it takes to lose 60 bar from 25 below the opening
	Bench    float64 // share of the leakage that is the bench's, through an orifice
	Cooling  float64 // share by which the viscosity rises in a minute
	Bubbles  float64 // share of the volume
	Disturb  float64 // bar pumped up in the middle of the hold
	CutAt    float64 // bar: vented there in the hold; 0 for low enough

	Rate    float64 // samples a second
	Jitter  float64 // share of a sample
	Noise   float64 // bar
	Hum     float64 // bar, amplitude at the mains' frequency
	Mains   float64 // Hz
	Span    float64 // bar
	Class   float64 // per cent of span
	Bits    int     // of the logger
	Zero    float64 // bar
	Drift   float64 // bar by the end
	Ceiling float64 // bar above which the logger is at its end; 0 for none
}

// Usual is an ordinary valve on a bench kept well.
func Usual() Test {
	return Test{Opening: 330, Repeat: 0.8, Stiction: 8, Reseat: 0.88, Openings: 7, Careful: true, Leak: 12, Bench: 0.05,
		Cooling: 0.03, Bubbles: 0.001, Rate: 100, Jitter: 0.02, Noise: 0.8, Hum: 0.2, Mains: 50, Span: 600, Class: 0.25,
		Bits: 14, Zero: 0.6}
}

// Truth is what happened.
type Truth struct {
	First, Opening float64   // bar
	Sensed         float64   // bar, what a sensor with this one's error shows at the opening pressure
	Peaks          []float64 // bar, each opening but the first
	time, bar      []float64
}

// Fall is how long the true pressure took from one value to another on the hold.
func (t *Truth) Fall(from, to float64) float64 {
	at := func(level float64) float64 {
		for i := len(t.bar) - 1; i > 0; i-- {
			if t.bar[i] <= level && t.bar[i-1] > level {
				return t.time[i-1] + (t.time[i]-t.time[i-1])*(t.bar[i-1]-level)/(t.bar[i-1]-t.bar[i])
			}
		}
		return math.NaN()
	}
	return at(to) - at(from)
}

// bench is the state while it runs.
type bench struct {
	Test
	r                *rand.Rand
	p, t             float64
	leakage, orifice float64
	truth            *Truth
}

const volume = 25.0 // cm³

// Run runs a test and logs it: times and pressures as the logger has them.
func (t Test) Run(seed uint64) (time, bar []float64, truth *Truth) {
	b := &bench{Test: t, r: rand.New(rand.NewPCG(seed, 7)), truth: &Truth{Opening: t.Opening}}
	b.leakages()
	b.wait(1.2)
	b.pump()
	b.hold()
	b.vent()
	b.wait(0.8)
	time, bar = b.log()
	return time, bar, b.truth
}

// stiffness is bar for each cm³.
func (b *bench) stiffness() float64 {
	p := b.p + 1.013
	compliance := 1/(13500+9*b.p) + b.Bubbles*1.013/(p*p)
	return 1 / (compliance * volume)
}

// leakages sets both leaks so that the fall takes about as long as wanted.
func (b *bench) leakages() {
	mid := b.Opening - 55
	b.p = mid
	all := 60 / b.Leak / b.stiffness()
	b.leakage = all * (1 - b.Bench) / (mid * math.Exp(-0.0015*mid))
	b.orifice = all * b.Bench / math.Sqrt(mid)
	b.p = 0
}

// leaks is what flows out in cm³/s.
func (b *bench) leaks() float64 {
	p := max(b.p, 0)
	return b.leakage*p*math.Exp(-0.0015*p)/(1+b.Cooling*b.t/60) + b.orifice*math.Sqrt(p)
}

func (b *bench) step(dt, inflow float64) {
	b.p = max(b.p+(inflow-b.leaks())*b.stiffness()*dt, 0)
	b.t += dt
	b.truth.time, b.truth.bar = append(b.truth.time, b.t), append(b.truth.bar, b.p)
}

func (b *bench) wait(seconds float64) {
	for end := b.t + seconds; b.t < end; {
		b.step(0.01, 0)
	}
}

// pump makes strokes until the valve has opened often enough, and once more to just below.
func (b *bench) pump() {
	const dt = 0.0004
	length, mean := 1.6, 0.13 // s, cm³/s
	if !b.Careful {
		length, mean = 0.5, 0.9
	}
	lift := b.Opening + b.Stiction + b.Repeat*b.r.NormFloat64()
	for opened := 0; ; {
		stroke := length * (1 + 0.15*b.r.NormFloat64())
		stroke = max(stroke, length/3)
		strength := mean * (1 + 0.1*b.r.NormFloat64()) * 1.6
		for at := 0.0; at < stroke; at += dt {
			push := strength * math.Pow(math.Sin(math.Pi*at/stroke), 0.7)
			if opened >= b.Openings && b.p > b.Opening-14 {
				return
			}
			b.step(dt, push)
			if b.p >= lift && opened < b.Openings {
				if opened == 0 {
					b.truth.First = b.p
				} else {
					b.truth.Peaks = append(b.truth.Peaks, b.p)
				}
				opened++
				b.open(lift)
				lift = b.Opening + b.Repeat*b.r.NormFloat64()
			}
		}
		for end := b.t + 0.25*length*(0.6+0.8*b.r.Float64()); b.t < end; {
			b.step(0.002, 0)
		}
	}
}

// open lets out oil until the needle falls.
func (b *bench) open(lift float64) {
	low := lift * (b.Reseat + 0.01*b.r.NormFloat64())
	low = min(low, lift-18)
	for rise := 0.0; b.p > low; rise += 0.0001 {
		b.step(0.0001, -60*min(rise/0.0008, 1)*math.Sqrt(b.p/300))
	}
}

// hold waits until the pressure is far enough down.
func (b *bench) hold() {
	low := b.Opening - 95
	if b.CutAt > 0 {
		low = b.CutAt
	}
	disturbed := b.Disturb == 0
	for begin := b.t; b.p > low && b.t < begin+200; {
		b.step(min(0.004, 0.5/b.Rate), 0)
		if !disturbed && b.p < b.Opening-50 {
			disturbed = true
			for end := b.t + 0.15; b.t < end; {
				b.step(0.004, b.Disturb/b.stiffness()/0.15)
			}
		}
	}
}

func (b *bench) vent() {
	for b.p > 0.05 && b.t < 1000 {
		b.step(0.002, -4*math.Sqrt(b.p/300+0.01))
	}
	b.p = 0
}

// log is what sensor and logger make of it.
func (b *bench) log() (time, bar []float64) {
	true1, true2 := b.truth.time, b.truth.bar
	end := true1[len(true1)-1]
	half := b.Class / 100 * b.Span
	gain, bow := half*(2*b.r.Float64()-1), half/4*(2*b.r.Float64()-1)
	b.truth.Sensed = b.Opening + gain + bow*4*b.Opening/b.Span*(1-b.Opening/b.Span)
	phase, k := 2*math.Pi*b.r.Float64(), 0
	digit := 0.0
	if b.Bits > 0 {
		digit = b.Span * 1.1 / math.Exp2(float64(b.Bits))
	}
	start := b.r.Float64() / b.Rate
	for n := 0; ; n++ {
		nominal := start + float64(n)/b.Rate
		at := nominal + b.Jitter/b.Rate*(b.r.Float64()-0.5)
		if at >= end {
			return time, bar
		}
		for k < len(true1)-1 && true1[k] < at {
			k++
		}
		p := true2[k]
		if k > 0 && true1[k] > true1[k-1] {
			p = true2[k-1] + (true2[k]-true2[k-1])*(at-true1[k-1])/(true1[k]-true1[k-1])
		}
		x := p / b.Span
		shown := p + gain*p/b.Opening + bow*4*x*(1-x) + b.Zero + b.Drift*at/end
		shown += b.Noise*b.r.NormFloat64() + b.Hum*math.Sin(2*math.Pi*b.Mains*at+phase)
		if digit > 0 {
			shown = math.Round(shown/digit) * digit
		}
		if b.Ceiling > 0 {
			shown = min(shown, b.Ceiling)
		}
		time, bar = append(time, at), append(bar, shown)
	}
}

// CSV is a log as a plain logger writes it.
func CSV(header []string, time, bar []float64, decimals int) string {
	var b strings.Builder
	for _, h := range header {
		fmt.Fprintln(&b, h)
	}
	b.WriteString("time [s],pressure [bar]\n")
	for i := range time {
		b.WriteString(strconv.FormatFloat(time[i], 'f', 4, 64) + "," + strconv.FormatFloat(bar[i], 'f', decimals, 64) + "\n")
	}
	return b.String()
}
