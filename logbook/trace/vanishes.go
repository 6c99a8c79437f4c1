package trace

import (
	"path"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
)

// spares says whether a merge lost nothing of what the sides in the mask did to a file, the first of whose versions is given.
func (h *history) spares(first version, name string, sides [][]step, mask uint8) bool {
	for j, steps := range sides {
		if mask&(1<<j) == 0 {
			continue
		}
		at := slices.IndexFunc(steps, func(s step) bool { return s.path == name && (s.from == "" || oneRecord(s)) })
		if at < 0 || !putBack(steps[at]) && !elsewhere(steps, steps[at]) && !h.stands(first, steps[at].was, steps[at].is) {
			return false
		}
	}
	return true
}

// oneRecord says that a record stands in another folder than on a side, and is the same record: an overhaul goes by its name.
func oneRecord(s step) bool {
	return strings.HasPrefix(s.path, "overhauls/") && strings.HasPrefix(s.from, "overhauls/") && path.Base(s.path) == path.Base(s.from)
}

// putBack says that a side took out a file that is never taken out of a book, and that the merge has it: to settle it so loses nothing.
func putBack(s step) bool { return s.was.mode == "" && s.is.mode != "" && keeps(s.path) }

// elsewhere says that a side's photo or other file of bytes, whose name another one bears now, stands whole under another name.
func elsewhere(steps []step, s step) bool {
	text := strings.HasPrefix(s.path, "hands/") || strings.HasSuffix(s.path, ".md") || strings.HasSuffix(s.path, ".csv")
	return !text && s.was.mode != "" && slices.ContainsFunc(steps, func(o step) bool { return o.path != s.path && o.is.mode != "" && o.is.id == s.was.id })
}

// stands says whether all that one side of a merge did to a file since the sides parted stands in the text that the merge kept, which
// is another side's: values and lines that it wrote are there, and those that it took out are not. Two sides that wrote the same, or
// one that wrote what the other wrote and more, have lost nothing by the merge. First is the side's first version that the kept side
// has not in its past.
func (h *history) stands(first version, side, kept entry) bool {
	if first.merged || len(first.olds) != 1 || side.mode == "" || kept.mode == "" {
		return false
	}
	h.storeLock.Lock()
	defer h.storeLock.Unlock()
	var all [3]map[string]bool
	for i, blob := range []id{first.olds[0], side.id, kept.id} {
		if blob.IsZero() {
			continue // a file that the side began
		}
		text, err := h.store.read(blob, plumbing.BlobObject)
		if err != nil {
			return false
		}
		all[i] = written(first.path, text)
	}
	before, now, merged := all[0], all[1], all[2]
	for what := range now {
		if !before[what] && !merged[what] {
			return false
		}
	}
	for what := range before {
		if !now[what] && merged[what] {
			return false
		}
	}
	return true
}

// written is what a text says: of a record each value with its key, each remark and each line of the free text; of another file
// each line.
func written(name string, text []byte) map[string]bool {
	said := map[string]bool{}
	add := func(lines string) {
		for l := range strings.Lines(lines) {
			said[strings.TrimRight(l, "\r\n")] = true
		}
	}
	values := logbook.Values(text)
	if !strings.HasSuffix(name, ".md") || len(values) == 0 || !slices.ContainsFunc(values, func(v logbook.ValueAt) bool { return v.Path != "remarks" }) {
		add(string(text))
		return said
	}
	for _, v := range values {
		if v.Path == "remarks" {
			add(v.Written)
		} else {
			said[v.Path+"\x00"+v.Written] = true
		}
	}
	for l := range strings.Lines(string(text)) {
		if strings.Contains(l, "#") {
			add(l)
		}
	}
	return said
}
