package doubt

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
	Freedom    float64     // effective degrees of freedom; +Inf where all components are exactly known
	Components []Component // as they were added; read only
}

// Combine adds the components in quadrature and works out the effective degrees of freedom. It returns an error that names every bad
// number given to the budget, or says that the budget is empty: no known uncertainty is not the same as none.
//
// Source: GUM 5.1.2 for independent components, GUM G.4.1 (Welch-Satterthwaite) for the degrees of freedom.
func (b *Budget) Combine() (Combined, error) {
	if b.err != nil {
		return Combined{}, fmt.Errorf("cannot combine the uncertainties: %w", b.err)
	}
	if len(b.components) == 0 {
		return Combined{}, errors.New("cannot combine the uncertainties: none were given")
	}
	largest := 0.0
	for _, c := range b.components {
		largest = math.Max(largest, c.Std)
	}
	if largest == 0 {
		return Combined{Freedom: math.Inf(1), Components: b.components}, nil
	}
	// Relative to the largest component, so that fourth powers of very small or large units stay in range.
	square, spread := 0.0, 0.0
	for _, c := range b.components {
		r := c.Std / largest
		square += r * r
		spread += r * r * r * r / c.Freedom
	}
	return Combined{Std: largest * math.Sqrt(square), Freedom: square * square / spread, Components: b.components}, nil
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
	return fmt.Sprintf("±%s (k = %s)", withUnit(twoDigits(u.U), unit), strconv.FormatFloat(math.Round(u.K*100)/100, 'f', -1, 64))
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

// Expand returns the expanded uncertainty for a coverage factor, 2 by custom. Source: GUM 6.2.1.
func (c Combined) Expand(k float64) (Uncertainty, error) {
	if !(k > 0) || math.IsInf(k, 1) {
		return Uncertainty{}, fmt.Errorf("coverage factor is %v: a number above zero is needed, 2 by custom", k)
	}
	return Uncertainty{U: c.Std * k, K: k, Std: c.Std}, nil
}

// ExpandTo returns the expanded uncertainty that covers the true value with a probability, such as 0.95, by Student's t.
// Source: GUM G.4 with the degrees of freedom cut to the next lower whole number.
func (c Combined) ExpandTo(probability float64) (Uncertainty, error) {
	k, err := CoverageFactor(probability, c.Freedom)
	if err != nil {
		return Uncertainty{}, err
	}
	return c.Expand(k)
}

// CoverageFactor returns Student's t that covers a two-sided probability for degrees of freedom, which are cut to the next lower whole
// number as GUM G.4.1 does; +Inf gives the normal distribution. Fewer than one degree of freedom is an error: nothing is then known.
func CoverageFactor(probability, freedom float64) (float64, error) {
	if !(probability > 0 && probability < 1) {
		return 0, fmt.Errorf("coverage probability is %v: between 0 and 1 is needed", probability)
	}
	if !(freedom >= 1) {
		return 0, fmt.Errorf("%v degrees of freedom: at least 1 is needed", freedom)
	}
	upper := 0.5 + probability/2
	if freedom > 1e7 { // from here on t and normal agree to more digits than a page prints
		return distuv.UnitNormal.Quantile(upper), nil
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Floor(freedom)}.Quantile(upper), nil
}
