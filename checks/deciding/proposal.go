package deciding

import (
	"slices"
	"strings"

	"needlebook/logbook"
)

// Proposal is what the order of decisions leads to for one part, beside what was decided.
type Proposal struct {
	Part   string // nozzle, holder or spring
	Serial string // of the nozzle that came out, or of the holder; empty for the spring and where none is stated
	Word   string // reuse, clean, lap, grind, renew or condemn; empty where nothing can be proposed
	Steps  []Step // the order of decisions as it was gone through: the working
	Cannot string // why nothing is proposed; empty where something is

	// the word decided; where none is written, the one that the build shows; empty where neither is known
	Decided   string
	Implied   bool          // the word is not written: the build shows it
	Place     logbook.Place // where it is written, or what shows it
	Agreement Agreement
	Answer    string // what answers a difference: the reason as written, the deferral; empty where nothing does
}

// rank orders the words by how far they take a part from going back as it is. A renewed part and a condemned one are
// both out of use.
var rank = map[string]int{"reuse": 0, "clean": 1, "lap": 2, "grind": 3, "renew": 4, "condemn": 5}

func (p Proposal) outOfUse() bool { return outOfUse(p.Word) }

// outOfUse says that a word takes a part out of use.
func outOfUse(word string) bool { return rank[word] >= rank["renew"] }

// stopped says that the part may go back at no hours and for no reason.
func (p Proposal) stopped() bool {
	return slices.ContainsFunc(p.Steps, func(s Step) bool { return s.Stop && s.Word != "" })
}

// propose goes through the questions and takes the word that leads furthest: a seat that could be lapped does not
// matter in a nozzle that is past its life. What takes a part out of use stands whatever else is unknown; to let it go
// back, every question must be answered.
func (w *work) propose(part, serial string, steps func() []Step) Proposal {
	p := Proposal{Part: part, Serial: serial}
	switch {
	case w.o.Received.Stated():
		p.Cannot = "it came on board built"
	case !w.o.Nozzle.Found.Stated() && !w.o.Removed.Stated():
		p.Cannot = "nothing came apart: a build from parts"
	case !w.opened():
		p.Cannot = "the valve was not opened"
	case part == "nozzle" && serial == "":
		p.Cannot = "the nozzle that came out is not named"
	}
	if p.Cannot != "" {
		return p
	}
	p.Steps = steps()
	p.Word = "reuse"
	var unknown []string
	if !w.any {
		unknown = append(unknown, "no limits were in force then")
	}
	for i := range p.Steps {
		s := &p.Steps[i]
		if s.Verdict == nil {
			s.Verdict = &none
		}
		if s.Word != "" && rank[s.Word] > rank[p.Word] {
			p.Word = s.Word
		}
		if s.Unknown != "" {
			unknown = append(unknown, s.Unknown)
		}
	}
	if len(unknown) > 0 && !p.outOfUse() {
		p.Word, p.Cannot = "", strings.Join(unknown, "; ")
	}
	return p
}

// Reasons lists the steps that lead to the proposed word, in their order; none for a part that is simply reused.
func (p Proposal) Reasons() []Step {
	var all []Step
	for _, s := range p.Steps {
		if s.Word == p.Word && p.Word != "" {
			all = append(all, s)
		}
	}
	return all
}

// Provided lists what is not known and does not hold the proposal up.
func (p Proposal) Provided() []string {
	var all []string
	for _, s := range p.Steps {
		if s.Open != "" {
			all = append(all, s.Open)
		}
	}
	return all
}

// Why is the reasons for the proposed word in one line.
func (p Proposal) Why() string {
	var why []string
	for _, s := range p.Reasons() {
		why = append(why, s.Answer)
	}
	if len(why) == 0 {
		return "nothing was found against it"
	}
	return strings.Join(why, "; ")
}

// String is the proposal with its reasons on one line: "renew: effective lift 0.94 mm against at most 0.90 mm: beyond".
func (p Proposal) String() string {
	if p.Word == "" {
		return "cannot be proposed: " + p.Cannot
	}
	text := p.Word + ": " + p.Why()
	if open := p.Provided(); len(open) > 0 && !p.outOfUse() {
		text += "; still open: " + strings.Join(open, "; ")
	}
	return text
}
