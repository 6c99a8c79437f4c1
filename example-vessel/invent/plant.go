package invent

import (
	"math/rand/v2"
	"slices"
)

// fault is one kind of fault that can be planted, in a way in which it comes about on ships.
type fault struct {
	name, check string
	may         []string              // checks that may rightly speak because of it
	ahead       func(w *world)        // prepares what the life of the ship must show
	plant       func(p *planter) bool // makes it, and says through p where; false where the vessel has no room for it
}

// Faults lists the faults that can be planted, in the order of the checks that find them.
func Faults() []string {
	var names []string
	for _, f := range faults {
		names = append(names, f.name)
	}
	return names
}

var faults = slices.Concat(writingFaults, benchFaults, fittingFaults, historyFaults, bookFaults)

// planter plants one fault in a finished vessel.
type planter struct {
	*world
	dice  *rand.Rand // of its own, so that the vessel stays as it was
	taken map[*job]bool
	found []Planted
}

// size is how large a fault is: from just noticeable to gross.
func (p *planter) size(low, high float64) float64 { return low + (high-low)*p.dice.Float64() }

// steps is the same in divisions of a scale.
func (p *planter) steps(most int) int { return 1 + p.dice.IntN(most) }

// at says where the fault must be found.
func (p *planter) at(path, record string) {
	p.found = append(p.found, Planted{Path: path, Record: record})
}

// job picks a record that a fault fits, one that carries no other; nil where there is none.
func (p *planter) job(fits func(j *job) bool) *job {
	var all []*job
	for _, j := range p.jobs {
		if !p.taken[j] && fits(j) {
			all = append(all, j)
		}
	}
	if len(all) == 0 {
		return nil
	}
	j := all[p.dice.IntN(len(all))]
	p.take_(j)
	return j
}

func (p *planter) take_(j *job) {
	p.taken[j] = true
	p.at("", j.stem())
}

// record is the fault of one record: the first record that fits is edited.
func record(name, check string, may []string, fits func(j *job) bool, edit func(p *planter, j *job)) fault {
	return fault{name: name, check: check, may: may, plant: func(p *planter) bool {
		j := p.job(fits)
		if j == nil {
			return false
		}
		edit(p, j)
		return true
	}}
}

// set writes a value over another one in a record that has it.
func set(name, check, key string, value func(p *planter, j *job) string, may ...string) fault {
	return record(name, check, may, func(j *job) bool { return j.has(key) },
		func(p *planter, j *job) { j.page.front.set(key, value(p, j)) })
}

// lose takes a key out of a record that has it.
func lose(name, check, key string, may ...string) fault {
	return record(name, check, may, func(j *job) bool { return j.has(key) },
		func(_ *planter, j *job) { j.page.front.drop(key) })
}

// fixed is a value that does not depend on the record.
func fixed(text string) func(*planter, *job) string {
	return func(*planter, *job) string { return text }
}

func (j *job) has(key string) bool { return j.page.front.at(key) != nil }

// says is the text at a key; empty where there is none.
func (j *job) says(key string) string {
	if e := j.page.front.at(key); e != nil {
		return e.text
	}
	return ""
}

// goesBack says that nozzle, holder and spring go back as they are.
func (j *job) goesBack() bool {
	return j.from != nil && j.says("decided.nozzle") == "reuse" && j.says("decided.holder") == "reuse" &&
		j.says("decided.spring") == "reuse" && j.has("as_left") && j.deferral == ""
}

// tested says that the valve was tested as found.
func (j *job) tested() bool { return j.from != nil && j.has("as_found.opening_pressure") }

// troubleSize is how large a trouble of the life of the ship is, told by her seed and not by the chance she lives by.
func (w *world) troubleSize(low, high float64) float64 {
	return low + (high-low)*stream(w.seed, 99).Float64()
}

// plantAhead prepares the faults that the life of the ship must show.
func (w *world) plantAhead() {
	for _, name := range w.options.Faults {
		for _, f := range faults {
			if f.name == name && f.ahead != nil {
				f.ahead(w)
			}
		}
	}
}

// plant makes the faults asked for, and gives the answer key.
func (w *world) plant() []Planted {
	var key []Planted
	taken := map[*job]bool{}
	for n, name := range w.options.Faults {
		i := slices.IndexFunc(faults, func(f fault) bool { return f.name == name })
		if i < 0 {
			panic("invent: no fault is called " + name)
		}
		f := faults[i]
		p := &planter{world: w, dice: stream(w.seed, uint64(n)+1), taken: taken}
		if !f.plant(p) {
			continue
		}
		for _, x := range p.found {
			x.Fault, x.Check, x.May = f.name, f.check, f.may
			key = append(key, x)
		}
	}
	return key
}
