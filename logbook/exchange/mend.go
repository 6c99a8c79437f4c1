package exchange

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
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
	"needlebook/logbook/trace"
)

// A Trouble is something that a crash, a power cut or a killed program left behind in a book's folder.
type Trouble struct {
	// Path is the file, relative to the book with forward slashes.
	Path string
	// Since is when it was last written.
	Since time.Time
	// What says what is wrong, Repair what Mend would do; Repair is empty where only a hand can decide.
	What, Repair string

	mend func() error
}

// Mend does what Repair says, and nothing else. The text of a record is never touched.
func (t *Trouble) Mend() error {
	if t.mend == nil {
		return fmt.Errorf("%q is not for a program to repair", t.Path)
	}
	return t.mend()
}

// Troubles looks at the repository and the folder of the book in dir, and writes nothing. They come in the order in
// which they are to be mended: what stands in the way of reading first.
func Troubles(dir string) ([]Trouble, error) {
	m := &mender{dir: dir, disk: newDurable(dir)}
	info, err := os.Stat(filepath.Join(dir, ".git"))
	if err == nil && info.IsDir() {
		m.git = ".git"
		m.head() // before GitDirs, which needs one
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
			m.tip()
		}
		if len(m.found) == 0 {
			m.staged(git)
			if err := m.damaged(); err != nil {
				return nil, err
			}
		}
		m.coming()
	}
	if err := m.leftovers(); err != nil {
		return nil, err
	}
	return m.found, nil
}

// mender gathers troubles.
type mender struct {
	dir, git string // git relative to dir
	disk     durable
	found    []Trouble
}

func (m *mender) say(p, what, repair string, mend func() error) {
	t := Trouble{Path: p, What: what, Repair: repair, mend: mend}
	if info, err := os.Lstat(filepath.Join(m.dir, filepath.FromSlash(p))); err == nil {
		t.Since = info.ModTime()
	}
	m.found = append(m.found, t)
}

// write puts a text in place of a file, through its lock.
func (m *mender) write(p, text string) func() error {
	return func() error {
		f, err := m.disk.lock(p, true)
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
func (m *mender) head() {
	p := path.Join(m.git, "HEAD")
	text, err := os.ReadFile(filepath.Join(m.dir, p))
	if err == nil && (symbolic.Match(text) || detached.Match(text)) {
		return
	}
	what := "HEAD is missing"
	if err == nil {
		what = fmt.Sprintf("HEAD holds %q instead of a branch", clip(string(text)))
	}
	heads, err := filepath.Glob(filepath.Join(m.dir, m.git, "refs", "heads", "*"))
	heads = slices.DeleteFunc(heads, func(h string) bool { return strings.HasSuffix(h, ".lock") })
	if err != nil || len(heads) != 1 {
		m.say(p, what, "", nil)
		return
	}
	branch := "refs/heads/" + filepath.Base(heads[0])
	m.say(p, what, "let it stand on "+branch+", the one branch there is", m.write(p, "ref: "+branch+"\n"))
}

// tip looks whether the branch stands on a commit that can be read, and else where the branch's own log says it
// stood last.
func (m *mender) tip() {
	store, err := trace.OpenStore(m.dir)
	if err != nil {
		return // told by the verbs that read
	}
	defer store.Close()
	tip, _, err := store.Head()
	if err == nil {
		if _, _, err = store.Commit(tip); err == nil {
			return
		}
	}
	if errors.Is(err, trace.ErrUnborn) && !m.logged() {
		return // nothing was ever committed
	}
	text, readErr := os.ReadFile(filepath.Join(m.dir, m.git, "HEAD"))
	name := symbolic.FindSubmatch(text)
	if readErr != nil || name == nil {
		m.say(path.Join(m.git, "HEAD"), err.Error(), "", nil)
		return
	}
	branch := string(name[1])
	p := path.Join(m.git, branch)
	log, _ := os.ReadFile(filepath.Join(m.dir, m.git, "logs", filepath.FromSlash(branch)))
	for _, line := range slices.Backward(strings.Split(string(log), "\n")) {
		if len(line) < 81 || !detached.MatchString(line[41:81]) {
			continue
		}
		if _, _, err := store.Commit(plumbing.NewHash(line[41:81])); err != nil {
			continue // cut off before its objects lasted
		}
		was := line[41:81]
		m.say(p, "the branch stands on no commit that can be read: "+err.Error(), "let it stand on commit "+was[:12]+", the last one in the branch's log that can be read", m.write(p, was+"\n"))
		return
	}
	m.say(p, "the branch stands on no commit that can be read, and its log names none: "+err.Error()+"; fetch the book from its other copy", "", nil)
}

// logged reports whether the branch's log says that there were commits.
func (m *mender) logged() bool {
	info, err := os.Stat(filepath.Join(m.dir, m.git, "logs", "HEAD"))
	return err == nil && info.Size() > 0
}

// staged looks whether the index can be read and holds what the tip holds.
func (m *mender) staged(git string) {
	p, err := filepath.Rel(m.dir, filepath.Join(git, "index"))
	if err != nil {
		return
	}
	p = filepath.ToSlash(p)
	store, err := trace.OpenStore(m.dir)
	if err != nil {
		return
	}
	defer store.Close()
	tip, _, err := store.Head()
	if err != nil {
		return
	}
	tree, _, err := store.Commit(tip)
	if err != nil {
		return
	}
	files, err := store.Differences(plumbing.ZeroHash, tree)
	if err != nil {
		return // broken bytes are for verify to name
	}
	now := make(map[string]plumbing.Hash, len(files))
	for _, f := range files {
		now[f.Path] = f.Is
	}
	again := func() error { return m.restage(p, now) }
	text, err := os.ReadFile(filepath.Join(m.dir, filepath.FromSlash(p)))
	if errors.Is(err, fs.ErrNotExist) {
		m.say(p, "git's list of the files is missing", "write it again from the last commit", again)
		return
	}
	var idx *index.Index
	if err == nil {
		idx, err = decodeIndex(bytes.NewReader(text))
	}
	switch {
	case errors.Is(err, errIndexForm):
		m.say(p, err.Error(), "", nil)
		return
	case err != nil:
		m.say(p, err.Error(), "write it again from the last commit", again)
		return
	}
	for _, begun := range []string{"MERGE_HEAD", "CHERRY_PICK_HEAD", "REVERT_HEAD", "rebase-merge", "rebase-apply"} {
		if _, err := os.Lstat(filepath.Join(git, begun)); err == nil {
			what := "something that git was asked to do waits to be finished"
			if begun == "MERGE_HEAD" {
				what = "a merge waits to be finished: needlebook settle shows it"
			}
			m.say(path.Join(m.git, begun), what, "", nil)
			return
		}
	}
	if slices.ContainsFunc(idx.Entries, func(e *index.Entry) bool { return e.Stage != 0 }) {
		m.say(p, "a merge was cut short while it began: the next sync goes on with it, and needlebook settle --give-up takes it back", "", nil)
		return
	}
	if differing := unlike(idx, now); len(differing) > 0 {
		shown := strings.Join(differing[:min(4, len(differing))], ", ")
		if len(differing) > 4 {
			shown += fmt.Sprintf(" and %d more", len(differing)-4)
		}
		m.say(p, "files are marked for a commit that was not made, or was cut short: "+shown, "mark nothing; the files in the folder stay as they are, and can be signed", again)
	}
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

// restage writes the index anew from the tip's files. Size and time stand only where the folder holds that very text, so that git
// looks at all others.
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
		file := filepath.Join(m.dir, filepath.FromSlash(name))
		info, err := os.Lstat(file)
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		if text, err := os.ReadFile(file); err == nil && plumbing.ComputeHash(plumbing.BlobObject, text) == now[name] {
			stamp(e, info)
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
				what = "a text on its way into " + strings.TrimSuffix(rel, ".lock") + ": the program that wrote it was killed, or writes at this moment"
			}
			m.say(rel, what, "take it away; what it was to replace stays as it is", remove)
		case rel == m.git+"/index.coming":
			m.say(rel, "a list of the files on its way when a merge began and was cut short; the next sync makes it again", "take it away", remove)
		case inGit && (strings.HasPrefix(name, "tmp_") || strings.HasPrefix(name, "tmp-")) && strings.HasPrefix(rel, m.git+"/objects/"):
			m.say(rel, "an object half written; nothing refers to it", "take it away", remove)
		case !inGit && strings.HasPrefix(name, ".") && strings.HasSuffix(name, ".coming"):
			m.say(rel, "a text on its way into the folder when a sync was cut short; the next sync brings it again", "take it away", remove)
		}
		return nil
	})
}
