package checks

import (
	"fmt"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var colonInNumber = &Check{
	Name:    "colon-in-number",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A number is written with a colon. 3:20 may be three minutes and twenty seconds or 3.20 seconds, and a " +
		"leak-down of the first kind would mean " +
		"a seized needle; so nothing is read. Write seconds only, with a decimal point where one is needed.",
	Source:  "common practice, no source",
	Example: `as_found.leak_down.time "3:20": 3 min 20 s (200 s) or 3.20 s? not guessed`,
	Slips:   []string{measure.SlipColon},
	Words: func(p logbook.Problem, f *Finding) {
		minutes, seconds, _ := strings.Cut(p.Found, ":")
		m, err := strconv.Atoi(minutes)
		s, err2 := strconv.Atoi(seconds)
		if err != nil || err2 != nil || !strings.HasSuffix(p.Key, "time") && !strings.HasSuffix(p.Key, "for") {
			f.Message = atKey(p) + ": a colon is no part of a number"
			f.Next = "write one number with a decimal point where one is needed; nothing was read"
			return
		}
		f.Message = fmt.Sprintf("%s: %d min %d s (%d s) or %s.%s s? not guessed", atKey(p), m, s, 60*m+s, minutes, seconds)
		f.Next = fmt.Sprintf("write seconds only: %d s or %s.%s s; nothing was read", 60*m+s, minutes, seconds)
	},
	Grade: Action,
}
