package content

import (
	"fmt"

	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// together is one thing that several records show together.
type together struct {
	what, words string
	to          page.Ref
}

// namedFirst are the kinds of association that the first page names: gauges have a line of their own.
var namedFirst = map[string]bool{"holder": true, "position": true, "cylinder head": true, "bunker": true, "round": true,
	"nozzle batch": true}

// recurring is what a reader ashore asks after the exceptions: which part, fuel or gauge explains what no single
// record can, and which deferral was overrun. Everything was worked out before; here it is named in a line with the
// way to its page.
func (w *Writer) recurring() []together {
	var all []together
	for _, a := range w.Associated() {
		if !namedFirst[a.Kind] {
			continue
		}
		words := fmt.Sprintf("%s %d of %d, of the others %d of %d", a.With, a.Bad, a.N, a.RestBad, a.RestN)
		if a.Effect != 0 {
			words = fmt.Sprintf("%s by %s", a.With, page.SignedBar(a.Effect))
		}
		all = append(all, together{a.Kind + " " + a.Which, words, w.wayToCause(a.Kind, a.Which)})
	}
	for _, id := range w.Instruments {
		if i := w.Book.Instruments[id]; i != nil {
			all = append(all, w.readWrong(id, i)...)
		}
	}
	for _, f := range w.Ordered {
		if f.Check == "deferral-run-out" {
			all = append(all, together{"deferral overrun", f.Message, w.at.Line(f.Place)})
		}
	}
	return all
}

// wayToCause is the page of what occurs with findings.
func (w *Writer) wayToCause(kind, which string) page.Ref {
	to := page.Ref("")
	switch kind {
	case "holder":
		to = w.at.Holder[which]
	case "position":
		to = w.at.To(w.PositionNamed(which))
	case "bunker":
		for i := range w.Book.Bunkers {
			if b := &w.Book.Bunkers[i]; recurring.BunkerName(b) == which {
				to = w.at.Bunker[b]
			}
		}
	case "round":
		to = w.fouledOn()
	}
	if to == "" {
		return address.Recurring
	}
	return to
}

// fouledOn is the page of the worst fouled round.
func (w *Writer) fouledOn() page.Ref {
	worst, at := 0, page.Ref("")
	for _, f := range w.Evidence().Recurring.Fouled {
		if len(f.Bad) > worst {
			worst, at = len(f.Bad), w.at.Round[f.Round.Name]
		}
	}
	return at
}

// readWrong are the times in which an instrument read wrong.
func (w *Writer) readWrong(id string, i *logbook.Instrument) []together {
	kind := "instrument"
	if i.Kind.Stated() {
		kind = i.Kind.Written
	}
	var all []together
	for n := range i.FoundWrong {
		wrong := &i.FoundWrong[n]
		all = append(all, together{kind + " " + id, "read wrong from " + facts.Said(wrong.From.Leaf) + " to " +
			facts.Said(wrong.To.Leaf) + "; " +
			page.Counted(w.RecordsIn(id, wrong), "one record rests on it", "records rest on it"),
			w.at.Instrument[id].At("found-wrong")})
	}
	return all
}
