package trace

import (
	"fmt"
	"regexp"
	"strings"
)

var device = regexp.MustCompile(`^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)`)

// nameForm reports whether one part of a path is of the form [a-z0-9]([a-z0-9._-]{0,62}[a-z0-9])?, and no
// device of another system. It is asked for every change of every commit.
func nameForm(part string) bool {
	inner := func(b byte) bool { return 'a' <= b && b <= 'z' || '0' <= b && b <= '9' }
	n := len(part)
	if n == 0 || n > 64 || !inner(part[0]) || !inner(part[n-1]) {
		return false
	}
	for i := 1; i < n-1; i++ {
		if b := part[i]; !inner(b) && b != '.' && b != '_' && b != '-' {
			return false
		}
	}
	return !strings.ContainsRune("acnlp", rune(part[0])) || !device.MatchString(part)
}

// CheckPath says what keeps a path from being a file of a book, nil when nothing does: each part is of
// lower-case letters, digits, dot, dash and underscore, so that it is the same file on every system.
func CheckPath(p string) error {
	if len(p) > 200 {
		return fmt.Errorf("path %q is longer than 200 bytes", p)
	}
	parts := strings.Split(p, "/")
	if len(parts) > 6 {
		return fmt.Errorf("path %q is more than 6 folders deep", p)
	}
	for i, part := range parts {
		if i == len(parts)-1 && (part == ".gitattributes" || part == ".gitignore" || part == ".editorconfig") {
			continue
		}
		if hidden := strings.TrimPrefix(part, "."); hidden != part && i == 0 && !strings.HasPrefix(hidden, "git") &&
			nameForm(hidden) {
			continue // a dot file or folder beside the records, such as .ci: the superintendent's
		}
		if !nameForm(part) {
			return fmt.Errorf("path %q: %q is no name for a file of a book: use a to z, 0 to 9, dot, dash and underscore",
				p, part)
		}
	}
	return nil
}
