package logbook

import (
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"needlebook/logbook/budget"
)

// reserved are the names that a widespread system keeps for its devices, with or without an ending.
var reserved = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)`)

// paths reports names of files that some system on the way of the book cannot hold: a checkout fails there, and with it
// every record that came along.
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
		case strings.ContainsAny(part, `<>:"|?*\`), strings.ContainsFunc(part, func(r rune) bool {
			return r < 0x20 ||
				r == 0x7f || Hidden(r)
		}):
			return `a name without < > : " | ? * \ and hidden characters`
		case strings.HasSuffix(part, "."), strings.HasSuffix(part, " "):
			return "a name that does not end in a point or a space"
		case reserved.MatchString(part):
			return "another name: some systems keep this one for a device"
		}
	}
	return ""
}

// secondBook says that a folder holds a whole book of its own: somebody copied one into the other.
func (b *Book) secondBook(fsys fs.FS, name string) bool {
	inside := name + "/book.md"
	if info, err := fs.Stat(fsys, inside); err != nil || !info.Mode().IsRegular() {
		return false
	}
	src, err := budget.ReadFile(fsys, inside, maxRecord)
	if err != nil || kindOfText(inside, src).Name != "book" {
		return false
	}
	b.note(inside, SlipSecondBook, name, "one book in a folder")
	return true
}

// passingFolders are those that computers make beside what people keep.
var passingFolders = map[string]bool{"__macosx": true, "$recycle.bin": true, "system volume information": true,
	"@eadir": true, "#recycle": true, "lost+found": true}

// PassingFolder says that a folder of that name is made by a computer for itself: .git, .vscode, .obsidian, __MACOSX.
func PassingFolder(name string) bool {
	return strings.HasPrefix(name, ".") || passingFolders[strings.ToLower(name)]
}

// Dropped says that a path of a book is a file that comes and goes, or lies in a folder that a computer keeps for
// itself.
func Dropped(name string) bool {
	parts := strings.Split(name, "/")
	return slices.ContainsFunc(parts[:len(parts)-1], PassingFolder) || Passing(parts[len(parts)-1])
}

// IgnoreFile is the .gitignore of a book: what computers and editors drop beside the records, as [Passing] and
// [PassingFolder] know it, for git too, in whose patterns a letter in brackets is any of those.
func IgnoreFile() string {
	lines := []string{"# What computers and editors drop beside the records."}
	for _, name := range slices.Sorted(maps.Keys(passingNames)) {
		if !strings.ContainsFunc(name, unicode.IsControl) { // for which git has no pattern
			lines = append(lines, anyCase(name))
		}
	}
	for _, ending := range passingEndings {
		lines = append(lines, "*"+anyCase(ending))
	}
	for _, name := range slices.Sorted(maps.Keys(passingFolders)) {
		lines = append(lines, anyCase(name)+"/")
	}
	return strings.Join(append(lines, "~$*", `\#*#`, ".*", "!.gitattributes", "!.gitignore", ""), "\n")
}

// anyCase is a name as a pattern of git that fits it in small and capital letters.
func anyCase(name string) string {
	var b strings.Builder
	for _, r := range name {
		switch up := unicode.ToUpper(r); {
		case up != r:
			b.WriteString("[" + string(r) + string(up) + "]")
		case r == '#':
			b.WriteString(`\#`)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

var (
	passingNames   = map[string]bool{"thumbs.db": true, "ehthumbs.db": true, "desktop.ini": true, "icon\r": true}
	passingEndings = []string{"~", ".lock", ".bak", ".old", ".orig", ".tmp", ".temp", ".swp", ".swo", ".part",
		".crdownload", ".autosave"}
)

// Passing says that a file of that name, without its folder, comes and goes while somebody works: an editor's swap
// file, backup or lock, or a text on its way to its place. It is no part of a book.
func Passing(name string) bool {
	folded := strings.ToLower(name)
	return strings.HasPrefix(name, ".") && name != ".gitattributes" && name != ".gitignore" ||
		strings.HasPrefix(name, "~$") || strings.HasPrefix(name, "#") && strings.HasSuffix(name, "#") ||
		passingNames[folded] || slices.ContainsFunc(passingEndings,
		func(ending string) bool { return strings.HasSuffix(folded, ending) })
}
