package survival

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Belief is what is held of the true share of bad, as a beta distribution: Bad and Good count as if that many had been opened before.
// (1, 1) holds every share equally likely; (1, 19) expects one in twenty.
type Belief struct{ Bad, Good float64 }

// Seen returns the belief after so many bad among so many opened. Source: Bayes' theorem with a beta prior.
func (b Belief) Seen(bad, opened int) (Belief, error) {
	if bad < 0 || opened < bad {
		return Belief{}, fmt.Errorf("%d bad of %d opened cannot be", bad, opened)
	}
	after := Belief{b.Bad + float64(bad), b.Good + float64(opened-bad)}
	return after, b.check()
}

// Mean returns the expected share of bad, which is also the chance that the next one opened is bad.
func (b Belief) Mean() (float64, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	return b.Bad / (b.Bad + b.Good), nil
}

// Quantile returns the share that the true one is under with a chance p: 0.95 gives an upper bound.
func (b Belief) Quantile(p float64) (float64, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	if err := checkShare("the chance", p); err != nil {
		return 0, err
	}
	return b.beta().Quantile(p), nil
}

// Over returns the chance that the true share of bad is over a share.
func (b Belief) Over(share float64) (float64, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	if !(share >= 0 && share <= 1) {
		return 0, fmt.Errorf("the share of bad is %v: from 0 to 1 is needed", share)
	}
	return b.beta().Survival(share), nil
}

// AnyOf returns the chance of at least one bad among the next n, such as a round.
func (b Belief) AnyOf(n int) (float64, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	if n < 0 {
		return 0, fmt.Errorf("the next %d cannot be", n)
	}
	none := 0.0 // logarithm of the chance that all n are good
	for i := range n {
		none += math.Log1p(-b.Bad / (b.Bad + b.Good + float64(i)))
	}
	return -math.Expm1(none), nil
}

func (b Belief) beta() distuv.Beta { return distuv.Beta{Alpha: b.Bad, Beta: b.Good} }

func (b Belief) check() error {
	if err := checkAbove("the belief's count of bad", b.Bad); err != nil {
		return err
	}
	return checkAbove("the belief's count of good", b.Good)
}
