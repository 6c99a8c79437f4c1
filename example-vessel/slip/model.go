package slip

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"needlebook/logbook"
)

// A statement is one thing that holds a value against the rest of its book: how far a reading is from the middle of its
// three, how many hours a counter is from the table of hours, whether the person was aboard. An honest book makes the
// same statements over and over, so other honest ships teach how they are spread.
type statement struct {
	name   string
	number float64
	word   string // where the statement is no number
}

func (s statement) String() string { return fmt.Sprintf("%s = %.9g %s", s.name, s.number, s.word) }

// Model knows how the statements of honest ships are spread.
type Model struct {
	numbers map[string][]float64 // sorted once learned
	words   map[string]map[string]int
	total   map[string]int
	keys    map[string]bool // of records, as honest ships write them
	sorted  bool
}

// NewModel makes a model that has learned nothing.
func NewModel() *Model {
	return &Model{numbers: map[string][]float64{}, words: map[string]map[string]int{}, total: map[string]int{},
		keys: map[string]bool{}}
}

// Learn takes in an honest ship.
func (m *Model) Learn(b *logbook.Book) {
	f := Gather(b)
	h := habitsOf(f)
	for _, v := range f.Values {
		if kindOf(v.Place.Path) == "overhauls" {
			m.keys[v.Key] = m.keys[v.Key] || v.Shape != Word && v.Shape != Prose || strings.HasPrefix(v.Key, "decided.") &&
				v.Shape == Word
		}
	}
	for _, s := range m.statements(b, f, h) {
		if s.word != "" {
			if m.words[s.name] == nil {
				m.words[s.name] = map[string]int{}
			}
			m.words[s.name][s.word]++
			m.total[s.name]++
		} else {
			m.numbers[s.name] = append(m.numbers[s.name], s.number)
		}
	}
	m.sorted = false
}

// least is how many honest statements of one name must have been seen before one can be called unlikely.
const least = 200

// chance is how likely an honest book makes a statement that is as far out as this one; 1 where too little was learned.
func (m *Model) chance(s statement) float64 {
	if s.word != "" {
		if m.total[s.name] < least {
			return 1
		}
		return float64(m.words[s.name][s.word]+1) / float64(m.total[s.name]+1)
	}
	all := m.numbers[s.name]
	if len(all) < least {
		return 1
	}
	const hair = 1e-9
	below := sort.SearchFloat64s(all, s.number+hair) // as low or lower
	above := len(all) - sort.SearchFloat64s(all, s.number-hair)
	return min(1, 2*float64(min(below, above)+1)/float64(len(all)+1))
}

func (m *Model) sort() {
	if !m.sorted {
		for _, all := range m.numbers {
			slices.Sort(all)
		}
		m.sorted = true
	}
}

// A Ship is an honest book, for asking how likely it would be otherwise.
type Ship struct {
	Facts  *Facts
	model  *Model
	habits habits
	made   map[statement]int
}

// Ship takes an honest book.
func (m *Model) Ship(b *logbook.Book) *Ship {
	s := &Ship{Facts: Gather(b), model: m, made: map[statement]int{}}
	s.habits = habitsOf(s.Facts)
	for _, x := range m.statements(b, s.Facts, s.habits) {
		s.made[x]++
	}
	return s
}

// Least is how likely an honest book is to state anything as unlikely as the least likely thing that the slipped book
// states and the honest one did not, and what that is; 1 and nothing where the model has no statement about what
// changed. A line says several things at once, and of n things the least likely one is by chance alone as unlikely as p
// in 1 − (1 − p)^n of all honest lines (Šidák, JASA 62, 1967).
func (s *Ship) Least(b *logbook.Book, f *Facts) (float64, string) {
	s.model.sort()
	made := map[statement]int{}
	chance, what, n := 1.0, "", 0
	for _, x := range s.model.statements(b, f, s.habits) {
		if made[x]++; made[x] <= s.made[x] {
			continue
		}
		if c := s.model.chance(x); c < 1 {
			if n++; c < chance {
				chance, what = c, x.String()
			}
		}
	}
	if n == 0 {
		return 1, ""
	}
	return 1 - math.Pow(1-chance, float64(n)), what
}

// habits are the middle values of each key of an honest book.
type habits struct {
	middle map[string]float64
	count  map[string]int
	known  map[string]bool // "key=word" that the book holds
}

func habitsOf(f *Facts) habits {
	h := habits{map[string]float64{}, map[string]int{}, map[string]bool{}}
	all := map[string][]float64{}
	for _, v := range f.Values {
		k := kindOf(v.Place.Path) + " " + v.Key
		if v.Shape == Amount || v.Shape == Count {
			all[k] = append(all[k], v.Number)
		} else {
			h.known[k+"="+v.Means] = true
			h.known[k+" "+form(v.Means)] = true
		}
	}
	for k, n := range all {
		h.middle[k], h.count[k] = median(n), len(n)
	}
	return h
}

func median(n []float64) float64 {
	n = slices.Clone(n)
	slices.Sort(n)
	if len(n) == 0 {
		return 0
	}
	return n[(len(n)-1)/2]
}

// apart is the difference of two values as a share of the middle of them, so that it is the same in every unit.
func apart(a, b float64) float64 {
	if b == 0 {
		return a
	}
	return (a - b) / math.Abs(b)
}

// saying collects statements.
type saying struct {
	all []statement
	h   habits
	b   *logbook.Book
}

func (s *saying) num(name string, n float64) {
	if !math.IsNaN(n) && !math.IsInf(n, 0) {
		s.all = append(s.all, statement{name: name, number: n})
	}
}

func (s *saying) word(name, w string) { s.all = append(s.all, statement{name: name, word: w}) }

func (s *saying) yes(name string, ok bool) {
	s.word(name, map[bool]string{true: "yes", false: "no"}[ok])
}

// days says how many days one date is after another, where both are known.
func (s *saying) days(name string, after, before logbook.Day) {
	if after != 0 && before != 0 {
		s.num(name, float64(after-before))
	}
}

// within is days, where all from low to high are as good as one another.
func (s *saying) within(name string, after, before logbook.Day, low, high float64) {
	if after != 0 && before != 0 {
		s.num(name, without(float64(after-before), low, high))
	}
}

// ratio says how far a value is from another of its kind.
func (s *saying) ratio(name string, a, b logbook.Amount) {
	if a.Valid() && b.Valid() && a.Kind() == b.Kind() { // a share and a length have no ratio
		s.num(name, apart(a.Float(), b.Float()))
	}
}

// statements are all that a book states.
func (m *Model) statements(b *logbook.Book, f *Facts, h habits) []statement {
	s := &saying{h: h, b: b}
	s.values(f)
	m.presence(s, f)
	s.overhauls()
	s.tables()
	s.files()
	return s.all
}

// without is nothing for what a real ship may well have, and how it is where she may not: invented ships scatter less
// than real ones where nothing makes them. The ranges are common practice, no source.
func without(x, low, high float64) float64 {
	const hair = 1e-9 // of binary arithmetic
	if x >= low-hair && x <= high+hair {
		return 0
	}
	return x
}

// real are ranges of values that vary more on real ships than on invented ones.
var real = map[string][2]float64{
	"running load_pct": {20, 110}, "running exhaust_c": {200, 550}, "running exhaust_dev_k": {-60, 60},
	"running pmax_bar": {50, 260}, "running pmax_dev_bar": {-15, 15},
	"running pcomp_bar": {20, 250}, "running pcomp_dev_bar": {-15, 15},
	"overhauls as_found.running_before.load": {20, 110}, "overhauls running_after.load": {20, 110},
	"overhauls as_found.running_before.exhaust_deviation": {-60, 60},
	"overhauls running_after.exhaust_deviation":           {-60, 60},
	"overhauls as_found.running_before.pmax_deviation":    {-15, 15}, "overhauls running_after.pmax_deviation": {-15, 15},
	"overhauls minutes": {5, 600}, "overhauls measured.face_contact": {30, 100},
	"fuel al_si_mg_kg": {0, 60}, "fuel viscosity": {1, 700}, "stores change": {-24, 180}, "stores lead_days": {1, 400},
	"overhauls as_found.seat.drops": {0, 60},
	"overhauls as_found.oil":        {10, 40}, "overhauls as_left.oil": {10, 40},
}

// habitual are kinds of file whose numbers are held against the habit of the ship.
var habitual = map[string]bool{"overhauls": true, "running": true, "stores": true, "fuel": true, "parts": true}

// values holds each value against the same key elsewhere in the honest book.
func (s *saying) values(f *Facts) {
	times := map[string]int{}
	for _, v := range f.Values {
		if v.Shape == Name {
			times[v.Means]++
		}
	}
	for _, v := range f.Values {
		kind := kindOf(v.Place.Path)
		k := kind + " " + v.Key
		switch v.Shape {
		case Amount, Count:
			if strings.Contains(v.Key, "counter") || strings.HasSuffix(v.Key, "hours") {
				continue
			}
			if r, ok := real[k]; ok {
				s.num("habit of "+k, without(v.Number, r[0], r[1]))
			} else if k == "parts lift" {
				continue // held against the band of new ones
			} else if k == "overhauls measured.seat_diameter.value" {
				// a seat wears by a tenth of its diameter before its limit, and the middle one may be any of them
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.1, 0.1))
			} else if k == "overhauls measured.lift.value" {
				// new ones are a band of a tenth and wear beyond it; each is held against its limits and its own last one
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.1, 0.15))
			} else if strings.HasSuffix(k, ".seat.for") {
				// whoever watches longer has done more than was asked
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.03, 2))
			} else if k == "overhauls measured.effective_lift.value" {
				// the sum of two that are held against it: of a new nozzle and of a worn one, on one ship
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.15, 0.15))
			} else if k == "overhauls measured.spring_length.value" {
				// of two springs within the tolerance of their length
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.01, 0.01))
			} else if k == "overhauls fitted.protrusion" {
				// anywhere within its limits, which it is held against by itself
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.03, 0.03))
			} else if k == "overhauls as_found.spray.open" {
				// carbon shuts a hole or two of any nozzle
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.25, 0))
			} else if strings.HasSuffix(k, ".torque") {
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.08, 0.08))
			} else if strings.HasSuffix(k, "as_found.opening_pressure[]") {
				// a valve may have lost 5 % more or less than the middle one, and a reading is 5 % from its own middle
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.10, 0.10))
			} else if strings.HasSuffix(k, ".closing_pressure") {
				// it goes with its own opening pressure, which it is held against by itself: new parts are set higher
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.15, 0.15))
			} else if strings.HasSuffix(k, ".leak_down.time") {
				// manuals allow a new nozzle 5 to 30 s: of two good ones the one may hold three times as long
				s.num("habit of "+k, without(apart(v.Number, s.h.middle[k]), -0.67, 2))
			} else if habitual[kind] && s.h.count[k] >= 3 {
				s.num("habit of "+k, apart(v.Number, s.h.middle[k]))
			}
			if strings.HasPrefix(v.Means, "unread") {
				s.word("read "+k, "no")
			}
		case Word:
			if strings.HasPrefix(k, "overhauls inspected.") {
				// whichever place nobody could look at: invented crews leave some out so that other stories keep theirs
				s.yes("place looked at", v.Means != "not looked at")
				if v.Means == "not looked at" {
					continue
				}
			}
			if k == "overhauls stripped.needle" {
				continue // needles stick oftener on real ships than on invented ones; how one was freed is stated of each
			}
			s.word("word of "+k, v.Means)
		case Name:
			s.yes("name elsewhere, "+k, times[v.Means] > 1)
			if !slices.Contains([]string{"by", "fitted_by", "checked_by"}, v.Key) { // names of persons have no length in common
				s.yes("form of name, "+k, s.h.known[k+" "+form(v.Means)])
			}
		}
	}
}

// form is how a name is written: letters as they are, digits as one another.
func form(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= '0' && r <= '9':
			return '0'
		case r >= 'a' && r <= 'z':
			return 'a'
		}
		return r
	}, name)
}

// presence says which keys of a record are there, of those whose block is.
func (m *Model) presence(s *saying, f *Facts) {
	has, blocks := map[string]map[string]bool{}, map[string]map[string]bool{}
	for _, v := range f.Values {
		if kindOf(v.Place.Path) != "overhauls" {
			continue
		}
		if has[v.Place.Path] == nil {
			has[v.Place.Path], blocks[v.Place.Path] = map[string]bool{}, map[string]bool{}
		}
		has[v.Place.Path][v.Key] = true
		for k := v.Key; ; {
			i := strings.LastIndexByte(k, '.')
			if i < 0 {
				break
			}
			k = k[:i]
			blocks[v.Place.Path][k] = true
		}
	}
	for path, keys := range has {
		for k := range m.keys {
			block := ""
			if i := strings.LastIndexByte(k, '.'); i >= 0 {
				block = k[:i]
			}
			// words that were left out are nothing that was read otherwise
			if m.keys[k] && (block == "" || blocks[path][block]) {
				s.yes("has "+k, keys[k])
			}
		}
		for _, block := range []string{"removed", "as_found", "measured", "decided", "assembled", "as_left"} {
			s.yes("has block "+block, blocks[path][block])
		}
		s.yes("placed again", blocks[path]["fitted"] || blocks[path]["stored"])
	}
	s.num("records", float64(len(has)-s.h.count["overhauls removed.rings_out"]))
}

// place is what sat in a position or was on a holder.
type sitting struct {
	day                      logbook.Day
	holder, nozzle, position string
	counter                  float64
}

// overhauls says what holds records together.
func (s *saying) overhauls() {
	all := slices.Clone(s.b.Overhauls)
	slices.SortStableFunc(all, func(a, b *logbook.Overhaul) int { return int(dayOf(a) - dayOf(b)) })
	var sat []sitting
	for _, x := range s.b.Vessel.Opening.Fitted {
		sat = append(sat, sitting{s.b.Vessel.Opening.Date.Day, x.Holder.Written, x.Nozzle.Written,
			x.Engine.Written + " " + x.Cylinder.Written, x.Counter.Float()})
	}
	for _, x := range s.b.Vessel.Opening.Rack {
		if x.Fitted.Engine.Written != "" {
			sat = append(sat, sitting{x.Fitted.Date.Day, x.Holder.Written, x.Nozzle.Written,
				x.Fitted.Engine.Written + " " + x.Fitted.Cylinder.Written, x.Fitted.Counter.Float()})
		}
	}
	for _, o := range all {
		if o.Fitted.Engine.Written != "" {
			sat = append(sat, sitting{o.Fitted.Date.Day, o.Holder.Written, o.Nozzle.Left.Written,
				o.Fitted.Engine.Written + " " + o.Fitted.Cylinder.Written, o.Fitted.Counter.Float()})
		}
	}
	last := map[string]*logbook.Overhaul{} // by holder, and by "n " and nozzle
	seen := map[string]bool{}
	for _, o := range all {
		s.record(o, sat, last)
		s.bench("as_found", o, &o.AsFound)
		s.bench("as_left", o, &o.AsLeft)
		s.compare(o, last)
		s.yes("record once", !seen[o.Removed.Date.Day.String()+o.Holder.Written])
		seen[o.Removed.Date.Day.String()+o.Holder.Written] = true
		last[o.Holder.Written] = o
		last["n "+o.Nozzle.Left.Written] = o
	}
}

func dayOf(o *logbook.Overhaul) logbook.Day {
	if o.Removed.Date.Day != 0 {
		return o.Removed.Date.Day
	}
	return o.AsLeft.Date.Day
}

// record says what holds the entries of one record together, and with its name, its folder and the positions.
func (s *saying) record(o *logbook.Overhaul, sat []sitting, last map[string]*logbook.Overhaul) {
	d, found, left := o.Removed.Date.Day, o.AsFound.Date.Day, o.AsLeft.Date.Day
	s.within("found after removed", found, d, 0, 7) // a valve that came out may wait for the bench
	s.days("left after found", left, found)
	s.days("left after removed", left, d)
	s.within("stored after left", o.Stored.Date.Day, left, 0, 31) // a tested valve may wait for its turn to be stored
	if o.Stored.Date.Day == 0 {
		s.within("fitted after left", o.Fitted.Date.Day, left, 0, 31)
	} else {
		s.days("fitted after stored", o.Fitted.Date.Day, left)
	}
	s.within("signs before removed", d, o.AsFound.RunningBefore.Date.Day, 0, 31)
	s.within("after after fitted", o.RunningAfter.Date.Day, o.Fitted.Date.Day, 0, 31)
	// rubber is stored for 15 years by its group: ISO 2230, from memory
	s.within("seals good after left", o.Assembled.Seals.UseBefore.Day, left, 0, 5500)
	name := dayOf(o).String() + "-"
	s.yes("name and date", strings.HasPrefix(o.Stem, name))
	s.yes("name and holder", plain(o.Stem[min(len(o.Stem), len(name)):]) == plain(o.Holder.Written))
	if o.Removed.Engine.Written != "" {
		folder := strings.Split(o.Path, "/")
		ok := len(folder) == 4 && strings.EqualFold(folder[1], o.Removed.Engine.Written) &&
			strings.EqualFold(strings.TrimPrefix(folder[2], "c"), o.Removed.Cylinder.Written)
		s.yes("folder and position", ok)
	}
	s.counter("removed", o.Removed.Engine.Written, o.Removed.Date.Day, o.Removed.Counter)
	s.counter("fitted", o.Fitted.Engine.Written, o.Fitted.Date.Day, o.Fitted.Counter)
	if d != 0 {
		var at *sitting
		for i := range sat {
			x := &sat[i]
			if x.position == o.Removed.Engine.Written+" "+o.Removed.Cylinder.Written && x.day < d &&
				(at == nil || x.day >= at.day) {
				at = x
			}
		}
		if at != nil {
			s.yes("holder sat there", at.holder == o.Holder.Written)
			s.yes("nozzle sat there", at.nozzle == o.Nozzle.Found.Written)
			if o.Removed.Hours.Valid() && o.Removed.Counter.Valid() && o.Removed.Counter.Float() >= at.counter {
				// worked out from the reading of another hour of a day
				s.num("hours written", without(o.Removed.Hours.Float()-(o.Removed.Counter.Float()-at.counter), -24, 24))
			}
		} else {
			s.yes("holder sat there", false)
		}
	}
	if o.Decided.Nozzle.Written == "reuse" {
		s.yes("nozzle reused is the same", o.Nozzle.Found.Written == o.Nozzle.Left.Written)
	} else if o.Decided.Nozzle.Written == "renew" && o.Nozzle.Left.Written != "" {
		s.yes("nozzle renewed is another", o.Nozzle.Found.Written != o.Nozzle.Left.Written)
	}
	if before := last["n "+o.Nozzle.Left.Written]; o.Decided.Nozzle.Written == "renew" && o.Nozzle.Left.Written != "" {
		s.yes("new nozzle is new", before == nil)
		s.yes("new nozzle was received", s.b.Part("nozzle", o.Nozzle.Left.Written) != nil || len(s.b.Stock) == 0 ||
			slices.ContainsFunc(s.b.Stock, func(m logbook.StockMove) bool { return m.Serial.Written == o.Nozzle.Left.Written }))
	}
	s.yes("how a stuck needle was freed, and no other", o.Stripped.Needle.Is("stuck") == o.Stripped.NeedleFreed.Present())
	s.aboard("by", o.By.Written, dayOf(o))
	s.aboard("fitted_by", o.FittedBy.Written, o.Fitted.Date.Day)
	s.aboard("checked_by", o.CheckedBy.Written, left)
	s.instrument("nozzle nut", o.Assembled.NozzleNut.Wrench.Written, left)
	s.instrument("clamp nuts", o.Fitted.ClampNuts.Wrench.Written, o.Fitted.Date.Day)
	s.instrument("pipe nut", o.Fitted.PipeNut.Wrench.Written, o.Fitted.Date.Day)
	s.instrument("lift", o.Measured.Lift.With.Written, found)
	s.instrument("wear", o.Measured.HolderWear.With.Written, found)
	s.instrument("seat", o.Measured.SeatDiameter.With.Written, found)
	s.instrument("spring", o.Measured.SpringLength.With.Written, found)
	for _, x := range []*logbook.RunningData{&o.AsFound.RunningBefore, &o.RunningAfter} {
		if x.Fuel.Written != "" && len(s.b.Bunkers) > 0 {
			s.yes("fuel in use", s.used(x.Fuel.Written, x.Date.Day))
		}
	}
	if in := s.b.LimitsFor(o).OnFirst(left, found); in != nil {
		s.limits(o, in)
	}
}

// offSetting says how far an opening pressure is outside the nearer of the settings of used and new parts, as a share
// of it.
func offSetting(v float64, in logbook.OpeningLimits) float64 {
	off := math.Inf(1)
	for _, band := range []logbook.Band{in.Used, in.New} {
		if band.Low.Valid() && band.High.Valid() {
			off = min(off, max(band.Low.Float()-v, v-band.High.Float(), 0)/v)
		}
	}
	return off
}

// limits holds a record against the limits of its day.
func (s *saying) limits(o *logbook.Overhaul, in *logbook.Revision) {
	if w := o.AsLeft.Opening.Median(); w.Valid() {
		s.num("left off the setting", offSetting(w.Float(), in.Opening))
	}
	s.band("leak as left", o.AsLeft.LeakDown.Time, in.LeakDown.AsLeft)
	s.band("protrusion", o.Fitted.Protrusion, in.Protrusion)
	s.band("oil", o.AsLeft.Oil, in.Oil)
	s.band("oil found", o.AsFound.Oil, in.Oil)
	s.torque("nozzle nut", o.Assembled.NozzleNut, in.NozzleNut)
	s.torque("end cap", o.AsLeft.EndCap, in.EndCap)
	s.torque("clamp nuts", o.Fitted.ClampNuts, in.ClampNuts)
	s.torque("pipe nut", o.Fitted.PipeNut, in.PipeNut)
	s.ratio("wire", o.Measured.NoGo.Wire, in.Holes.NoGo)
	if a, b := o.AsLeft.Seat.For, in.Seat.For; a.Valid() && b.Valid() {
		s.num("seat time", without(apart(a.Float(), b.Float()), 0, 2)) // whoever watches longer has done more than was asked
	}
	if a, b := o.Measured.SpringLength.Value, in.Spring.Length; a.Valid() && b.Valid() {
		// the length of a new spring has a tolerance
		s.num("spring and its length", without(apart(a.Float(), b.Float()), -0.005, 0.005))
	}
	if a, b := o.Measured.SeatDiameter.Value, in.SeatDia.Nominal; a.Valid() && b.Valid() {
		// a new seat has its nominal diameter, read with a lens of 0.1 mm; it wears by a tenth before its limit
		s.num("seat and its diameter", without(apart(a.Float(), b.Float()), -0.03, 0.1))
	}
	if x := o.Measured.Lift.Value; x.Valid() && in.Lift.New.Low.Valid() {
		// a worn one has any lift up to its limit, which the next two hold it against
		s.num("lift and that of new ones", min(0, x.Float()-in.Lift.New.Low.Float()))
	}
	if x := o.Measured.Lift.Value; x.Valid() && in.Effective.Max.Valid() {
		room := in.Effective.Max.Float() - x.Float() - o.Measured.HolderWear.Value.Float()
		// makers let a new lift grow by up to two thirds
		s.num("lift below its limit", without(room/in.Effective.Max.Float(), 0, 0.4))
	}
	if x := o.Measured.HolderWear.Value; x.Valid() && in.HolderWear.Max.Valid() {
		s.num("wear below its limit", without(in.HolderWear.Max.Float()-x.Float(), 0, 0.12)) // makers allow 0.05 to 0.15 mm
	}
	if x := o.AsFound.Opening.Median(); x.Valid() && in.Opening.AsFound.Cause.Valid() {
		// makers look for the cause from 10 to 30 % below the setting on
		s.num("found above its limit", without(apart(x.Float(), in.Opening.AsFound.Cause.Float()), 0, 0.43))
	}
	if x := o.AsFound.LeakDown.Time; x.Valid() && in.LeakDown.AsFound.Low.Valid() {
		// worn guides come near their limit, new ones hold many times as long
		s.num("leak above its limit", without(math.Log(x.Float()/in.LeakDown.AsFound.Low.Float()), 0, 3))
	}
	if o.Nozzle.Marking.Written != "" && len(in.Markings.Each) > 0 {
		s.yes("marking permitted", slices.ContainsFunc(in.Markings.Each,
			func(t logbook.Text) bool { return t.Written == o.Nozzle.Marking.Written }))
	}
	for _, t := range []*logbook.Test{&o.AsFound, &o.AsLeft} {
		if t.Spray.Open.Valid && in.Holes.Count.Valid {
			s.num("holes shut", in.Holes.Count.Value-t.Spray.Open.Value)
		}
		for _, w := range t.Spray.Weak.Each {
			if w.Valid && in.Holes.Count.Valid {
				s.yes("weak hole is one", w.Value >= 1 && w.Value <= in.Holes.Count.Value)
			}
		}
		open := t.Opening.Median()
		if !open.Valid() {
			continue
		}
		if t.Seat.At.Valid() && in.Seat.At.Valid() {
			s.num("seat test below opening", without(apart(t.Seat.At.Float(), in.Seat.At.From(open.Quantity).Float()),
				-0.04, 0.04))
		}
		if t.LeakDown.From.Valid() && in.LeakDown.From.Valid() {
			s.num("leak test below opening", without(apart(t.LeakDown.From.Float(),
				in.LeakDown.From.From(open.Quantity).Float()), -0.04, 0.04))
		}
		if t.LeakDown.From.Valid() && t.LeakDown.To.Valid() && in.LeakDown.Fall.Valid() {
			off := t.LeakDown.From.Float() - t.LeakDown.To.Float() - in.LeakDown.Fall.Float()
			if g := s.b.Instruments[t.Gauge.Written]; g != nil && g.Division.Valid() &&
				math.Abs(off) <= 1.5*g.Division.Float()+1e-9 {
				off = 0 // the mark nearest to the limit, and a watch that is stopped a mark early or late
			}
			s.num("fall", off/in.LeakDown.Fall.Float())
		}
	}
}

// band says how far outside a limit a value is, as a share of it.
func (s *saying) band(name string, a logbook.Amount, in logbook.Band) {
	if !a.Valid() {
		return
	}
	off := 0.0
	if in.Low.Valid() {
		off = max(off, in.Low.Float()-a.Float())
	}
	if in.High.Valid() {
		off = max(off, a.Float()-in.High.Float())
	}
	if in.Valid() {
		s.num(name+" off its limit", off/max(math.Abs(a.Float()), 1e-9))
	}
}

func (s *saying) torque(name string, t logbook.Tightened, in logbook.TorqueLimits) {
	if t.Torque.Valid() && in.Torque.Low.Valid() && in.Torque.High.Valid() {
		s.num("torque of "+name, without(apart(t.Torque.Float(), (in.Torque.Low.Float()+in.Torque.High.Float())/2),
			-0.08, 0.08))
	}
	if t.Steps.Valid && in.Steps.Valid {
		s.num("steps of "+name, t.Steps.Value-in.Steps.Value)
	}
	if t.Lubricant.Written != "" && in.Lubricant.Written != "" {
		s.yes("lubricant of "+name, t.Lubricant.Written == in.Lubricant.Written)
	}
}

// bench says what holds one test together.
func (s *saying) bench(block string, o *logbook.Overhaul, t *logbook.Test) {
	open := t.Opening.Median()
	if n := len(t.Opening.Each); n > 0 {
		s.word("readings "+block, fmt.Sprint(n))
	}
	for _, r := range t.Opening.Each {
		if r.Valid() && open.Valid() {
			s.num("reading and the middle one", without(apart(r.Float(), open.Float()), -0.05, 0.05))
		}
	}
	if t.FirstOpening.Valid() && open.Valid() {
		// about a division of the gauge below or above
		s.num("first opening", without(apart(t.FirstOpening.Float(), open.Float()), -0.02, 0.02))
	}
	if t.Closing.Valid() && open.Valid() && t.Closing.Kind() == open.Kind() {
		// read off a needle that falls; which share it is differs with the seat, and more as found than as left
		s.num("closing", without(apart(t.Closing.Float(), open.Float()), -0.45, -0.15))
	}
	if open.Valid() && t.Seat.At.Valid() {
		s.num("seat test and opening", without(apart(t.Seat.At.Float(), open.Float()), -0.15, -0.01))
	}
	if open.Valid() && t.LeakDown.From.Valid() {
		s.num("leak test and opening", without(apart(t.LeakDown.From.Float(), open.Float()), -0.2, -0.01))
	}
	if open.Valid() && t.LeakDown.To.Valid() {
		s.num("end of the leak test and opening", apart(t.LeakDown.To.Float(), open.Float()))
	}
	s.instrument(block+" gauge", t.Gauge.Written, t.Date.Day)
	if g := s.b.Instruments[t.Gauge.Written]; g != nil && open.Valid() && g.Range.High.Valid() &&
		g.Range.High.Kind() == open.Kind() {
		s.num("share of the gauge", open.Float()/g.Range.High.Float())
		if g.Division.Valid() {
			_, part := math.Modf(open.Float()/g.Division.Float() + 1e-6)
			s.num("between two divisions", math.Round(part*100)/100)
		}
	}
}

// compare holds a record against the last one of its parts.
func (s *saying) compare(o *logbook.Overhaul, last map[string]*logbook.Overhaul) {
	before := last[o.Holder.Written]
	left := logbook.Amount{}
	if before != nil {
		left = before.AsLeft.Opening.Median()
		if a, b := o.Measured.HolderWear.Value, before.Measured.HolderWear.Value; a.Valid() && b.Valid() &&
			math.Abs(a.Float()-b.Float()) > max(a.Step(), b.Step())+1e-9 { // each is read to the last digit
			s.ratio("wear since the last", a, b)
		}
		s.days("removed after fitted", o.Removed.Date.Day, before.Fitted.Date.Day)
		if a, b := o.Measured.SpringLength.Value, before.Measured.SpringLength.Value; a.Valid() && b.Valid() &&
			before.Decided.Spring.Written == "reuse" {
			// each is read to a division of a calliper
			s.num("spring since the last", without(apart(a.Float(), b.Float()), -0.002, 0.002))
		}
	} else {
		for _, x := range s.b.Vessel.Opening.Fitted {
			if x.Holder.Written == o.Holder.Written {
				left = x.Left
			}
		}
	}
	if f := o.AsFound.Opening.Median(); f.Valid() && left.Valid() {
		s.num("found since left", without(apart(f.Float(), left.Float()), -0.05, 0.001)) // a valve may have lost nothing
	}
	if n := last["n "+o.Nozzle.Found.Written]; n != nil && o.Nozzle.Found.Written != "" {
		if a, b := o.Measured.Lift.Value, n.Measured.Lift.Value; a.Valid() && b.Valid() &&
			n.Nozzle.Found.Written == n.Nozzle.Left.Written {
			// each is read to a hundredth, and wears some between
			s.num("lift since the last", without(a.Float()-b.Float(), -0.02, 0.05))
		}
		if a, b := o.Measured.SeatDiameter.Value, n.Measured.SeatDiameter.Value; a.Valid() && b.Valid() &&
			n.Nozzle.Found.Written == n.Nozzle.Left.Written {
			s.num("seat since the last", without(a.Float()-b.Float(), -0.2, 0.3)) // each is read to a mark of 0.1 mm
		}
		if a, b := o.AsFound.LeakDown.Time, n.AsLeft.LeakDown.Time; a.Valid() && b.Valid() {
			// guides of real ships wear unevenly; watch, needle and a kelvin of the oil make a fifth at most
			gain := math.Log(a.Float() / b.Float())
			if then, now := n.AsLeft.Oil, o.AsFound.Oil; then.Valid() && now.Valid() {
				gain -= 0.02 * (then.Float() - now.Float()) // calibration fluid, 2 % a kelvin: from memory
			}
			s.num("leak found since left", without(gain, -1.1, 0.18))
		}
		s.yes("marking kept", o.Nozzle.Found.Written != o.Nozzle.Left.Written ||
			n.Nozzle.Marking.Written == o.Nozzle.Marking.Written)
	}
	if a, b := o.AsLeft.LeakDown.Time, o.AsFound.LeakDown.Time; a.Valid() && b.Valid() &&
		o.Decided.Nozzle.Written == "reuse" {
		// what is cleaned holds as long, but for oil and watch
		s.num("leak left since found", without(math.Log(a.Float()/b.Float()), math.Log(0.6), 1))
	}
	if e := o.Measured.Effective.Value; e.Valid() && o.Measured.Lift.Value.Valid() {
		// each is rounded to a hundredth
		s.num("sum", without(e.Float()-o.Measured.Lift.Value.Float()-o.Measured.HolderWear.Value.Float(), -0.0101, 0.0101))
	}
}

// counter holds a reading against the table of hours.
func (s *saying) counter(name, engine string, d logbook.Day, c logbook.Amount) {
	rows := s.b.Hours[engine]
	if d == 0 || !c.Valid() || len(rows) == 0 {
		return
	}
	var before, after *logbook.Reading
	for i := range rows {
		r := &rows[i]
		if r.Date.Day == 0 || !r.Counter.Valid {
			continue
		}
		if r.Date.Day <= d {
			before = r
		} else if after == nil {
			after = r
		}
	}
	if before == nil {
		s.word(name+" in the table", "before it")
		return
	}
	if after == nil {
		s.num(name+" after the table, days", float64(d-before.Date.Day))
		s.num(name+" after the table, hours", c.Float()-before.Counter.Value)
		return
	}
	if after.Counter.Value < before.Counter.Value { // a counter was replaced
		return
	}
	share := float64(d-before.Date.Day) / float64(after.Date.Day-before.Date.Day)
	// within two weeks an engine may have run all the time or hardly at all; both readings are of any hour of a day
	day := func(from, to logbook.Day) float64 { return 24 * float64(to-from+1) }
	ran, runs := c.Float()-before.Counter.Value, after.Counter.Value-c.Float()
	if after.Date.Day-before.Date.Day <= 14 && ran >= -2 && runs >= -2 && ran <= day(before.Date.Day, d) &&
		runs <= day(d, after.Date.Day) {
		s.num(name+" and the table, a day", 0)
		return
	}
	// the less often a counter is read, the further off is what lies between two readings
	off := c.Float() - before.Counter.Value - share*(after.Counter.Value-before.Counter.Value)
	s.num(name+" and the table, a day", off/float64(after.Date.Day-before.Date.Day))
	// each is read to the hour, at another hour of its day
	s.yes(name+" between its rows", c.Float() >= before.Counter.Value-2 && c.Float() <= after.Counter.Value+2)
}

func (s *saying) aboard(role, id string, d logbook.Day) {
	if id == "" || len(s.b.Crew) == 0 || d == 0 {
		return
	}
	// a change of crew takes some days
	s.yes(role+" aboard", slices.ContainsFunc(s.b.Crew, func(c logbook.CrewPeriod) bool {
		return c.ID.Written == id && c.From.Day <= d+3 && (c.To.Day == 0 || c.To.Day+3 >= d)
	}))
}

func (s *saying) instrument(use, id string, d logbook.Day) {
	if id == "" {
		return
	}
	i := s.b.Instruments[id]
	s.yes("instrument known for "+use, i != nil)
	if i == nil {
		return
	}
	s.word("kind of instrument for "+use, i.Kind.Written+".")
	if d != 0 && i.Until.Day != 0 {
		s.yes("calibrated for "+use, i.Until.Day >= d)
		s.yes("calibration began before "+use, i.Calibrated.Day <= d)
	}
}

// used says that a fuel was in use on a day; tanks are changed over some days, common practice, no source.
func (s *saying) used(grade string, d logbook.Day) bool {
	return slices.ContainsFunc(s.b.Bunkers, func(x logbook.Bunker) bool {
		return x.Grade.Written == grade && x.From.Day <= d+3 && (x.To.Day == 0 || x.To.Day+3 >= d)
	})
}

// plain is a serial as it stands in the name of a file.
func plain(serial string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, strings.ToLower(serial))
}
