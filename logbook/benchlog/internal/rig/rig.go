// Package rig invents tests of an injection valve on a hand pump, and what a logger writes of them, for tests of a
// reader that knows nothing of it. It is the second of its kind: its pump is driven by the force of an arm, its bench
// is a volume of oil with bubbles, its needle opens in milliseconds and rings, its oil warms when it is pressed and
// cools in the hold, its loggers have the habits of many. Begin with Try.
//
// Sources: stiffness of oil with bubbles, leakage through a gap: Rabie, Fluid Power Engineering; viscosity under
// pressure: Barus' law; strokes, chatter, ringing and the habits of loggers: from memory.
package rig

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Way is how a test was done and logged.
type Way struct {
	Hz        float64 // samples a second
	Fast      bool    // pumped in a hurry
	Noise     float64 // bar, of one sample; 0.5 where none is given
	Hum       float64 // bar, amplitude at most, of 50 or 60 Hz
	Bits      int     // of the converter; 16 where none is given
	Span      float64 // bar; 600 where none is given
	Class     float64 // per cent of span; 0.25 where none is given
	Signal    string  // "", "mA" or "V"
	Irregular bool    // intervals scatter by half
	Gaps      float64 // share of samples lost, singly and in runs
	Drift     float64 // bar, of the zero over the test, at most
	Repeated  bool    // the clock ticks slower than the samples come
	Leaky     bool    // the bench leaks as well
	Weeps     bool    // the seat weeps before it opens
	Slow      float64 // ms, time constant of the sensor
	Averaged  bool    // the logger gives means over its interval
	Knocked   bool    // the lever is touched in the hold
	Short     bool    // the log ends in the hold
	Clip      float64 // bar at which the logger ends; 0: nowhere
	Few       bool    // opened twice only
	Twice     bool    // an earlier hold was given up
}

// Case is one invented test: what a logger wrote, and what was true.
type Case struct {
	Text     []byte
	Habit    string
	Unit     string // of the signal's points
	Points   [2][2]float64
	Span     float64
	Class    float64
	From, To float64
	Opening  float64 // setting of the spring
	Openings int
	First    float64
	LeakDown float64 // s
	Off      float64 // bar, error of the sensor at the opening pressure
	Ramp     float64 // bar/s, largest before an opening but the first
}

// bench is the state of the hydraulics.
type bench struct {
	p, t, dt       float64
	k0, k1         float64 // stiffness: k0 + k1·p
	volume, air    float64 // cm³; share of bubbles at no pressure
	gap, hole      float64 // leak: gap·p·exp(-thick·p), hole·√p
	thick          float64
	heat, cools    float64 // bar still to be lost by cooling; time constant
	weeps          float64
	setting        float64
	time, pressure []float64
	wave           []ring
}

type ring struct{ at, high, hz, tau float64 }

func (b *bench) stiff() float64 {
	free := b.air * 1.013 / ((b.p + 1.013) * (b.p + 1.013))
	return 1 / (1/(b.k0+b.k1*b.p) + free)
}

func (b *bench) step(flow float64) {
	out := b.gap*b.p*math.Exp(-b.thick*b.p) + b.hole*math.Sqrt(math.Max(b.p, 0))
	if b.weeps > 0 && b.p > b.setting-12 && flow > 0 {
		out += flow * b.weeps * min((b.p-b.setting+12)/12, 1)
	}
	dp := b.stiff() / b.volume * (flow - out) * b.dt
	if flow > 0 {
		b.heat += 0.02 * math.Max(dp, 0)
	}
	lost := b.heat * b.dt / b.cools
	b.heat -= lost
	b.p = math.Max(b.p+dp-lost, 0)
	b.t += b.dt
	b.keep()
}

func (b *bench) keep() {
	shown := b.p
	for i := len(b.wave) - 1; i >= 0 && i >= len(b.wave)-2; i-- {
		w := &b.wave[i]
		if age := b.t - w.at; age < 6*w.tau {
			shown += w.high * math.Exp(-age/w.tau) * math.Sin(2*math.Pi*w.hz*age)
		}
	}
	b.time, b.pressure = append(b.time, b.t), append(b.pressure, shown)
}

// rest lets the bench stand for so many seconds.
func (b *bench) rest(s float64) {
	b.dt = 0.002
	for end := b.t + s; b.t < end; {
		b.step(0)
	}
}

// drop lets the pressure fall to p in s seconds.
func (b *bench) drop(p, s float64) {
	from, t0 := b.p, b.t
	b.dt = 0.0002
	for b.t < t0+s {
		b.t += b.dt
		x := math.Min((b.t-t0)/s, 1)
		b.p = from + (p-from)*math.Sin(x*math.Pi/2)
		b.keep()
	}
}

// arm is a stroke of a lever: its flow over its time from 0 to 1.
type arm func(x float64) float64

func arms(r *rand.Rand) arm {
	tremor, hz, at := 0.05+0.15*r.Float64(), 4+4*r.Float64(), r.Float64()*6
	shake := func(x float64) float64 { return 1 + tremor*math.Sin(hz*2*math.Pi*x+at) }
	switch r.IntN(4) {
	case 0:
		return func(x float64) float64 { return math.Sin(math.Pi*x) * math.Pi / 2 }
	case 1:
		return func(x float64) float64 { return shake(x) * math.Min(1, math.Min(x, 1-x)/0.12) }
	case 2:
		return func(x float64) float64 { return 1.6 * math.Exp(-1.2*x) * math.Min(1, x/0.05) }
	}
	return func(x float64) float64 { return shake(x) * math.Min(1, x/0.2) }
}

// Try invents one test.
func Try(seed uint64, way Way) *Case {
	r := rand.New(rand.NewPCG(seed, 0x5eed)) //nolint:gosec // a simulation
	or := func(x *float64, otherwise float64) {
		if *x == 0 {
			*x = otherwise
		}
	}
	or(&way.Noise, 0.5)
	or(&way.Span, 600)
	or(&way.Class, 0.25)
	if way.Bits == 0 {
		way.Bits = 16
	}
	c := &Case{Span: way.Span, Class: way.Class}
	c.Opening = 285 + 80*r.Float64()
	c.From = math.Round((c.Opening-28-15*r.Float64())/5) * 5
	c.To = c.From - math.Round(8+6*r.Float64())*5
	b := &bench{k0: 12500 + 4000*r.Float64(), k1: 8 + 4*r.Float64(), volume: 15 + 40*r.Float64(),
		air: math.Pow(10, -4.5+2*r.Float64()), thick: 0.0008 + 0.0012*r.Float64(), cools: 1.5 + 3*r.Float64(),
		setting: c.Opening}
	if way.Weeps {
		b.weeps = 0.5 * r.Float64()
	}
	leak := 3.2 + 36*r.Float64()*r.Float64()
	middle := (c.From + c.To) / 2
	lost := (c.From - c.To) / leak * b.volume / (b.k0 + b.k1*middle) // cm³/s
	share := 0.0
	if way.Leaky {
		share = 0.2 + 0.5*r.Float64()
	}
	b.gap = lost * (1 - share) / (middle * math.Exp(-b.thick*middle))
	b.hole = lost * share / math.Sqrt(middle)
	b.play(r, way, c)
	c.log(r, way, b)
	return c
}

// play is the test: rest, fill, openings, hold, release.
func (b *bench) play(r *rand.Rand, way Way, c *Case) {
	b.rest(1.2 + 2*r.Float64())
	closing := c.Opening * (0.78 + 0.1*r.Float64())
	scatter := 0.3 + 0.5*r.Float64()
	wanted := 4 + r.IntN(9)
	if way.Few {
		wanted = 2
	}
	rate := 18 + 42*r.Float64() // bar/s of a careful arm near the opening
	if way.Fast {
		rate = 200 + 500*r.Float64()
	}
	rate += 1.5 * (b.gap*c.Opening*math.Exp(-b.thick*c.Opening) + b.hole*math.Sqrt(c.Opening)) * b.k0 / b.volume
	next := c.Opening + math.Abs(r.NormFloat64())*3
	if r.IntN(3) == 0 {
		next += 5 + 20*r.Float64()
	}
	c.First = next
	for c.Openings < wanted && b.t < 120 {
		shape := arms(r)
		long := 0.8 + 0.9*r.Float64()
		near := b.p > 0.72*c.Opening
		speed := 350 + 250*r.Float64()
		if near || way.Fast && b.p > 0.5*c.Opening {
			speed = rate
			long = 1.4 + 1.6*r.Float64()
			if way.Fast {
				long = 0.35 + 0.2*r.Float64()
			}
		}
		b.dt = 0.0005
		began := b.t
		for b.t < began+long && c.Openings < wanted {
			if !near && !way.Fast && b.p > 0.8*c.Opening {
				break // slows down
			}
			before := b.p
			flow := speed * b.volume / b.stiff() * shape((b.t-began)/long)
			b.step(math.Max(flow, 0))
			if b.p < next {
				continue
			}
			ramp := (b.p - before) / b.dt
			if c.Openings > 0 {
				c.Ramp = math.Max(c.Ramp, ramp)
			}
			c.Openings++
			b.pop(r, next, closing+2.5*r.NormFloat64())
			next = c.Opening + scatter*r.NormFloat64()
		}
		b.rest(0.25 + 0.5*r.Float64())
		b.p -= 1.5 * r.Float64() // the check valve seats
	}
	if way.Twice {
		b.pump(r, c.From+3+4*r.Float64())
		b.rest(2 + 2*r.Float64())
	}
	b.pump(r, c.From+(c.Opening-c.From)*(0.3+0.45*r.Float64()))
	b.hold(r, way, c)
	if way.Short {
		return
	}
	b.drop(0, 0.15+0.5*r.Float64())
	b.gap, b.hole, b.heat = 0, 0, 0
	b.rest(0.6 + 2.2*r.Float64())
}

// pop is one opening: it falls in milliseconds and rings in the pipe.
func (b *bench) pop(r *rand.Rand, from, to float64) {
	b.p = from
	b.drop(to, 0.001+0.003*r.Float64())
	b.wave = append(b.wave, ring{b.t, (1 + 5*r.Float64()), 90 + 300*r.Float64(), 0.002 + 0.008*r.Float64()})
	b.dt = 0.0005
}

// pump brings the pressure to p, a little a stroke, from below or from above.
func (b *bench) pump(r *rand.Rand, p float64) {
	if b.p > p {
		b.drop(p-15, 0.3)
	}
	for reached := b.p >= p; !reached; reached = reached || b.p >= p {
		shape, long, began := arms(r), 0.5+0.7*r.Float64(), b.t
		b.dt = 0.0005
		for b.t < began+long && b.p < p {
			b.step(math.Max(0, 45*b.volume/b.stiff()*shape((b.t-began)/long)))
		}
		reached = b.p >= p
		b.rest(0.05)
	}
}

func (b *bench) hold(r *rand.Rand, way Way, c *Case) {
	began, knock := -1.0, c.To+(c.From-c.To)*(0.3+0.4*r.Float64())
	for b.dt = 0.002; b.p > c.To; {
		was := b.p
		b.step(0)
		if was > c.From && b.p <= c.From {
			began = b.t - b.dt*(c.From-b.p)/(was-b.p)
		}
		if was > c.To && b.p <= c.To {
			c.LeakDown = b.t - b.dt*(c.To-b.p)/(was-b.p) - began
		}
		if way.Knocked && was > knock && b.p <= knock {
			b.p += 5 + 5*r.Float64()
			knock = -1
		}
		if way.Short && b.p < (c.From+c.To)/2 {
			return
		}
	}
	if way.Short {
		return
	}
	after := 0.4 + 3*r.Float64()
	for end := b.t + after; b.t < end && b.p > 5; {
		b.step(0)
	}
}

// log is what the sensor and the logger make of it.
func (c *Case) log(r *rand.Rand, way Way, b *bench) {
	limit := way.Class / 100 * way.Span
	gain := limit * (2*r.Float64() - 1) // bar at the opening pressure
	bow := 0.25 * limit * (2*r.Float64() - 1)
	off := 0.15 * limit * (2*r.Float64() - 1)
	wrong := func(p float64) float64 { x := p / c.Opening; return gain*x + bow*x*(1-x) }
	c.Off = wrong(c.Opening)
	end := b.t
	drift, hum := way.Drift*(2*r.Float64()-1), way.Hum*(0.4+0.6*r.Float64())
	mains, phase := []float64{50, 60}[r.IntN(2)]*(1+0.0006*r.NormFloat64()), 6*r.Float64()
	third := 0.3 * r.Float64()
	least := way.Span * 1.1 / math.Exp2(float64(way.Bits))
	// the sensor's own slowness, by samples of half a millisecond
	at := func(t float64) float64 {
		i, found := slices.BinarySearch(b.time, t)
		if !found && i > 0 && i < len(b.time) {
			x := (t - b.time[i-1]) / (b.time[i] - b.time[i-1])
			return b.pressure[i-1] + x*(b.pressure[i]-b.pressure[i-1])
		}
		return b.pressure[min(i, len(b.pressure)-1)]
	}
	if way.Slow > 0 {
		slow := make([]float64, len(b.pressure))
		v := 0.0
		for i, p := range b.pressure {
			step := 0.0005
			if i > 0 {
				step = b.time[i] - b.time[i-1]
			}
			v += (p - v) * (1 - math.Exp(-step*1000/way.Slow))
			slow[i] = v
		}
		b.pressure = slow
	}
	var rows [][2]float64
	every, lost := 1/way.Hz, 0
	for t := every * r.Float64(); t < end; {
		p := at(t)
		if way.Averaged {
			p = 0
			for k := range 8 {
				p += at(math.Max(0, t-every*float64(k)/8)) / 8
			}
		}
		p += wrong(p) + off + drift*t/end + way.Noise*r.NormFloat64()
		p += hum * (math.Sin(2*math.Pi*mains*t+phase) + third*math.Sin(6*math.Pi*mains*t))
		p = math.Round(p/least) * least
		if way.Clip > 0 {
			p = math.Min(p, way.Clip)
		}
		if lost == 0 && r.Float64() < way.Gaps/3 {
			lost = 1
			if r.IntN(4) == 0 {
				lost = 1 + r.IntN(1+int(way.Hz/10))
			}
		}
		if lost > 0 {
			lost--
		} else {
			rows = append(rows, [2]float64{t, p})
		}
		if way.Irregular {
			t += every * (0.5 + r.Float64())
		} else {
			t += every
		}
	}
	c.write(r, way, rows)
}
