package drift

import "math"

// Line is a straight line fitted by least squares. Make one with [Fit].
type Line struct {
	N           int     // points
	Intercept   float64 // y at x = 0
	Slope       float64 // y per x
	InterceptSE float64 // standard error of the intercept
	SlopeSE     float64 // standard error of the slope
	Covariance  float64 // of intercept and slope
	ResidualSD  float64 // standard deviation of a point about the line
	SSE         float64 // sum of squared residuals
	Freedom     float64 // degrees of freedom of ResidualSD
	R2          float64 // share of the spread of y that the line explains; 0 where y has no spread
	F           float64 // F statistic of the slope; +Inf where all points lie on the line, 0 where y has no spread

	centreX, centreY float64 // the point the line turns about
	sxx              float64 // spread of x about it
	perPoint         float64 // 1/n: variance of the line at its centre over ResidualSD²
}

// Fit fits a line to at least three points at two ages or more. The errors wrap [ErrTooFew] or [ErrOneAge].
//
// Source: ordinary least squares, in deviations from the means so that a long run of hours costs no digits.
func Fit(x, y []float64) (Line, error) {
	if err := checkPairs(x, y, 3); err != nil {
		return Line{}, err
	}
	l := Line{N: len(x), Freedom: float64(len(x) - 2), centreX: mean(x), centreY: mean(y), perPoint: 1 / float64(len(x))}
	var sxy, syy float64
	for i := range x {
		dx, dy := x[i]-l.centreX, y[i]-l.centreY
		l.sxx += dx * dx
		sxy += dx * dy
		syy += dy * dy
	}
	if l.sxx <= 1e-24*l.centreX*l.centreX {
		return Line{}, ErrOneAge
	}
	if syy <= 1e-24*l.centreY*l.centreY { // what rounding leaves of equal values is no trend
		l.Intercept = l.centreY
		return l, nil
	}
	l.Slope = sxy / l.sxx
	l.Intercept = l.centreY - l.Slope*l.centreX
	for i := range x {
		r := (y[i] - l.centreY) - l.Slope*(x[i]-l.centreX)
		l.SSE += r * r
	}
	variance := l.SSE / l.Freedom
	l.ResidualSD = math.Sqrt(variance)
	l.SlopeSE = math.Sqrt(variance / l.sxx)
	l.InterceptSE = math.Sqrt(variance * (l.perPoint + l.centreX*l.centreX/l.sxx))
	l.Covariance = -variance * l.centreX / l.sxx
	l.R2 = 1 - l.SSE/syy
	l.F = l.Slope * l.Slope * l.sxx / variance
	return l, nil
}

// At returns the line's y at x.
func (l Line) At(x float64) float64 { return l.centreY + l.Slope*(x-l.centreX) }

// SlopeP returns the chance of a slope at least so far from nil if there were no trend (two-sided, Student's t).
func (l Line) SlopeP() float64 {
	if l.Slope == 0 {
		return 1
	}
	return studentTwoSided(l.Slope/l.SlopeSE, l.Freedom)
}

// Interval is a lower and an upper end with what lies between them. An end that the data do not set is infinite.
type Interval struct{ Low, High float64 }

// SlopeInterval returns the confidence interval of the slope at a level such as 0.95.
func (l Line) SlopeInterval(level float64) (Interval, error) {
	if err := l.check(level); err != nil {
		return Interval{}, err
	}
	half := student(0.5+level/2, l.Freedom) * l.SlopeSE
	return Interval{l.Slope - half, l.Slope + half}, nil
}

// Target says what a band is for.
type Target int

const (
	Mean    Target = iota // where the line itself lies
	Reading               // where one more reading may fall: the line's doubt and the scatter of a reading
)

// Band returns the interval at x for the line itself or for one more reading, at a level such as 0.95.
//
// Source: any text on regression; y ± t·s·√(m + 1/n + (x-x̄)²/Sxx), m being 0 for the line and 1 for a reading.
func (l Line) Band(x, level float64, of Target) (Interval, error) {
	if err := l.check(level); err != nil {
		return Interval{}, err
	}
	if err := checkNumber("x", x); err != nil {
		return Interval{}, err
	}
	half := student(0.5+level/2, l.Freedom) * l.spread(x, of)
	return Interval{l.At(x) - half, l.At(x) + half}, nil
}

// spread is the standard deviation of the target about the fitted line at x.
func (l Line) spread(x float64, of Target) float64 {
	d := x - l.centreX
	return l.ResidualSD * math.Sqrt(l.scatter(of)+d*d/l.sxx)
}

func (l Line) scatter(of Target) float64 {
	if of == Reading {
		return l.perPoint + 1
	}
	return l.perPoint
}

func (l Line) check(level float64) error {
	if l.sxx == 0 {
		return ErrTooFew
	}
	return checkLevel(level)
}

// MeanOf returns the mean of at least three values with its confidence interval at a level such as 0.95, for values
// that scatter normally about it. The error wraps [ErrTooFew].
//
// Source: Student 1908, Biometrika 6, 1.
func MeanOf(values []float64, level float64) (m float64, in Interval, err error) {
	if err := checkPairs(values, values, 3); err != nil {
		return 0, Interval{}, err
	}
	if err := checkLevel(level); err != nil {
		return 0, Interval{}, err
	}
	m = mean(values)
	n, squares := float64(len(values)), 0.0
	for _, v := range values {
		squares += (v - m) * (v - m)
	}
	half := student(0.5+level/2, n-1) * math.Sqrt(squares/(n-1)/n)
	return m, Interval{m - half, m + half}, nil
}
