package survival

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
)

// near fails the test unless got is within a relative tolerance of want.
func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) && got != want {
		t.Errorf("%s = %.13g, want %.13g within %g of it", what, got, want, rel)
	}
}

func nearInterval(t *testing.T, what string, got Interval, low, high, rel float64) {
	t.Helper()
	near(t, what+", low", got.Low, low, rel)
	near(t, what+", high", got.High, high, rel)
}

// must unwraps a value whose error would be a fault of the test.
func must[T any](v T, err error) T {
	if err != nil {
		panic("survival test: " + err.Error())
	}
	return v
}

func second[T any](_ T, err error) error { return err }

// table reads a file of testdata as rows of numbers.
func table(t *testing.T, file string) [][]float64 {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out [][]float64
	for _, row := range must(csv.NewReader(f).ReadAll())[1:] {
		var numbers []float64
		for _, cell := range row {
			numbers = append(numbers, must(strconv.ParseFloat(cell, 64)))
		}
		out = append(out, numbers)
	}
	return out
}

func fans(t *testing.T) []Life {
	var lives []Life
	for _, row := range table(t, "nelson-genfan.csv") {
		if row[1] == 1 {
			lives = append(lives, EndedAt(row[0]))
		} else {
			lives = append(lives, LongerThan(row[0]))
		}
	}
	return lives
}

// cracked makes lives of parts inspected at ages, so many newly cracked at each, out of 167.
func cracked(ages, found []float64) []Life {
	var lives []Life
	before := 0.0
	for i, age := range ages {
		for range int(found[i]) {
			lives = append(lives, EndedWithin(before, age))
		}
		before = age
	}
	for len(lives) < 167 {
		lives = append(lives, LongerThan(before))
	}
	return lives
}

// nozzles is a constructed set of 16: eight ages looked at, one end seen.
func nozzles() []Life {
	lives := []Life{EndedWithin(0, 2000), LongerThan(4000), EndedAt(4000)}
	for range 3 {
		lives = append(lives, EndedWithin(2000, 4000), EndedWithin(4000, 6000), LongerThan(8000))
	}
	for range 2 {
		lives = append(lives, EndedWithin(6000, 8000), LongerThan(6000))
	}
	return lives
}

// small is a constructed right-censored set of ten.
func small() []Life {
	var lives []Life
	for _, age := range []float64{3120, 4470, 5230, 6050, 6800, 7400} {
		lives = append(lives, EndedAt(age))
	}
	for range 4 {
		lives = append(lives, LongerThan(8000))
	}
	return lives
}

// Nelson 1982, diesel generator fans, 70 units and 12 failures, the data also in R survival::genfan; R survreg 3.5-3.
func TestDieselGeneratorFans(t *testing.T) {
	f := must(FitWeibull(fans(t)))
	near(t, "scale", f.Scale, 26296.8451748, 1e-6)
	near(t, "shape", f.Shape, 1.05844584994, 1e-6)
	near(t, "log-likelihood", f.LogLik, -135.152719943, 1e-8)
	nearInterval(t, "shape, Wald", must(f.ShapeWald(0.95)), 0.6440823115, 1.739385785, 1e-6)
	nearInterval(t, "scale, Wald", must(f.ScaleWald(0.95)), 10552.06969, 65534.44833, 1e-6)
	near(t, "t10", f.Age(0.1), 3137.240778, 1e-6)
	nearInterval(t, "t10, Wald", must(f.AgeWald(0.1, 0.95)), 1686.207372, 5836.933145, 1e-6)
	near(t, "variance of log scale", f.varScale, 0.217053176266, 1e-6)
	near(t, "variance of log shape", f.varShape, 0.0642310910635, 1e-6)
	near(t, "covariance", -f.cov, 0.0957276112286, 1e-6) // R's is of log scale and log(1/shape)

	// Shape 1, the exponential: 344440 h over 12 failures; R survreg.
	e := must(FitFixedShape(fans(t), 1))
	near(t, "mean life", e.Scale, 28703.3333333, 1e-10)
	near(t, "log-likelihood with shape 1", e.LogLik, -135.177222468, 1e-10)
}

// Nelson 1982, p. 415, part cracking, eight inspections: in days as R survival::cracks, in months as the table of a statistics
// package's manual (typed from memory; the two are not quite proportional). R survreg 3.5-3, SciPy agrees; profile limits by SciPy.
func TestPartCracking(t *testing.T) {
	var days, found []float64
	for _, row := range table(t, "nelson-cracks.csv") {
		days, found = append(days, row[0]), append(found, row[1])
	}
	f := must(FitWeibull(cracked(days, found)))
	near(t, "scale in days", f.Scale, 2182.00413996, 1e-6)
	near(t, "shape", f.Shape, 1.4847675444, 1e-6)
	near(t, "log-likelihood", f.LogLik, -309.631180884, 1e-9)
	nearInterval(t, "shape, profile", must(f.ShapeProfile(0.95)), 1.2152087, 1.7899989, 1e-5)
	nearInterval(t, "scale, profile", must(f.ScaleProfile(0.95)), 1907.5371514, 2567.3258127, 1e-5)

	m := must(FitWeibull(cracked([]float64{6.12, 19.92, 29.64, 35.40, 39.72, 45.24, 52.32, 63.48}, found)))
	near(t, "scale in months", m.Scale, 71.6904055615, 1e-6)
	near(t, "shape in months", m.Shape, 1.48536736526, 1e-6)
	near(t, "log-likelihood in months", m.LogLik, -309.668408928, 1e-9)
}

// Constructed set of 16 nozzles; R survreg and SciPy.
func TestNozzlesLookedAtNowAndThen(t *testing.T) {
	f := must(FitWeibull(nozzles()))
	near(t, "scale", f.Scale, 7055.54133473, 1e-6)
	near(t, "shape", f.Shape, 2.05549701661, 1e-6)
	near(t, "log-likelihood", f.LogLik, -29.5180841521, 1e-9)
	nearInterval(t, "shape, Wald", must(f.ShapeWald(0.95)), 1.15851973, 3.646953848, 1e-6)
	nearInterval(t, "scale, Wald", must(f.ScaleWald(0.95)), 5181.675628, 9607.059009, 1e-6)
	near(t, "t10", f.Age(0.1), 2360.819585, 1e-6)
	nearInterval(t, "t10, Wald", must(f.AgeWald(0.1, 0.95)), 1238.071853, 4501.733157, 1e-6)
	nearInterval(t, "shape, profile", must(f.ShapeProfile(0.95)), 1.0718649, 3.4434933, 1e-5)
	nearInterval(t, "scale, profile", must(f.ScaleProfile(0.95)), 5266.8738914, 10948.0273192, 1e-5)
	near(t, "log-likelihood of (2, 7000)", f.lik.at(f.lik.pointOf(2, 7000)).ll, -29.524723355417, 1e-12)
}

func (l likelihood) pointOf(shape, scale float64) point {
	return point{shape * (math.Log(scale) - l.centre), shape}
}

// The same 16 with the shape assumed; R survreg with fixed scale, SciPy.
func TestNozzlesWithAssumedShape(t *testing.T) {
	for _, r := range []struct{ shape, scale, ll float64 }{
		{1.5, 7389.153865, -30.0296079083}, {2.0, 7075.779894, -29.5224128776}, {2.5, 6950.16730898, -29.760543563}, {3.0, 6905.082688, -30.4925957035},
	} {
		f := must(FitFixedShape(nozzles(), r.shape))
		near(t, fmt.Sprint("scale with shape ", r.shape), f.Scale, r.scale, 1e-6)
		near(t, fmt.Sprint("log-likelihood with shape ", r.shape), f.LogLik, r.ll, 1e-9)
	}
}

// Constructed right-censored set; R survreg and SciPy.
func TestSmallRightCensoredSet(t *testing.T) {
	f := must(FitWeibull(small()))
	near(t, "scale", f.Scale, 8132.62253214, 1e-6)
	near(t, "shape", f.Shape, 3.07317147889, 1e-6)
	near(t, "log-likelihood", f.LogLik, -58.6078324002, 1e-9)
	nearInterval(t, "shape, profile", must(f.ShapeProfile(0.95)), 1.3314221, 5.7954964, 1e-5)
	nearInterval(t, "scale, profile", must(f.ScaleProfile(0.95)), 6343.8401161, 12760.7184616, 1e-5)
	near(t, "log-likelihood of (3, 8000)", f.lik.at(f.lik.pointOf(3, 8000)).ll, -58.619873903626, 1e-12)

	// Assumed shape: closed form of the Weibull handbooks (from memory), R survreg with fixed scale the same.
	e := must(FitFixedShape(small(), 2.5))
	near(t, "scale with shape 2.5", e.Scale, 8341.16948749, 1e-9)
	near(t, "log-likelihood with shape 2.5", e.LogLik, -58.7546984161, 1e-9)
}

// Proschan's times between failures of aircraft air conditioning, R boot::aircondit and aircondit7; R survreg. Data typed from memory.
func TestAirConditioning(t *testing.T) {
	for _, r := range []struct {
		ages             []float64
		scale, shape, ll float64
	}{
		{[]float64{3, 5, 7, 18, 43, 85, 91, 98, 100, 130, 230, 487}, 94.9648950762, 0.793943806982, -67.6185098743},
		{[]float64{3, 5, 5, 13, 14, 15, 22, 22, 23, 30, 36, 39, 44, 46, 50, 72, 79, 88, 97, 102, 139, 188, 197, 210}, 64.7923738985, 1.02491926119, -123.848304063},
	} {
		var lives []Life
		for _, age := range r.ages {
			lives = append(lives, EndedAt(age))
		}
		f := must(FitWeibull(lives))
		near(t, "scale", f.Scale, r.scale, 1e-6)
		near(t, "shape", f.Shape, r.shape, 1e-6)
		near(t, "log-likelihood", f.LogLik, r.ll, 1e-9)
	}
}

// Constructed, closed form: what five good ones prove with an assumed shape of 2.
func TestNoneBadGivesABound(t *testing.T) {
	f := must(FitFixedShape([]Life{LongerThan(1500), LongerThan(2100), LongerThan(2100), LongerThan(3000), LongerThan(3000)}, 2))
	if !math.IsInf(f.Scale, 1) {
		t.Errorf("none bad gives a scale of %v", f.Scale)
	}
	for confidence, want := range map[float64]float64{
		0.5: 6476.04391883, 1 - 1/math.E: 5391.66022668 /* the 63.2 % of the handbooks */, 0.9: 3553.15924058, 0.95: 3115.09299929,
	} {
		near(t, fmt.Sprint("bound at ", confidence), must(f.ScaleAtLeast(confidence)), want, 1e-9)
	}
}

// SciPy, Weibull functions.
func TestWeibullFunctions(t *testing.T) {
	w := must(NewWeibull(2.5, 8000))
	near(t, "F(4000)", w.Ended(4000), 0.162033114421244, 1e-12)
	near(t, "R(4000)", w.Survives(4000), 1-0.162033114421244, 1e-12)
	near(t, "h(4000)", w.Hazard(4000), 0.000110485434560398, 1e-12)
	near(t, "B10", w.Age(0.1), 3252.07941178292, 1e-12)
	near(t, "mean", w.Mean(), 7098.1105400246, 1e-12)
	near(t, "R(6000|4000)", w.Survives(6000)/w.Survives(4000), 0.733181060724073, 1e-12)
}

// Common practice, no source: the summit is a summit, scale follows the unit of age, order does not matter, profile limits enclose the
// estimate and lie where the likelihood has fallen by half of χ².
func TestFitIsTheSummit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lives := drawLives(t)
		f, err := FitWeibull(lives)
		if err != nil {
			if !errors.Is(err, ErrNoneEnded) && !errors.Is(err, ErrOneAge) && !errors.Is(err, ErrNoWear) {
				t.Fatalf("%v: %v", lives, err)
			}
			return
		}
		for range 5 {
			shape := f.Shape * math.Exp(rapid.Float64Range(-1, 1).Draw(t, "shape"))
			scale := f.Scale * math.Exp(rapid.Float64Range(-1, 1).Draw(t, "scale"))
			if ll := f.lik.at(f.lik.pointOf(shape, scale)).ll; ll > f.LogLik+1e-9 {
				t.Fatalf("%v: (%v, %v) is likelier than the fit %v", lives, shape, scale, f.Weibull)
			}
		}
		k := rapid.Float64Range(0.01, 100).Draw(t, "unit")
		var other []Life
		for i := range lives {
			l := lives[len(lives)-1-i]
			other = append(other, Life{l.After * k, l.By * k})
		}
		g, err := FitWeibull(other)
		if err != nil {
			t.Fatalf("%v in another unit: %v", lives, err)
		}
		if math.Abs(g.Shape/f.Shape-1) > 1e-6 || math.Abs(g.Scale/k/f.Scale-1) > 1e-6/f.Shape {
			t.Fatalf("%v: fit %v, in another unit %v", lives, f.Weibull, g.Weibull)
		}
	})
}

// drawLives draws lives of a random Weibull distribution, looked at in random ways.
func drawLives(t *rapid.T) []Life {
	w := Weibull{rapid.Float64Range(0.7, 5).Draw(t, "shape"), rapid.Float64Range(1000, 9000).Draw(t, "scale")}
	n := rapid.IntRange(4, 30).Draw(t, "n")
	var lives []Life
	for range n {
		age := math.Max(1, math.Round(w.Age(rapid.Float64Range(0.001, 0.999).Draw(t, "u"))))
		look := float64(100 * rapid.IntRange(1, 80).Draw(t, "look"))
		switch kind := rapid.IntRange(0, 2).Draw(t, "kind"); {
		case kind == 0 && age <= look:
			lives = append(lives, EndedAt(age))
		case kind == 1 && age <= look:
			lives = append(lives, EndedWithin(math.Floor(age/1000)*1000*0.999, math.Max(look, age)))
		case age <= look:
			lives = append(lives, EndedWithin(0, look))
		default:
			lives = append(lives, LongerThan(look))
		}
	}
	return lives
}

// Common practice, no source: every interval encloses its estimate, a higher level gives a wider one, and nothing is not a number.
func TestIntervalsEnclose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lives := drawLives(t)
		f, err := FitWeibull(lives)
		if err != nil {
			return
		}
		share := rapid.Float64Range(0.01, 0.9).Draw(t, "share")
		for name, of := range map[string]func(level float64) (Interval, error){
			"shape, Wald": f.ShapeWald, "shape, profile": f.ShapeProfile, "scale, Wald": f.ScaleWald, "scale, profile": f.ScaleProfile,
			"age, Wald":    func(level float64) (Interval, error) { return f.AgeWald(share, level) },
			"age, profile": func(level float64) (Interval, error) { return f.AgeProfile(share, level) },
		} {
			estimate := f.Scale
			switch name[:3] {
			case "sha":
				estimate = f.Shape
			case "age":
				estimate = f.Age(share)
			}
			narrow, wide := must(of(0.5)), must(of(0.95))
			if !(wide.Low <= narrow.Low && narrow.Low <= estimate && estimate <= narrow.High && narrow.High <= wide.High && wide.Low >= 0) {
				t.Fatalf("%v: %s of %v: %v and %v do not enclose %v", lives, name, f.Weibull, narrow, wide, estimate)
			}
		}
		e, err := FitFixedShape(lives, rapid.Float64Range(0.5, 6).Draw(t, "assumed"))
		if err != nil {
			t.Fatalf("%v: %v", lives, err)
		}
		if bound := must(e.ScaleAtLeast(0.95)); !(bound > 0 && bound < e.Scale) {
			t.Fatalf("%v: bound %v of %v", lives, bound, e.Scale)
		}
	})
}

func TestProfileEndsLieOnTheLevel(t *testing.T) {
	for name, lives := range map[string][]Life{"nozzles": nozzles(), "small": small(), "fans": fans(t)} {
		f := must(FitWeibull(lives))
		for _, share := range []float64{0.1, 0.5} {
			in := must(f.AgeProfile(share, 0.90))
			if !(in.Low < f.Age(share) && f.Age(share) < in.High) {
				t.Errorf("%s: %v does not enclose %v", name, in, f.Age(share))
			}
			for _, age := range []float64{in.Low, in.High} {
				best := math.Inf(-1)
				for shape := 0.05; shape < 20; shape *= 1.002 { // the best scale for this age, by plain search
					scale := age / math.Pow(-math.Log1p(-share), 1/shape)
					best = math.Max(best, f.lik.at(f.lik.pointOf(shape, scale)).ll)
				}
				if fall := f.LogLik - best; math.Abs(fall-2.705543454095404/2) > 1e-3 {
					t.Errorf("%s: at %v the likelihood has fallen by %v", name, age, fall)
				}
			}
		}
	}
}

// Common practice, no source: what cannot be learnt is refused in words.
func TestFitRefusesWhatCannotBeLearnt(t *testing.T) {
	nan := math.NaN()
	for _, r := range []struct {
		name  string
		lives []Life
		want  error
	}{
		{"nothing", nil, ErrNone},
		{"none bad", []Life{LongerThan(2000), LongerThan(2400)}, ErrNoneEnded},
		{"all bad at one age", []Life{EndedAt(2000), EndedAt(2000)}, ErrOneAge},
		{"round opened at one age", []Life{EndedWithin(0, 2000), LongerThan(2000), LongerThan(2000)}, ErrOneAge},
		{"all good young, all bad old", []Life{LongerThan(1000), LongerThan(1900), EndedWithin(0, 2000), EndedWithin(0, 2500)}, ErrOneAge},
		{"bad with no good look", []Life{EndedWithin(0, 2000), EndedWithin(0, 3000)}, ErrOneAge},
		{"young bad, old good", []Life{EndedWithin(0, 1000), EndedWithin(0, 1100), LongerThan(1050), LongerThan(3000), LongerThan(4000)}, ErrNoWear},
		{"age not a number", []Life{EndedAt(nan), EndedAt(2000)}, nil},
		{"ended before it began", []Life{EndedWithin(2000, 1000)}, nil},
		{"age below nil", []Life{LongerThan(-5), EndedAt(2000)}, nil},
		{"endless good age", []Life{LongerThan(math.Inf(1)), EndedAt(2000)}, nil},
	} {
		f, err := FitWeibull(r.lives)
		if err == nil || r.want != nil && !errors.Is(err, r.want) {
			t.Errorf("%s: %v, %v; want %v", r.name, f.Weibull, err, r.want)
		}
	}
	for name, err := range map[string]error{
		"shape of nil":       second(FitFixedShape(small(), 0)),
		"shape not a number": second(FitFixedShape(small(), nan)),
		"no good look":       second(FitFixedShape([]Life{EndedWithin(0, 2000)}, 2)),
		"no ages":            second(FitFixedShape([]Life{LongerThan(0)}, 2)),
		"no lives":           second(FitFixedShape(nil, 2)),
		"confidence of 95":   second(must(FitFixedShape(small(), 2)).ScaleAtLeast(95)),
		"level of 95":        second(must(FitWeibull(small())).ShapeProfile(95)),
		"no fit":             second(Fit{}.ShapeWald(0.95)),
		"share of nil":       second(must(FitWeibull(small())).AgeWald(0, 0.95)),
		"scale infinite":     second(NewWeibull(2, math.Inf(1))),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

// Common practice, no source: the bound on the scale falls as confidence rises, and agrees with a plain search of the likelihood.
func TestBoundOnTheScale(t *testing.T) {
	f := must(FitFixedShape(nozzles(), 2))
	last := f.Scale
	near(t, "bound at one half", must(f.ScaleAtLeast(0.5)), f.Scale, 1e-9)
	for _, confidence := range []float64{0.6, 0.9, 0.95, 0.99} {
		bound := must(f.ScaleAtLeast(confidence))
		if bound >= last {
			t.Errorf("bound at %v is %v, before it was %v", confidence, bound, last)
		}
		last = bound
	}
	fall := f.LogLik - f.lik.at(f.lik.pointOf(2, must(f.ScaleAtLeast(0.95)))).ll
	near(t, "fall of the likelihood", fall, 1.6448536269514722*1.6448536269514722/2, 1e-9)
}

// Live comparison with R's survreg on random censored sets.
func TestFitAgainstR(t *testing.T) {
	if testing.Short() {
		t.Skip("starts another program")
	}
	got := referee.R(t, `
set.seed(7)
for (i in 1:40) {
  n <- sample(8:60, 1); shape <- runif(1, 0.8, 4); life <- rweibull(n, shape, 5000)
  look <- round(runif(n, 500, 8000)); last <- round(look * runif(n, 0, 0.9)); kind <- sample(1:3, n, TRUE)
  lo <- ifelse(life > look, look, ifelse(kind == 1, round(life) + 1, ifelse(kind == 2 & life > last, last, 0)))
  hi <- ifelse(life > look, Inf, ifelse(kind == 1, round(life) + 1, ifelse(kind == 2 & life < last, last, look)))
  if (sum(is.finite(hi)) < 3) next
  s <- Surv(ifelse(lo == 0, NA, lo), ifelse(is.finite(hi), hi, NA), type = "interval2")
  m <- survreg(s ~ 1, control = list(rel.tolerance = 1e-13, maxiter = 200))
  v <- vcov(m); if (any(!is.finite(v)) || m$scale > 3) next
  w <- survreg(s ~ 1, scale = 1 / 2.2, control = list(rel.tolerance = 1e-13, maxiter = 200))
  say(n, lo, hi, exp(coef(m)), 1 / m$scale, m$loglik[1], v[1, 1], v[2, 2], -v[1, 2], exp(coef(w)), w$loglik[1])
}`)
	sets := 0
	for ; len(got) > 0; sets++ {
		n := int(got[0])
		var lives []Life
		for i := range n {
			lives = append(lives, Life{got[1+i], got[1+n+i]})
		}
		r := got[1+2*n:]
		f, e := must(FitWeibull(lives)), must(FitFixedShape(lives, 2.2))
		for i, v := range []float64{f.Scale, f.Shape, f.LogLik, f.varScale, f.varShape, f.cov, e.Scale, e.LogLik} {
			if i == 5 && math.Abs(v-r[i]) < 1e-8 {
				continue // a covariance near nil has no relative size
			}
			near(t, fmt.Sprintf("set %d of %d, value %d", sets, n, i), v, r[i], 2e-5)
		}
		near(t, fmt.Sprintf("set %d, log-likelihood", sets), f.LogLik, r[2], 1e-9)
		got = r[8:]
	}
	if sets < 30 {
		t.Fatalf("R gave %d sets: %s", sets, strings.TrimSpace(fmt.Sprint(got)))
	}
	t.Logf("%d sets compared", sets)
}
