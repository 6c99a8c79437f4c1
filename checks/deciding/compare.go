package deciding

import (
	"strings"

	"needlebook/logbook"
)

// Agreement is how a decision stands to the proposal.
type Agreement uint8

// The ways a decision can stand to the proposal.
const (
	NotCompared Agreement = iota // nothing is proposed, or nothing decided
	Same
	Further  // the decision takes the part further from going back than proposed: the more cautious side
	Bolder   // the part goes back with less done to it than proposed
	OtherWay // the other side of regrind or renew, where both were possible
)

// String is the agreement in words.
func (a Agreement) String() string {
	return [...]string{"not compared", "as proposed", "more cautious than proposed", "bolder than proposed",
		"the other side of regrind or renew"}[a]
}

// compare sets beside the proposal what was decided. Where no word is written, the build shows one: the nozzle that
// came out was built in again, or another was.
func (w *work) compare(p Proposal) Proposal {
	o, d := w.o, w.o.Decided
	word := map[string]logbook.Word{"nozzle": d.Nozzle, "holder": d.Holder, "spring": d.Spring}[p.Part]
	p.Place = word.Place
	switch {
	case word.Stated():
		p.Decided = word.Written
	case o.Received.Stated(): // nobody on board decided anything
		return p
	case word.Present() || d.Present() && d.Not != "" || !o.Built():
		return p
	case p.Part != "nozzle":
		p.Decided, p.Implied, p.Place = "reuse", true, o.PlaceOf("decided")
	case o.Nozzle.Left.Stated():
		p.Decided, p.Implied, p.Place = "renew", true, o.Nozzle.Left.Place
		if o.Nozzle.Left.Written == o.Nozzle.Found.Written {
			p.Decided = "reuse"
		}
	}
	if p.Word == "" || p.Decided == "" {
		return p
	}
	p.Agreement = w.agreement(p)
	switch {
	case p.Agreement == Same:
	case reason(d.Why):
		p.Answer = d.Why.Written
	case reason(d.Considered):
		p.Answer = d.Considered.Written
	default:
		p.Answer = w.deferral(p)
	}
	return p
}

// Compared says in words what was decided and how it stands to the proposal; empty where nothing is decided.
func (p Proposal) Compared() string {
	if p.Decided == "" {
		return ""
	}
	text := "decided " + p.Decided
	if p.Implied {
		text = "no word decided, built as " + p.Decided
	}
	switch {
	case p.Agreement == NotCompared:
		return text
	case p.Agreement == Same && p.Decided != p.Word:
		return text + ", which comes to the same"
	case p.Agreement == Same:
		return text + ", " + p.Agreement.String()
	case p.Answer != "":
		return text + ", " + p.Agreement.String() + "; the reason: " + p.Answer
	}
	return text + ", " + p.Agreement.String() + ", and no reason is written"
}

func (w *work) agreement(p Proposal) Agreement {
	proposed, decided := rank[p.Word], rank[p.Decided]
	out := rank["renew"]
	switch {
	case proposed == decided || proposed >= out && decided >= out:
		return Same
	case p.Word == "clean" && p.Decided == "reuse" && w.o.Cleaned.Stated():
		return Same // cleaned, and reused
	case p.Word == "reuse" && p.Decided == "clean":
		return Same
	case p.Word == "grind" && decided >= out:
		return OtherWay
	case decided > proposed:
		return Further
	}
	return Bolder
}

// saysNothing are words that stand where a reason should and are none.
var saysNothing = map[string]bool{"": true, "-": true, "ok": true, "okay": true, "good": true, "fine": true,
	"yes": true, "none": true}

// reason says that a text gives a reason, whatever it is worth.
func reason(t logbook.Text) bool {
	return t.Stated() && !saysNothing[strings.ToLower(strings.Trim(t.Written, " ."))]
}

// deferral names the deferral that covers every limit for which the part should not go back as decided; empty where one
// is not covered.
func (w *work) deferral(p Proposal) string {
	names := ""
	for _, s := range p.Steps {
		if rank[s.Word] <= rank[p.Decided] {
			continue
		}
		text := w.deferred(s.Limit)
		if text == "" {
			return ""
		}
		names = text
	}
	return names
}

// deferred names the deferral of the record for one limit: "deferral D-07 for 500 h or 2023-08-09"; empty where there
// is none.
func (w *work) deferred(limit string) string {
	if limit == "" {
		return ""
	}
	d, _ := w.book.DeferralOf(w.o, limit)
	if d == nil {
		return ""
	}
	return d.Called() + " for " + d.End()
}
