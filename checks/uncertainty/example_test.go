package uncertainty_test

import (
	"fmt"

	"needlebook/checks/uncertainty"
)

// The budget of a pressure gauge, printed as a page prints it, and what it leaves of a reading.
func Example() {
	var b uncertainty.Budget
	b.ClassOfSpan("gauge class", 600, 1.6)
	b.Resolution("reading", 5)
	b.Median("repeatability", 314, 318, 322)
	c, _ := b.Combine()
	for _, part := range c.Components {
		fmt.Printf("%-14s %-22s %.1f bar\n", part.Name, part.Working(), part.Std)
	}
	u, _ := c.Expand(2)
	j, _ := uncertainty.Limit{Band: uncertainty.Band{Low: 320, High: 330}}.Judge(318, u)
	fmt.Println(u.Text("bar"))
	fmt.Printf("%v by %.0f bar, accepted: %v\n", j.Verdict, -j.Margin, j.Accepted)
	fmt.Println(j.Note("bar"))
	// Output:
	// gauge class    1.6 % of 600 = 9.6, / √3 5.5 bar
	// reading        5 / (2 √3)             1.4 bar
	// repeatability  4 / √3 × 1.16          2.7 bar
	// ±13 bar (k = 2)
	// beyond, in doubt by 2 bar, accepted: false
	// the uncertainty ±13 bar (k = 2) is more than half of the band of 10 bar: no reading of this instrument can prove the value within
}
