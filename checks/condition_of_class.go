package checks

import (
	"fmt"
	"strings"

	"needlebook/logbook"
)

var conditionOfClass = &Check{
	Name:    "condition-of-class",
	Subject: OfBook,
	Ends: &End{Never: true, Answer: StatementOnly, Ways: []Way{
		{By: "the surveyor's statement that it is done is entered", fact: statedBySurveyor}}},
	Version: 1,
	Needs:   conditions,
	Level:   Vessel,
	Doc: "Class wants something done to the injection valves by a day, and the book holds no statement of a surveyor " +
		"that it is done. The ship's certificates hang on it: past its day class may be withdrawn. " +
		"Do the work, have it seen, and write down who stated it, on which day and under which number; that the work " +
		"is done ends nothing by itself.",
	Source:  "common practice, no source",
	Example: `condition of class "measure all holders of ME1" is not done by statement, due 2024-06-30`,
	Grade:   Stop,
	Whole: func(c *Case) {
		for i := range c.Book.Vessel.Conditions {
			k := &c.Book.Vessel.Conditions[i]
			f := Finding{Place: k.What.Place, Since: k.From.Day, Grade: Action,
				Message: fmt.Sprintf("condition of class %q is not done by statement", k.What.Written),
				Next:    "have it seen, and write statement: {date: …, surveyor: …, reference: …}"}
			switch until := k.Until.Day; {
			case !says(k.What):
				f.Place, f.Message = k.Place, "a condition of class does not say what is to be done"
				f.Next = "write what: with what is to be done, and to which engine or part"
			case until != 0 && until < c.Today:
				f.Grade = Stop
				f.Message += ", was due " + k.Until.Written
			case until != 0:
				f.Message += ", due " + k.Until.Written
			}
			c.Report(f)
		}
	},
}

// statedBySurveyor is a surveyor's statement, whole, on the condition of a finding.
func statedBySurveyor(h *histories, f *Finding) (Fact, bool) {
	for i := range h.c.Book.Vessel.Conditions {
		k := &h.c.Book.Vessel.Conditions[i]
		if s := &k.Statement; k.What.Place == f.Place && says(s.Surveyor) && says(s.Reference) {
			return h.stated(f, s.Date, s.Surveyor.Written+", "+s.Reference.Written)
		}
	}
	return Fact{}, false
}

// says says that a text is there, and more than quotes round nothing.
func says(t logbook.Text) bool { return t.Stated() && strings.TrimSpace(t.Written) != "" }
