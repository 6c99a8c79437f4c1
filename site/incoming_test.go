package site

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestIncoming holds that a file written part by part ends as it was written, whatever a former build left in its place, that one which says
// the same is not touched, and that of one which breaks off nothing is left. No outside source.
func TestIncoming(t *testing.T) {
	long := strings.Repeat("0123456789", 500)
	for _, c := range []struct {
		name, old, now string
		fresh          bool
	}{
		{"none before", "", "abc", true}, {"the same", long, long, false}, {"differs at the end", long + "x", long + "y", true},
		{"differs in the middle", long + "x" + long, long + "y" + long, true}, {"shorter", long + "x", long, true}, {"longer", long, long + "x", true},
		{"empty before", "-", "", true}, {"differs at once", "x" + long, "y" + long, true},
	} {
		out := t.TempDir()
		if c.old != "" {
			f, err := openFolder(out)
			must(t, err)
			must(t, f.put("a.html", []byte(c.old)))
			_, _, err = f.finish()
			must(t, err)
			f.close()
		}
		f, err := openFolder(out)
		must(t, err)
		must(t, f.write("a.html", func(w io.Writer) error {
			for i := 0; i < len(c.now); i += 700 {
				if _, err := io.WriteString(w, c.now[i:min(i+700, len(c.now))]); err != nil {
					return err
				}
			}
			return nil
		}))
		if len(f.fresh) == 1 != c.fresh {
			t.Errorf("%s: written anew %t", c.name, len(f.fresh) == 1)
		}
		_, _, err = f.finish()
		must(t, err)
		f.close()
		got, err := os.ReadFile(filepath.Join(out, "a.html"))
		must(t, err)
		if string(got) != c.now {
			t.Errorf("%s: %d bytes, want %d", c.name, len(got), len(c.now))
		}
	}
}

// TestIncomingBreaksOff leaves nothing of a file that failed half way, and lets it be written again.
func TestIncomingBreaksOff(t *testing.T) {
	f, err := openFolder(t.TempDir())
	must(t, err)
	defer f.close()
	broken := errors.New("half way")
	if err := f.write("a.html", func(w io.Writer) error {
		_, _ = io.WriteString(w, "half")
		return broken
	}); !errors.Is(err, broken) {
		t.Errorf("write = %v", err)
	}
	func() {
		defer func() { _ = recover() }()
		_ = f.write("a.html", func(w io.Writer) error {
			_, _ = io.WriteString(w, "half")
			panic("half way")
		})
	}()
	if f.has("a.html") || len(f.fresh) != 0 {
		t.Error("half a file is taken in")
	}
	if _, err := f.new.Lstat("a.html"); err == nil {
		t.Error("half a file is left")
	}
	must(t, f.put("a.html", []byte("whole")))
}
