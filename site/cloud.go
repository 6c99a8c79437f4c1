package site

import "needlebook/logbook"

// cloud are values as found of many positions or parts, for comparison behind those of one. They are gathered once for all pages.
type cloud []cloudPoint

type cloudPoint struct {
	of string // the position or part it belongs to
	at [2]float64
}

// others are the values of all but one, at most so many as a drawing shows.
func (c cloud) others(but string) [][2]float64 {
	n := 0
	for i := range c {
		if c[i].of != but {
			n++
		}
	}
	every := max(1, (n+mostOthers-1)/mostOthers)
	kept := make([][2]float64, 0, min(n, mostOthers))
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
func (s *site) gatherClouds() {
	s.engineClouds, s.holderClouds = map[string]map[string]cloud{}, map[string]cloud{}
	add := func(c cloud, of string, lives []life, q quantity) cloud {
		for _, l := range lives {
			if v := s.foundAt(l, q); v != nil {
				c = append(c, cloudPoint{of, [2]float64{l.to, v.Value.Float()}})
			}
		}
		return c
	}
	for _, p := range s.pages.positions {
		byName := s.engineClouds[p.Engine]
		if byName == nil {
			byName = map[string]cloud{}
			s.engineClouds[p.Engine] = byName
		}
		lives := s.livesIn(p)
		for _, q := range cylinderQuantities {
			byName[q.found] = add(byName[q.found], p.Cylinder, lives, q)
		}
	}
	for _, h := range s.lives.Holders() {
		lives := livesOf(s.lives.OfHolder(h), 0)
		for _, q := range holderQuantities {
			s.holderClouds[q.found] = add(s.holderClouds[q.found], h, lives, q)
		}
	}
}

// benchesOfNozzles are the overhauls that name each nozzle, oldest first.
func (s *site) benchesOfNozzles() map[string][]*logbook.Overhaul {
	all := map[string][]*logbook.Overhaul{}
	for _, o := range s.Book.Overhauls {
		found, left := o.Nozzle.Found.Written, o.Nozzle.Left.Written
		all[found] = append(all[found], o)
		if left != found {
			all[left] = append(all[left], o)
		}
	}
	return all
}
