package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"needlebook/logbook"
)

// wordsOf are the words of a tag.
func wordsOf(tag logbook.Text) []string {
	return strings.FieldsFunc(tag.Written, func(r rune) bool {
		return unicode.IsSpace(r) || strings.ContainsRune(",;/|()", r)
	})
}

// tagUnlike asks about a tag that names a serial written like the holder's or the nozzle's of its record, and not that
// one. Of a serial without letters nothing is known: a year and a pressure are written like it.
func (c *Case) tagUnlike(o *logbook.Overhaul) {
	words := wordsOf(o.Stored.Tag)
	same := func(s string) func(string) bool {
		return func(w string) bool { return plainSerial(w) == plainSerial(s) }
	}
	for _, x := range []struct {
		name      string
		is, other logbook.Serial
	}{{"holder", o.Holder, o.Nozzle.Left}, {"nozzle as left", o.Nozzle.Left, o.Holder}} {
		s := x.is.Written
		if !x.is.Stated() || x.is.Unreadable() || !strings.ContainsFunc(s, unicode.IsLetter) || digits(s) == 0 ||
			slices.ContainsFunc(words, same(s)) {
			continue
		}
		for _, w := range words {
			if same(x.other.Written)(w) || formOf(w) != formOf(s) && !logbook.OneApart(plainSerial(w), plainSerial(s)) {
				continue
			}
			c.Report(Finding{Place: o.Stored.Tag.Place, About: about(o), Related: []Related{{x.is.Place, x.name}},
				Message: "tag names " + w + ", " + x.name + " is " + s,
				Next:    "read the stamp: correct the tag on the valve, or the serial"})
			break
		}
	}
}

// tagPressures asks about a tag whose one number is none of the readings as left, where nearly all tags of the book
// have one of them.
func (c *Case) tagPressures() {
	var unlike []Finding
	same := 0
	for _, o := range c.Book.Overhauls {
		is, readings := "", o.AsLeft.Opening.Valid()
		for _, w := range wordsOf(o.Stored.Tag) {
			if strings.Trim(w, "0123456789") == "" && !strings.HasSuffix(o.Nozzle.Left.Written, w) &&
				!strings.HasSuffix(o.Holder.Written, w) {
				is += " " + w
			}
		}
		is = strings.TrimSpace(is)
		switch {
		case len(readings) == 0 || is == "" || strings.Contains(is, " "):
		case o.AsLeft.Closing.Valid() && o.AsLeft.Closing.Number() == is: // the readings are exchanged, and told as that
		case slices.ContainsFunc(readings, func(a logbook.Amount) bool { return a.Number() == is }):
			same++
		default:
			unlike = append(unlike, Finding{Place: o.Stored.Tag.Place, About: about(o), Grade: Advice,
				Message: fmt.Sprintf("tag says %s, opening pressure as left %s", is, o.AsLeft.Opening.Median()),
				Related: []Related{{o.AsLeft.Opening.Place, "as left"}},
				Next:    "correct the tag on the valve, or the figure"})
		}
	}
	c.unlikeTheBook(unlike, same)
}

// fewOf is the part of a book's entries that may be otherwise where all others show how the book is kept: from memory.
const fewOf = 8

// unlikeTheBook reports what is otherwise than nearly all else of its kind; same is how many are not. Where many are
// otherwise, the book is not kept so.
func (c *Case) unlikeTheBook(unlike []Finding, same int) {
	if float64(same) < c.Settings.SetBaseline.Value || fewOf*len(unlike) > same {
		return
	}
	for _, f := range unlike {
		c.Report(f)
	}
}

// inRack is the time of a valve in one place of the spares rack: from the day it was stored until it left; a time that
// still lasts has no last day.
type inRack struct {
	holder   string
	place    logbook.Text
	from, to logbook.Day
	of       *logbook.Overhaul // nil for the starting state
}

// placesTaken asks about a valve in a numbered place of the spares rack in which another one is, in a book that has
// its places for one valve each.
func (c *Case) placesTaken() {
	rack := map[string][]inRack{}
	add := func(v inRack, ends ...logbook.Day) {
		if !v.place.Stated() || !strings.ContainsFunc(v.place.Written, unicode.IsDigit) || v.from == 0 {
			return
		}
		if e, gone := c.Book.EndOf("holder", v.holder); gone {
			ends = append(ends, e.Day)
		}
		for _, d := range ends {
			if d >= v.from && (v.to == 0 || d < v.to) {
				v.to = d
			}
		}
		rack[v.place.Written] = append(rack[v.place.Written], v)
	}
	for _, x := range c.Book.Vessel.Opening.Rack {
		v := inRack{holder: x.Holder.Written, place: x.Spot, from: c.Book.Vessel.Opening.Date.Day}
		ends := []logbook.Day{x.Fitted.Date.Day}
		if all := c.Lives.Benches(v.holder); len(all) > 0 {
			ends = append(ends, all[0].Day(), all[0].Fitted.Date.Day)
		}
		add(v, ends...)
	}
	for _, o := range c.Book.Overhauls {
		v := inRack{holder: o.Holder.Written, place: o.Stored.Spot, from: o.Stored.Date.Day, of: o}
		ends := []logbook.Day{o.Fitted.Date.Day, o.Landed.Date.Day}
		if next := nextBench(c, o); next != nil {
			ends = append(ends, next.Day())
		}
		add(v, ends...)
	}
	var taken []Finding
	alone := 0
	for _, place := range slices.Sorted(maps.Keys(rack)) {
		all := rack[place]
		slices.SortStableFunc(all, func(x, y inRack) int { return cmp.Compare(x.from, y.from) })
		for i, v := range all {
			there := slices.IndexFunc(all[:i], func(w inRack) bool {
				return w.holder != v.holder && (w.to == 0 || v.from < w.to) && (v.to == 0 || w.from < v.to)
			})
			if there < 0 || v.of == nil {
				alone++
				continue
			}
			w := all[there]
			taken = append(taken, Finding{Place: v.place.Place, About: about(v.of), Grade: Advice,
				Message: fmt.Sprintf("place %s of the spares rack: %s is there from %s on", place, w.holder, w.from),
				Related: []Related{{w.place.Place, "the other valve"}},
				Next:    "look at the rack: correct the place, or write where the other valve went"})
		}
	}
	c.unlikeTheBook(taken, alone)
}
