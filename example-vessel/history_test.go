package vessel

import (
	"bytes"
	"io/fs"
	"testing"
)

// The events end in the book as it stands in this folder: nothing is missing, nothing reads otherwise.
func TestEventsEndInTheBook(t *testing.T) {
	steps, err := History()
	if err != nil {
		t.Fatal(err)
	}
	now := map[string][]byte{}
	for _, s := range steps {
		for _, c := range s.Changes {
			now[c.Path] = c.Text
		}
	}
	err = fs.WalkDir(Files, ".", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		want, err := fs.ReadFile(Files, p)
		switch got, ok := now[p]; {
		case err != nil:
			return err
		case !ok:
			t.Errorf("%s is never brought by an event", p)
		case !bytes.Equal(got, want):
			t.Errorf("%s ends other than it stands in the folder", p)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i < len(steps); i++ {
		if steps[i].Author.When.Before(steps[i-1].Author.When) {
			t.Errorf("event %d of %s stands before the one before it", i, steps[i].Author.When)
		}
	}
}
