package checks

import (
	"strings"
	"unicode"

	"needlebook/logbook"
)

var serialLetters = &Check{
	Name:    "serial-letters",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Vessel,
	Doc: "A serial or an id holds a letter of another alphabet, foreign digits, a quotation mark or another sign, which " +
		"the others of the book do not. A Cyrillic Е looks like a Latin E and is another letter: the part is then " +
		"another part, " +
		"and its hours are lost from sight. Type it with the letters that the other serials have. A book whose serials are " +
		"of that alphabet is not asked. A holder written like the nozzles with a nozzle written like the holders is " +
		"asked too: the two are exchanged.",
	Source:  "Unicode TR39, confusable characters; the list is from memory",
	Example: `serial "501Е8" has the letter "Е", which the other serials do not`,
	Grade:   Action,
	Whole: func(c *Case) {
		var serials, people []logbook.Serial
		for _, p := range c.Book.Parts {
			serials = append(serials, p.Serial)
		}
		for _, m := range c.Book.Stock {
			serials = append(serials, m.Serial)
		}
		for _, x := range c.Book.Vessel.Opening.Fitted {
			serials = append(serials, x.Holder, x.Nozzle)
		}
		for _, x := range c.Book.Vessel.Opening.Rack {
			serials = append(serials, x.Holder, x.Nozzle)
		}
		for _, o := range c.Book.Overhauls {
			serials = append(serials, o.Holder, o.Nozzle.Found, o.Nozzle.Left)
			people = append(people, o.By, o.FittedBy, o.CheckedBy)
		}
		for _, s := range c.Book.Crew {
			people = append(people, s.ID)
		}
		c.strange("serial", serials)
		c.exchangedSerials()
		c.strange("id", people)
	},
}

// eachValve goes through the holders and nozzles that stand together: in the starting state, and in each record as
// found and as left.
func (c *Case) eachValve(do func(holder, nozzle logbook.Serial)) {
	for _, x := range c.Book.Vessel.Opening.Fitted {
		do(x.Holder, x.Nozzle)
	}
	for _, x := range c.Book.Vessel.Opening.Rack {
		do(x.Holder, x.Nozzle)
	}
	for _, o := range c.Book.Overhauls {
		do(o.Holder, o.Nozzle.Found)
		do(o.Holder, o.Nozzle.Left)
	}
}

// exchangedSerials asks about a valve whose holder is written like the nozzles and whose nozzle like the holders, in a
// book where no other holder is written like a nozzle.
func (c *Case) exchangedSerials() {
	type valve struct{ holder, nozzle logbook.Serial }
	var all []valve
	add := func(h, n logbook.Serial) {
		if h.Stated() && n.Stated() {
			all = append(all, valve{h, n})
		}
	}
	c.eachValve(add)
	holders, nozzles := map[string]int{}, map[string]int{}
	for _, v := range all {
		holders[formOf(v.holder.Written)]++
		nozzles[formOf(v.nozzle.Written)]++
	}
	least := int(c.Settings.SetLeast.Value)
	for _, v := range all {
		h, n := formOf(v.holder.Written), formOf(v.nozzle.Written)
		if holders[h] == 1 && nozzles[h] >= least && nozzles[n] == 1 && holders[n] >= least {
			c.Report(Finding{Place: v.holder.Place, Related: []Related{{v.nozzle.Place, "the nozzle"}},
				About: About{Holder: v.holder.Written, Nozzle: v.nozzle.Written}, Message: "holder " + v.holder.Written +
					" is written like the nozzles, nozzle " + v.nozzle.Written + " like the holders",
				Next: "are the two exchanged?"})
		}
	}
}

// strange reports the names with a character that fewer than half of them are written in the kind of.
func (c *Case) strange(what string, names []logbook.Serial) {
	odd := func(r rune) bool {
		return r > unicode.MaxASCII || strings.ContainsRune("\"'`|=+*!;:,()[]{}<>#&%$@~^\\", r)
	}
	stated, of := 0, 0
	for _, s := range names {
		if s.Stated() {
			stated++
			if strings.ContainsFunc(s.Written, odd) {
				of++
			}
		}
	}
	if 2*of >= stated {
		return
	}
	for _, s := range names {
		i := strings.IndexFunc(s.Written, odd)
		if !s.Stated() || i < 0 {
			continue
		}
		f := Finding{Place: s.Place, Message: what + ` "` + s.Written + `" has "` + string([]rune(s.Written[i:])[0]) +
			`", which the other ones do not`, Next: "type it with the letters and digits of the others"}
		if latin := latinAlike.Replace(s.Written); !strings.ContainsFunc(latin, odd) && latin != "" {
			f.offer(typed(s.Leaf, latin), "")
		}
		f.origin = &logbook.Problem{}
		c.Report(f)
	}
}

// latinAlike turns letters and digits that look like Latin ones into those, and takes quotation marks out.
var latinAlike = strings.NewReplacer(
	"А", "A", "В", "B", "Е", "E", "З", "3", "К", "K", "М", "M", "Н", "H", "О", "O", "Р", "P", "С", "C", "Т", "T", "У", "Y",
	"Х", "X", "а", "a", "е", "e", "о", "o", "р", "p", "с", "c", "у", "y", "х", "x", "і", "i",
	"Α", "A", "Β", "B", "Ε", "E", "Ζ", "Z", "Η", "H", "Ι", "I", "Κ", "K", "Μ", "M", "Ν", "N", "Ο", "O", "Ρ", "P", "Τ", "T",
	"Υ", "Y", "Χ", "X", "ο", "o",
	"‐", "-", "‑", "-", "–", "-", "—", "-", "−", "-", "“", "", "”", "", "‘", "", "’", "", `"`, "", "'", "", "`", "",
	"|", "",
	"٠", "0", "١", "1", "٢", "2", "٣", "3", "٤", "4", "٥", "5", "٦", "6", "٧", "7", "٨", "8", "٩", "9",
	"۰", "0", "۱", "1", "۲", "2", "۳", "3", "۴", "4", "۵", "5", "۶", "6", "۷", "7", "۸", "8", "۹", "9",
	"०", "0", "१", "1", "२", "2", "३", "3", "४", "4", "५", "5", "६", "6", "७", "7", "८", "8", "९", "9",
	"０", "0", "１", "1", "２", "2", "３", "3", "４", "4", "５", "5", "６", "6", "７", "7", "８", "8", "９", "9",
)
