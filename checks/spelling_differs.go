package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"needlebook/logbook"
)

var spellingDiffers = &Check{
	Name:    "spelling-differs",
	Subject: OfRecord,
	Ends:    writing,
	Version: 3,
	Level:   Vessel,
	Doc: "A fuel, an item, a part number, a lubricant or a serial is written in two ways that differ only in dashes, " +
		"blanks, other marks or capitals. Whatever is looked for by its name is found under one of them and missed under " +
		"the other: the consumption of a fuel, the stock of a part, the life of a nozzle. " +
		"A serial that no other place has is held against the others of its letters, and against the form that most " +
		"have: a letter among digits, a nought in front left out; " +
		"the id of a person likewise, and the marking of a nozzle against what the same nozzle bears elsewhere. Write one " +
		"of the two everywhere. " +
		"Where another check speaks of the name, this one is silent.",
	Source:  "our own rule",
	Example: `fuel "low/sulphur blend" is "low-sulphur blend" in running/me1.csv`,
	Grade:   Advice,
	Yields:  true,
	Whole: func(c *Case) {
		c.serialsSpelled()
		c.idsSpelled()
		c.markingsDiffer()
		var fuels, items, numbers, lubricants []logbook.Text
		for _, r := range c.Book.Bunkers {
			fuels = append(fuels, r.Grade)
		}
		for _, r := range c.Book.Running {
			fuels = append(fuels, r.Fuel)
		}
		for _, m := range c.Book.Stock {
			items, numbers = append(items, m.Item), append(numbers, m.PartNo)
		}
		for _, p := range c.Book.Parts {
			numbers = append(numbers, p.PartNo)
		}
		for _, o := range c.Book.Overhauls {
			numbers = append(numbers, o.Assembled.Seals.PartNo)
			for _, used := range o.Assembled.Parts {
				numbers = append(numbers, used.PartNo)
			}
			fuels = append(fuels, o.AsFound.RunningBefore.Fuel, o.RunningAfter.Fuel)
			lubricants = append(lubricants, o.Assembled.NozzleNut.Lubricant, o.Fitted.ClampNuts.Lubricant,
				o.Fitted.PipeNut.Lubricant)
		}
		c.spelled("fuel", fuels)
		c.spelled("item", items)
		c.spelled("part number", numbers)
		c.spelled("lubricant", lubricants)
	},
}

// markingsDiffer reports the marking of a nozzle that differs from what the same nozzle bears in most other places, and
// of two places in the later one: it is stamped, and stays.
func (c *Case) markingsDiffer() {
	borne := map[string][]logbook.Text{} // by nozzle, in the order of the book
	add := func(nozzle logbook.Serial, marking logbook.Text) {
		if nozzle.Stated() && !nozzle.Unreadable() && marking.Stated() {
			borne[nozzle.Written] = append(borne[nozzle.Written], marking)
		}
	}
	for _, x := range c.Book.Vessel.Opening.Fitted {
		add(x.Nozzle, x.Marking)
	}
	for _, x := range c.Book.Vessel.Opening.Rack {
		add(x.Nozzle, x.Marking)
	}
	for _, p := range c.Book.Parts {
		if p.Kind.Is("nozzle") {
			add(p.Serial, p.Marking)
		}
	}
	for _, o := range c.Book.Overhauls {
		add(o.Nozzle.Found, o.Nozzle.MarkingFound)
		add(o.Nozzle.Left, o.Nozzle.Marking)
	}
	for _, nozzle := range slices.Sorted(maps.Keys(borne)) {
		times, all := map[string]int{}, borne[nozzle]
		usual := all[0]
		for _, m := range all {
			if times[m.Written]++; times[m.Written] > times[usual.Written] {
				usual = m
			}
		}
		for _, m := range all {
			if m.Written != usual.Written {
				c.Report(Finding{Place: m.Place, About: aboutPath(c.Book, m.Place.Path),
					Message: fmt.Sprintf("marking %q of nozzle %s, in %s %q", m.Written, nozzle,
						numbered(times[usual.Written], "other place", "other places"), usual.Written),
					Related: []Related{{usual.Place, "as it is there"}},
					Next:    "look at the stamp: a marking stays, and another one is another nozzle"})
			}
		}
	}
}

// idsSpelled reports the one id of a person that has a blank, where no other has.
func (c *Case) idsSpelled() {
	blank, plain := map[string]logbook.Serial{}, map[string]bool{}
	for _, p := range c.Book.Crew {
		if strings.ContainsFunc(p.ID.Written, unicode.IsSpace) {
			blank[p.ID.Written] = p.ID
		} else if p.ID.Stated() {
			plain[p.ID.Written] = true
		}
	}
	for _, id := range blank {
		if len(blank) == 1 && len(plain) > 1 {
			c.Report(Finding{Place: id.Place, About: About{Person: id.Written}, Next: "write it as the records have it",
				Message: fmt.Sprintf("id %q has a blank, none of the %d others has one", id.Written, len(plain))})
		}
	}
}

// serialsSpelled looks at the serials of holders and of nozzles, two series. Those of the stores are of nozzles.
func (c *Case) serialsSpelled() {
	var holders, nozzles []logbook.Text
	add := func(list *[]logbook.Text, s logbook.Serial) {
		if s.Stated() && !s.Unreadable() {
			*list = append(*list, logbook.Text(s))
		}
	}
	both := func(holder, nozzle logbook.Serial) {
		add(&holders, holder)
		add(&nozzles, nozzle)
	}
	for _, x := range c.Book.Vessel.Opening.Fitted {
		both(x.Holder, x.Nozzle)
	}
	for _, x := range c.Book.Vessel.Opening.Rack {
		both(x.Holder, x.Nozzle)
	}
	for _, o := range c.Book.Overhauls {
		both(o.Holder, o.Nozzle.Found)
		both(o.Fitted.Holder, o.Fitted.Nozzle)
		add(&nozzles, o.Nozzle.Left)
	}
	for _, d := range c.Book.Deferrals {
		both(d.Holder, d.Nozzle)
	}
	for _, m := range c.Book.Stock {
		add(&nozzles, m.Serial)
	}
	for _, p := range c.Book.Parts {
		switch {
		case p.Kind.Is("holder"):
			add(&holders, p.Serial)
		case p.Kind.Is("nozzle"):
			add(&nozzles, p.Serial)
		}
	}
	c.spelled("holder", holders)
	c.spelled("nozzle", nozzles)
	c.formDiffers("holder", holders)
	c.formDiffers("nozzle", nozzles)
}

// formDiffers asks about a serial that alone has the case or the marks it has, where others of the same letters and as
// many digits have other ones: ng.7631 among NG.7601 to NG.7640. One that has another spelling elsewhere is told by
// spelled.
func (c *Case) formDiffers(what string, serials []logbook.Text) {
	bare, met := map[string]int{}, map[string]bool{}
	forms := map[string][]logbook.Text{} // of each form the serials, once each
	for _, s := range serials {
		if !met[s.Written] {
			met[s.Written] = true
			bare[lettersAlone(s.Written)]++
			forms[formOf(s.Written)] = append(forms[formOf(s.Written)], s)
		}
	}
	usual := map[string]string{} // the form that most serials of the same letters have
	for _, form := range slices.Sorted(maps.Keys(forms)) {
		if u := lettersAlone(form); len(forms[form]) > len(forms[usual[u]]) {
			usual[u] = form
		}
	}
	most := c.usualForm(forms)
	for _, form := range slices.Sorted(maps.Keys(forms)) {
		s, others := forms[form][0], forms[usual[lettersAlone(form)]]
		if len(forms[form]) == 1 && mistyped(s, forms[most]) {
			c.Report(Finding{Place: s.Place, Related: []Related{{forms[most][0].Place, "written the usual way"}},
				Message: fmt.Sprintf("%s %q has another form than %d others, such as %q",
					what, s.Written, len(forms[most]), forms[most][0].Written),
				Next: "look at the stamp: a letter for a digit, or a nought more or less, makes it another part"})
			continue
		}
		if len(forms[form]) == 1 && bare[lettersAlone(s.Written)] == 1 && float64(len(others)) >= c.Settings.SetLeast.Value {
			c.Report(Finding{Place: s.Place, Related: []Related{{others[0].Place, "written the usual way"}},
				Message: fmt.Sprintf("%s %q is written otherwise than %d others, such as %q",
					what, s.Written, len(others), others[0].Written),
				Next: "look at the stamp: case and marks make it another part"})
		}
	}
}

// usualForm is the form that most serials have; empty where none is common enough.
func (c *Case) usualForm(forms map[string][]logbook.Text) string {
	most, all := "", 0
	for _, form := range slices.Sorted(maps.Keys(forms)) {
		if all += len(forms[form]); len(forms[form]) > len(forms[most]) {
			most = form
		}
	}
	if n := len(forms[most]); float64(n) < c.Settings.SetBaseline.Value || 2*n <= all {
		return ""
	}
	return most
}

// mistyped says that a form is the usual one but for one letter in the place of a digit or one digit in that of a
// letter, or for a nought in front that all the others begin with, or none.
func mistyped(is logbook.Text, others []logbook.Text) bool {
	if len(others) == 0 {
		return false
	}
	form, usual := formOf(is.Written), []rune(formOf(others[0].Written))
	if signs := []rune(form); len(signs) == len(usual) {
		apart, digits := 0, false
		for i, r := range signs {
			if r != usual[i] {
				apart++
				digits = r == '0' && unicode.IsLetter(usual[i]) || unicode.IsLetter(r) && usual[i] == '0'
			}
		}
		return apart == 1 && digits
	}
	nought := func(s logbook.Text) bool { return strings.HasPrefix(s.Written, "0") }
	switch {
	case string(usual) == "0"+form:
		return !slices.ContainsFunc(others, func(s logbook.Text) bool { return !nought(s) })
	case form == "0"+string(usual):
		return nought(is) && !slices.ContainsFunc(others, nought)
	}
	return false
}

// formOf is how a serial is written, whatever its digits are.
func formOf(serial string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return '0'
		}
		return r
	}, serial)
}

// spelling is one way in which a name is written: where first, and how often.
type spelling struct {
	first logbook.Text
	times int
}

// spelled reports each name once that is written oftener in another way; of two as frequent the later one.
func (c *Case) spelled(what string, names []logbook.Text) {
	var ways []*spelling
	known := map[string]*spelling{}
	for _, n := range names {
		if !n.Stated() || n.Written == "" {
			continue
		}
		s := known[n.Written]
		if s == nil {
			s = &spelling{first: n}
			known[n.Written], ways = s, append(ways, s)
		}
		s.times++
	}
	slices.SortStableFunc(ways, func(a, b *spelling) int { return b.times - a.times })
	usual := map[string]*spelling{}
	for _, s := range ways {
		bare := lettersAlone(s.first.Written)
		u := usual[bare]
		if u == nil {
			usual[bare] = s
			continue
		}
		f := Finding{Place: s.first.Place, Next: "write one of the two everywhere",
			Related: []Related{{u.first.Place, "the other way"}},
			Message: fmt.Sprintf("%s %q is %q in %s", what, s.first.Written, u.first.Written, u.first.Place.Path)}
		if s.times == 1 && u.times > 2 {
			f.offer(typed(s.first.Leaf, u.first.Written), "")
		}
		c.Report(f)
	}
}

// lettersAlone is a name without its marks, blanks and capitals.
func lettersAlone(name string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, name)
}
