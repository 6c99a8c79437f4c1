package trace_test

import (
	"testing"

	"needlebook/logbook"
)

// After a merge that only joins two changes of a key's line, the key is what the joined line says, whichever side came first.
func TestJoinedLineIsInForce(t *testing.T) {
	narrowed := line(ivanov, roles[ivanov], "20240101", "20240601")
	asChief := line(ivanov, []string{"engineer", "chief"}, "20240101", "")
	for _, chiefFirst := range []bool{true, false} {
		all := lines(shore, berg, reyes)
		s := &tale{}
		s.by(shore, "signers/allowed_signers", all+line(ivanov, roles[ivanov], "20240101", ""), "crew.csv", "id,name\na,A\n")
		sides := []struct{ who, text string }{{shore, asChief}, {berg, narrowed}}
		if !chiefFirst {
			sides[0], sides[1] = sides[1], sides[0]
		}
		x := s.from([]int{0}, sides[0].who, "signers/allowed_signers", all+sides[0].text)
		y := s.from([]int{0}, sides[1].who, "signers/allowed_signers", all+sides[1].text)
		s.from([]int{x, y}, reyes, "signers/allowed_signers", all+narrowed)
		good := s.by(ivanov, "parts/h-1.md", "---\n---\n")
		bad := s.by(ivanov, "crew.csv", "id,name\na,A\nb,B\n")
		dir, ids := s.book(t)
		trail := read(t, dir, ids)
		if !trail.Commits[good].Stands {
			t.Errorf("chief first %v: an engineer's change after the merge: %+v", chiefFirst, trail.Commits[good])
		}
		if trail.Commits[bad].Stands || trail.Commits[bad].Changes[0].NotHis == "" {
			t.Errorf("chief first %v: the merge left him a chief: %+v", chiefFirst, trail.Commits[bad])
		}
	}
}

// An engineer's merge of the lists of withdrawn keys and of answered commits may join what both sides wrote. One that drops a line or
// adds one is not his to make, and has no force: the stolen key stays stolen, and nobody's commit is answered for.
func TestListsMergedByAnEngineer(t *testing.T) {
	stolen := print(ivanov) + " compromised last-good=none stolen\n"
	other := print(nobody) + " compromised last-good=none stolen\n"
	for _, c := range []struct {
		name, result string
		his          bool
	}{
		{"both lines", stolen + other, true},
		{"one dropped", other, false},
		{"all dropped", "", false},
		{"one added", stolen + other + print(reyes) + " compromised last-good=none stolen\n", false},
		{"a remark added", "# seen\n" + stolen + other, false},
	} {
		s := found(shore, berg, ivanov, reyes)
		x := s.from([]int{0}, shore, "signers/withdrawn", stolen)
		y := s.from([]int{0}, berg, "signers/withdrawn", other)
		merge := s.from([]int{x, y}, reyes, "signers/withdrawn", c.result)
		by := s.by(ivanov, "parts/h-1.md", "---\n---\n")
		on := s.by(reyes, "parts/h-2.md", "---\n---\n")
		dir, ids := s.book(t)
		trail := read(t, dir, ids)
		if trail.Commits[merge].Stands != c.his {
			t.Errorf("%s: the merge: %+v", c.name, trail.Commits[merge])
		}
		if got := trail.Commits[by].State; got != logbook.Compromised {
			t.Errorf("%s: a commit by the stolen key is %v", c.name, got)
		}
		if !trail.Commits[on].Stands {
			t.Errorf("%s: the engineer's next commit: %+v", c.name, trail.Commits[on])
		}
	}
}

// The same of the commits that somebody answers for.
func TestAnswersMergedByAnEngineer(t *testing.T) {
	for _, added := range []bool{false, true} {
		s := found(shore, berg, ivanov, reyes)
		bare := s.by(ivanov, "parts/h-1.md", "---\n---\n")
		s.unsigned()
		second := s.by(ivanov, "parts/h-2.md", "---\n---\n")
		s.unsigned()
		ids := s.ids(t)
		one, two := ids[bare]+" forgotten\n", ids[second]+" forgotten\n"
		x := s.from([]int{second}, shore, "signers/adopted", one)
		y := s.from([]int{second}, berg, "crew.csv", "id,name\na,A\n", "signers/adopted", "# of this year\n")
		text := one + "# of this year\n"
		if added {
			text += two
		}
		s.from([]int{x, y}, reyes, "signers/adopted", text)
		dir, ids := s.book(t)
		trail := read(t, dir, ids)
		if got := trail.Commits[bare].State; got != logbook.Adopted {
			t.Errorf("added %v: the commit that a superintendent answered for is %v", added, got)
		}
		if got := trail.Commits[second].State; got != logbook.Unsigned {
			t.Errorf("added %v: the commit that only an engineer's merge names is %v", added, got)
		}
		if notHis := trail.Commits[len(trail.Commits)-1].Changes; added != (len(notHis) > 0 && notHis[0].NotHis != "") {
			t.Errorf("added %v: the merge: %+v", added, trail.Commits[len(trail.Commits)-1])
		}
	}
}
