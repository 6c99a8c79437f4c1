package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"needlebook/logbook/fault"
)

// patient are the verbs that may take longer than a second, and ask nothing meanwhile: a line that counts the seconds
// would be in the way of an answer. Beside each is what it does first.
var patient = map[string]string{"pages": readsBook, "verify": "proving the history", "demo": "writing the history",
	"import": "reading the sheet", "check": readsBook, "export": readsBook, "due": readsBook, "interval": readsBook,
	"recurring": readsBook, "handover": readsBook}

const readsBook = "reading the book"

// A patience shows on a terminal that a verb is at work, and for how long: one line that is rewritten, and is gone
// before anything else is written and when the verb ends. In a pipe there is none.
type patience struct {
	to    io.Writer     // the terminal
	every time.Duration // how long nothing is shown at first, and how often the line is rewritten
	mu    sync.Mutex
	said  string // what is going on
	shown int    // characters of the line on the screen
	stop  chan struct{}
}

// begin shows the line from now on.
func (p *patience) begin(said string) {
	if p == nil {
		return
	}
	p.end()
	began, stop := time.Now(), make(chan struct{})
	p.mu.Lock()
	p.said, p.stop = said, stop
	p.mu.Unlock()
	fault.Go("say that the work goes on", func() error {
		tick := time.NewTicker(p.every)
		defer tick.Stop()
		for {
			select {
			case <-stop:
				return nil
			case now := <-tick.C:
				p.show(stop, fmt.Sprintf("%.0f s", now.Sub(began).Seconds()))
			}
		}
	}, func(error) {})
}

// now says what is going on.
func (p *patience) now(said string) {
	if p != nil {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.said = said
	}
}

func (p *patience) show(stop chan struct{}, seconds string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stop != stop {
		return // it ended while this waited
	}
	line := p.said + ", " + seconds
	_, _ = io.WriteString(p.to, "\r"+line+strings.Repeat(" ", max(0, p.shown-len(line))))
	p.shown = len(line)
}

// end takes the line away for good.
func (p *patience) end() {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stop != nil {
		close(p.stop)
		p.stop = nil
	}
	p.clear()
}

func (p *patience) clear() {
	if p.shown > 0 {
		_, _ = io.WriteString(p.to, "\r"+strings.Repeat(" ", p.shown)+"\r")
		p.shown = 0
	}
}

// over is a stream to the same terminal: what is written there takes the line away first.
func (p *patience) over(w io.Writer) io.Writer { return patiently{p, w} }

type patiently struct {
	p *patience
	w io.Writer
}

func (x patiently) Write(text []byte) (int, error) {
	x.p.mu.Lock()
	defer x.p.mu.Unlock()
	x.p.clear()
	return x.w.Write(text)
}

// beginsToWait shows that a verb is at work, where it is one that does not ask.
func (p *program) beginsToWait(verb string, watching bool) {
	if said := patient[verb]; said != "" && !watching {
		p.waits.begin(said)
	}
}
