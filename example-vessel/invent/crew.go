package invent

import (
	"fmt"
	"strings"
)

// stay is one person's time aboard.
type period struct {
	who      *person
	rank     string
	from, to day
}

// person is one of the crew, with a way of writing.
type person struct {
	id, name string
	style    *style
	language int // in the table of phrases
}

// crew is who is aboard when.
type crew struct {
	second, third, chief []period // one after another without a gap; third is empty on ships without one
	ashore               *person
}

func (c *crew) aboard(periods []period, d day) period {
	for _, s := range periods {
		if d < s.to {
			return s
		}
	}
	return periods[len(periods)-1]
}

var givenLetters, familyNames = "ABDEFGIJKLMNOPRSTVY", []string{
	"Aalbers", "Bexley", "Corvane", "Dunmorrow", "Eskelund", "Farrowgate", "Grynszan", "Hollinrake", "Iwarsen", "Jessamy",
	"Kvalmark", "Lumbreras", "Maridable", "Nordhallen",
	"Okwandu", "Pirvelis", "Quellmann", "Rautalin", "Sagredas", "Tolvanis", "Undergrove", "Vasilkov", "Wintermoor",
	"Yarrowick", "Zelinskyj", "Ångermark", "Čechovič", "Łomżański", "Şenkaya", "Özdemirci",
}

// plainASCII brings a name to the letters an id is made of.
var plainASCII = strings.NewReplacer("Å", "A", "Č", "C", "č", "c", "Ł", "L", "ż", "z", "ń", "n", "Ş", "S", "Ö", "O")

func newCrew(w *world) *crew {
	c := &crew{}
	used := map[string]bool{}
	someone := func() *person {
		for {
			letter, family := givenLetters[w.IntN(len(givenLetters))], pick(w.Rand, familyNames...)
			p := &person{name: fmt.Sprintf("%c. %s", letter, family),
				id: strings.ToLower(fmt.Sprintf("%c.%s", letter, plainASCII.Replace(family)))}
			if !used[p.id] {
				used[p.id] = true
				p.style, p.language = w.newStyle(), w.IntN(len(phrases))
				return p
			}
		}
	}
	rota := func(rank string, low, high int) []period {
		people := make([]*person, 2+w.IntN(3))
		for i := range people {
			people[i] = someone()
		}
		var all []period
		for from, i := w.first-w.days(0, 40), 0; from <= w.horizon; i++ {
			s := period{people[i%len(people)], rank, from, from + w.days(low, high)}
			all = append(all, s)
			from = s.to
		}
		return all
	}
	c.chief, c.second = rota("chief engineer", 60, 130), rota("second engineer", 55, 140)
	if w.chance(50) {
		c.third = rota("third engineer", 60, 180)
	}
	c.ashore = someone()
	return c
}

// table is crew.csv: the service periods that had begun by the last day; the end of the present one is known or not.
func (c *crew) table(w *world) string {
	var b strings.Builder
	b.WriteString("id,name,rank,from,to\n")
	for _, periods := range [][]period{c.chief, c.second, c.third} {
		for _, s := range periods {
			if s.from > w.last {
				break
			}
			to := s.to.String()
			if s.to > w.last && w.seed%2 == 0 {
				to = ""
			}
			fmt.Fprintf(&b, "%s,%s,%s,%s,%s\n", s.who.id, s.who.name, s.rank, s.from, to)
		}
	}
	fmt.Fprintf(&b, "%s,%s,superintendent,%s,\n", c.ashore.id, c.ashore.name, w.first-100)
	return b.String()
}

// handovers are the pages of every change of second engineer.
func (c *crew) handovers(w *world) []*page {
	var pages []*page
	for i, s := range c.second {
		if i == 0 || s.from <= w.first || s.from > w.last || s.who == c.second[i-1].who {
			continue
		}
		old := c.second[i-1].who
		words := phrases[old.language]
		pages = append(pages, &page{path: fmt.Sprintf("handovers/%s-second-engineer.md", s.from), style: old.style,
			body: words.remark,
			front: keys("", text("date", s.from.String()), text("rank", "second engineer"), text("from", old.id),
				text("to", s.who.id),
				text("engine", "all running, nothing hot"), texts("suspect"), texts("open", "count the seals"))})
	}
	return pages
}

// newStyle makes up a way of writing.
func (w *world) newStyle() *style {
	s := &style{oneLine: pick(w.Rand, 0, 3, 5, 8, 30), wide: pick(w.Rand, 80, 120, 180),
		quote: pick(w.Rand, `"`, `"`, `'`, ""), double: w.chance(60),
		indent: pick(w.Rand, 2, 2, 2, 4), gaps: w.chance(15), crlf: w.chance(20)}
	return s
}
