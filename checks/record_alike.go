package checks

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var recordAlike = &Check{
	Name:    "record-alike",
	Subject: OfRecord,
	Ends:    figuresAshore,
	Version: 1,
	Level:   Batch,
	Doc: "The figures of a record equal those of an earlier one in nearly every place, more closely than chance allows " +
		"on this ship; or a picture of it is, byte for byte, that of an earlier record; or the pressure log or the spray " +
		"paper of a test is that of another test. " +
		"A page copied to save an hour hides whatever the valve had to say, and the valve is back in the engine. Equal " +
		"figures alone prove nothing: many valves are left at the same pressure. " +
		"Each equal figure counts by how rare it was in this book (the sum of -log2 of its share), and only where nearly " +
		"all figures are equal and their weight is over the book's setting does the finding appear. " +
		"It states a likeness, not how it came about. Measure again, or write which figures were not measured and why.",
	Source: "weight: information content, Shannon, A Mathematical Theory of Communication, 1948; where to draw the " +
		"line: from memory",
	Example: "10 of 10 figures equal those of 2023-02-12-h-117 (ME2-5)",
	Grade:   Action,
	Whole: func(c *Case) {
		pages, shown := figuresOf(c.Book), pictures(c.Book)
		earlier := newShelf(pages)
		for i := range pages {
			c.likeness(earlier, i)
			earlier.add(i)
			samePictures(c, shown, pages[i].record)
		}
		sameEvidence(c)
	},
}

// page is a record as a list of figures, one for each key, those that tell records apart best first: an index into the
// values met there, or -1, and its weight in bits.
type page struct {
	record *logbook.Overhaul
	at     []int32
	bits   []float64
}

// figuresOf takes the figures that are read off an instrument; what is set to a nominal value or counted is left out.
func figuresOf(b *logbook.Book) []page {
	values, counts := make([]map[string]int32, len(figureNames)), make([][]int, len(figureNames))
	for k := range values {
		values[k] = map[string]int32{}
	}
	pages := make([]page, len(b.Overhauls))
	for i, o := range b.Overhauls {
		pages[i] = page{o, make([]int32, len(figureNames)), make([]float64, len(figureNames))}
		readFigures(o, func(k int, text []byte) {
			pages[i].at[k] = -1
			if len(text) == 0 {
				return
			}
			id, met := values[k][string(text)]
			if !met {
				id = int32(len(counts[k]))
				values[k][string(text)], counts[k] = id, append(counts[k], 0)
			}
			counts[k][id]++
			pages[i].at[k] = id
		})
	}
	order, sorted := telling(counts), make([]int32, len(figureNames))
	for i := range pages {
		for to, from := range order {
			sorted[to] = pages[i].at[from]
		}
		copy(pages[i].at, sorted)
	}
	for to, from := range order {
		weigh(pages, to, slices.Clone(counts[from]))
	}
	return pages
}

// weigh gives the values of one key their weight: the most that each was worth from its page on, on any day. Copied
// figures become no less rare by what is read later, so that no later work ends a finding.
func weigh(pages []page, key int, counts []int) {
	total := 0
	for _, n := range counts {
		total += n
	}
	most, before := make([]float64, len(counts)), make([]int, len(counts)) // what was met before a value was met again
	for v := range before {
		before[v] = total
	}
	for _, p := range slices.Backward(pages) {
		v := p.at[key]
		if v < 0 {
			continue
		}
		most[v] = max(most[v], math.Log2(float64(before[v])/float64(counts[v])))
		p.bits[key] = most[v]
		counts[v]--
		total--
		before[v] = total
	}
}

// telling is the order of the keys by the mean bits of their values, the most telling first.
func telling(counts [][]int) []int {
	entropy := make([]float64, len(counts))
	order := make([]int, len(counts))
	for k, list := range counts {
		order[k] = k
		total := 0
		for _, n := range list {
			total += n
		}
		for _, n := range list {
			p := float64(n) / float64(total)
			entropy[k] -= p * math.Log2(p)
		}
	}
	sort.SliceStable(order, func(i, j int) bool { return entropy[order[i]] > entropy[order[j]] })
	return order
}

// figureNames are the figures of the bench in a fixed order. What is written at the fitting comes later and often by
// another person: it is no part of the page.
var figureNames = [...]string{"first opening pressure as found", "opening pressure as found",
	"closing pressure as found", "leak-down as found", "oil as found",
	"exhaust deviation before", "pmax deviation before", "lift", "holder wear", "seat diameter", "seat band",
	"spring length", "face contact",
	"opening pressure as left", "closing pressure as left", "leak-down as left"}

// readFigures gives the figures of a record in the order of their names, as they are written; one that is not there has
// no text. The text holds until the next.
func readFigures(o *logbook.Overhaul, figure func(k int, text []byte)) {
	var text []byte
	write := func(q measure.Quantity) { text = append(append(append(text, q.Number()...), ' '), q.Unit().Name...) }
	f, m, l := &o.AsFound, &o.Measured, &o.AsLeft
	for k, a := range [len(figureNames)]*logbook.Amount{&f.FirstOpening, nil, &f.Closing, &f.LeakDown.Time, &f.Oil,
		&f.RunningBefore.Exhaust, &f.RunningBefore.Pmax,
		&m.Lift.Value, &m.HolderWear.Value, &m.SeatDiameter.Value, &m.SeatBand.Value, &m.SpringLength.Value,
		&m.FaceContact.Value, nil, &l.Closing, &l.LeakDown.Time} {
		text = text[:0]
		if a != nil {
			if a.Quantity.Valid() {
				write(a.Quantity)
			}
			figure(k, text)
			continue
		}
		readings := f.Opening.Each
		if k > 1 {
			readings = l.Opening.Each
		}
		for i := range readings {
			if q := readings[i].Quantity; q.Valid() {
				write(q)
				text = append(text, ';')
			}
		}
		figure(k, text)
	}
}

// shelf holds earlier pages by their figures, so that a page is laid beside those only that it can be like.
type shelf struct {
	pages []page
	with  [][][]int32 // by key and value, the pages that show it, oldest first
	met   []int       // by page, the one it was laid beside last, plus one
}

func newShelf(pages []page) *shelf {
	s := &shelf{pages: pages, met: make([]int, len(pages)), with: make([][][]int32, len(figureNames))}
	for k := range s.with {
		values := int32(0)
		for _, p := range pages {
			values = max(values, p.at[k]+1)
		}
		s.with[k] = make([][]int32, values)
	}
	return s
}

func (s *shelf) add(i int) {
	for k, v := range s.pages[i].at {
		if v >= 0 {
			s.with[k][v] = append(s.with[k][v], int32(i))
		}
	}
}

// beside calls f for every earlier page, each once, whose equal figures can weigh as much as asked for. What a page
// weighs in all is given up figure by figure, the rarest first, until the rest is too light: a page that shows none of
// those given up is no match.
func (s *shelf) beside(i int, least float64, f func(j int)) {
	p := s.pages[i]
	var rarest []int
	rest := 0.0
	for k, v := range p.at {
		if v >= 0 {
			rarest = append(rarest, k)
			rest += p.bits[k]
		}
	}
	weight := func(k int) float64 { return p.bits[k] }
	sort.SliceStable(rarest, func(a, b int) bool { return weight(rarest[a]) > weight(rarest[b]) })
	for _, k := range rarest {
		if rest < least-1e-9 {
			return
		}
		for _, j := range s.with[k][p.at[k]] {
			if s.met[j] != i+1 {
				s.met[j] = i + 1
				f(int(j))
			}
		}
		rest -= weight(k)
	}
}

// likeness finds the earlier record that a record is most like, and reports it where it is too like.
func (c *Case) likeness(earlier *shelf, i int) {
	pages := earlier.pages
	share, least := c.Settings.AlikeShare.Float()/100, c.Settings.Alike.Value
	best, bestBits, bestEqual, bestOf := -1, 0.0, 0, 0
	earlier.beside(i, least, func(j int) {
		bits, equal, of := pages[i].like(pages[j], share)
		if bits >= least && (bits > bestBits || bits == bestBits && j < best) {
			best, bestBits, bestEqual, bestOf = j, bits, equal, of
		}
	})
	if best < 0 {
		return
	}
	o, p := pages[i].record, pages[best].record
	var evidence []string
	words := fmt.Sprintf("%d of %d figures equal those of %s", bestEqual, bestOf, p.Stem)
	if p.Removed.Stated() {
		words += fmt.Sprintf(" (%s-%s)", p.Removed.Engine, p.Removed.Cylinder)
	}
	switch holder, nozzle := o.Holder.Written != p.Holder.Written, o.Nozzle.Found.Written != p.Nozzle.Found.Written; {
	case holder && nozzle:
		evidence = []string{"holder and nozzle are others"}
	case holder:
		evidence = []string{"the holder is another"}
	case nozzle:
		evidence = []string{"the nozzle is another"}
	}
	c.Report(Finding{Place: o.PlaceOf("as_found"), About: about(o),
		Message: words,
		Evidence: append(evidence, fmt.Sprintf("likeness %.0f bits, from %s bits on it is worth a look", bestBits,
			c.Settings.Alike.Written)),
		Next:    "measure again, or write which figures were not measured and why",
		Related: []Related{{p.PlaceOf("as_found"), "the earlier record"}}})
}

// like adds up the weight of the equal figures of two pages. It gives up as soon as more differ than the share leaves
// of a full page: on a copied one often the oil alone was read anew.
func (p page) like(q page, share float64) (bits float64, equal, of int) {
	differ, most := 0, int((1-share)*float64(len(p.at))+1e-9)
	for k, v := range p.at {
		w := q.at[k]
		if v < 0 || w < 0 {
			continue
		}
		of++
		if v != w {
			if differ++; differ > most {
				return 0, equal, of
			}
			continue
		}
		equal++
		bits += p.bits[k]
	}
	return bits, equal, of
}

// samePictures reports a picture that is byte for byte that of an earlier record of another round.
func samePictures(c *Case, shown map[string][]*logbook.Overhaul, o *logbook.Overhaul) {
	for _, photo := range o.Photos.Each {
		if !photo.Stated() {
			continue
		}
		for i, path := range append([]string{photo.Written}, c.Book.Twins(photo.Written)...) {
			p := shownBefore(c, shown[path], o)
			if p == nil {
				continue
			}
			how, evidence := "also that of "+p.Stem, []string(nil)
			if i > 0 {
				how, evidence = "byte for byte one of "+p.Stem, []string{"the other is " + path}
			}
			c.Report(Finding{Place: photo.Place, About: about(o), Related: []Related{{p.PlaceOf("photos"),
				"the earlier record"}},
				Message: fmt.Sprintf("picture %s is %s", photo.Written, how), Evidence: evidence,
				Next: "look which valve it shows, and take it out of the other record"})
			break
		}
	}
}

// pictures lists the records that name each picture.
func pictures(b *logbook.Book) map[string][]*logbook.Overhaul {
	shown := map[string][]*logbook.Overhaul{}
	for _, o := range b.Overhauls {
		for _, photo := range o.Photos.Each {
			if photo.Stated() {
				shown[photo.Written] = append(shown[photo.Written], o)
			}
		}
	}
	return shown
}

// shownBefore is the first of the records that is earlier by more than a round's days; nil where none is.
func shownBefore(c *Case, records []*logbook.Overhaul, o *logbook.Overhaul) *logbook.Overhaul {
	for _, p := range records {
		if p.Day() != 0 && o.Day().Days(p.Day()) > int(c.Settings.RoundWithin.Float()) {
			return p
		}
	}
	return nil
}

// testFile is a log or the picture of a spray paper, of one test of one valve.
type testFile struct {
	record *logbook.Overhaul
	file   logbook.Text
	test   string
}

// testFiles lists the logs and papers of all tests in the order of the records.
func testFiles(b *logbook.Book) (all []testFile) {
	for _, o := range b.Overhauls {
		for i := range o.Logs {
			all = append(all, testFile{o, o.Logs[i].Log, o.Logs[i].Test.Written})
		}
		for i := range o.Papers {
			all = append(all, testFile{o, o.Papers[i].Photo, o.Papers[i].Test.Written})
		}
	}
	slices.SortStableFunc(all, func(x, y testFile) int { return cmp.Compare(x.record.Day(), y.record.Day()) })
	return all
}

// sameEvidence reports a log or a spray paper that is, by its name or byte for byte, that of another test. Several
// valves may be on one photo; one test has one log, and one stroke makes one paper.
func sameEvidence(c *Case) {
	first := map[string]testFile{}
	for _, t := range testFiles(c.Book) {
		if !t.file.Stated() {
			continue
		}
		for _, path := range append([]string{t.file.Written}, c.Book.Twins(t.file.Written)...) {
			was, met := first[path]
			if !met || was.record == t.record && was.test == t.test {
				continue
			}
			f := Finding{Place: t.file.Place, About: about(t.record),
				Message: fmt.Sprintf("%s is also that of %s %s", path, was.record.Stem, was.test),
				Next:    "look which valve it is of, and name the right file in the other record",
				Related: []Related{{was.file.Place, "the other test"}}}
			if path != t.file.Written {
				f.Message = fmt.Sprintf("%s is byte for byte that of %s %s", t.file.Written, was.record.Stem, was.test)
				f.Evidence = []string{"the other is " + path}
			}
			c.Report(f)
			break
		}
		if _, met := first[t.file.Written]; !met {
			first[t.file.Written] = t
		}
	}
}
