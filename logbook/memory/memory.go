package memory

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"needlebook/logbook/budget"
	"needlebook/logbook/exchange/durable"
)

// A Memory is what was seen of one book at the last look that found nothing rewritten.
type Memory struct {
	// Book is the id of the founding commit, Tip that of the tip, 40 hexadecimal digits each.
	Book, Tip string
	// Commits counts the commits up to the tip, itself among them.
	Commits int
	// Register is the SHA-256 of signers/allowed_signers at the tip, Receipt that of the newest receipt known
	// then, 64 hexadecimal digits each; Receipt is empty when there was none.
	Register, Receipt string
	// Time is when that was, by the reader's own clock, UTC to the second.
	Time time.Time
	// Folder is where the book lay: absolute, links followed. It tells the copies of one book apart.
	Folder string
	// Program is the one that looked, as needlebook 0.2; Checks are the versions of its checks, by their permanent ids.
	// Both are empty in what older programs remembered.
	Program string
	Checks  map[string]int
}

// A DamagedError says that what was remembered is there and cannot be believed. That is not the same as a
// first look: something that is gone may have been known once.
type DamagedError struct {
	// File is the memory's file, Why what is wrong with it.
	File, Why string
}

func (e *DamagedError) Error() string {
	return fmt.Sprintf("the reader's memory in %q cannot be believed: %s", e.File, e.Why)
}

// Dir is where memories are kept for the person at the keyboard: the folder that NEEDLEBOOK_MEMORY names, else
// needlebook below the one that his system keeps for what programs remember.
func Dir() (string, error) {
	if dir := os.Getenv("NEEDLEBOOK_MEMORY"); dir != "" {
		return dir, nil
	}
	if state := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(state) {
		return filepath.Join(state, "needlebook"), nil
	}
	home, err := os.UserHomeDir()
	switch {
	case err != nil:
		return "", err
	case runtime.GOOS == "windows", runtime.GOOS == "darwin":
		base, err := os.UserConfigDir()
		return filepath.Join(base, "needlebook"), err
	}
	return filepath.Join(home, ".local", "state", "needlebook"), nil
}

// Remembered is what is remembered that concerns one folder.
type Remembered struct {
	// Own is the memory of what the folder held: of the book, or of another one. Nil when the folder is seen for
	// the first time.
	Own *Memory
	// Copies are the memories of the same book in other folders: a backup, a second clone, by folder.
	Copies []*Memory
}

// Recall reads what is remembered in dir of the book founded by a commit, and of what lay in folder before. Each
// copy of a book, its resolved folder, has a memory of its own. The error is a *DamagedError when one of the
// book's cannot be believed, or comes from the disk.
func Recall(dir, book, folder string) (r Remembered, err error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return r, nil
	}
	if err != nil {
		return r, err
	}
	for _, e := range entries {
		name := filepath.Join(dir, e.Name())
		if !strings.HasSuffix(e.Name(), suffix) {
			continue
		}
		m, err := read(name)
		var damaged *DamagedError
		switch {
		case errors.As(err, &damaged) && !strings.HasPrefix(e.Name(), book):
			continue // that of some other book is told when that book is read
		case err != nil:
			return Remembered{}, err
		case name != file(dir, m.Book, m.Folder):
			return Remembered{}, &DamagedError{name, fmt.Sprintf("it is that of the book founded by commit %.12s in %q", m.Book,
				m.Folder)}
		case m.Folder == folder && (r.Own == nil || m.Book == book):
			r.Own = m
		case m.Folder != folder && m.Book == book:
			r.Copies = append(r.Copies, m)
		}
	}
	slices.SortFunc(r.Copies, func(a, b *Memory) int { return strings.Compare(a.Folder, b.Folder) })
	return r, nil
}

// Keep remembers, in place of what was remembered of the book in this folder. The file is wholly the old or wholly
// the new one, and its owner's alone.
func (m *Memory) Keep(dir string) error {
	text := m.text()
	if _, err := parse(text); err != nil {
		return fmt.Errorf("cannot be remembered: %w", err)
	}
	return durable.Keep(file(dir, m.Book, m.Folder), text)
}

// Forget lets go what is remembered of a book, of every copy of it, and of any other that lay in the same folder.
func Forget(dir, book, folder string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), suffix) {
			continue
		}
		name := filepath.Join(dir, e.Name())
		m, broken := read(name)
		if strings.HasPrefix(e.Name(), book) || broken == nil && m.Folder == folder {
			err = errors.Join(err, os.Remove(name))
		}
	}
	return err
}

const suffix = ".memory"

func file(dir, book, folder string) string {
	return filepath.Join(dir, fmt.Sprintf("%s-%.6x%s", book, sha256.Sum256([]byte(folder)), suffix))
}

func (m *Memory) text() []byte {
	receipt := m.Receipt
	if receipt == "" {
		receipt = "none"
	}
	text := fmt.Sprintf("needlebook memory 1\nbook %s\ntip %s\ncommits %d\nregister sha256:%s\nreceipt %s\ntime "+
		"%s\nfolder %q\n",
		m.Book, m.Tip, m.Commits, m.Register, receipt, m.Time.UTC().Format(time.RFC3339), m.Folder)
	if m.Program != "" {
		text += fmt.Sprintf("program %s\n", m.Program)
		for _, id := range slices.Sorted(maps.Keys(m.Checks)) {
			text += fmt.Sprintf("check %s %d\n", id, m.Checks[id])
		}
	}
	return fmt.Appendf(nil, "%swhole %x\n", text, sha256.Sum256([]byte(text)))
}

var form = regexp.MustCompile(`^needlebook memory 1
book ([0-9a-f]{40})
tip ([0-9a-f]{40})
commits ([1-9][0-9]{0,8})
register sha256:([0-9a-f]{64})
receipt (none|[0-9a-f]{64})
time ([0-9T:-]+Z)
folder (".*")
(?:program ([a-z0-9. -]+)
((?:check [a-z0-9-]+ [0-9]{1,6}
)*))?whole [0-9a-f]{64}
$`)

func read(name string) (*Memory, error) {
	text, err := budget.Read(name, budget.MaxFile)
	if err != nil {
		return nil, err
	}
	m, err := parse(text)
	if err != nil {
		return nil, &DamagedError{name, err.Error()}
	}
	return m, nil
}

func parse(text []byte) (*Memory, error) {
	found := form.FindSubmatch(text)
	if found == nil {
		return nil, errors.New("it is not of its form, or cut short")
	}
	m := &Memory{Book: string(found[1]), Tip: string(found[2]), Register: string(found[4])}
	m.Commits, _ = strconv.Atoi(string(found[3])) // nine digits at most
	if c := string(found[5]); c != "none" {
		m.Receipt = c
	}
	var err error
	if m.Time, err = time.Parse(time.RFC3339, string(found[6])); err != nil {
		return nil, fmt.Errorf("%s is no time", found[6])
	}
	if m.Folder, err = strconv.Unquote(string(found[7])); err != nil {
		return nil, errors.New("its folder is no quoted text")
	}
	m.Program = string(found[8])
	for line := range strings.Lines(string(found[9])) {
		words := strings.Fields(line)
		if m.Checks == nil {
			m.Checks = map[string]int{}
		}
		m.Checks[words[1]], _ = strconv.Atoi(words[2])
	}
	if string(m.text()) != string(text) {
		return nil, errors.New("its last line does not fit the lines above: it was changed")
	}
	return m, nil
}
