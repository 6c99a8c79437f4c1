package checks_test

import (
	"fmt"
	"testing/fstest"

	"needlebook/checks"
	"needlebook/logbook"
)

// A check is a value. One of the list stands in a file of its own, named after it, with its records in testdata; this one says of a
// leak-down that it was timed and nobody wrote the oil's temperature down.
func Example() {
	oilNotWritten := &checks.Check{
		Name:   "oil-not-written",
		Level:  checks.Record,
		Doc:    "A leak-down was timed without the oil's temperature. Warm oil runs faster past the needle: the time cannot be compared. Read the thermometer.",
		Source: "common practice, no source",
		Grade:  checks.Advice,
		Each: func(c *checks.Case, o *logbook.Overhaul) {
			if t := o.AsFound; t.LeakDown.Time.Stated() && !t.Oil.Stated() {
				c.Report(checks.Finding{
					Place:   t.LeakDown.Time.Place,
					Message: "leak-down " + t.LeakDown.Time.Written + " as found, the oil's temperature is not written",
					Next:    "write it beside the time: oil: 21 °C",
					About:   checks.About{Record: o.Stem},
				})
			}
		},
	}
	b, err := logbook.Read(fstest.MapFS{
		"book.md": {Data: []byte("---\nvessel: Aurinda\nengines:\n  - {id: ME1, cylinders: [1]}\n---\n")},
		"overhauls/me1/c1/2024-03-05-h-1.md": {Data: []byte(`---
holder: "H-1"
removed: {engine: ME1, cylinder: 1, date: 2024-03-05}
as_found:
  leak_down: {time: 11.2 s}
---
`)},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range checks.Run(b, checks.Options{Only: []*checks.Check{oilNotWritten}}).Findings {
		fmt.Printf("%s: %s: %s [%s]\n    %s\n", f.Place, f.Grade, f.Message, f.Check, f.Next)
	}
	// Output:
	// overhauls/me1/c1/2024-03-05-h-1.md:5:21: advice: leak-down 11.2 s as found, the oil's temperature is not written [oil-not-written]
	//     write it beside the time: oil: 21 °C
}
