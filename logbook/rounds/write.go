package rounds

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/keys"
	"needlebook/logbook/tree"
)

// write fills a record in, and keeps it where anything was added.
func (k *taking) write(d *doc) error {
	var was []byte
	if d.rec != nil {
		var err error
		if was, err = k.src(d.path); err != nil {
			return err
		}
	}
	for key := range d.sheet.Known {
		if !slices.Contains(known, key) {
			delete(d.sheet.Known, key)
		}
	}
	for _, key := range d.blank {
		delete(d.sheet.Known, key)
	}
	for _, x := range d.unsure {
		delete(d.sheet.Known, x.Key)
	}
	for _, e := range d.entries {
		d.sheet.Known[e.key] = e.text
	}
	text, fresh := was, map[string]bool{}
	if was == nil {
		text = d.begun()
		fresh = topKeys(text)
	}
	text, err := d.groups(text, fresh)
	if err != nil {
		k.unwritten(d, err)
		return nil
	}
	before, now := meaning(d.path, was), meaning(d.path, text)
	out := Record{Path: d.path, Holder: d.sheet.Holder, Was: was}
	if was == nil && d.tested {
		out.Wrote = append(out.Wrote, Value{"assembled", NotOpened})
	}
	seen, differ := "", 0
	if was != nil {
		seen = k.seen(d.path)
	}
	for _, e := range d.entries {
		if says, there := before[e.key]; there && !e.given && !same(e.key, e.text, says) {
			differ++
		}
	}
	for _, e := range d.entries {
		top, _, _ := strings.Cut(e.key, ".")
		if e.given {
			continue
		}
		if says, there := now[e.key]; there {
			k.held(d, e, says)
		} else if e.text == "[]" && emptyList(text, e.key) { // which says nothing by itself
			if !emptyList(was, e.key) {
				out.Wrote = append(out.Wrote, Value{e.key, e.text})
			}
			continue
		} else if seen != "" && !fresh[top] {
			k.doubtOf(e, "countersigned by "+seen+": what it has is put right by hand, struck through under corrections")
			continue
		} else if differ > 0 && slices.Contains(signs, e.key) {
			k.doubtOf(e, "figures of the record differ from this row: whoever did the work enters it in the record")
			continue
		} else if filled, err := edit.Fill(d.path, text, e.key, e.text, d.sheet.Order()); err == nil {
			text, now[e.key] = filled, e.text
		} else {
			k.cannot(d, e, err)
			continue
		}
		if before[e.key] == "" {
			out.Wrote = append(out.Wrote, Value{e.key, e.text})
		}
	}
	text = k.remarks(d, text, was, &out)
	for _, x := range d.unsure {
		if top, _, _ := strings.Cut(x.Key, "."); fresh[top] {
			last := x.Key[strings.LastIndexByte(x.Key, '.')+1:]
			text = edit.Remark(text, x.Key, last+" "+orBlank(x.Cell)+" in the table: "+x.Why)
		}
	}
	if out.Is = text; !bytes.Equal(text, was) {
		k.Records = append(k.Records, out)
	}
	return nil
}

// remarks writes what is behind the values of the table behind those of the record. Beside a value that was there
// before nothing is written, and the remark is told.
func (k *taking) remarks(d *doc, text, was []byte, out *Record) []byte {
	for _, e := range d.entries {
		if e.remark == "" {
			continue
		}
		at := slices.IndexFunc(out.Wrote, func(v Value) bool { return v.Key == e.key })
		switch with := edit.Remark(text, e.key, e.remark); {
		case at >= 0 || e.given && was == nil:
			if text = with; at >= 0 {
				out.Wrote[at].Text += " # " + e.remark
			}
		case !bytes.Contains(was, []byte(e.remark)):
			k.doubtOf(e, fmt.Sprintf("its remark %q is not in the record: write it behind the value", e.remark))
		}
	}
	return text
}

// begun is the text of a new record.
func (d *doc) begun() []byte {
	if !d.spare {
		return d.sheet.Record()
	}
	text := "---\nholder: " + d.sheet.Known["holder"] + "\nnozzle: {left: " + d.sheet.Known[keys.NozzleFound] + "}\n"
	if d.tested {
		text += "assembled: " + NotOpened + "\n"
	}
	return []byte(text + "---\n\n")
}

func topKeys(text []byte) map[string]bool {
	top := map[string]bool{}
	list, _ := edit.Keys(text)
	for _, key := range list {
		top[key] = true
	}
	return top
}

// groups puts in the groups of keys that the table says something of and the record does not have yet.
func (d *doc) groups(text []byte, fresh map[string]bool) ([]byte, error) {
	has := topKeys(text)
	var wanted []string
	for _, e := range d.entries {
		if !e.given {
			wanted = append(wanted, e.key)
		}
	}
	for _, x := range d.unsure {
		wanted = append(wanted, x.Key)
	}
	for _, key := range wanted {
		top, _, _ := strings.Cut(key, ".")
		block := d.sheet.Block(top)
		if has[top] || block == "" || !slices.Contains(d.sheet.Order(), top) {
			continue
		}
		var err error
		if text, err = edit.Insert(text, top, block, d.sheet.Order()); err != nil {
			return nil, err
		}
		has[top], fresh[top] = true, true
	}
	return text, nil
}

// emptyList says that a record has a list at a key with nothing in it.
func emptyList(src []byte, key string) bool {
	n := logbook.TreeOf(src).Root
	for part := range strings.SplitSeq(key, ".") {
		at := slices.IndexFunc(n.Below, func(e *tree.Node) bool { return e.Key == part })
		if at < 0 {
			return false
		}
		n = n.Below[at]
	}
	return n.Kind == tree.List && len(n.Below) == 0
}

// signs are the keys under which somebody answers for what is in a record.
var signs = []string{"by", "fitted_by", "checked_by"}

func (k *taking) doubtOf(e entry, why string) {
	k.doubt(line{Row: Row{Line: e.line}, at: e.at}, e.key, e.cell, "%s", why)
}

// held doubts a cell where the record says something else already.
func (k *taking) held(d *doc, e entry, says string) {
	if !same(e.key, e.text, says) {
		k.doubtOf(e, "the record has "+says+", which stays")
	}
}

func (k *taking) cannot(d *doc, e entry, err error) {
	why := err.Error()
	switch {
	case errors.Is(err, edit.ErrThere):
		why = "something is in the record already, which stays"
	case errors.Is(err, edit.ErrOneValue):
		why = "the group is one value in the record, which stays"
	}
	k.doubtOf(e, why)
}

// unwritten doubts all of a record that cannot be changed at all.
func (k *taking) unwritten(d *doc, err error) {
	at := line{Row: Row{}}
	if len(d.entries) > 0 {
		at.Line, at.at = d.entries[0].line, d.entries[0].at
	}
	k.doubt(at, "", "", "%s cannot be written: %v", d.path, err)
}
