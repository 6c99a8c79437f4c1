package checks

import (
	"strings"
	"unicode"

	"needlebook/logbook"
)

var rejectedWithoutFinding = &Check{
	Name:    "rejected-without-finding",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "A nozzle or holder is renewed or condemned, and the record hardly says why. \"bad\" tells the next crew " +
		"nothing, and what eats nozzles on one cylinder can only be " +
		"found from what was seen on each. Write what was seen and where, in a few words.",
	Source:  "our own advice",
	Example: `nozzle decided renew, but no finding written: "bad"`,
	Holds:   wasDecided,
	Each: func(c *Case, o *logbook.Overhaul) {
		d := o.Decided
		if severalWords(d.Why.Written) || o.Stripped.Finds.Stated() || o.Inspected.Note.Stated() ||
			strings.TrimSpace(o.Remarks) != "" || seenAmiss(c, o) {
			return
		}
		said := ""
		if d.Why.Stated() {
			said = `: "` + d.Why.Written + `"`
		}
		for _, p := range []struct {
			name string
			word logbook.Word
		}{{"nozzle", d.Nozzle}, {"holder", d.Holder}} {
			if p.word.Is("renew", "condemn") {
				c.Report(Finding{Place: p.word.Place, Message: p.name + " decided " + p.word.Written + ", but no finding written" +
					said, About: about(o), Next: "write what was seen, and where"})
			}
		}
	},
	Grade: Advice,
}

// severalWords says that a text has more than one word. Scripts written without spaces take two or three characters a
// word.
func severalWords(text string) bool {
	unspaced := 0
	for _, r := range text {
		if unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Thai, unicode.Lao, unicode.Khmer,
			unicode.Myanmar) {
			unspaced++
		}
	}
	return len(strings.Fields(text)) > 1 || unspaced > 3
}

// seenAmiss says that a place was found in bad order, or a measurement beyond its limit: the record then says itself
// why.
func seenAmiss(c *Case, o *logbook.Overhaul) bool {
	for _, p := range o.Inspected.Places() {
		if p.Word.Is("marked", "damaged", "cracked") {
			return true
		}
	}
	for _, v := range c.Judged.Of(o) {
		if v.Result.Out() && !strings.HasPrefix(v.Key, "as_left") && !strings.HasPrefix(v.Key, "fitted") &&
			!strings.HasSuffix(v.Key, "/look") {
			return true
		}
	}
	return false
}
