package checks

import (
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var thousandsSeparator = &Check{
	Name:    "thousands-separator",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A number holds a comma, point, apostrophe or space that may part its thousands. One reader sees 1250 and the " +
		"next 1.25, a factor of a " +
		"thousand in hours or pressure, so nothing is read. In hours and counters that goes for a point as well; the " +
		"readings before and after it, and the rest of the file, tell " +
		"which is likelier. Write the digits without a separator. A thin or no-break space between groups of three digits, " +
		"and in hours a plain one, can only part thousands and is read.",
	Source: "ISO 80000-1, 7.3.1 (groups of three digits are parted by a small space); for the rest common " +
		"practice, no source",
	Example: `removed.counter "1,250": 1250 h or 1.25 h? not guessed`,
	Slips:   []string{measure.SlipThousands},
	Words: func(p logbook.Problem, f *Finding) {
		if len(p.Meant) == 0 {
			f.Next = "write " + p.Expected + "; nothing was read"
			return
		}
		f.Message = atKey(p) + ": " + strings.Join(p.Meant, " or ") + "? not guessed"
		switch {
		case len(p.Meant) == 1:
			f.Next += " if that is meant"
		case p.Type != "":
			f.Next += ", which fits the rest"
		}
		f.Next += "; nothing was read"
	},
	Grade: Action,
}
