// Package invent makes up vessels: whole books with other engines, limits, units, people, languages and ways of writing
// than the example vessel, so that the checks are tried on ships nobody has seen. The valves of an invented ship run,
// wear, scatter and are overhauled by a crew that does its work well: a book made without faults gives a good check
// nothing to say. Faults can be planted in it, each with what must be found where.
//
// It knows the trade and the files of a book, and nothing of the program that reads them: no package of ours is
// imported here. Begin with [Vessel].
package invent

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing/fstest"
)

// Options say what is made up; the zero Options are an honest vessel of a size that the seed chooses.
type Options struct {
	Overhauls int      // about how many overhauls the book holds; 0 for 8 to 120, as the seed has it
	Faults    []string // faults to plant, by the names that Faults lists; nil for an honest vessel
}

// Book is an invented vessel: its files, and the answer key of what was planted.
type Book struct {
	Files     map[string][]byte // by path from the top of the book, with forward slashes
	Overhauls int               // records under overhauls/
	// what was planted, in the order of Options.Faults; a fault that the vessel has no room for is left out
	Key    []Planted
	Traits string // what kind of vessel it is, for the message of a failing test
}

// Planted is one fault and what must be said of it.
type Planted struct {
	Fault  string   // the fault's name
	Check  string   // the check that must fire
	Path   string   // the file that a finding of that check must stand in or be about
	Record string   // stem of the record it concerns; empty where it concerns none
	May    []string // other checks that may rightly speak because of it, of any record
}

// Vessel makes up the vessel of a seed. The same seed and options give the same bytes, on every machine.
func Vessel(seed uint64, o Options) *Book {
	w := newWorld(seed, o)
	w.live()
	key := w.plant()
	b := &Book{Files: w.files(), Overhauls: len(w.jobs), Key: key, Traits: w.traits()}
	for i := range b.Key {
		if b.Key[i].Path == "" {
			b.Key[i].Path = w.pathOf(b.Key[i].Record)
		}
	}
	return b
}

// Concerns says that a finding in a file, about a record, is where the planted fault must be found. Path "*" is
// anywhere.
func (k Planted) Concerns(path, record string) bool {
	return k.Path == "*" || k.Path == path || k.Record != "" && k.Record == record
}

// Explains says that a finding of a check follows from the planted fault: it is the one that must be, or one that may.
func (k Planted) Explains(check, path, record string) bool {
	return check == k.Check && k.Concerns(path, record) || slices.Contains(k.May, check)
}

// FS is the book as a file system rooted at its top.
func (b *Book) FS() fs.FS {
	m := make(fstest.MapFS, len(b.Files))
	for name, data := range b.Files {
		m[name] = &fstest.MapFile{Data: data, Mode: 0o644}
	}
	return m
}

// Write writes the book under a folder; errors are those of package os.
func (b *Book) Write(dir string) error {
	for name, data := range b.Files {
		to := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(to, data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

func (w *world) traits() string {
	var cylinders []string
	for _, e := range w.engines {
		cylinders = append(cylinders, fmt.Sprintf("%s %d cylinders", e.id, len(e.at)))
	}
	return fmt.Sprintf("%s: %s; %s in %s, gauge in %s, lengths in %s, torque in %s; %d spare valves; %s to %s, "+
		"%d overhauls", w.name, strings.Join(cylinders, ", "),
		w.manual.kind, w.manual.pressure.name, w.gear.on(gauge, w.first).scale.name, w.manual.length.name,
		w.manual.torque.name, w.spares, w.first, w.last, len(w.jobs))
}

// stream is a stream of chance of its own, so that what is planted does not change the vessel it is planted in.
func stream(seed, of uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, of)) }
