package exchange

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"

	"needlebook/logbook/exchange/durable"
)

// A Step is one commit of a history that is built as a whole.
type Step struct {
	Draft
	// Parents are the numbers, from 0, of earlier steps; nil means the step before. The first step has
	// none. Of several, the first one's tree is the one the changes are made to.
	Parents []int
	// Later, when set, gives further changes that need the ids of the steps before; ids are in their order.
	Later func(ids []string) []Change
}

// config is what every book's repository begins with: syncs that a power cut cannot undo, objects
// checked when they come in, nothing rewritten from afar, and signatures that git itself can check
// when it is run at the top of the book.
const config = `[core]
	repositoryformatversion = 0
	bare = false
	filemode = false
	logAllRefUpdates = always
	fsync = objects,derived-metadata,reference,index
	protectHFS = true
	protectNTFS = true
[transfer]
	fsckObjects = true
[receive]
	denyNonFastForwards = true
	denyDeletes = true
[gpg]
	format = ssh
[gpg "ssh"]
	allowedSignersFile = signers/allowed_signers
[commit]
	gpgsign = true
`

// Build writes a whole new repository with the given history on the branch main, its last step checked
// out, and returns the ids of the commits, in the order of the steps. Everything is written beside dir,
// synced, and renamed into place: dir is either all there or not at all. Dir must not exist yet, or be
// an empty folder. The same steps and keys give the same ids on every machine.
func Build(dir string, steps []Step) ([]string, error) { return BuildOn(dir, steps, durable.New) }

// BuildOn builds on a disk of the caller.
func BuildOn(dir string, steps []Step, disk func(dir string) durable.Disk) ([]string, error) {
	if len(steps) == 0 {
		return nil, ErrNothing
	}
	p := newPack()
	commits, tree, err := history(p, steps)
	if err != nil {
		return nil, err
	}
	aside, err := beside(dir, disk)
	if err != nil {
		return nil, err
	}
	tip := commits[len(commits)-1]
	err = lay(disk(aside.Dir), p, tip, tree)
	if err == nil {
		err = aside.move(tip)
	}
	if err != nil {
		return nil, errors.Join(err, aside.Abandon())
	}
	ids := make([]string, len(commits))
	for i, c := range commits {
		ids[i] = c.String()
	}
	return ids, nil
}

// history makes the objects of all steps and returns the commits and the last one's tree.
func history(p *pack, steps []Step) (commits []plumbing.Hash, tree plumbing.Hash, err error) {
	trees, ids := make([]plumbing.Hash, len(steps)), make([]string, 0, len(steps))
	for i := range steps {
		s := steps[i]
		if s.Later != nil {
			s.Changes = slices.Concat(s.Changes, s.Later(ids))
		}
		if err := s.Check(); err != nil {
			return nil, tree, fmt.Errorf("step %d: %w", i, err)
		}
		numbers := s.Parents
		if numbers == nil && i > 0 {
			numbers = []int{i - 1}
		}
		var parents []plumbing.Hash
		for _, n := range numbers {
			if n < 0 || n >= i {
				return nil, tree, fmt.Errorf("step %d: parent %d is no earlier step", i, n)
			}
			parents = append(parents, commits[n])
		}
		if len(numbers) > 0 {
			tree = trees[numbers[0]]
		} else {
			tree = plumbing.ZeroHash
		}
		if trees[i], _, err = apply(p, tree, s.Changes); err != nil {
			return nil, tree, fmt.Errorf("step %d: %w", i, err)
		}
		raw, err := s.Encode(trees[i], parents)
		if err != nil {
			return nil, tree, fmt.Errorf("step %d: %w", i, err)
		}
		c, err := p.Put(plumbing.CommitObject, raw)
		if err != nil {
			return nil, tree, err
		}
		commits, ids = append(commits, c), append(ids, c.String())
	}
	return commits, trees[len(trees)-1], nil
}

// lay writes repository and folder.
func lay(disk durable.Disk, p *pack, tip, tree plumbing.Hash) error {
	w := newLayer(disk)
	idx := &index.Index{Version: 2}
	if err := w.checkOut(p, tree, "", idx); err != nil {
		return err
	}
	file, packed, name, err := p.finish()
	if err != nil {
		return err
	}
	w.unborn("main")
	w.file(".git/objects/pack/"+name+".pack", file)
	w.file(".git/objects/pack/"+name+".idx", packed)
	return w.born("main", tip, idx)
}

// unborn writes a repository without a commit.
func (w *layer) unborn(branch string) {
	w.file(".git/HEAD", []byte("ref: refs/heads/"+branch+"\n"))
	w.file(".git/config", []byte(config))
	w.folder(".git/objects/info")
	w.folder(".git/refs/tags")
	w.folder(".git/refs/heads")
}

// born puts the branch on its commit, whose files are in the index.
func (w *layer) born(branch string, tip plumbing.Hash, idx *index.Index) error {
	var text bytes.Buffer
	if err := index.NewEncoder(&text).Encode(idx); err != nil {
		return err
	}
	w.file(".git/index", text.Bytes())
	w.file(".git/refs/heads/"+branch, []byte(tip.String()+"\n"))
	return w.sync()
}

// layer writes files below a folder that nobody reads yet: all are synced at the end.
type layer struct {
	disk    durable.Disk
	folders map[string]bool
	failed  error
}

func newLayer(disk durable.Disk) *layer {
	return &layer{disk: disk, folders: map[string]bool{"": true}}
}

func (w *layer) folder(name string) {
	for d := name; d != "." && !w.folders[d]; d = filepath.ToSlash(filepath.Dir(d)) {
		w.folders[d] = true
	}
	if err := w.disk.Filesystem.MkdirAll(name, 0o777); err != nil && w.failed == nil {
		w.failed = err
	}
}

func (w *layer) file(name string, text []byte) {
	w.folder(filepath.ToSlash(filepath.Dir(name)))
	f, err := w.disk.Filesystem.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err == nil {
		_, err = f.Write(text)
		err = errors.Join(err, durable.SyncFile(f), f.Close())
	}
	if err != nil && w.failed == nil {
		w.failed = err
	}
}

// sync makes the names last, and returns the first error of all that was written.
func (w *layer) sync() error {
	folders := make([]string, 0, len(w.folders))
	for d := range w.folders {
		folders = append(folders, d)
	}
	slices.Sort(folders)
	for _, d := range folders {
		if err := w.disk.SyncDir(d); err != nil && w.failed == nil {
			w.failed = err
		}
	}
	return w.failed
}

// checkOut writes the files of a tree and enters them in the index.
func (w *layer) checkOut(p *pack, tree plumbing.Hash, prefix string, idx *index.Index) error {
	entries, err := p.Entries(tree)
	if err != nil {
		return err
	}
	for _, e := range entries {
		path := prefix + e.Name
		if e.Mode == ModeTree {
			if err := w.checkOut(p, e.ID, path+"/", idx); err != nil {
				return err
			}
			continue
		}
		if err := w.enter(idx, path, p.texts[e.ID], e.ID, filemode.Regular); err != nil {
			return err
		}
	}
	return nil
}

// enter writes a file of the book and enters it in the index.
func (w *layer) enter(idx *index.Index, path string, text []byte, id plumbing.Hash, mode filemode.FileMode) error {
	w.file(path, text)
	if w.failed != nil {
		return w.failed
	}
	info, err := w.disk.Lstat(path)
	if err != nil {
		return err
	}
	entry := idx.Add(path)
	entry.Hash, entry.Mode = id, mode
	Stamp(entry, info)
	return nil
}
