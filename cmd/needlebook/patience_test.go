package main

import (
	"bytes"
	"io"
	"strings"
	"sync"
	"testing"
	"time"
)

// kept keeps what was written, for who looks on beside the writer.
type kept struct {
	mu  sync.Mutex
	all bytes.Buffer
}

func (k *kept) Write(b []byte) (int, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.all.Write(b)
}

func (k *kept) String() string {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.all.String()
}

// on is what a screen shows in the end of what was written: a line that goes back to its beginning is written over.
func on(text string) string {
	var lines []string
	for line := range strings.SplitSeq(text, "\n") {
		shown := []rune{}
		at := 0
		for _, r := range line {
			if r == '\r' {
				at = 0
				continue
			}
			if at == len(shown) {
				shown = append(shown, 0)
			}
			shown[at] = r
			at++
		}
		lines = append(lines, strings.TrimRight(string(shown), " "))
	}
	return strings.Join(lines, "\n")
}

func TestPatience(t *testing.T) {
	screen := &kept{}
	p := &patience{to: screen, every: time.Millisecond}
	out := p.over(screen)
	p.begin("reading the book")
	waitFor := func(text string) {
		t.Helper()
		for !strings.Contains(screen.String(), text) {
			time.Sleep(time.Millisecond) // the test's own time limit ends it
		}
	}
	waitFor("\rreading the book, 0 s")
	p.now("writing the pages")
	waitFor("\rwriting the pages, ")
	io.WriteString(out, "one\n")
	waitFor("one\n\rwriting")
	io.WriteString(out, "two\n")
	p.end()
	if got := on(screen.String()); got != "one\ntwo\n" {
		t.Errorf("the screen shows %q in the end", got)
	}
	was := screen.String()
	time.Sleep(5 * time.Millisecond)
	if screen.String() != was {
		t.Error("something is shown after the end")
	}
	// Without a terminal there is nobody to wait, and a pipe gets the text alone.
	var none *patience
	none.begin("reading the book")
	none.now("writing the pages")
	none.end()
	var piped, errs bytes.Buffer
	if status := run([]string{"check", "--book", "../../example-vessel"}, strings.NewReader(""), &piped, &errs); status > exitFindings || strings.Contains(piped.String()+errs.String(), "\r") {
		t.Errorf("exit status %d, a pipe gets %q", status, errs.String())
	}
}
