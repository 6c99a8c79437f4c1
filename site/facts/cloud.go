package facts

import (
	"slices"

	"needlebook/logbook"
)

// Cloud are values as found of many positions or parts, for comparison behind those of one. They are gathered once
// for all pages.
type Cloud []cloudPoint

type cloudPoint struct {
	of string // the position or part it belongs to
	at [2]float64
}

// Others are the values of all but one, at most so many.
func (c Cloud) Others(but string, most int) [][2]float64 {
	n := 0
	for i := range c {
		if c[i].of != but {
			n++
		}
	}
	every := max(1, (n+most-1)/most)
	kept := make([][2]float64, 0, min(n, most))
	n = 0
	for i := range c {
		if c[i].of == but {
			continue
		}
		if n%every == 0 {
			kept = append(kept, c[i].at)
		}
		n++
	}
	return kept
}

// gatherClouds gathers what is found over the hours of each engine, and over those of each holder.
func (k *Facts) gatherClouds() {
	k.EngineClouds, k.HolderClouds = map[string]map[string]Cloud{}, map[string]Cloud{}
	add := func(c Cloud, of string, lives []Life, q Quantity) Cloud {
		for _, l := range lives {
			if v := k.FoundAt(l, q); v != nil {
				c = append(c, cloudPoint{of, [2]float64{l.End, v.Value.Float()}})
			}
		}
		return c
	}
	for _, p := range k.Positions {
		byName := k.EngineClouds[p.Engine]
		if byName == nil {
			byName = map[string]Cloud{}
			k.EngineClouds[p.Engine] = byName
		}
		lives := k.LivesIn(p)
		for _, q := range CylinderQuantities {
			byName[q.Found] = add(byName[q.Found], p.Cylinder, lives, q)
		}
	}
	for _, h := range k.Lives.Holders() {
		lives := LivesOf(k.Lives.OfHolder(h), 0)
		for _, q := range HolderQuantities {
			of := k.TypeOf(h) + " " + q.Found
			k.HolderClouds[of] = add(k.HolderClouds[of], h, lives, q)
		}
	}
}

// TypeOf is the limits file of the engine that a holder was in last: only holders of one type compare; empty where it
// was in none.
func (k *Facts) TypeOf(holder string) string {
	periods := k.Lives.OfHolder(holder)
	if len(periods) == 0 {
		return ""
	}
	if l := k.Book.LimitsOf(periods[len(periods)-1].Engine); l != nil {
		return l.Name
	}
	return ""
}

// benchesOfNozzles are the overhauls that name each nozzle, oldest first.
func (k *Facts) benchesOfNozzles() map[string][]*logbook.Overhaul {
	all := map[string][]*logbook.Overhaul{}
	for _, o := range k.Book.Overhauls {
		found, left := o.Nozzle.Found.Written, o.Nozzle.Left.Written
		all[found] = append(all[found], o)
		if left != found {
			all[left] = append(all[left], o)
		}
	}
	return all
}

// LastMarking is what was stamped on a nozzle, as last read; empty where no record tells.
func LastMarking(benches []*logbook.Overhaul, serial string) string {
	for _, o := range slices.Backward(benches) {
		switch {
		case o.Nozzle.Left.Written == serial && o.Nozzle.Marking.Stated():
			return o.Nozzle.Marking.Written
		case o.Nozzle.Found.Written == serial && o.Nozzle.MarkingFound.Stated():
			return o.Nozzle.MarkingFound.Written
		}
	}
	return ""
}

// MeanStay is the mean of the running hours of the service periods that ended; not known for none.
func MeanStay(periods []*logbook.ServicePeriod) (mean float64, known bool) {
	sum, n := 0.0, 0
	for _, st := range periods {
		if st.To != 0 && st.HoursKnown {
			sum += st.Hours
			n++
		}
	}
	if n == 0 {
		return 0, false
	}
	return sum / float64(n), true
}

// Renewal counts nozzles taken out of use.
type Renewal struct {
	Renewed int // nozzles renewed
	Of      int // valves pulled
}

// RenewalOf counts over some overhauls.
func RenewalOf(all []*logbook.Overhaul) (n Renewal) {
	for _, o := range all {
		if !o.Removed.Stated() {
			continue
		}
		n.Of++
		if Renewed(o) {
			n.Renewed++
		}
	}
	return n
}

// Renewed says that the overhaul took a nozzle out of use.
func Renewed(o *logbook.Overhaul) bool { return o.Decided.Nozzle.Is("renew", "condemn") }
