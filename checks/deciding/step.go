package deciding

import (
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// Step is one question of the order of decisions with the record's answer.
type Step struct {
	Question string // "effective lift over?"
	Answer   string // "effective lift 0.94 mm against at most 0.90 mm: beyond"
	Word     string // the word it leads to; empty where it leads on to the next question
	Unknown  string // what is missing, where the part cannot go back without it: "lift not measured"
	Open     string // what is not known and does not hold the proposal up: "running hours not known"
	Limit    string // key of the limit that it rests on, as a deferral names it; empty where none
	Stop     bool   // what leads to its word lets a part go back at no hours and for no reason
	Place    logbook.Place
	Verdict  *judging.Verdict // the verdict it rests on, never nil in a proposal; its Result is None where there is none
}

// String is the step on one line.
func (s Step) String() string {
	text := s.Question + " " + s.Answer
	switch {
	case s.Word != "":
		text += " → " + s.Word
	case s.Unknown != "":
		text += " → not known"
	}
	return text
}

// find is the verdict of the record on one key.
func (w *work) find(key string) *judging.Verdict { return w.judged.Find(w.o, key) }

// said puts a verdict into words: "lift 0.71 mm against at most 0.70 mm: beyond".
func said(v *judging.Verdict) string {
	text := v.Name + " " + v.Shown()
	if v.LimitText != "" {
		text += " against " + v.LimitText
	}
	return text + ": " + v.Result.String()
}

// onMeasured begins a step on a measured value: it leads to the word when the value lies beyond its limit. What is
// missing is unknown where a limit was in force; what is not proven, or within the limit by less than the uncertainty
// that counts against it, is said.
func (w *work) onMeasured(question, key, name string, limited bool, word, limit string) Step {
	v := w.find(key)
	s := Step{Question: question, Limit: limit, Place: v.Place, Verdict: v}
	switch {
	case v.Result.Out():
		s.Answer, s.Word = said(v), word
	case v.Unaccepted():
		s.Answer = said(v)
		s.Unknown = name + " is within its limit by less than the uncertainty of the gauge: measure again, or with a " +
			"better one"
		if v.Safety {
			s.Unknown = name + " is within its safety limit by less than the uncertainty: measure at three places with a " +
				"second instrument"
		}
	case v.Result == judging.NotProven:
		s.Answer, s.Open = said(v), name+" not proven: "+v.Why
	case v.Result == judging.Within || v.Result == judging.WithinDoubt:
		s.Answer = said(v)
	case v.Result == judging.NoLimitThen:
		s.Answer, s.Open = said(v), said(v)
	case !limited:
		s.Answer = "no limit in force then"
	default:
		s.Answer = name + " not measured"
		if v.Why != "" {
			s.Answer += " (" + v.Why + ")"
		}
		s.Unknown = s.Answer
	}
	return s
}

// optional turns what is missing into something that is only said: few ships carry the gauge for it.
func (s Step) optional() Step {
	if s.Verdict.Result == judging.NotMeasured || s.Verdict.Result == judging.None {
		s.Open, s.Unknown = s.Unknown, ""
	}
	return s
}

// seen picks places of the inspection list by their names.
func (w *work) seen(names ...string) []logbook.PlaceSeen {
	all := make([]logbook.PlaceSeen, 0, len(names))
	for _, p := range w.places {
		if slices.Contains(names, p.Name) {
			all = append(all, p)
		}
	}
	return all
}

// notSeen names the places that were not looked at.
func notSeen(seen []logbook.PlaceSeen) []string {
	var blind []string
	for _, p := range seen {
		if !p.Word.Stated() {
			blind = append(blind, p.Name)
		}
	}
	return blind
}

// places is a step on the inspection list: it leads to the word when one of the places bears the state.
func places(question, state, word string, seen []logbook.PlaceSeen) Step {
	s := Step{Question: question, Answer: "none seen"}
	var bad []string
	for _, p := range seen {
		if p.Word.Is(state) {
			bad = append(bad, p.Name)
			if s.Place.Line == 0 {
				s.Place = p.Word.Place
			}
		}
	}
	blind := notSeen(seen)
	switch {
	case len(bad) > 0:
		s.Answer, s.Word = state+": "+strings.Join(bad, ", "), word
	case len(blind) == len(seen):
		s.Answer = "not looked at"
	case len(blind) > 0:
		s.Answer += ", but not looked at: " + strings.Join(blind, ", ")
	}
	return s
}

// cracked is the first question to every part. A part of which nothing was looked at cannot be said to be free of
// cracks.
func cracked(part, word string, seen []logbook.PlaceSeen) Step {
	s := places("cracked?", "cracked", word, seen)
	s.Stop = true
	switch blind := notSeen(seen); {
	case s.Word != "" || len(blind) == 0:
	case len(blind) == len(seen):
		s.Unknown = part + " not looked at"
	default:
		s.Open = "not looked at: " + strings.Join(blind, ", ")
	}
	return s
}
