package trace_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

const office = "office@receiver"

// seal makes a receipt of a book, signed by the office or whoever.
func seal(t *testing.T, dir string, trail *logbook.Trail, previous *trace.Receipt, by string, at time.Time) (trace.Sealed, *trace.Receipt) {
	t.Helper()
	c, err := trace.WriteReceipt(dir, trail)
	if err != nil {
		t.Fatal(err)
	}
	if previous != nil {
		c.Previous = previous.Sum()
	}
	c.Time = at
	sig, err := exchange.Sign(c.Text(), key(by), trace.ReceiptNamespace)
	if err != nil {
		t.Fatal(err)
	}
	return trace.Sealed{Name: "0001.receipt", Text: c.Text(), Signature: sig}, c
}

func receivers(t *testing.T, names ...string) []trace.Signer {
	t.Helper()
	text := ""
	for _, n := range names {
		text += line(n, []string{"receiver"}, "", "")
	}
	signers, err := trace.ParseSigners([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return signers
}

// voyage is the honest history that the rewritten ones are held against: founded, a record, a correction,
// another record.
func voyage() *tale {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("a", "1"))
	s.by(berg, record, overhaul("a", "2"))
	s.by(ivanov, "parts/h-1.md", overhaul())
	return s
}

// Every way to rewrite a history behind a receipt is found, with its date; what is dropped after the
// last receipt is not, and is not said to be.
func TestRewritesAgainstReceipts(t *testing.T) {
	seen := time.Date(2024, 1, 1, 14, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name string
		// tell gives the history as it is found later; nil leaves it, and spoil changes the repository.
		tell  func() *tale
		spoil func(t *testing.T, dir string, ids []string)
		want  string
	}{
		{"as it was", voyage, nil, ""},
		{"a commit more", func() *tale { s := voyage(); s.by(ivanov, record, overhaul("a", "3")); return s }, nil, ""},
		{"D01 the tip amended", func() *tale {
			s := voyage()
			s.steps[3].Message = "another word"
			return s
		}, nil, "received on 2024-01-01 14:00Z with 4 commits and 1 record, is not in the history any more"},
		{"D02 set back by one", func() *tale { s := voyage(); s.steps = s.steps[:3]; return s }, nil, "is not in the history any more"},
		{"D03 a commit in the middle left out", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(ivanov, record, overhaul("a", "2"))
			s.by(ivanov, "parts/h-1.md", overhaul())
			return s
		}, nil, "is not in the history any more"},
		{"D04 all signed anew from the founding commit on, with the same dates", func() *tale {
			s := voyage()
			for i := range s.steps {
				s.steps[i].Author.Email = "other@example.org"
			}
			return s
		}, nil, "for the book founded by commit"},
		{"D05 the same files in a history without the old one", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore, berg, ivanov), "limits/qz.md", "---\ntype: QZ\n---\n", ".gitattributes", exchange.Attributes,
				record, overhaul("a", "2"), "parts/h-1.md", overhaul())
			return s
		}, nil, "for the book founded by commit"},
		{"D06 a twin of the tip, made without a key", voyage, func(t *testing.T, dir string, ids []string) {
			forge(t, dir, ids[3], func(raw []byte) []byte { return withHeader(raw, "gpgsig-sha256", []byte("anything\n")) })
		}, "is not in the history any more"},
		{"D07 another commit forced over the tip", func() *tale {
			s := voyage()
			s.steps = s.steps[:3]
			s.by(berg, "decisions/1.md", overhaul())
			return s
		}, nil, "is not in the history any more"},
		{"D17 an old tip served again", func() *tale { s := voyage(); s.steps = s.steps[:2]; return s }, nil, "is not in the history any more"},
	} {
		t.Run(c.name, func(t *testing.T) {
			then, ids := voyage().book(t)
			sealed, _ := seal(t, then, read(t, then, ids), nil, office, seen)
			now, later := c.tell().book(t)
			if c.spoil != nil {
				c.spoil(t, now, later)
			}
			trail, err := trace.Read(now, trace.Options{})
			if err != nil {
				t.Fatal(err)
			}
			w, err := trace.AgainstReceipts(now, trail, []trace.Sealed{sealed}, receivers(t, office))
			if err != nil {
				t.Fatal(err)
			}
			said := strings.Join(w.Rewritten, "; ")
			if c.want == "" && said != "" || !strings.Contains(said, c.want) || len(w.Doubts) > 0 {
				t.Errorf("rewritten %q, want %q; doubts %q", said, c.want, w.Doubts)
			}
		})
	}
}

func TestReceiptsThemselves(t *testing.T) {
	s := voyage()
	first, firstIDs := (&tale{s.steps[:2]}).book(t)
	dir, ids := s.book(t)
	trail := read(t, dir, ids)
	early := read(t, first, firstIDs)
	one := time.Date(2024, 1, 1, 12, 15, 0, 0, time.UTC)
	two := time.Date(2024, 1, 1, 13, 0, 0, 0, time.UTC)
	a, ca := seal(t, first, early, nil, office, one)
	b, _ := seal(t, dir, trail, ca, office, two)
	for _, c := range []struct {
		name   string
		sealed func(t *testing.T) []trace.Sealed
		want   string // of doubts, rewritten and dates together; empty when all holds
	}{
		{"two, one after the other", func(*testing.T) []trace.Sealed { return []trace.Sealed{a, b} }, ""},
		{"D13 the first is missing", func(*testing.T) []trace.Sealed { return []trace.Sealed{b} }, "does not follow the receipt before it"},
		{"D13 the first stands twice", func(*testing.T) []trace.Sealed { return []trace.Sealed{a, a, b} }, "does not follow the receipt before it"},
		{"D14 signed by a signer who is no receiver", func(t *testing.T) []trace.Sealed {
			x, _ := seal(t, first, early, nil, ivanov, one)
			return []trace.Sealed{x}
		}, "which is no receiver's key"},
		{"D14 not signed", func(t *testing.T) []trace.Sealed { x := a; x.Signature = nil; return []trace.Sealed{x} }, "no good signature"},
		{"D14 the text changed after signing", func(t *testing.T) []trace.Sealed {
			x := a
			x.Text = []byte(strings.Replace(string(a.Text), "records 1", "records 9", 1))
			return []trace.Sealed{x}
		}, "the signature is not over this text"},
		{"D14 signed for a commit", func(t *testing.T) []trace.Sealed {
			x := a
			x.Signature, _ = exchange.Sign(a.Text, key(office), "git")
			return []trace.Sealed{x}
		}, "made for git, not for a receipt"},
		{"D15 of another book", func(t *testing.T) []trace.Sealed {
			other, theirs := found(shore, reyes).book(t)
			x, _ := seal(t, other, read(t, other, theirs), nil, office, one)
			return []trace.Sealed{x}
		}, "for the book founded by commit"},
		{"D16 two that part", func(t *testing.T) []trace.Sealed {
			s := voyage()
			s.steps = s.steps[:2]
			s.by(berg, "decisions/1.md", overhaul())
			other, theirs := s.book(t)
			x, _ := seal(t, other, read(t, other, theirs), ca, office, two)
			return []trace.Sealed{a, x}
		}, "is not in the history any more"},
		{"D18 from the future", func(t *testing.T) []trace.Sealed {
			x, _ := seal(t, first, early, nil, office, time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC))
			return []trace.Sealed{x}
		}, "but stands on what was received on 2030-01-01 00:00Z"},
		{"L07 a date that a receiver contradicts", func(t *testing.T) []trace.Sealed {
			x, _ := seal(t, dir, trail, nil, office, time.Date(2024, 1, 1, 12, 5, 0, 0, time.UTC))
			return []trace.Sealed{x}
		}, "states 2024-01-01 12:30Z, but was received by 2024-01-01 12:05Z"},
		{"a digest that is not the texts'", func(t *testing.T) []trace.Sealed {
			c, err := trace.WriteReceipt(first, early)
			if err != nil {
				t.Fatal(err)
			}
			c.Content, c.Time = strings.Repeat("0", 64), one
			sig, _ := exchange.Sign(c.Text(), key(office), trace.ReceiptNamespace)
			return []trace.Sealed{{Name: "x", Text: c.Text(), Signature: sig}}
		}, "are not those received on"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, err := trace.AgainstReceipts(dir, trail, c.sealed(t), receivers(t, office))
			if err != nil {
				t.Fatal(err)
			}
			said := fmt.Sprint(w.Doubts, w.Rewritten, w.Dates)
			if c.want == "" && said != "[] [] []" || !strings.Contains(said, c.want) {
				t.Errorf("%s, want %q", said, c.want)
			}
		})
	}
	t.Run("D12 dropped after the last receipt is not seen, only counted while it is there", func(t *testing.T) {
		with, err := trace.AgainstReceipts(dir, trail, []trace.Sealed{a}, receivers(t, office))
		if err != nil || with.Since != 2 {
			t.Errorf("%d commits since, want 2 (%v)", with.Since, err)
		}
		without, err := trace.AgainstReceipts(first, early, []trace.Sealed{a}, receivers(t, office))
		if err != nil || without.Since != 0 || len(without.Rewritten) > 0 {
			t.Errorf("%+v, %v", without, err)
		}
	})
	t.Run("L11 a leap second", func(t *testing.T) {
		text := strings.Replace(string(a.Text), "12:15:00Z", "23:59:60Z", 1)
		if _, err := trace.ParseReceipt([]byte(text)); err == nil {
			t.Error("a time that no computer keeps is taken")
		}
	})
}

// A record that somebody else picked onto another branch is his who picked it.
func TestPickedRecord(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(berg, record, overhaul())
	s.steps[1].Committer = s.steps[1].Author
	s.steps[1].Author.Name = ivanov
	dir, ids := s.book(t)
	r := read(t, dir, ids).Records[record]
	if fmt.Sprint(r.Signers) != "["+berg+"]" {
		t.Errorf("signers %v, want the chief alone", r.Signers)
	}
}

// Git, left to itself, merges two men's edits of one record into a text that neither wrote; the book's
// attributes stop it, and where it was done all the same the version says so.
func TestSilentMerge(t *testing.T) {
	t.Run("C24 one record merged by machine", func(t *testing.T) {
		long := func(a, z string) string {
			return overhaul("a", a, "b", "1", "c", "1", "d", "1", "e", "1", "f", "1", "z", z)
		}
		s := found(shore, berg, ivanov)
		s.by(ivanov, record, long("1", "1"))
		his := s.from([]int{1}, ivanov, record, long("2", "1"))
		hers := s.from([]int{1}, berg, record, long("1", "2"))
		s.from([]int{his, hers}, berg, record, long("2", "2"))
		dir, ids := s.book(t)
		trail := read(t, dir, ids)
		r := trail.Records[record]
		if r.Now().State != logbook.MergeEdit || fmt.Sprint(r.Signers) != "[ivanov@second-engineer berg@chief-engineer]" {
			t.Errorf("%s, signers %v", r.Now().State, r.Signers)
		}
		if a, z := r.Values["a"].Commit, r.Values["z"].Commit; trail.Commits[a].Signer != ivanov || trail.Commits[z].Signer != berg {
			t.Errorf("a set by %s, z by %s", trail.Commits[a].Signer, trail.Commits[z].Signer)
		}
		setTip(t, dir, ids[his])
		oracle(t, dir, nil, "git", "reset", "-q", "--hard")
		if out, ok := oracle(t, dir, nil, "git", "-c", "user.name=x", "-c", "user.email=x", "merge", "-q", "--no-gpg-sign", ids[hers]); ok || !strings.Contains(out, "CONFLICT") {
			t.Errorf("git merges the record by itself: %s", out)
		}
	})
}
