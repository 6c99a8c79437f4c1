package site

import (
	"needlebook/checks"
	"needlebook/checks/judging"
)

// The drawn marks. Each has a word beside it, or in its title: shape tells the state, colour only repeats it.
const (
	// Strokes under a text, as hands make them: one hand, two, three; broken where nobody answers.
	strokeBroken markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="ln" d="M1 6h3m3 0h2m3 0h3"/></svg>`
	strokeOne    markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="ln" d="M1 6h14"/></svg>`
	strokeTwo    markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="ln" d="M1 4h14M1 8h14"/></svg>`
	strokeThree  markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="ln" d="M1 2.5h14M1 6h14M1 9.5h14"/></svg>`

	// Grades: a barred block, a solid wedge, an open wedge, a tick.
	gradeStop   markup = `<svg class="mk stop" viewBox="0 0 16 12" aria-hidden="true"><path class="fl" d="M2 0h12v12H2zM4 4.6v2.8h8V4.6z" fill-rule="evenodd"/></svg>`
	gradeAnswer markup = `<svg class="mk answer" viewBox="0 0 16 12" aria-hidden="true"><path class="fl" d="M2 0l12 6L2 12z"/></svg>`
	gradeAdvice markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="ln" d="M3 1.5l9.5 4.5L3 10.5z"/></svg>`
	gradeNote   markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="ln" d="M8 2v8"/></svg>`

	// Verdicts: the ring is inside its limit, the cross-cornered lozenge is beyond; half filled where the doubt reaches the limit.
	resultWithin      markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><circle class="ln" cx="8" cy="6" r="4.3"/></svg>`
	resultWithinDoubt markup = `<svg class="mk answer" viewBox="0 0 16 12" aria-hidden="true"><circle class="ln" cx="8" cy="6" r="4.3"/><path class="fl" d="M8 1.7a4.3 4.3 0 0 1 0 8.6z"/></svg>`
	resultBeyondDoubt markup = `<svg class="mk answer" viewBox="0 0 16 12" aria-hidden="true"><path class="ln" d="M8 .8L13.2 6 8 11.2 2.8 6z"/><path class="fl" d="M8 .8L13.2 6 8 11.2z"/></svg>`
	resultBeyond      markup = `<svg class="mk stop" viewBox="0 0 16 12" aria-hidden="true"><path class="fl" d="M8 0l6 6-6 6-6-6z"/></svg>`
	resultUnknown     markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><circle class="ln dash" cx="8" cy="6" r="4.3"/></svg>`
	resultNone        markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="ln" d="M5 6h6"/></svg>`
)

var gradeMarks = [...]markup{0: "", checks.Note: gradeNote, checks.Advice: gradeAdvice, checks.Answer: gradeAnswer, checks.Stop: gradeStop}

var gradeClasses = [...]markup{0: "quiet", checks.Note: "g-note", checks.Advice: "g-advice", checks.Answer: "g-answer", checks.Stop: "g-stop"}

// grade appends a grade: its mark and its word.
func (s *sheet) grade(g checks.Grade) *sheet {
	return s.m(`<span class="grade `, gradeClasses[g], `">`, gradeMarks[g]).t(g.String()).m(`</span>`)
}

var resultMarks = map[judging.Result]markup{judging.Within: resultWithin, judging.WithinDoubt: resultWithinDoubt, judging.BeyondDoubt: resultBeyondDoubt,
	judging.Beyond: resultBeyond, judging.NotMeasured: resultUnknown, judging.NotProven: resultUnknown, judging.NotApplicable: resultNone,
	judging.NoLimitThen: resultNone, judging.None: resultNone}

var resultClasses = map[judging.Result]markup{judging.WithinDoubt: " doubt", judging.BeyondDoubt: " doubt", judging.Beyond: " beyond",
	judging.NotMeasured: " open", judging.NotProven: " open"}

// result appends a verdict: its mark and its word.
func (s *sheet) result(v *judging.Verdict) *sheet {
	word := v.Result.String()
	if v.Result == judging.None {
		word = "no verdict"
	}
	return s.m(`<span class="result`, resultClasses[v.Result], `">`, resultMarks[v.Result]).t(word).m(`</span>`)
}
