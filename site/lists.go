package site

import (
	"path"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// partsPage lists holders and instruments, and so many nozzles as have room; the others go on over further pages.
func (s *sheet) partsPage(page int) error {
	s.begin("parts and instruments", "list", step{"", "parts and instruments"})
	s.m("<h1>Parts and instruments</h1>")
	nozzles := func(i int) []string { return part(s.lives.Nozzles(), i, nozzlesOnPage) }
	name := func(i int) string {
		if some := nozzles(i); len(some) > 0 {
			return "nozzles " + some[0] + " to " + some[len(some)-1]
		}
		return "–"
	}
	s.pager(s.pages.partLists, page, name)
	if page == 0 {
		s.m(`<section><h2>Holders</h2>`)
		s.table("list", "serial", "where", "overhauls", "ran in this book", "stands out")
		for _, h := range s.lives.Holders() {
			run, known := s.lives.HolderHours(h, s.today)
			s.partRow(s.pages.holder[h], "holder", h, s.lives.OfHolder(h), len(s.lives.Benches(h)), run, known, s.found.holder[h])
		}
		s.m("</tbody></table></div></section>")
	}
	s.m(`<section><h2>Nozzles</h2>`)
	s.table("list", "serial", "where", "stays", "has run", "stands out")
	for _, n := range nozzles(page) {
		run, known := s.lives.NozzleHours(n, s.today)
		stays := s.lives.OfNozzle(n)
		s.partRow(s.pages.nozzle[n], "nozzle", n, stays, len(stays), run, known, s.found.nozzle[n])
	}
	s.m("</tbody></table></div></section>")
	if page == 0 {
		s.instrumentList()
	}
	s.pager(s.pages.partLists, page, name)
	return s.end(s.pages.partLists[page], s.footShort)
}

func (s *sheet) instrumentList() {
	s.m("<section><h2>Instruments</h2>")
	s.table("list", "id", "what", "calibrated until", "found wrong", "entries")
	for _, id := range s.pages.instruments {
		s.m(`<tr><th scope="row">`).a(s.pages.instrument[id], id).m("</th>")
		i := s.Book.Instruments[id]
		if i == nil {
			s.m(`<td class="loud">not in the book</td><td>–</td><td>–</td>`)
		} else {
			s.m("<td>").t(i.Kind.Written).m("</td><td>").t(orDash(i.Until.Written))
			if i.Until.Day != 0 && i.Until.Day < s.today {
				s.m(` <span class="loud">ran out</span>`)
			}
			s.m("</td><td>")
			for n, w := range i.FoundWrong {
				if n > 0 {
					s.m(", ")
				}
				s.a(s.pages.instrument[id].at("found-wrong"), w.From.Written+" to "+w.To.Written)
			}
			s.m("</td>")
		}
		s.m(`<td class="n">`).i(len(s.used[id])).m("</td></tr>")
	}
	s.m("</tbody></table></div></section>")
}

func (s *sheet) partRow(to ref, kind, serial string, stays []*logbook.Stay, times int, run float64, known bool, found []*checks.Finding) {
	s.m(`<tr><th scope="row">`).a(to, serial).m("</th><td>")
	end, ended := s.Book.EndBy(kind, serial, s.today)
	state, spare := s.onRack[piece{kind, serial}]
	switch {
	case ended:
		s.t(end.String())
	case spare && state.Yes():
		s.m("ready on the rack")
	case spare:
		s.m("on the rack, ready: ").t(state.String())
	case len(stays) > 0 && stays[len(stays)-1].To == 0:
		at := stays[len(stays)-1].Position
		s.a(s.pages.to(at), at.String())
	case len(stays) > 0:
		s.m("out of ").t(stays[len(stays)-1].Position.String()).m(" ").t(stays[len(stays)-1].To.String())
	default:
		s.m("never fitted here")
	}
	s.m(`</td><td class="n">`).i(times).m(`</td><td class="n">`)
	if known {
		s.t(hours(run))
	} else {
		s.m("not known")
	}
	s.m("</td><td>")
	if g := gravest(found); g != 0 {
		s.grade(g)
	} else {
		s.m(`<span class="quiet">–<span class="say-it"> nothing</span></span>`)
	}
	s.m("</td></tr>")
}

// filesPage lists every file of the book that is no overhaul, by folder.
func (s *sheet) filesPage() error {
	s.begin("limits and other files", "list", step{"", "limits and other files"})
	s.m(`<h1>Limits and other files</h1><p class="lead">The book is plain files. Every one that is not an overhaul, as it is written, with who answers for it.</p>`)
	last := "\x00"
	for _, f := range s.pages.texts {
		if dir := path.Dir(f); dir != last {
			if last != "\x00" {
				s.m("</tbody></table></div></section>")
			}
			name := dir
			if dir == "." {
				name = "the book itself"
			}
			s.m("<section><h2>").t(name).m("</h2>")
			s.table("list", "file", "stands out", "who answers for it")
			last = dir
		}
		s.m(`<tr><th scope="row">`).a(s.pages.file[f], path.Base(f)).m("</th><td>")
		if g := gravest(s.found.path[f]); g != 0 {
			s.grade(g)
		}
		s.m("</td><td>").t(s.standingOf(f).words).m("</td></tr>")
	}
	if last != "\x00" {
		s.m("</tbody></table></div></section>")
	}
	return s.end(pageFiles, s.footShort)
}

// filePage shows one file of the book: what it says, who answers for it, and its text as written. A long file goes on over further
// pages.
func (s *sheet) filePage(f string, leaf int) error {
	leaves := s.pages.leaves[f]
	s.begin(f, "file", step{pageFiles, "files"}, step{"", f})
	s.m("<h1>").t(f).m("</h1>")
	if leaf == 0 {
		s.fileFirst(f)
	}
	name := func(i int) string { return "lines " + grouped(i*linesOnPage+1) + " on" }
	s.pager(leaves, leaf, name)
	s.textOf(f, leaf*linesOnPage+1, (leaf+1)*linesOnPage)
	s.pager(leaves, leaf, name)
	return s.end(leaves[leaf], s.footShort)
}

// fileFirst is what stands before the text of a file.
func (s *sheet) fileFirst(f string) {
	s.stands(s.standingOf(f))
	if list := s.found.path[f]; len(list) > 0 {
		s.m("<section><h2>What stands out</h2>")
		s.foldedList(list)
		s.m("</section>")
	}
	if file, remarks, ok := s.fileAt(f); ok {
		s.m("<section><h2>What it says</h2>")
		s.blocks(file)
		s.m("</section>")
		if strings.TrimSpace(remarks) != "" {
			s.m(`<section class="remarks"><h2>Remarks</h2>`)
			s.markdown(f, remarks)
			s.m("</section>")
		}
	}
	s.traceOf(f)
}

// fileAt finds what was read from a file.
func (s *site) fileAt(f string) (file any, remarks string, ok bool) {
	b := s.Book
	if f == b.Vessel.Path {
		return &b.Vessel, b.Vessel.Remarks, true
	}
	for _, l := range b.Limits {
		if l.Path == f {
			return l, l.Remarks, true
		}
	}
	for _, p := range b.Parts {
		if p.Path == f {
			return p, p.Remarks, true
		}
	}
	for _, i := range b.Instruments {
		if i.Path == f {
			return i, i.Remarks, true
		}
	}
	for _, d := range b.Deferrals {
		if d.Path == f {
			return d, d.Remarks, true
		}
	}
	for _, d := range b.Decisions {
		if d.Path == f {
			return d, d.Remarks, true
		}
	}
	for _, h := range b.Handovers {
		if h.Path == f {
			return h, h.Remarks, true
		}
	}
	return nil, "", false
}
