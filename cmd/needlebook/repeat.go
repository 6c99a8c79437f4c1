package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

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
		if !p.again || p.receipts != "" || stays != nil && stays.Changed { // receipts are no part of the book
			return work(cmd, args)
		}
		return p.sayAgain(func() error { return work(cmd, args) })
	}
}

func (p *program) sayAgain(work func() error) error {
	dir, err := p.findBook()
	if err != nil {
		return work()
	}
	book, err := answered.Look(cacheFolder(), dir)
	if err != nil {
		return work()
	}
	q := book.Ask(p.surroundings(dir)...)
	if said, ok := book.Answer(q); ok {
		p.status = int(said[0])
		_, err := p.raw.Write(said[1:])
		return err
	}
	out, aside := &heard{to: p.raw}, &heard{to: p.err.Writer}
	p.raw, p.out.Writer, p.data, p.err.Writer = out, out, plain{out}, aside
	if err := work(); err != nil {
		return err
	}
	if aside.text.Len() == 0 && out.failed == nil && !p.faulty {
		_ = book.Keep(q, slices.Concat([]byte{byte(p.status)}, out.text.Bytes())) // else it is worked out again
	}
	return nil
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
