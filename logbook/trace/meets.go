package trace

import (
	"errors"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
	"needlebook/logbook/events"
)

// merge is what a merge did to which path: the sides from which it differs there, bit i for parent i, and the
// change that waits to be judged until it is known whether it is more than what its sides come to.
type merge struct {
	differs map[string]uint8
	waits   map[string]string // path to why it is not the signer's
}

// touches notes for a merge from which sides it differs in which path.
func touches(sides [][]step) map[string]uint8 {
	differs := map[string]uint8{}
	for j, steps := range sides {
		for _, s := range steps {
			differs[s.path] |= 1 << j
			if s.from != "" {
				differs[s.from] |= 1 << j
			}
		}
	}
	return differs
}

// meets judges what every merge made of the files that more than one of its sides had changed. What a commit
// wrote, a row of a table, a value of a record, a line, must be in the merge, unless a commit other than the merge
// took it out; git merges with every signature good and another man's record gone, and here that is said.
func (h *history) meets() error {
	keys := map[string]bool{}
	for _, i := range slices.Sorted(maps.Keys(h.merges)) {
		var mask map[int]uint8
		for p, differs := range h.merges[i].differs {
			key := h.key(p)
			if keys[key] || key == signersPath { // keepsLines has judged it
				continue
			}
			kept := uint8(1<<len(h.nodes[i].parents)-1) &^ differs
			if mask == nil && kept != 0 {
				mask = h.sides(i)
			}
			keys[key] = kept == 0 || h.leftBehind(key, kept, mask)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if !keys[key] || h.files[key] == nil {
			continue
		}
		if err := h.meetsOf(key); err != nil {
			return err
		}
	}
	return nil
}

// leftBehind says that a commit changed a file and lies in the past of none of the sides that a merge kept.
func (h *history) leftBehind(key string, kept uint8, mask map[int]uint8) bool {
	f := h.files[key]
	if f == nil {
		return false
	}
	return slices.ContainsFunc(f.versions, func(v version) bool {
		m, ok := mask[v.commit]
		return ok && m&kept == 0
	})
}

// followed is one file on its way through the history.
type followed struct {
	*history
	key    string
	events events.History
	at     []*held // by commit; nil where the file never was
}

// held is what a commit holds of a file: texts by path, one but for records that two sides began in two folders.
type held struct {
	texts map[string]id
	state *events.State
}

// meetsOf follows one file through the history, and holds each merge against its sides.
func (h *history) meetsOf(key string) error {
	f := &followed{history: h, key: key, at: make([]*held, len(h.nodes))}
	own := map[int][]version{}
	for _, v := range h.files[key].versions {
		own[v.commit] = append(own[v.commit], v)
	}
	for i := range h.nodes {
		if err := f.step(i, own[i]); err != nil {
			return err
		}
	}
	return f.repeated()
}

// step goes to one commit.
func (f *followed) step(i int, own []version) error {
	parents := f.nodes[i].parents
	sides := make([]*held, len(parents))
	same := len(parents) > 0
	for j, p := range parents {
		sides[j] = f.at[p]
		same = same && sides[j] == sides[0]
	}
	if same && len(own) == 0 {
		f.at[i] = sides[0]
		return nil
	}
	texts := f.texts(i, sides, own)
	items, err := f.items(texts)
	if err != nil {
		return err
	}
	states := make([]*events.State, len(sides))
	for j, s := range sides {
		if s != nil {
			states[j] = s.state
		}
	}
	now := &held{texts: texts}
	f.at[i] = now
	switch len(parents) {
	case 0:
		now.state = f.events.Next(i, nil, items)
	case 1:
		now.state = f.events.Next(i, states[0], items)
	default:
		var met events.Met
		now.state, met = f.events.Meet(i, states, items)
		gone := slices.ContainsFunc(sides, func(s *held) bool { return s != nil && len(s.texts) == 0 })
		return f.judgeMerge(i, own, met, texts, gone)
	}
	return nil
}

// texts are a commit's texts of the file.
func (f *followed) texts(i int, sides []*held, own []version) map[string]id {
	all := map[string]id{}
	for j, s := range sides {
		if s == nil {
			continue
		}
		for p, blob := range s.texts {
			if m := f.merges[i]; m == nil || m.differs[p]&(1<<j) == 0 {
				all[p] = blob
			}
		}
	}
	for _, v := range own {
		delete(all, v.from)
		delete(all, v.path)
		if !v.blob.IsZero() {
			all[v.path] = v.blob
		}
	}
	return all
}

// items takes a commit's texts of the file apart. One that cannot be read is one item: whatever stands in its
// place is another.
func (f *followed) items(texts map[string]id) ([]events.Item, error) {
	var all []events.Item
	for _, p := range slices.Sorted(maps.Keys(texts)) {
		whole := events.Item{Kind: events.Whole, Text: texts[p].String()}
		if strings.HasPrefix(p, "photos/") || strings.HasPrefix(p, "logs/") {
			all = append(all, whole)
			continue
		}
		text, err := f.store.read(texts[p], plumbing.BlobObject)
		var broken *BrokenError
		switch items := events.Of(p, text); {
		case errors.As(err, &broken):
			all = append(all, whole)
		case err != nil:
			return nil, err
		case len(items) == 1 && items[0].Kind == events.Whole:
			all = append(all, whole)
		default:
			all = append(all, items...)
		}
	}
	return all, nil
}

// judgeMerge says what a merge dropped, and whose change it is; gone says that a side has taken out the whole
// file, which to put back is no loss. Where both sides changed one value or row, and the merge has a text of its
// own, its signer has decided, and that is shown as his; remarks behind a # in a record may go with the value.
// A list under hands goes on as its signer writes it who may change it.
func (f *followed) judgeMerge(i int, own []version, met events.Met, texts map[string]id, gone bool) error {
	if f.verdicts[i].state == logbook.NotJudged {
		return nil
	}
	said := map[int]bool{}
	drop := func(e, by int) {
		if said[by] {
			return
		}
		said[by] = true
		f.lost[f.key] = i
		row := ""
		if it := f.events.Item(e); it.Kind == events.Row || it.Kind == events.Head {
			row = ": " + clip(strings.Join(it.Cells(), ","))
		}
		f.blame(i, "drops %s as commit %s wrote it%s", f.name(by, i), f.short(by), row)
	}
	l := f.verdicts[i].line
	his := strings.HasPrefix(f.key, "signers/") && len(own) > 0 && l != nil && notHis(f.key, l.roles) == ""
	text, err := f.excuses(met, texts)
	if err != nil {
		return err
	}
	for _, e := range met.Lost {
		goesWithValue := f.events.Item(e).Kind == events.Remark && strings.HasSuffix(f.key, ".md")
		if !his && !(len(own) > 0 && (met.Decided[e] || goesWithValue)) && !f.kept(i, e, text) && !f.putBack(i, e) {
			drop(e, f.events.By(e))
		}
	}
	for _, e := range met.Back {
		it := f.events.Item(e)
		if his || gone || it.Kind == events.Row || it.Kind == events.Remark || len(own) > 0 && met.Decided[e] {
			continue
		}
		if !text.told(it) && !text.names(it) {
			drop(e, f.events.Out(e))
		}
	}
	for _, v := range own {
		if why := f.merges[i].waits[v.path]; why != "" && len(met.Born)+len(met.Lost)+len(met.Back) > 0 {
			f.disown(i, v.path, why)
		}
	}
	return nil
}

// name is where a commit wrote the file, or where it stood last before another one.
func (f *followed) name(by, before int) string {
	where := f.key
	for _, v := range f.files[f.key].versions {
		if v.commit == by {
			return v.path
		}
		if v.commit < before && !v.blob.IsZero() {
			where = v.path
		}
	}
	return where
}

// kept says that what a file lost stands elsewhere in the merge all the same: told in a remark or a correction,
// or, of bytes, whole under another name beside it.
func (f *followed) kept(i, e int, text telling) bool {
	it := f.events.Item(e)
	if it.Kind != events.Whole {
		return text.told(it)
	}
	beside := path.Dir(f.name(f.events.By(e), i))
	for j := range f.nodes[i].parents {
		for _, s := range f.nodes[i].sides[j] {
			whole := s.is.mode != "" && s.is.id.String() == it.Text
			if whole && path.Dir(s.path) == beside && f.file(s.path) != f.files[f.key] {
				return true
			}
		}
	}
	return false
}

// putBack says that an item that a merge lost had only been put back: what all sides had known, and one that does not
// hold it has taken out since. That side's change goes before what is as it was, as git joins it.
func (f *followed) putBack(i, e int) bool {
	elder := f.events.Elder(e)
	if len(elder) == 0 {
		return false
	}
	parents, apart := f.nodes[i].parents, f.sides(i)
	all := uint8(1<<len(parents) - 1)
	common := func(commit int) bool { m, there := apart[commit]; return !there || m == all }
	lacks := uint8(0)
	for j, p := range parents {
		if s := f.at[p]; s != nil && !f.events.Holds(s.state, e) {
			lacks |= 1 << j
		}
	}
	his := apart[f.events.By(e)]
	return !common(f.events.By(e)) && slices.ContainsFunc(elder, func(o int) bool {
		return common(f.events.By(o)) && slices.ContainsFunc(f.events.Outs(o), func(out int) bool {
			return apart[out]&his == 0 && apart[out]&lacks != 0
		})
	})
}

// telling is where a text may tell of what it does not say any more: its free text, its remarks and corrections.
type telling struct{ text string }

// excuses reads where a merge may tell of what it lost; nothing is read where it lost nothing.
func (f *followed) excuses(met events.Met, texts map[string]id) (telling, error) {
	if len(met.Lost)+len(met.Back) == 0 {
		return telling{}, nil
	}
	items, err := f.items(texts)
	if err != nil {
		return telling{}, err
	}
	var b strings.Builder
	for i := range items {
		it := &items[i]
		free := it.Kind == events.Line && !strings.HasPrefix(f.key, "signers/")
		if free || it.Kind == events.Remark || it.Kind == events.Value && strings.HasPrefix(it.Key, "corrections") {
			b.WriteString(it.Text + "\n")
		}
	}
	return telling{places.ReplaceAllString(squeezed(b.String()), "[]")}, nil
}

// squeezed is a text without its line ends, its quotes and what is put before quotes within quotes: whoever quotes a
// text has told it.
func squeezed(text string) string { return strings.Join(strings.Fields(unquoted.Replace(text)), " ") }

var unquoted = strings.NewReplacer(`"`, " ", `'`, " ", `\`, " ", "“", " ", "”", " ", "„", " ", "‘", " ", "’", " ", "«", " ", "»", " ")

var figure = regexp.MustCompile(`^([+-]?[0-9][0-9.,]*) *[^0-9 ]{1,6}$`)

// told says that an item's text stands there; of a value also its path or that of its group, and of a figure with
// its unit at least the figure.
func (t telling) told(it *events.Item) bool {
	said := it.Text
	if it.Kind == events.Value {
		if said = strings.TrimPrefix(said[len(it.Key):], " "); said != "" && !t.names(it) {
			return false
		}
	}
	if it.Kind == events.Row {
		return holdsWord(t.text, squeezed(strings.Join(it.Cells(), ",")))
	}
	if said = squeezed(said); said == "" {
		return true
	}
	if m := figure.FindStringSubmatch(said); m != nil && holdsWord(t.text, m[1]) {
		return true
	}
	return holdsWord(t.text, said)
}

var places = regexp.MustCompile(`\[[0-9]+\]`)

// names says that a value's path, or that of a group it belongs to, stands there.
func (t telling) names(it *events.Item) bool {
	if it.Kind != events.Value {
		return false
	}
	for p := it.Key; ; {
		if holdsWord(t.text, p) || holdsWord(t.text, strings.TrimSuffix(p, "[]")) {
			return true
		}
		at := strings.LastIndexByte(p, '.')
		if at < 0 {
			return false
		}
		p = p[:at]
	}
}

// holdsWord says that a text holds another one with neither a letter nor a digit beside it.
func holdsWord(text, word string) bool {
	for from := 0; ; {
		at := strings.Index(text[from:], word)
		if at < 0 {
			return false
		}
		at += from
		end := at + len(word)
		if (at == 0 || !wordly(text[at-1])) && (end == len(text) || !wordly(text[end])) {
			return true
		}
		from = at + 1
	}
}

func wordly(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= 0x80
}

// repeated notes the rows of the tip's table that stand there without a commit that brought them, or that two
// sides brought alike.
func (f *followed) repeated() error {
	tip := f.at[len(f.at)-1]
	if tip == nil || !strings.HasSuffix(f.key, ".csv") || len(tip.texts) != 1 {
		return nil
	}
	items, err := f.items(tip.texts)
	if err != nil {
		return err
	}
	first := map[string]int{} // text to the place of the first such row
	for at, e := range tip.state.Live {
		it := &items[at]
		if it.Kind != events.Row {
			continue
		}
		row := logbook.RepeatedRow{Path: slices.Collect(maps.Keys(tip.texts))[0], Line: it.Line, Merge: -1}
		row.Row, row.By = strings.Join(it.Cells(), ","), []int{f.events.By(e)}
		before, stands := first[it.Text]
		if !stands {
			first[it.Text] = at
		} else {
			row.First = items[before].Line
			row.By = append(row.By, f.events.By(tip.state.Live[before]))
		}
		switch f.events.Odd(e) {
		case events.Doubled, events.Back:
			row.Merge = f.events.By(e)
		default:
			if !stands || !f.beside(row.By[0], row.By[1]) {
				continue
			}
		}
		f.rows = append(f.rows, row)
	}
	return nil
}

// beside says that neither of two commits has the other in its past.
func (h *history) beside(a, b int) bool {
	if a == b {
		return false
	}
	return !h.sight(max(a, b)).has(min(a, b))
}
