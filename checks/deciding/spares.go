package deciding

import (
	"fmt"

	"needlebook/logbook"
)

// Spare is a valve that is booked as ready, and whether it is.
type Spare struct {
	logbook.Ready
	State Readiness
	Age   int // days since its last test
}

// Spares answers for every valve that is booked as ready whether it may be fitted: by its last record, and by the age
// of its test.
func Spares(b *logbook.Book, outcomes map[string]Outcome, today logbook.Day) []Spare {
	var all []Spare
	limit := b.Settings().SpareTestAge
	for _, r := range b.Lives().Rack(today) {
		s := Spare{Ready: r, State: Readiness{Tested: true}, Age: today.Days(r.Since)}
		place := b.Vessel.Opening.Date.Place
		if r.Overhaul != nil {
			s.State, place = outcomes[r.Overhaul.Stem].Ready, r.Overhaul.TestedOn().Place
		}
		if float64(s.Age) > limit.Float() && s.State.Tested {
			s.State.Again = fmt.Sprintf("tested %d d ago, limit %s", s.Age, limit.Written)
			s.State.AgainAt = place
		}
		all = append(all, s)
	}
	return all
}

// OutOfUse adds what a later or earlier entry says of the parts of a record: a condemned holder is never ready,
// whatever the bench showed. day is the one by which it had come.
func (r *Readiness) OutOfUse(b *logbook.Book, o *logbook.Overhaul, day logbook.Day) {
	for _, p := range []struct {
		kind   string
		serial logbook.Serial
	}{{"holder", o.Holder}, {"nozzle", o.Nozzle.Left}} {
		if e, ended := b.EndBy(p.kind, p.serial.Written, day); ended && p.serial.Stated() && e.By != o {
			r.Because = append([]Reason{{fmt.Sprintf("the %s was %s", p.kind, e), e.Place}}, r.Because...)
		}
	}
}
