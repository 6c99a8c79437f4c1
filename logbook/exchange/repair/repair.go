// Package repair finds what a crash, a power cut or a bad disk left amiss below .git, and puts right what no person has
// to decide.
package repair

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"

	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// A Trouble is something that a crash, a power cut or a killed program left behind in a book's folder.
type Trouble struct {
	// Path is the file, relative to the book with forward slashes.
	Path string
	// Since is when it was last written.
	Since time.Time
	// What says what is wrong, Repair what Mend would do; Repair is empty where only a signer can decide.
	What, Remedy string

	repair func() error
}

// Repair does what Repair says, and nothing else. The text of a record is never touched.
func (t *Trouble) Repair() error {
	if t.repair == nil {
		return fmt.Errorf("%q is not for a program to repair", t.Path)
	}
	return t.repair()
}

// Troubles looks at the repository and the folder of the book in dir, and writes nothing. They come in the order in
// which they are to be repaired: locks, then what stands in the way of reading.
func Troubles(dir string) ([]Trouble, error) { return TroublesOn(dir, durable.New) }

// TroublesOn is Troubles on a disk of the caller.
func TroublesOn(dir string, on func(dir string) durable.Disk) ([]Trouble, error) {
	m := &mender{dir: dir, disk: on(dir), on: on}
	if info, err := m.disk.Stat(".git"); err == nil && info.IsDir() {
		m.git = ".git"
		if err := m.head(); err != nil { // before GitDirs, which needs one
			return nil, err
		}
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if len(m.found) == 0 {
		git, common, err := trace.GitDirs(dir)
		if err != nil {
			return nil, err
		}
		if m.git, err = filepath.Rel(dir, common); err != nil {
			return nil, err
		}
		m.git = filepath.ToSlash(m.git)
		if err := m.halves(); err != nil {
			return nil, err
		}
		if len(m.found) == 0 { // a pack that lacks its index may hold the tip
			if err := m.tip(); err != nil {
				return nil, err
			}
		}
		if len(m.found) == 0 {
			if err := errors.Join(m.staged(git), m.damaged()); err != nil {
				return nil, err
			}
		}
		if err := m.coming(); err != nil {
			return nil, err
		}
	}
	if err := m.leftovers(); err != nil {
		return nil, err
	}
	// A lock stands in the way of the repair of what it locks.
	slices.SortStableFunc(m.found, func(a, b Trouble) int { return a.rank() - b.rank() })
	return m.found, nil
}

func (t *Trouble) rank() int {
	if strings.HasSuffix(t.Path, ".lock") {
		return 0
	}
	return 1
}

// mender gathers troubles.
type mender struct {
	dir, git string // git relative to dir
	disk     durable.Disk
	on       func(dir string) durable.Disk
	found    []Trouble
}

// store opens the objects on the mender's disk.
func (m *mender) store() (*trace.Store, error) { return exchange.StoreOn(m.dir, m.on) }

func (m *mender) read(name string) ([]byte, error) { return durable.ReadPlain(m.disk, name) }

// list lists a folder; one that is not there is empty.
func (m *mender) list(dir string) ([]fs.FileInfo, error) {
	files, err := m.disk.Filesystem.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return files, err
}

// bad reports whether an error says that what is stored is missing or is not what it has to be. Any other one says
// nothing of it: the disk did not give it, so that it may be whole, and a repair would write over it.
func bad(err error) bool {
	var broken *trace.BrokenError
	return errors.As(err, &broken) && !broken.Unread || errors.Is(err, trace.ErrUnborn)
}

func (m *mender) say(p, what, remedy string, repair func() error) {
	t := Trouble{Path: p, What: what, Remedy: remedy, repair: repair}
	if info, err := m.disk.Lstat(p); err == nil {
		t.Since = info.ModTime()
	}
	m.found = append(m.found, t)
}

// write puts a text in place of a file, through its lock.
func (m *mender) write(p, text string) func() error {
	return func() error {
		f, err := m.disk.Lock(p, true)
		if err != nil {
			return err
		}
		_, err = f.Write([]byte(text))
		return errors.Join(err, f.Close())
	}
}

var symbolic = regexp.MustCompile(`^ref: (refs/heads/[^\s]+)\n?$`)
var detached = regexp.MustCompile(`^[0-9a-f]{40}\n?$`)

// head looks whether HEAD names a branch or a commit.
func (m *mender) head() error {
	p := path.Join(m.git, "HEAD")
	text, err := exchange.ReadIfThere(m.read, p)
	if err != nil || symbolic.Match(text) || detached.Match(text) {
		return err
	}
	what := "HEAD is missing"
	if text != nil {
		what = fmt.Sprintf("HEAD holds %q instead of a branch", transfer.Clip(string(text)))
	}
	heads, err := m.list(path.Join(m.git, "refs/heads"))
	if err != nil {
		return err
	}
	heads = slices.DeleteFunc(heads, func(h fs.FileInfo) bool { return strings.HasSuffix(h.Name(), ".lock") })
	if len(heads) != 1 {
		m.say(p, what, "", nil)
		return nil
	}
	branch := "refs/heads/" + heads[0].Name()
	m.say(p, what, "let it stand on "+branch+", the one branch there is", m.write(p, "ref: "+branch+"\n"))
	return nil
}

// tip looks whether the branch stands on a commit that can be read, and else where the branch's own log says it
// stood last.
func (m *mender) tip() error {
	store, err := m.store()
	if err != nil {
		return err
	}
	defer store.Close()
	tip, _, err := store.Head()
	if err == nil {
		_, _, err = store.Commit(tip)
	}
	if err == nil || !bad(err) {
		return err
	}
	if errors.Is(err, trace.ErrUnborn) {
		if log, readErr := exchange.ReadIfThere(m.read, path.Join(m.git, "logs/HEAD")); readErr != nil || len(log) == 0 {
			return readErr // nothing was ever committed
		}
	}
	text, readErr := m.read(path.Join(m.git, "HEAD"))
	if readErr != nil {
		return readErr
	}
	name := symbolic.FindSubmatch(text)
	if name == nil {
		m.say(path.Join(m.git, "HEAD"), err.Error(), "", nil)
		return nil
	}
	return m.lastLogged(store, string(name[1]), "the branch stands on no commit that can be read: "+err.Error())
}

// lastLogged says of a branch what is wrong, and offers the last commit in its log that is there.
func (m *mender) lastLogged(store *trace.Store, branch, what string) error {
	p := path.Join(m.git, branch)
	log, err := exchange.ReadIfThere(m.read, path.Join(m.git, "logs", branch))
	if err != nil {
		return err
	}
	for _, line := range slices.Backward(strings.Split(string(log), "\n")) {
		if len(line) < 81 || !detached.MatchString(line[41:81]) {
			continue
		}
		was := line[41:81]
		if _, _, err := store.Commit(plumbing.NewHash(was)); bad(err) {
			continue // cut off before its objects lasted
		} else if err != nil {
			return err
		}
		remedy := "let it stand on commit " + was[:12] + ", the last one in the branch's log that can be read"
		m.say(p, what, remedy, m.write(p, was+"\n"))
		return nil
	}
	m.say(p, strings.Replace(what, "that can be read: ", "that can be read, and its log names none: ", 1)+
		"; fetch the book from its other copy", "", nil)
	return nil
}

// staged looks whether the index can be read and holds what the tip holds.
func (m *mender) staged(git string) error {
	p, err := filepath.Rel(m.dir, filepath.Join(git, "index"))
	if err != nil {
		return err
	}
	p = filepath.ToSlash(p)
	store, err := m.store()
	if err != nil {
		return err
	}
	defer store.Close()
	files, err := allFiles(store)
	if bad(err) {
		return nil // broken bytes are for verify to name
	} else if err != nil {
		return err
	}
	now := make(map[string]plumbing.Hash, len(files))
	for _, f := range files {
		now[f.Path] = f.Is
	}
	again := func() error { return m.restage(p, now) }
	text, err := exchange.ReadIfThere(m.read, p)
	if err != nil {
		return err
	}
	if text == nil {
		m.say(p, "git's list of the files is missing", "write it again from the last commit", again)
		return nil
	}
	idx, err := exchange.DecodeIndex(bytes.NewReader(text))
	switch {
	case errors.Is(err, exchange.ErrIndexForm):
		m.say(p, err.Error(), "", nil)
		return nil
	case err != nil:
		m.say(p, err.Error(), "write it again from the last commit", again)
		return nil
	}
	for _, begun := range []string{"MERGE_HEAD", "CHERRY_PICK_HEAD", "REVERT_HEAD", "rebase-merge", "rebase-apply"} {
		if there, err := durable.IsThere(m.disk, path.Join(path.Dir(p), begun)); err != nil {
			return err
		} else if there {
			what := "something that git was asked to do waits to be finished"
			if begun == "MERGE_HEAD" {
				what = "a merge waits to be finished: needlebook resolve shows it"
			}
			m.say(path.Join(m.git, begun), what, "", nil)
			return nil
		}
	}
	if slices.ContainsFunc(idx.Entries, func(e *index.Entry) bool { return e.Stage != 0 }) {
		m.say(p, "a merge was cut short while it began: sync goes on with it, resolve --give-up takes it back", "", nil)
		return nil
	}
	if differing := unlike(idx, now); len(differing) > 0 {
		shown := strings.Join(differing[:min(4, len(differing))], ", ")
		if len(differing) > 4 {
			shown += fmt.Sprintf(" and %d more", len(differing)-4)
		}
		m.say(p, "files are marked for a commit that was not made, or was cut short: "+shown,
			"mark nothing; the files in the folder stay as they are, and can be signed", again)
	}
	return nil
}

// allFiles lists the files of the tip.
func allFiles(store *trace.Store) ([]trace.Difference, error) {
	tip, _, err := store.Head()
	if err != nil {
		return nil, err
	}
	tree, _, err := store.Commit(tip)
	if err != nil {
		return nil, err
	}
	return store.Differences(plumbing.ZeroHash, tree)
}

// unlike lists the paths in which an index differs from the tip's files.
func unlike(idx *index.Index, now map[string]plumbing.Hash) []string {
	var all []string
	seen := map[string]bool{}
	for _, e := range idx.Entries {
		seen[e.Name] = true
		if now[e.Name] != e.Hash || e.Stage != 0 {
			all = append(all, e.Name)
		}
	}
	for p := range now {
		if !seen[p] {
			all = append(all, p)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// restage writes the index anew from the tip's files. Size and time stand only where the folder holds that very text,
// so that git looks at all others.
func (m *mender) restage(p string, now map[string]plumbing.Hash) error {
	idx := &index.Index{Version: 2}
	paths := make([]string, 0, len(now))
	for name := range now {
		paths = append(paths, name)
	}
	slices.Sort(paths)
	for _, name := range paths {
		e := idx.Add(name)
		e.Hash, e.Mode = now[name], filemode.Regular
		info, err := m.disk.Lstat(name)
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		if text, err := m.read(name); err == nil && plumbing.ComputeHash(plumbing.BlobObject, text) == now[name] {
			exchange.Stamp(e, info)
		}
	}
	var text bytes.Buffer
	if err := index.NewEncoder(&text).Encode(idx); err != nil {
		return err
	}
	return m.write(p, text.String())()
}

// leftovers finds locks, half-written objects, and texts that were on their way into the folder.
func (m *mender) leftovers() error {
	left := budget.New(context.Background())
	return filepath.WalkDir(m.dir, func(file string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if err := left.Add(1, 0); err != nil {
			return fmt.Errorf("folder %q %w", m.dir, err)
		}
		rel, err := filepath.Rel(m.dir, file)
		if err != nil || e.IsDir() {
			return err
		}
		rel = filepath.ToSlash(rel)
		inGit := strings.HasPrefix(rel, m.git+"/")
		remove := func() error { return m.disk.Remove(rel) }
		switch name := e.Name(); {
		case strings.HasSuffix(name, ".lock"):
			what := "a lock: a program that was killed left it, or one is writing at this moment"
			if !inGit {
				what = "a text on its way into " + strings.TrimSuffix(rel, ".lock") +
					": the program that wrote it was killed, or writes at this moment"
			}
			m.say(rel, what, "take it away; what it was to replace stays as it is", remove)
		case rel == m.git+"/index.coming":
			m.say(rel, "a list of the files on its way when a merge began and was cut short; the next sync makes it again",
				"take it away", remove)
		case inGit && (strings.HasPrefix(name, "tmp_") || strings.HasPrefix(name, "tmp-")) &&
			strings.HasPrefix(rel, m.git+"/objects/"):
			m.say(rel, "an object half written; nothing refers to it", "take it away", remove)
		case !inGit && edit.Aside(name):
			m.say(rel, "a text on its way into a file when its writing was cut short; the same command writes it again",
				"take it away; what it was to replace stays as it is", remove)
		case !inGit && strings.HasPrefix(name, ".") && strings.HasSuffix(name, ".coming"):
			m.say(rel, "a text on its way into the folder when a sync was cut short; the next sync brings it again",
				"take it away", remove)
		}
		return nil
	})
}
