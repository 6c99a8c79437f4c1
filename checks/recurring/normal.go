package recurring

import (
	"math"
	"slices"
)

// Normal is this ship's own habit: what her earlier valves showed. Medians are used, so that a few odd valves do not
// make the habit.
type Normal struct {
	N      int     // valves it rests on
	Median float64 // their middle
	Spread float64 // their spread as a standard deviation, not less than the floor asked for
}

// toDeviation makes the median distance of a normal distribution its standard deviation: 1/Φ⁻¹(3/4).
// Source: any text on robust statistics, e.g. Huber, Robust Statistics, section 5.1.
const toDeviation = 1.4826

// Habit is the habit behind values, such as the earlier growth of lifts. The floor is the least spread assumed.
func Habit(values []float64, floor float64) Normal {
	n := Normal{N: len(values), Spread: floor}
	if n.N == 0 {
		return n
	}
	n.Median = middle(values)
	apart := make([]float64, n.N)
	for i, v := range values {
		apart[i] = math.Abs(v - n.Median)
	}
	n.Spread = max(toDeviation*middle(apart), floor)
	return n
}

// normalOf is the habit of the latest valves, at most so many, whose running hours lie within a share of the given
// ones.
func normalOf(earlier []point, hours, share float64, most int, floor float64) Normal {
	var values []float64
	for i := len(earlier) - 1; i >= 0 && len(values) < most; i-- {
		if p := earlier[i]; math.Abs(p.hours-hours) <= share*hours {
			values = append(values, p.value)
		}
	}
	return Habit(values, floor)
}

// middle is the median: the mean of the two in the middle where their number is even.
func middle(values []float64) float64 {
	s := slices.Sorted(slices.Values(values))
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}
