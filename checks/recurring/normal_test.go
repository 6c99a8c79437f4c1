package recurring

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// The worked example of the median absolute deviation in encyclopedias: 1, 1, 2, 2, 4, 6, 9 has the middle 2 and the median distance 1.
// From memory.
func TestNormalIsMiddleAndMedianDistance(t *testing.T) {
	var points []point
	for _, v := range []float64{1, 1, 2, 2, 4, 6, 9} {
		points = append(points, point{1000, v})
	}
	n := normalOf(points, 1000, 0.5, 60, 0)
	if n.N != 7 || n.Median != 2 || math.Abs(n.Spread-1.4826) > 1e-12 {
		t.Errorf("normalOf = %+v, want 7 valves, middle 2, spread 1.4826", n)
	}
	if n := normalOf(points, 1000, 0.5, 60, 5); n.Spread != 5 {
		t.Errorf("spread %v, want the floor 5", n.Spread)
	}
}

// A median distance is made a standard deviation by the quantile of the normal distribution at three quarters.
func TestToDeviation(t *testing.T) {
	if want := 1 / distuv.UnitNormal.Quantile(0.75); math.Abs(toDeviation-want) > 1e-4 {
		t.Errorf("toDeviation = %v, want %v", toDeviation, want)
	}
}

// Only valves of a like age make the normal, and only the latest of them. No outside source.
func TestNormalOfLikeAge(t *testing.T) {
	points := []point{{1000, -90}, {500, -1}, {1500, -2}, {1501, -70}, {499, -80}}
	if n := normalOf(points, 1000, 0.5, 2, 0); n.N != 2 || n.Median != -1.5 {
		t.Errorf("normalOf = %+v, want the two latest within half of 1000 h, middle -1.5", n)
	}
	if n := normalOf(points, 0, 0.5, 9, 0); n.N != 0 {
		t.Errorf("normalOf at 0 h = %+v, want none", n)
	}
}

// A habit that changes with the hours is a line, and is not drawn beyond the ages it comes from. No outside source.
func TestAgeing(t *testing.T) {
	a := ageingOf([]point{{1000, 20}, {2000, 16}, {3000, 12}}, 0.25)
	for _, c := range []struct {
		hours, want float64
		known       bool
	}{{1500, 18, true}, {3000, 12, true}, {4000, 12, true}, {500, 20, true}, {499, 0, false}, {4501, 0, false}} {
		got, ok := a.at(c.hours, 0.5)
		if ok != c.known || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("at(%v) = %v, %v, want %v, %v", c.hours, got, ok, c.want, c.known)
		}
	}
	one := ageingOf([]point{{2000, 10}, {2000, 14}, {2000, 12}}, 0.25)
	if got, ok := one.at(2500, 0.5); !ok || got != 12 {
		t.Errorf("valves of one age: at(2500) = %v, %v, want their middle 12", got, ok)
	}
	// Two rounds a day apart, one a little worse: no line runs from them to half their age.
	two := ageingOf([]point{{2120, 15}, {2120, 14}, {2120, 16}, {2144, 12}, {2144, 11}, {2144, 13}, {1200, 13}}, 0.5)
	if got, ok := two.at(1200, 0.5); !ok || got < 11 || got > 16 {
		t.Errorf("two rounds a day apart: at(1200) = %v, %v, want something a valve showed", got, ok)
	}
	if _, ok := ageingOf(nil, 0.25).at(1000, 0.5); ok {
		t.Error("no valves have a habit")
	}
}
