package checks

import (
	"fmt"

	"needlebook/logbook"
)

var spareTestTooOld = &Check{
	Name:    "spare-test-too-old",
	Subject: OfHolder,
	Ends:    foundAgain,
	Version: 1,
	Level:   History,
	Doc: "A valve was fitted a long time after its test, without another. In the spares rack test oil gums, needles " +
		"stick and rust creeps in, however well it was capped. One pump on the bench before fitting costs five minutes; a " +
		"valve that sticks in the engine costs a cylinder out of service at sea. " +
		"Open it once before fitting, and write the test down.",
	Source:  "common practice, no source",
	Example: "fitted on 2023-10-04, 353 days after its test of 2022-10-16: 90 d are kept to",
	Grade:   Advice,
	Whole: func(c *Case) {
		for _, s := range c.Lives.ServicePeriods {
			day, place := lastTest(c, s)
			if days := s.From.Days(day); day != 0 && float64(days) > c.Settings.SpareTestAge.Float() {
				f := Finding{Place: s.FromPlace, Since: s.From, About: aboutPath(c.Book, s.FromPlace.Path),
					Related: []Related{{place, "the last test"}},
					Message: fmt.Sprintf("fitted on %s, %s after its test of %s: %s are kept to", s.From, logbook.Counted(days, "day"),
						day, c.Settings.SpareTestAge.Written),
					Next: "watch its exhaust beside the other cylinders, and test the next spare first"}
				if s.Opened != nil && s.Opened.Fitted.Date.Present() {
					f.Place = s.Opened.Fitted.Date.Place
				}
				f.About.Position, f.About.Holder, f.About.Nozzle = s.Position, s.ReadHolder, s.ReadNozzle
				c.Report(f)
			}
		}
	},
}

// lastTest is the day of the last test of a valve before it was fitted; 0 where the book does not know. A ready spare
// when the book began was tested then or before.
func lastTest(c *Case, s *logbook.ServicePeriod) (logbook.Day, logbook.Place) {
	if o := s.Opened; o != nil {
		return o.TestedOn().Day, o.TestedOn().Place
	}
	for _, r := range c.Book.Vessel.Opening.Rack {
		if r.Fitted.Place == s.FromPlace {
			return c.Book.Vessel.Opening.Date.Day, c.Book.Vessel.Opening.Date.Place
		}
	}
	return 0, logbook.Place{}
}
