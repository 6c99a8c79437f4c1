package drift

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"needlebook/checks/internal/referee"
	_ "needlebook/example-vessel/invent/draw"
)

// near fails the test unless got is within a relative tolerance of want.
func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Max(math.Abs(want), 1e-300)) {
		t.Errorf("%s = %.15g, want %.15g within %g of it", what, got, want, rel)
	}
}

// must unwraps a value whose error would be a fault of the test.
func must[T any](v T, err error) T {
	if err != nil {
		panic("drift test: " + err.Error())
	}
	return v
}

// columns reads two named columns of a file in testdata.
func columns(t *testing.T, file, xName, yName string) (x, y []float64) {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows := must(csv.NewReader(f).ReadAll())
	for _, row := range rows[1:] {
		for i, name := range rows[0] {
			switch v := must(strconv.ParseFloat(row[i], 64)); name {
			case xName:
				x = append(x, v)
			case yName:
				y = append(y, v)
			}
		}
	}
	if len(x) == 0 || len(x) != len(y) {
		t.Fatalf("%s: %d of %s, %d of %s", file, len(x), xName, len(y), yName)
	}
	return x, y
}

// NIST StRD Norris, certified values.
func TestNorris(t *testing.T) {
	x, y := columns(t, "nist-strd-norris.csv", "x", "y")
	l := must(Fit(x, y))
	near(t, "B0", l.Intercept, -0.262323073774029, 1e-10)
	near(t, "sd of B0", l.InterceptSE, 0.232818234301152, 1e-10)
	near(t, "B1", l.Slope, 1.00211681802045, 1e-10)
	near(t, "sd of B1", l.SlopeSE, 0.429796848199937e-03, 1e-10)
	near(t, "residual sd", l.ResidualSD, 0.884796396144373, 1e-10)
	near(t, "R²", l.R2, 0.999993745883712, 1e-10)
	near(t, "F", l.F, 5436385.54079785, 1e-10)
	near(t, "SSE", l.SSE, 26.6173985294224, 1e-10)

	// Intervals: R 4.2.2, predict.lm on the same data.
	for _, r := range []struct{ x, fit, ciLow, ciHigh, piLow, piHigh float64 }{
		{500, 500.796085936, 500.488196472, 501.103975401, 498.971794054, 502.620377819},
		{1000, 1001.85449495, 1001.26526965, 1002.44372024, 999.962292157, 1003.74669774},
	} {
		near(t, "fit", l.At(r.x), r.fit, 1e-9)
		ci, pi := must(l.Band(r.x, 0.95, Mean)), must(l.Band(r.x, 0.95, Reading))
		near(t, "confidence, low", ci.Low, r.ciLow, 1e-9)
		near(t, "confidence, high", ci.High, r.ciHigh, 1e-9)
		near(t, "prediction, low", pi.Low, r.piLow, 1e-9)
		near(t, "prediction, high", pi.High, r.piHigh, 1e-9)
	}
}

// The straight line through the 40 rows of NIST StRD Pontius, R lm; NIST's own certified model is quadratic.
func TestLineThroughPontius(t *testing.T) {
	x, y := columns(t, "nist-strd-pontius.csv", "x", "y")
	l := must(Fit(x, y))
	near(t, "a", l.Intercept, 0.00614968421052579, 1e-9)
	near(t, "se of a", l.InterceptSE, 0.000713205167465644, 1e-9)
	near(t, "b", l.Slope, 7.22102581453634e-07, 1e-9)
	near(t, "se of b", l.SlopeSE, 3.96914780404442e-10, 1e-9)
	near(t, "s", l.ResidualSD, 0.00217127259605685, 1e-9)
	near(t, "R²", l.R2, 0.999988519115219, 1e-9)
}

// Moore & McCabe, Introduction to the Practice of Statistics, example 10.3, as in a published regression library's tests, "verified
// against R".
func TestSlopeInferenceOfMooreMcCabe(t *testing.T) {
	x := []float64{15.6, 26.8, 37.8, 36.4, 35.5, 18.6, 15.3, 7.9, 0}
	y := []float64{5.2, 6.1, 8.7, 8.5, 8.8, 4.9, 4.5, 2.5, 1.1}
	l := must(Fit(x, y))
	near(t, "slope", l.Slope, 0.202211513692196, 1e-8)
	near(t, "se of slope", l.SlopeSE, 0.0114484909856135, 1e-8)
	near(t, "intercept", l.Intercept, 1.232354166120359, 1e-8)
	near(t, "se of intercept", l.InterceptSE, 0.2860369318124805, 1e-8)
	near(t, "p", l.SlopeP(), 4.596035792e-07, 1e-8)
	ci := must(l.SlopeInterval(0.95))
	near(t, "half-width", (ci.High-ci.Low)/2, 0.0270713794287, 1e-8)
}

// R datasets::cars, dist on speed, at speed 21.
func TestCars(t *testing.T) {
	x := []float64{4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15, 15, 15, 16, 16, 17, 17, 17, 18,
		18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25}
	y := []float64{2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20, 26, 54, 32, 40, 32, 40, 50,
		42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85}
	l := must(Fit(x, y))
	ci, pi := must(l.Band(21, 0.95, Mean)), must(l.Band(21, 0.95, Reading))
	near(t, "fit", l.At(21), 65.0014890510949, 1e-9)
	near(t, "confidence, low", ci.Low, 58.5973837846972, 1e-9)
	near(t, "confidence, high", ci.High, 71.4055943174926, 1e-9)
	near(t, "prediction, low", pi.Low, 33.4225736404645, 1e-9)
	near(t, "prediction, high", pi.High, 96.5804044617253, 1e-9)
	near(t, "s", l.ResidualSD, 15.3795867488199, 1e-9)
}

// JCGM 100 (GUM) annex H.3, thermometer: it prints -0.1712(29), 0.00218(67), correlation -0.93 and -0.1494(41) at 30 °C. The further
// digits were run.
func TestThermometerOfGUM(t *testing.T) {
	x, y := columns(t, "gum-h3.csv", "t_C", "b_C")
	for i := range x {
		x[i] -= 20
	}
	l := must(Fit(x, y))
	near(t, "y1", l.Intercept, -0.171203790131, 1e-9)
	near(t, "y2", l.Slope, 0.00218269773989, 1e-9)
	near(t, "s(y1)", l.InterceptSE, 0.00287759783516, 1e-9)
	near(t, "s(y2)", l.SlopeSE, 0.000667938773228, 1e-9)
	near(t, "r", l.Covariance/l.InterceptSE/l.SlopeSE, -0.930429603093, 1e-9)
	near(t, "SSR", l.SSE, 0.000110096583109, 1e-9)
	near(t, "s", l.ResidualSD, 0.00349756396351, 1e-9)
	near(t, "b(30)", l.At(10), -0.149376812732, 1e-9)
	near(t, "u of b(30)", l.spread(10, Mean), 0.00413859575285, 1e-9)
	near(t, "degrees of freedom", l.Freedom, 9, 0)
}

// Common practice, no source: moving or stretching the axes moves and stretches the line and nothing else, and no band is the wrong
// way round.
func TestLineFollowsItsAxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "n")
		var x, y, x2, y2 []float64
		shift, scale := rapid.Float64Range(-1e5, 1e5).Draw(t, "shift"), rapid.Float64Range(0.01, 100).Draw(t, "scale")
		for i := range n {
			x = append(x, float64(i)*7+rapid.Float64Range(0, 5).Draw(t, "x"))
			y = append(y, rapid.Float64Range(-50, 50).Draw(t, "y"))
			x2, y2 = append(x2, x[i]*scale+shift), append(y2, y[i]*3-20)
		}
		a, b := must(Fit(x, y)), must(Fit(x2, y2))
		if got, want := b.Slope*scale/3, a.Slope; math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
			t.Errorf("slope %v became %v", want, got)
		}
		at := rapid.Float64Range(-50, 150).Draw(t, "at")
		mean, reading := must(a.Band(at, 0.95, Mean)), must(a.Band(at, 0.95, Reading))
		if !(reading.Low <= mean.Low && mean.Low <= a.At(at) && a.At(at) <= mean.High && mean.High <= reading.High) {
			t.Errorf("bands at %v are not inside one another: %v, %v", at, mean, reading)
		}
		if moved := must(b.Band(at*scale+shift, 0.95, Reading)); math.Abs((moved.Low+20)/3-reading.Low) > 1e-6*(1+math.Abs(reading.Low)) {
			t.Errorf("band %v became %v", reading, moved)
		}
	})
}

func TestFitRefusesWhatCannotBeFitted(t *testing.T) {
	nan := math.NaN()
	for _, r := range []struct {
		name string
		x, y []float64
		want error
	}{
		{"none", nil, nil, ErrTooFew},
		{"two points", []float64{0, 1000}, []float64{320, 315}, ErrTooFew},
		{"one age", []float64{2000, 2000, 2000, 2000}, []float64{320, 315, 310, 305}, ErrOneAge},
		{"one age that binary fractions cannot hold", []float64{0.1, 0.1, 0.1}, []float64{1, 2, 3}, ErrOneAge},
		{"not pairs", []float64{0, 1, 2}, []float64{320, 315}, nil},
		{"not a number", []float64{0, 1, 2}, []float64{320, nan, 310}, nil},
		{"infinite age", []float64{0, math.Inf(1), 2}, []float64{320, 315, 310}, nil},
	} {
		for name, err := range map[string]error{
			"Fit": second(Fit(r.x, r.y)), "MedianFit": second(MedianFit(r.x, r.y, 0.95)),
		} {
			if err == nil || r.want != nil && !errors.Is(err, r.want) {
				t.Errorf("%s, %s: error %v, want %v", name, r.name, err, r.want)
			}
		}
	}
	l := must(Fit([]float64{0, 1, 2}, []float64{1, 2, 4}))
	for name, err := range map[string]error{
		"level 95":           second(l.Band(1, 95, Mean)),
		"level not a number": second(l.SlopeInterval(nan)),
		"x not a number":     second(l.Band(nan, 0.95, Mean)),
		"no fit":             second(Line{}.Band(1, 0.95, Mean)),
		"limit infinite":     second(l.Remaining(2, math.Inf(1), Above, 0.95, Reading)),
		"level of one half":  second(l.Remaining(2, 9, Above, 0.5, Reading)),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// Common practice, no source: a quantity that does not move has a flat line, no spread explained, and meets nothing else.
func TestFlatLine(t *testing.T) {
	l := must(Fit([]float64{0, 1000, 2000, 3000}, []float64{0.76, 0.76, 0.76, 0.76}))
	if l.Slope != 0 || l.R2 != 0 || l.F != 0 || l.SSE != 0 || l.SlopeP() != 1 {
		t.Errorf("flat line %+v", l)
	}
	if _, err := l.Reach(0.90, 0.95, Mean); !errors.Is(err, ErrFlat) {
		t.Errorf("a flat line meets 0.90: %v", err)
	}
	left := must(l.Remaining(3000, 0.90, Above, 0.95, Reading))
	if !math.IsInf(left.Estimate, 1) || !math.IsInf(left.Earliest, 1) || !math.IsInf(left.Latest, 1) || left.Why == "" {
		t.Errorf("a flat line leaves %+v", left)
	}
}

// Live comparison with R on random inputs.
func TestAgainstR(t *testing.T) {
	if testing.Short() {
		t.Skip("starts another program")
	}
	got := referee.R(t, `
set.seed(20240624)
for (i in 1:30) {
  n <- sample(4:12, 1)
  x <- round(sort(runif(n, 0, 9000))); y <- round(340 - x * runif(1, -0.001, 0.004) + rnorm(n, 0, runif(1, 0.1, 6)), 1)
  m <- lm(y ~ x); s <- summary(m); at <- round(runif(1, -1000, 15000)); l <- runif(1, 0.5, 0.99)
  say(n, x, y, coef(m), s$coefficients[, 2], s$sigma, s$r.squared, s$coefficients[2, 4], vcov(m)[1, 2], at, l,
      predict(m, data.frame(x = at), interval = "confidence", level = l)[2:3],
      predict(m, data.frame(x = at), interval = "prediction", level = l)[2:3])
}`)
	sets := 0
	for ; len(got) > 0; sets++ {
		n := int(got[0])
		x, y, r := got[1:1+n], got[1+n:1+2*n], got[1+2*n:]
		l := must(Fit(x, y))
		for i, v := range []float64{l.Intercept, l.Slope, l.InterceptSE, l.SlopeSE, l.ResidualSD, l.R2, l.SlopeP(), l.Covariance} {
			near(t, fmt.Sprintf("set %d, value %d", sets, i), v, r[i], 1e-8)
		}
		at, level := r[8], r[9]
		ci, pi := must(l.Band(at, level, Mean)), must(l.Band(at, level, Reading))
		for i, v := range []float64{ci.Low, ci.High, pi.Low, pi.High} {
			near(t, fmt.Sprintf("set %d, band %d", sets, i), v, r[10+i], 1e-8)
		}
		got = r[14:]
	}
	if sets != 30 {
		t.Fatalf("R gave %d sets: %s", sets, strings.TrimSpace(fmt.Sprint(got)))
	}
}

// Student's own figures, the hours of sleep gained by ten patients (Student 1908, Biometrika 6, 20; R's data set sleep, group 2), with the
// interval of R's t.test.
func TestMeanOfStudentsSleep(t *testing.T) {
	m, in, err := MeanOf([]float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{2.33, 0.8976775394129308, 3.762322460587068} {
		if got := [...]float64{m, in.Low, in.High}[i]; math.Abs(got-want) > 1e-9 {
			t.Errorf("value %d is %v, want %v", i, got, want)
		}
	}
	if _, _, err := MeanOf([]float64{1, 2}, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("a mean of two: %v", err)
	}
}
