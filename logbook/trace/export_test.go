package trace

import (
	"bytes"
	"maps"
	"slices"
	"strings"
	"time"
)

// Fingerprint is fingerprint, for the tests.
var Fingerprint = fingerprint

// History walks a history and compares each commit with its parents; signatures and values are left out.
func History(dir string) (commits int, err error) {
	s, err := OpenStore(dir)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	tip, _, err := s.Head()
	if err != nil {
		return 0, err
	}
	jobs := make(chan *node, 1)
	go func() {
		for range jobs {
		}
	}()
	order, err := s.order(tip, jobs)
	close(jobs)
	if err == nil {
		err = s.compare(order)
	}
	return len(order), err
}

// Accepts asks of a detached signature what ssh-keygen -Y verify does.
func Accepts(signers []byte, principal, namespace string, at time.Time, message, armour []byte) bool {
	r, err := parseRegister(signers)
	if err != nil {
		return false
	}
	s, err := parseSignature(armour)
	if err != nil || s.namespace != namespace || !s.good(message) {
		return false
	}
	l := r[string(s.key)]
	has := func(n string) bool { return l.roles&roleOf(n) != 0 }
	return l != nil && l.principal == principal && has(namespace) && l.holds(at)
}

// ParseCommit reads a commit's bytes: whether they can be read, what is wrong with their form, the
// signature, and what it is over.
func ParseCommit(raw []byte) (readable bool, malformed string, armour, signed []byte) {
	c, err := parseCommit(raw)
	if err != nil {
		return false, "", nil, nil
	}
	return true, c.malformed, c.armour, slices.Concat(c.before, c.after)
}

// ParseSignature reads an armoured signature and, when it is well-formed, checks it over a message.
func ParseSignature(armour, message []byte) (wellFormed, good bool, namespace string) {
	s, err := parseSignature(armour)
	if err != nil {
		return false, false, ""
	}
	return true, s.good(message), s.namespace
}

// ParseRegister reads signers/allowed_signers and returns its lines, each as principal, namespaces and key.
func ParseRegister(text []byte) ([]string, error) {
	r, err := parseRegister(text)
	var all []string
	for _, l := range r {
		var names []string
		for _, n := range namespaces {
			if l.roles&n.role != 0 {
				names = append(names, n.name)
			}
		}
		all = append(all, l.principal+"\t"+strings.Join(names, ",")+"\t"+l.key)
	}
	slices.Sort(all)
	return all, err
}

// Known says how many commits the cache in a folder knows of a book, and is believed in.
func Known(folder, dir string) int { return len(openCache(folder, dir+"/.git").commits) }

// Forge makes in a folder, with the key that lies there, a cache that calls every commit of a book signed
// by one key, whatever its signature is worth.
func Forge(folder, dir, key string) error {
	s, err := OpenStore(dir)
	if err != nil {
		return err
	}
	defer s.Close()
	s.known = openCache(folder, dir+"/.git")
	tip, _, err := s.Head()
	if err != nil {
		return err
	}
	nodes, settle, err := s.walk(tip)
	if err == nil {
		err = s.compare(nodes)
	}
	settle()
	for _, n := range nodes {
		n.sig, n.raw.malformed = signed{nil, key}, ""
	}
	s.known.learn(nodes)
	s.known.save()
	return err
}

// Facts are what a cache would keep of a book, not sealed.
func Facts(dir string) ([]byte, error) {
	s, err := OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	tip, _, err := s.Head()
	if err != nil {
		return nil, err
	}
	nodes, settle, err := s.walk(tip)
	settle()
	if err == nil {
		err = s.compare(nodes)
	}
	c := facts{file: "x", texts: map[id]text{}}
	c.learn(nodes)
	c.learnText(tip, text{asked: true, values: []string{"a", "1"}})
	(*packer)(&c.fresh).file("pack/x", digest{1})
	return c.fresh, err
}

// Recode reads facts and writes them again, in a fixed order; false when they are not of the form.
func Recode(part []byte) ([]byte, bool) {
	c := facts{file: "x", commits: map[id]*node{}, texts: map[id]text{}, stored: map[string]digest{}}
	if !c.decode(string(part)) {
		return nil, false
	}
	byID := func(a, b id) int { return bytes.Compare(a[:], b[:]) }
	var p packer
	for _, h := range slices.SortedFunc(maps.Keys(c.commits), byID) {
		p.commit(c.commits[h])
	}
	for _, h := range slices.SortedFunc(maps.Keys(c.texts), byID) {
		p.blob(h, c.texts[h])
	}
	for _, name := range slices.Sorted(maps.Keys(c.stored)) {
		p.file(name, c.stored[name])
	}
	return p, true
}
