package uncertainty

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"
)

// Combined is a budget added up.
type Combined struct {
	Std        float64     // combined standard uncertainty
	Freedom    float64     // effective degrees of freedom; +Inf where no readings scatter
	Components []Component // as they were added; read only
}

// Combine adds the components in quadrature, those that are the same error first among themselves with their signs, and
// works out the effective degrees of freedom. It returns an error that names every bad number given to the budget, or
// says that the budget is empty: no known uncertainty is not the same as none.
//
// Source: GUM 5.1.2 for independent components, 5.2.2 (equation 16) with r = 1 for those that are the same error, G.4.1
// (Welch-Satterthwaite) for the degrees of freedom.
func (b *Budget) Combine() (Combined, error) {
	if b.err != nil {
		return Combined{}, fmt.Errorf("cannot combine the uncertainties: %w", b.err)
	}
	if len(b.components) == 0 {
		return Combined{}, errors.New("cannot combine the uncertainties: none were given")
	}
	std := 0.0
	for i := range b.components {
		std = math.Hypot(std, b.together(i))
	}
	spread := 0.0 // of fourth powers relative to the sum, so that those of very small or large units stay in range
	for i, c := range b.components {
		spread += math.Pow(b.together(i)/max(std, math.SmallestNonzeroFloat64), 4) / c.freedom
	}
	return Combined{Std: std, Freedom: 1 / spread, Components: b.components}, nil
}

// together is what a component and all that are the same error make; 0 where an earlier one has counted it.
func (b *Budget) together(at int) float64 {
	c := b.components[at]
	if c.Common == "" {
		return c.Std
	}
	sum := 0.0
	for i, other := range b.components {
		if other.Common != c.Common {
			continue
		}
		if i < at {
			return 0
		}
		sum += other.sign * other.Std
	}
	return math.Abs(sum)
}

// Uncertainty is an expanded uncertainty: what is printed after ±, with its coverage factor.
type Uncertainty struct {
	U   float64 // expanded uncertainty, Std times K
	K   float64 // coverage factor
	Std float64 // combined standard uncertainty
}

// Text returns the uncertainty as it is printed beside a value, with two significant digits and its coverage factor:
// "±7.6 bar (k = 2)". Source: GUM 7.2.6 for the digits.
func (u Uncertainty) Text(unit string) string {
	return fmt.Sprintf("±%s (k = %s)", withUnit(twoDigits(u.U), unit), strconv.FormatFloat(math.Round(u.K*100)/100, 'f',
		-1, 64))
}

func withUnit(number, unit string) string {
	if unit == "" {
		return number
	}
	return number + " " + unit
}

// twoDigits writes a number with two significant digits and no exponent.
func twoDigits(x float64) string {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	places := 1 - int(math.Floor(math.Log10(math.Abs(x))))
	if places >= 0 {
		return strconv.FormatFloat(x, 'f', places, 64)
	}
	step := math.Pow10(-places)
	return strconv.FormatFloat(math.Round(x/step)*step, 'f', 0, 64)
}

// Cover returns the expanded uncertainty that covers the true value with a chance of about 95 %: k = 2, by custom, and
// Student's t where the scatter of a few readings, which say little about their own scatter, makes up so much of it
// that no more than ten effective degrees of freedom are left.
//
// Source: GUM G.6.6 for k = 2 above ten, G.4.1 and Table G.2, 95.45 %, for the rest, the degrees cut to the whole
// number below.
func (c Combined) Cover() (Uncertainty, error) {
	if c.Freedom > 10 {
		return c.Expand(2)
	}
	return c.Expand(student(c.Freedom))
}

// student returns the two-sided 95.45 % of Student's t.
func student(freedom float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: max(1, math.Floor(freedom))}.Quantile(distuv.UnitNormal.CDF(2))
}

// Expand returns the expanded uncertainty for a coverage factor. Source: GUM 6.2.1.
func (c Combined) Expand(k float64) (Uncertainty, error) {
	if !(k > 0) || math.IsInf(k, 1) {
		return Uncertainty{}, fmt.Errorf("coverage factor is %v: a number above zero is needed, 2 by custom", k)
	}
	return Uncertainty{U: c.Std * k, K: k, Std: c.Std}, nil
}
