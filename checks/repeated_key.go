package checks

import (
	"fmt"

	"needlebook/logbook"
)

var repeatedKey = &Check{
	Name:    "repeated-key",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A key stands twice in one group. Most programs keep the last of the two and say nothing, so one of two " +
		"measurements would vanish without a trace; " +
		"neither is believed here. Strike one, and keep the struck value under corrections.",
	Source:  "YAML 1.2.2, section 3.2.1.1: keys of a mapping are unique; from memory",
	Example: `as_left.leak_down.time stands twice, first on line 31; neither is believed`,
	Slips:   []string{logbook.SlipRepeatedKey},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = fmt.Sprintf("%s stands twice, first on line %d; neither is believed", p.Key, p.Related.Line)
		f.Next = "strike one of the two, and keep what it said under corrections"
	},
	Grade: Stop,
}
