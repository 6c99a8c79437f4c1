package trace

import (
	"strings"
	"testing"
	"time"
)

// A line that takes the place of another keeps what was signed under it only where it allows all that the other allowed, and on every
// day on which that did. No outside source: the promise of the package documentation.
func TestCovers(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2024, 1, n, 0, 0, 0, 0, time.UTC) }
	old := line{principal: "berg@chief", roles: engineer | commits, after: day(10), before: day(20)}
	with := func(change func(*line)) *line {
		l := old
		change(&l)
		return &l
	}
	for _, c := range []struct {
		name string
		now  *line
		want bool
	}{
		{"the same", with(func(*line) {}), true},
		{"from an earlier day", with(func(l *line) { l.after = day(9) }), true},
		{"from a later day", with(func(l *line) { l.after = day(11) }), false},
		{"from whenever", with(func(l *line) { l.after = time.Time{} }), true},
		{"to a later day", with(func(l *line) { l.before = day(21) }), true},
		{"to an earlier day", with(func(l *line) { l.before = day(19) }), false},
		{"without an end", with(func(l *line) { l.before = time.Time{} }), true},
		{"another person", with(func(l *line) { l.principal = "ivanov@chief" }), false},
		{"fewer roles", with(func(l *line) { l.roles = commits }), false},
		{"more roles", with(func(l *line) { l.roles |= chief }), true},
	} {
		if got := c.now.covers(&old); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	open := line{principal: old.principal, roles: old.roles}
	if old.covers(&open) {
		t.Error("a line with a window covers one without")
	}
	if !open.covers(&open) {
		t.Error("a line without a window does not cover itself")
	}
}

// The headers that every commit has, by git's Documentation: tree, author and committer once, one empty line before the message.
func TestCommitWithoutAHeader(t *testing.T) {
	const tree, author, committer = "tree 4b825dc642cb6eb9a060e54bf8d69288fbee4904\n", "author x <x@y> 1704110400 +0000\n",
		"committer x <x@y> 1704110400 +0000\n"
	for _, c := range []struct{ name, raw, want string }{
		{"whole", tree + author + committer + "\nmessage\n", ""},
		{"a header cut off", tree + author + strings.TrimSuffix(committer, "\n"), "a header without line end"},
		{"no author", tree + committer + "\nmessage\n", "author or committer is missing"},
		{"no committer", tree + author + "\nmessage\n", "author or committer is missing"},
		{"no message", tree + author + committer, "the empty line before the message is missing"},
		{"two authors", tree + author + author + committer + "\nmessage\n", "the header author stands twice"},
	} {
		got, err := parseCommit([]byte(c.raw))
		if err != nil || got.malformed != c.want {
			t.Errorf("%s: %v, %q, want %q", c.name, err, got.malformed, c.want)
		}
	}
	if _, err := parseCommit([]byte(author + committer + "\nmessage\n")); err == nil || !strings.Contains(err.Error(), "names no tree") {
		t.Errorf("no tree: %v", err)
	}
}

// A dot file or folder beside the records is the superintendent's, and its names are those of a book all the same.
func TestCheckPathOfDotFolders(t *testing.T) {
	for path, good := range map[string]bool{".ci": true, ".ci/run": true, ".ci/long/run.sh": true, ".ci/Run": false, ".ci/a b": false, ".ci/\u202e": false,
		".gitx/a": false, "a/.ci": false, "overhauls/.gitignore": true, ".gitattributes": true} {
		if err := CheckPath(path); (err == nil) != good {
			t.Errorf("%q: %v, want a name of a book: %v", path, err, good)
		}
	}
}
