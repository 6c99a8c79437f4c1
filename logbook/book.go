package logbook

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"reflect"
	"slices"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// Book is one vessel's records as read: nothing in it is judged. It is read-only once [Read] has returned, and safe for
// use by several goroutines then.
type Book struct {
	Vessel        Vessel
	Limits        map[string]*Limits     // by file name without .md
	Overhauls     []*Overhaul            // by date of removal (or of the build), then by stem
	Parts         []*Part                // in the order of their files; Part finds one
	Instruments   map[string]*Instrument // by id
	Hours         map[string][]Reading   // by engine, in the order of the file
	Running       []Run                  // by engine, then in the order of the file
	Bunkers       []Bunker
	Stock         []StockMove
	Crew          []CrewPeriod
	Answers       []Answer    // in the order of the file
	Deferrals     []*Deferral // by id
	Decisions     []*Decision // by id
	Handovers     []*Handover // by date
	Countersigned []*Seen     // by path
	Reviews       []*Seen     // by path
	Files         []string    // every file of the book, sorted; the pictures too
	Problems      []Problem   // everything amiss in the reading, by place
	ahead         int         // days after it within which the next counter reading would fit

	decoding      *decoders          // while the book is read
	before        map[string]decoded // by path, what came of the texts that were read before; nil for a book read once
	texts         map[string]decoded // the same of the texts as they are read now; nil where nobody reads again
	walked        []Problem          // what was amiss before the overhauls were joined
	parts         map[partID]*Part
	byStem        map[string]*Overhaul
	lives         *Lives
	counters      map[string]*counter
	logs          map[string]*LogReading // what pressure logs say, by what is asked of them, and by path
	noPicture     map[string]string      // what makes a picture that a record names none, by path
	formats       map[string]string      // what is in a picture that a record names: jpeg or png
	pictures      map[string]int64       // size of each picture and trace, in bytes, by path
	twins         map[string][]string
	settings      *Settings         // with the defaults filled in
	sources       map[string][]byte // the texts while the book is read, by path
	unread        map[string][]byte // those in which something could not be read
	strays        []astray          // files that look like a kind and lie elsewhere
	filed         []filed           // files known by an identity, until they are given their place
	copyOf        map[string]string // by path of a copy: the file it repeats
	today, latest Day               // the day of the book, and the one after which nothing counts
	ends          map[partID]End    // parts out of use
	folders       map[string]Position
	heads         []HeadExchange // as the ship writes them
}

// keepUnread keeps the texts in which something could not be read.
func (b *Book) keepUnread() {
	b.unread = map[string][]byte{}
	for _, p := range b.Problems {
		if text := b.sources[p.Place.Path]; !p.Read && text != nil {
			b.unread[p.Place.Path] = text
		}
	}
	for _, s := range b.strays {
		b.unread[s.name] = s.src
	}
}

// Unread says that a file in which something could not be read holds a name, as a word of its own.
func (b *Book) Unread(path, name string) bool {
	text := b.unread[path]
	for len(name) > 0 {
		i := bytes.Index(text, []byte(name))
		if i < 0 {
			return false
		}
		before, _ := utf8.DecodeLastRune(text[:i])
		after, _ := utf8.DecodeRune(text[i+len(name):])
		if !ofAWord(before) && !ofAWord(after) {
			return true
		}
		text = text[i+len(name):]
	}
	return false
}

func ofAWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// ErrNoBook says that a folder holds no book.md.
var ErrNoBook = errors.New("no book.md")

// Read reads a book from a folder or a commit, given as a file system rooted at the book. An error means that there is
// no book to read; whatever is amiss inside the files is kept in Problems, and the rest is read all the same.
func Read(fsys fs.FS) (*Book, error) {
	return ReadUntil(context.Background(), fsys, 0)
}

// skipped are folders that hold no records: the register is read with the history, the schemas are for editors,
// the maps for the verb import.
var skipped = map[string]bool{"signers": true, "schema": true, Imports: true}

// pictured are folders whose files are looked at, not read.
var pictured = map[string]bool{"photos": true, "logs": true}

// crowdedFolder is the number of entries above which git slows down with every commit.
const crowdedFolder = 1000

func (b *Book) crowded(fsys fs.FS, name string) error {
	entries, err := fs.ReadDir(fsys, name)
	if err == nil && len(entries) > crowdedFolder && strings.HasPrefix(name, "overhauls") {
		b.note(name, SlipFolderCrowded, fmt.Sprint(len(entries), " entries"),
			fmt.Sprint("at most ", crowdedFolder, " in one folder, or the history grows slow: one folder a cylinder"))
	}
	return nil
}

func (b *Book) note(path, slip, found, expected string) {
	b.Problems = append(b.Problems, Problem{Place: Place{Path: path}, Slip: slip, Found: found, Expected: expected})
}

// file reads one file into its place in the book.
func (b *Book) file(fsys fs.FS, name string, e fs.DirEntry) {
	top, _, nested := strings.Cut(name, "/")
	if !nested && (name == ".gitignore" || name == ".gitattributes" || strings.HasPrefix(name, ".")) {
		return
	}
	if pictured[top] {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
			b.pictures[name] = info.Size()
		}
		if slices.Contains([]string{".md", ".markdown", ".txt"}, strings.ToLower(path.Ext(name))) {
			b.stray(fsys, name, e, false)
		}
		return
	}
	if !e.Type().IsRegular() {
		b.note(name, SlipUnreadable, e.Type().String(), "a plain file")
		return
	}
	ext := path.Ext(name)
	if ext != ".md" && ext != ".csv" {
		if !b.stray(fsys, name, e, false) && nested {
			b.note(name, SlipNotARecord, path.Base(name), "a .md or .csv file here; pictures belong under photos/")
		}
		return
	}
	if info, err := e.Info(); err == nil && info.Size() > LargestOf(name) {
		b.note(name, SlipTooLarge, fmt.Sprint(info.Size(), " bytes"), fmt.Sprint("at most ", LargestOf(name), " bytes"))
		return
	}
	src, err := budget.ReadFile(fsys, name, LargestOf(name))
	if err != nil {
		var path *fs.PathError
		if errors.As(err, &path) { // the finding names the file
			err = path.Err
		}
		b.note(name, SlipUnreadable, err.Error(), "a file that can be read")
		return
	}
	b.place(name, src)
}

// LargestOf is the size in bytes up to which a file of the book is read and shown: a record is written by hand, a table
// grows.
func LargestOf(name string) int64 {
	if path.Ext(name) == ".md" {
		return maxRecord
	}
	return maxTable
}

// place reads one text into its place in the book.
func (b *Book) place(name string, src []byte) {
	top, rest, _ := strings.Cut(name, "/")
	stem := strings.TrimSuffix(path.Base(name), path.Ext(name))
	b.sources[name] = src
	if top != "overhauls" {
		b.nested(name, top, rest)
	}
	if kind, ok := KindOf(name); ok && !kind.Table && kind.Name != "book" && path.Ext(name) == ".md" &&
		b.elsewhere(name, src, kind.Name) {
		b.keep(name, decoded{src: src})
		return
	}
	switch {
	case name == "book.md":
		b.Vessel = *markdown(b, name, src, func(x *Vessel) (*File, *string) { return &x.File, &x.Remarks })
	case name == CrewFile:
		b.Crew = append(b.Crew, table[CrewPeriod](b, name, src)...)
	case name == HeadsFile:
		b.heads = append(b.heads, table[HeadExchange](b, name, src)...)
	case name == "answers.csv":
		b.Answers = append(b.Answers, table[Answer](b, name, src)...)
	case top == "fuel" && rest == "bunkers.csv":
		b.Bunkers = append(b.Bunkers, table[Bunker](b, name, src)...)
	case top == "stores" && rest == "stock.csv":
		b.Stock = append(b.Stock, table[StockMove](b, name, src)...)
	case top == "hours" && rest == stem+".csv":
		b.Hours[stem] = append(b.Hours[stem], again(b, name, src, func() []Reading {
			rows, problems := readTable[Reading](name, src)
			b.Problems = append(append(b.Problems, problems...), endings(rows)...)
			return rows
		})...)
	case top == "running" && rest == stem+".csv":
		from := len(b.Running)
		b.Running = append(b.Running, table[Run](b, name, src)...)
		for i := range b.Running[from:] {
			b.Running[from+i].Engine = stem
		}
	case top == "overhauls" && path.Ext(name) == ".md":
		k, same := b.before[name]
		if !same || !bytes.Equal(k.src, src) {
			k = decoded{src: src}
		}
		b.decoding.add(name, stem, k)
	case path.Ext(name) == ".csv":
		if !b.strayText(name, src, false) {
			b.note(name, SlipNotARecord, path.Base(name),
				"a table of hours/, running/, fuel/bunkers.csv, stores/stock.csv, crew.csv, heads.csv or answers.csv")
		}
	case top == "limits":
		b.Limits[stem] = again(b, name, src, func() *Limits {
			l := &Limits{Name: stem, Text: string(src)}
			l.Remarks = readFile(b, name, src, l, &l.File)
			b.reading(name, func() []Problem { l.lay(); return nil })
			return l
		})
	case top == "parts":
		p := markdown(b, name, src, func(x *Part) (*File, *string) { return &x.File, &x.Remarks })
		b.fileUnder("part", p.Kind.Written+"/"+p.Number(), p.File, func() { b.addPart(p) })
	case top == "instruments":
		i := markdown(b, name, src, func(x *Instrument) (*File, *string) { return &x.File, &x.Remarks })
		id := cmp.Or(i.ID.Written, stem)
		b.fileUnder("instrument", "/"+id, i.File, func() { b.Instruments[id] = i })
		b.filed[len(b.filed)-1].aside = func() { b.Instruments[i.Path] = i }
	case top == "deferrals":
		d := markdown(b, name, src, func(x *Deferral) (*File, *string) { return &x.File, &x.Remarks })
		b.fileUnder("deferral", "/"+cmp.Or(d.ID.Written, stem), d.File, func() { b.Deferrals = append(b.Deferrals, d) })
	case top == "decisions":
		d := markdown(b, name, src, func(x *Decision) (*File, *string) { return &x.File, &x.Remarks })
		b.fileUnder("decision", "/"+cmp.Or(d.ID.Written, stem), d.File, func() { b.Decisions = append(b.Decisions, d) })
	case top == "handovers":
		h := markdown(b, name, src, func(x *Handover) (*File, *string) { return &x.File, &x.Remarks })
		take := func() { b.Handovers = append(b.Handovers, h) }
		if h.Date.Day == 0 || !h.Rank.Stated() {
			take()
			break
		}
		between := "handover of " + h.From.Written + " to " + h.To.Written
		b.fileUnder(between, "/"+h.Date.Day.String()+" "+h.Rank.Written, h.File, take)
	case top == "countersigned":
		b.Countersigned = append(b.Countersigned, markdown(b, name, src, seen))
	case top == "reviews":
		b.Reviews = append(b.Reviews, markdown(b, name, src, seen))
	case b.strayText(name, src, false):
	case !strings.Contains(name, "/"): // a readme beside book.md is nobody's business
	default:
		b.Problems = append(b.Problems, Problem{Place: Place{Path: name}, Slip: SlipNotARecord, Found: name,
			Expected: "one of the folders of a book: overhauls, limits, parts, instruments, hours, running, fuel, stores, " +
				"deferrals, decisions, handovers, countersigned, reviews"})
	}
}

func seen(x *Seen) (*File, *string) { return &x.File, &x.Remarks }

// markdown reads a Markdown file of a kind; parts says where the kind keeps its file and its text.
func markdown[T any](b *Book, name string, src []byte, parts func(*T) (*File, *string)) *T {
	return again(b, name, src, func() *T {
		x := new(T)
		file, remarks := parts(x)
		*remarks = readFile(b, name, src, x, file)
		return x
	})
}

func table[T any](b *Book, name string, src []byte) []T {
	return again(b, name, src, func() (rows []T) {
		b.reading(name, func() (problems []Problem) {
			rows, problems = readTable[T](name, src)
			return problems
		})
		return rows
	})
}

// readFile reads one Markdown file into out and returns the text below its front matter.
func readFile(b *Book, name string, src []byte, out any, file *File) (body string) {
	file.Path, file.Opening = name, Place{Path: name, Line: 1, Column: 1}
	b.reading(name, func() []Problem {
		d, ok := open(name, src)
		if ok {
			file.Opening, file.BodyLine, body = Place{name, d.line, 1}, d.bodyLine, d.body
			d.decode(out)
			d.keysBelow(reflect.TypeOf(out).Elem())
		}
		return d.problems
	})
	return body
}

// keysBelow reports the lines right below the front matter that are keys of the file's kind: the dashes are too high.
func (d *document) keysBelow(kind reflect.Type) {
	line := d.bodyLine
	for text := range strings.Lines(d.body) {
		key, value, ok := strings.Cut(text, ":")
		known := func(f Field) bool { return f.Key == key }
		if !ok || strings.TrimSpace(value) == "" || !slices.ContainsFunc(fieldsOf(kind), known) {
			return
		}
		d.problem(line, 1, SlipKeyBelow, key, "--- below this line: a key below the front matter is not read", "", false)
		line++
	}
}

// reading takes in what is amiss in a file. A file at which this program fails is a problem itself, and the rest of the
// book is read.
func (b *Book) reading(name string, read func() []Problem) {
	err := fault.Catch("read "+name, func() error {
		b.Problems = append(b.Problems, read()...)
		return nil
	})
	if err != nil {
		b.Problems = append(b.Problems, Problem{Place: Place{name, 1, 1}, Slip: SlipFault, Found: err.Error()})
	}
}

// fileUnder keeps a file that is known by an identity, until all of that identity are read.
func (b *Book) fileUnder(kind, id string, f File, take func()) {
	b.filed = append(b.filed, filed{kind: kind, id: id, path: f.Path, opening: f.Opening, take: take})
}

// partID tells parts apart: a holder and a nozzle may bear one number.
type partID struct{ kind, serial string }

func (b *Book) addPart(p *Part) {
	b.parts[partID{p.Kind.Written, p.Number()}] = p
	b.Parts = append(b.Parts, p)
}

// Part is the file of the part of a kind ("holder", "nozzle", "spring") that bears a serial; nil where the book has
// none. A file that does not state its kind serves for any.
func (b *Book) Part(kind, serial string) *Part {
	if p := b.parts[partID{kind, serial}]; p != nil {
		return p
	}
	return b.parts[partID{"", serial}]
}

// ReadOverhaul reads the text of one overhaul; path is only used for places.
func ReadOverhaul(name string, src []byte) (*Overhaul, []Problem) {
	o := &Overhaul{Stem: strings.TrimSuffix(path.Base(name), ".md")}
	b := &Book{}
	o.Remarks = readFile(b, name, src, o, &o.File)
	return o, b.Problems
}

// ReadInstrument reads the text of one instrument; path is only used for places.
func ReadInstrument(name string, src []byte) (*Instrument, []Problem) {
	i := &Instrument{}
	b := &Book{}
	i.Remarks = readFile(b, name, src, i, &i.File)
	return i, b.Problems
}

// join files the decoded overhauls in the order of the walk.
func (b *Book) join(all []*decoding) {
	b.layFolders()
	copies := b.copies(all)
	for _, d := range all {
		o := d.record
		b.keep(d.name, decoded{d.src, o, d.problems})
		if copies[d] {
			continue
		}
		b.Problems = append(b.Problems, d.problems...)
		if first, twice := b.byStem[o.Stem]; twice {
			b.Problems = append(b.Problems, Problem{Place: o.Opening, Slip: SlipSameStem, Found: o.Stem,
				Expected: "each record name once in the book", Related: first.Opening})
		} else {
			b.byStem[o.Stem] = o
		}
		b.Overhauls = append(b.Overhauls, o)
	}
}

// settle sorts what was read and finds what only the whole shows.
func (b *Book) settle() {
	b.shareCylinders()
	b.Vessel.Heads = slices.Concat(b.Vessel.Heads, b.heads)
	b.fileAway()
	b.sortOverhauls()
	sort.SliceStable(b.Deferrals, func(i, j int) bool { return b.Deferrals[i].Path < b.Deferrals[j].Path })
	sort.SliceStable(b.Handovers, func(i, j int) bool { return b.Handovers[i].Date.Day < b.Handovers[j].Date.Day })
	slices.Sort(b.Files)
	b.paths()
	b.spareCopies()
	b.straysFound()
	b.engineFiles()
	b.idents()
	settings := b.Vessel.Settings.WithDefaults()
	b.settings = &settings
	b.counters = map[string]*counter{}
	b.findToday()
	b.revisionOrder()
	largest := int64(settings.PhotoSize.Value)
	for _, o := range b.Overhauls {
		b.stem(o)
		b.folder(o)
		b.attachments(o.Attached(), largest)
		for i := range o.Logs {
			b.attachments([]Text{o.Logs[i].Log}, budget.MaxFile)
		}
	}
	for _, p := range b.Parts {
		b.attachments(p.Photos.Each, largest)
	}
	b.keepUnread()
	b.sources, b.filed = nil, nil
	for _, p := range b.Parts {
		b.partName(p)
	}
	b.ResolveParted(b.Problems)
	b.newerFormat()
	SortProblems(b.Problems)
	b.findEnds()
	b.lives = traceLives(b)
}

// sortOverhauls orders the overhauls by day, then by stem, then as they were met. The day is worked out once for each.
func (b *Book) sortOverhauls() {
	type dated struct {
		day Day
		met int
		*Overhaul
	}
	all := make([]dated, len(b.Overhauls))
	for i, o := range b.Overhauls {
		all[i] = dated{o.Day(), i, o}
	}
	slices.SortFunc(all, func(x, y dated) int {
		return cmp.Or(cmp.Compare(x.day, y.day), cmp.Compare(x.Stem, y.Stem), cmp.Compare(x.met, y.met))
	})
	for i, x := range all {
		b.Overhauls[i] = x.Overhaul
	}
}

// SortProblems orders problems by path, line, column and slip.
func SortProblems(ps []Problem) {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(a.Place.Compare(b.Place), cmp.Compare(a.Slip, b.Slip))
	})
}

// engineFiles brings the names of the hours and running files, which are lower case, to the engines' own spelling.
func (b *Book) engineFiles() {
	for _, e := range b.Vessel.Engines {
		name := FileName(e.ID.Written)
		if rows, ok := b.Hours[name]; ok && name != e.ID.Written {
			b.Hours[e.ID.Written] = rows
			delete(b.Hours, name)
		}
		for i := range b.Running {
			if b.Running[i].Engine == name {
				b.Running[i].Engine = e.ID.Written
			}
		}
	}
}

// FileName is an identity as it stands in file names: lower case, letters without their accents, every other character
// than letters, digits, dot, dash and underscore becomes a dash.
func FileName(id string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '.' || r == '-' || r == '_' {
			return r
		}
		return '-'
	}, norm.NFD.String(strings.ToLower(id)))
}

// stem compares the record's name with what it says: <date of removal>-<holder>. A day that cannot be read says nothing
// against the name, nor does a later day of the record.
func (b *Book) stem(o *Overhaul) {
	begun := []Date{o.Removed.Date, o.Received.Date, o.AsFound.Date, o.AsLeft.Date, o.Stored.Date, o.Fitted.Date,
		o.Landed.Date}
	first := slices.IndexFunc(begun, func(d Date) bool { return d.Present() })
	if first < 0 || begun[first].Day == 0 || !o.Holder.Stated() {
		return
	}
	want := o.Day().String() + "-" + FileName(o.Holder.Written)
	if o.Stem == want {
		return
	}
	if first := b.byStem[want]; first != nil && first.Holder.Written == o.Holder.Written && first.Day() == o.Day() {
		want += "-2" // a second overhaul of that day
	}
	if o.Stem != want {
		day := "the date of removal"
		if o.Received.Stated() {
			day = "the day it was received"
		}
		b.Problems = append(b.Problems, Problem{Place: o.Opening, Slip: SlipStem, Found: o.Stem,
			Expected: want + ", " + day + " and the holder", Type: want + ".md", Read: true})
	}
}

// partName compares the name of a part's file with its serial, to which other words may be added.
func (b *Book) partName(p *Part) {
	stem, want := strings.TrimSuffix(path.Base(p.Path), ".md"), FileName(p.Serial.Written)
	if holdsWhole(stem, want) {
		return
	}
	b.Problems = append(b.Problems, Problem{Place: p.Serial.Place, Slip: SlipStem, Found: stem,
		Expected: want + ", the serial in it", Type: want + ".md", Read: true})
}

// holdsWhole says that a name holds an identity, and not only a part of a longer one: 3806 is not in 03806.
func holdsWhole(name, id string) bool {
	for rest, before := name, ""; ; {
		i := strings.Index(rest, id)
		if i < 0 || id == "" {
			return id == ""
		}
		before += rest[:i]
		if rest = rest[i+len(id):]; !goesOn(before, id) && !goesOn(id, rest) {
			return true
		}
		before += id
	}
}

// goesOn says that the digits, or the letters, at the end of one text go on in the next.
func goesOn(one, next string) bool {
	last, _ := utf8.DecodeLastRuneInString(one)
	first, _ := utf8.DecodeRuneInString(next)
	return unicode.IsDigit(last) && unicode.IsDigit(first) || unicode.IsLetter(last) && unicode.IsLetter(first)
}

// Attached are the pictures that a record names, those of its spray papers among them, and the certificate that a valve
// came with.
func (o *Overhaul) Attached() []Text {
	all := o.Photos.Each
	add := func(t Text) {
		if t.Stated() && !slices.ContainsFunc(all, func(a Text) bool { return a.Written == t.Written }) {
			all = append(slices.Clip(all), t)
		}
	}
	add(o.Received.Scan)
	for i := range o.Papers {
		add(o.Papers[i].Photo)
	}
	return all
}

// attachments looks for the files that a record or the file of a part names, and at their size.
func (b *Book) attachments(files []Text, most int64) {
	for _, p := range files {
		if !p.Stated() {
			continue
		}
		if _, found := slices.BinarySearch(b.Files, p.Written); !found {
			b.Problems = append(b.Problems, Problem{Place: p.Place, Slip: SlipAttachment, Key: p.Key, Found: p.Written,
				Expected: "a file of the book, named from its top: photos/… or logs/…", Read: true})
		} else if size := b.pictures[p.Written]; size > most {
			b.Problems = append(b.Problems, Problem{Place: p.Place, Slip: SlipAttachmentLarge, Key: p.Key, Found: p.Written,
				Expected: fmt.Sprintf("at most %d bytes, it has %d", most, size), Read: true})
		} else if why := b.noPicture[p.Written]; why != "" {
			b.Problems = append(b.Problems, Problem{Place: p.Place, Slip: SlipNoPicture, Key: p.Key, Found: p.Written,
				Expected: why, Read: true})
		} else if fit := b.unfitName(p.Written); fit != "" && strings.HasPrefix(p.Written, "photos/") {
			b.Problems = append(b.Problems, Problem{Place: p.Place, Slip: SlipPictureName, Key: p.Key, Found: p.Written,
				Expected: fit, Read: true})
		}
	}
}

// StockByDay lists the movements of the stores by day, those of one day as they stand in the file. They are not to be
// changed.
func (b *Book) StockByDay() []StockMove {
	byDay := func(x, y StockMove) int { return int(x.Date.Day - y.Date.Day) }
	if slices.IsSortedFunc(b.Stock, byDay) {
		return b.Stock
	}
	moves := slices.Clone(b.Stock)
	slices.SortStableFunc(moves, byDay)
	return moves
}

// Overhaul finds a record by its stem; nil where the book has none.
func (b *Book) Overhaul(stem string) *Overhaul { return b.byStem[stem] }

// Engine finds an engine by its id; nil where the vessel has none.
func (b *Book) Engine(id string) *Engine {
	for i := range b.Vessel.Engines {
		if b.Vessel.Engines[i].ID.Written == id {
			return &b.Vessel.Engines[i]
		}
	}
	return nil
}

// Aboard lists the service periods of a person, in the order of the crew list.
func (b *Book) Aboard(id string) []CrewPeriod {
	var periods []CrewPeriod
	for i := range b.Crew {
		if c := &b.Crew[i]; c.ID.Written == id {
			periods = append(periods, *c)
		}
	}
	return periods
}

// Day is the day the record begins with: the removal, the day it was received, or for a build the as-left test, the
// rack or the fitting.
func (o *Overhaul) Day() Day {
	return cmp.Or(o.Removed.Date.Day, o.Received.Date.Day, o.AsFound.Date.Day, o.AsLeft.Date.Day, o.Stored.Date.Day,
		o.Fitted.Date.Day, o.Landed.Date.Day)
}
