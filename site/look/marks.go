package look

import "needlebook/site/page"

const (
	markHead     markup = `<svg class="mk" viewBox="0 0 16 12" aria-hidden="true">`
	markHeadStop markup = `<svg class="mk stop" viewBox="0 0 16 12" aria-hidden="true">`
	markHeadAsk  markup = `<svg class="mk action" viewBox="0 0 16 12" aria-hidden="true">`
	markFoot     markup = `</svg>`
)

// marks are the drawn marks. Each has a word beside it, or in its title: shape tells the state, colour only repeats it.
var marks = [...]markup{
	page.NoMark: "",

	// Lifts under a text, as people make them: one, two, three; broken where nobody vouches.
	page.StrokeBroken: markHead + `<path class="ln" d="M1 6h3m3 0h2m3 0h3"/>` + markFoot,
	page.StrokeOne:    markHead + `<path class="ln" d="M1 6h14"/>` + markFoot,
	page.StrokeTwo:    markHead + `<path class="ln" d="M1 4h14M1 8h14"/>` + markFoot,
	page.StrokeThree:  markHead + `<path class="ln" d="M1 2.5h14M1 6h14M1 9.5h14"/>` + markFoot,

	// Grades: a barred block, a solid wedge, an open wedge, a tick.
	page.GradeStop: markHeadStop + `<path class="fl" d="M2 0h12v12H2zM4 4.6v2.8h8V4.6z" fill-rule="evenodd"/>` +
		markFoot,
	page.GradeAction: markHeadAsk + `<path class="fl" d="M2 0l12 6L2 12z"/>` + markFoot,
	page.GradeAdvice: markHead + `<path class="ln" d="M3 1.5l9.5 4.5L3 10.5z"/>` + markFoot,
	page.GradeNote:   markHead + `<path class="ln" d="M8 2v8"/>` + markFoot,

	// Verdicts: a stretch between its two ends is within, the lozenge is beyond; half filled where the uncertainty
	// reaches the limit; a broken stretch where nothing was judged. No ring: on a chart that is a value as found.
	page.Within:      markHead + `<path class="ln" d="M2 2v8M14 2v8M2 6h12"/>` + markFoot,
	page.WithinDoubt: markHead + `<path class="ln" d="M2 2v8M14 2v8M2 6h12"/><path class="fl" d="M8 2h6v8H8z"/>` + markFoot,
	page.BeyondDoubt: markHead +
		`<path class="ln" d="M8 .8L13.2 6 8 11.2 2.8 6z"/><path class="fl" d="M8 .8L13.2 6 8 11.2z"/>` +
		markFoot,
	page.Beyond:      markHeadStop + `<path class="fl" d="M8 0l6 6-6 6-6-6z"/>` + markFoot,
	page.NotMeasured: markHead + `<path class="ln" d="M2 2v8M14 2v8"/>` + markFoot,
	page.NotProven:   markHead + `<path class="ln" d="M2 2v8M14 2v8M5 6h1M10 6h1"/>` + markFoot,
	page.NoVerdict:   markHead + `<path class="ln" d="M5 6h6"/>` + markFoot,
}

// gradeClasses are the classes of what bears a grade; quiet where nothing is to be said.
var gradeClasses = map[page.Mark]markup{page.NoMark: "quiet", page.GradeNote: "g-note", page.GradeAdvice: "g-advice",
	page.GradeAction: "g-action", page.GradeStop: "g-stop"}

var verdictClasses = map[page.Mark]markup{page.WithinDoubt: " doubt", page.BeyondDoubt: " doubt",
	page.Beyond:      " beyond",
	page.NotMeasured: " open", page.NotProven: " open"}

// mark appends a drawn mark.
func (p *pen) mark(m page.Mark) *pen { return p.m(marks[m]) }
