package trace_test

import (
	"errors"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/trace"
)

// Two superintendents withdraw each other on two sides: nobody can let anybody in any more. A new founding commit on top, with a
// proof of its own, goes on from there; the break stays visible, and what the lost keys sign beside it does not count.
func TestFoundedAgain(t *testing.T) {
	const office = "office@superintendent"
	const renewed = "renewed@superintendent"
	as := []string{"superintendent"}
	s := &tale{}
	both := line(shore, as, "20240101", "") + line(office, as, "20240101", "")
	s.by(shore, "signers/allowed_signers", both+lines(berg, ivanov), "limits/qz.md", "---\ntype: QZ\n---\n", ".gitattributes", "*.md text\n")
	s.by(ivanov, record, overhaul("a", "1"))
	one := s.by(shore, "signers/allowed_signers", line(shore, as, "20240101", "")+lines(berg, ivanov))
	two := s.from([]int{1}, office, "signers/allowed_signers", line(office, as, "20240101", "")+lines(berg, ivanov))
	s.from([]int{one, two}, berg, "signers/allowed_signers", lines(berg, ivanov))
	again := s.by(renewed, "signers/allowed_signers", line(renewed, as, "20240101", "")+lines(berg, ivanov))
	s.by(ivanov, record, overhaul("a", "1", "b", "2"))
	s.by(renewed, "limits/qz.md", "---\ntype: QZ\nsource: new\n---\n")
	dir, ids := s.book(t)
	proofOf := func(step int, name string) string {
		return ids[step] + "@" + ssh.FingerprintSHA256(key(name).PublicKey())
	}
	read := func(proof string) (*logbook.Trail, error) {
		return trace.Read(dir, trace.Options{FoundingProof: proof, EveryText: true})
	}

	old, err := read(proofOf(0, shore))
	if err != nil || old.Proved || old.Commits[again].State != logbook.UnknownKey {
		t.Errorf("with the old proof alone: %v, %s, the new founding commit is %s", err, old.Headline, old.Commits[again].State)
	}
	now, err := read(proofOf(again, renewed))
	if err != nil || !now.Proved || !strings.Contains(now.Headline, "before the founding commit are not judged") {
		t.Errorf("with the new proof alone: %v, %s", err, now.Headline)
	}
	whole, err := read(proofOf(0, shore) + "," + proofOf(again, renewed))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(whole.Headline, "founded again by commit "+ids[again][:12]) {
		t.Errorf("the break is not said: %s", whole.Headline)
	}
	for _, i := range []int{0, 1, again, again + 1, again + 2} {
		if c := whole.Commits[i]; c.State != logbook.Signed || !c.Stands {
			t.Errorf("commit %d is %s, %s", i, c.State, c.Why)
		}
	}
	if marks := whole.Commits[again].Marks; len(marks) != 1 || marks[0] != "founded again: a founding proof vouches for this commit, no signer before it" {
		t.Errorf("the new founding commit is marked %q", marks)
	}
	for _, wrong := range []string{
		proofOf(again, renewed) + "," + proofOf(0, shore),                          // the wrong way round
		proofOf(0, shore) + "," + proofOf(again, shore),                            // another key
		proofOf(0, shore) + "," + proofOf(0, shore),                                // twice
		proofOf(0, shore) + "," + strings.Repeat("0", 40) + proofOf(0, shore)[40:], // not there
	} {
		if _, err := read(wrong); !errors.Is(err, trace.ErrWrongRoot) {
			t.Errorf("%s: %v", wrong, err)
		}
	}
	if _, err := read(proofOf(0, shore) + ","); !errors.Is(err, trace.ErrProofForm) {
		t.Errorf("half a proof: %v", err)
	}

	// A lost key that signs on an old commit does not come in again through a merge.
	late := s.from([]int{1}, shore, "limits/qz.md", "---\ntype: QZ\nsource: stolen\n---\n")
	s.from([]int{again + 2, late}, berg, "decisions/1.md", overhaul())
	dir, ids = s.book(t)
	mixed, err := read(proofOf(0, shore) + "," + proofOf(again, renewed))
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range mixed.Commits {
		if c.ID == ids[late] && c.State != logbook.Unseen {
			t.Errorf("commit %d, signed late with a lost key, is %s", i, c.State)
		}
	}
}

// A superintendent's key that has signed nothing yet is named: nobody has shown that they hold it. Once it has signed, that is gone.
func TestNewSuperintendentShowsHisKey(t *testing.T) {
	const office = "office@superintendent"
	s := found(shore, berg)
	s.by(shore, "signers/allowed_signers", lines(shore, berg)+line(office, []string{"superintendent"}, "20240101", ""))
	dir, ids := s.book(t)
	if m := read(t, dir, ids).Commits[1].Marks; len(m) != 1 || !strings.Contains(m[0], "office@superintendent, let in as superintendent, has signed nothing yet") {
		t.Errorf("marked %q", m)
	}
	s.by(office, "limits/qz.md", "---\ntype: QZ\nsource: new\n---\n")
	dir, ids = s.book(t)
	if trail := read(t, dir, ids); !trail.Proved || len(trail.Commits[1].Marks) != 0 {
		t.Errorf("%s; marked %q", trail.Headline, trail.Commits[1].Marks)
	}
}
