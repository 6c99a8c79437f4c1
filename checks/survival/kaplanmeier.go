package survival

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Step is a step of the survival curve: from this age on, this share survives.
type Step struct {
	Age      float64
	AtRisk   int      // good and under observation just before
	Ended    int      // gone bad at this age
	Survives float64  // share that survives the age
	SE       float64  // its standard error
	Interval Interval // of the share; 0 to 1 once none is left, where the data say nothing of the uncertainty
}

// KaplanMeier returns the steps of the survival curve, in order of age, from lives whose ends are exactly known or have
// not come, with intervals at a level such as 0.95. It assumes no distribution. One that left observation at an age
// counts as at risk then. It returns an error where an end is known only within limits: [Turnbull] takes those.
//
// Source: Kaplan and Meier 1958, Journal of the American Statistical Association 53, 457; standard error by Greenwood;
// interval on the scale log(-log S), which stays between 0 and 1.
func KaplanMeier(lives []Life, level float64) ([]Step, error) {
	if err := checkLives(lives); err != nil {
		return nil, err
	}
	if err := checkShare("level", level); err != nil {
		return nil, err
	}
	atAge := map[float64]*Step{}
	for _, l := range lives {
		if l.ended() && !l.exact() {
			return nil, errors.New("the end of a life is known only within limits: a curve for such lives is another one")
		}
		if l.ended() && atAge[l.By] == nil {
			atAge[l.By] = &Step{Age: l.By}
		}
	}
	for _, s := range atAge {
		for _, l := range lives {
			if l.After >= s.Age {
				s.AtRisk++
			}
			if l.By == s.Age {
				s.Ended++
			}
		}
	}
	steps := make([]Step, 0, len(atAge))
	for _, c := range count(lives) {
		if c.exact() {
			steps = append(steps, *atAge[c.By])
		}
	}
	z := distuv.UnitNormal.Quantile(0.5 + level/2)
	share, greenwood := 1.0, 0.0
	for i := range steps {
		s := &steps[i]
		n, d := float64(s.AtRisk), float64(s.Ended)
		share *= 1 - d/n
		s.Survives, s.Interval = share, Interval{0, 1}
		if d < n {
			greenwood += d / (n * (n - d))
			s.SE = share * math.Sqrt(greenwood)
			f := math.Exp(z * math.Sqrt(greenwood) / math.Abs(math.Log(share)))
			s.Interval = Interval{math.Pow(share, f), math.Pow(share, 1/f)}
		}
	}
	return steps, nil
}
