package deciding

import (
	"fmt"
	"math"

	"needlebook/checks/physics"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// nozzleChoice weighs the nozzle. What it should be ground to is the upper end of a new one's lift, or where the limits
// state none the wear limit itself; faced says that the holder's face is put right as well.
func (w *work) nozzleChoice(faced bool) Choice {
	serial := w.o.Nozzle.Found.Written
	c := Choice{Part: "nozzle", Serial: serial, Grind: w.grindable("nozzle", serial), Renew: Side{Possible: true}}
	w.grindTo(&c.Grind, faced)
	no := w.partNo(serial)
	c.Grind.Supply = w.supply(func(m logbook.StockMove) bool { return regrindOf(m, "nozzle", no) })
	c.Renew.Supply = w.supply(func(m logbook.StockMove) bool { return isPart(m, "nozzle", no) })
	if fresh := w.freshLift(); fresh.Span.Valid() {
		c.Renew.Band = fresh.String()
		if wear := w.o.Measured.HolderWear.Value; wear.Quantity.Valid() && !faced && fresh.Low.Valid() &&
			fresh.High.Valid() && wear.Kind() == fresh.Kind() {
			c.Renew.Band = measure.Between(fresh.Low.Plus(wear.Quantity), fresh.High.Plus(wear.Quantity)).String()
		}
	}
	c.Grind.Life, c.Renew.Life = w.lifeLeft()
	return c
}

// freshLift is the lift of a new nozzle.
func (w *work) freshLift() logbook.Band {
	if w.in.Lift.New.Span.Valid() {
		return w.in.Lift.New
	}
	return w.in.Effective.New
}

// grindTo works out what grinding the nozzle would bring.
func (w *work) grindTo(s *Side, faced bool) {
	lift, wear := w.o.Measured.Lift.Value.Quantity, w.o.Measured.HolderWear.Value.Quantity
	own, most := w.in.Lift.Max.Quantity, w.in.Effective.Max.Quantity
	if !lift.Valid() { // only the sum was written
		lift, wear = w.o.Measured.Effective.Value.Quantity, measure.Quantity{}
	}
	if !most.Valid() { // the manual limits the nozzle's own lift alone, whatever the face has worn
		most, wear = own, measure.Quantity{}
	}
	target := most
	if fresh := w.freshLift(); fresh.High.Valid() {
		target = fresh.High
	}
	if !lift.Valid() || !target.Valid() || !most.Valid() {
		s.no("lift or its limit not known")
		return
	}
	lying := 0.0
	if wear.Valid() {
		lying = wear.Float()
	}
	r, err := physics.RegrindTo(target.Float(), lift.Float(), lying)
	if err != nil {
		s.no(err.Error())
		return
	}
	need, now := r.NozzleOnly, lift.Float()+lying
	if faced {
		need, now = r.NozzleFace, lift.Float()
	}
	mm := func(v float64) measure.Quantity {
		return measure.FromFloat(v, max(2, lift.Decimals(), wear.Decimals(), target.Decimals()), measure.Length)
	}
	s.Need = mm(need)
	if !s.Possible {
		return
	}
	off := math.Min(need, s.Most.Float())
	s.Off, s.After = mm(off), mm(now-off)
	alone := mm(lift.Float() - off)
	switch {
	case s.After.Compare(most) > 0:
		s.no(fmt.Sprintf("with the %s that may come off it still is %s, over %s", s.Most, s.After, most))
	case own.Valid() && own.Kind() == alone.Kind() && alone.Compare(own) > 0:
		s.no(fmt.Sprintf("with the %s that may come off its own lift still is %s, over %s", s.Most, alone, own))
	}
}

// no marks a side as not possible, keeping the first reason.
func (s *Side) no(why string) {
	if s.Possible || s.Why == "" {
		s.Possible, s.Why = false, why
	}
}

// lifeLeft is what the nozzle's life leaves it, and what it gives a new one.
func (w *work) lifeLeft() (ground, renewed string) {
	life, v := w.in.NozzleLife.Renew, w.find("nozzle_hours")
	if !life.Quantity.Valid() {
		return "", ""
	}
	renewed = life.String()
	if v.Value.Valid() && v.Value.Kind() == life.Kind() {
		ground = life.Minus(v.Value).String()
		if life.Compare(v.Value) <= 0 {
			ground = "none"
		}
	}
	return ground, renewed
}

// holderChoice weighs the holder: grinding takes out its wear.
func (w *work) holderChoice(enough bool) Choice {
	serial := w.o.Holder.Written
	c := Choice{Part: "holder", Serial: serial, Grind: w.grindable("holder", serial), Renew: Side{Possible: true},
		Enough: enough}
	lift, wear := w.o.Measured.Lift.Value.Quantity, w.o.Measured.HolderWear.Value.Quantity
	c.Grind.Need = wear
	if c.Grind.Possible && wear.Valid() {
		c.Grind.Off = wear
		if wear.Compare(c.Grind.Most) > 0 {
			c.Grind.no(fmt.Sprintf("%s must come off, and %s may", wear, c.Grind.Most))
		}
	}
	c.Grind.After, c.Renew.After = lift, lift
	no := w.partNo(serial)
	c.Grind.Supply = w.supply(func(m logbook.StockMove) bool { return regrindOf(m, "holder", no) })
	c.Renew.Supply = w.supply(func(m logbook.StockMove) bool { return isPart(m, "holder", no) })
	return c
}
