package merge

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// gitMerge merges three texts with git merge-file, the reference program; clean says that it found no conflict.
func gitMerge(t interface {
	Fatalf(string, ...any)
	Skip(...any)
}, dir string, base, us, them []byte, flags ...string) (text []byte, clean bool) {
	git, err := exec.LookPath("git")
	if err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
			t.Fatalf("%v", err)
		}
		t.Skip("git is not installed")
	}
	var names []string
	for i, x := range [][]byte{us, base, them} {
		name := filepath.Join(dir, string(rune('a'+i)))
		if err := os.WriteFile(name, x, 0o666); err != nil {
			t.Fatalf("%v", err)
		}
		names = append(names, name)
	}
	cmd := exec.Command(git, append(append([]string{"merge-file", "-p", "-q"}, flags...), names...)...)
	cmd.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL=/dev/null", "GIT_CONFIG_SYSTEM=/dev/null")
	var out bytes.Buffer
	cmd.Stdout = &out
	err = cmd.Run()
	var exit *exec.ExitError
	if err != nil && (!errors.As(err, &exit) || exit.ExitCode() > 127) {
		t.Fatalf("git merge-file: %v", err)
	}
	return out.Bytes(), err == nil
}

// edited is a text with random edits: lines taken out, changed and put in.
func edited(t *rapid.T, name string, base []string, words []string) []string {
	out := append([]string{}, base...)
	for range rapid.IntRange(0, 3).Draw(t, name) {
		word := rapid.SampledFrom(words).Draw(t, "word")
		switch at := rapid.IntRange(0, len(out)).Draw(t, "at"); rapid.IntRange(0, 2).Draw(t, "what") {
		case 0:
			out = append(out[:at:at], append([]string{word}, out[at:]...)...)
		case 1:
			if at < len(out) {
				out = append(out[:at:at], out[at+1:]...)
			}
		default:
			if at < len(out) {
				out = append(out[:at:at], append([]string{word}, out[at+1:]...)...)
			}
		}
	}
	return out
}

// Where git merges by lines without a conflict, we do, and come to the same; where it finds one, so do we. The lines of the base
// differ: where they repeat there are several ways to read a change, and now and then git takes another.
func TestLinesAsGit(t *testing.T) {
	dir := t.TempDir()
	clean := 0
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"one\n", "two\n", "three\n", "four\n", "five\n", "six\n", "seven\n", "\n"}), 0, 8, rapid.ID).Draw(t, "base")
		words := []string{"nine\n", "ten\n", "eleven\n"}
		b, o, th := joined(base), joined(edited(t, "ours", base, words)), joined(edited(t, "theirs", base, words))
		want, ok := gitMerge(t, dir, b, o, th)
		var p pieces
		p.texts(b, o, th, false, nil)
		if p.clean() != ok {
			t.Fatalf("base %q, ours %q, theirs %q: clean %v, git says %v:\n%s", b, o, th, p.clean(), ok, want)
		}
		if ok {
			clean++
			if got := p.as(ours); !bytes.Equal(got, want) {
				t.Fatalf("base %q, ours %q, theirs %q: %q, git has %q", b, o, th, got, want)
			}
		}
	})
	if clean == 0 {
		t.Error("git never merged without a conflict: the test looks at nothing")
	}
}

// What git merges by union without a doubt, we merge to the same: where neither side took a line out beside one that the other
// side added, and each side added in one place: between two places where both did, git writes what was there twice.
func TestUnionAsGit(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"one\n", "two\n", "three\n", "four\n", "five\n"}), 0, 5, rapid.ID).Draw(t, "base")
		grown := func(name string, words ...string) []byte {
			at := rapid.IntRange(0, len(base)).Draw(t, name)
			added := rapid.SliceOfN(rapid.SampledFrom(words), 0, 3).Draw(t, "added")
			return joined(slices.Concat(base[:at], added, base[at:]))
		}
		b, o, th := joined(base), grown("ours", "nine\n", "ten\n"), grown("theirs", "eleven\n", "twelve\n")
		want, _ := gitMerge(t, dir, b, o, th, "--union")
		if got := listed(b, o, th); !bytes.Equal(got, want) {
			t.Fatalf("base %q, ours %q, theirs %q: %q, git has %q", b, o, th, got, want)
		}
		o, th = joined(edited(t, "ours", base, []string{"nine\n", "ten\n"})), joined(edited(t, "theirs", base, []string{"ten\n", "eleven\n"}))
		if want, ok := gitMerge(t, dir, b, o, th); ok {
			if got := listed(b, o, th); !bytes.Equal(got, want) {
				t.Fatalf("base %q, ours %q, theirs %q: %q, git has %q", b, o, th, got, want)
			}
		}
	})
}

// listed joins two lists line by line.
func listed(base, us, them []byte) []byte {
	return File(Sides{Path: "signers/adopted", Base: base, Ours: us, Theirs: them}).Text
}

// A line that one side took out or corrected does not come back because the other side wrote beside it.
func TestUnionTakesOut(t *testing.T) {
	for _, c := range []struct{ name, base, ours, theirs, want string }{
		{"both add", "a\nb\n", "a\nb\nc\n", "a\nb\nd\n", "a\nb\nc\nd\n"},
		{"both add the same", "a\n", "a\nc\n", "a\nc\n", "a\nc\n"},
		{"one corrects, the other adds behind it", "a\nb\n", "a\nB\n", "a\nb\nc\n", "a\nB\nc\n"},
		{"one takes out, the other adds behind it", "a\nb\n", "a\n", "a\nb\nc\n", "a\nc\n"},
		{"both correct one line", "a\nb\n", "a\nB\n", "a\nbb\n", "a\nB\nbb\n"},
		{"no line end at the end", "a", "a\nb", "a\nc", "a\nb\nc\n"},
		{"both began the file", "", "a\nb\n", "a\nc\n", "a\nb\nc\n"},
	} {
		if got := listed([]byte(c.base), []byte(c.ours), []byte(c.theirs)); string(got) != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
