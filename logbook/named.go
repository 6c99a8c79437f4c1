package logbook

import (
	"cmp"
	"path"
	"regexp"
	"slices"
	"sort"
	"strings"
)

// ThingKind is what a name in a book stands for, as it is said: "holder".
type ThingKind string

// The kinds of things that a person can name.
const (
	ThingPosition   ThingKind = "position"
	ThingEngine     ThingKind = "engine"
	ThingHolder     ThingKind = "holder"
	ThingNozzle     ThingKind = "nozzle"
	ThingRecord     ThingKind = "record"
	ThingRound      ThingKind = "round"
	ThingInstrument ThingKind = "instrument"
	ThingDeferral   ThingKind = "deferral"
	ThingDecision   ThingKind = "decision"
	ThingPerson     ThingKind = "person"
	ThingBunker     ThingKind = "bunker"
	ThingLimits     ThingKind = "limits file"
	ThingFile       ThingKind = "file"
	ThingFolder     ThingKind = "folder"
)

// ThingKinds are all of them, in the order in which they are told.
var ThingKinds = []ThingKind{ThingPosition, ThingEngine, ThingHolder, ThingNozzle, ThingRecord, ThingRound,
	ThingInstrument, ThingDeferral, ThingDecision, ThingPerson, ThingBunker, ThingLimits, ThingFile, ThingFolder}

// A Thing is one thing of a book that a person can name.
type Thing struct {
	Kind     ThingKind
	Name     string   // as the book writes it: "ME1-3", "H-109", "ME1 2024-06-11", "crew.csv"
	Path     string   // the file or folder that is about it alone; empty where there is none
	Row      Place    // its first line, where it is one of a table
	Position Position // of a position; of an engine the Engine alone
	also     []string // what else people call it
}

// String says the kind and the name, which is a way to type it: "holder H-109".
func (t Thing) String() string { return string(t.Kind) + " " + t.Name }

// Things lists what the book has of some kinds, kind by kind in the order given; of all kinds where none is given.
func (b *Book) Things(kinds ...ThingKind) []Thing {
	if len(kinds) == 0 {
		kinds = ThingKinds
	}
	var all []Thing
	for _, k := range kinds {
		all = append(all, b.thingsOf(k)...)
	}
	if slices.Contains(kinds, ThingRecord) { // a record is not listed again as a file
		all = slices.DeleteFunc(all, func(t Thing) bool {
			return t.Kind == ThingFile && b.recordAt(t.Path) != nil
		})
	}
	return all
}

func (b *Book) thingsOf(k ThingKind) (all []Thing) {
	add := func(t Thing, also ...string) {
		t.Kind, t.also = k, append(also, t.Path)
		if t.Name != "" {
			all = append(all, t)
		}
	}
	switch k {
	case ThingPosition:
		for _, p := range b.Positions() {
			b.addPosition(p, add)
		}
	case ThingEngine:
		for _, e := range b.Vessel.Engines {
			add(Thing{Name: e.ID.Written, Position: Position{Engine: e.ID.Written}}, e.Name.Written)
		}
	case ThingHolder:
		b.addParts("holder", b.lives.Holders(), add)
	case ThingNozzle:
		b.addParts("nozzle", b.lives.Nozzles(), add)
	case ThingRecord:
		for _, o := range slices.Backward(b.Overhauls) {
			add(Thing{Name: o.Stem, Path: o.Path}, o.Stem+".md")
		}
	case ThingRound:
		for _, r := range b.Rounds() {
			add(Thing{Name: r.Name})
		}
	case ThingInstrument:
		for id, i := range b.Instruments {
			add(Thing{Name: id, Path: i.Path})
		}
		sort.Slice(all, func(i, j int) bool { return all[i].Name < all[j].Name })
	case ThingDeferral:
		for _, d := range b.Deferrals {
			add(Thing{Name: cmp.Or(d.ID.Written, stemOf(d.Path)), Path: d.Path})
		}
	case ThingDecision:
		for _, d := range b.Decisions {
			add(Thing{Name: cmp.Or(d.ID.Written, stemOf(d.Path)), Path: d.Path})
		}
	case ThingPerson:
		return b.persons()
	case ThingBunker:
		for _, x := range b.Bunkers {
			add(Thing{Name: x.Stem.Written, Row: x.Place})
		}
	case ThingLimits:
		for name, l := range b.Limits {
			add(Thing{Name: name, Path: l.Path}, l.Type.Written)
		}
		sort.Slice(all, func(i, j int) bool { return all[i].Name < all[j].Name })
	case ThingFile:
		for _, f := range b.Files {
			add(Thing{Name: f, Path: f})
		}
	case ThingFolder:
		for _, f := range b.folderNames() {
			add(Thing{Name: f, Path: f})
		}
	}
	return all
}

func stemOf(name string) string { return strings.TrimSuffix(path.Base(name), path.Ext(name)) }

// addPosition adds a position with the ways in which it is said: by the engine's id or its name, with and without a
// word for the cylinder.
func (b *Book) addPosition(p Position, add func(Thing, ...string)) {
	engines := []string{p.Engine}
	if e := b.Engine(p.Engine); e != nil && e.Name.Written != "" {
		engines = append(engines, e.Name.Written)
	}
	var also []string
	for _, e := range engines {
		for _, word := range []string{"", "c", "cyl", "cylinder"} {
			also = append(also, e+" "+word+" "+p.Cylinder)
		}
	}
	add(Thing{Name: p.String(), Position: p}, append(also, FolderOf(p))...)
}

// addParts adds the parts of a kind: those that were used, and those that only have their file yet.
func (b *Book) addParts(kind string, used []string, add func(Thing, ...string)) {
	for _, p := range b.Parts {
		if p.Kind.Is(kind) && !slices.Contains(used, p.Number()) {
			used = append(used, p.Number())
		}
	}
	for _, serial := range used {
		t := Thing{Name: serial}
		if p := b.Part(kind, serial); p != nil {
			t.Path = p.Path
		}
		add(t)
	}
}

// persons are those of the crew list, and those who did the work of a record.
func (b *Book) persons() (all []Thing) {
	at := map[string]int{}
	for _, c := range b.Crew {
		id := c.ID.Written
		if _, known := at[id]; !known && id != "" {
			at[id] = len(all)
			all = append(all, Thing{Kind: ThingPerson, Name: id, Row: c.Place, also: []string{c.Name.Written}})
		}
	}
	for _, o := range b.Overhauls {
		if _, known := at[o.By.Written]; !known && o.By.Written != "" {
			at[o.By.Written] = len(all)
			all = append(all, Thing{Kind: ThingPerson, Name: o.By.Written})
		}
	}
	return all
}

// folderNames are the folders of the book's files, sorted; the book's own is ".".
func (b *Book) folderNames() []string {
	seen := map[string]bool{".": true}
	for _, f := range b.Files {
		for d := path.Dir(f); d != "." && !seen[d]; d = path.Dir(d) {
			seen[d] = true
		}
	}
	out := make([]string, 0, len(seen))
	for d := range seen {
		out = append(out, d)
	}
	sort.Strings(out)
	return out
}

func (b *Book) recordAt(name string) *Overhaul {
	if o := b.Overhaul(stemOf(name)); o != nil && o.Path == name {
		return o
	}
	return nil
}

// Find is what a name stands for among some things; several, where they bear one name. A name as the book spells it
// comes before one in other case, both before what else a thing is called, and that before a name with other
// separators: 1-12 is not the holder 11-2, nor 112. A word for the kind may stand before it: "holder 112".
func Find(what string, among []Thing) []Thing {
	what = strings.TrimRight(strings.Join(strings.Fields(strings.ReplaceAll(what, `\`, "/")), " "), "/")
	same := func(a, b string) bool { return bareName(a) == bareName(b) }
	for _, fits := range []func(t Thing) bool{
		func(t Thing) bool { return t.Name == what },
		func(t Thing) bool { return strings.EqualFold(t.Name, what) || strings.EqualFold(t.String(), what) },
		func(t Thing) bool {
			return slices.ContainsFunc(t.also, func(a string) bool { return a != "" && strings.EqualFold(a, what) })
		},
		func(t Thing) bool { return same(t.Name, what) || same(t.String(), what) },
		func(t Thing) bool {
			return slices.ContainsFunc(t.also, func(a string) bool { return a != "" && same(a, what) })
		},
	} {
		var found []Thing
		for _, t := range among {
			if fits(t) && (bareName(what) != "" || t.Name == what) {
				found = append(found, t)
			}
		}
		if found != nil {
			return found
		}
	}
	return nil
}

// bareName is a name without case and separators.
func bareName(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -_/.", r) {
			return -1
		}
		return r
	}, strings.ToLower(s))
}

// NearestThings are the things whose names come nearest to what was typed, at most three that are equally near: those
// that differ in noughts alone, else by one or two slips of the finger, else names that hold what was typed.
func NearestThings(what string, among []Thing) []Thing {
	const most = 3
	type near struct {
		Thing
		off int
	}
	var all []near
	typed := bareName(what)
	for _, t := range among {
		name := bareName(t.Name)
		off := editDistance(typed, name, most)
		switch {
		case noughts.ReplaceAllString(typed, "$1") == noughts.ReplaceAllString(name, "$1"):
			off = 0
		case off < most && off < len(name):
		case len(typed) > 1 && strings.Contains(name, typed):
			off = most
		default:
			continue
		}
		all = append(all, near{t, off})
	}
	slices.SortStableFunc(all, func(a, b near) int { return cmp.Compare(a.off, b.off) })
	var out []Thing
	for _, n := range all {
		if n.off == all[0].off && len(out) < most {
			out = append(out, n.Thing)
		}
	}
	return out
}

// noughts are those in front of a number, which nobody says: PG-01 is said PG 1.
var noughts = regexp.MustCompile(`(^|[^0-9])0+`)

// RecordsOf are the overhauls that a thing means, oldest first: of a position those of valves removed from it, of a
// folder those below it.
func (b *Book) RecordsOf(t Thing) (all []*Overhaul) {
	means := func(o *Overhaul) bool { return false }
	switch t.Kind {
	case ThingPosition, ThingEngine:
		means = func(o *Overhaul) bool {
			return o.Removed.Engine.Written == t.Position.Engine &&
				(t.Kind == ThingEngine || o.Removed.Cylinder.Written == t.Position.Cylinder)
		}
	case ThingHolder:
		means = func(o *Overhaul) bool { return o.Holder.Written == t.Name }
	case ThingNozzle:
		means = func(o *Overhaul) bool { return o.Nozzle.Found.Written == t.Name || o.Nozzle.Left.Written == t.Name }
	case ThingPerson:
		means = func(o *Overhaul) bool { return o.By.Written == t.Name }
	case ThingRecord, ThingFile:
		means = func(o *Overhaul) bool { return o.Path == t.Path }
	case ThingFolder:
		means = func(o *Overhaul) bool { return within(t.Path, o.Path) }
	case ThingRound:
		for _, r := range b.Rounds() {
			if r.Name == t.Name {
				return r.Overhauls
			}
		}
	}
	for _, o := range b.Overhauls {
		if means(o) {
			all = append(all, o)
		}
	}
	return all
}

// Holds says that a file is about a thing: it is its own file, lies below its folder, or is a record or table of it.
func (b *Book) Holds(t Thing) func(name string) bool {
	of := map[string]bool{t.Path: t.Path != ""}
	for _, o := range b.RecordsOf(t) {
		of[o.Path] = true
	}
	return func(name string) bool {
		switch {
		case of[name]:
			return true
		case t.Kind == ThingFolder:
			return within(t.Path, name)
		case t.Kind == ThingPosition: // a record that cannot be read lies there too
			return within(FolderOf(t.Position), name)
		case t.Kind == ThingEngine:
			file := FileName(t.Name)
			return name == "hours/"+file+".csv" || name == "running/"+file+".csv" || within("overhauls/"+file, name)
		}
		return false
	}
}

func within(folder, name string) bool { return folder == "." || strings.HasPrefix(name, folder+"/") }
