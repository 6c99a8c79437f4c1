package vessel

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"needlebook/logbook/exchange"
)

// The events end in the book as it stands in this folder: nothing is missing, nothing reads otherwise, and beside it stand only the
// hands and their countersignatures.
func TestEventsEndInTheBook(t *testing.T) {
	story, err := Story()
	if err != nil {
		t.Fatal(err)
	}
	steps, err := History()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "book")
	if _, err := exchange.Build(dir, steps); err != nil {
		t.Fatal(err)
	}
	err = fs.WalkDir(Files, ".", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		want, err := fs.ReadFile(Files, p)
		if err != nil {
			return err
		}
		switch got, err := os.ReadFile(filepath.Join(dir, p)); {
		case err != nil:
			t.Errorf("%s is never brought by an event, or taken out by one: %v", p, err)
		case !bytes.Equal(got, want):
			t.Errorf("%s ends other than it stands in the folder", p)
		}
		return os.Remove(filepath.Join(dir, p))
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, own := range []string{".git", ".gitattributes", "signers", "countersigned", "reviews"} {
		if err := os.RemoveAll(filepath.Join(dir, own)); err != nil {
			t.Fatal(err)
		}
	}
	err = filepath.WalkDir(dir, func(p string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			t.Errorf("an event brings %s, which does not stand in the folder", p)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i < len(story); i++ {
		if story[i].At.Before(story[i-1].At) {
			t.Errorf("event %d of %s stands before the one before it", i, story[i].At)
		}
	}
}
