package trace

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/events"
	"needlebook/logbook/fault"
)

// Options say what to read, and against what to hold it.
type Options struct {
	// FoundingProof is what was handed over outside the book: the id of the founding commit, an @, and
	// the fingerprint of the founder's key (40 hexadecimal digits @SHA256:…). Without it a history is at
	// best consistent with itself. A book that was founded again, because all keys that could let in a
	// superintendent were lost, has one proof more for each time: all of them, the oldest first, with
	// commas between.
	FoundingProof string
	// Rev is the commit to read up to; empty means the tip, and the folder is compared with it.
	Rev string
	// EveryText also reads and hashes every text that any commit brought; without it only those that
	// the answer needs.
	EveryText bool
	// Cache is a folder of the reader's own, outside every book, that keeps what follows from stored
	// bytes alone, so that the next reading costs what is new. Empty keeps nothing. The answer is the
	// same; a cache that is damaged, forged or of other bytes is not believed.
	Cache string
	// Context ends the reading when it ends, with an error that is budget.ErrStopped; nil never does.
	Context context.Context
}

// ErrProofForm says that a founding proof is not of its form.
var ErrProofForm = errors.New("founding proof is not of the form COMMIT@SHA256:FINGERPRINT")

var proofForm = regexp.MustCompile(`^([0-9a-f]{40})@(SHA256:[A-Za-z0-9+/]{43})$`)

// Read reads the history of the book whose work tree is dir. It writes nothing and runs nothing.
//
// The error is one of the named ones, a *BrokenError when a commit or tree does not match its id, or
// comes from the disk. With ErrWrongRoot, and only then, the trail is there all the same, judged without
// the proof: reading is never blocked.
func Read(dir string, o Options) (*logbook.Trail, error) {
	proofs, err := parseProofs(o.FoundingProof)
	if err != nil {
		return nil, err
	}
	s, err := OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	if o.Context != nil {
		s.Until(o.Context)
	}
	folder := make(chan scanned, 1)
	if o.Rev == "" {
		fault.Go("look at the folder", func() error {
			all, err := scan(s.ctx, dir)
			folder <- scanned{all, err}
			return nil
		}, func(err error) { folder <- scanned{err: err} })
	}
	if o.Cache != "" {
		if err := s.remember(dir, o.Cache); err != nil {
			return nil, err
		}
		defer s.known.save()
	}
	tip, branch, err := s.start(o.Rev)
	if err != nil {
		return nil, err
	}
	h, err := s.history(tip)
	if err != nil {
		return nil, err
	}
	wrong := h.proofsFit(proofs)
	if h.founding < 0 {
		if err := h.findFounding(); err != nil {
			return nil, err
		}
	}
	if err := h.judge(); err != nil {
		return nil, err
	}
	t := &logbook.Trail{UnderGit: true, Head: tip.String(), Branch: branch, FoundingProof: o.FoundingProof,
		Founding: h.founding, Commits: h.commits, Repeated: h.rows, InForce: h.inForce(), EverNamed: h.everNamed()}
	if wrong != nil {
		t.FoundingProof = ""
	}
	if err := h.fill(t, folder, o); err != nil {
		return nil, err
	}
	conclude(t, h.again)
	if wrong != nil {
		t.Proved, t.Headline = false, wrong.Error()
	}
	return t, wrong
}

// scanned is what scan gave.
type scanned struct {
	all []lying
	err error
}

// start finds the commit to read up to.
func (s *Store) start(rev string) (tip id, branch string, err error) {
	if rev == "" {
		return s.Head()
	}
	tip, err = s.revision(rev)
	return tip, "", err
}

// history walks to a tip and compares every commit with its parents; judging comes after.
func (s *Store) history(tip id) (*history, error) {
	nodes, settle, err := s.walk(tip)
	if err == nil {
		err = s.compare(nodes)
	}
	if err != nil {
		return nil, err
	}
	settle()
	s.known.learn(nodes)
	h := &history{store: s, nodes: nodes, founding: -1,
		commits: make([]logbook.Commit, len(nodes)), verdicts: make([]verdict, len(nodes)), blamed: make([]bool, len(nodes)),
		registers: make([]register, len(nodes)),
		readLines: map[id]parsedRegister{}, prints: map[string]string{}, files: map[string]*file{},
		moved: map[string]string{}, lost: map[string]int{}, merges: map[int]*merge{}}
	stated := func(commit int) time.Time { return nodes[commit].raw.committer.at }
	h.roll = roll{at: make([]*events.State, len(nodes)), texts: make([]id, len(nodes))}
	h.force = newForce(len(nodes), h.sight, stated)
	return h, nil
}

// proof is one founding proof.
type proof struct{ commit, key string }

func parseProofs(text string) ([]proof, error) {
	if text == "" {
		return nil, nil
	}
	var all []proof
	for one := range strings.SplitSeq(text, ",") {
		m := proofForm.FindStringSubmatch(strings.Join(strings.Fields(one), "")) // as written on paper, in groups
		if m == nil {
			return nil, fmt.Errorf("%w: %q", ErrProofForm, one)
		}
		all = append(all, proof{m[1], m[2]})
	}
	return all, nil
}

// proofsFit takes the commit that the first proof names as the founding one, and those of further proofs, each
// behind the one before it, as those by which the book was founded again. The error is ErrWrongRoot.
func (h *history) proofsFit(proofs []proof) error {
	var roots []int
	for _, p := range proofs {
		at := slices.IndexFunc(h.nodes, func(n *node) bool { return n.id.String() == p.commit })
		switch {
		case at < 0:
			return fmt.Errorf("%w: commit %s is not in it", ErrWrongRoot, p.commit)
		case h.nodes[at].sig.err != nil || h.nodes[at].raw.malformed != "":
			return fmt.Errorf("%w: commit %s carries no good signature", ErrWrongRoot, p.commit)
		case fingerprint([]byte(h.nodes[at].sig.key)) != p.key:
			return fmt.Errorf("%w: commit %s is signed by %s", ErrWrongRoot, p.commit, fingerprint([]byte(h.nodes[at].sig.key)))
		case len(roots) > 0 && (at == roots[len(roots)-1] || !h.sight(at).has(roots[len(roots)-1])):
			return fmt.Errorf("%w: commit %s does not stand on the founding commit before it", ErrWrongRoot, p.commit)
		}
		roots = append(roots, at)
	}
	if len(roots) > 0 {
		h.founding, h.again = roots[0], roots[1:]
	}
	return nil
}

// root reports whether a founding proof vouches for a commit.
func (h *history) root(commit int) bool {
	return commit == h.founding || slices.Contains(h.again, commit)
}

// findFounding takes the first commit that brings a well-formed register as the founding one.
func (h *history) findFounding() error {
	for i, n := range h.nodes {
		_, err := h.registerIn(n.raw.tree)
		var broken *BrokenError
		if errors.As(err, &broken) {
			return err
		}
		if err == nil {
			h.founding = i
			return nil
		}
	}
	return nil
}

// fill adds to the trail what the files of the tip, and the folder, have to say.
func (h *history) fill(t *logbook.Trail, folder <-chan scanned, o Options) (err error) {
	files, err := h.store.filesOf(h.nodes[len(h.nodes)-1].id)
	if err != nil {
		return err
	}
	if o.Rev == "" {
		f := <-folder
		if f.err != nil {
			return f.err
		}
		t.WorkTree = workTree(f.all, files)
	}
	if t.Records, t.Vanished, err = h.trails(files); err != nil {
		return err
	}
	changed := map[string]bool{}
	for _, w := range t.WorkTree {
		changed[w.Path] = true
	}
	broken := func(path, blob string, err error) error {
		var b *BrokenError
		if errors.As(err, &b) {
			if b.ID != "" {
				blob = b.ID
			}
			t.Broken = append(t.Broken, logbook.BrokenText{Path: path, Blob: blob, Why: b.Why})
			return nil
		}
		return err
	}
	paths := slices.Sorted(maps.Keys(t.Records))
	for i, err := range h.allSettings(paths, t.Records, changed) {
		if err := broken(paths[i], t.Records[paths[i]].Now().Blob, err); err != nil {
			return err
		}
	}
	if err := h.countersign(t.Records, broken); err != nil {
		return err
	}
	switch {
	case o.EveryText:
		if err := h.everyText(broken); err != nil {
			return err
		}
	case o.Rev != "": // no folder holds the texts of that commit, which are shown
		for _, p := range paths {
			blob := t.Records[p].Now().Blob
			_, err := h.text(plumbing.NewHash(blob), false)
			if err := broken(p, blob, err); err != nil {
				return err
			}
		}
	}
	slices.SortFunc(t.Broken, func(a, b logbook.BrokenText) int { return strings.Compare(a.Path+a.Blob, b.Path+b.Blob) })
	t.Broken = slices.Compact(t.Broken)
	return nil
}

// everyText reads and hashes the texts of all versions of all files.
func (h *history) everyText(broken func(path, blob string, err error) error) error {
	done := map[id]bool{}
	for _, key := range slices.Sorted(maps.Keys(h.files)) {
		for _, v := range h.files[key].versions {
			if v.blob.IsZero() || done[v.blob] {
				continue
			}
			done[v.blob] = true
			if err := budget.Stopped(h.store.ctx); err != nil {
				return err
			}
			_, err := h.text(v.blob, false)
			if err := broken(v.path, v.blob.String(), err); err != nil {
				return err
			}
		}
	}
	return nil
}

// conclude says in one line what the history proves.
func conclude(t *logbook.Trail, again []int) {
	t.First = slices.IndexFunc(t.Commits, func(c logbook.Commit) bool { return !c.Stands })
	since := count(len(t.Commits)-max(t.Founding, 0)) + " signed by allowed signers"
	if n := adopted(t); n > 0 {
		since = fmt.Sprintf("%s, %d of them adopted, the others signed by allowed signers",
			count(len(t.Commits)-max(t.Founding, 0)), n)
	}
	switch {
	case t.Founding < 0:
		t.Headline = "not proved: the history holds no readable " + signersPath
	case len(t.Broken) > 0:
		t.Headline = fmt.Sprintf("not proved: the stored text of %s is broken: object %.12s %s", t.Broken[0].Path,
			t.Broken[0].Blob, t.Broken[0].Why)
	case t.First >= 0:
		c := &t.Commits[t.First]
		t.Headline = fmt.Sprintf("not proved since commit %s of %s: %s%s", c.ID[:12], c.When("2006-01-02"), stands(c),
			alsoAgainst(t))
	case t.FoundingProof == "":
		t.Headline = fmt.Sprintf("consistent with itself: %s; no founding proof was given", since)
	default:
		t.Proved = true
		t.Headline = fmt.Sprintf("proved: %s, from the founding commit on", since)
	}
	if before := slices.IndexFunc(t.Commits,
		func(c logbook.Commit) bool { return c.State == logbook.NotJudged }); before >= 0 && t.Founding > 0 {
		t.Headline += fmt.Sprintf("; %s before the founding commit are not judged", count(t.Founding))
	}
	for _, i := range again {
		c := &t.Commits[i]
		t.Headline += fmt.Sprintf("; founded again by commit %s of %s", c.ID[:12], c.Stated.Format("2006-01-02"))
	}
}

// alsoAgainst counts the commits behind the first that stand in the way too, and names the last of them: an old one
// hides none that came later.
func alsoAgainst(t *logbook.Trail) string {
	n, last := 0, 0
	for i := t.First + 1; i < len(t.Commits); i++ {
		if !t.Commits[i].Stands {
			n, last = n+1, i
		}
	}
	if n == 0 {
		return ""
	}
	c := &t.Commits[last]
	return fmt.Sprintf("; %d more since, the last %s of %s: %s", n, c.ID[:12], c.When("2006-01-02"), stands(c))
}

func adopted(t *logbook.Trail) int {
	n := 0
	for i := range t.Commits {
		if t.Commits[i].State == logbook.Adopted {
			n++
		}
	}
	return n
}

func count(commits int) string {
	if commits == 1 {
		return "1 commit"
	}
	return fmt.Sprintf("%d commits", commits)
}

// stands says what stands against a commit.
func stands(c *logbook.Commit) string {
	if !c.State.Speaks() {
		if c.Why == "" {
			return string(c.State)
		}
		return string(c.State) + ": " + c.Why
	}
	for _, ch := range c.Changes {
		if ch.NotHis != "" {
			return "not theirs to change: " + ch.NotHis
		}
	}
	if len(c.Marks) > 0 {
		return c.Marks[0]
	}
	return string(c.State)
}
