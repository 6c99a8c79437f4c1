package logbook

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook/fault"

	"needlebook/logbook/budget"
)

// astray is a file that looks like one of a kind by its keys or its name, and does not lie where the files of that kind
// do. It is held against the rest of the book once all is read.
type astray struct {
	name, kind string
	src        []byte
	passing    bool // what an editor left behind: worth a word only where the file itself is gone, or says something else
}

// recordForm is the name of a record, wherever in a file's name it stands.
var recordForm = regexp.MustCompile(`(?i)(?:19|2[0-9])[0-9]{2}-[0-9]{2}-[0-9]{2}-[a-z0-9][a-z0-9._-]*`)

// FolderOf is the folder in which the records of a position lie: overhauls/me1/c3.
func FolderOf(p Position) string {
	cylinder := FileName(p.Cylinder)
	if _, err := strconv.Atoi(cylinder); err == nil {
		cylinder = "c" + cylinder
	}
	return path.Join("overhauls", FileName(p.Engine), cylinder)
}

// Imports is the folder of the maps and answers by which older sheets were taken over. No record is in it.
const Imports = "imports"

// Builds is the folder of the records that begin with a build and no removal.
const Builds = "overhauls/spares"

// PositionAt is the position in whose folder a file lies; ok is false for any other folder.
func (b *Book) PositionAt(name string) (p Position, ok bool) {
	p, ok = b.folders[path.Dir(name)]
	return p, ok
}

func (b *Book) layFolders() {
	b.folders = map[string]Position{}
	for _, p := range b.Positions() {
		b.folders[FolderOf(p)] = p
	}
}

// kindSigns are the keys by which a kind of file is told: those that its text begins with.
type kindSigns struct {
	FileKind
	keys map[string]bool
}

var signsOfKinds = fault.Shared(func() []kindSigns {
	var all []kindSigns
	for _, k := range Kinds() {
		if k.Name == "review" {
			continue // it has the keys of a countersignature
		}
		signs := kindSigns{k, map[string]bool{}}
		for _, f := range k.Fields {
			signs.keys[f.Key] = true
		}
		all = append(all, signs)
	}
	return all
})

// A text is one of a kind when it has three of its keys, two between dashes or in the first line of a table, and nearly
// no others: from memory. A name of a record's form makes up for two of them.
const (
	keysBetweenDashes = 2
	keysAlone         = 3
	shareOfKeys       = 0.6
)

// kindOfText is the kind of file that a text looks like, by the keys at its beginnings of lines or the columns of its
// first line; the zero kind where it looks like none.
func kindOfText(name string, src []byte) FileKind {
	d := &document{}
	text, ok := d.plainText(src, maxTable)
	if !ok {
		return FileKind{}
	}
	keys, dashes := topKeys(text)
	least := keysAlone
	if dashes {
		least = keysBetweenDashes
	}
	named := recordForm.MatchString(path.Base(name))
	if kind := likest(keys, least, named, false); kind.Name != "" {
		return kind
	}
	return likest(columnsOf(text), keysBetweenDashes, false, true)
}

// topKeys are the keys without indent of a text, as far as its closing dashes, and whether it begins with dashes.
func topKeys(text string) (keys []string, dashes bool) {
	for line := range strings.Lines(strings.TrimLeft(text, " \t\n\ufeff")) {
		line = strings.TrimRight(line, " \t\n")
		if line == "---" {
			if dashes {
				return keys, true
			}
			dashes = true
			continue
		}
		if key, _, ok := strings.Cut(line, ":"); ok && key != "" && !strings.ContainsAny(key, " \t#-\"'") {
			keys = append(keys, strings.ToLower(key))
		}
	}
	return keys, dashes
}

// columnsOf are the cells of the first line of a text.
func columnsOf(text string) []string {
	first, _, _ := strings.Cut(strings.TrimLeft(text, " \n\ufeff"), "\n")
	var names []string
	for _, cell := range strings.FieldsFunc(first, func(r rune) bool { return r == ',' || r == ';' || r == '\t' }) {
		names = append(names, strings.ToLower(strings.Trim(strings.TrimSpace(cell), `"`)))
	}
	return names
}

func likest(keys []string, least int, named, table bool) FileKind {
	var best FileKind
	most := 0
	for _, k := range signsOfKinds() {
		if k.Table != table {
			continue
		}
		n, asks := 0, least
		if named && k.Name == "overhaul" {
			asks = 1
		}
		for _, key := range keys {
			if k.keys[key] {
				n++
			}
		}
		if n >= asks && n > most && float64(n) >= shareOfKeys*float64(len(keys)) {
			best, most = k.FileKind, n
		}
	}
	return best
}

// pictureEndings are those of pictures and films, and officeEndings those of programs whose files no text editor reads.
var (
	pictureEndings = []string{".jpg", ".jpeg", ".png", ".gif", ".heic", ".tif", ".tiff", ".bmp", ".webp", ".mp4", ".mov"}
	officeEndings  = []string{".doc", ".docx", ".xls", ".xlsx", ".odt", ".ods", ".rtf", ".pdf", ".pages", ".numbers"}
)

// UnreadByEditors says that a file is one of a program whose files no text editor reads, by its ending.
func UnreadByEditors(name string) bool {
	return slices.Contains(officeEndings, strings.ToLower(path.Ext(name)))
}

// stray takes in a file that lies where none is read, and says whether it looks like one of a kind.
func (b *Book) stray(fsys fs.FS, name string, e fs.DirEntry, passing bool) bool {
	ending := strings.ToLower(path.Ext(name))
	if !e.Type().IsRegular() || slices.Contains(pictureEndings, ending) {
		return false
	}
	if info, err := e.Info(); err != nil || info.Size() > maxTable {
		return false
	}
	src, err := budget.ReadFile(fsys, name, maxTable)
	if err != nil {
		return false
	}
	if UnreadByEditors(name) && kindOfText(name, src).Name == "" {
		return b.strayOffice(name)
	}
	return b.strayText(name, src, passing)
}

// strayOffice is stray for a file of a program whose files no text editor reads: its name and its folder say what it
// is.
func (b *Book) strayOffice(name string) bool {
	kind := tableCalled(name)
	if in, ok := KindOf(strings.TrimSuffix(name, path.Ext(name)) + ".md"); ok && !in.Table && kind == "" {
		kind = in.Name
	}
	if recordForm.MatchString(path.Base(name)) && (kind == "" || kind == "book") {
		kind = "overhaul"
	}
	if kind == "" || kind == "book" || kind == "overhaul" && !recordForm.MatchString(path.Base(name)) {
		return false
	}
	b.strays = append(b.strays, astray{name: name, kind: kind})
	return true
}

// tableCalled is the kind of the one table of a book that a file is called as, but for its ending: crew.docx; empty
// where there is none.
func tableCalled(name string) string {
	for _, k := range Kinds() {
		if k.Table && strings.EqualFold(strings.TrimSuffix(k.Where, path.Ext(k.Where)),
			strings.TrimSuffix(name, path.Ext(name))) {
			return k.Name
		}
	}
	return ""
}

// strayText is stray for a text that is at hand.
func (b *Book) strayText(name string, src []byte, passing bool) bool {
	kind := kindOfText(name, src).Name
	if kind == "" && !passing && recordForm.MatchString(path.Base(name)) && path.Ext(name) != ".csv" {
		kind = "overhaul"
	}
	if kind == "" || kind == "book" && passing {
		return false
	}
	b.strays = append(b.strays, astray{name, kind, src, passing})
	return true
}

// elsewhere says that a Markdown file has the keys of another kind than the one whose folder it lies in.
func (b *Book) elsewhere(name string, src []byte, kind string) bool {
	if kind == "overhaul" && bytes.Contains(src, []byte("\nholder:")) {
		return false // by far the most files, and plain
	}
	looks := kindOfText(name, src)
	if looks.Name == "" || looks.Name == kind || looks.Name == "countersignature" && kind == "review" {
		return false
	}
	if keys, _ := topKeys(string(src)); likest(keys, keysBetweenDashes, false, false).Name == kind {
		return false
	}
	b.strays = append(b.strays, astray{name: name, kind: looks.Name, src: src})
	return true
}

// belongs is where a file that went astray belongs, and whether its whole path is known.
func (b *Book) belongs(s *astray) (where string, known bool) {
	stem := FileName(path.Base(s.name))
	for path.Ext(stem) != "" {
		ending := path.Ext(stem)
		plain := strings.TrimRight(ending, "-")
		if !slices.Contains(officeEndings, plain) &&
			!slices.Contains([]string{".md", ".csv", ".txt", ".markdown", ".bak", ".old", ".orig"}, plain) {
			break
		}
		stem = strings.TrimSuffix(stem, ending)
	}
	switch s.kind {
	case "overhaul":
		return b.recordBelongs(s, stem)
	case "book":
		return "book.md", true
	case "bunkers", "stock", "crew":
		return KindNamed(s.kind).Where, true
	case "hours", "running":
		engine := slices.ContainsFunc(b.Vessel.Engines, func(e Engine) bool { return FileName(e.ID.Written) == stem })
		if !engine && len(b.Vessel.Engines) == 1 {
			return s.kind + "/" + FileName(b.Vessel.Engines[0].ID.Written) + ".csv", true
		} else if !engine {
			return s.kind + "/<engine>.csv", false
		}
		return s.kind + "/" + stem + ".csv", true
	}
	folder := map[string]string{"limits": "limits", "part": "parts", "instrument": "instruments", "deferral": "deferrals",
		"decision": "decisions",
		"handover": "handovers", "countersignature": "countersigned"}[s.kind]
	if id := idOf(s.src); id != "" && s.kind != "handover" && s.kind != "countersignature" && s.kind != "limits" {
		stem = FileName(id)
	}
	return folder + "/" + stem + ".md", true
}

// idOf is the serial or id that a text states at its top.
func idOf(src []byte) string {
	for _, v := range Values(src) {
		if v.Path == "serial" || v.Path == "id" {
			return v.Written
		}
	}
	return ""
}

func (b *Book) recordBelongs(s *astray, stem string) (where string, known bool) {
	o, _ := ReadOverhaul(s.name, s.src)
	if at := recordForm.FindString(stem); at != "" {
		stem = strings.TrimRight(at, "-.")
	}
	if o.Day() != 0 && o.Holder.Stated() {
		stem = o.Day().String() + "-" + FileName(o.Holder.Written)
	}
	folder := b.folderOf(o)
	if _, at := b.folders[path.Dir(s.name)]; at && len(s.src) == 0 {
		folder = path.Dir(s.name) // nothing of it can be read: the folder says it
	}
	if folder == "" {
		return "overhauls/<engine>/<cylinder>/" + stem + ".md", false
	}
	return path.Join(folder, stem+".md"), true
}

// folderOf is the folder in which a record belongs by what it says itself; empty where it does not say, or names what
// the book has not.
func (b *Book) folderOf(o *Overhaul) string {
	p := Position{o.Removed.Engine.Written, o.Removed.Cylinder.Written}
	switch {
	case o.Removed.Stated() && p.Engine != "" && b.folders[FolderOf(p)] == p:
		return FolderOf(p)
	case o.Removed.Present() || o.Day() == 0:
		return ""
	}
	return Builds
}

// folder holds the folder of a record against what the record says.
func (b *Book) folder(o *Overhaul) {
	want, is := b.folderOf(o), path.Dir(o.Path)
	if _, cylinder := b.folders[is]; want == "" || want == is || want == Builds && cylinder {
		return
	}
	place, says := o.Opening, "no removal is stated"
	if want != Builds {
		place, says = o.Removed.Cylinder.Place, fmt.Sprintf("removed from %s-%s", o.Removed.Engine, o.Removed.Cylinder)
	}
	b.Problems = append(b.Problems, Problem{Place: place, Slip: SlipFolder, Found: is, Expected: says,
		Type: path.Join(want, o.Stem+".md"), Read: true})
}

// nested reports a file of a kind that lies directly in its folder, and is found below it. It is read all the same.
func (b *Book) nested(name, top, rest string) {
	if kind, ok := KindOf(name); ok && !kind.Table && strings.Contains(rest, "/") {
		b.Problems = append(b.Problems, Problem{Place: Place{name, 1, 1}, Slip: SlipFolder, Found: path.Dir(name),
			Expected: "it lies directly in " + top, Type: path.Join(top, path.Base(name)), Read: true})
	}
}

// straysFound says of each file that went astray where it belongs, or of what it is a copy.
func (b *Book) straysFound() {
	same := map[identity]*Overhaul{}
	for _, o := range b.Overhauls {
		if id, ok := o.identity(); ok {
			same[id] = o
		}
	}
	for i := range b.strays {
		s := &b.strays[i]
		where, known := b.belongs(s)
		original := where
		if o, _ := ReadOverhaul(s.name, s.src); s.kind == "overhaul" {
			if id, ok := o.identity(); ok && same[id] != nil {
				original = same[id].Path
			}
		}
		_, there := slices.BinarySearch(b.Files, original)
		switch {
		case there && original != s.name && b.sources[original] != nil:
			b.copied(s.name, s.src, original, s.passing)
		case known:
			b.Problems = append(b.Problems, Problem{Place: Place{s.name, 1, 1}, Slip: SlipMisplaced, Found: s.kind,
				Expected: where, Type: where})
		default:
			b.Problems = append(b.Problems, Problem{Place: Place{s.name, 1, 1}, Slip: SlipMisplaced, Found: s.kind,
				Expected: where})
		}
	}
}
