// Package uncertainty works out how far a measurement may be trusted, and what it therefore shows against a limit.
//
// It knows the rules of the Guide to the expression of uncertainty in measurement (JCGM 100:2008, here GUM) and the
// decision rules of ISO 14253-1 and JCGM 106:2012; it knows no instruments, limits files or records. Everything is a
// bare number in the unit of the measured quantity, and one unit throughout. Bad input is an error, never a
// not-a-number. Nothing keeps state between calls; a [Budget] belongs to one goroutine while it is filled.
//
// Begin with a [Budget], combine and expand it, and let a [Limit] judge the value.
package uncertainty

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Component is one source of uncertainty, ready to be printed as a line of the working.
type Component struct {
	Name    string  // what it comes from, such as "gauge class"
	Std     float64 // standard uncertainty, in the unit of the measured quantity, never below zero
	Common  string  // the error that it is, the same in every component of that name; empty where it is independent
	sign    float64 // +1 where the reading adds to the result, -1 where it is taken from it
	freedom float64 // degrees of freedom; +Inf where nothing is estimated from a few readings
	form    string  // of the working
	numbers [3]float64
}

// Working is how Std came about, such as "6 / √3". It is put into words when asked for: of ten thousand budgets a
// handful are read.
func (c Component) Working() string {
	var args []any
	for _, x := range c.numbers[:strings.Count(strings.ReplaceAll(c.form, "%%", ""), "%")] {
		args = append(args, x)
	}
	return fmt.Sprintf(c.form, args...)
}

// Budget gathers the components of one measurement's uncertainty. The zero value is empty and ready. A bad number given
// to any method is kept and reported by [Budget.Combine], so that a budget is written down in one go.
type Budget struct {
	components []Component
	err        error
}

// Rectangular adds a source that may lie anywhere within ± half with equal chance. Source: GUM 4.3.7, half / √3.
func (b *Budget) Rectangular(name string, half float64) {
	b.add(name, half/math.Sqrt(3), "%.4g / √3", half)
}

// Known adds a source whose standard uncertainty is known, such as that of a correction in a certificate. Source: GUM
// 4.3.3.
func (b *Budget) Known(name string, std float64) { b.add(name, std, "%.4g", std) }

// Resolution adds the rounding to the nearest mark or digit, for a division of the scale. Source: GUM F.2.2.1, division
// / (2 √3).
func (b *Budget) Resolution(name string, division float64) {
	b.add(name, division/(2*math.Sqrt(3)), "%.4g / (2 √3)", division)
}

// ClassOfSpan adds an instrument whose class is its greatest error in percent of the whole span, as EN 837-1 defines
// the classes of pressure gauges, taken as rectangular.
func (b *Budget) ClassOfSpan(name string, span, classPercent float64) {
	half := span * classPercent / 100
	b.add(name, half/math.Sqrt(3), "%.4g %% of %.4g = %.4g, / √3", classPercent, span, half)
}

// ClassOfReading adds an instrument whose class is in percent of what it shows, as for torque wrenches, taken as
// rectangular.
func (b *Budget) ClassOfReading(name string, reading, classPercent float64) {
	half := math.Abs(reading) * classPercent / 100
	b.add(name, half/math.Sqrt(3), "%.4g %% of %.4g = %.4g, / √3", classPercent, reading, half)
}

// Median adds the uncertainty of the middle one of these readings (of an even number, the lower of the two in the
// middle) from their own scatter: their deviation over √n, times what the median of so many scatters more than their
// mean, with n - 1 degrees of freedom. At least two are needed. Readings that all show the same mark give nil: then the
// resolution, a component of its own that no repeating makes smaller, is what is left. Source: GUM 4.2.2 and 4.2.3;
// [medianOverMean] for the median.
func (b *Budget) Median(name string, readings ...float64) {
	n := len(readings)
	if n < 2 {
		b.fail(fmt.Errorf("%s: %d reading: scatter needs at least two", name, n))
		return
	}
	mean := 0.0
	for _, r := range readings {
		mean += r / float64(n)
	}
	sum := 0.0
	for _, r := range readings {
		sum += (r - mean) * (r - mean)
	}
	b.Scatter(name, math.Sqrt(sum/float64(n-1)), n, medianOverMean(n))
}

// Scatter adds what is known from the deviation of n values, times as much as the result scatters more than their mean;
// with n - 1 degrees of freedom. Source: GUM 4.2.3.
func (b *Budget) Scatter(name string, deviation float64, n int, more float64) {
	b.add(name, more*deviation/math.Sqrt(float64(n)), "%.4g / √%.0f × %.3g", deviation, float64(n), more)
	if b.err == nil {
		b.components[len(b.components)-1].freedom = float64(n - 1)
	}
}

// medianVariance is the variance of the median of 1, 3, 5, 7 and 9 values of a normal distribution with variance 1; of
// three it is 1 - √3/π. Source: David and Nagaraja, Order Statistics; the test integrates it again.
var medianVariance = [...]float64{1, 0.448671, 0.286834, 0.210447, 0.166101}

// medianOverMean is by how much the booked median of n readings scatters more than their mean. The lower one of the two
// in the middle of an even number is as far from the true value, squared and on average, as the median of one reading
// fewer.
func medianOverMean(n int) float64 {
	odd := n - (n+1)%2
	if i := odd / 2; i < len(medianVariance) {
		return math.Sqrt(float64(n) * medianVariance[i])
	}
	return math.Sqrt(float64(n) * math.Pi / 2 / (float64(odd) + math.Pi/2 - 1))
}

// Same says that the component added last is one error of which every reading with that instrument has its share, such
// as the unknown error of a scale within its class: taken twice it adds up straight, and in a difference it cancels as
// far as it is equal. Where a certificate does not part what is the same from what is not, that is the bound. Source:
// GUM 5.2.4 and F.1.2.3, with a correlation coefficient of 1.
func (b *Budget) Same(cause string) {
	if n := len(b.components); n > 0 {
		b.components[n-1].Common = cause
	}
}

// Plus takes in the budget of a reading that adds to the result, Minus that of one which is taken from it.
func (b *Budget) Plus(reading *Budget) { b.take(reading, 1) }

// Minus is described with [Budget.Plus].
func (b *Budget) Minus(reading *Budget) { b.take(reading, -1) }

func (b *Budget) take(reading *Budget, sign float64) {
	b.err = errors.Join(b.err, reading.err)
	for _, c := range reading.components {
		c.sign *= sign
		b.components = append(b.components, c)
	}
}

func (b *Budget) add(name string, std float64, form string, numbers ...float64) {
	if !(std >= 0) || math.IsInf(std, 1) {
		b.fail(fmt.Errorf("%s: standard uncertainty is %v: not a number that can be", name, std))
		return
	}
	c := Component{Name: name, Std: std, sign: 1, freedom: math.Inf(1), form: form}
	copy(c.numbers[:], numbers)
	b.components = append(b.components, c)
}

func (b *Budget) fail(err error) { b.err = errors.Join(b.err, err) }
