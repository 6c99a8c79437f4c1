package drift

import (
	"fmt"
	"math"
)

// Reach says at which x a line meets a value.
type Reach struct {
	At       float64  // where the line itself meets it
	Interval Interval // where it may be; both ends infinite when the data set no finite interval
	// Fieller's g, the squared ratio of the slope's uncertainty to the slope; no finite interval at 1 and above
	G float64
}

// Bounded reports whether there is a finite interval. Where there is none the trend is not clear of none, and At is not
// to be trusted.
func (r Reach) Bounded() bool { return r.G < 1 }

// Reach returns where the line, or one more reading, meets a value y, with its interval at a level such as 0.95: those
// x whose band holds y. It returns [ErrFlat] for a slope of nil.
//
// Source: Fieller's theorem, in the form of inverse prediction in texts on calibration (Graybill & Iyer, Regression
// Analysis).
func (l Line) Reach(y, level float64, of Target) (Reach, error) {
	if err := l.check(level); err != nil {
		return Reach{}, err
	}
	if err := checkNumber("the value to reach", y); err != nil {
		return Reach{}, err
	}
	if l.Slope == 0 {
		return Reach{}, ErrFlat
	}
	t := student(0.5+level/2, l.Freedom)
	r := Reach{
		At:       l.centreX + (y-l.centreY)/l.Slope,
		G:        math.Pow(t*l.SlopeSE/l.Slope, 2),
		Interval: Interval{math.Inf(-1), math.Inf(1)},
	}
	if r.Bounded() {
		c, _ := l.crossings(y, t, of)
		r.Interval = Interval{c.low, c.high}
	}
	return r, nil
}

// crossings are the x at which an edge of a band meets a value. Where the slope is clear of nil the line meets the
// value between them, so that one lies on each edge; else both lie on the same.
type crossings struct {
	low, high float64
	clear     bool
}

// crossings returns where the edges of a band of t standard deviations meet y, if they do.
func (l Line) crossings(y, t float64, of Target) (crossings, bool) {
	d := y - l.centreY
	v := t * t * l.ResidualSD * l.ResidualSD
	// (slope·u - d)² = v·(scatter + u²/sxx), u being the distance from the centre
	a := l.Slope*l.Slope - v/l.sxx
	half := l.Slope * d
	c := d*d - v*l.scatter(of)
	root := v * (a*l.scatter(of) + d*d/l.sxx) // half² - a·c without the difference
	if root < 0 || a == 0 && half == 0 {
		return crossings{}, false
	}
	q := half + math.Copysign(math.Sqrt(root), half) // the larger of the two sums, so that neither root loses digits
	if a == 0 {
		u := c / q
		return crossings{low: l.centreX + u, high: l.centreX + u}, true
	}
	u1, u2 := q/a, 0.0
	if q != 0 {
		u2 = c / q
	}
	return crossings{l.centreX + min(u1, u2), l.centreX + max(u1, u2), a > 0}, true
}

// Side says on which side of a limit the bad values lie.
type Side int

const (
	Above Side = iota // such as a lift, which must not grow over its limit
	Below             // such as an opening pressure, which must not fall under it
)

// Remaining says how much x is left until a limit, counted from now. Infinite where the data set no end.
type Remaining struct {
	Estimate float64 // until the line itself meets the limit
	Earliest float64 // before this the band keeps clear of the limit: the age to plan by
	Latest   float64 // after this the whole band is past it; +Inf where there is no finite interval
	Why      string  // why a number is infinite or nil, in words, or empty
}

// Remaining returns how much is left from now until the limit, for the line or for one more reading. Earliest and
// Latest each hold at the level taken one-sided: at 0.95 one in twenty is earlier than Earliest. Estimate and Earliest
// are nil where the line is past the limit already.
func (l Line) Remaining(now, limit float64, bad Side, level float64, of Target) (Remaining, error) {
	if err := l.check(level); err != nil {
		return Remaining{}, err
	}
	if level <= 0.5 {
		return Remaining{}, fmt.Errorf("level is %v: more than 0.5 is needed", level)
	}
	if err := checkNumber("the present age", now); err != nil {
		return Remaining{}, err
	}
	if err := checkNumber("the limit", limit); err != nil {
		return Remaining{}, err
	}
	if bad == Below { // mirrored, so that below only rising lines and upper limits are thought of
		l.Slope, l.centreY, limit = -l.Slope, -l.centreY, -limit
	}
	t := student(level, l.Freedom)
	left := Remaining{Estimate: math.Inf(1), Earliest: math.Inf(1), Latest: math.Inf(1)}
	switch here := l.At(now); {
	case here >= limit:
		left.Estimate, left.Why = 0, "the line is past the limit already"
	case l.Slope <= 0:
		left.Why = "the trend does not run towards the limit"
	default:
		left.Estimate = l.centreX + (limit-l.centreY)/l.Slope - now
		if t*l.SlopeSE >= l.Slope {
			left.Why = "no finite interval: the trend is not clear of none"
		}
	}
	half := t * l.spread(now, of)
	if l.At(now)+half >= limit {
		left.Earliest = 0
	}
	if l.At(now)-half >= limit {
		left.Latest = 0
	}
	c, ok := l.crossings(limit, t, of)
	if !ok {
		return left, nil
	}
	upper := l.At((c.low+c.high)/2) < limit // the band's upper edge meets the limit while the line is still under it
	for i, x := range []float64{c.low, c.high} {
		if c.clear {
			upper = (i == 0) == (l.Slope > 0)
		}
		if x < now {
			continue
		}
		if upper {
			left.Earliest = math.Min(left.Earliest, x-now)
		} else {
			left.Latest = math.Min(left.Latest, x-now)
		}
	}
	// Where hardly anything scatters the three fall together, and rounding must not put them out of order.
	left.Earliest = math.Min(left.Earliest, left.Estimate)
	left.Latest = math.Max(left.Latest, left.Estimate)
	return left, nil
}
