package site

import (
	"slices"
	"strconv"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// usesShown is how many records an instrument's page lists beside those of the times in which it read wrong.
const usesShown = 150

// instrumentPage writes what is known of one instrument, and the records it touched.
func (s *sheet) instrumentPage(id string) error {
	s.begin("instrument "+id, "part", step{pageParts, "parts"}, step{"", "instrument " + id})
	i := s.Book.Instruments[id]
	name := "Instrument"
	if i != nil && i.Kind.Stated() {
		name = upperFirst(i.Kind.Written)
	}
	s.m("<h1>").t(name).m(" ").t(id).m("</h1>")
	if i == nil {
		s.m(`<p class="loud">The book has no file for this instrument: nothing that was read with it is proven.</p>`)
	} else {
		s.calibration(i)
	}
	if i != nil {
		s.partFindings(s.found.instrument[id])
		s.comparisons(i)
		s.foundWrong(i)
	}
	s.touched(id)
	if i != nil {
		s.m("<section><h2>Its own file</h2>")
		s.blocks(i)
		s.markdown(i.Path, i.Remarks)
		s.m("<p>").a(s.pages.file[i.Path], i.Path).m("</p></section>")
	}
	return s.end(s.pages.instrument[id], s.footShort)
}

func (s *sheet) calibration(i *logbook.Instrument) {
	s.m(`<dl class="figures">`)
	switch {
	case i.Until.Day == 0:
		s.figure("calibrated until", "not stated", "")
	case i.Until.Day < s.today:
		s.figure("calibration ran out", i.Until.Written, grouped(s.today.Days(i.Until.Day))+" days before the state of the book")
	default:
		s.figure("calibrated until", i.Until.Written, grouped(i.Until.Day.Days(s.today))+" days left")
	}
	if i.Range.Written != "" {
		s.figure("range", i.Range.Written, "")
	}
	switch {
	case i.Class.Valid:
		s.figure("class", i.Class.Written, "most permissible error in per cent of span")
	case i.Error.Stated():
		s.figure("most permissible error", i.Error.String(), "")
	}
	s.figure("touched", grouped(len(s.used[i.ID.Written])), "entries in records")
	s.m("</dl>")
}

// comparisons lists what the instrument showed beside a better one.
func (s *sheet) comparisons(i *logbook.Instrument) {
	if len(i.Comparisons) == 0 {
		return
	}
	s.m(`<section><h2>Comparisons</h2>`)
	s.table("list", "date", "against", "true", "showed", "difference", "by")
	for _, c := range i.Comparisons {
		s.m("<tr><td>").t(said(c.Date.Leaf)).m("</td><td>").a(s.pages.instrument[c.Against.Written], said(c.Against.Leaf)).m(`</td><td class="n">`).t(said(c.True.Leaf)).m(`</td><td class="n">`).t(said(c.Shows.Leaf)).m(`</td><td class="n">`)
		if c.True.Quantity.Valid() && c.Shows.Quantity.Valid() && c.True.Kind() == c.Shows.Kind() {
			s.t(signed(c.Shows.Minus(c.True.Quantity)))
		}
		s.m("</td><td>").t(s.person(c.By.Written, c.Date.Day)).m("</td></tr>")
	}
	s.m("</tbody></table></div></section>")
}

func signed(q measure.Quantity) string {
	if text := q.String(); strings.HasPrefix(text, "-") || q.Float() == 0 {
		return text
	}
	return "+" + q.String()
}

// foundWrong lists the times in which the instrument read wrong, and every value read with it then beside the probable true one.
func (s *sheet) foundWrong(i *logbook.Instrument) {
	if len(i.FoundWrong) == 0 {
		return
	}
	s.m(`<section id="found-wrong"><h2>Found wrong</h2>`)
	for n := range i.FoundWrong {
		w := &i.FoundWrong[n]
		s.m("<p><strong>").t(said(w.From.Leaf)).m(" to ").t(said(w.To.Leaf)).m("</strong>: ")
		switch {
		case w.Factor.Valid:
			s.m("showed ").t(w.Factor.Written).m(" times the true value")
		case w.Off.Quantity.Valid():
			s.m("showed ").t(w.Off.String()).m(" more than the true value")
		default:
			s.m("by how much is not known")
		}
		s.m(". ").t(said(w.Why.Leaf)).m("</p>")
		s.readWith(i, w)
	}
	s.m("</section>")
}

// readWith lists the values of one wrong time. The original stands as it was written; the probable value is worked out beside it.
func (s *sheet) readWith(i *logbook.Instrument, w *logbook.FoundWrong) {
	id := i.ID.Written
	records := map[*logbook.Overhaul]bool{}
	s.table("list", "date", "record", "quantity", "as written", "probable true value", "verdict on what was written")
	for _, r := range s.readings(id) {
		if in, ok := judging.WrongOn(i, r.day); !ok || in.Place != w.Place {
			continue
		}
		records[r.record] = true
		s.m("<tr><td>").t(r.day.String()).m("</td><td>").a(s.pages.overhaul[r.record], r.record.Stem).m("</td><td>").t(r.verdict.Name).m(`</td><td class="n">`)
		s.a(s.pages.overhaul[r.record].at(keyID(r.verdict.Key)), r.verdict.Value.String()).m(`</td><td class="n">`)
		if v, ok := judging.TrueValue(*w, r.verdict.Value); ok {
			s.m("about ").t(v.String())
		} else {
			s.m("not known")
		}
		s.m("</td><td>").result(r.verdict).m("</td></tr>")
	}
	s.m("</tbody></table></div><p>").t(counted(len(records), "One record was", "records were")).m(" made with it in this time, and stand as written.</p>")
}

// read is one judged value that an instrument stands behind.
type read struct {
	record  *logbook.Overhaul
	day     logbook.Day
	verdict *judging.Verdict
}

// readings are the judged values read with an instrument, oldest first. A threshold that judges the same value again is left out.
func (s *site) readings(id string) []read {
	var all []read
	var last *logbook.Overhaul
	for _, u := range s.used[id] {
		if u.record == last {
			continue
		}
		last = u.record
		list := s.judged.Of(u.record)
		for i := range list {
			v := &list[i]
			if v.Instrument == id && v.Value.Valid() && !strings.Contains(v.Key, "/") {
				all = append(all, read{u.record, dayOf(u.record, v.Key), v})
			}
		}
	}
	return all
}

// touched lists the records that name the instrument, newest first.
func (s *sheet) touched(id string) {
	uses := slices.Clone(s.used[id])
	slices.Reverse(uses)
	s.m("<section><h2>Records it touched</h2>")
	if len(uses) == 0 {
		s.m("<p>No record names it.</p></section>")
		return
	}
	s.table("list", "date", "record", "used for")
	rows := 0
	for i := 0; i < len(uses); {
		o := uses[i].record
		var where []string
		day := uses[i].day
		for ; i < len(uses) && uses[i].record == o; i++ {
			where = append(where, usedFor(uses[i].key))
		}
		slices.Reverse(where)
		if rows++; rows > usesShown {
			continue
		}
		s.m("<tr><td>").t(day.String()).m("</td><td>").a(s.pages.overhaul[o], o.Stem).m("</td><td>").t(strings.Join(where, ", ")).m("</td></tr>")
	}
	s.m("</tbody></table></div>")
	if rows > usesShown {
		s.m("<p>").t("and " + strconv.Itoa(rows-usesShown) + " older ones").m("</p>")
	}
	s.m("</section>")
}

// usedFor is a key in words, without the word for the instrument itself: "as left" for as_left.gauge.
func usedFor(key string) string {
	if i := strings.LastIndexByte(key, '.'); i > 0 {
		key = key[:i]
	}
	return strings.ReplaceAll(strings.ReplaceAll(key, "_", " "), ".", ", ")
}
