package logbook

import (
	"regexp"
	"strings"
)

// reserved are the names that a widespread system keeps for its devices, with or without an ending.
var reserved = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)`)

// paths reports names of files that some system on the way of the book cannot hold: a checkout fails there, and with it every
// record that came along.
func (b *Book) paths() {
	first := map[string]string{}
	for _, name := range b.Files {
		if why := unportable(name); why != "" {
			b.note(name, SlipPathName, name, why)
		}
		folded := strings.ToLower(name)
		if other, twice := first[folded]; twice {
			b.note(name, SlipPathName, name, "a name that differs from "+other+" by more than capital letters")
			continue
		}
		first[folded] = name
	}
}

// unportable says what a path would have to be; empty for one that every system holds.
func unportable(name string) string {
	for part := range strings.SplitSeq(name, "/") {
		switch {
		case strings.ContainsAny(part, `<>:"|?*\`), strings.ContainsFunc(part, func(r rune) bool { return r < 0x20 || r == 0x7f || Hidden(r) }):
			return `a name without < > : " | ? * \ and hidden characters`
		case strings.HasSuffix(part, "."), strings.HasSuffix(part, " "):
			return "a name that does not end in a point or a space"
		case reserved.MatchString(part):
			return "another name: some systems keep this one for a device"
		}
	}
	return ""
}

// Passing says that a file of that name, without its folder, comes and goes while somebody works: an editor's swap file, backup or
// lock, or a text on its way to its place. It is no part of a book.
func Passing(name string) bool {
	return strings.HasPrefix(name, ".") && name != ".gitattributes" && name != ".gitignore" ||
		strings.HasPrefix(name, "~$") || strings.HasPrefix(name, "#") && strings.HasSuffix(name, "#") ||
		strings.HasSuffix(name, "~") || strings.HasSuffix(name, ".lock")
}
