package checks

import (
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var thousandsSeparator = &Check{
	Name:  "thousands-separator",
	Level: Field,
	Doc: "A number holds a comma, point, apostrophe or space that may part its thousands. One reader sees 1250 and the next 1.25, a factor of a " +
		"thousand in hours or pressure, so nothing is read. Write the digits without a separator.",
	Source:  "common practice, no source",
	Example: `removed.counter "1,250": 1250 or 1.25? not guessed`,
	Slips:   []string{measure.SlipThousands},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = atKey(p) + ": " + strings.Join(readings(p.Found), " or ") + "? not guessed"
		f.Next = "type " + strings.Join(readings(p.Found), " or ") + ", whichever is meant, without a separator; nothing was read"
		if len(readings(p.Found)) == 1 {
			f.Next = "type " + readings(p.Found)[0] + " if that is meant; nothing was read"
		}
	},
	Grade: Answer,
}

// readings are the numbers that a text with separators may mean.
func readings(text string) []string {
	digits := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r == '-' || r == '+' {
			return r
		}
		return -1
	}, text)
	if strings.Count(text, ",") == 1 && len(digits) == len(text)-1 {
		whole, fraction, _ := strings.Cut(text, ",")
		fraction = strings.TrimRight(fraction, "0")
		if fraction != "" {
			return []string{digits, whole + "." + fraction}
		}
	}
	return []string{digits}
}
