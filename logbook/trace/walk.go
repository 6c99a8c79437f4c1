package trace

import (
	"errors"
	"runtime"

	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// node is one commit of the walk with what its bytes alone say.
type node struct {
	id      id
	raw     *rawCommit
	parents []int // indexes in the order of the walk
	sides   [][]step
	sig     signed // only after settle
	known   bool   // from the cache: nothing was read
}

// signed is what a signature's bytes say: a pure function of the commit.
type signed struct {
	err error  // nil when good; errOtherKind, errNone or errBad can be asked for, anything else is form
	key string // wire form; empty when it could not be read
}

var (
	errNone = errors.New("no signature")
	errBad  = errors.New("the signature is not over these bytes")
)

// verify reads and checks a commit's signature, then lets its bytes go.
func (n *node) verify() {
	c := n.raw
	n.sig.err = errNone
	if c.armour != nil {
		s, err := parseSignature(c.armour)
		switch {
		case err != nil:
			n.sig.err = err
		case s.namespace != "git":
			n.sig = signed{errors.New("the signature was made for " + clip(s.namespace) + ", not for a commit"), string(s.key)}
		case !s.good(c.before, c.after):
			n.sig = signed{errBad, string(s.key)}
		default:
			n.sig = signed{nil, string(s.key)}
		}
	}
	c.armour, c.before, c.after = nil, nil, nil
}

// walk reads every commit up to the tip and returns them oldest first, each after its parents, first
// parents' lines first. The order depends on the commits alone. Signatures are checked beside the
// reading, and beside whatever the caller does until he calls settle, which waits for them.
func (s *Store) walk(tip id) (order []*node, settle func(), err error) {
	jobs := make(chan *node, 64)
	var done fault.Group
	for range runtime.GOMAXPROCS(0) {
		done.Go(func() {
			for n := range jobs {
				done.Do(n.verify)
			}
		})
	}
	order, err = s.order(tip, jobs)
	close(jobs)
	return order, done.Wait, err
}

func (s *Store) order(tip id, jobs chan<- *node) ([]*node, error) {
	type frame struct {
		n    *node
		next int // parent to go to next
	}
	open := func(h id) (*node, error) {
		if n := s.known.commits[h]; n != nil {
			return n, nil
		}
		raw, err := s.commit(h)
		if err != nil {
			return nil, err
		}
		n := &node{id: h, raw: raw}
		jobs <- n
		return n, nil
	}
	first, err := open(tip)
	if err != nil {
		return nil, err
	}
	var order []*node
	place := map[id]int{}
	stack := []frame{{n: first}}
	for len(stack) > 0 {
		f := &stack[len(stack)-1]
		if len(order)%256 == 255 {
			if err := budget.Stopped(s.ctx); err != nil {
				return nil, err
			}
		}
		if f.next < len(f.n.raw.parents) {
			p := f.n.raw.parents[f.next]
			f.next++
			if _, ok := place[p]; !ok {
				n, err := open(p)
				if err != nil {
					return nil, err
				}
				stack = append(stack, frame{n: n})
			}
			continue
		}
		for _, p := range f.n.raw.parents {
			f.n.parents = append(f.n.parents, place[p])
		}
		place[f.n.id] = len(order)
		order = append(order, f.n)
		stack = stack[:len(stack)-1]
	}
	return order, nil
}
