package survival_test

import (
	"fmt"

	"needlebook/checks/survival"
)

// Twenty-three of twenty-four were good at full age: what that proves, and what it is worth for the interval.
func Example() {
	bound, _ := survival.UpperBound(1, 24, 0.95)
	ratio, _ := survival.PermittedRatio(1, 24, 0.10, 0.95, 3)
	needed, _ := survival.OpeningsNeeded(0.10, 0.95, 1)
	fmt.Printf("up to %.0f %% may be bad; interval times %.2f for 10 %%; %d openings with 1 bad would prove 10 %%\n", 100*bound, ratio, needed)
	// Output: up to 18 % may be bad; interval times 0.80 for 10 %; 46 openings with 1 bad would prove 10 %
}

// All opened near one age: no shape is fitted, and the reason is printed in its place.
func ExampleSpread_Fit() {
	lives := []survival.Life{
		survival.LongerThan(1950), survival.LongerThan(2010), survival.EndedWithin(0, 1990), survival.LongerThan(2040), survival.LongerThan(1980),
	}
	_, err := survival.Spread{Share: 0.2, Young: 0.6, Old: 1.2, Ended: 1}.Fit(lives)
	fmt.Println(err)
	// Output: no shape is fitted, the ages are too much alike: of 5 opened, 0 below 0.6 and 0 above 1.2 times the median age of 1990; 1 of each are needed
}

func ExampleAgeReplacement() {
	r, _ := survival.AgeReplacement(survival.Weibull{Shape: 2.5, Scale: 1000}, 1, 5)
	fmt.Printf("replace at %.0f h: %.5f per hour against %.5f\n", r.Age, r.Cost, r.RunToFailure)
	r, _ = survival.AgeReplacement(survival.Weibull{Shape: 1, Scale: 1000}, 1, 5)
	fmt.Println(r.Why)
	// Output:
	// replace at 493 h: 0.00346 per hour against 0.00564
	// parts do not wear out at this shape: an old one is no worse than a new one
}
