package checks

import "needlebook/logbook"

var reasonMissing = &Check{
	Name:    "reason-missing",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A value is said to be not measured or not done, without the reason. A gap with its reason is an honest " +
		"record, and the reason tells the next crew " +
		"whether to bring a gauge or to look again; a gap without one is only a gap. Write the reason in brackets.",
	Source:  "common practice, no source",
	Example: `measured.seat_diameter "not measured": no reason`,
	Slips:   []string{logbook.SlipReason},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = atKey(p) + ": no reason"
		f.Next += ", with the reason in the place of why"
		f.Grade = Action // read, but the answer is missing
	},
	Grade: Action,
}
