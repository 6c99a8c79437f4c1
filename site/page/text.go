package page

import "strings"

// Style is what words are: of a stretch of text, of a paragraph, of a list. How each looks is settled by package look.
type Style uint8

// The styles.
const (
	Plain     Style = iota
	Bold            // a name or number that leads its line
	Strong          // what must not be overread
	Code            // as a program has it
	Digest          // of a file
	Struck          // what stood there before
	Italic          // a name of a key
	Small           // below a figure
	Quoting         // an example
	More            // what else, in grey
	Loud            // something to look at
	Quiet           // nothing to look at
	Source          // where something comes from
	By              // who
	Day             // a day that leads a line
	Arrow           // between before and after
	Also            // a further line of a cell
	Where           // one of several places
	Aside           // said to who cannot see the sheet
	Here            // this one among others
	OneOf           // one of several numbers
	How             // what this means
	Commit          // a link to a commit
	NewLine         // the text goes on in the next line
	Graded          // a grade: mark and word
	Judged          // a verdict: mark and word
	Lead            // the first sentences of a page
	Standing        // who vouches for a text
	Alarm           // the same, where nobody does
	Tally           // numbers in a row
	Again           // how to look again
	Yield           // what stands above this book
	Groups          // a list of short lines
	Sources         // a numbered list of sources
	Cautions        // the cautions
	Month           // of changes
	RemarksOf       // remarks and pictures
	LinesOf         // a file as written
	Look            // columns side by side
	Beside          // a chart with its table
	Charts          // several charts
	Pictures        // several pictures
	FullFoot        // the cautions below a page
	Whole           // never broken in two
	Back            // of a sheet: on paper of its own
)

// Span is a stretch of text of one style: words, or what is within it.
type Span struct {
	Style Style
	Mark  Mark
	To    Ref // a link where there is one
	Words string
	In    Text
}

// Text is words in a line. Its methods give the text with more behind it.
type Text []Span

// Words is a text of plain words.
func Words(words string) Text { return Text(nil).Say(words) }

// Link is a text that leads to a page.
func Link(to Ref, words string) Text { return Text(nil).Link(to, words) }

// In is a text of one style.
func In(style Style, words string) Text { return Text(nil).In(style, words) }

// Say appends plain words.
func (t Text) Say(words string) Text {
	if words == "" {
		return t
	}
	return append(t, Span{Words: words})
}

// Int appends a whole number.
func (t Text) Int(n int) Text { return t.Say(itoa(n)) }

// Link appends words that lead to a page; where there is no page, the words alone.
func (t Text) Link(to Ref, words string) Text {
	if to == "" || words == "" {
		return t.Say(words)
	}
	return append(t, Span{To: to, Words: words})
}

// In appends words of a style.
func (t Text) In(style Style, words string) Text { return append(t, Span{Style: style, Words: words}) }

// Put appends text within a style.
func (t Text) Put(style Style, in Text) Text { return append(t, Span{Style: style, In: in}) }

// Leading appends text within a link.
func (t Text) Leading(to Ref, in Text) Text { return append(t, Span{To: to, In: in}) }

// Then appends another text.
func (t Text) Then(more Text) Text { return append(t, more...) }

// Draw appends a drawn mark.
func (t Text) Draw(m Mark) Text {
	if m == NoMark {
		return t
	}
	return append(t, Span{Mark: m})
}

// Break goes on in the next line.
func (t Text) Break() Text { return append(t, Span{Style: NewLine}) }

// String is the text without its styles.
func (t Text) String() string {
	var b strings.Builder
	t.write(&b)
	return b.String()
}

func (t Text) write(b *strings.Builder) {
	for _, s := range t {
		if s.Style == NewLine {
			b.WriteByte('\n')
		}
		b.WriteString(s.Words)
		s.In.write(b)
	}
}

// Mark is a drawn mark. It never stands alone: the word beside it, or in its title, says the same.
type Mark uint8

// The marks.
const (
	NoMark Mark = iota

	// Lifts under a text: one signer, two, three; broken where nobody vouches.
	StrokeBroken
	StrokeOne
	StrokeTwo
	StrokeThree

	// Grades of a finding.
	GradeStop
	GradeAction
	GradeAdvice
	GradeNote

	// Verdicts on a value.
	Within
	WithinDoubt
	BeyondDoubt
	Beyond
	NotMeasured
	NotProven
	NoVerdict
)

var gradeWords = map[Mark]string{GradeStop: "stop", GradeAction: "action", GradeAdvice: "advice", GradeNote: "note"}

// GradeWord is the word of a grade's mark.
func GradeWord(m Mark) string { return gradeWords[m] }

// Grade is the mark of a grade, by its word; NoMark for none.
func Grade(word string) Mark {
	for m, w := range gradeWords {
		if w == word {
			return m
		}
	}
	return NoMark
}

// Grade appends a grade: its mark and its word.
func (t Text) Grade(m Mark) Text {
	return append(t, Span{Style: Graded, Mark: m, Words: gradeWords[m]})
}

// Verdict appends a verdict: its mark and its word.
func (t Text) Verdict(m Mark, word string) Text {
	return append(t, Span{Style: Judged, Mark: m, Words: word})
}

// Nothing appends a dash that says to who cannot see it that nothing is meant: quiet is not unknown.
func (t Text) Nothing(aloud string) Text {
	return append(t, Span{Style: Quiet, In: Words("–").In(Aside, " "+aloud)})
}
