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

// Readings adds the uncertainty of the mean of these readings from their own scatter: their deviation over √n, with n -
// 1 degrees of freedom. At least two are needed. Readings that all show the same mark give nil: then the resolution, a
// component of its own, is what is left. Source: GUM 4.2.2 and 4.2.3.
func (b *Budget) Readings(name string, readings ...float64) {
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
	deviation := math.Sqrt(sum / float64(n-1))
	b.add(name, deviation/math.Sqrt(float64(n)), "%.4g / √%.0f", deviation, float64(n))
	if b.err == nil {
		b.components[len(b.components)-1].freedom = float64(n - 1)
	}
}

func (b *Budget) add(name string, std float64, form string, numbers ...float64) {
	if !(std >= 0) || math.IsInf(std, 1) {
		b.fail(fmt.Errorf("%s: standard uncertainty is %v: not a number that can be", name, std))
		return
	}
	c := Component{Name: name, Std: std, freedom: math.Inf(1), form: form}
	copy(c.numbers[:], numbers)
	b.components = append(b.components, c)
}

func (b *Budget) fail(err error) { b.err = errors.Join(b.err, err) }
