package graph

import (
	"maps"
	"math/rand/v2"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"
)

func name(i int) plumbing.Hash { return plumbing.Hash{byte(i >> 8), byte(i), 1} }

// What is new since a commit is all that the tip has in its past and the commit has not, in any history, with several
// roots and merges; and wherever the commits follow one another it is found.
func TestSinceIsTheDifference(t *testing.T) {
	found := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 1))
		g, n := &Graph{Known: map[plumbing.Hash]Node{}}, 2+r.IntN(9)
		for i := range n {
			var node Node
			for range min(i, r.IntN(3)+r.IntN(2)) {
				node.Parents = append(node.Parents, name(i-1-r.IntN(min(i, 4))))
			}
			g.Known[name(i)] = node
		}
		for c := range n {
			for tip := range n {
				past, _ := g.Past(nil, name(c)) // everything is known: nothing is read, nothing fails
				want, _ := g.Past(past, name(tip))
				whole, _ := g.Past(nil, name(tip))
				is, ok, err := g.Since(name(c), name(tip))
				switch {
				case err != nil:
					t.Fatal(err)
				case ok && (!whole[name(c)] || !maps.Equal(is, want)):
					t.Fatalf("seed %d: since %d, %d has %v, want %v", seed, c, tip, is, want)
				case ok && c != tip:
					found++
				}
			}
		}
	}
	if found < 1000 {
		t.Errorf("found for %d pairs only", found)
	}
}

// What is new in a straight history is found without a look at what is older.
func TestSinceLooksAtNothingOlder(t *testing.T) {
	g := &Graph{Known: map[plumbing.Hash]Node{}} // no store: whoever reads a commit falls over
	for i := 5; i < 9; i++ {
		g.Known[name(i)] = Node{Parents: []plumbing.Hash{name(i - 1)}}
	}
	for c, want := range map[int]int{8: 0, 7: 1, 4: 4} {
		is, ok, err := g.Since(name(c), name(8))
		if err != nil || !ok || len(is) != want {
			t.Errorf("since %d: %d, %v, %v; want %d", c, len(is), ok, err, want)
		}
	}
}
