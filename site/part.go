package site

import (
	"slices"

	"needlebook/checks"
	"needlebook/logbook"
)

// holderPage writes the life of one holder: where it has been, what it did to its nozzles, its wear, its end.
func (s *sheet) holderPage(serial string) error {
	s.begin("holder "+serial, "part", step{pageParts, "parts"}, step{"", "holder " + serial})
	s.m("<h1>Holder ").t(serial).m("</h1>")
	stays := s.lives.OfHolder(serial)
	s.whereNow(stays, s.lives.Benches(serial), "holder", serial)
	renewed, of := 0, 0
	for _, o := range s.lives.Benches(serial) {
		renewed, of = countRenewed(o, renewed, of)
	}
	s.m(`<dl class="figures">`)
	s.figure("nozzles renewed at its overhauls", ratio(renewed, of), "all other holders: "+ratio(s.renewed-renewed, s.pulled-of))
	if h, known := s.lives.HolderHours(serial, s.today); known {
		s.figure("has run in this book", hours(h), "")
	} else {
		s.figure("has run in this book", "not known", "a counter reading is missing")
	}
	s.figure("mean service", meanStay(stays), "of the stays that ended")
	s.m("</dl>")
	s.placesOf(stays, true)
	s.partFindings(s.found.holder[serial])
	lives := livesOf(stays, 0)
	s.partPlots(lives, serial, "h of this holder in the book", "other holders", holderQuantities)
	s.benchesOf(s.lives.Benches(serial))
	s.partFile("holder", serial)
	return s.end(s.pages.holder[serial], s.footShort)
}

// nozzlePage writes the life of one nozzle.
func (s *sheet) nozzlePage(serial string) error {
	s.begin("nozzle "+serial, "part", step{pageParts, "parts"}, step{"", "nozzle " + serial})
	s.m("<h1>Nozzle ").t(serial).m("</h1>")
	stays := s.lives.OfNozzle(serial)
	benches := s.nozzleBenches[serial]
	s.whereNow(stays, benches, "nozzle", serial)
	s.m(`<dl class="figures">`)
	total, known := s.lives.NozzleHours(serial, s.today)
	if known {
		s.figure("has run", hours(total), "in all its service lives")
	} else {
		s.figure("has run", "not known", "a counter reading, or its hours before the book, is missing")
	}
	if mark := lastMarking(benches, serial); mark != "" {
		s.figure("marking", mark, "as stamped")
	}
	s.figure("mean service", meanStay(stays), "of the stays that ended")
	s.m("</dl>")
	s.placesOf(stays, false)
	s.partFindings(s.found.nozzle[serial])
	start := 0.0
	for _, stay := range stays {
		total -= stay.Hours
	}
	if known && total > 0 {
		start = total
	}
	lives := livesOf(stays, start)
	s.partPlots(lives, "", "h of this nozzle", "", nozzleQuantities)
	s.benchesOf(benches)
	s.partFile("nozzle", serial)
	return s.end(s.pages.nozzle[serial], s.footShort)
}

func countRenewed(o *logbook.Overhaul, renewed, of int) (int, int) {
	if !o.Removed.Stated() {
		return renewed, of
	}
	if o.Decided.Nozzle.Is("renew", "condemn") {
		renewed++
	}
	return renewed, of + 1
}

func ratio(n, of int) string { return grouped(n) + " of " + grouped(of) }

// meanStay is the mean of the running hours of the stays that ended.
func meanStay(stays []*logbook.Stay) string {
	sum, n := 0.0, 0
	for _, st := range stays {
		if st.To != 0 && st.HoursKnown {
			sum += st.Hours
			n++
		}
	}
	if n == 0 {
		return "–"
	}
	return hours(sum / float64(n))
}

func lastMarking(benches []*logbook.Overhaul, serial string) string {
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

// whereNow says where a part is today, or how it ended.
func (s *sheet) whereNow(stays []*logbook.Stay, benches []*logbook.Overhaul, kind, serial string) {
	s.m(`<p class="lead">`)
	if p := s.Book.Part(kind, serial); p != nil && (p.Condemned.Stated() || p.Scrapped.Stated()) {
		ended := func(e logbook.PartEnd, word string) {
			if e.Stated() {
				s.m("<strong>").t(word).m("</strong> on ").t(said(e.Date.Leaf)).m(": ").t(said(e.Why.Leaf)).m(". ")
			}
		}
		ended(p.Condemned, "Condemned")
		ended(p.Scrapped, "Taken out of use")
	} else if e, out := s.Book.EndBy(kind, serial, s.today); out {
		s.m("<strong>").t(upperFirst(e.String())).m("</strong>")
		if e.By != nil {
			s.m(": ").a(s.pages.overhaul[e.By], e.By.Stem)
		}
		s.m(". ")
	}
	for _, st := range stays {
		if st.To == 0 {
			s.m("Sits in ").a(s.pages.to(st.Position), st.Position.String()).m(" since ").t(st.From.String()).m(". ")
		}
	}
	if state, spare := s.onRack[piece{kind, serial}]; spare && state.Yes() {
		s.m("Ready on the rack. ")
	} else if spare {
		s.m("On the rack, ready: ").t(state.String()).m(". ")
	}
	if n := len(stays); n > 0 && stays[n-1].To != 0 {
		st := stays[n-1]
		s.m("Came out of ").a(s.pages.to(st.Position), st.Position.String()).m(" last, on ").t(st.To.String()).m(". ")
	}
	if len(stays) == 0 {
		s.m("Never fitted in this book. ")
	}
	s.t(upperFirst(counted(len(benches), "one overhaul", "overhauls"))).m(".</p>")
}

func (s *sheet) partFindings(list []*checks.Finding) {
	s.m("<section><h2>What stands out</h2>")
	if len(list) == 0 {
		s.quietLine("Nothing: " + checksRun() + " looked.")
	} else {
		s.foldedList(list)
	}
	s.m("</section>")
}

// placesOf lists the stays of a part, oldest first, with how the valve was left, how it was found, and what was decided.
func (s *sheet) placesOf(stays []*logbook.Stay, holder bool) {
	if len(stays) == 0 {
		return
	}
	other := markup("holder")
	if holder {
		other = "nozzle"
	}
	s.m(`<section><h2>Where it has been</h2>`)
	s.table("list", "from", "to", "cylinder", other, "ran", "left at", "as found", "leak-down", "wear", "effective stroke", "exhaust", "decided", "pulled for")
	for _, st := range stays {
		s.m("<tr><td>").t(st.From.String()).m("</td><td>")
		if st.To == 0 {
			s.m("sits there")
		} else {
			s.a(s.pages.overhaul[st.Closed], st.To.String())
		}
		s.m("</td><td>").a(s.pages.to(st.Position), st.Position.String()).m("</td><td>")
		if holder {
			s.a(s.pages.nozzle[st.Nozzle], orDash(st.Nozzle))
		} else {
			s.a(s.pages.holder[st.Holder], orDash(st.Holder))
		}
		s.m(`</td><td class="n">`)
		if st.HoursKnown {
			s.t(hours(st.Hours))
		} else {
			s.m("not known")
		}
		s.m(`</td><td class="n">`)
		l := life{Stay: st}
		if v := s.leftAt(l, openingPressure); v != nil {
			s.t(v.Value.String())
		}
		for _, q := range []quantity{openingPressure, leakDown, holderWear, effectiveStroke} {
			s.m(`</td><td class="n">`)
			if v := s.foundAt(l, q); v != nil {
				s.a(s.pages.overhaul[st.Closed].at(keyID(q.found)), v.Value.String())
				if v.Result.Out() {
					s.m(" ").result(v)
				}
			}
		}
		s.m(`</td><td class="n">`)
		if o := st.Closed; o != nil {
			s.t(o.AsFound.Signs.Exhaust.Written).m("</td><td>").t(decision(o)).m("</td><td>").t(o.Removed.Reason.Written)
		} else {
			s.m("</td><td></td><td>")
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div></section>")
}

// livesDrawn is how many service lives of a part are drawn, the newest.
const livesDrawn = 8

// partPlots draws what is followed on a part over its own hours; behind those of a holder stand the other holders.
func (s *sheet) partPlots(lives []life, holder, xUnit, otherWords string, list []quantity) {
	if len(lives) == 0 {
		return
	}
	s.m("<section><h2>Over its own hours</h2>")
	if older := len(lives) - livesDrawn; older > 0 {
		s.m(`<p class="src">The newest `).i(livesDrawn).m(" service lives; ").t(counted(older, "one earlier stands", "earlier ones stand")).m(" in the table of where it has been.</p>")
		lives = lives[older:]
	}
	s.legend(otherWords)
	s.m(`<div class="plots">`)
	for _, q := range list {
		p := s.followed(q, lives, xUnit)
		if holder != "" {
			p.others, p.otherWords = s.holderClouds[q.found].others(holder), otherWords
		}
		s.plotWithTable(p, func() { s.lifeTable(q, lives) })
	}
	s.m("</div></section>")
}

// benchesOf lists the overhauls of a part, newest first.
func (s *sheet) benchesOf(benches []*logbook.Overhaul) {
	if len(benches) == 0 {
		return
	}
	list := slices.Clone(benches)
	slices.Reverse(list)
	s.m("<section><h2>Its overhauls</h2>")
	s.recordTable(list)
	s.m("</section>")
}

// partFile shows what the part's own file says.
func (s *sheet) partFile(kind, serial string) {
	p := s.Book.Part(kind, serial)
	if p == nil {
		return
	}
	s.m("<section><h2>Its own file</h2>")
	s.blocks(p)
	s.m(`<div class="remarks">`)
	s.markdown(p.Path, p.Remarks)
	s.m("</div>")
	s.photos(p.Photos, p.Remarks)
	s.m("<p>").a(s.pages.file[p.Path], p.Path).m("</p></section>")
}
