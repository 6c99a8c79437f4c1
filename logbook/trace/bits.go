package trace

// bits is a set of small numbers: commits by their place in the walk, or events. Sets are shared
// between commits, so with and union never change their receiver.
type bits []uint64

func newBits(n int) bits { return make(bits, (n+63)/64) }

func (b bits) has(i int) bool { return i/64 < len(b) && b[i/64]&(1<<(i%64)) != 0 }

func (b bits) set(i int) { b[i/64] |= 1 << (i % 64) }

// with returns the set and i.
func (b bits) with(i int) bits {
	c := make(bits, max(len(b), i/64+1))
	copy(c, b)
	c.set(i)
	return c
}

// contains reports whether every number of o is in b.
func (b bits) contains(o bits) bool {
	for i, w := range o {
		if i >= len(b) && w != 0 || i < len(b) && w&^b[i] != 0 {
			return false
		}
	}
	return true
}

// union returns the numbers of both sets, one of the two where it holds the other.
func (b bits) union(o bits) bits {
	if b.contains(o) {
		return b
	}
	if o.contains(b) {
		return o
	}
	c := make(bits, max(len(b), len(o)))
	copy(c, b)
	for i, w := range o {
		c[i] |= w
	}
	return c
}

// both returns the numbers that are in both sets.
func (b bits) both(o bits) bits {
	c := make(bits, min(len(b), len(o)))
	for i := range c {
		c[i] = b[i] & o[i]
	}
	return c
}
