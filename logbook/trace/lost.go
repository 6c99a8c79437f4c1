package trace

import (
	"errors"
	"fmt"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
)

// Lost says what a tip that was seen once held and a history does not: how many commits, and the files whose
// text of then is no version of any file now, by path. A rewritten book often holds the old objects still; where
// it does not, the error is a *BrokenError with Missing set.
func Lost(dir, tip string, t *logbook.Trail) (commits int, files []string, err error) {
	if !hexID.MatchString(tip) {
		return 0, nil, fmt.Errorf("%w: %q", ErrNoRevision, clip(tip))
	}
	s, err := OpenStore(dir)
	if err != nil {
		return 0, nil, err
	}
	defer s.Close()
	nodes, settle, err := s.walk(plumbing.NewHash(tip))
	settle()
	if err != nil {
		return 0, nil, err
	}
	known := map[string]bool{}
	for i := range t.Commits {
		known[t.Commits[i].ID] = true
	}
	for _, n := range nodes {
		if !known[n.id.String()] {
			commits++
		}
	}
	texts := map[string]bool{}
	for _, r := range t.Records {
		for _, v := range r.Versions {
			texts[v.Blob] = true
		}
	}
	err = s.differ(id{}, nodes[len(nodes)-1].raw.tree, "", func(c change) error {
		if keeps(c.path) && !texts[c.is.id.String()] {
			files = append(files, c.path)
		}
		return nil
	})
	slices.Sort(files)
	return commits, files, err
}

// LostWords says the same in one line, or that nothing is left to tell it by.
func LostWords(dir, tip string, t *logbook.Trail) string {
	commits, files, err := Lost(dir, tip, t)
	var broken *BrokenError
	switch {
	case errors.As(err, &broken):
		return "what it held is not in this repository any more"
	case err != nil:
		return "what it held could not be read: " + err.Error()
	}
	words := fmt.Sprintf("%s of it are gone", count(commits))
	if commits == 1 {
		words = "1 commit of it is gone"
	}
	if len(files) == 0 {
		return words + ", every text of it is in the history all the same"
	}
	words += "; no longer as they stood then:"
	for i, f := range files {
		if i == 12 {
			return words + fmt.Sprintf(" and %d more", len(files)-i)
		}
		words += " " + f
	}
	return words
}
