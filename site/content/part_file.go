package content

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"net/url"
	"path"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// mostColumn is how much of a line is shown.
const mostColumn = 4000

// textOf are the lines from and up to of a file of the book as it is written, each with an id, so that a finding can
// point to it.
func (w *Writer) textOf(name string, from, upto int) page.Block {
	s := page.Under("As written").Named("text")
	s.Style = page.LinesOf
	src, err := budget.ReadFile(w.Files, name, logbook.LargestOf(name))
	if err != nil {
		s.Add(page.Para{Style: page.Loud, Text: page.Words("The file could not be read, or is too large to be shown.")})
		return s
	}
	sum := sha256.Sum256(src)
	s.Add(page.Para{Style: page.Source, Text: page.In(page.Code, name).
		Say(" · "+strconv.Itoa(len(src))+" bytes · SHA-256 ").
		In(page.Digest, hex.EncodeToString(sum[:]))})
	marked := w.LinesPointedAt(name)
	lines, n := page.Lines{}, 0
	for line := range bytes.Lines(src) {
		if n++; n < from {
			continue
		}
		if n > upto {
			break
		}
		_, hit := slices.BinarySearch(marked, n)
		lines = append(lines, page.Line{Number: n, Hit: hit, Text: page.Cut(string(bytes.TrimRight(line, "\r\n")),
			mostColumn)})
	}
	s.Add(lines)
	if n > upto && (upto == address.MostLines || upto == address.MostFileLines) {
		s.Add(said("The file is longer; no record or table is that long."))
	}
	return s
}

// versionsShown is how many versions of a file its page lists, the newest: a table of hours has one a week.
const versionsShown = 40

// traceOf are the commits that made a file, the value each of them set, and how to look again without this program.
func (w *Writer) traceOf(name string) page.Block {
	s := page.Under("Audit trail").Named("trace")
	r := w.Trail.Records[name]
	if r == nil {
		s.Add(page.Para{Style: page.Loud, Text: page.Words(page.UpperFirst(w.StandingOf(name).Words)).
			Say(": no commit holds this text.")})
		return s
	}
	older := max(0, len(r.Versions)-versionsShown)
	if older > 0 {
		s.Add(para(page.Words(page.Counted(older, "One earlier commit is", "earlier commits are")).
			Say(" on the pages of the ").
			Link(address.Trail, "audit trail").Say(".")))
	}
	t := page.NewTable(page.Listed, "commit", "stated", "state", "by", "message")
	for i := range r.Versions {
		v := &r.Versions[i]
		if i < older && i != r.Current {
			continue
		}
		c := w.Trail.At(v.Commit)
		state := page.Words(string(v.State)).Say(why(v.Why))
		if i == r.Current && len(r.Versions) > 1 {
			state = state.Say(" ").In(page.Bold, "(as it is now)")
		}
		t.Row(page.Said(w.commit(c)), page.On(c.When("2006-01-02 15:04")), page.Said(state), page.Plainly(whoWrote(c)),
			page.Plainly(oneLine(c.Message)))
	}
	s.Add(t)
	if len(r.Values) > 0 {
		s.Add(w.settings(r))
	}
	s.Add(page.Para{Style: page.Again, Text: page.Words("To look again: ").
		In(page.Code, "git log --follow --format='%H %G? %GF %cI %s' -- "+shellQuoted(name))})
	return s
}

// settings are the values of a record under the commit that set them, with what was there before. The values
// themselves are in the record above.
func (w *Writer) settings(r *logbook.RecordTrail) page.Block {
	by := map[int][]string{}
	for p, v := range r.Values {
		by[v.Commit] = append(by[v.Commit], p)
	}
	t := page.NewTable(page.Simple, "set by", "values")
	for _, n := range slices.Sorted(maps.Keys(by)) {
		c := w.Trail.At(n)
		slices.Sort(by[n])
		var values page.Text
		for i, p := range by[n] {
			if i > 0 {
				values = values.Say(" · ")
			}
			values = values.In(page.Code, p)
			v := r.Values[p]
			for _, b := range v.Before {
				values = values.Say(" ").In(page.Struck, oneLine(b.Written)).Say(" ").Then(w.commit(w.Trail.At(b.Commit)))
			}
			if len(v.Before) > 0 {
				values = values.Say(" ").Say(oneLine(v.Written))
			}
		}
		t.Row(page.Said(w.commit(c).Say(" ").Say(whoWrote(c))), page.Said(values))
	}
	return page.Fold{Summary: page.Words("every value and the commit that set it"), Blocks: []page.Block{t}}
}

// shellQuoted is a path as it is typed in a shell.
func shellQuoted(name string) string {
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-' || r == '.' || r == '/' || r == '_'
	}
	if strings.IndexFunc(name, func(r rune) bool { return !plain(r) }) < 0 {
		return name
	}
	return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'"
}

// photos are the pictures that a file names and its remarks do not show themselves; nil for none. of are the serials of
// what the file is about.
func photos(list logbook.Texts, remarks string, of ...string) page.Block {
	b := &page.Box{Style: page.Pictures}
	for _, p := range list.Each {
		if p.Stated() && !shownIn(remarks, p.Written) {
			b.Add(page.Picture{Path: p.Written, Words: photoWords(p.Written, of)})
		}
	}
	if len(b.Blocks) == 0 {
		return nil
	}
	return b
}

// photoWords say what a picture shows, as far as the name of its file tells: "face, H-109, 2022-10-14". A name that
// begins neither with a day nor with a serial is given as it is.
func photoWords(photo string, of []string) string {
	rest := strings.TrimSuffix(path.Base(photo), path.Ext(photo))
	said := ""
	if n := len(time.DateOnly); len(rest) >= n && isDay(rest[:n]) {
		rest, said = strings.TrimPrefix(rest[n:], "-"), ", "+rest[:n]
	}
	for _, serial := range of {
		slug := page.Slug(serial)
		if after, ok := strings.CutPrefix(rest+"-", slug+"-"); ok && slug != "" {
			rest, said = strings.TrimSuffix(after, "-"), ", "+serial+said
			break
		}
	}
	if said == "" {
		return photo
	}
	return cmp.Or(strings.ReplaceAll(rest, "-", " "), "photo") + said
}

// shownIn says that the remarks show the picture themselves.
func shownIn(remarks, photo string) bool {
	name := path.Base(photo)
	if !strings.Contains(remarks, "![") {
		return false
	}
	for _, end := range []string{name + ")", name + ">)", (&url.URL{Path: name}).EscapedPath() + ")"} {
		if strings.Contains(remarks, end) {
			return true
		}
	}
	return false
}

// fields are the keys of a file, a pointer to one of the book's types, block by block: every key that is present,
// with its value or with the reason why there is none.
func (w *Writer) fields(file any) page.Block {
	v := reflect.ValueOf(file).Elem()
	all := page.Fields{}
	loose := page.FieldGroup{Name: "at large"}
	for _, f := range facts.FieldsOf(v.Type()) {
		fv := v.Field(f.Index)
		switch {
		case f.Key == "corrections": // they have a section of their own
		case f.Block && f.List:
			for i := range fv.Len() {
				all = append(all, w.fieldGroup(f, fv.Index(i)))
			}
		case f.Block:
			if f.LeafOf(fv).Present() {
				all = append(all, w.fieldGroup(f, fv))
			}
		default:
			if leaf := f.LeafOf(fv); leaf.Present() {
				loose.Entries = append(loose.Entries, w.entry(facts.LeafAt{Field: f, Leaf: leaf, Value: fv}))
			}
		}
	}
	if len(loose.Entries) > 0 {
		all = append(all, loose)
	}
	return all
}

// fieldGroup is one block of a file under its name.
func (w *Writer) fieldGroup(f facts.Field, v reflect.Value) page.FieldGroup {
	leaf := f.LeafOf(v)
	g := page.FieldGroup{Name: f.Name}
	if leaf.Not != "" {
		g.Instead = page.Link(w.at.Line(leaf.Place), leaf.Written)
		return g
	}
	for _, f := range f.Fields {
		fv := v.Field(f.Index)
		switch {
		case f.Block && f.List:
			for i := range fv.Len() {
				g.Entries = append(g.Entries, page.Term{Name: page.Words(f.Name), Says: w.inline(f, fv.Index(i))})
			}
		case f.Block:
			if f.LeafOf(fv).Present() {
				g.Entries = append(g.Entries, page.Term{Name: page.Words(f.Name), Says: w.inline(f, fv)})
			}
		default:
			if leaf := f.LeafOf(fv); leaf.Present() {
				g.Entries = append(g.Entries, w.entry(facts.LeafAt{Field: f, Leaf: leaf, Value: fv}))
			}
		}
	}
	return g
}

func (w *Writer) entry(l facts.LeafAt) page.Term {
	return page.Term{Name: page.Words(l.Field.Name), Says: w.value(l)}
}

// inline is a group within a block on one line: "from 275 bar · to 215 bar · time 11.2 s".
func (w *Writer) inline(f facts.Field, v reflect.Value) page.Text {
	if leaf := f.LeafOf(v); leaf.Not != "" {
		return page.Words(leaf.Written)
	}
	var t page.Text
	for _, g := range f.Fields {
		gv := v.Field(g.Index)
		if g.List { // no block of the schema goes deeper than this
			continue
		}
		leaf := g.LeafOf(gv)
		if !leaf.Present() {
			continue
		}
		if len(t) > 0 {
			t = t.Say(" · ")
		}
		if g.Name != "value" {
			t = t.In(page.Italic, g.Name).Say(" ")
		}
		if g.Block {
			t = t.Then(w.inline(g, gv))
			continue
		}
		t = t.Then(w.value(facts.LeafAt{Field: g, Leaf: leaf, Value: gv}))
	}
	return t
}

// value is a value as written, as a link where it names something that has a page.
func (w *Writer) value(l facts.LeafAt) page.Text {
	text := l.Text()
	if l.Field.As == "instrument" {
		return page.Link(w.at.Instrument[text], text)
	}
	if l.Field.As != "person" && l.Leaf.Not == "" {
		switch l.Field.Key {
		case "holder":
			return page.Link(w.at.Holder[text], text)
		case "nozzle", "found", "left":
			return page.Link(w.at.Nozzle[text], text)
		case "deferral", "trial":
			return page.Link(w.at.FileNamed(l.Field.Key, text), text)
		}
	}
	return page.Words(text)
}

// remarks are those of a file of the book; nil for none.
func remarks(from, body string) page.Block {
	if strings.TrimSpace(body) == "" {
		return nil
	}
	return page.Remarks{From: from, Body: body}
}
