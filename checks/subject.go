package checks

import "needlebook/logbook"

import "strings"

// SubjectKind is the kind of thing that a finding is about. It is shown with that thing and nowhere else as if it were
// that place's: rings in a pocket stay with the pocket when the valve moves on, a leaking nozzle goes where the nozzle
// goes, a slip stays on the record.
type SubjectKind uint8

// The kinds of subject, in the order in which they are listed.
const (
	OfHolder     SubjectKind = iota + 1
	OfNozzle                 // the needle and its body
	OfPosition               // an engine's cylinder, whatever is fitted there
	OfPocket                 // the bore in the cylinder head that is there
	OfEngine                 // its counter among the rest
	OfInstrument             // a gauge, a wrench, a bench
	OfLimits                 // a limits file, or an interval
	OfRecord                 // the paper itself: a slip, a missing reason, a signature
	OfRound                  // the valves of one engine that were overhauled together
	OfPost                   // second engineer, chief engineer: whoever has it
	OfBook                   // the ship's book as a whole: stores, clock
)

// String is the word for the kind.
func (k SubjectKind) String() string {
	return [...]string{"", "holder", "nozzle", "position", "pocket", "engine", "instrument", "limits", "record", "round",
		"post", "book"}[k]
}

// partSubject is a holder or nozzle as what a finding is about.
func partSubject(kind, serial string) Subject {
	if kind == OfHolder.String() {
		return Subject{OfHolder, serial}
	}
	return Subject{OfNozzle, serial}
}

// State is what has become of a finding. It is always worked out from the book and stored nowhere, so that no merge can
// lose it; a finding whose line was corrected is not found any more and has none.
type State uint8

// The states of a finding. Corrected is only met where two states of a book are compared.
const (
	Open         State = iota // nothing has ended it
	Deferred                  // a deferral in force covers it
	ClosedByWork              // a later fact about the same subject
	Corrected                 // the writing was changed
	Answered                  // a person's signed answer
)

// String is the word for the state.
func (s State) String() string {
	return [...]string{"open", "deferred", "closed by work", "corrected", "answered"}[s]
}

// Answerer is who may answer a finding that no work can make good.
type Answerer uint8

// The answerers. A stop about a part in service or ready for fitting is answered by nobody.
const (
	Aboard         Answerer = iota // the second engineer or the chief in post, action and below; the superintendent
	Ashore                         // the superintendent: it is about somebody's figures or the history
	Approver                       // whoever approved the deferral
	DeferralOnly                   // nobody: only a deferral carries it
	ChiefAndOffice                 // the chief in post and the superintendent, both
	StatementOnly                  // nobody: only a surveyor\'s statement ends it
)

// String says who it is.
func (a Answerer) String() string {
	return [...]string{"the second engineer or the chief in post", "the superintendent", "the approver of the deferral",
		"nobody: only a deferral carries it", "the chief in post and the superintendent, both",
		"nobody: only a surveyor's statement ends it"}[a]
}

// Way is one way in which a finding ends.
type Way struct {
	By string // what ends it, in words
	// work says that a later step in the subject's history ends it; it asks nothing of the finding itself, so that the
	// answer serves all findings of the check on that subject.
	work func(h *histories, a question, s step) bool
	// fact finds what ends it where no step of a valve does. A way with neither is a change of the writing, or an answer.
	fact func(h *histories, f *Finding) (Fact, bool)
}

// End is what ends a finding: the first of some ways. Correcting the line ends any.
type End struct {
	Ways []Way
	// Never says that no later overhaul and no removal ends it, at its grade: only what the ways name.
	Never  bool
	Answer Answerer
	// Signature says that it is about who signed: nobody named in the record answers it.
	Signature bool
	// Grows says that what is found grows by itself, in hours or days: an answer says until when, and lapses then.
	Grows bool
}

// only is an end by a change of the writing, or by an answer.
func only(by string) []Way { return []Way{{By: by}} }

// Words say what ends it, a line each, and who may answer it where that is not the second engineer or the chief.
func (e *End) Words() []string {
	var ways []string
	for _, w := range e.Ways {
		ways = append(ways, w.By)
	}
	lines := []string{"Ended by: " + strings.Join(ways, ", or ")}
	if e.Never {
		lines = append(lines, "No later overhaul and no removal ends it")
	}
	if e.Answer != Aboard {
		lines = append(lines, "Answered by: "+e.Answer.String())
	}
	if e.Signature {
		lines = append(lines, "Nobody answers a finding about their own signature")
	}
	if e.Grows {
		lines = append(lines, "An answer says until when, and lapses then")
	}
	return lines
}

// ID is what an answer knows the check by. A check that is renamed keeps the name it was first given here.
func (k *Check) ID() string {
	if k.FirstNamed != "" {
		return k.FirstNamed
	}
	return k.Name
}

// OfCylinder are the subjects that a cylinder is: the position, and the pocket in the head that is there.
func OfCylinder(p logbook.Position) []Subject {
	return []Subject{{OfPosition, p.String()}, {OfPocket, p.String()}}
}

// OfValve are the subjects that a valve is: its holder and its nozzle, as far as they are named.
func OfValve(holder, nozzle string) []Subject {
	var all []Subject
	if holder != "" {
		all = append(all, Subject{OfHolder, holder})
	}
	if nozzle != "" {
		all = append(all, Subject{OfNozzle, nozzle})
	}
	return all
}
