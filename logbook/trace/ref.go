package trace

import (
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"strconv"
	"strings"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-git/v5/plumbing"
)

var (
	hexID  = regexp.MustCompile(`^[0-9a-f]{40}$`)
	hexAny = regexp.MustCompile(`^[0-9a-f]{4,40}$`)
	back   = regexp.MustCompile(`^(.+?)(?:~([0-9]{0,6})|\^)$`)
)

// Head reads HEAD and its branch strictly: only a branch file that does not exist means that there is
// no history (ErrUnborn); any other trouble is an error, never "no history". The branch is the short
// name, empty when HEAD is detached.
func (s *Store) Head() (tip id, branch string, err error) {
	line, err := firstLine(s.git, "HEAD")
	if err != nil {
		return id{}, "", err
	}
	ref, symbolic := strings.CutPrefix(line, "ref: ")
	if !symbolic {
		if !hexID.MatchString(line) {
			return id{}, "", &BrokenError{Why: fmt.Sprintf("HEAD holds %q", line)}
		}
		return plumbing.NewHash(line), "", nil
	}
	tip, err = s.ref(ref)
	if errors.Is(err, fs.ErrNotExist) {
		err = ErrUnborn
	}
	return tip, strings.TrimPrefix(ref, "refs/heads/"), err
}

// ref reads one full ref name, its own file first, then packed-refs. A ref that is nowhere gives
// fs.ErrNotExist.
func (s *Store) ref(name string) (id, error) {
	line, err := firstLine(s.common, name)
	if err == nil {
		if !hexID.MatchString(line) {
			return id{}, &BrokenError{Why: fmt.Sprintf("%s holds %q instead of a commit", name, line)}
		}
		return plumbing.NewHash(line), nil
	} else if !errors.Is(err, fs.ErrNotExist) {
		return id{}, err
	}
	packed, err := readAll(s.common, "packed-refs")
	if err != nil {
		return id{}, err
	}
	for line := range strings.Lines(packed) {
		hex, ref, _ := strings.Cut(strings.TrimSpace(line), " ")
		if ref == name && hexID.MatchString(hex) {
			return plumbing.NewHash(hex), nil
		}
	}
	return id{}, fmt.Errorf("ref %s: %w", name, fs.ErrNotExist)
}

// Ref reads one ref by its full name. One that is nowhere gives fs.ErrNotExist.
func (s *Store) Ref(name string) (plumbing.Hash, error) { return s.ref(name) }

// revision finds a commit by HEAD, branch, tag, full or shortened id, each with ~n or ^ behind it.
func (s *Store) revision(rev string) (id, error) {
	if m := back.FindStringSubmatch(rev); m != nil {
		c, err := s.revision(m[1])
		steps := 1
		if m[2] != "" {
			steps, _ = strconv.Atoi(m[2])
		}
		for ; err == nil && steps > 0; steps-- {
			var raw *rawCommit
			if raw, err = s.commit(c); err == nil && len(raw.parents) == 0 {
				err = fmt.Errorf("%w: %q goes back beyond the first commit", ErrNoRevision, rev)
			} else if err == nil {
				c = raw.parents[0]
			}
		}
		return c, err
	}
	if rev == "HEAD" {
		tip, _, err := s.Head()
		return tip, err
	}
	if safeRef(rev) {
		for _, prefix := range []string{"", "refs/heads/", "refs/tags/", "refs/remotes/"} {
			if prefix == "" && !strings.HasPrefix(rev, "refs/") {
				continue
			}
			if c, err := s.ref(prefix + rev); err == nil {
				return s.peel(c)
			} else if !errors.Is(err, fs.ErrNotExist) {
				return id{}, err
			}
		}
	}
	if hexAny.MatchString(rev) {
		return s.shortened(rev)
	}
	return id{}, fmt.Errorf("%w: %q", ErrNoRevision, rev)
}

func safeRef(name string) bool {
	return fs.ValidPath(name) && !strings.ContainsAny(name, "\\:*?[ ~^")
}

// shortened finds the one commit whose id begins with the digits.
func (s *Store) shortened(digits string) (id, error) {
	if len(digits) == 40 {
		return s.peel(plumbing.NewHash(digits))
	}
	padded := plumbing.NewHash(digits[:len(digits)&^1] + strings.Repeat("0", 40-len(digits)&^1))
	var hashes []id
	err := s.looking(func() (err error) {
		hashes, err = s.objects.HashesWithPrefix(padded[:len(digits)/2])
		return err
	})
	if err != nil {
		return id{}, err
	}
	found := map[id]bool{}
	for _, h := range hashes {
		if !strings.HasPrefix(h.String(), digits) {
			continue
		}
		if c, err := s.peel(h); err == nil {
			found[c] = true
		}
	}
	for c := range found {
		if len(found) == 1 {
			return c, nil
		}
	}
	return id{}, fmt.Errorf("%w: %d commits begin with %q", ErrNoRevision, len(found), digits)
}

// peel follows annotated tags to the commit they name.
func (s *Store) peel(h id) (id, error) {
	for range 8 {
		if _, err := s.read(h, plumbing.CommitObject); err == nil {
			return h, nil
		}
		raw, err := s.read(h, plumbing.TagObject)
		var broken *BrokenError
		if errors.As(err, &broken) && broken.Missing {
			return id{}, fmt.Errorf("%w: %s", ErrNoRevision, h)
		} else if err != nil {
			return id{}, err
		}
		line, _, _ := strings.Cut(string(raw), "\n")
		hex, ok := strings.CutPrefix(line, "object ")
		if !ok || !hexID.MatchString(hex) {
			return id{}, &BrokenError{ID: h.String(), Why: "is a tag that names no object"}
		}
		h = plumbing.NewHash(hex)
	}
	return id{}, &BrokenError{ID: h.String(), Why: "is a tag of a tag of a tag"}
}

func firstLine(f billy.Filesystem, name string) (string, error) {
	text, err := readAll(f, name)
	if err == nil && text == "" {
		err = &BrokenError{Why: name + " is empty"}
	}
	line, _, _ := strings.Cut(text, "\n")
	return strings.TrimRight(line, " \r\t"), err
}

func readAll(f billy.Filesystem, name string) (string, error) {
	if info, err := f.Stat(name); err != nil {
		return "", err
	} else if info.IsDir() {
		return "", fmt.Errorf("%s is a folder: %w", name, fs.ErrNotExist)
	}
	text, err := ReadPlain(f, name, maxSmall)
	return string(text), err
}
