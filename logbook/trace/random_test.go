package trace_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// fleet plays a ship's engineers, her chief and the office, each with a copy of the book that the others
// see only when they sync: a random history as honest people make it.
type fleet struct {
	*tale
	r      *rand.Rand
	tips   map[string]int                  // each one's newest commit
	trees  []map[string]numbered           // the tree of each commit
	texts  int                             // how many texts were written
	listed []string                        // hands that the office let in
	spoil  func(f *fleet, who string) bool // makes an attack instead of a commit; false when it cannot here
	done   bool                            // the attack was made
}

// numbered is a text with its number: the greater is the newer, since each file has one writer.
type numbered struct {
	n    int
	text string
}

func newFleet(seed uint64) *fleet {
	f := &fleet{tale: found(shore, berg, ivanov), r: rand.New(rand.NewPCG(seed, 7)), tips: map[string]int{shore: 0, berg: 0, ivanov: 0}, listed: []string{shore, berg, ivanov}}
	first := map[string]numbered{}
	for _, c := range f.steps[0].Changes {
		first[c.Path] = numbered{0, string(c.Text)}
	}
	f.trees = append(f.trees, first)
	return f
}

// commit writes a file in someone's copy.
func (f *fleet) commit(who, path, text string) {
	f.texts++
	tip := f.tips[who]
	tree := maps.Clone(f.trees[tip])
	tree[path] = numbered{f.texts, text}
	f.tips[who] = f.at(who, 10*len(f.steps), []int{tip}, path, text)
	f.trees = append(f.trees, tree)
}

// work is one honest commit.
func (f *fleet) work(who string) {
	n := f.r.IntN(6)
	body := fmt.Sprintf("---\nn: %d\n---\n", f.texts)
	switch who {
	case shore:
		if n == 0 && len(f.listed) == 3 {
			f.listed = append(f.listed, reyes)
			f.commit(shore, "hands/signers", lines(f.listed...))
			f.tips[reyes] = f.tips[shore] // he joins with what the office has
			return
		}
		f.commit(who, fmt.Sprintf("limits/q%d.md", n%3), body)
	case berg:
		f.commit(who, fmt.Sprintf("decisions/%d.md", n), body)
	default:
		hand, _, _ := strings.Cut(who, "@")
		f.commit(who, fmt.Sprintf("overhauls/me1/c%d/2024-01-0%d-%s.md", 1+n%3, 1+n, hand), body)
	}
}

// sync merges what another has into someone's copy, the newer text of each file.
func (f *fleet) sync(who, other string) {
	a, b := f.tips[who], f.tips[other]
	if f.reaches(a, b) {
		return
	}
	if f.reaches(b, a) { // nothing of his own: he takes the other's
		f.tips[who] = b
		return
	}
	tree := maps.Clone(f.trees[a])
	var changes []string
	for _, p := range slices.Sorted(maps.Keys(f.trees[b])) {
		if v := f.trees[b][p]; v.n > tree[p].n {
			tree[p] = v
			changes = append(changes, p, v.text)
		}
	}
	f.tips[who] = f.at(who, 10*len(f.steps), []int{a, b}, changes...)
	f.trees = append(f.trees, tree)
}

// newer says whether commit b holds a text that is newer than in a.
func (f *fleet) newer(a, b int) bool {
	for p, v := range f.trees[b] {
		if v.n > f.trees[a][p].n {
			return true
		}
	}
	return false
}

// reaches says whether commit b is in the past of a.
func (f *fleet) reaches(a, b int) bool {
	if a == b {
		return true
	}
	for _, p := range f.steps[a].Parents {
		if p >= b && f.reaches(p, b) {
			return true
		}
	}
	return false
}

// play makes about n commits and brings all together at the office.
func (f *fleet) play(n int) {
	for len(f.steps) < n {
		people := slices.Sorted(maps.Keys(f.tips))
		who := people[f.r.IntN(len(people))]
		switch {
		case f.spoil != nil && !f.done && len(f.steps) > n/3:
			f.done = f.spoil(f, who)
			if !f.done {
				f.work(who)
			}
		case f.r.IntN(3) == 0:
			f.sync(who, people[f.r.IntN(len(people))])
		default:
			f.work(who)
		}
	}
	for _, other := range slices.Sorted(maps.Keys(f.tips)) {
		f.sync(shore, other)
	}
	// The last step is what Build checks out.
	if f.tips[shore] != len(f.steps)-1 {
		f.work(shore)
	}
}

func count(short, long int) int {
	if wider {
		return long
	}
	return short
}

func TestRandomHonestHistoriesAreProved(t *testing.T) {
	for seed := range count(40, 1000) {
		f := newFleet(uint64(seed))
		f.play(12 + seed%20)
		dir, ids := f.book(t)
		if trail := read(t, dir, ids); !trail.Proved || len(trail.Vanished) > 0 || len(trail.WorkTree) > 0 {
			t.Errorf("seed %d: %s; vanished %v, folder %v", seed, trail.Headline, trail.Vanished, trail.WorkTree)
		}
	}
}

// attacks are one dishonest commit each.
var attacks = []struct {
	name string
	make func(f *fleet, who string) bool
}{
	{"unsigned", func(f *fleet, who string) bool { f.work(who); f.unsigned(); return true }},
	{"signed by a stranger", func(f *fleet, who string) bool {
		f.work(who)
		f.steps[len(f.steps)-1].Signer = key(nobody)
		return true
	}},
	{"a stranger let in by an engineer", func(f *fleet, who string) bool {
		if who != ivanov {
			return false
		}
		f.commit(who, "hands/signers", lines(f.listed...)+line(nobody, []string{"engineer"}, "", ""))
		return true
	}},
	{"limits eased by an engineer or chief", func(f *fleet, who string) bool {
		if who == shore {
			return false
		}
		f.commit(who, "limits/qz.md", "---\nmax: 9\n---\n")
		return true
	}},
	{"a record taken out", func(f *fleet, who string) bool {
		for p := range f.trees[f.tips[who]] {
			if strings.HasPrefix(p, "overhauls/") && who != shore {
				f.texts++
				tip := f.tips[who]
				tree := maps.Clone(f.trees[tip])
				delete(tree, p)
				f.tips[who] = f.at(who, 10*len(f.steps), []int{tip}, p, "")
				f.trees = append(f.trees, tree)
				return true
			}
		}
		return false
	}},
	{"a merge that keeps only one side", func(f *fleet, who string) bool {
		for _, other := range slices.Sorted(maps.Keys(f.tips)) {
			a, b := f.tips[who], f.tips[other]
			if f.reaches(a, b) || f.reaches(b, a) || !f.newer(a, b) {
				continue
			}
			f.tips[who] = f.at(who, 10*len(f.steps), []int{a, b})
			f.trees = append(f.trees, maps.Clone(f.trees[a]))
			return true
		}
		return false
	}},
}

func TestRandomAttacksAreSeen(t *testing.T) {
	for _, a := range attacks {
		made := 0
		for seed := range count(6, 170) {
			f := newFleet(uint64(1000 + seed))
			f.spoil = a.make
			f.play(15 + seed%20)
			if !f.done {
				continue
			}
			made++
			dir, ids := f.book(t)
			if trail := read(t, dir, ids); trail.Proved {
				t.Errorf("%s, seed %d: %s", a.name, seed, trail.Headline)
			}
		}
		if made == 0 {
			t.Errorf("%s: never made", a.name)
		}
	}
}
