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
