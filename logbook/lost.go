package logbook

import (
	"bytes"
	"errors"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"needlebook/logbook/budget"
)

// What a file of the book may have become since the last commit, as [SlipLost] finds it.
const fileMissing, fileEmpty, fileCut = "missing", "empty", "cut"

// Lost finds what the folder has lost of the last commit: a file that is missing and is under no other name, one that
// is empty, a record cut among its keys, a table of which the last tenth is gone or that holds another one's text. It
// gives the book with those files as they were committed, each with a [SlipLost], and their names; where nothing is
// lost, the book as it was read and no names. Whoever takes a file out of the book commits that.
func (r *Reader) Lost(changes []WorkChange, committed fs.FS) (*Book, map[string]bool, error) {
	lost, texts, names := map[string]string{}, map[string][]byte{}, map[string]bool{}
	for _, w := range changes {
		if w.What == "not committed" || !holdsText(w.Path) && !strings.HasPrefix(w.Path, "signers/") {
			continue
		}
		now, err := budget.ReadFile(r.fsys, w.Path, LargestOf(w.Path))
		if errors.Is(err, budget.ErrStopped) {
			return nil, nil, err
		} else if w.What == "changed" && (err != nil || path.Ext(w.Path) == ".md" && closed(now)) {
			continue
		}
		was, err := budget.ReadFile(committed, w.Path, LargestOf(w.Path))
		if errors.Is(err, budget.ErrStopped) {
			return nil, nil, err
		} else if err != nil {
			continue // what the commit does not give back cannot be asked for
		}
		what := became(w, now, was)
		if over := r.overwrittenBy(w.Path, now); over != "" && what == "" && !bytes.Equal(now, was) {
			what = "the text of " + over
		}
		if what != "" && !r.elsewhere(changes, w.Path, was) {
			lost[w.Path], texts[w.Path], names[w.Path] = what, was, true
		}
	}
	if len(lost) == 0 {
		return r.last, nil, nil
	}
	b, err := r.With(texts)
	if err != nil {
		return nil, nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(lost)) {
		b.Problems = append(b.Problems, Problem{Place: Place{Path: name, Line: 1, Column: 1}, Slip: SlipLost, Read: true,
			Found: lost[name], Expected: Counted(bytes.Count(texts[name], []byte("\n")), "line")})
	}
	return b, names, nil
}

// overwrittenBy is the other table of the folder whose whole text a table holds; empty for none.
func (r *Reader) overwrittenBy(name string, now []byte) string {
	for _, other := range r.last.Files {
		if path.Ext(name) == ".csv" && other != name && path.Dir(other) == path.Dir(name) &&
			bytes.Equal(r.kept[other].src, now) && len(now) > 0 {
			return other
		}
	}
	return ""
}

// closed says that the lines of a record's keys end with dashes.
func closed(src []byte) bool { return bytes.Count(src, []byte("\n---")) > 0 }

// became says what was lost of a text; empty where nothing was.
func became(w WorkChange, now, was []byte) string {
	is := bytes.TrimSpace(now)
	switch {
	case len(bytes.TrimSpace(was)) == 0:
	case w.What == "missing":
		return fileMissing
	case len(is) == 0:
		return fileEmpty
	case bytes.HasPrefix(was, is) && (path.Ext(w.Path) == ".md" && closed(was) || 10*len(is) < 9*len(was)):
		return fileCut
	}
	return ""
}

// elsewhere says that a file which is missing has another name now: most of its lines are in one that is not committed.
// A limits file and a table are known by their name alone, and must have that.
func (r *Reader) elsewhere(changes []WorkChange, name string, was []byte) bool {
	if kind, ok := KindOf(name); !ok || kind.Table || kind.Name == "limits" {
		return false
	}
	lines := map[string]bool{}
	for line := range strings.Lines(string(was)) {
		lines[strings.TrimSpace(line)] = true
	}
	for _, w := range changes {
		same := map[string]bool{}
		for line := range strings.Lines(string(r.kept[w.Path].src)) {
			if line = strings.TrimSpace(line); w.What == "not committed" && lines[line] {
				same[line] = true
			}
		}
		if 2*len(same) > len(lines) {
			return true
		}
	}
	return false
}
