// Package card lays the bench card out for the printer: one A4 side for each valve, in the order of the work, with
// large boxes for a pencil, the limit and the last value beside each blank, hold points marked, the cautions and the
// standing of the book; and the target for the spray test. What stands in it comes from package draft; the card judges
// nothing. Beside it is the report of a round, on one A4 page or in twenty lines of plain text.
//
// Begin with Write, or WriteReport.
package card

import (
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/keys"
	"needlebook/logbook/language"
)

// Card is what is to be printed.
type Card struct {
	Vessel string
	Sheets []*draft.Sheet // one side each
	Spray  bool           // print the targets of the spray test instead
	// Language is one of those known to package language; empty for that of the records. Words to ring have the record's
	// beside them.
	Language string
}

// Write writes the card as one HTML file that needs nothing else, for any browser to print.
func Write(w io.Writer, c Card) error {
	data := printed{c.Vessel, standing, language.Standard, cautions, nil, c.Spray, language.Of(c.Language)}
	if data.Words != nil {
		data.Language = c.Language
	}
	for _, s := range c.Sheets {
		data.Sides = append(data.Sides, lay(s, data.Words))
	}
	return data.write(w)
}

// printed is what the page is made of.
type printed struct {
	Vessel, Standing, Language string
	Cautions                   []string
	Sides                      []side
	Spray                      bool
	language.Words
}

// side is one printed side.
type side struct {
	Where, Holder, Nozzle, Day, Counter, Hours, Marking, Source string
	Pressure                                                    string // unit of the pressures
	Columns                                                     [2][]part
	Clock                                                       []mark
}

// part is a group of rows under one heading; a hold point waits for a signature.
type part struct {
	Name string
	Hold string // who signs before the work goes on; empty where nobody waits
	Rows []row
}

// row is one line of the card.
type row struct {
	Label  string
	Boxes  []box
	Beside string // limit and last value
	Clock  bool   // the face for weak holes
}

// box is what the pencil meets: a box to write in with its unit, words to ring, or a box to tick.
type box struct {
	Value, Unit, Label string
	Ring               []string
	Key                string // where the word that is ringed is recorded
	Words              []word // those to ring, in the reader's language
	Tick, Wide, Small  bool
}

// mark is a hole's place on the clock face, of radius 100 about the centre.
type mark struct {
	X, Y   float64
	Number int
}

// face is the clock of spray holes, number one at the top, clockwise; twelve hours where the number of holes is not
// known.
func face(holes int) []mark {
	if holes < 1 || holes > 24 {
		holes = 12
	}
	var marks []mark
	for i := range holes {
		a := 2*math.Pi*float64(i)/float64(holes) - math.Pi/2
		marks = append(marks, mark{math.Round(1000*math.Cos(a)) / 10, math.Round(1000*math.Sin(a)) / 10, i + 1})
	}
	return marks
}

func lay(s *draft.Sheet, w language.Words) side {
	l := layout{s, words(), w}
	out := side{Holder: s.Holder, Nozzle: s.Nozzle, Day: s.Day.String(), Where: w.Say("spares rack"),
		Marking: s.Limit[keys.NozzleMarking], Pressure: s.Pressure(),
		Counter: s.Known[keys.RemovedCounter], Hours: s.Last[keys.RemovedHours]}
	if s.Position != (logbook.Position{}) {
		out.Where = s.Position.String()
	}
	if s.Revision != 0 {
		out.Source = s.Source + ", in force from " + s.Revision.String()
	}
	holes, _ := strconv.Atoi(s.Limit[keys.AsLeftSprayOpen])
	out.Clock = face(holes)
	out.Columns = [2][]part{l.left(), l.right()}
	if s.Received {
		out.Columns = [2][]part{l.certificate(), l.lookedAt()}
	}
	translate(w, &out)
	return out
}

// layout asks the sheet for what stands beside each blank, and the schema for the words to ring.
type layout struct {
	s     *draft.Sheet
	words map[string][]string
	language.Words
}

func words() map[string][]string {
	all := map[string][]string{}
	logbook.KindNamed("overhaul").Walk(func(path string, f logbook.Field) {
		if len(f.Words) > 0 {
			all[path] = f.Words
		}
	})
	return all
}

// beside is the limit and the last value of a key.
func (l layout) beside(keys ...string) string {
	var parts []string
	for _, k := range keys {
		if t := l.s.Limit[k]; t != "" {
			parts = append(parts, t)
		}
		if t := l.s.Last[k]; t != "" {
			parts = append(parts, l.Say("last")+" "+t)
		}
	}
	return unbroken.ReplaceAllString(strings.Join(parts, "; "), "$1\u2011$2\u2011$3")
}

// unbroken dates stand on one line.
var unbroken = regexp.MustCompile(`([0-9]{4})-([0-9]{2})-([0-9]{2})`)

// steps are the boxes to tick while a thread is tightened, as many as the limits file names; a box for their number
// where it names none.
func (l layout) steps(key string) []box {
	n, err := strconv.Atoi(l.s.Limit[key+".steps"])
	if err != nil || n < 1 || n > 5 {
		return []box{named("steps", "")}
	}
	var all []box
	for i := range n {
		all = append(all, box{Label: strconv.Itoa(i + 1), Tick: true})
	}
	return all
}

func (l layout) ring(label, key string) row {
	return row{Label: label, Boxes: []box{l.options(key)}, Beside: l.beside(key)}
}

// options are the words to ring at a key.
func (l layout) options(key string) box { return box{Ring: l.words[key], Key: key} }

func unit(u string) box     { return box{Unit: u} }
func named(n, u string) box { return box{Label: n, Unit: u} }

// ticks is a row of things done.
func ticks(label string, names ...string) row {
	r := row{Label: label}
	for _, n := range names {
		r.Boxes = append(r.Boxes, box{Label: n, Tick: true})
	}
	return r
}
