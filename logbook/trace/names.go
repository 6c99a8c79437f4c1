package trace

import (
	"fmt"
	"regexp"
	"strings"
)

var (
	nameForm = regexp.MustCompile(`^[a-z0-9]([a-z0-9._-]{0,62}[a-z0-9])?$`)
	device   = regexp.MustCompile(`^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)`)
)

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
		if !nameForm.MatchString(part) || device.MatchString(part) {
			return fmt.Errorf("path %q: %q is no name for a file of a book; use lower-case letters, digits, dot, dash and underscore", p, part)
		}
	}
	return nil
}
