package tree

// Under is the path of keys under which a key would stand at a place of the file: those above it that stand further
// out.
func (t *Tree) Under(line, column int) (path []string) {
	n := t.Root
	for n != nil && n.Style != Brackets {
		var last *Node
		for _, e := range n.Below {
			at, from := e.KeyLine, e.KeyColumn
			if e.Key == "" { // an item begins with what stands behind its dash
				at, from = e.Line, 0
			}
			if at+t.Line < line && from < column {
				last = e
			}
		}
		if n = last; n != nil && n.Key != "" {
			path = append(path, n.Key)
		}
	}
	return path
}

// On is the first key that stands on a line of the file, with those above it; nil where none does.
func (t *Tree) On(line int) (path []*Node) {
	var on func(n *Node) bool
	on = func(n *Node) bool {
		path = append(path, n)
		if n.Key != "" && n.KeyLine+t.Line == line {
			return true
		}
		for _, e := range n.Below {
			if on(e) {
				return true
			}
		}
		path = path[:len(path)-1]
		return false
	}
	if !on(t.Root) {
		return nil
	}
	return path[1:]
}
