package main

import (
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"needlebook/logbook"
)

// things finds what is meant by one name, among things of the kinds that a verb takes, and those it adds itself:
// several, where they bear one name.
func (p *program) things(o *opened, what string, own []logbook.Thing, kinds ...logbook.ThingKind) ([]logbook.Thing,
	error) {
	among := append(o.book.Things(kinds...), own...)
	for _, name := range o.inBook(what) {
		if found := logbook.Find(name, among); found != nil {
			return found, nil
		}
	}
	verb := strings.TrimPrefix(p.verb, "needlebook ")
	if other := logbook.Find(what, o.book.Things()); other != nil {
		return nil, use("%s is %s: %s takes %s", what, article(string(other[0].Kind)), verb, kindList(kinds))
	}
	if near := logbook.NearestThings(what, among); near != nil {
		verb := "is"
		if len(near) > 1 {
			verb = "are"
		}
		return nil, use("nothing in the book is called %q: the nearest %s %s", what, verb, namesOf(near, "and"))
	}
	if examples := oneOfEach(among); examples != nil {
		return nil, use("nothing in the book is called %q: try %s", what, namesOf(examples, "or"))
	}
	return nil, use("nothing in the book is called %q: it has no %s yet", what, kindList(kinds))
}

// one is the only thing that is meant by a name; where two fit, both are told.
func (p *program) one(o *opened, what string, kinds ...logbook.ThingKind) (logbook.Thing, error) {
	found, err := p.things(o, what, nil, kinds...)
	if err != nil {
		return logbook.Thing{}, err
	}
	if !alike(found) {
		return logbook.Thing{}, fitsTwo(what, found)
	}
	return found[0], nil
}

// alike says that all bear one name of one kind: a port where fuel was taken twice.
func alike(all []logbook.Thing) bool {
	return !slices.ContainsFunc(all, func(t logbook.Thing) bool { return t.String() != all[0].String() })
}

// each finds the things of several arguments; where the arguments together are one name, as ME1 2024-06-11, that one.
func (p *program) each(o *opened, args []string, own []logbook.Thing, kinds ...logbook.ThingKind) ([]logbook.Thing,
	error) {
	if whole := strings.Join(args, " "); len(args) > 1 {
		if found := logbook.Find(whole, append(o.book.Things(kinds...), own...)); found != nil && alike(found) {
			return found, nil
		}
	}
	var all []logbook.Thing
	for _, arg := range args {
		found, err := p.things(o, arg, own, kinds...)
		if err != nil {
			return nil, err
		}
		if !alike(found) {
			return nil, fitsTwo(arg, found)
		}
		all = append(all, found...)
	}
	return all, nil
}

func fitsTwo(what string, found []logbook.Thing) error {
	var ways []string
	for _, t := range found {
		ways = append(ways, `"`+t.String()+`"`)
	}
	return use("%q fits more than one: type %s", what, listed(ways, "or"))
}

// inBook are the names that an argument may be in the book: what it leads to from the current folder, and itself.
func (o *opened) inBook(arg string) []string {
	names := []string{}
	if abs, err := filepath.Abs(arg); err == nil && o.dir != "" {
		if rel, err := filepath.Rel(o.dir, abs); err == nil && filepath.IsLocal(rel) {
			if _, err := fs.Stat(o.files, filepath.ToSlash(rel)); err == nil {
				names = append(names, filepath.ToSlash(rel))
			}
		}
	}
	return append(names, strings.TrimPrefix(filepath.ToSlash(arg), "./"))
}

// oneOfEach is one thing of each kind that a person may type at once, the last of each.
func oneOfEach(among []logbook.Thing) (out []logbook.Thing) {
	for _, t := range slices.Backward(among) {
		if t.Kind != logbook.ThingFile && t.Kind != logbook.ThingFolder &&
			!slices.ContainsFunc(out, func(x logbook.Thing) bool { return x.Kind == t.Kind }) {
			out = append(out, t)
		}
	}
	slices.Reverse(out)
	return out[:min(len(out), 5)]
}

func namesOf(all []logbook.Thing, last string) string {
	var names []string
	for _, t := range all {
		names = append(names, t.Name)
	}
	return listed(names, last)
}

// kindList says the kinds that a verb takes: "a position, an engine or a holder".
func kindList(kinds []logbook.ThingKind) string {
	var words []string
	for _, k := range kinds {
		words = append(words, article(string(k)))
	}
	return listed(words, "or")
}

func article(noun string) string {
	if strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// listed joins words with commas, and a word before the last.
func listed(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}
