package survival

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"needlebook/checks/internal/referee"
)

// Miller 1981, maintenance of remission in leukaemia, the maintained group, as in R's survival::aml; survival to three decimals from
// memory, and confirmed live against R below.
func TestKaplanMeierOnRemissions(t *testing.T) {
	lives := []Life{EndedAt(9), EndedAt(13), LongerThan(13), EndedAt(18), EndedAt(23), LongerThan(28), EndedAt(31), EndedAt(34),
		LongerThan(45), EndedAt(48), LongerThan(161)}
	steps := must(KaplanMeier(lives, 0.95))
	want := []struct{ age, share float64 }{{9, 0.909}, {13, 0.818}, {18, 0.716}, {23, 0.614}, {31, 0.491}, {34, 0.368}, {48, 0.184}}
	if len(steps) != len(want) {
		t.Fatalf("%d steps, want %d", len(steps), len(want))
	}
	for i, w := range want {
		if steps[i].Age != w.age || math.Abs(steps[i].Survives-w.share) > 5e-4 {
			t.Errorf("step %d: %v at %v, want %v at %v", i, steps[i].Survives, steps[i].Age, w.share, w.age)
		}
	}
	if _, err := KaplanMeier([]Life{EndedWithin(1, 2)}, 0.95); err == nil {
		t.Error("a life known within limits was taken as exact")
	}
	if _, err := KaplanMeier(lives, 95); err == nil {
		t.Error("a level of 95 was accepted")
	}
}

// Common practice, no source: for exact and unended lives both curves are one.
func TestBothCurvesAgreeOnExactLives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lives []Life
		for range rapid.IntRange(1, 25).Draw(t, "n") {
			age := float64(rapid.IntRange(1, 12).Draw(t, "age"))
			if rapid.Bool().Draw(t, "ended") {
				lives = append(lives, EndedAt(age))
			} else {
				lives = append(lives, LongerThan(age))
			}
		}
		curve := must(Turnbull(lives))
		for _, s := range must(KaplanMeier(lives, 0.95)) {
			if in := curve.Survives(s.Age); math.Abs(in.Low-s.Survives) > 1e-6 || math.Abs(in.High-s.Survives) > 1e-6 {
				t.Fatalf("%v at %v: %v and %v", lives, s.Age, in, s.Survives)
			}
			if s.Interval.Low > s.Survives || s.Interval.High < s.Survives || s.Interval.Low < 0 || s.Interval.High > 1 {
				t.Fatalf("%v at %v: %v does not enclose %v", lives, s.Age, s.Interval, s.Survives)
			}
		}
	})
}

// The optimum of Turnbull's curve can be proven (Gentleman and Geyer 1994): no mass is asked for more than it has, n in all.
func TestTurnbullIsTheSummit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lives := drawLives(t)
		if rapid.Bool().Draw(t, "looked at once") { // another way to the same summit
			for i, l := range lives {
				if l.ended() {
					lives[i] = EndedWithin(0, l.By)
				}
			}
		}
		curve := must(Turnbull(lives))
		chance := func(l Life, c Curve) float64 {
			p := 0.0
			for _, m := range c {
				if (counted{Life: l}).covers(m) {
					p += m.Share
				}
			}
			return p
		}
		total := 0.0
		for _, m := range curve {
			total += m.Share
		}
		if math.Abs(total-1) > 1e-12 {
			t.Fatalf("%v: shares add to %v", lives, total)
		}
		all := innermost(count(lives))
		for _, m := range all {
			pull := 0.0
			for _, l := range lives {
				if (counted{Life: l}).covers(m) {
					pull += 1 / chance(l, curve)
				}
			}
			if pull > float64(len(lives))*(1+1e-4) {
				t.Fatalf("%v: mass %v is asked for %v of %d", lives, m, pull, len(lives))
			}
		}
		last := Interval{1, 1}
		for age := 0.0; age < 10000; age += 250 {
			in := curve.Survives(age)
			if in.Low > in.High+1e-12 || in.High > last.High+1e-12 || in.Low > last.Low+1e-12 {
				t.Fatalf("%v: survival %v after %v at %v", lives, in, last, age)
			}
			last = in
		}
	})
}

// The constructed nozzles with R's survfit for interval-censored lives: survival 0.938, 0.688, 0.481 and 0.289 after the inspections.
func TestTurnbullOnNozzles(t *testing.T) {
	curve := must(Turnbull(nozzles()))
	for age, want := range map[float64]float64{2000: 0.9375, 4000: 0.6875, 6000: 0.48125, 8000: 0.28875} {
		if in := curve.Survives(age); math.Abs(in.Low-want) > 1e-4 || math.Abs(in.High-want) > 1e-4 {
			t.Errorf("survival at %v is %v, want %v", age, in, want)
		}
	}
	if in := curve.Survives(5000); in.High-in.Low < 0.2 {
		t.Errorf("at 5000, where nobody looked, survival is given as %v", in)
	}
}

// logLikOf is the log-likelihood of lives known within limits under a survival curve.
func logLikOf(lives []Life, survives func(age float64) float64) float64 {
	sum := 0.0
	for _, l := range lives {
		share := survives(l.After)
		if l.ended() {
			share -= survives(l.By)
		}
		sum += math.Log(share)
	}
	return sum
}

// Live comparison of both curves with R's survfit.
func TestCurvesAgainstR(t *testing.T) {
	if testing.Short() {
		t.Skip("starts another program")
	}
	got := referee.R(t, `
set.seed(31)
for (i in 1:20) {
  n <- sample(5:40, 1); age <- sample(1:30, n, TRUE); bad <- rbinom(n, 1, 0.6); bad[1] <- 1
  s <- summary(survfit(Surv(age, bad) ~ 1, conf.type = "log-log", conf.int = 0.9))
  ok <- s$surv > 0
  say(n, age, bad, sum(ok), s$time[ok], s$n.risk[ok], s$surv[ok], s$std.err[ok], s$lower[ok], s$upper[ok])
}
for (i in 1:20) {
  n <- sample(10:40, 1); life <- rweibull(n, 2, 5); look <- sample(1:9, n, TRUE); last <- pmax(0, look - sample(1:4, n, TRUE))
  lo <- ifelse(life > look, look, ifelse(life > last, last, 0)); hi <- ifelse(life > look, Inf, look)
  s <- survfit(Surv(ifelse(lo == 0, NA, lo), ifelse(is.finite(hi), hi, NA), type = "interval2") ~ 1)
  at <- 1:9
  say(n, lo, hi, sapply(at, function(x) min(1, s$surv[s$time <= x])))
}`)
	for set := range 20 {
		n := int(got[0])
		var lives []Life
		for i := range n {
			if got[1+n+i] == 1 {
				lives = append(lives, EndedAt(got[1+i]))
			} else {
				lives = append(lives, LongerThan(got[1+i]))
			}
		}
		k := int(got[1+2*n])
		r := got[2+2*n:]
		steps := must(KaplanMeier(lives, 0.9))
		if len(steps) < k {
			t.Fatalf("set %d: %d steps, R has %d", set, len(steps), k)
		}
		for i, s := range steps[:k] {
			for j, v := range []float64{s.Age, float64(s.AtRisk), s.Survives, s.SE, s.Interval.Low, s.Interval.High} {
				near(t, fmt.Sprintf("set %d, step %d, value %d", set, i, j), v, r[j*k+i], 1e-9)
			}
		}
		got = r[6*k:]
	}
	for set := range 20 {
		n := int(got[0])
		var lives []Life
		for i := range n {
			lives = append(lives, Life{got[1+i], got[1+n+i]})
		}
		curve, theirs := must(Turnbull(lives)), got[1+2*n:10+2*n]
		for i, want := range theirs {
			// R stops its climb early and puts each mass in the middle of its interval.
			if in := curve.Survives(float64(i + 1)); want < in.Low-0.02 || want > in.High+0.02 {
				t.Errorf("set %d, age %d: %v, R has %v", set, i+1, in, want)
			}
		}
		// All ends of lives are whole ages, where both curves are definite: ours must be the likelier, by next to nothing.
		ours := func(age float64) float64 { return curve.Survives(age).Low }
		r := func(age float64) float64 {
			if age == 0 {
				return 1
			}
			return theirs[int(age)-1]
		}
		if won := logLikOf(lives, ours) - logLikOf(lives, r); won < -1e-9 || won > 0.01 {
			t.Errorf("set %d: our curve is likelier than R's by %v", set, won)
		}
		got = got[10+2*n:]
	}
	if len(got) != 0 {
		t.Fatalf("R gave %d numbers more than were used", len(got))
	}
}
