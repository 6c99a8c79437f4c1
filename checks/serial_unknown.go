package checks

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"needlebook/logbook"
)

var serialUnknown = &Check{
	Name:    "serial-unknown",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Vessel,
	Doc: "A serial that came out, or is said to be fitted, is not known in this book, or a new one differs from a known " +
		"one only by characters that look alike (0 and O, 1 and I and 7, 5 and S, 8 and B). " +
		"A part under two names has two half histories: its hours and its wear are lost. Read the stamp again under a " +
		"lens; correct the record, or give the part its own file if it is new. " +
		"A tag that names another holder or nozzle than its record is asked about too: whoever fits the valve " +
		"reads the tag. " +
		"A serial is known from the opening state, from its part's file, from stores, or from the record that built it in.",
	Source:  "common practice, no source",
	Example: `holder "H-1O4" is not known in this book: perhaps H-104`,
	Grade:   Action,
	Whole: func(c *Case) {
		k := knownSerials(c.Book)
		for _, o := range c.Book.Overhauls {
			checkSerials(c, k, o)
			c.tagUnlike(o)
		}
		c.storedUnknown()
		for _, d := range c.Book.Deferrals {
			for _, s := range []logbook.Serial{d.Holder, d.Nozzle} {
				c.unknown(k, "part", s, About{Holder: d.Holder.Written, Nozzle: d.Nozzle.Written}, 0, "")
			}
		}
	},
}

// serials are the identities of a book: each with the day from which it is known, 0 for those known from the start.
type serials struct {
	since  map[string]logbook.Day
	folded map[string][]string // serials by the form in which look-alikes are one
}

func knownSerials(b *logbook.Book) *serials {
	k := &serials{since: map[string]logbook.Day{}, folded: map[string][]string{}}
	add := func(s string, day logbook.Day) {
		if s == "" || strings.Contains(s, "?") {
			return
		}
		before, met := k.since[s]
		if !met {
			k.folded[foldSerial(s)] = append(k.folded[foldSerial(s)], s)
		}
		if !met || day < before {
			k.since[s] = day
		}
	}
	for _, f := range b.Vessel.Opening.Fitted {
		add(f.Holder.Written, 0)
		add(f.Nozzle.Written, 0)
	}
	for _, r := range b.Vessel.Opening.Rack {
		add(r.Holder.Written, 0)
		add(r.Nozzle.Written, 0)
	}
	for _, p := range b.Parts {
		add(p.Number(), 0)
	}
	for _, m := range b.Stock {
		add(m.Serial.Written, 0)
	}
	for _, o := range b.Overhauls {
		if !o.Removed.Stated() {
			add(o.Holder.Written, o.Day())
		}
		if o.Nozzle.Left.Written != o.Nozzle.Found.Written || !o.Removed.Stated() {
			add(o.Nozzle.Left.Written, o.Day())
		}
	}
	for _, list := range k.folded {
		sort.Strings(list)
	}
	return k
}

// storedUnknown reports a serial of the stores that nothing else names, where nearly all others have a file, a record
// or a second line.
func (c *Case) storedUnknown() {
	named := map[string]int{}
	for _, f := range c.Book.Vessel.Opening.Fitted {
		named[f.Holder.Written]++
		named[f.Nozzle.Written]++
	}
	for _, r := range c.Book.Vessel.Opening.Rack {
		named[r.Holder.Written]++
		named[r.Nozzle.Written]++
	}
	for _, p := range c.Book.Parts {
		named[p.Number()]++
	}
	for _, o := range c.Book.Overhauls {
		for _, s := range []logbook.Serial{o.Holder, o.Nozzle.Found, o.Nozzle.Left} {
			named[s.Written]++
		}
	}
	for _, m := range c.Book.Stock {
		named[m.Serial.Written]++
	}
	known := 0
	var alone []logbook.Serial
	for _, m := range c.Book.Stock {
		switch {
		case !m.Serial.Stated() || m.Serial.Unreadable():
		case named[m.Serial.Written] > 1:
			known++
		default:
			alone = append(alone, m.Serial)
		}
	}
	if float64(known) < c.Settings.SetBaseline.Value || 8*len(alone) > known {
		return // new parts get no file on this ship
	}
	for _, s := range alone {
		c.Report(Finding{Place: s.Place, Grade: Advice, About: About{Nozzle: s.Written},
			Message: fmt.Sprintf("serial %s of the stores is named nowhere else; %s", s.Written,
				numbered(known, "other is", "others are")),
			Next: "read the stamp or the paper again; correct the serial, or give the part its file"})
	}
}

// lookAlikes brings characters that are taken for one another on a worn stamp to one form.
var lookAlikes = strings.NewReplacer("O", "0", "I", "1", "L", "1", "7", "1", "S", "5", "B", "8", "Z", "2", "-", "", " ",
	"", ".", "", "_", "", "/", "")

// foldSerial is a serial without case, separators and noughts in front, with look-alikes made one.
func foldSerial(s string) string {
	return strings.TrimLeft(lookAlikes.Replace(strings.ToUpper(s)), "0")
}

func checkSerials(c *Case, k *serials, o *logbook.Overhaul) {
	a := about(o)
	if o.Removed.Stated() {
		period := c.Lives.ClosedBy(o)
		holder, nozzle := "", ""
		if period != nil {
			holder, nozzle = period.ReadHolder, period.ReadNozzle
		}
		c.unknown(k, "holder", o.Holder, a, o.Day(), holder)
		c.unknown(k, "nozzle", o.Nozzle.Found, a, o.Day(), nozzle)
	}
	c.unknown(k, "holder", o.Fitted.Holder, a, o.Fitted.Date.Day, o.Holder.Written)
	c.unknown(k, "nozzle", o.Fitted.Nozzle, a, o.Fitted.Date.Day, o.Nozzle.Left.Written)
	if !o.Removed.Stated() {
		c.looksLike(k, "holder", o.Holder, a)
	}
	if o.Nozzle.Left.Written != o.Nozzle.Found.Written {
		c.looksLike(k, "nozzle", o.Nozzle.Left, a)
	}
}

// unknown reports a serial that nothing in the book brings in by that day. expected is what should stand there; where
// that is not known either, the book has no opening state for the place, and only a near miss is reported.
func (c *Case) unknown(k *serials, part string, s logbook.Serial, a About, day logbook.Day, expected string) {
	if !s.Stated() || s.Unreadable() {
		return
	}
	if since, ok := k.since[s.Written]; ok && (since <= day || day == 0) || s.Written == expected {
		return
	}
	near := k.near(s.Written, expected)
	if len(near) == 0 && expected == "" && day != 0 {
		return
	}
	f := Finding{Place: s.Place, About: a, Message: fmt.Sprintf("%s %q is not known in this book", part, s.Written),
		Next: "read the stamp again; correct the record, or give a new part its own file under parts/"}
	if since, ok := k.since[s.Written]; ok {
		f.Message = fmt.Sprintf("%s %q comes into this book only on %s", part, s.Written, since)
	} else if len(near) > 0 {
		f.origin = &logbook.Problem{}
		f.Message += ": perhaps " + strings.Join(near, " or ")
	}
	c.Report(f)
}

// looksLike reports a new serial that differs from a known one only in case, separators, or a letter that looks like a
// digit.
func (c *Case) looksLike(k *serials, part string, s logbook.Serial, a About) {
	if !s.Stated() || s.Unreadable() || c.Book.Part(part, s.Written) != nil {
		return
	}
	for _, other := range k.folded[foldSerial(s.Written)] {
		if other == s.Written || digits(other) == digits(s.Written) && plainSerial(other) != plainSerial(s.Written) {
			continue // the same serial, or two of one kind that differ in a real digit: 2011 and 2017
		}
		if since := k.since[other]; since > k.since[s.Written] {
			continue // the other one came later and has the finding
		}
		c.Report(Finding{Place: s.Place, About: a, Message: fmt.Sprintf("new %s %q looks like the known %s", part, s.Written,
			other),
			Next: "read the stamp again; correct the record, or give the new part its own file under parts/"})
		return
	}
}

var separators = strings.NewReplacer("-", "", " ", "", ".", "", "_", "", "/", "")

func plainSerial(s string) string {
	return separators.Replace(strings.ToUpper(s))
}

// digits counts the digits of a serial.
func digits(s string) int {
	n := 0
	for _, r := range s {
		if r >= '0' && r <= '9' {
			n++
		}
	}
	return n
}

// near lists up to three known serials that a written one may be meant for: the one that sat there first, then
// look-alikes, then those one slip of the finger away.
func (k *serials) near(written, expected string) []string {
	var near []string
	add := func(s string) {
		if s != "" && s != written && len(near) < 3 && !slices.Contains(near, s) {
			near = append(near, s)
		}
	}
	if add(expected); foldSerial(expected) == foldSerial(written) || logbook.OneApart(expected, written) {
		return near
	}
	for _, s := range k.folded[foldSerial(written)] {
		add(s)
	}
	if len(k.folded[foldSerial(written)]) > 0 {
		return near
	}
	all := make([]string, 0, len(k.since))
	for s := range k.since {
		if logbook.OneApart(s, written) {
			all = append(all, s)
		}
	}
	sort.Strings(all)
	for _, s := range all {
		add(s)
	}
	return near
}
