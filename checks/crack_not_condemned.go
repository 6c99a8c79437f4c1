package checks

import (
	"regexp"
	"strings"

	"needlebook/logbook"
)

var crackNotCondemned = &Check{
	Name:    "crack-not-condemned",
	Subject: OfNozzle,
	Ends:    scrapped,
	Version: 1,
	Level:   Record,
	Doc: "A crack is recorded and the cracked part is not taken out of use. A cracked nozzle or holder is under the " +
		"full pressure of every injection: the crack " +
		"grows, the tip falls into the cylinder or fuel sprays outside. Cracked parts are not reused at any hours: mark " +
		"the part condemned. One that was only " +
		"renewed is out of this valve, but nothing keeps it from being fitted again: that asks for an answer.",
	Source:  "common practice, no source",
	Example: `crack recorded at the tip, nozzle decided reuse`,
	Holds:   wasDecided,
	Each: func(c *Case, o *logbook.Overhaul) {
		seen := map[string]bool{}
		for _, p := range o.Inspected.Places() {
			part, out := outOfUse(o, p)
			if !p.Word.Is("cracked") || seen[part] {
				continue
			}
			seen[part] = true
			if out {
				c.crackedPartLies(o, p)
				continue
			}
			of := Subject{OfHolder, o.Holder.Written} // small parts belong to it
			if p.Part == "nozzle" {
				of = Subject{OfNozzle, o.Nozzle.Found.Written}
			}
			c.Report(Finding{Place: p.Word.Place, Subject: of, About: about(o),
				Message: "crack recorded at the " + p.Name + ", " + part,
				Next: "a cracked part is not reused at any hours: decide renew or condemn, and tag the part so that " +
					"nobody can fit it"})
		}
		finds := o.Stripped.Finds
		if len(seen) > 0 || !mentionsCrack(finds.Written) || o.Decided.Nozzle.Is("renew", "condemn") ||
			o.Decided.Holder.Is("renew", "condemn") {
			return
		}
		c.Report(Finding{Place: finds.Place,
			Message: "a crack was found when the valve was stripped, and no part is renewed or condemned", About: about(o),
			Next: "name the cracked place under inspected, and decide renew or condemn for the part"})
	},
	Grade: Stop,
}

// crackedPartLies asks for the mark on a cracked nozzle or holder that was renewed: neither the record nor the part's
// own file says that it is condemned.
func (c *Case) crackedPartLies(o *logbook.Overhaul, p logbook.PlaceSeen) {
	kind, serial, word := "holder", o.Holder.Written, o.Decided.Holder
	if p.Part == "nozzle" {
		kind, serial, word = "nozzle", o.Nozzle.Found.Written, o.Decided.Nozzle
	}
	part := c.Book.Part(kind, serial)
	if !word.Is("renew") || serial == "" || part != nil && part.Condemned.Stated() {
		return
	}
	c.Report(Finding{Place: p.Word.Place, Subject: partSubject(kind, serial), Grade: Action,
		Message: "crack recorded at the " + p.Name + " of " +
			serial +
			", which was renewed but is not marked condemned", About: about(o),
		Next: "write condemned: {date: …, why: …} into parts/" + logbook.FileName(serial) +
			".md, and tag or destroy the part"})
}

// outOfUse says which decision on a cracked place is missing, or that the part is out of use.
func outOfUse(o *logbook.Overhaul, place logbook.PlaceSeen) (decision string, out bool) {
	decided := func(part string, w logbook.Word) (string, bool) {
		if !w.Stated() {
			return part + " not decided", false
		}
		return part + " decided " + w.Written, w.Is("renew", "condemn")
	}
	switch place.Part {
	case "nozzle":
		return decided(place.Part, o.Decided.Nozzle)
	case "holder":
		return decided(place.Part, o.Decided.Holder)
	case "spring":
		return decided(place.Part, o.Decided.Spring)
	}
	for _, p := range o.Assembled.Parts { // a small part is renewed by building in a new one
		if strings.Contains(strings.ToLower(p.Part.Written), place.Part) {
			return "", true
		}
	}
	_, out = decided("holder", o.Decided.Holder)
	return "and no new " + place.Part + " is named under parts", out
}

var (
	crackWord = regexp.MustCompile(`(?i)\bcrack(s|ed)?\b`)
	denied    = regexp.MustCompile(`(?i)\b(no|not|none|without|free)\b`)
)

// mentionsCrack says that a clause of the text speaks of a crack and does not deny it.
func mentionsCrack(text string) bool {
	for _, clause := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(".;,:", r) }) {
		if crackWord.MatchString(clause) && !denied.MatchString(clause) {
			return true
		}
	}
	return false
}
