package trace

import (
	"path"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// A Shown is an object as git hashes it, with its id: a commit, or a folder's list.
type Shown struct {
	ID, Kind string
	Raw      []byte
}

// Shows are the objects by which git alone shows that files are those of a commit, without the rest of the history: the
// commit, and the lists of the folders on the way to the files.
func Shows(dir, commit string, files []string) ([]Shown, error) {
	s, err := OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	raw, err := s.read(plumbing.NewHash(commit), plumbing.CommitObject)
	if err != nil {
		return nil, err
	}
	tree, _, err := s.Commit(plumbing.NewHash(commit))
	if err != nil {
		return nil, err
	}
	folders := map[string]bool{}
	for _, f := range files {
		for d := path.Dir(f); d != "."; d = path.Dir(d) {
			folders[d] = true
		}
	}
	all := []Shown{{commit, "commit", raw}}
	return all, s.shows(tree, "", folders, &all)
}

// shows adds the list of a folder and those below it that are asked for, each once.
func (s *Store) shows(tree id, prefix string, folders map[string]bool, all *[]Shown) error {
	raw, err := s.read(tree, plumbing.TreeObject)
	if err != nil {
		return err
	}
	*all = append(*all, Shown{tree.String(), "tree", raw})
	r, err := s.tree(tree)
	if err != nil {
		return err
	}
	for {
		e, err := r.next()
		if err != nil || e.mode == "" {
			return err
		}
		name := prefix + string(e.name)
		if !e.isTree() || !folders[name] || strings.Count(name, "/") > 10 {
			continue
		}
		if err := s.shows(e.id, name+"/", folders, all); err != nil {
			return err
		}
	}
}
