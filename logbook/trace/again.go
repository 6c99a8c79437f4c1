package trace

import (
	"maps"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
)

// Again reads the history of the work tree in dir as [Read] does, from a trail that was read before: while the tip
// stands where it stood, only the folder is compared with it anew. What it gives shares the rest with the last trail;
// neither is changed.
func Again(dir string, last *logbook.Trail, o Options) (*logbook.Trail, error) {
	if last == nil || !last.UnderGit || o.Rev != "" || o.EveryText || last.FoundingProof != o.FoundingProof {
		return Read(dir, o)
	}
	s, err := OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	if o.Context != nil {
		s.Until(o.Context)
	}
	tip, branch, err := s.Head()
	if err != nil {
		return nil, err
	}
	if tip.String() != last.Head || branch != last.Branch {
		return Read(dir, o)
	}
	files, err := s.filesOf(tip)
	if err != nil {
		return nil, err
	}
	folder, err := scan(s.ctx, dir)
	if err != nil {
		return nil, err
	}
	now := *last
	now.WorkTree = workTree(folder, files)
	now.Records = maps.Clone(last.Records)
	for _, w := range now.WorkTree {
		r := last.Records[w.Path]
		if r == nil || r.Values != nil || !strings.HasSuffix(w.Path, ".md") {
			continue
		}
		// The one version there is set every value; which those are becomes a question only now that the folder holds others.
		text, err := s.read(plumbing.NewHash(r.Now().Blob), plumbing.BlobObject)
		if err != nil || len(r.Versions) > 1 {
			return Read(dir, o)
		}
		known := *r
		known.Values = map[string]logbook.Setting{}
		for _, v := range logbook.Values(text) {
			known.Values[v.Path] = logbook.Setting{Commit: r.Now().Commit, Written: v.Written}
		}
		now.Records[w.Path] = &known
	}
	return &now, nil
}
