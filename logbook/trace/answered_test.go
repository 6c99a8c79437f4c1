package trace_test

import (
	"fmt"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
)

// built gives the ids of a tale as it is so far, for lists that name commits.
func (t *tale) ids(tb testing.TB) []string {
	tb.Helper()
	_, ids := t.book(tb)
	return ids
}

// print is a hand's key as signers/withdrawn names it.
func print(name string) string { return ssh.FingerprintSHA256(key(name).PublicKey()) }

func TestAdoptedAndCompromised(t *testing.T) {
	all := []string{shore, berg, ivanov}
	without := lines(shore, berg)
	type expect struct {
		commit int // step
		state  logbook.State
		why    string
	}
	for _, c := range []struct {
		name string
		tell func(t *testing.T) *tale
		want string // headline
		of   []expect
	}{
		{"a forgotten signature, adopted by the chief", func(t *testing.T) *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.unsigned()
			s.by(berg, "signers/adopted", s.ids(t)[1]+" forgotten, the text is his\n")
			return s
		}, "proved: 3 commits", []expect{{1, logbook.Adopted, "forgotten, the text is his"}}},
		{"adopted by an engineer", func(t *testing.T) *tale {
			s := found(all...)
			s.by(berg, record, overhaul())
			s.unsigned()
			s.by(ivanov, "signers/adopted", s.ids(t)[1]+" mine\n")
			return s
		}, "unsigned", []expect{{1, logbook.Unsigned, ""}}},
		{"unsigned, and adopted without a signature", func(t *testing.T) *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.unsigned()
			s.by(berg, "signers/adopted", s.ids(t)[1]+" his\n")
			s.unsigned()
			return s
		}, "unsigned", []expect{{1, logbook.Unsigned, ""}}},
		{"without a reason", func(t *testing.T) *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.unsigned()
			s.by(berg, "signers/adopted", s.ids(t)[1]+"\n")
			return s
		}, "unsigned", []expect{{1, logbook.Unsigned, ""}}},
		{"a chief adopts what was not a chief's to change", func(t *testing.T) *tale {
			s := found(all...)
			s.by(ivanov, "limits/qz.md", "---\nmax: 9\n---\n")
			s.unsigned()
			s.by(berg, "signers/adopted", s.ids(t)[1]+" needed\n")
			return s
		}, "not theirs to change: limits/qz.md", []expect{{1, logbook.Adopted, "needed"}}},
		{"a superintendent adopts an overhaul: he lets in who may write it", func(t *testing.T) *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.unsigned()
			s.by(shore, "signers/adopted", s.ids(t)[1]+" the chief has left\n")
			return s
		}, "proved: 3 commits", []expect{{1, logbook.Adopted, "the chief has left"}}},
		{"a hand adopts his own late commit", func(t *testing.T) *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(berg, roles[berg], "20240101", "20240102"))
			s.at(berg, 3*24*60, nil, record, overhaul())
			s.at(shore, 3*24*60+10, nil, "signers/allowed_signers", lines(shore)+line(berg, roles[berg], "20240101", "20250102"))
			s.at(berg, 3*24*60+20, nil, "signers/adopted", s.ids(t)[1]+" mine\n")
			return s
		}, "outside window", []expect{{1, logbook.OutsideWindow, ""}}},
		{"adopted before it was made", func(t *testing.T) *tale {
			s := found(all...)
			side := s.from([]int{0}, ivanov, record, overhaul())
			s.unsigned()
			a := s.from([]int{0}, berg, "signers/adopted", s.ids(t)[side]+" his\n")
			s.from([]int{a, side}, berg, record, overhaul())
			return s
		}, "signers/adopted line 1 does not count: commit", []expect{{1, logbook.Unsigned, ""}}},
		{"the last record sent late, unseen when he was taken out, adopted", func(t *testing.T) *tale {
			s := found(all...)
			out := s.from([]int{0}, shore, "signers/allowed_signers", without)
			late := s.from([]int{0}, ivanov, record, overhaul())
			s.from([]int{out, late}, berg, record, overhaul())
			s.by(berg, "signers/adopted", s.ids(t)[late]+" came by the last satellite\n")
			return s
		}, "proved: 5 commits", []expect{{2, logbook.Adopted, "came by the last satellite"}}},
		{"a register change in an adopted commit stays out of force", func(t *testing.T) *tale {
			s := found(all...)
			s.by(nobody, "signers/allowed_signers", lines(all...)+line(nobody, []string{"engineer"}, "", ""))
			s.by(shore, "signers/adopted", s.ids(t)[1]+" mistaken\n")
			s.by(nobody, record, overhaul())
			return s
		}, "the change of signers/allowed_signers is not taken into force", []expect{{1, logbook.Adopted, ""}, {3, logbook.UnknownKey, ""}}},
		{"a stolen key, good up to a commit", func(t *testing.T) *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.by(ivanov, record, overhaul("a", "1"))
			s.by(shore, "signers/allowed_signers", without, "signers/withdrawn", print(ivanov)+" compromised last-good="+s.ids(t)[1]+" laptop stolen\n")
			return s
		}, "compromised: declared by shore@superintendent", []expect{{1, logbook.Signed, ""}, {2, logbook.Compromised, "laptop stolen"}}},
		{"whom a stolen key let in falls too", func(t *testing.T) *tale {
			s := found(all...)
			s.by(berg, record, overhaul())
			s.by(berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.by(reyes, record, overhaul("a", "1"))
			s.by(shore, "signers/allowed_signers", lines(shore, ivanov, reyes), "signers/withdrawn", print(berg)+" compromised last-good="+s.ids(t)[1]+"\n")
			return s
		}, "compromised", []expect{{1, logbook.Signed, ""}, {2, logbook.Compromised, ""}, {3, logbook.NotInForce, "whoever let the key in"}}},
		{"an engineer declares the office's key stolen", func(t *testing.T) *tale {
			s := found(all...)
			s.by(shore, "limits/qz.md", "---\n---\n")
			s.by(ivanov, "signers/withdrawn", print(shore)+" compromised last-good=none\n")
			return s
		}, "signers/withdrawn is for chief or superintendent", []expect{{1, logbook.Signed, ""}}},
		{"a thief takes the declaration back", func(t *testing.T) *tale {
			s := found(all...)
			s.by(berg, record, overhaul())
			s.by(shore, "signers/withdrawn", print(berg)+" compromised last-good="+s.ids(t)[1]+"\n")
			s.from([]int{2}, berg, "signers/withdrawn", "")
			return s
		}, "compromised", []expect{{3, logbook.Compromised, ""}}},
		{"a chief declares the office's key stolen", func(t *testing.T) *tale {
			s := found(all...)
			s.by(shore, "limits/qz.md", "---\n---\n")
			s.by(berg, "signers/withdrawn", print(shore)+" compromised last-good=none\n")
			s.by(shore, "signers/withdrawn", print(berg)+" compromised last-good="+s.ids(t)[1]+"\n")
			return s
		}, "compromised", []expect{{1, logbook.Signed, ""}, {2, logbook.Compromised, ""}, {3, logbook.Signed, ""}}},
		{"two declarations of one key, which an engineer joins with the milder one last", func(t *testing.T) *tale {
			s := found(all...)
			s.by(reyes, record, overhaul())
			s.steps[1].Signer = key(berg)
			hard, mild := print(berg)+" compromised last-good=none laptop stolen\n", print(berg)+" compromised last-good="+s.ids(t)[1]+" seen with a stranger\n"
			x := s.from([]int{1}, shore, "signers/withdrawn", hard)
			y := s.from([]int{1}, shore, "signers/withdrawn", mild, "limits/qz.md", "---\n---\n")
			s.from([]int{x, y}, ivanov, "signers/withdrawn", hard+mild, "limits/qz.md", "---\n---\n")
			return s
		}, "compromised: declared by shore@superintendent", []expect{{1, logbook.Compromised, "laptop stolen"}, {4, logbook.Signed, ""}}},
		{"a declaration beside another version of the list goes on", func(t *testing.T) *tale {
			s := found(all...)
			s.by(berg, record, overhaul())
			hard := print(berg) + " compromised last-good=none laptop stolen\n"
			x := s.from([]int{1}, shore, "signers/withdrawn", hard)
			y := s.from([]int{1}, shore, "signers/withdrawn", "# none\n")
			s.from([]int{y, x}, ivanov)
			return s
		}, "compromised", []expect{{1, logbook.Compromised, "laptop stolen"}}},
		{"a list that is not of the form", func(t *testing.T) *tale {
			s := found(all...)
			s.by(shore, "signers/withdrawn", "ivanov compromised\n")
			return s
		}, "signers/withdrawn is refused, the version before it holds: line 1", []expect{{1, logbook.Signed, ""}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, ids := c.tell(t).book(t)
			trail := read(t, dir, ids)
			if trail.Proved != strings.HasPrefix(c.want, "proved") || !strings.Contains(trail.Headline, c.want) {
				t.Errorf("headline %q, want %q", trail.Headline, c.want)
			}
			for _, e := range c.of {
				for _, k := range trail.Commits {
					if k.ID == ids[e.commit] && (k.State != e.state || !strings.Contains(k.Why, e.why)) {
						t.Errorf("step %d: %s: %s, want %s: %s", e.commit, k.State, k.Why, e.state, e.why)
					}
				}
			}
		})
	}
}

// Who adopted a text stands among its signers, not who named himself in it.
func TestAdopterIsTheSigner(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	s.unsigned()
	s.by(berg, "signers/adopted", s.ids(t)[1]+" his\n")
	dir, ids := s.book(t)
	trail := read(t, dir, ids)
	if got := fmt.Sprint(trail.Records[record].Signers, trail.Commits[1].AdoptedBy); got != "[berg@chief-engineer]berg@chief-engineer" {
		t.Errorf("signers and adopter %s", got)
	}
}
