package vessel

import (
	"bufio"
	"embed"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"needlebook/logbook/exchange"
)

// Files are the book as it stands at the end, without signers/, countersigned/ and reviews/, which the history brings.
//
//go:embed book.md answers.csv crew.csv limits overhauls parts instruments hours running fuel stores deferrals decisions handovers photos logs
var Files embed.FS

//go:embed events.txt
var events string

// An Event is one commit of the story.
type Event struct {
	exchange.Step
	// At is when it happened, by a clock that is right; the commit states what the computer said.
	At time.Time
	// Expect is what verify has to say of the commit, clause by clause: first its state ("signed", "adopted by i.tamm"),
	// then marks ("date contradicted …"), then what became of single files ("stores/stock.csv edited in a merge").
	Expect []string
}

// History is the whole story of the example vessel, commit by commit: every one stands after those it builds on.
func History() ([]exchange.Step, error) {
	story, err := Story()
	steps := make([]exchange.Step, len(story))
	for i := range story {
		steps[i] = story[i].Step
	}
	return steps, err
}

// Story is the history with what verify has to say of each commit.
func Story() ([]Event, error) { return read(events, Files) }

func read(text string, final fs.FS) ([]Event, error) {
	t := &teller{final: final, people: map[string]string{}, at: map[string]int{}}
	if err := t.crew(); err != nil {
		return nil, err
	}
	var head string
	var body []string
	var headLine int
	flush := func() error {
		if head == "" {
			return nil
		}
		err := t.event(head, body)
		if err != nil {
			return fmt.Errorf("events.txt:%d: %w", headLine, err)
		}
		return nil
	}
	s := bufio.NewScanner(strings.NewReader(text))
	for n := 1; s.Scan(); n++ {
		line := s.Text()
		switch {
		case strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, " "):
			body = append(body, strings.TrimSpace(line))
		default:
			if err := flush(); err != nil {
				return nil, err
			}
			head, body, headLine = line, nil, n
		}
	}
	if err := flush(); err != nil {
		return nil, err
	}
	return t.story, nil
}
