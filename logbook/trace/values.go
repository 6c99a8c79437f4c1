package trace

import (
	"bytes"
	"crypto/sha256"
	"runtime"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
	"needlebook/logbook/fault"
)

// told is a text's values and who set each, with those that were taken out before it; gone is nil while
// there are none.
type told struct {
	set, gone map[string]logbook.Setting
}

// values goes through a file's versions, oldest first, and says of each value of the one at index
// current which commit set it. A value that stands as it stood in the version before keeps its setter;
// in a merge, as it stood in any of those before.
func (h *history) values(f *file, current int) (told, error) {
	all := make([]told, len(f.versions))
	var written []string
	for i, v := range f.versions[:current+1] {
		if v.blob.IsZero() {
			continue
		}
		if written == nil || f.versions[i-1].blob != v.blob { // a move keeps the text
			t, err := h.text(v.blob, true)
			if err != nil {
				return told{}, err
			}
			written = t.values
		}
		all[i] = tell(v.commit, written, h.before(f, i, all))
	}
	strike(all[current])
	return all[current], nil
}

// tell attributes the values of one text, paths and what is written there in turn, given what was told
// of the texts before it.
func tell(commit int, written []string, before []told) told {
	t := told{set: make(map[string]logbook.Setting, len(written)/2)}
	for i := 0; i < len(written); i += 2 {
		t.set[written[i]] = attribute(commit, written[i], written[i+1], before)
	}
	for _, b := range before {
		for path, s := range b.set {
			if _, ok := t.set[path]; !ok {
				t.miss(path, logbook.Setting{Commit: commit, Before: slices.Concat(s.Before,
					[]logbook.Earlier{{Commit: s.Commit, Written: s.Written}})})
			}
		}
		for path, s := range b.gone {
			_, set := t.set[path]
			if _, gone := t.gone[path]; !set && !gone {
				t.miss(path, s)
			}
		}
	}
	return t
}

func (t *told) miss(path string, s logbook.Setting) {
	if t.gone == nil {
		t.gone = map[string]logbook.Setting{}
	}
	t.gone[path] = s
}

func attribute(commit int, path, text string, before []told) logbook.Setting {
	now := logbook.Setting{Commit: commit, Written: text}
	for _, b := range before {
		if s, ok := b.set[path]; ok && s.Written == text {
			return s
		}
	}
	for _, b := range before {
		s, ok := b.set[path]
		if !ok {
			s, ok = b.gone[path]
		}
		if ok {
			now.Before = slices.Concat(s.Before, []logbook.Earlier{{Commit: s.Commit, Written: s.Written}})
			return now
		}
	}
	return now
}

// before finds what was told of the versions that a version was made from: for each parent that had
// another text, the newest version of that text in the commit's past.
func (h *history) before(f *file, i int, all []told) []told {
	var found []told
	for _, old := range f.versions[i].olds {
		if old.IsZero() {
			continue
		}
		var same []int
		for u := i - 1; u >= 0; u-- {
			if f.versions[u].blob == old {
				same = append(same, u)
			}
		}
		if len(same) > 1 {
			past := h.sight(f.versions[i].commit)
			same = slices.DeleteFunc(same, func(u int) bool { return !past.has(f.versions[u].commit) })
		}
		if len(same) > 0 {
			found = append(found, all[same[0]])
		}
	}
	return found
}

// written reads a text's values.
func (h *history) written(blob id) (map[string]string, error) {
	t, err := h.text(blob, true)
	if err != nil {
		return nil, err
	}
	values := make(map[string]string, len(t.values)/2)
	for i := 0; i < len(t.values); i += 2 {
		values[t.values[i]] = t.values[i+1]
	}
	return values, nil
}

// text reads and hashes a text, with its values where they are asked for. Several goroutines may ask:
// only the reading waits for the store.
func (h *history) text(blob id, values bool) (text, error) {
	h.storeLock.Lock()
	t, ok := h.store.known.texts[blob]
	var raw []byte
	var err error
	if ok = ok && (t.asked || !values); !ok {
		raw, err = h.store.read(blob, plumbing.BlobObject)
	}
	h.storeLock.Unlock()
	if ok || err != nil {
		return t, err
	}
	t.sum = sha256.Sum256(raw)
	if values {
		t.asked = true
		for _, v := range valuesOf(raw) {
			t.values = append(t.values, v.Path, v.Written)
		}
	}
	h.storeLock.Lock()
	h.store.known.learnText(blob, t)
	h.storeLock.Unlock()
	return t, nil
}

// valuesOf takes a text apart: the values of a record, the rows of a table. The text alone decides which, so that
// what is known of a blob holds wherever it stands.
func valuesOf(raw []byte) []logbook.ValueAt {
	if bytes.HasPrefix(raw, []byte("---")) {
		return logbook.Values(raw)
	}
	if values := logbook.Values(raw); values != nil {
		return values
	}
	return logbook.Rows(raw)
}

// allSettings fills in the values of all trails and returns one error for each path. Taking texts apart
// is the slowest part of it, and each trail is its own.
func (h *history) allSettings(paths []string, trails map[string]*logbook.RecordTrail, changed map[string]bool) []error {
	errs := make([]error, len(paths))
	next := make(chan int)
	var done fault.Group
	for range runtime.GOMAXPROCS(0) {
		done.Go(func() {
			for i := range next {
				done.Do(func() { errs[i] = h.settings(trails[paths[i]], changed[paths[i]]) })
			}
		})
	}
	for i := range paths {
		next <- i
	}
	close(next)
	done.Wait()
	return errs
}

// settings fills in the values of a trail, where more than one version, or a changed file in the
// folder, makes it a question who set them.
func (h *history) settings(t *logbook.RecordTrail, changed bool) error {
	if err := h.limitTexts(t); err != nil {
		return err
	}
	if !strings.HasSuffix(t.Path, ".md") && !strings.HasSuffix(t.Path, ".csv") || len(t.Versions) == 1 && !changed {
		return nil
	}
	f, at := h.current(t)
	told, err := h.values(f, at)
	if err == nil {
		t.Values, t.Gone = told.set, told.gone
	}
	return err
}

// limitTexts fills in the texts of a limits file.
func (h *history) limitTexts(t *logbook.RecordTrail) error {
	if !strings.HasPrefix(t.Path, "limits/") || !strings.HasSuffix(t.Path, ".md") {
		return nil
	}
	for i := range t.Versions {
		h.storeLock.Lock()
		raw, err := h.store.read(plumbing.NewHash(t.Versions[i].Blob), plumbing.BlobObject)
		h.storeLock.Unlock()
		if err != nil {
			return err
		}
		t.Versions[i].Text = string(raw)
	}
	return nil
}

// current finds a trail's current version among the file's.
func (h *history) current(t *logbook.RecordTrail) (*file, int) {
	f := h.file(t.Path)
	now := t.Now()
	at := slices.IndexFunc(f.versions, func(v version) bool { return v.commit == now.Commit && v.path == now.Path })
	return f, at
}
