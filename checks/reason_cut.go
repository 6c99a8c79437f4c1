package checks

import "needlebook/logbook"

var reasonCut = &Check{
	Name:    "reason-cut",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A text with a comma stands without quotes between curly brackets. There the comma ends the value, and what " +
		"follows becomes a key of its own: " +
		"half of the reason is lost. Put quotes around the whole text.",
	Source:  "YAML 1.2.2, section 7.4.2, flow mappings; from memory",
	Example: `seat "not looked at (lens broken, no spare)": the comma cuts the text in two`,
	Slips:   []string{logbook.SlipBrokenReason},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = atKey(p) + ": the comma cuts the text in two"
	},
	Grade: Action,
}
