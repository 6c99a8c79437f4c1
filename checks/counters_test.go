package checks

import (
	"testing"

	"needlebook/logbook"
)

// Which of two readings at odds is wrong is told by those on both sides; readings are a week apart.
func TestOutlier(t *testing.T) {
	for _, c := range []struct {
		name    string
		totals  []float64
		i, want int
	}{
		{"the first is too low", []float64{100, 1100, 1220}, 1, 0},
		{"the first of a counter that was replaced", []float64{9000, 9100, 2000, 2100}, 2, 2},
		{"the last", []float64{1000, 1120, 1700}, 2, 2},
		{"the last but one is too high", []float64{1000, 1120, 9240, 1360}, 3, 2},
		{"the earlier is too high", []float64{1000, 1035, 1170, 1105, 1140}, 3, 2},
		{"the later is too low", []float64{1000, 1035, 1070, 1015, 1140}, 3, 3},
		{"the earlier is too low", []float64{1000, 1120, 1130, 1360, 1480}, 3, 2},
		{"the later is too high", []float64{1000, 1120, 1240, 1900, 1480}, 3, 3},
		{"two alone", []float64{1000, 2000}, 1, 1},
	} {
		var list []counted
		for n, total := range c.totals {
			list = append(list, counted{day: logbook.Day(700 + 7*n), total: total})
		}
		if got := outlier(list, c.i, 2); got != c.want {
			t.Errorf("%s: %d is wrong, want %d", c.name, got, c.want)
		}
	}
}
