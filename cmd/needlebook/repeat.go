package main

import (
	"bytes"
	"encoding/gob"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/answered"
)

// repeating are the verbs that read the book, say what is asked and do nothing else: they say again what they said,
// while nothing has changed that it depends on. See package answered.
var repeating = []string{"check", "show", "due", "stores", "recurring", "handover"}

// repeats lets a verb say again what it said.
func (p *program) repeats(c *cobra.Command) {
	work := c.RunE
	c.RunE = func(cmd *cobra.Command, args []string) error {
		stays := cmd.Flags().Lookup("watch")
		if stays != nil && stays.Changed {
			return work(cmd, args)
		}
		return p.sayAgain(func() error { return work(cmd, args) })
	}
}

func (p *program) sayAgain(work func() error) error {
	dir, err := p.findBook()
	if err != nil || !p.remembers(dir) {
		return work()
	}
	q := p.known.Ask(p.surroundings(dir)...)
	if said, ok := p.known.Answer(q); ok {
		p.status = int(said[0])
		_, err := p.raw.Write(said[1:])
		return err
	}
	out, aside := &heard{to: p.raw}, &heard{to: p.err.Writer}
	p.raw, p.out.Writer, p.data, p.err.Writer = out, out, plain{out}, aside
	if err := work(); err != nil {
		return err
	}
	if p.faulty || out.failed != nil {
		return nil
	}
	if aside.text.Len() == 0 {
		p.learnt[q] = slices.Concat([]byte{byte(p.status)}, out.text.Bytes())
	}
	_ = p.known.Keep(p.learnt) // else it is worked out again
	return nil
}

// remembers looks at what is known of the book in a folder; false where nothing can be: receipts are no part of a book.
func (p *program) remembers(dir string) bool {
	if !p.again || p.receipts != "" {
		return false
	}
	known, err := answered.Look(cacheFolder(), dir)
	if err != nil {
		return false
	}
	p.known, p.learnt = known, map[answered.Question][]byte{}
	return true
}

// A line that may stop who signs: an open finding of grade stop, as it is told, and its file.
type stopping struct{ Path, Line string }

// stopsOf are the findings that whoever signs is shown.
func stopsOf(r *checks.Report) (all []stopping) {
	for _, f := range r.Open() {
		if f.Grade == checks.Stop {
			all = append(all, stopping{f.Place.Path, fmt.Sprintf("%s: %s: %s", f.Place, f.Grade, f.Message)})
		}
	}
	return all
}

// stopsAsked is the question for them.
func (p *program) stopsAsked(dir, proof string) answered.Question {
	return p.known.Ask("stops", proof, p.today, fmt.Sprint(inRepository(filepath.Dir(dir))))
}

// keepStops keeps them of a book that was judged as it is.
func (p *program) keepStops(o *opened, proof string) {
	if p.known == nil {
		return
	}
	if text, err := json.Marshal(stopsOf(o.report)); err == nil {
		p.learnt[p.stopsAsked(o.dir, proof)] = text
	}
}

// stops are those in some files of a book that is not judged yet: as a check of the very same bytes has found them,
// else none where no check that may stop speaks of these files, else judged now.
func (p *program) stops(o *opened, files []string) (all []stopping, err error) {
	elsewhere := func(s stopping) bool { return !slices.Contains(files, s.Path) }
	if p.remembers(o.dir) {
		text, ok := p.known.Answer(p.stopsAsked(o.dir, provenBy()))
		if ok && json.Unmarshal(text, &all) == nil {
			return slices.DeleteFunc(all, elsewhere), nil
		}
	}
	may, err := checks.MayStop(o.book, o.options(o.on))
	here := func(f checks.Finding) bool {
		return f.Check == checks.CheckFailed || slices.Contains(files, f.Place.Path)
	}
	if err != nil || !slices.ContainsFunc(may, here) {
		return nil, err
	}
	if err := p.judgeNow(o); err != nil {
		return nil, err
	}
	return slices.DeleteFunc(stopsOf(o.report), elsewhere), nil
}

// judgeNow judges a book that was only read.
func (p *program) judgeNow(o *opened) error {
	if err := o.judge(o.on); err != nil {
		return err
	}
	p.notLookedAt(o.report)
	return nil
}

// An earlier state is what was found in the last commit, and what of it was open then.
type earlier struct{ Found, Open []earlierFinding }

// An earlierFinding is what a comparison and its words need of a finding.
type earlierFinding struct {
	Place          logbook.Place
	Check, Message string
	Next, Text     string
	Grade          checks.Grade
	Evidence       []string
	Limit          *checks.Limit
	Related        []checks.Related
	About          checks.About
	Subject        checks.Subject
	Since, Office  logbook.Day
	State          checks.State
	Ended          checks.Fact
}

func earlierOf(all []checks.Finding) (out []earlierFinding) {
	for _, f := range all {
		out = append(out, earlierFinding{f.Place, f.Check, f.Message, f.Next, f.Text, f.Grade, f.Evidence, f.Limit, f.Related,
			f.About, f.Subject, f.Since, f.Office, f.State, f.Ended})
	}
	return out
}

func findingsOf(all []earlierFinding) []checks.Finding {
	out := []checks.Finding{} // none is known, too
	for _, e := range all {
		out = append(out, checks.Finding{Place: e.Place, Check: e.Check, Message: e.Message, Next: e.Next, Text: e.Text,
			Grade: e.Grade, Evidence: e.Evidence, Limit: e.Limit, Related: e.Related, About: e.About, Subject: e.Subject,
			Since: e.Since, Office: e.Office, State: e.State, Ended: e.Ended})
	}
	return out
}

// tipAsked is the question for what was found in the last commit, which depends on nothing in the folder.
func (p *program) tipAsked(o *opened, k *checking) answered.Question {
	return p.known.AskHistory("tip", o.trail.Head, k.on, o.today, k.proof)
}

// atTip is what was found in the last commit, where that is known.
func (p *program) atTip(o *opened, k *checking) (found, open []checks.Finding) {
	if p.known == nil {
		return nil, nil
	}
	var e earlier
	if text, ok := p.known.Answer(p.tipAsked(o, k)); !ok || gob.NewDecoder(bytes.NewReader(text)).Decode(&e) != nil {
		return nil, nil
	}
	return findingsOf(e.Found), findingsOf(e.Open)
}

func (p *program) keepTip(o *opened, k *checking, found, open []checks.Finding) {
	var text bytes.Buffer
	if p.known != nil && gob.NewEncoder(&text).Encode(earlier{earlierOf(found), earlierOf(open)}) == nil {
		p.learnt[p.tipAsked(o, k)] = text.Bytes()
	}
}

// heard is a stream that remembers what went through it.
type heard struct {
	to     io.Writer
	text   bytes.Buffer
	failed error
}

func (h *heard) Write(text []byte) (int, error) {
	h.text.Write(text)
	n, err := h.to.Write(text)
	if err != nil {
		h.failed = err
	}
	return n, err
}

// surroundings are all that what a verb says depends on beside the program and the bytes of the book.
func (p *program) surroundings(dir string) []string {
	at, err := os.Getwd()
	env := slices.DeleteFunc(os.Environ(), func(v string) bool { return strings.HasPrefix(v, "_=") }) // the last command
	slices.Sort(env)
	return []string{fmt.Sprintf("%q", p.args), at, fmt.Sprint(err), fmt.Sprint(p.out.width, p.out.colour),
		fmt.Sprint(inRepository(filepath.Dir(dir))), fmt.Sprintf("%q", env)}
}
