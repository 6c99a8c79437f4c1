package lsp

import (
	"path"
	"slices"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// definition goes from a measured value to the limit it is held against; from a holder, nozzle or position to its
// record before this one; from an instrument to its file.
func (p *page) definition(at position) []location {
	found := []location{}
	if p.book == nil {
		return found
	}
	key, written := p.keyAt(at)
	if i := p.book.Instruments[written]; i != nil {
		return append(found, p.s.location(i.Opening))
	}
	o := p.book.Overhaul(stemOf(p.name))
	if o == nil || o.Path != p.name {
		return found
	}
	if before := p.earlier(o, key, written); before != nil {
		return append(found, p.s.location(before.Opening))
	}
	var places []logbook.Place
	for _, v := range judging.OnDemand(p.book).Of(o) {
		if v.LimitPlace.Path != "" && (v.Key == key || v.Key+".value" == key || sameKey(v, o, key)) &&
			!slices.Contains(places, v.LimitPlace) {
			places = append(places, v.LimitPlace)
			found = append(found, p.s.location(v.LimitPlace))
		}
	}
	return found
}

// sameKey says that a verdict judges what stands at a key: one of several readings, or a value that is worked out from
// it.
func sameKey(v judging.Verdict, o *logbook.Overhaul, key string) bool {
	at := o.PlaceOf(key)
	return at != o.Opening && v.Place == at
}

// earlier is the last record before this one that the identity under the cursor stands in; nil where the key holds
// none.
func (p *page) earlier(o *logbook.Overhaul, key, written string) *logbook.Overhaul {
	all := p.earlierOf(o, key, written)
	if len(all) == 0 {
		return nil
	}
	return all[0]
}

// earlierOf lists the records before this one of a holder, a nozzle or a position, the newest first.
func (p *page) earlierOf(o *logbook.Overhaul, key, written string) (all []*logbook.Overhaul) {
	var of func(x *logbook.Overhaul) bool
	switch key {
	case "holder":
		of = func(x *logbook.Overhaul) bool { return x.Holder.Written == written }
	case keys.NozzleFound, keys.NozzleLeft:
		of = func(x *logbook.Overhaul) bool {
			return x.Nozzle.Found.Written == written || x.Nozzle.Left.Written == written
		}
	case keys.RemovedEngine, keys.RemovedCylinder:
		of = func(x *logbook.Overhaul) bool {
			return x.Removed.Engine.Written == o.Removed.Engine.Written &&
				x.Removed.Cylinder.Written == o.Removed.Cylinder.Written
		}
	case keys.FittedEngine, keys.FittedCylinder:
		of = func(x *logbook.Overhaul) bool {
			return x.Removed.Engine.Written == o.Fitted.Engine.Written && x.Removed.Cylinder.Written == o.Fitted.Cylinder.Written
		}
	default:
		return nil
	}
	for _, x := range slices.Backward(p.book.Overhauls) {
		if x != o && (x.Day() < o.Day() || x.Day() == o.Day() && x.Stem < o.Stem) && of(x) {
			all = append(all, x)
		}
	}
	return all
}

// references lists the records before this one, the newest first: of the holder, nozzle or position under the cursor,
// else the same value of the same holder, of a nozzle's own measurement of the same nozzle.
func (p *page) references(at position) []location {
	found := []location{}
	if p.book == nil {
		return found
	}
	key, written := p.keyAt(at)
	o := p.book.Overhaul(stemOf(p.name))
	if o == nil || o.Path != p.name {
		return found
	}
	all := p.earlierOf(o, key, written)
	for _, x := range all {
		found = append(found, p.s.location(x.Opening))
	}
	if all != nil {
		return found
	}
	all = p.earlierOf(o, "holder", o.Holder.Written)
	if nozzlesOwn[key] {
		all = p.earlierOf(o, keys.NozzleFound, o.Nozzle.Found.Written)
	}
	for _, x := range all {
		if at := x.PlaceOf(key); at != x.Opening {
			found = append(found, p.s.location(at))
		}
	}
	return found
}

// nozzlesOwn are the measurements that go with the nozzle, whatever holder it sits in.
var nozzlesOwn = map[string]bool{keys.MeasuredLift: true, keys.MeasuredLiftValue: true, keys.MeasuredSeatDiameter: true,
	keys.MeasuredSeatDiameterValue: true,
	keys.MeasuredSeatBand:          true, keys.MeasuredSeatBandValue: true, keys.NozzleMarking: true}

func stemOf(name string) string {
	base := path.Base(name)
	return base[:len(base)-len(path.Ext(base))]
}
