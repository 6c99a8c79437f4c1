package uncertainty

import (
	"math"
	"testing"
)

// GUM 5.2.2, example: ten resistors of 1000 Ω, each compared with one standard known to 100 mΩ, in series. The comparison itself adds
// next to nothing, so that the sum is known to 1 Ω; taken as independent it would be 0.32 Ω, "incorrect", as the GUM says.
func TestResistorsOfGUM(t *testing.T) {
	var series, apart Budget
	for range 10 {
		var one Budget
		one.known(0.1, math.Inf(1))
		apart.Plus(&one)
		one.Same("the standard")
		series.Plus(&one)
	}
	near(t, "ten of one standard", must(series.Combine()).Std, 1, 1e-12)
	near(t, "ten standards", must(apart.Combine()).Std, 0.32, 0.005)
}

// reading is one reading of an instrument with a greatest error and marks, that error being its own.
func reading(name string, half, division float64) *Budget {
	var b Budget
	b.Rectangular("error of "+name, half)
	b.Same("error of " + name)
	b.Resolution("division of "+name, division)
	return &b
}

// gauge is one reading of a gauge of 600 bar with 5-bar marks.
func gauge(name string, class float64) *Budget { return reading(name, 6*class, 5) }

// The figures are worked by hand after GUM 4.3.7, F.2.2.1 and 5.2.2: for two gauges u² = 2 (half²/3 + 5²/12), for one gauge twice the
// class cancels (GUM F.1.2.3), for the sum of two readings of one dial gauge it adds straight.
func TestDifferences(t *testing.T) {
	expanded := func(parts ...*Budget) float64 {
		var b Budget
		b.Plus(parts[0])
		for _, p := range parts[1:] {
			b.Minus(p)
		}
		return must(must(b.Combine()).Cover()).U
	}
	near(t, "two gauges of class 1.6", expanded(gauge("A", 1.6), gauge("B", 1.6)), 16, 0.5)
	near(t, "two gauges of class 1.0", expanded(gauge("A", 1), gauge("B", 1)), 11, 0.5)
	near(t, "one gauge twice", expanded(gauge("A", 1.6), gauge("A", 1.6)), 4, 0.1)

	var one, two Budget
	one.Plus(reading("DG", 0.01, 0.01))
	one.Plus(reading("DG", 0.01, 0.01))
	two.Plus(reading("DG-1", 0.01, 0.01))
	two.Plus(reading("DG-2", 0.01, 0.01))
	near(t, "lift and wear, one dial gauge", must(must(one.Combine()).Cover()).U, 0.024, 0.0006)
	near(t, "lift and wear, two dial gauges", must(must(two.Combine()).Cover()).U, 0.018, 0.0006)

	// an error in proportion to what is read cancels only as far as the readings are equal: 4 % of 100 less 4 % of 75
	var share Budget
	for i, shown := range []float64{100, 75} {
		var r Budget
		r.ClassOfReading("wrench", shown, 4)
		r.Same("wrench")
		if i == 0 {
			share.Plus(&r)
		} else {
			share.Minus(&r)
		}
	}
	near(t, "one wrench twice", must(share.Combine()).Std, 1/math.Sqrt(3), 1e-12)
}

// The density of the middle one of 2r+1 values is (2r+1)!/(r!)² (F (1-F))^r φ (David and Nagaraja, Order Statistics, 2.1.6); its variance
// is integrated here, of three it is 1 - √3/π in closed form.
func TestMedianScattersMoreThanTheMean(t *testing.T) {
	near(t, "of three", medianVariance[1], 1-math.Sqrt(3)/math.Pi, 1e-6)
	near(t, "of three, beside the mean", medianOverMean(3), 1.16, 5e-3)
	near(t, "of very many", medianOverMean(10001), math.Sqrt(math.Pi/2), 1e-3)
	for r := range 8 {
		variance, moment, most := 0.0, 0.0, 1.0
		for i := 1; i <= r; i++ {
			most *= float64(r+1+i-1) / float64(i)
		}
		most *= float64(2*r + 1) // (2r+1)!/(r!)²
		const step = 1e-3
		for x := -9.0; x < 9; x += step {
			f := 0.5 * math.Erfc(-x/math.Sqrt2)
			d := most * math.Pow(f*(1-f), float64(r)) * math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) * step
			moment += d
			variance += x * x * d
		}
		near(t, "all of it", moment, 1, 1e-9)
		n := 2*r + 1
		near(t, "variance", medianOverMean(n)*medianOverMean(n)/float64(n), variance, 0.012*variance)
		if r < len(medianVariance) {
			near(t, "variance in the table", medianVariance[r], variance, 1e-6)
		}
		// the lower middle one of an even number, about the true value
		near(t, "of an even number", medianOverMean(n+1)*medianOverMean(n+1)/float64(n+1), variance, 0.012*variance)
	}
}
