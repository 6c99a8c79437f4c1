package checks

import (
	"needlebook/logbook"
)

var dateForm = &Check{
	Name:    "date-form",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A date is not written as 2024-04-02, or is no day of the calendar. 04/03 is a day in March to one reader and " +
		"in April to the next, and a wrong " +
		"date moves a valve to another service life; so nothing is read. Write year, month, day.",
	Source:  "ISO 8601-1, calendar date; from memory",
	Example: `as_found.date "2023-06-31": this day does not exist`,
	Slips:   []string{logbook.SlipDate},
	Words: func(p logbook.Problem, f *Finding) {
		switch {
		case f.Proposal != nil && len(f.Proposal.Types) == 1:
			f.Next += " if that is the day; nothing was read"
		case f.Next != "":
			f.Next += "; nothing was read"
		default:
			f.Next = "write the date as year-month-day, such as 2024-04-02; nothing was read"
		}
	},
	Grade: Action,
}
