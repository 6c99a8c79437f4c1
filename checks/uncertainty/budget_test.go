package uncertainty

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Not needed and so not tested: the relative guard band of JCGM 106's speed example, since limits here are absolute. The thermometer
// of GUM H.3 is a line fit and stands with the fits.

// GUM 4.3.7 (rectangular), F.2.2.1 (resolution). Rules from memory, agreeing with a published uncertainty library; values run.
func TestStandardUncertaintyFromBounds(t *testing.T) {
	for _, r := range []struct {
		name string
		add  func(*Budget)
		want float64
	}{
		{"rectangular", func(b *Budget) { b.Rectangular("x", 0.5) }, 0.288675134594813},
		{"resolution", func(b *Budget) { b.Resolution("x", 1) }, 0.288675134594813},
	} {
		var b Budget
		r.add(&b)
		near(t, r.name, must(b.Combine()).Std, r.want, 1e-14)
	}
}

// known adds a standard uncertainty that a worked example states, with its degrees of freedom.
func (b *Budget) known(u, freedom float64) {
	b.add("known", u, "%.4g", u)
	b.components[len(b.components)-1].freedom = freedom
}

// JCGM 100 (GUM) H.1 end gauge, first order, inputs and printed components as in two published uncertainty packages; the GUM prints
// 32 nm and cuts 16.75 degrees of freedom to 16, from rounded inputs. The further digits were run.
func TestEndGaugeOfGUM(t *testing.T) {
	var d Budget // difference measured with the comparator: repeatability, random and systematic effects
	d.known(5.8, 24)
	d.known(3.9, 5)
	d.known(6.7, 8)
	difference := must(d.Combine())
	near(t, "degrees of freedom of the difference", difference.Freedom, 25.4472507774, 1e-8)

	var b Budget
	b.known(25, 18) // the standard's certificate
	b.known(difference.Std, difference.Freedom)
	length := 50000623.0
	b.Rectangular("expansion coefficients' difference", length*0.1*1e-6) // times the deviation from 20 °C, 0.1 K
	b.components[2].freedom = 50
	b.Rectangular("temperatures' difference", length*11.5e-6*0.05)
	b.components[3].freedom = 2
	total := must(b.Combine())
	near(t, "third component", total.Components[2].Std, 2.88679, 1e-5)
	near(t, "fourth component", total.Components[3].Std, 16.599, 1e-3)
	near(t, "combined", total.Std, 31.663879111, 1e-6)
	near(t, "combined as printed", total.Std, 32, 0.5)
	near(t, "effective degrees of freedom", total.Freedom, 16.7518557376, 1e-8)
}

// GUM Table G.2, column 95.45 %, from memory to its two digits.
func TestCoverageFactors(t *testing.T) {
	for _, r := range []struct{ freedom, k float64 }{{1, 13.97}, {2, 4.53}, {2.9, 4.53}, {3, 3.31}, {5, 2.65}, {8, 2.37}, {10, 2.28}} {
		near(t, "t", student(r.freedom), r.k, 5e-3)
	}
}

// Three readings far apart decide the uncertainty almost alone: k is then that of two degrees of freedom and not 2. GUM G.6.6: above ten it is.
func TestFewReadingsSayLittleOfTheirScatter(t *testing.T) {
	for _, r := range []struct {
		readings []float64
		k        string
	}{
		{[]float64{290, 320, 350}, "±92 bar (k = 4.53)"}, // u 20.4 of which 20.1 by scatter: two degrees
		{[]float64{312, 320, 328}, "±18 bar (k = 2.87)"}, // u 6.41, 5.36 by scatter: 2 (6.41 / 5.36)⁴ = 4.1 degrees
		{[]float64{318, 320, 322}, "±7.5 bar (k = 2)"},   // u 3.76, 1.34 by scatter: 124 degrees
		{[]float64{320, 320, 320}, "±7.0 bar (k = 2)"},
	} {
		var b Budget
		b.ClassOfSpan("gauge class", 600, 1.0)
		b.Resolution("reading", 2)
		b.Median("repeatability", r.readings...)
		if got := must(must(b.Combine()).Cover()).Text("bar"); got != r.k {
			t.Errorf("%v: %s, want %s", r.readings, got, r.k)
		}
	}
}

// Constructed test gauge of 600 bar, class 1.0 of EN 837-1 (class seen, one per cent of span), 5 bar divisions read to the half,
// three readings that scatter by 1.2 bar about their mean; run, the scatter times the 1.1602 of a median of three.
func TestTestGaugeBudget(t *testing.T) {
	var b Budget
	b.ClassOfSpan("gauge class", 600, 1.0)
	b.Resolution("reading", 5)
	b.Median("repeatability", 318.8, 320, 321.2)
	c := must(b.Combine())
	for i, want := range []float64{3.46410161514, 1.44337567297, 0.8037948992125} {
		near(t, c.Components[i].Name, c.Components[i].Std, want, 1e-10)
	}
	near(t, "combined", c.Std, 3.837892595336, 1e-10)
	u := must(c.Expand(2))
	near(t, "U", u.U, 7.675785190672, 1e-10)
	if got, want := u.Text("bar"), "±7.7 bar (k = 2)"; got != want {
		t.Errorf("printed %q, want %q", got, want)
	}
	if got, want := c.Components[0].Working(), "1 % of 600 = 6, / √3"; got != want {
		t.Errorf("working %q, want %q", got, want)
	}
}

// EN 837-1: a gauge of 0 to 10 bar and class 1.6 may err by 0.16 bar, one of -1 to 5 bar and class 1.0 by 0.06 bar (seen).
func TestClassIsOfTheSpan(t *testing.T) {
	for _, r := range []struct{ span, class, err float64 }{{10, 1.6, 0.16}, {5 - -1, 1.0, 0.06}} {
		var b Budget
		b.ClassOfSpan("gauge class", r.span, r.class)
		near(t, "greatest error", must(b.Combine()).Std*math.Sqrt(3), r.err, 1e-12)
	}
}

// Common practice, no source: the order of components does not matter, none makes the total smaller than itself, and scale goes through.
func TestQuadrature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		us := rapid.SliceOfN(rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-3, 100)), 1, 6).Draw(t, "u")
		scale := math.Pow(10, rapid.Float64Range(-80, 80).Draw(t, "scale"))
		var forward, backward, scaled Budget
		for i, u := range us {
			forward.known(u, float64(i+1))
			scaled.known(u*scale, float64(i+1))
			backward.known(us[len(us)-1-i], float64(len(us)-i))
		}
		f, b, s := must(forward.Combine()), must(backward.Combine()), must(scaled.Combine())
		if math.Abs(f.Std-b.Std) > 1e-9 || math.Abs(s.Std/scale-f.Std) > 1e-9*f.Std {
			t.Errorf("%v, %v, %v", f.Std, b.Std, s.Std/scale)
		}
		for i, u := range us {
			if f.Std < u*(1-1e-12) {
				t.Errorf("total %v is smaller than component %d, %v", f.Std, i, u)
			}
		}
		if f.Std > 0 && !(f.Freedom >= 1-1e-9 && f.Freedom <= float64(len(us)*(len(us)+1)/2)+1e-9) {
			t.Errorf("degrees of freedom %v of %v", f.Freedom, us)
		}
	})
}

func TestBudgetRefusesNonsense(t *testing.T) {
	for name, add := range map[string]func(*Budget){
		"nothing":              func(*Budget) {},
		"class not a number":   func(b *Budget) { b.ClassOfSpan("class", 600, math.NaN()) },
		"division below zero":  func(b *Budget) { b.Resolution("division", -5) },
		"infinite half width":  func(b *Budget) { b.Rectangular("half", math.Inf(1)) },
		"one reading":          func(b *Budget) { b.Median("readings", 320) },
		"reading not a number": func(b *Budget) { b.Median("readings", 320, math.NaN()) },
	} {
		var b Budget
		add(&b)
		if c, err := b.Combine(); err == nil {
			t.Errorf("%s was accepted and gave %v", name, c)
		}
	}
	var fine Budget
	fine.known(1, 9)
	for _, k := range []float64{0, -2, math.NaN(), math.Inf(1)} {
		if u, err := must(fine.Combine()).Expand(k); err == nil {
			t.Errorf("a coverage factor of %v was accepted and gave %v", k, u)
		}
	}
}

// Readings that agree say nothing about scatter; the resolution then carries the uncertainty. Common practice, no source.
func TestAgreeingReadings(t *testing.T) {
	var b Budget
	b.Median("readings", 320, 320, 320)
	if c := must(b.Combine()); c.Std != 0 {
		t.Errorf("three equal readings give %v", c.Std)
	}
	var w Budget
	w.Median("readings", 300, 300, 305)
	near(t, "median of 300, 300, 305", must(w.Combine()).Std, 5.0/3*1.1602, 1e-3) // a mean would be known to 5/3
}

func TestTwoDigits(t *testing.T) {
	for x, want := range map[float64]string{13.2: "13", 7.632: "7.6", 0.0156: "0.016", 132: "130", 0: "0", 0.98: "0.98", 1.0: "1.0"} {
		if got := twoDigits(x); got != want {
			t.Errorf("twoDigits(%v) = %q, want %q", x, got, want)
		}
	}
}
