package trace_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/exchange"
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
	until  map[string]string               // the last day in a hand's line
	clock  map[string]int                  // minutes that each one's clock is wrong by
	spoil  func(f *fleet, who string) bool // makes an attack instead of a commit; false when it cannot here
	done   bool                            // the attack was made
}

// numbered is a text with its number: the greater is the newer, since each file has one writer.
type numbered struct {
	n    int
	text string
}

func newFleet(seed uint64) *fleet {
	f := &fleet{tale: found(shore, berg, ivanov), r: rand.New(rand.NewPCG(seed, 7)), tips: map[string]int{shore: 0, berg: 0, ivanov: 0}, listed: []string{shore, berg, ivanov}, until: map[string]string{}, clock: map[string]int{}}
	for _, who := range []string{shore, berg, ivanov, reyes} {
		if f.r.IntN(3) == 0 {
			f.clock[who] = f.r.IntN(6000) // up to four days ahead: the others' commits then seem to go back
		}
	}
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
	f.tips[who] = f.at(who, f.now(who), []int{tip}, path, text)
	f.trees = append(f.trees, tree)
}

// signers writes the register as the office has it.
func (f *fleet) signers() {
	text := ""
	for _, n := range f.listed {
		text += line(n, roles[n], "20240101", f.until[n])
	}
	f.commit(shore, "signers/allowed_signers", text+fmt.Sprintf("# %d\n", f.texts))
}

// today is the day that the office's clock shows, as its last minute stands in a line.
func (f *fleet) today() string {
	return zero.Add(time.Duration(f.now(shore))*time.Minute).Format("20060102") + "2359"
}

// now is the minute that someone's clock shows.
func (f *fleet) now(who string) int { return 10*len(f.steps) + f.clock[who] }

// work is one honest commit.
func (f *fleet) work(who string) {
	n := f.r.IntN(6)
	body := fmt.Sprintf("---\nn: %d\n---\n", f.texts)
	switch who {
	case shore:
		at, aboard := f.tips[reyes]
		if n == 0 && !aboard {
			if !slices.Contains(f.listed, reyes) {
				f.listed = append(f.listed, reyes)
			}
			delete(f.until, reyes)
			f.signers()
			f.tips[reyes] = f.tips[shore] // he joins with what the office has
			return
		}
		// He leaves, once the office has all that he wrote, his line taken out or ended today; or comes back.
		if aboard && n == 1 && f.reaches(f.tips[shore], at) {
			if f.r.IntN(2) == 0 {
				f.listed = slices.DeleteFunc(f.listed, func(n string) bool { return n == reyes })
			} else {
				f.until[reyes] = f.today()
			}
			f.signers()
			delete(f.tips, reyes)
			return
		}
		if n == 2 { // somebody's last day is known long before, and he works on meanwhile
			f.until[ivanov] = fmt.Sprintf("20%d0101", 30+f.r.IntN(9))
			f.signers()
			return
		}
		f.commit(who, fmt.Sprintf("limits/q%d.md", n%3), body)
	case berg:
		if n == 0 {
			f.commit(who, fmt.Sprintf("countersigned/2024-01-0%d-ivanov.berg.md", 1+f.r.IntN(6)), body)
			return
		}
		f.commit(who, fmt.Sprintf("decisions/%d.md", n), body)
	default:
		signer, _, _ := strings.Cut(who, "@")
		f.commit(who, fmt.Sprintf("overhauls/me1/c%d/2024-01-0%d-%s.md", 1+n%3, 1+n, signer), body)
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
	f.tips[who] = f.at(who, f.now(who), []int{a, b}, changes...)
	f.trees = append(f.trees, tree)
}

// gather merges what all the others have at once.
func (f *fleet) gather(who string) {
	parents, tree := []int{f.tips[who]}, maps.Clone(f.trees[f.tips[who]])
	for _, other := range slices.Sorted(maps.Keys(f.tips)) {
		b := f.tips[other]
		if slices.ContainsFunc(parents, func(a int) bool { return f.reaches(a, b) || f.reaches(b, a) }) {
			continue
		}
		parents = append(parents, b)
		for p, v := range f.trees[b] {
			if v.n > tree[p].n {
				tree[p] = v
			}
		}
	}
	if len(parents) < 2 {
		return
	}
	var changes []string
	for _, p := range slices.Sorted(maps.Keys(tree)) {
		if tree[p] != f.trees[parents[0]][p] {
			changes = append(changes, p, tree[p].text)
		}
	}
	f.tips[who] = f.at(who, f.now(who), parents, changes...)
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
		case f.r.IntN(9) == 0:
			f.gather(who)
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

func count(short, many int) int {
	switch {
	case os.Getenv("NEEDLEBOOK_LONG") == "1":
		return many
	case wider:
		return max(short, many/4)
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
		f.commit(who, "signers/allowed_signers", lines(f.listed...)+line(nobody, []string{"engineer"}, "", ""))
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
	{"a key used after its owner was taken out, on a base that had not seen it", func(f *fleet, who string) bool {
		if who != shore || !f.reaches(f.tips[shore], f.tips[ivanov]) {
			return false
		}
		before := f.tips[ivanov]
		f.listed = slices.DeleteFunc(f.listed, func(n string) bool { return n == ivanov })
		f.commit(shore, "signers/allowed_signers", lines(f.listed...)+fmt.Sprintf("# %d\n", f.texts))
		f.tips[ivanov] = before
		f.work(ivanov)
		return true
	}},
	{"a key that is signed off goes on with a date inside its window", func(f *fleet, who string) bool {
		if who != shore || !f.reaches(f.tips[shore], f.tips[ivanov]) {
			return false
		}
		f.until[ivanov] = f.today()
		f.signers()
		f.tips[ivanov] = f.tips[shore]
		f.work(ivanov)
		return true
	}},
	{"a hand raises his own role", func(f *fleet, who string) bool {
		if who != ivanov {
			return false
		}
		text := strings.Replace(lines(f.listed...), line(ivanov, roles[ivanov], "20240101", ""), line(ivanov, []string{"engineer", "chief"}, "20240101", ""), 1)
		f.commit(who, "signers/allowed_signers", text)
		return true
	}},
	{"a chief lets a chief in", func(f *fleet, who string) bool {
		if who != berg {
			return false
		}
		f.commit(who, "signers/allowed_signers", lines(f.listed...)+line(nobody, []string{"engineer", "chief"}, "", ""))
		return true
	}},
	{"an engineer countersigns", func(f *fleet, who string) bool {
		if who != ivanov {
			return false
		}
		f.commit(who, "countersigned/2024-01-01-berg.ivanov.md", "---\nseen: as seen\n---\n")
		return true
	}},
	{"a chief writes a review", func(f *fleet, who string) bool {
		if who != berg {
			return false
		}
		f.commit(who, "reviews/2024-01-01-ivanov.berg.md", "---\nseen: as seen\n---\n")
		return true
	}},
	{"an engineer adopts what nobody signed", func(f *fleet, who string) bool {
		if who != ivanov {
			return false
		}
		f.work(ivanov)
		f.unsigned()
		f.commit(ivanov, "signers/adopted", strings.Repeat("0", 40)+" mine\n")
		return true
	}},
	{"a second beginning", func(f *fleet, who string) bool {
		f.texts++
		own := f.at(who, f.now(who), []int{}, "photos/x.md", "x\n")
		f.trees = append(f.trees, map[string]numbered{"photos/x.md": {f.texts, "x\n"}})
		tree := maps.Clone(f.trees[f.tips[who]])
		tree["photos/x.md"] = numbered{f.texts, "x\n"}
		f.tips[who] = f.at(who, f.now(who), []int{f.tips[who], own}, "photos/x.md", "x\n")
		f.trees = append(f.trees, tree)
		return true
	}},
	{"a merge that eases the limits", func(f *fleet, who string) bool {
		if who == shore {
			return false
		}
		for _, other := range slices.Sorted(maps.Keys(f.tips)) {
			if a, b := f.tips[who], f.tips[other]; !f.reaches(a, b) && !f.reaches(b, a) {
				f.sync(who, other)
				last := &f.steps[len(f.steps)-1]
				f.texts++
				text := fmt.Sprintf("---\nmax: %d\n---\n", f.texts)
				last.Changes = slices.DeleteFunc(last.Changes, func(c exchange.Change) bool { return c.Path == "limits/q1.md" })
				last.Changes = append(last.Changes, exchange.Change{Path: "limits/q1.md", Text: []byte(text)})
				f.trees[len(f.trees)-1]["limits/q1.md"] = numbered{f.texts, text}
				return true
			}
		}
		return false
	}},
	{"a record given another name", func(f *fleet, who string) bool {
		signer, _, _ := strings.Cut(who, "@")
		tip := f.tips[who]
		for _, p := range slices.Sorted(maps.Keys(f.trees[tip])) {
			if strings.HasPrefix(p, "overhauls/") && strings.HasSuffix(p, signer+".md") {
				f.texts++
				tree := maps.Clone(f.trees[tip])
				to := strings.Replace(p, signer, "other", 1)
				tree[to] = numbered{f.texts, tree[p].text}
				delete(tree, p)
				f.tips[who] = f.at(who, f.now(who), []int{tip}, p, "->"+to)
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
		for seed := range count(6, 120) {
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
