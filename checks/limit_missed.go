package checks

import "fmt"

// askSource is what to do about a limit that most records miss.
const askSource = "compare it with its source; if it was made stricter, write tightened there"

var limitMissed = &Check{
	Name:    "limit-missed",
	Subject: OfLimits,
	Ends:    writing,
	Version: 2,
	Level:   Vessel,
	Doc: "More than half of the ship's values miss a limit: of at least eight, from three rounds. So it is with " +
		"a number of holes that no valve of two rounds was left with. A digit too many or " +
		"too few in one line of the limits file would be told as a fault of every valve; " +
		"so the limit is asked about at its own line, and nothing is judged by it until then. Hold it against the manual. " +
		"Where it was made stricter than before, say so in its source: with the word tightened it counts.",
	Source:  "our own rule; the numbers are from memory",
	Example: "leak-down as left: 31 of 34 values miss the limit 60 to 40 s",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, m := range c.Missed {
			c.Report(Finding{Place: m.Place, Message: fmt.Sprintf("%s: %d of %d values miss the limit %s", m.Name, m.Missed,
				m.Values, m.Text),
				Next: askSource})
		}
	},
}
