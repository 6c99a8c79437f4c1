package logbook

import (
	"bytes"
	"fmt"
	"path"
	"slices"
	"strings"
)

// identity is what makes two files the same overhaul, whatever they are called: programs and people name copies in
// every language.
type identity struct {
	day                      Day
	holder, engine, cylinder string
}

func (o *Overhaul) identity() (id identity, ok bool) {
	id = identity{o.Day(), o.Holder.Written, o.Removed.Engine.Written, o.Removed.Cylinder.Written}
	return id, id.day != 0 && o.Holder.Stated()
}

// copies finds the overhauls that are another one's copy: the same holder out of the same cylinder on the same day, and
// most values alike. A second overhaul of that day has its own values. The original is the one that lies and is called
// as it says itself.
func (b *Book) copies(all []*decoding) map[*decoding]bool {
	first, copies := map[identity]*decoding{}, map[*decoding]bool{}
	for _, d := range all {
		id, ok := d.record.identity()
		if !ok {
			continue
		}
		o := first[id]
		if o == nil {
			first[id] = d
			continue
		}
		if b.rightness(d) > b.rightness(o) {
			first[id], o, d = d, d, o
		}
		if b.likeCopy(d, o) {
			copies[d] = true
			b.copied(d.name, b.sources[d.name], o.name, false)
		}
	}
	return copies
}

// rightness is how well path and name of a record fit what it says.
func (b *Book) rightness(d *decoding) int {
	n, o := 0, d.record
	if d.stem == o.Day().String()+"-"+FileName(o.Holder.Written) {
		n += 2
	}
	if path.Dir(d.name) == b.folderOf(o) {
		n++
	}
	return n
}

// alikeShare is the share of equal values from which on two records of one identity are one: from memory. Two overhauls
// of one valve on one day share holder, cylinder, people and gauges, and next to no reading.
const alikeShare = 0.7

// likeCopy says that a record is a copy of another rather than a second overhaul of that day.
func (b *Book) likeCopy(d, o *decoding) bool {
	for _, x := range [][2]*Overhaul{{d.record, o.record}, {o.record, d.record}} {
		fitted, pulled := x[0].Fitted, x[1].Removed
		if fitted.Counter.Quantity.Valid() && pulled.Counter.Quantity.Valid() &&
			pulled.Counter.Float() > fitted.Counter.Float() &&
			fitted.Engine.Written == pulled.Engine.Written && fitted.Date.Day <= pulled.Date.Day {
			return false // it was pulled after it had been fitted
		}
	}
	x, y := Values(b.sources[d.name]), Values(b.sources[o.name])
	differ, _ := differing(x, y)
	return float64(len(x)-differ) >= alikeShare*float64(min(len(x), len(y)))
}

// differing counts the values of a text that another has not or has otherwise, and says the first in words.
func differing(x, y []ValueAt) (n int, first string) {
	other := map[string]string{}
	for _, v := range y {
		other[v.Path] = v.Written
	}
	for _, v := range x {
		was, there := other[v.Path]
		if there && was == v.Written {
			continue
		}
		n++
		switch {
		case first != "":
		case v.Path == "remarks":
			first = "the remarks differ"
		case !there:
			first = fmt.Sprintf("%s %s is missing there", v.Path, v.Written)
		default:
			first = fmt.Sprintf("%s is %s, there %s", v.Path, v.Written, was)
		}
	}
	return n, first
}

// copied reports a file that repeats another. What an editor left behind is no news while it says the same.
func (b *Book) copied(name string, src []byte, original string, passing bool) {
	b.copyOf[name] = original
	stem := strings.TrimSuffix(path.Base(original), path.Ext(original))
	x, y := Values(src), Values(b.sources[original])
	n, first := differing(x, y)
	found := ""
	switch {
	case sameText(src, b.sources[original]) || path.Ext(original) == ".md" && len(x) > 0 && n == 0:
		if passing {
			return
		}
		found = fmt.Sprintf("%s: every value is the same", stem)
		if len(x) < len(y) {
			found = fmt.Sprintf("%s: %s missing, the others are the same", stem, Counted(len(y)-len(x), "value"))
		}
	case path.Ext(original) != ".md":
		found = fmt.Sprintf("%s: %s", stem, linesDiffer(src, b.sources[original]))
	case len(x) == 0:
		found = fmt.Sprintf("%s: it cannot be read", stem)
	case n == 1:
		found = fmt.Sprintf("%s: %s", stem, first)
	default:
		found = fmt.Sprintf("%s, %s differ: %s", stem, Counted(n, "value"), first)
	}
	slip, what, advice := SlipCopy, "copy of ", "carry over what is right, then delete the copy"
	if b.ownName(name, stem) {
		slip, what, advice = SlipCopiedOver, "holds the text of ", "put its own text back, from the history or the paper"
	} else if n == 0 {
		advice = "delete the copy"
	}
	p := Problem{Place: Place{name, 1, 1}, Slip: slip, Found: what + found, Expected: advice,
		Related: Place{original, 1, 1}}
	if passing {
		p.Slip = SlipLeftBehind
	}
	b.Problems = append(b.Problems, p)
}

// ownName says that a file bears a name of its own, not one made from its original's: somebody saved the one over the
// other, or began the next from the last.
func (b *Book) ownName(name, original string) bool {
	stem := FileName(strings.TrimSuffix(path.Base(name), path.Ext(name)))
	if strings.Contains(stem, original) || len(b.Files) == 0 {
		return false
	}
	kind, ok := KindOf(name)
	switch {
	case !ok || kind.Table:
		return false
	case kind.Name == "overhaul":
		return recordForm.FindString(stem) == stem
	}
	return !strings.ContainsAny(path.Base(name), " ()")
}

// CopyOf is the file that another one repeats: the copy is not read. Empty for a file that is no copy.
func (b *Book) CopyOf(name string) string { return b.copyOf[name] }

func plainBytes(src []byte) []byte {
	return bytes.TrimSpace(bytes.ReplaceAll(bytes.TrimPrefix(src, []byte("\xef\xbb\xbf")), []byte("\r\n"), []byte("\n")))
}

func sameText(x, y []byte) bool { return bytes.Equal(plainBytes(x), plainBytes(y)) }

// linesDiffer counts the lines of a table that another has not.
func linesDiffer(x, y []byte) string {
	lines := map[string]bool{}
	for line := range bytes.Lines(plainBytes(y)) {
		lines[string(bytes.TrimSpace(line))] = true
	}
	n := 0
	for line := range bytes.Lines(plainBytes(x)) {
		if !lines[string(bytes.TrimSpace(line))] {
			n++
		}
	}
	switch n {
	case 0:
		return "every line is there too"
	case 1:
		return "1 line is not there"
	}
	return Counted(n, "line") + " are not there"
}

// filed is a file that is known by an identity of its own: a part, an instrument, a limits file, a deferral, a
// decision.
type filed struct {
	kind, id, path string
	opening        Place
	take           func() // gives it its place in the book
	aside          func() // keeps it where another is of its identity, until what names it is known; nil for none
}

// fileAway gives each file its place in the book. Of several of one identity it is the one named after it; the others
// are copies, or two that claim one name.
func (b *Book) fileAway() {
	type key struct{ kind, id string }
	groups, order := map[key][]filed{}, []key{}
	for _, f := range b.filed {
		k := key{f.kind, f.id}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], f)
	}
	for _, k := range order {
		all := groups[k]
		_, serial, _ := strings.Cut(k.id, "/")
		at := max(0, slices.IndexFunc(all, func(f filed) bool { return path.Base(f.path) == FileName(serial)+".md" }))
		all[at].take()
		for i, f := range all {
			if i == at {
				continue
			}
			x, y := Values(b.sources[f.path]), Values(b.sources[all[at].path])
			if n, _ := differing(x, y); len(x)-n > 2 && float64(len(x)-n) >= float64(min(len(x), len(y)))/2 {
				b.copied(f.path, b.sources[f.path], all[at].path, false)
				continue
			}
			if f.aside != nil && path.Base(f.path) != FileName(serial)+".md" {
				f.aside()
				continue
			}
			b.Problems = append(b.Problems, Problem{Place: f.opening, Slip: SlipSameStem, Found: serial,
				Related:  all[at].opening,
				Expected: "one file for each identity; a holder and a nozzle of one number each state their kind"})
		}
	}
}

// fewRows are the fewest rows that two tables do not share by chance.
const fewRows = 3

// spareCopies finds the limits files and tables that nothing names and that repeat one in use, and the running data of
// one engine that was saved over another's.
func (b *Book) spareCopies() {
	engines, limits := map[string]bool{}, map[string]bool{}
	for _, e := range b.Vessel.Engines {
		engines[FileName(e.ID.Written)], limits[e.Limits.Written] = true, true
	}
	ends := map[string]string{} // by its last line, the table of an engine
	for _, name := range b.Files {
		folder, stem := path.Split(strings.TrimSuffix(name, path.Ext(name)))
		switch {
		case folder == "running/" && b.sources[name] != nil && engines[stem]: // hours contradict the records
			text := bytes.TrimSpace(b.sources[name])
			end := string(text[bytes.LastIndexByte(text, '\n')+1:])
			if other := ends[end]; other != "" && bytes.Count(text, []byte("\n")) >= fewRows &&
				alikeLines(b.sources[name], b.sources[other]) {
				b.Problems = append(b.Problems, Problem{Place: Place{name, 1, 1}, Slip: SlipCopiedOver, Read: true,
					Found:    "the lines are those of " + other + ": no two engines have the same",
					Expected: "put its own lines back, from the history or the paper", Related: Place{other, 1, 1}})
			}
			ends[end] = name
		case folder == "limits/" && b.Limits[stem] != nil && !limits[stem]:
			for _, l := range b.Limits {
				if limits[l.Name] && l.Type.Written == b.Limits[stem].Type.Written && b.alikeFiles(name, l.Path) {
					b.copied(name, b.sources[name], l.Path, false)
					delete(b.Limits, stem)
					break
				}
			}
		case (folder == "hours/" || folder == "running/") && b.sources[name] != nil && !engines[stem]:
			for engine := range engines {
				if original := folder + engine + ".csv"; alikeLines(b.sources[name], b.sources[original]) {
					b.copied(name, b.sources[name], original, false)
					delete(b.Hours, stem)
					b.Running = slices.DeleteFunc(b.Running, func(r Run) bool { return r.Engine == stem })
					break
				}
			}
		}
	}
}

// alikeFiles says that two limits files are of one source and alike.
func (b *Book) alikeFiles(x, y string) bool {
	all, other := Values(b.sources[x]), Values(b.sources[y])
	n, _ := differing(all, other)
	return slices.Equal(sourcesOf(all), sourcesOf(other)) && float64(len(all)-n) >= alikeShare*float64(len(all))
}

func sourcesOf(all []ValueAt) (sources []string) {
	for _, v := range all {
		if strings.HasSuffix(v.Path, "].source") {
			sources = append(sources, v.Written)
		}
	}
	return sources
}

// alikeLines says that most lines of a table stand in another.
func alikeLines(x, y []byte) bool {
	lines, n, all := map[string]bool{}, 0, 0
	for line := range bytes.Lines(plainBytes(y)) {
		lines[string(bytes.TrimSpace(line))] = true
	}
	for line := range bytes.Lines(plainBytes(x)) {
		all++
		if lines[string(bytes.TrimSpace(line))] {
			n++
		}
	}
	return n > 1 && float64(n) >= alikeShare*float64(all)
}
