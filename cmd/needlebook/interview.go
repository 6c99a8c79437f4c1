package main

import (
	"bufio"
	"context"
	"fmt"
	"strconv"
	"strings"

	"needlebook/logbook"
)

// An interview asks for what no flag states, one question a line, and keeps each answer. It can be held again from the
// beginning: what was answered is not asked a second time, so that one answer is changed by forgetting it.
type interview struct {
	p    *program
	in   *bufio.Reader
	kept *answers
	said map[string]bool // questions whose answer was seen on the screen
	all  []question      // those of this time, in their order
}

// question is what is asked: a name of its own, which the answer is kept by, and what helps to answer it.
type question struct{ name, hint string }

// interviewed begins an interview about the folder that is to be made.
func (p *program) interviewed(dir string) (*interview, error) {
	kept, err := keptAnswers(dir)
	if err != nil {
		return nil, err
	}
	if kept.exist() {
		fmt.Fprintf(p.err, "taking up the answers in %s; delete it to begin anew\n", kept.file)
	}
	return &interview{p: p, in: bufio.NewReader(p.in), kept: kept, said: map[string]bool{}}, nil
}

// interrupted says, should somebody press Ctrl-C, that nothing is lost; stop ends that.
func (t *interview) interrupted() (stop func() bool) {
	return context.AfterFunc(t.p.ctx, t.remains)
}

// remains says where the answers are.
func (t *interview) remains() {
	if t.kept.exist() {
		fmt.Fprintf(t.p.err, "\nneedlebook: what was answered is kept in %s: the same command takes it up\n", t.kept.file)
	}
}

// until asks a question until its answer can be taken, and says what is wrong with one that cannot: a slip of typing
// loses no other answer. Only where the answers end does it give up.
func (t *interview) until(q question, take func(answer string) error) error {
	t.all = append(t.all, q)
	if answer, given := t.kept.given[q.name]; given {
		err := take(answer)
		if !t.said[q.name] {
			fmt.Fprintf(t.p.err, "%s: %s (answered before)\n", q.name, logbook.Dash(answer))
			t.said[q.name] = true
		}
		if err == nil {
			return nil
		}
		fmt.Fprintf(t.p.err, "  %v\n", err)
	}
	for {
		fmt.Fprintf(t.p.err, "%s%s: ", q.name, q.hint)
		answer, end := t.line()
		err := take(answer)
		if err == nil && (end == nil || answer != "") {
			t.said[q.name] = true
			return t.kept.keep(q.name, answer)
		}
		if err == nil {
			err = end
		}
		if end != nil {
			return err
		}
		fmt.Fprintf(t.p.err, "  %v\n", err)
	}
}

// line reads a line that somebody types.
func (t *interview) line() (answer string, end error) {
	line, end := t.in.ReadString('\n')
	if end != nil {
		fmt.Fprintln(t.p.err)
		end = use("the answers ended before the last question")
	}
	return strings.TrimSpace(line), end
}

// answer is taken as it comes; it may be empty.
func (t *interview) answer(q question) (answer string, err error) {
	err = t.until(q, func(s string) error { answer = s; return nil })
	return answer, err
}

// agreed shows what a list gave and every answer with its number. It is true when what was answered is to be written;
// false when an answer was forgotten, to be asked for again. What does not fit as a whole is said, and must be changed.
func (t *interview) agreed(listed []string, amiss error) (bool, error) {
	for _, line := range listed {
		fmt.Fprintln(t.p.err, line)
	}
	if len(t.all) == 0 {
		return true, amiss
	}
	fmt.Fprintln(t.p.err, "\nThis is what was answered:")
	for i, q := range t.all {
		fmt.Fprintf(t.p.err, "%4d  %s: %s\n", i+1, q.name, logbook.Dash(t.kept.given[q.name]))
	}
	for {
		prompt := "y writes the book, a number changes that answer"
		if amiss != nil {
			fmt.Fprintf(t.p.err, "  %v\n", amiss)
			prompt = "the number of the answer to change"
		}
		fmt.Fprintf(t.p.err, "%s: ", prompt)
		typed, end := t.line()
		n, err := strconv.Atoi(typed)
		switch yes := strings.ToLower(typed); {
		case amiss == nil && (yes == "y" || yes == "yes"):
			return true, nil
		case err == nil && n >= 1 && n <= len(t.all):
			q := t.all[n-1]
			fmt.Fprintf(t.p.err, "  it was %s\n", logbook.Dash(t.kept.given[q.name]))
			delete(t.kept.given, q.name)
			t.all = nil
			return false, nil
		case end != nil:
			return false, end
		}
		fmt.Fprintf(t.p.err, "  %q: y, or a number from 1 to %d\n", typed, len(t.all))
	}
}
