package drift_test

import (
	"fmt"

	"needlebook/checks/drift"
)

// Hours left until an opening pressure that falls meets its limit.
func ExampleLine_Remaining() {
	hours := []float64{0, 2050, 4120, 6010, 8100, 10020}
	bar := []float64{340, 336.5, 334, 329.5, 327, 324.5}
	l, _ := drift.Fit(hours, bar)
	left, _ := l.Remaining(10020, 320, drift.Below, 0.95, drift.Reading)
	fmt.Printf("%.1f bar per 1000 h; %.0f h left, not before %.0f h, at the latest %.0f h\n",
		1000*l.Slope, left.Estimate, left.Earliest, left.Latest)
	// Output: -1.6 bar per 1000 h; 2598 h left, not before 1526 h, at the latest 3811 h
}

// Three readings that do not agree on a trend: the numbers say that nothing can be said.
func ExampleLine_Remaining_noFiniteInterval() {
	l, _ := drift.Fit([]float64{0, 2000, 4000}, []float64{0.75, 0.78, 0.76})
	left, _ := l.Remaining(4000, 0.90, drift.Above, 0.95, drift.Reading)
	fmt.Println(left.Why)
	// Output: no finite interval: the trend is not clear of none
}
