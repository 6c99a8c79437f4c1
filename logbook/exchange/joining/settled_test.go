package joining_test

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/mail"
)

// walker is one of two hands who write into two copies of a book.
type walker struct {
	t   *testing.T
	r   *rand.Rand
	dir string
	n   *int
}

// works writes something that an honest hand may write: he edits, moves, adds, never takes out.
func (w *walker) works() {
	*w.n++
	records, err := filepath.Glob(filepath.Join(w.dir, "overhauls/me1/*/*.md"))
	if err != nil || len(records) == 0 {
		w.t.Fatalf("no records: %v", err)
	}
	at := records[w.r.Intn(len(records))]
	rel, _ := filepath.Rel(w.dir, at)
	text := w.text(rel)
	var c exchange.Change
	switch w.r.Intn(7) {
	case 0:
		c = trial.File(rel, []byte(strings.Replace(text, "lift: ", fmt.Sprintf("lift: 0.%d mm # was ", 10+w.r.Intn(80)), 1)))
	case 1:
		c = trial.File(rel, []byte(text+fmt.Sprintf("\nRemark %d.\n", *w.n)))
	case 2:
		c = exchange.Change{Path: fmt.Sprintf("overhauls/me1/c%d/%s", 1+w.r.Intn(4), filepath.Base(rel)), From: rel}
		if c.Path == rel {
			return
		}
	case 3:
		c = trial.File("hours/me1.csv", []byte(w.text("hours/me1.csv")+fmt.Sprintf("2024-01-%02d,%d,\n", 1+w.r.Intn(28), 1000+w.r.Intn(50))))
	case 4:
		c = trial.File(fmt.Sprintf("photos/%c.jpg", 'a'+rune(w.r.Intn(3))), fmt.Appendf(nil, "\xff\x00%d", *w.n))
	case 5:
		c = trial.File(fmt.Sprintf("parts/n-%d.md", w.r.Intn(4)), fmt.Appendf(nil, "---\nserial: N-%d\nkind: nozzle\n---\n\nSeen %d.\n", w.r.Intn(9), *w.n))
	default:
		c = trial.File("handovers/2024-07-01.md", fmt.Appendf(nil, "Line.\nLine %d.\nLast.\n", w.r.Intn(5)))
	}
	if _, err := exchange.Write(w.dir, trial.Draft(*w.n, c)); err != nil && !strings.Contains(err.Error(), exchange.ErrNothing.Error()) {
		w.t.Fatal(err)
	}
}

func (w *walker) text(name string) string {
	text, err := os.ReadFile(filepath.Join(w.dir, filepath.FromSlash(name)))
	if err != nil {
		w.t.Fatal(err)
	}
	return string(text)
}

// takes brings in what the other wrote, by a bundle, and resolves what waits: by the proposal, or by one side's text with all that it
// does not hold noted below.
func (w *walker) takes(from string) {
	w.t.Helper()
	*w.n++
	bag, err := mail.PackBag(w.t.Context(), from, nil, "", false)
	if err != nil {
		w.t.Fatal(err)
	}
	if _, err := mail.OpenBundle(w.t.Context(), w.dir, strings.NewReader(string(bag.Text))); err != nil {
		w.t.Fatal(err)
	}
	taken, err := joining.TakeIn(w.t.Context(), w.dir, bag.Tip, trial.Draft(*w.n), trial.AnyPath)
	if err != nil {
		w.t.Fatal(err)
	}
	for _, c := range taken.Conflicts {
		text := c.Text
		if sides := [][]byte{c.Ours, c.Theirs}; text == nil || w.r.Intn(3) == 0 && c.Ours != nil && c.Theirs != nil {
			text = slices.Clone(sides[w.r.Intn(2)])
			if !c.Bytes() {
				for _, l := range c.Lost(text) {
					text = fmt.Appendf(text, "\n%s was %q.\n", l.Path, l.Was)
				}
			}
		}
		lies, err := os.ReadFile(filepath.Join(w.dir, filepath.FromSlash(c.Sides.Path)))
		if err != nil {
			w.t.Fatal(err)
		}
		if _, err := joining.Resolve(w.dir, c.Sides.Path, lies, text); err != nil {
			w.t.Fatal(err)
		}
	}
	if len(taken.Conflicts) > 0 {
		if _, err := joining.FinishMerge(w.dir, trial.Draft(*w.n), trial.AnyPath); err != nil {
			w.t.Fatal(err)
		}
	}
}

// Whatever two honest hands write into their copies, and however they resolve what both wrote into one file: the history holds nothing
// against any commit, git finds nothing wrong, and both end on one commit. Hundreds of walks under NEEDLEBOOK_LONG.
func TestSettledHonestlyIsProved(t *testing.T) {
	walks := 2
	if trial.Long {
		walks = 200
	}
	for seed := range walks {
		r := rand.New(rand.NewSource(int64(seed)))
		n := 10
		ship, _ := trial.MeetingBook(t, trial.Side([]int{0}, trial.Set("overhauls/me1/c2/2024-01-02-h-2.md", strings.Replace(trial.RecordText, "H-1", "H-2", 1))...))
		shore := filepath.Join(t.TempDir(), "shore")
		trial.Run(t, t.TempDir(), "clone", "-q", ship, shore)
		two := []*walker{{t, r, ship, &n}, {t, r, shore, &n}}
		for range 3 {
			for _, w := range two {
				for range 1 + r.Intn(3) {
					w.works()
				}
			}
			first := r.Intn(2)
			two[first].takes(two[1-first].dir)
			if r.Intn(3) > 0 {
				two[1-first].takes(two[first].dir)
			}
		}
		two[0].takes(shore)
		two[1].takes(ship)
		if a, b := trial.Head(t, ship), trial.Head(t, shore); a != b {
			t.Errorf("walk %d: ship on %s, shore on %s", seed, a, b)
		}
		if m := marks(t, shore); len(m) > 0 {
			t.Errorf("walk %d: the history holds against it: %q", seed, m)
		}
		trial.Sound(t, ship, shore)
		if t.Failed() {
			t.Logf("%s", trial.Run(t, ship, "log", "--graph", "--format=%h %s", "--name-status"))
			return
		}
	}
}
