package address

import (
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"needlebook/site/page"
)

// hostileNames are identities that would leave a folder, name a device, or fall together where case does not count.
var hostileNames = []string{
	"", ".", "..", "../../etc/passwd", `..\..\windows\system32`, "/etc/passwd", `C:\x`, `\\server\share`, "con", "CON", "nul.txt", "aux", "com1", "a/b", `a\b`, "a b", "A B", "a-b", "a_b", "a.b",
	"ä", "Ä", "a\u0308", "Ø", "名", "a\x00b", "a\nb", "-", "--", "index", "style", strings.Repeat("x", 5000), strings.Repeat("../", 200), "H-1", "h-1", "H 1", "h/1", "%2e%2e%2f", "\u202e", "a#b", "a?b", "a'b", `a"b`, "<a>",
}

// TestNamesAreDistinctAndFlat gives a page to each hostile identity: the names differ on any system, and lie in the folder itself.
func TestNamesAreDistinctAndFlat(t *testing.T) {
	n := newNames()
	seen := map[string]string{}
	for _, id := range append(hostileNames, hostileNames...) {
		to := string(n.give("holder", id))
		checkName(t, id, to)
		if first, twice := seen[strings.ToLower(to)]; twice {
			t.Errorf("%q and %q share the page %q", first, id, to)
		}
		seen[strings.ToLower(to)] = id
	}
}

func checkName(t *testing.T, id, to string) {
	t.Helper()
	if !Flat(to) || len(to) > 128 || !strings.HasSuffix(to, ".html") {
		t.Errorf("give(%q) = %q: want a short flat lower-case name", id, to)
	}
	for _, base := range []string{path.Join("out", to), filepath.Join("out", to)} {
		if path.Dir(filepath.ToSlash(base)) != "out" {
			t.Errorf("give(%q) = %q leads to %q", id, to, base)
		}
	}
}

// TestNamesAreStable holds that the same identities in the same order get the same names, whatever else the program did.
func TestNamesAreStable(t *testing.T) {
	a, b := newNames(), newNames()
	for _, id := range hostileNames {
		if x, y := a.give("nozzle", id), b.give("nozzle", id); x != y {
			t.Errorf("give(%q) = %q and %q", id, x, y)
		}
	}
}

// FuzzNames: any identity, and its page lies in the output folder.
func FuzzNames(f *testing.F) {
	for _, id := range hostileNames {
		f.Add(id)
	}
	f.Fuzz(func(t *testing.T, id string) { checkName(t, id, string(newNames().give("part", id))) })
}

// TestFurther names the further pages of a list, from the second on.
func TestFurther(t *testing.T) {
	for i, want := range []page.Ref{"due.html", "due-2.html", "due-3.html"} {
		if got := Further("due.html", i); got != want {
			t.Errorf("page %d is %s, want %s", i, got, want)
		}
	}
	got := newNames().spread("audit-trail.html", "trace", 201, 100)
	if want := []page.Ref{"audit-trail.html", "trace-2.html", "trace-3.html"}; !slices.Equal(got, want) {
		t.Errorf("201 entries, 100 on a page: %v", got)
	}
	if got := newNames().spread("audit-trail.html", "trace", 200, 100); len(got) != 2 {
		t.Errorf("200 entries, 100 on a page: %v", got)
	}
	if got := newNames().spread("audit-trail.html", "trace", 0, 100); len(got) != 1 {
		t.Errorf("no entries: %v", got)
	}
}
