package rounds

import (
	"slices"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/keys"
)

// NotOpened is what the record of a spare that is tested again says of its assembly.
const NotOpened = "not done (not opened, tested again as it lay)"

// spareRow takes the test of a ready spare that goes in as it lay.
func (k *taking) spareRow(l line) {
	holder, _ := k.t.cell(l.Row, "holder")
	l.at.Cylinder = SpareRow(holder)
	if k.short(l) {
		return
	}
	d, astray := &doc{tested: true}, &doc{}
	k.take(l, d, false)
	k.take(l, astray, true)
	d.entries, astray.entries = ofTheSpare(d.entries, astray.entries)
	if len(d.entries)+len(d.unsure)+len(astray.entries) == 0 {
		return
	}
	day, err := logbook.ParseDay(d.entry(keys.AsLeftDate))
	switch work := d.worksOn(); {
	case holder == "":
		k.doubt(l, "holder", "", "the serial as it is stamped: nothing of the row is written without")
		return
	case !work && len(astray.entries) == 0:
		k.Idle = append(k.Idle, l.at.String())
		return
	case !k.knownHolder(l, "holder", holder):
		return
	case err != nil && d.entry(keys.AsLeftDate) == "" && !d.doubts(keys.AsLeftDate):
		k.doubt(l, keys.AsLeftDate, "", "the day of the test: nothing of the row is written without")
		return
	case err != nil:
		return // the cell is in doubt, and said so
	}
	for _, e := range astray.entries {
		k.doubtOf(e, "the row of a spare is its test alone; needlebook enter "+holder+" begins an overhaul")
	}
	if !k.spareSheet(l, d, holder, day) {
		return
	}
	d.compare()
	k.Out[l.at] = d.path
	k.keep(d)
}

// ofTheSpare takes what is not of a spare's row out of its entries.
func ofTheSpare(all, astray []entry) (of, not []entry) {
	for _, e := range all {
		if OfSpare(e.key) {
			of = append(of, e)
		} else {
			astray = append(astray, e)
		}
	}
	return of, astray
}

// worksOn says that a spare's row holds more than the names of the valve.
func (d *doc) worksOn() bool {
	return len(d.unsure) > 0 || slices.ContainsFunc(d.entries, func(e entry) bool {
		return e.key != "holder" && e.key != keys.NozzleLeft
	})
}

func (d *doc) doubts(key string) bool {
	return slices.ContainsFunc(d.unsure, func(x Doubt) bool { return x.Key == key })
}

// spareSheet finds the record of the test that has begun, else the sheet of a new one.
func (k *taking) spareSheet(l line, d *doc, holder string, day logbook.Day) bool {
	within := int(k.b.Settings().RoundWithin.Float())
	for _, o := range k.b.Lives().Benches(holder) {
		if of := o.AsLeft.Date.Day; !o.Removed.Stated() && of != 0 && of.Days(day) <= within && day.Days(of) <= within {
			d.rec, d.sheet, d.path = o, draft.Of(k.b, o), o.Path
			return true
		}
	}
	if why := k.outOfUse(nil, "holder", holder); why != "" {
		k.doubt(l, "holder", holder, "%s", why)
		return false
	}
	for _, s := range k.b.Lives().OfHolder(holder) {
		if s.To == 0 {
			k.doubt(l, "holder", holder, "it sits in %s by the book: its removal comes first, or read the stamp", s.Position)
			return false
		}
	}
	s, err := draft.OfHolder(k.b, holder, day)
	if err != nil {
		k.doubt(l, "holder", holder, "%v", err)
		return false
	}
	d.sheet, d.path, d.spare = s, s.Path, true
	if read := Plain(d.entry(keys.NozzleLeft), ""); read != "" && s.Nozzle != "" && read != s.Nozzle {
		d.without(keys.NozzleLeft)
		d.unsure = append(d.unsure, k.doubt(l, keys.NozzleLeft, read,
			"the book has nozzle %s in %s: read the stamp", s.Nozzle, holder))
		delete(s.Known, keys.NozzleFound)
		return true
	}
	if left := d.entry(keys.NozzleLeft); left != "" || slices.Contains(d.blank, keys.NozzleLeft) {
		s.Known[keys.NozzleFound] = left
	}
	s.Known[keys.NozzleLeft] = s.Known[keys.NozzleFound]
	d.blank = slices.DeleteFunc(d.blank, func(key string) bool { return key == keys.NozzleFound })
	return true
}

func (d *doc) without(key string) {
	d.entries = slices.DeleteFunc(d.entries, func(e entry) bool { return e.key == key })
}

// testedAsSpare says that a row of this table is the test of a holder as a spare: it cannot have come out as well.
func (k *taking) testedAsSpare(holder string) bool {
	return slices.ContainsFunc(k.order, func(d *doc) bool { return d.tested && d.sheet.Holder == holder })
}
