package trace_test

import (
	"fmt"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// as is a line of the register that gives one hand's key to a name, with a remark behind it.
func as(owner, name string, may []string, remark string) string {
	text := strings.Replace(line(owner, may, "20240101", ""), owner, name, 1)
	return strings.TrimSuffix(text, "\n") + remark + "\n"
}

// seen is a countersigning file over a text.
func seen(folder, signer, text string) (string, string) {
	c := exchange.Countersigning(folder, signer, record, []byte(text), "as seen", "")
	return c.Path, string(c.Text)
}

// One man with two keys: who counts as a second person follows from who let a key in. In each tale Berg, the chief, countersigns what a
// key wrote that may be his own; reyes' key is the one in question.
func TestSecondKeys(t *testing.T) {
	eng := []string{"engineer"}
	all := lines(shore, berg, ivanov)
	text := overhaul("by", "ivanov")
	second := as(reyes, ivanov, eng, "")
	// wrote has the key in question write the record, and Berg countersign it.
	wrote := func(s *tale) {
		s.by(reyes, record, text)
		p, f := seen("countersigned", "berg", text)
		s.by(berg, p, f)
	}
	for _, c := range []struct {
		name    string
		tell    func() *tale
		pending bool
		by      string // who let the key in
		counts  bool
	}{
		{"a chief lets in a first key of a new name", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			wrote(s)
			return s
		}, false, berg, true}, // whether that is another man nobody can know; who let him in is said
		{"a chief lets in a further key of a name", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+second)
			wrote(s)
			return s
		}, true, berg, false},
		{"and says himself that it is confirmed", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+as(reyes, ivanov, eng, " key pending"))
			s.by(berg, "signers/allowed_signers", all+as(reyes, ivanov, eng, " confirmed"))
			wrote(s)
			return s
		}, true, berg, false},
		{"a superintendent confirms it", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+as(reyes, ivanov, eng, " I. Ivanov, key pending"))
			wrote(s)
			s.by(shore, "signers/allowed_signers", all+as(reyes, ivanov, eng, " I. Ivanov"))
			return s
		}, false, shore, true},
		{"a superintendent confirms it on a side that is brought in", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+second)
			wrote(s)
			yes := s.from([]int{1}, shore, "signers/allowed_signers", all+as(reyes, ivanov, eng, " seen"))
			s.from([]int{3, yes}, berg, "signers/allowed_signers", all+as(reyes, ivanov, eng, " seen"))
			return s
		}, false, shore, true},
		{"a superintendent changes the line and leaves the word", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+second)
			wrote(s)
			s.by(shore, "signers/allowed_signers", all+as(reyes, ivanov, eng, " key pending"))
			return s
		}, true, berg, false},
		{"a superintendent sets its last day, and says nothing of whose it is", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+second)
			wrote(s)
			s.by(shore, "signers/allowed_signers", all+strings.Replace(line(reyes, eng, "20240101", march), reyes, ivanov, 1))
			return s
		}, true, berg, false},
		{"a superintendent withdraws it", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+second)
			wrote(s)
			s.by(shore, "signers/allowed_signers", all+strings.Replace(line(reyes, eng, "20240101", "202401011300"), reyes, ivanov, 1))
			return s
		}, true, berg, false},
		{"a superintendent confirms what he withdrew before", func() *tale {
			s := found(shore, berg, ivanov)
			off := strings.Replace(line(reyes, eng, "20240101", "202401011300"), reyes, ivanov, 1)
			s.by(berg, "signers/allowed_signers", all+second)
			wrote(s)
			s.by(shore, "signers/allowed_signers", all+off)
			s.by(shore, "signers/allowed_signers", all+strings.TrimSuffix(off, "\n")+" his, seen by me\n")
			return s
		}, false, shore, true},
		{"a superintendent whose key was taken out confirms it on an old base", func() *tale {
			s := &tale{}
			office := line(nobody, []string{"superintendent"}, "20240101", "")
			s.by(shore, "signers/allowed_signers", all+office)
			s.by(berg, "signers/allowed_signers", all+office+second)
			wrote(s)
			s.by(shore, "signers/allowed_signers", all+second)
			late := s.from([]int{1}, nobody, "signers/allowed_signers", all+office+as(reyes, ivanov, eng, " his"))
			s.from([]int{4, late}, shore, "signers/allowed_signers", all+second)
			return s
		}, true, berg, false},
		{"a superintendent lets it in", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(shore, "signers/allowed_signers", all+second)
			wrote(s)
			return s
		}, false, shore, true},
		{"his old key lets it in", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(ivanov, "signers/allowed_signers", all+second)
			wrote(s)
			return s
		}, false, ivanov, true},
		{"a pending key lets a further one in", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+as(nobody, ivanov, eng, ""))
			s.by(nobody, "signers/allowed_signers", all+as(nobody, ivanov, eng, "")+second)
			wrote(s)
			return s
		}, true, ivanov, false},
		{"a pending key lets a further one in, and is confirmed", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+as(nobody, ivanov, eng, ""))
			s.by(nobody, "signers/allowed_signers", all+as(nobody, ivanov, eng, "")+second)
			wrote(s)
			s.by(shore, "signers/allowed_signers", all+as(nobody, ivanov, eng, " his")+second)
			return s
		}, false, ivanov, true},
		{"the name was taken out before", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", lines(shore, berg))
			s.by(berg, "signers/allowed_signers", lines(shore, berg)+second)
			wrote(s)
			return s
		}, true, berg, false},
		{"on an old base, beside the one who is let in", func() *tale {
			s := found(shore, berg)
			s.by(shore, "limits/qz.md", "---\nmax: 1\n---\n")
			s.by(berg, "signers/allowed_signers", all)
			mine := s.from([]int{0}, berg, "signers/allowed_signers", lines(shore, berg)+second)
			s.from([]int{2, mine}, berg, "limits/qz.md", "---\nmax: 1\n---\n", "signers/allowed_signers", all+second)
			wrote(s)
			return s
		}, true, berg, false},
		{"two keys of one new name in one commit", func() *tale {
			s := found(shore, berg)
			s.by(berg, "signers/allowed_signers", all+second)
			wrote(s)
			return s
		}, true, berg, false},
		{"the key under a name of its own first, and then renamed", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(berg, "signers/allowed_signers", all+as(reyes, "x@ship", eng, ""))
			s.by(berg, "signers/allowed_signers", all+second)
			wrote(s)
			return s
		}, true, berg, false},
		{"with another post behind the name", func() *tale { return alikeTale(all, as(reyes, "ivanov@ship", eng, ""), wrote) }, true, berg, false},
		{"with a dot in the name", func() *tale { return alikeTale(all, as(reyes, "i.vanov@ship", eng, ""), wrote) }, true, berg, false},
		{"with a dash in the name", func() *tale { return alikeTale(all, as(reyes, "ivan-ov@ship", eng, ""), wrote) }, true, berg, false},
		{"with a 1 for the i", func() *tale { return alikeTale(all, as(reyes, "1vanov@ship", eng, ""), wrote) }, true, berg, false},
		{"with a nought for the o", func() *tale { return alikeTale(all, as(reyes, "ivan0v@ship", eng, ""), wrote) }, true, berg, false},
		{"under his own name, spelt with a dash", func() *tale {
			return alikeTale(all, as(reyes, "b-erg@ship", eng, ""), wrote)
		}, false, berg, false}, // his own key lets in his own: the same man, and that is said
	} {
		t.Run(c.name, func(t *testing.T) {
			s := c.tell()
			dir, ids := s.book(t)
			trail := read(t, dir, ids)
			if late := strings.HasPrefix(c.name, "a superintendent whose key was taken out"); trail.Proved == late {
				t.Fatalf("%s", trail.Headline)
			}
			r := trail.Records[record]
			if k := trail.At(r.Versions[0].Commit); k.Pending != c.pending || k.LetInBy != c.by {
				t.Errorf("pending %v, let in by %q; want %v, %q", k.Pending, k.LetInBy, c.pending, c.by)
			}
			marked := strings.Contains(fmt.Sprint(trail.Commits), "key pending, does not count for four eyes until a superintendent confirms it")
			if marked != c.pending {
				t.Errorf("the mark is there: %v, want %v", marked, c.pending)
			}
			got := r.Countersignatures[0]
			if counts := got.State == logbook.Countersigned; counts != c.counts || got.LetInBy != "" {
				t.Errorf("countersigned by %s, let in by %q: %s %s, want it to count: %v", got.Signer, got.LetInBy, got.State, got.Why, c.counts)
			}
			if !c.counts && c.pending != (strings.HasPrefix(got.Why, "key pending of ") && got.Pending) {
				t.Errorf("why %q", got.Why)
			}
		})
	}
}

func alikeTale(all, second string, wrote func(*tale)) *tale {
	s := found(shore, berg, ivanov)
	s.by(berg, "signers/allowed_signers", all+second)
	wrote(s)
	return s
}

// A superintendent's review counts over what a pending key wrote: no chief is a superintendent.
func TestReviewOverPendingKey(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(berg, "signers/allowed_signers", lines(shore, berg, ivanov)+as(reyes, ivanov, []string{"engineer"}, ""))
	s.by(reyes, record, overhaul())
	p, f := seen("reviews", "shore", overhaul())
	s.by(shore, p, f)
	dir, ids := s.book(t)
	if c := read(t, dir, ids).Records[record].Countersignatures[0]; c.State != logbook.Countersigned {
		t.Errorf("%s: %s", c.State, c.Why)
	}
}

// A chief's second key is let in by his first, and counts; one that the register calls pending counts for nothing that two have to do.
func TestChiefsSecondKey(t *testing.T) {
	two := []string{"engineer", "chief"}
	for _, c := range []struct {
		name, who, remark string
		counts            bool
	}{
		{"let in by himself", berg, "", true},
		{"let in by himself as pending", berg, " key pending", false},
		{"let in by the office", shore, "", true},
		{"let in by the office as pending", shore, " key pending", false},
	} {
		s := found(shore, berg, ivanov)
		s.by(c.who, "signers/allowed_signers", lines(shore, berg, ivanov)+as(reyes, berg, two, c.remark))
		s.by(ivanov, record, overhaul())
		p, f := seen("countersigned", "berg", overhaul())
		s.by(reyes, p, f)
		s.by(ivanov, record, overhaul("a", "1"))
		s.unsigned()
		_, ids := s.book(t)
		unsigned := ids[len(ids)-1]
		s.by(reyes, "signers/adopted", unsigned+" seen\n")
		dir, ids := s.book(t)
		trail := read(t, dir, ids)
		if got := trail.Records[record].Countersignatures[0]; (got.State != logbook.NotCounted) != c.counts {
			t.Errorf("%s: countersigned %s %s", c.name, got.State, got.Why)
		}
		if got := trail.Commits[len(ids)-2]; (got.State == logbook.Adopted) != c.counts || trail.Proved != c.counts {
			t.Errorf("%s: adopted %s, %s", c.name, got.State, trail.Headline)
		}
	}
}

// Whoever adopts an unsigned change has signed it.
func TestAdopterIsNoSecondPerson(t *testing.T) {
	for _, c := range []struct {
		name, adopts, folder, sees string
		first, counts              bool // first: he countersigns before he adopts
	}{
		{"the same chief", berg, "countersigned", berg, false, false},
		{"the same chief, the other way round", berg, "countersigned", berg, true, false},
		{"another chief", reyes, "countersigned", berg, false, true},
		{"a superintendent answers", shore, "countersigned", berg, false, true},
		{"the same superintendent reviews", shore, "reviews", shore, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore, berg, ivanov)+line(reyes, []string{"engineer", "chief"}, "20240101", ""))
			s.by(ivanov, record, overhaul())
			s.by(ivanov, record, overhaul("a", "1"))
			s.unsigned()
			_, ids := s.book(t)
			signer, _, _ := strings.Cut(c.sees, "@")
			p, f := seen(c.folder, signer, overhaul("a", "1"))
			adopt := func() { s.by(c.adopts, "signers/adopted", ids[2]+" seen\n") }
			if !c.first {
				adopt()
			}
			s.by(c.sees, p, f)
			if c.first {
				adopt()
			}
			dir, ids := s.book(t)
			trail := read(t, dir, ids)
			got := trail.Records[record].Countersignatures[0]
			if !trail.Proved || (got.State == logbook.Countersigned) != c.counts {
				t.Errorf("%s; %s %s", trail.Headline, got.State, got.Why)
			}
			if !c.counts && !strings.Contains(got.Why, "answers for the record too") {
				t.Errorf("why %q", got.Why)
			}
		})
	}
}

func TestSamePerson(t *testing.T) {
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"i.tamm", "i.tamm", true}, {"i.tamm", "itamm", true}, {"i.tamm", "i-tamm", true}, {"i.tamm", "i_tamm", true}, {"i.tamm", "1.tamm", true},
		{"i.tamm", "l.tamm", false}, {"l.tamm", "1.tamm", true}, {"o.berg", "0.berg", true}, {"bernt", "bemt", true}, {"s.okonjo", "5.ok0njo", true},
		{"w.olsen", "vv.olsen", true}, {"i.tamm", "i.tam", false}, {"ivanov", "ivanov2", false},
	} {
		if trace.SamePerson(c.a, c.b) != c.same || trace.SamePerson(c.b, c.a) != c.same {
			t.Errorf("%s and %s: want %v", c.a, c.b, c.same)
		}
	}
}

// ownKeys are histories in which somebody lets in a further key of his own, or tries to let in more than that.
func ownKeys() []scenario {
	all := lines(shore, berg, ivanov)
	eng := []string{"engineer"}
	tell := func(who, register string, then ...func(s *tale)) func() *tale {
		return func() *tale {
			s := found(shore, berg, ivanov)
			s.by(who, "signers/allowed_signers", register)
			for _, f := range then {
				f(s)
			}
			return s
		}
	}
	const notHis = "signers/allowed_signers is for chief or superintendent"
	works := func(s *tale) { s.by(reyes, record, overhaul()) }
	return []scenario{
		{"an engineer lets in his next key", "good", tell(ivanov, all+as(reyes, ivanov, eng, ""), works), "proved: 3 commits"},
		{"an engineer lets in his next key as a chief's", "good", tell(ivanov, all+as(reyes, ivanov, []string{"engineer", "chief"}, "")), notHis},
		{"an engineer lets in a key under another post", "good", tell(ivanov, all+as(reyes, "ivanov@ship", eng, "")), notHis},
		{"an engineer lets in his next key and another man's", "good", tell(ivanov, all+as(reyes, ivanov, eng, "")+as(nobody, "x@ship", eng, "")), notHis},
		{"an engineer lets in his next key and takes out his old one", "good", tell(ivanov, lines(shore, berg)+as(reyes, ivanov, eng, "")), notHis},
		{"an engineer changes the remark on his line", "good", tell(ivanov, lines(shore, berg)+as(ivanov, ivanov, eng, " I. Ivanov")), notHis},
		{"a chief lets in his own next key", "good", tell(berg, all+as(reyes, berg, []string{"engineer", "chief"}, ""), works), "proved: 3 commits"},
		{"a chief lets in his own next key as a superintendent's", "good", tell(berg, all+as(reyes, berg, []string{"superintendent"}, "")), "a chief lets engineers in or out"},
		{"a next key that is good for longer than the old one", "good", func() *tale {
			s := found(shore, berg)
			s.by(shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, eng, "20240101", march))
			s.by(ivanov, "signers/allowed_signers", lines(shore, berg)+line(ivanov, eng, "20240101", march)+as(reyes, ivanov, eng, ""))
			return s
		}, notHis},
		{"a next key that is good for as long as the old one", "good", func() *tale {
			s := found(shore, berg)
			his := line(ivanov, eng, "20240101", march)
			s.by(shore, "signers/allowed_signers", lines(shore, berg)+his)
			s.by(ivanov, "signers/allowed_signers", lines(shore, berg)+his+strings.Replace(line(reyes, eng, "20240101", march), reyes, ivanov, 1))
			works(s)
			return s
		}, "proved: 4 commits"},
		{"a key signed off lets in the next one", "good", func() *tale {
			s := found(shore, berg, ivanov)
			off := lines(shore, berg) + line(ivanov, eng, "20240101", noon)
			s.by(shore, "signers/allowed_signers", off)
			s.by(ivanov, "signers/allowed_signers", off+as(reyes, ivanov, eng, ""))
			return s
		}, "key not in force: the key was withdrawn"},
		{"the next key of one who is signed off beside it", "good", func() *tale {
			s := found(shore, berg, ivanov)
			off := s.by(shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, eng, "20240101", noon))
			next := s.from([]int{0}, ivanov, "signers/allowed_signers", all+as(reyes, ivanov, eng, ""))
			works(s)
			s.from([]int{off, next + 1}, shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, eng, "20240101", noon)+as(reyes, ivanov, eng, ""), record, overhaul())
			return s
		}, "unseen at withdrawal"},
		{"a next key brings a withdrawn one back", "good", func() *tale {
			s := found(shore, berg, ivanov)
			both := all + as(reyes, ivanov, eng, "")
			s.by(ivanov, "signers/allowed_signers", both)
			s.by(shore, "signers/allowed_signers", lines(shore, berg)+as(reyes, ivanov, eng, ""))
			s.by(reyes, "signers/allowed_signers", both)
			return s
		}, notHis},
	}
}
