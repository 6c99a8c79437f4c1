package packs

// patch applies a delta to the text it is a difference to. Every length in it is checked before it is believed.
func patch(base, delta []byte) ([]byte, error) {
	from, delta, ok := length(delta)
	if !ok || from != int64(len(base)) {
		return nil, refuse("a delta is made for another text")
	}
	size, delta, ok := length(delta)
	if !ok || size > maxObject {
		return nil, refuse("a delta makes an object larger than %d MiB", maxObject>>20)
	}
	out := make([]byte, 0, min(size, 1<<20))
	for len(delta) > 0 {
		c := delta[0]
		delta = delta[1:]
		var part []byte
		switch {
		case c&0x80 != 0:
			var at, n int
			for i := range 7 {
				if c&(1<<i) == 0 {
					continue
				}
				if len(delta) == 0 {
					return nil, refuse("a delta is cut short")
				}
				if i < 4 {
					at |= int(delta[0]) << (8 * i)
				} else {
					n |= int(delta[0]) << (8 * (i - 4))
				}
				delta = delta[1:]
			}
			if n == 0 {
				n = 0x10000
			}
			if at > len(base) || n > len(base)-at {
				return nil, refuse("a delta copies from beyond the text")
			}
			part = base[at : at+n]
		case c == 0:
			return nil, refuse("a delta holds an unknown instruction")
		default:
			if int(c) > len(delta) {
				return nil, refuse("a delta is cut short")
			}
			part, delta = delta[:c], delta[c:]
		}
		if int64(len(out)+len(part)) > size {
			return nil, refuse("a delta makes more than it says")
		}
		out = append(out, part...)
	}
	if int64(len(out)) != size {
		return nil, refuse("a delta makes less than it says")
	}
	return out, nil
}

// length reads a number as deltas hold it.
func length(b []byte) (n int64, rest []byte, ok bool) {
	for i := 0; i < len(b) && i < 9; i++ {
		n |= int64(b[i]&0x7f) << (7 * i)
		if b[i]&0x80 == 0 {
			return n, b[i+1:], true
		}
	}
	return 0, nil, false
}
