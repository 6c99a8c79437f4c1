package checks

import "needlebook/logbook"

var byteOrderMark = &Check{
	Name:    "byte-order-mark",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A file begins with a byte-order mark. It is read all the same; but git shows the first line as changed when " +
		"another editor drops the mark, and " +
		"other programs then find no front matter. Save as UTF-8 without a byte-order mark.",
	Source:  "The Unicode Standard, section 23.8, byte order mark; from memory",
	Example: `a byte-order mark before the first character`,
	Slips:   []string{logbook.SlipByteOrderMark},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message, f.Next = p.Found, "save as "+p.Expected
		f.Rests.Words = "files saved with a byte-order mark" // by one editor, where there are many
	},
	Grade: Note,
}
