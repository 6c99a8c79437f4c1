package checks

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"needlebook/logbook"
)

var spellingDiffers = &Check{
	Name:  "spelling-differs",
	Level: Vessel,
	Doc: "A fuel, an item, a part number or a lubricant is written in two ways that differ only in dashes, blanks, other marks or capitals. Whatever is looked for by its " +
		"name is found under one of them and missed under the other: the consumption of a fuel, the stock of a part. Write one of the two everywhere.",
	Source:  "our own rule",
	Example: `fuel "low/sulphur blend" is "low-sulphur blend" in running/me1.csv`,
	Grade:   Advice,
	Whole: func(c *Case) {
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
			lubricants = append(lubricants, o.Assembled.NozzleNut.Lubricant, o.Fitted.ClampNuts.Lubricant, o.Fitted.PipeNut.Lubricant)
		}
		c.spelled("fuel", fuels)
		c.spelled("item", items)
		c.spelled("part number", numbers)
		c.spelled("lubricant", lubricants)
	},
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
		f := Finding{Place: s.first.Place, Next: "write one of the two everywhere", Related: []Related{{u.first.Place, "the other way"}},
			Message: fmt.Sprintf("%s %q is %q in %s", what, s.first.Written, u.first.Written, u.first.Place.Path)}
		if s.times == 1 && u.times > 2 {
			f.Next = "type " + u.first.Written
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
