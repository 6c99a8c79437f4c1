package recurring

import (
	"cmp"
	"math"
	"slices"

	"needlebook/checks/drift"
)

// point is what one valve showed after so many running hours.
type point struct{ hours, value float64 }

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

// ageing is a habit that changes with the running hours: a median line through what earlier valves showed, not drawn
// beyond the ages it comes from.
type ageing struct {
	n         int
	low, high float64
	line      func(hours float64) float64
}

// ageingOf draws the line. Valves of a like age, within a share of one another, say nothing of ageing: the scatter
// between two rounds a few hours apart would be taken for a slope, and a young round then held against seconds that no
// valve ever showed.
func ageingOf(earlier []point, share float64) ageing {
	a := ageing{n: len(earlier)}
	if a.n == 0 {
		return a
	}
	hours, values := make([]float64, a.n), make([]float64, a.n)
	for i, p := range earlier {
		hours[i], values[i] = p.hours, p.value
	}
	a.low, a.high = slices.Min(hours), slices.Max(hours)
	mid := middle(values)
	a.line = func(float64) float64 { return mid }
	if line, err := drift.MedianFit(alike(hours, share), values, 0.95); err == nil {
		a.line = line.At
	}
	return a
}

// alike gives ages that lie within a share of the youngest of their group the middle age of the group.
func alike(hours []float64, share float64) []float64 {
	order := make([]int, len(hours))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(hours[i], hours[j]) })
	out := make([]float64, len(hours))
	for from, to := 0, 0; from < len(order); from = to {
		var group []float64
		for to = from; to < len(order) && hours[order[to]] <= hours[order[from]]*(1+share); to++ {
			group = append(group, hours[order[to]])
		}
		mid := middle(group)
		for _, i := range order[from:to] {
			out[i] = mid
		}
	}
	return out
}

// at is what a valve of that age usually shows; ok is false for an age well outside those known.
func (a ageing) at(hours, share float64) (value float64, ok bool) {
	if a.n == 0 || hours < a.low*(1-share) || hours > a.high*(1+share) {
		return 0, false
	}
	value = a.line(min(max(hours, a.low), a.high))
	return value, value > 0
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
