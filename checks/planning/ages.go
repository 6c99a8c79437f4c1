package planning

import "needlebook/logbook"

// Age is a nozzle on board and what it has run.
type Age struct {
	Nozzle   string
	Position logbook.Position // where it sits; zero in the spares rack
	Holder   string
	Hours    float64
	Known    bool    // every hour of it is on record
	Life     float64 // hours at which it is renewed; 0 where the limits state none
	Never    float64 // hours beyond which it never runs; 0 where none is stated
}

// Ages lists the nozzle in each position, in the order of the engines, then those of the ready spares.
func (p *Plan) Ages() []Age {
	var all []Age
	for _, pos := range p.Book.Positions() {
		if s := p.lives.At(pos, p.today); s != nil && s.Nozzle != "" {
			all = append(all, p.age(s.Nozzle, s.Holder, pos, p.Book.LimitsOf(pos.Engine)))
		}
	}
	for _, r := range p.lives.Rack(p.today) {
		var l *logbook.Limits
		if r.Overhaul != nil {
			l = p.Book.LimitsFor(r.Overhaul)
		} else {
			l = p.limitsOfHolder(r.Holder)
		}
		if r.Nozzle != "" {
			all = append(all, p.age(r.Nozzle, r.Holder, logbook.Position{}, l))
		}
	}
	return all
}

// limitsOfHolder are the limits of the engine that a holder sat in last; of one that sat in none, those of the ship
// where she has one type.
func (p *Plan) limitsOfHolder(serial string) *logbook.Limits {
	if periods := p.lives.OfHolder(serial); len(periods) > 0 {
		return p.Book.LimitsOf(periods[len(periods)-1].Engine)
	}
	var only *logbook.Limits
	for i, e := range p.Book.Vessel.Engines {
		l := p.Book.LimitsOf(e.ID.Written)
		if i > 0 && l != only {
			return nil
		}
		only = l
	}
	return only
}

func (p *Plan) age(nozzle, holder string, at logbook.Position, l *logbook.Limits) Age {
	a := Age{Nozzle: nozzle, Holder: holder, Position: at}
	a.Hours, a.Known = p.lives.NozzleHours(nozzle, p.today)
	if l != nil {
		e, _ := l.On(p.today)
		a.Life, a.Never = e.NozzleLife.Renew.Float(), e.NozzleLife.Never.Float()
	}
	return a
}
