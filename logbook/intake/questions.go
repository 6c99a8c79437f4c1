package intake

import (
	"crypto/sha256"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"needlebook/logbook"
)

// Question is what a person has to say: about a cell, a column, a row, or the sheet.
type Question struct {
	At     string // where, as a spreadsheet names it: C7, 2016!C7, C unit, row 7
	Column string // name of the column; empty for a row or the sheet as a whole
	Cell   string // what stands there
	Ask    string // what is expected
	Row    string // the row that it is about, by its cells
	Answer string // what was answered, where it could not be taken or is not asked any more
	Waits  bool   // its record is not made before
	rank   [3]int // worksheet, row, column
}

// String is the question as a person reads it.
func (q Question) String() string { return q.head() + ": " + q.Ask }

// head is what a question is about: an answer belongs to a question whose head is the same, so that none is taken for
// another row that has come to the place.
func (q Question) head() string {
	text := "[" + q.At + "]"
	if q.Column != "" {
		text += " " + q.Column
	}
	if q.Cell != "" {
		text += fmt.Sprintf(" %q", q.Cell)
	}
	if q.Row != "" {
		text += " in " + q.Row
	}
	return text
}

// String shows a row to who answers, and tells it from every other.
func (r row) String() string {
	var texts []string
	for _, c := range r.cells {
		texts = append(texts, c.text)
	}
	all := strings.Join(texts, " | ")
	shown := strings.Join(strings.Fields(strings.ReplaceAll(strings.Trim(all, " |"), "\"", "'")), " ")
	if runes := []rune(shown); len(runes) > shownOfRow {
		shown = string(runes[:shownOfRow]) + "…"
	}
	return fmt.Sprintf("%s #%.4x", shown, sha256.Sum256([]byte(all)))
}

// shownOfRow is how much of a row a question shows, in characters.
const shownOfRow = 48

// Answers are what was answered, by where and by what stood there.
type Answers struct {
	given map[string]answered
	order []string
}

type answered struct{ line, text string }

var questionForm = regexp.MustCompile(`^\[([^\]]+)\]`)

const answerMark = "answer:"

// titles part the file of questions.
var titles = []string{"Answered:", "Answered before, asked no longer:"}

// ReadAnswers reads the file of questions, as an editor on any system has saved it.
func ReadAnswers(src []byte) (Answers, error) {
	a := Answers{given: map[string]answered{}}
	text, _, ok := logbook.PlainText(src, MaxBytes)
	if !ok {
		return a, fmt.Errorf("it is no text")
	}
	at, line, below := "", "", false
	for l := range strings.Lines(strings.TrimPrefix(text, "\ufeff")) {
		l = strings.TrimSpace(l)
		if m := questionForm.FindStringSubmatch(l); m != nil {
			at, line, below = m[1], l, false
			continue
		}
		marked := len(l) >= len(answerMark) && strings.EqualFold(l[:len(answerMark)], answerMark)
		switch {
		case at == "" || l == "" || slices.Contains(titles, l):
			continue
		case marked && len(l) > len(answerMark):
			l = l[len(answerMark):]
		case marked: // it may stand below
			below = true
			continue
		case !below:
			continue
		}
		if said := strings.TrimSpace(l); said != "" {
			if _, twice := a.given[at]; !twice {
				a.order = append(a.order, at)
			}
			a.given[at] = answered{line, said}
		}
		at = ""
	}
	return a, nil
}

// of is the answer to a question; one that was given about another text is none.
func (a Answers) of(q Question) (text string, ok bool) {
	g, ok := a.given[q.At]
	if !ok || !strings.HasPrefix(g.line, q.head()+":") {
		return "", false
	}
	return g.text, true
}

// Sheet is the file of questions: what is asked, in the order of the table, and what was answered.
func (r *Result) Sheet(source string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "Questions about %s, in the order of the sheet. Write behind \"answer:\", a dash leaves the\n"+
		"value out, and save. The next needlebook import --write takes the answers up.\n", source)
	write := func(title string, all []Question) {
		if len(all) > 0 && title != "" {
			b.WriteString("\n" + title + "\n")
		}
		for _, q := range all {
			fmt.Fprintf(&b, "\n%s\n%s\n", q, strings.TrimSpace(answerMark+" "+q.Answer))
		}
	}
	write("", r.Questions)
	write(titles[0], r.answered)
	for i, line := range r.kept {
		if i == 0 {
			b.WriteString("\n" + titles[1] + "\n")
		}
		b.WriteString("\n" + line + "\n")
	}
	return []byte(b.String())
}

// ask is the answer to a question, as take reads it; ok is false where it is still open. A dash says to leave out.
func (r *reading) ask(q Question, take func(answer string) (why string)) (answer string, ok bool) {
	if before, asked := r.asked[q.At]; asked {
		return before.answer, before.ok
	}
	answer, ok = r.answers.of(q)
	if ok {
		r.used[q.At] = true
		if answer != NotTaken {
			if why := take(answer); why != "" {
				q.Answer, q.Ask, ok = answer, q.Ask+"; the answer is not: expected "+why, false
			}
		}
	}
	r.asked[q.At] = asked{answer, ok}
	if ok {
		q.Answer = answer
		r.answered = append(r.answered, q)
		return answer, true
	}
	r.Questions = append(r.Questions, q)
	return "", false
}

type asked struct {
	answer string
	ok     bool
}

// sorted brings the questions into the order of the sheet, and keeps the answers that nothing asks for.
func (r *reading) sorted() {
	byPlace := func(a, b Question) int { return slices.Compare(a.rank[:], b.rank[:]) }
	slices.SortStableFunc(r.Questions, byPlace)
	slices.SortStableFunc(r.answered, byPlace)
	for _, at := range r.answers.order {
		if !r.used[at] {
			g := r.answers.given[at]
			r.kept = append(r.kept, g.line+"\n"+answerMark+" "+g.text)
		}
	}
}
