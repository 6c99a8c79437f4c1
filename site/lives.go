package site

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// life is a stay along the axis of a plot.
type life struct {
	*logbook.Stay
	from, to float64
	ended    bool
}

// livesIn are the stays of one position along the running hours of its engine.
func (s *site) livesIn(p logbook.Position) []life {
	var all []life
	for _, stay := range s.lives.InPosition(p) {
		l := life{Stay: stay, ended: stay.To != 0}
		ok := stay.FromTotal > 0
		l.from = stay.FromTotal
		if !ok {
			l.from, ok = s.Book.TotalOn(p.Engine, stay.From)
		}
		l.to = stay.ToTotal
		if l.to == 0 {
			day := stay.To
			if day == 0 {
				day = s.today
			}
			l.to, _ = s.Book.TotalOn(p.Engine, day)
		}
		if ok && l.to >= l.from {
			all = append(all, l)
		}
	}
	return all
}

// livesOf are the stays of one part along its own running hours within the book.
func livesOf(stays []*logbook.Stay, start float64) []life {
	var all []life
	at := start
	for _, stay := range stays {
		all = append(all, life{stay, at, at + stay.Hours, stay.To != 0})
		at += stay.Hours
	}
	return all
}

// quantity is one thing that is followed through lives.
type quantity struct {
	name, unit string
	left       string // the verdict's key as left; empty where nothing is left to see
	found      string
	log        bool
}

var (
	openingPressure = quantity{"opening pressure", "bar", "as_left.opening_pressure", "as_found.opening_pressure", false}
	leakDown        = quantity{"leak-down", "s", "as_left.leak_down.time", "as_found.leak_down.time", true}
	effectiveStroke = quantity{"effective stroke", "mm", "", "effective_stroke", false}
	holderWear      = quantity{"holder wear", "mm", "", "measured.holder_wear", false}
	nozzleStroke    = quantity{"stroke", "mm", "", "measured.stroke", false}
	seatDiameter    = quantity{"seat diameter", "mm", "", "measured.seat_diameter", false}
)

// The quantities that the pages of cylinders, holders and nozzles follow.
var (
	cylinderQuantities = []quantity{openingPressure, leakDown, effectiveStroke}
	holderQuantities   = []quantity{openingPressure, leakDown, effectiveStroke, holderWear}
	nozzleQuantities   = []quantity{openingPressure, leakDown, nozzleStroke, seatDiameter}
)

// verdict is the verdict of a record on one key; nil where it has none. The verdict must not be changed.
func (s *site) verdict(o *logbook.Overhaul, key string) *judging.Verdict {
	list := s.judged.Of(o)
	for i := range list {
		if list[i].Key == key {
			return &list[i]
		}
	}
	return nil
}

// valued is the same where there is a value; nil where there is none.
func (s *site) valued(o *logbook.Overhaul, key string) *judging.Verdict {
	if v := s.verdict(o, key); v != nil && v.Value.Valid() {
		return v
	}
	return nil
}

// leftAt is how the valve of a life was left before it: the verdict of the record that tells, or the opening state; nil where
// nothing does.
func (s *site) leftAt(l life, q quantity) *judging.Verdict {
	if q.left == "" {
		return nil
	}
	if l.Opened != nil {
		return s.valued(l.Opened, q.left)
	}
	if q.left != openingPressure.left {
		return nil
	}
	stated := func(a logbook.Amount) *judging.Verdict {
		if !a.Quantity.Valid() {
			return nil
		}
		return &judging.Verdict{Name: "opening pressure as left", Value: a.Quantity}
	}
	open := s.Book.Vessel.Opening
	for _, f := range open.Fitted {
		if f.Holder.Written == l.ReadHolder && f.Engine.Written == l.Engine && f.Cylinder.Written == l.Cylinder {
			return stated(f.Left)
		}
	}
	for _, r := range open.Rack {
		if r.Holder.Written == l.ReadHolder {
			return stated(r.Left)
		}
	}
	return nil
}

// foundAt is how the valve of a life was found after it; nil where nothing tells.
func (s *site) foundAt(l life, q quantity) *judging.Verdict {
	if l.Closed == nil {
		return nil
	}
	return s.valued(l.Closed, q.found)
}

// followed is the plot of one quantity through lives.
func (s *site) followed(q quantity, lives []life, xUnit string) plot {
	p := plot{title: q.name, unit: q.unit, xUnit: xUnit, log: q.log}
	for _, l := range lives {
		left, found := s.leftAt(l, q), s.foundAt(l, q)
		if left != nil {
			d := dot{x: l.from, y: left.Value.Float(), shape: shapeOf(left.Class), beyond: left.Result == judging.Beyond,
				words: l.Holder + " as left: " + left.Value.String() + resultWords(left)}
			if l.Opened != nil {
				d.to = s.pages.overhaul[l.Opened].at(keyID(q.left))
			}
			p.dots = append(p.dots, d)
			p.bounds = append(p.bounds, boundsOf(left, l.from)...)
		}
		if found == nil {
			continue
		}
		p.dots = append(p.dots, dot{x: l.to, y: found.Value.Float(), found: true, beyond: found.Result == judging.Beyond, to: s.pages.overhaul[l.Closed].at(keyID(q.found)),
			words: l.Holder + " as found " + l.To.String() + ": " + found.Value.String() + resultWords(found)})
		p.bounds = append(p.bounds, boundsOf(found, l.to)...)
		if left != nil {
			p.lives = append(p.lives, [4]float64{l.from, left.Value.Float(), l.to, found.Value.Float()})
		}
	}
	return p
}

func shapeOf(c logbook.Class) shape {
	switch c {
	case logbook.New:
		return square
	case logbook.Reground:
		return triangle
	}
	return disc
}

func resultWords(v *judging.Verdict) string {
	if v.Result == judging.None || v.Result == judging.Within {
		return ""
	}
	return ", " + v.Result.String()
}

// boundsOf are the limits that held for a value.
func boundsOf(v *judging.Verdict, x float64) []bound {
	var all []bound
	end := func(q measure.Quantity, upper bool) {
		if q.Valid() {
			all = append(all, bound{x, q.Float(), upper})
		}
	}
	if v.Span.Valid() && v.Span.Kind() == v.Value.Kind() {
		end(v.Span.Low, false)
		end(v.Span.High, true)
	}
	return all
}
