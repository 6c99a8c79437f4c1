package lsp

import (
	"cmp"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// found is one thing of a book that an editor was asked for by a part of its name.
type found struct {
	Name     string   `json:"name"`
	Kind     int      `json:"kind"`
	Detail   string   `json:"containerName"`
	Location location `json:"location"`
}

// Numbers of the protocol's kinds of symbols: what is a file by itself, and what is an object.
const (
	symbolFile   = 1
	symbolObject = 19
)

// mostFound is how many things are told at once: from memory.
const mostFound = 200

// symbols are the things of a book whose names hold what was typed; cases and dashes do not count. A valve or nozzle is
// at its own file, or at the newest record that names it.
func (s *shelf) symbols(typed string) (all []found) {
	s.mu.Lock()
	book := s.book
	s.mu.Unlock()
	if book == nil {
		return nil
	}
	newest := map[string]*logbook.Overhaul{}
	for _, o := range book.Overhauls {
		for _, serial := range []string{o.Holder.Written, o.Nozzle.Found.Written, o.Nozzle.Left.Written} {
			newest[serial] = o
		}
	}
	for _, t := range book.Things(logbook.ThingHolder, logbook.ThingNozzle, logbook.ThingRecord, logbook.ThingInstrument,
		logbook.ThingDeferral, logbook.ThingDecision, logbook.ThingPerson, logbook.ThingBunker, logbook.ThingLimits) {
		if !strings.Contains(plainName(t.Name), plainName(typed)) {
			continue
		}
		place, kind := t.Row, symbolObject
		if place.Path == "" {
			place = logbook.Place{Path: t.Path, Line: 1, Column: 1}
		}
		if o := newest[t.Name]; place.Path == "" && o != nil {
			place = o.Opening
		}
		if t.Kind == logbook.ThingRecord {
			kind = symbolFile
		}
		if place.Path != "" {
			all = append(all, found{t.Name, kind, string(t.Kind), s.location(place)})
		}
		if len(all) == mostFound {
			break
		}
	}
	return all
}

func plainName(name string) string { return strings.ToLower(strings.ReplaceAll(name, "-", "")) }

// symbols are those of all books that are open.
func (a *assistant) symbols(typed string) []found {
	all := []found{}
	for _, s := range a.shelves {
		all = append(all, s.symbols(typed)...)
	}
	slices.SortStableFunc(all, func(x, y found) int { return cmp.Compare(x.Location.URI, y.Location.URI) })
	return all
}

// link leads from a name in a text to the file that bears it.
type link struct {
	Range  span   `json:"range"`
	Target string `json:"target"`
}

// links are the files of the book that a record names: photos, logs, scans.
func (p *page) links() []link {
	all := []link{}
	if p.book == nil || p.kind.Table {
		return all
	}
	for _, v := range logbook.Values([]byte(p.text)) {
		if _, there := slices.BinarySearch(p.book.Files, v.Written); !there || v.Path == "remarks" {
			continue
		}
		line := p.line(v.Line - 1)
		before, _ := tree.Passed([]byte(line), v.Column-1)
		at := strings.Index(line[before:], v.Written)
		if at < 0 {
			continue // written over several lines, or with escapes
		}
		start := units(line[:before+at])
		all = append(all, link{span{position{v.Line - 1, start}, position{v.Line - 1, start + units(v.Written)}},
			p.s.uri(v.Written)})
	}
	return all
}
