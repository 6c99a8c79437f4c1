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
		if r.Nozzle != "" {
			all = append(all, p.age(r.Nozzle, r.Holder, logbook.Position{}, p.Book.LimitsOfHolder(r.Holder)))
		}
	}
	return all
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
