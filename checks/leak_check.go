package checks

import (
	"strings"

	"needlebook/logbook"
)

var leakCheck = &Check{
	Name:    "leak-check",
	Subject: OfPosition,
	Ends:    &End{Ways: only("the leak check and the shields are confirmed"), Never: true},
	Version: 1,
	Level:   Record,
	Doc: "A valve was fitted and nothing says that leaks were looked for and the shields are back. Fuel spray on hot " +
		"parts is the classic engine-room fire. Look for leaks cold, warm and loaded with the shields in " +
		"place, and record it.",
	Source: "SOLAS II-2 regulation 4.2.2.5, jacketed lines and protected surfaces; from memory. The three looks: " +
		"common practice, no source",
	Example: `fitted at ME2-5: no leak check and no shields recorded`,
	Holds:   wasFitted,
	Each: func(c *Case, o *logbook.Overhaul) {
		fit := o.Fitted
		if !fit.Stated() {
			return
		}
		var lacking []string
		if !fit.LeakCheck.Present() {
			lacking = append(lacking, "no leak check")
		}
		if !fit.Shields.Present() {
			lacking = append(lacking, "no shields")
		}
		at := "fitted, not said where" // a block of blanks
		if p := (logbook.Position{Engine: fit.Engine.Written, Cylinder: fit.Cylinder.Written}); p.Engine != "" ||
			p.Cylinder != "" {
			at = "fitted at " + p.String()
		}
		if len(lacking) > 0 {
			c.Report(Finding{Place: fit.Place, Message: at + ": " + strings.Join(lacking, " and ") + " recorded",
				About: about(o), Lacks: "leak check and shields",
				Next: "look at the valve now, and record the leak check (cold warm loaded) and the shields, or why not"})
		}
		if fit.Shields.Is("missing") {
			c.Report(Finding{Place: fit.Shields.Place, Message: at + ": shields missing", About: about(o),
				Next: "put the shields back before the engine runs"})
		}
		if left := notLooked(fit.LeakCheck); len(left) > 0 {
			c.Report(Finding{Place: fit.LeakCheck.Place, Message: at + ": leaks looked for, but not " + strings.Join(left,
				" and not "), Grade: Action, About: about(o),
				Next: "look, and record it: cold warm loaded"})
		}
	},
	Grade: Stop,
}

// notLooked lists the states of the engine that a leak check does not name.
func notLooked(check logbook.Text) []string {
	if !check.Stated() {
		return nil
	}
	said := strings.ToLower(check.Written)
	var left []string
	for _, state := range []struct{ name, also string }{{"cold", "cold"}, {"warm", "hot"}, {"loaded", "load"}} {
		if !strings.Contains(said, state.name) && !strings.Contains(said, state.also) {
			left = append(left, state.name)
		}
	}
	return left
}
