package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// rows are what is measured. Must and goal are for books of a thousand overhauls and more; held is what a small book on a
// busy machine keeps as well, twice to three times what was measured there.
func (w *workload) rows() []row {
	hashed := "reading and hashing"
	rows := []row{
		{name: "check, one record saved", must: 15, goal: 3, held: 110, cpu: true, peer: "reading the bytes", measure: w.saved(false, "check")},
		{name: "check, nothing changed", must: 15, goal: 3, held: 25, cpu: true, peer: "reading the bytes", measure: w.beside(false, "check")},
		{name: "check FILE, one record saved", must: 5, goal: 2, held: 150, cpu: true, peer: hashed, measure: w.saved(true, "check", w.newest())},
	}
	for _, verb := range [][]string{{"show", w.overhauls[0]}, {"due"}, {"stores"}, {"recurring"}, {"handover"}} {
		rows = append(rows, row{name: verb[0] + ", nothing changed", must: 6, goal: 3, held: 20, cpu: true, peer: hashed,
			measure: w.beside(true, verb...)})
	}
	return append(rows,
		row{name: "due, one record saved", must: 6, goal: 3, held: 100, cpu: true, peer: hashed, measure: w.saved(true, "due")},
		row{name: "sign one record", must: 3, goal: 1.2, held: 45, peer: "git add, commit -S", measure: w.signed(false)},
		row{name: "sign one record, checked", must: 3, goal: 1.2, held: 20, peer: "git add, commit -S", measure: w.signed(true)},
		row{name: "sync, nothing to do", must: 4, goal: 1.5, held: 12, cpu: true, peer: "git fetch, push", measure: w.synced},
		row{name: "mailbag pack", must: 10, goal: 3, held: 60, cpu: true, peer: "git bundle create", measure: w.packed},
		row{name: "verify, nothing remembered", must: 50, held: 5, atLeast: true, peer: "git log %G?", measure: w.verified(true)},
		row{name: "the same, processor", goal: 90, held: 10, atLeast: true, cpu: true, peer: "git log %G?", measure: w.verified(true)},
		row{name: "verify again", must: 150, goal: 300, held: 18, atLeast: true, cpu: true, peer: "git log %G?", measure: w.verified(false)},
		row{name: "verify after one commit", must: 4, goal: 1, held: 50, cpu: true, peer: "git status", measure: w.after},
		row{name: "pages after one record", must: 0.1, goal: 0.02, held: 1.5, cpu: true, peer: "all pages", measure: w.rebuilt},
	)
}

// beside measures a verb beside reading the files, hashed or not.
func (w *workload) beside(hash bool, verb ...string) func() (cost, cost, error) {
	return func() (ours, theirs cost, err error) {
		if ours, err = w.ours(verb...); err == nil {
			theirs, err = w.bytesRead(hash)
		}
		return ours, theirs, err
	}
}

// newest is the path of the newest record.
func (w *workload) newest() string { return w.overhauls[len(w.overhauls)-1] }

// edit changes the newest record, each time otherwise, and says its path.
func (w *workload) edit() (string, error) {
	path := w.newest()
	f, err := os.OpenFile(filepath.Join(w.book, path), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return "", err
	}
	_, err = fmt.Fprintf(f, "\nLooked at: %s.\n", token())
	return path, errFirst(err, f.Close())
}

func errFirst(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// saved measures a verb after the newest record was saved, beside reading the files, hashed or not.
func (w *workload) saved(hash bool, verb ...string) func() (cost, cost, error) {
	return func() (ours, theirs cost, err error) {
		if _, err = w.edit(); err != nil {
			return ours, theirs, err
		}
		return w.beside(hash, verb...)()
	}
}

// signed measures signing a record that was saved; one that was checked before, where a check was asked for.
func (w *workload) signed(checked bool) func() (cost, cost, error) {
	return func() (ours, theirs cost, err error) {
		path, err := w.edit()
		if err != nil {
			return ours, theirs, err
		}
		if checked {
			if _, err = w.ours("check", path); err != nil {
				return ours, theirs, err
			}
		}
		if ours, err = w.ours("sign", path, "--key", w.key); err != nil {
			return ours, theirs, err
		}
		if path, err = w.edit(); err != nil {
			return ours, theirs, err
		}
		add, err := w.git("add", path)
		if err != nil {
			return ours, theirs, err
		}
		commit, err := w.git("commit", "-qS", "-m", "looked at again")
		return ours, cost{wall: add.wall + commit.wall, cpu: add.cpu + commit.cpu}, err
	}
}

// other is a bare copy of the book, at the same commit.
func (w *workload) other() (string, error) {
	dir := filepath.Join(w.dir, fmt.Sprint("other-", w.records, ".git"))
	if _, err := os.Stat(dir); err != nil {
		if _, err := w.child(w.dir, nil, "git", "clone", "-q", "--bare", w.book, dir); err != nil {
			return "", err
		}
	}
	_, err := w.child(w.book, nil, "git", "push", "-q", dir, "HEAD:main")
	return dir, err
}

func (w *workload) synced() (ours, theirs cost, err error) {
	dir, err := w.other()
	if err != nil {
		return ours, theirs, err
	}
	if ours, err = w.ours("sync", dir, "--key", w.key); err != nil {
		return ours, theirs, err
	}
	fetch, err := w.git("fetch", "-q", dir)
	if err != nil {
		return ours, theirs, err
	}
	push, err := w.git("push", "-q", dir, "HEAD:main")
	return ours, cost{wall: fetch.wall + push.wall, cpu: fetch.cpu + push.cpu}, err
}

func (w *workload) packed() (ours, theirs cost, err error) {
	out, err := os.MkdirTemp(w.dir, "bag")
	if err != nil {
		return ours, theirs, err
	}
	defer os.RemoveAll(out)
	if ours, err = w.ours("mailbag", "pack", "-o", out); err == nil {
		theirs, err = w.git("bundle", "create", "-q", filepath.Join(out, "native.bundle"), "HEAD")
	}
	return ours, theirs, err
}

// verified measures proving the whole history, with or without what was remembered of it.
func (w *workload) verified(cold bool) func() (cost, cost, error) {
	return func() (ours, theirs cost, err error) {
		if cold {
			if err := w.forget(); err != nil {
				return ours, theirs, err
			}
		} else if _, err := w.ours("verify", "--proof", w.proof); err != nil {
			return ours, theirs, err
		}
		if ours, err = w.ours("verify", "--proof", w.proof); err == nil && w.native.wall == 0 {
			w.native, err = w.git("log", "--format=%H %G? %GS") // takes a minute and more: once for all rows
		}
		return ours, w.native, err
	}
}

// forget takes away what the program remembers of the book.
func (w *workload) forget() error {
	left, err := filepath.Glob(filepath.Join(w.book, ".git", "needlebook*"))
	for _, name := range append(left, filepath.Join(w.dir, "memory"), filepath.Join(w.dir, "cache")) {
		err = errFirst(err, os.RemoveAll(name))
	}
	return err
}

func (w *workload) after() (ours, theirs cost, err error) {
	path, err := w.edit()
	if err != nil {
		return ours, theirs, err
	}
	if _, err := w.ours("verify", "--proof", w.proof); err != nil {
		return ours, theirs, err
	}
	if _, err := w.git("commit", "-qS", "-m", "looked at again", path); err != nil {
		return ours, theirs, err
	}
	if ours, err = w.ours("verify", "--proof", w.proof); err == nil {
		theirs, err = w.git("status")
	}
	return ours, theirs, err
}

func (w *workload) rebuilt() (ours, theirs cost, err error) {
	out, err := os.MkdirTemp(w.dir, "pages")
	if err != nil {
		return ours, theirs, err
	}
	defer os.RemoveAll(out)
	if theirs, err = w.ours("pages", "--no-since", "-o", filepath.Join(out, "p")); err != nil {
		return ours, theirs, err
	}
	var size int64
	err = filepath.WalkDir(out, func(_ string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		if err == nil {
			size += info.Size()
		}
		return err
	})
	if err != nil {
		return ours, theirs, err
	}
	if _, err := w.edit(); err != nil {
		return ours, theirs, err
	}
	ours, err = w.ours("pages", "--no-since", "-o", filepath.Join(out, "p"))
	theirs.most = size
	return ours, theirs, err
}
