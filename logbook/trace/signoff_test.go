package trace_test

import (
	"strings"
	"testing"

	"needlebook/logbook"
)

// The test book begins at noon of 1 January 2024; a row says in which minute of it a commit is stated.
const (
	tonight  = "20240102"     // the midnight that ends the first day: nobody signs after it, and so from now on
	noon     = "202401011230" // a minute of the first day
	tomorrow = "202401020001" // the first minute that is later than the day
	march    = "20240301"
	day      = 24 * 60
)

// signedOff are histories in which a hand's window is made narrower. With git, which knows dates alone, nearly
// all of them are good.
func signedOff() []scenario {
	until := func(before string) string {
		return lines(shore, berg) + line(ivanov, roles[ivanov], "20240101", before)
	}
	// off is a book in which Ivanov wrote a record and a superintendent then gave his line another last minute.
	off := func(before string) *tale {
		s := found(shore, berg, ivanov)
		s.by(ivanov, record, overhaul())
		s.by(shore, "signers/allowed_signers", until(before))
		return s
	}
	his := overhaul("by", "ivanov")
	const gone, outside = "key not in force: the key was withdrawn by commit", "outside window"
	rows := []scenario{
		{"signed off today, nothing after it", "good", func() *tale { return off(noon) }, "proved: 3 commits"},
		{"signed off for a later day, signs until then", "good", func() *tale {
			s := off(march)
			s.at(ivanov, 59*day, nil, record, his)
			return s
		}, "proved: 4 commits"},
		{"signed off for a later day, signs after it", "bad", func() *tale {
			s := off(march)
			s.at(ivanov, 61*day, nil, record, his)
			return s
		}, outside},
		{"signed off for a later day, signs beside it until then", "good", func() *tale {
			s := off(march)
			late := s.at(ivanov, 10*day, []int{1}, record, his)
			s.from([]int{2, late}, berg, record, his)
			return s
		}, "proved: 5 commits"},
		{"signed off for a later day, signs beside it after that", "good", func() *tale {
			s := off(march)
			late := s.at(ivanov, 61*day, []int{1}, record, his)
			s.from([]int{2, late}, berg, record, his)
			return s
		}, "unseen at withdrawal"},
		{"the midnight that ends the day belongs to it", "good", func() *tale {
			s := off(tonight)
			s.by(ivanov, record, his)
			return s
		}, gone},
		{"a minute later is a later day", "good", func() *tale {
			s := off(tomorrow)
			s.by(ivanov, record, his)
			return s
		}, "proved: 4 commits"},
		{"signed off for a day that is past", "bad", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(ivanov, record, overhaul())
			s.at(shore, 3*day, nil, "signers/allowed_signers", until(tonight))
			s.at(ivanov, 3*day+10, nil, record, his)
			return s
		}, gone},
		{"signed off, and given more time by a later commit", "good", func() *tale {
			s := off(noon)
			s.by(shore, "signers/allowed_signers", until(march))
			s.by(ivanov, record, his)
			return s
		}, "proved: 5 commits"},
		{"signed off, signs, and is given more time after that", "good", func() *tale {
			s := off(noon)
			s.by(ivanov, record, his)
			s.by(shore, "signers/allowed_signers", until(march))
			return s
		}, gone},
		{"signed off, and given a minute more that is over as well", "good", func() *tale {
			s := off(noon)
			s.by(shore, "signers/allowed_signers", until("202401011400"))
			s.by(ivanov, record, his)
			return s
		}, gone},
		{"signed off, and the remark on his line changed later", "good", func() *tale {
			s := off(noon)
			s.by(shore, "signers/allowed_signers", strings.TrimSuffix(until(noon), "\n")+" I. Ivanov\n")
			s.by(ivanov, record, his)
			return s
		}, gone},
		{"signed off on one side, given more time on the other", "good", func() *tale {
			s := off(noon)
			more := s.from([]int{1}, berg, "signers/allowed_signers", until(march))
			s.from([]int{2, more}, shore, "signers/allowed_signers", until("20240401"))
			s.by(ivanov, record, his)
			return s
		}, "proved: 6 commits"}, // the merge has a text of its own, by whoever may give more time
		{"signed off on one side, given more time on the other, which the merge keeps", "good", func() *tale {
			s := off(noon)
			more := s.from([]int{1}, berg, "signers/allowed_signers", until(march))
			s.from([]int{2, more}, shore, "signers/allowed_signers", until(march))
			s.by(ivanov, record, his)
			return s
		}, "drops signers/allowed_signers as commit"}, // and removal wins
		{"signed off for a later day, then for today", "good", func() *tale {
			s := off(march)
			s.by(shore, "signers/allowed_signers", until(noon))
			s.by(ivanov, record, his)
			return s
		}, gone},
		{"signed off for two later days on two sides: the earlier holds", "bad", func() *tale {
			s := off(march)
			other := s.from([]int{1}, berg, "signers/allowed_signers", until("20240201"))
			s.from([]int{2, other}, shore, "signers/allowed_signers", until("20240201"))
			s.at(ivanov, 10*day, nil, record, his)
			s.at(ivanov, 40*day, nil, record, overhaul("by", "ivanov", "a", "1"))
			return s
		}, "not proved since commit"},
		{"signed off on one side, signs on the other", "good", func() *tale {
			s := off(noon)
			late := s.from([]int{1}, ivanov, record, his)
			s.from([]int{2, late}, berg, record, his)
			return s
		}, "unseen at withdrawal"},
		{"signed off on a side that a merge brings in", "good", func() *tale {
			s := off(noon)
			other := s.from([]int{1}, berg, "decisions/1.md", overhaul())
			s.from([]int{other, 2}, berg, "signers/allowed_signers", until(noon))
			s.by(ivanov, record, his)
			return s
		}, gone},
		{"signed off by a merge", "good", byMerge, gone},
		{"signed off today, and signs a merge with what he knew before", "good", func() *tale {
			s := off(noon)
			old := s.from([]int{1}, berg, "decisions/1.md", overhaul())
			s.from([]int{2, old}, ivanov, "decisions/1.md", overhaul())
			return s
		}, gone},
		{"one of two keys signed off, the other goes on", "good", func() *tale {
			second := strings.Replace(line(reyes, roles[ivanov], "20240101", ""), reyes, ivanov, 1)
			s := found(shore, berg, ivanov)
			s.by(shore, "signers/allowed_signers", lines(shore, berg, ivanov)+second)
			s.by(shore, "signers/allowed_signers", until(noon)+second)
			s.by(reyes, record, his) // signs with the second key
			return s
		}, "proved: 4 commits"},
		{"one of two keys signed off, and signs", "good", func() *tale {
			second := strings.Replace(line(reyes, roles[ivanov], "20240101", ""), reyes, ivanov, 1)
			s := found(shore, berg, ivanov)
			s.by(shore, "signers/allowed_signers", lines(shore, berg, ivanov)+second)
			s.by(shore, "signers/allowed_signers", until(noon)+second)
			s.by(ivanov, record, his)
			return s
		}, gone},
		{"a superintendent signed off by another", "good", func() *tale {
			s := &tale{}
			office := []string{"superintendent"}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(reyes, office, "20240101", ""))
			s.by(shore, "signers/allowed_signers", lines(shore)+line(reyes, office, "20240101", noon))
			s.by(reyes, "limits/qz.md", "---\n---\n")
			return s
		}, gone},
		{"a superintendent signs himself off", "good", func() *tale {
			s := &tale{}
			office := []string{"superintendent"}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(reyes, office, "20240101", ""))
			s.by(reyes, "signers/allowed_signers", lines(shore)+line(reyes, office, "20240101", noon))
			s.by(shore, "limits/qz.md", "---\n---\n")
			return s
		}, "proved: 3 commits"},
		{"a first day moved on, and signs before it", "bad", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, roles[ivanov], march, ""))
			s.by(ivanov, record, his)
			return s
		}, outside},
		{"a first day moved on, and signs from then on", "good", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, roles[ivanov], march, ""))
			s.at(ivanov, 61*day, nil, record, his)
			return s
		}, "proved: 3 commits"},
		{"a role taken away for good, and signed off today", "good", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(shore, "signers/allowed_signers", lines(shore, ivanov)+line(berg, []string{"engineer"}, "20240101", noon))
			s.by(berg, record, overhaul())
			return s
		}, gone},
		{"a role taken away, and a last day set for later", "good", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(shore, "signers/allowed_signers", lines(shore, ivanov)+line(berg, []string{"engineer"}, "20240101", march))
			s.by(berg, record, overhaul())
			return s
		}, "proved: 3 commits"},
		{"a role taken away, and a last day set for later, and acts in it", "good", func() *tale {
			s := found(shore, berg, ivanov)
			s.by(shore, "signers/allowed_signers", lines(shore, ivanov)+line(berg, []string{"engineer"}, "20240101", march))
			s.by(berg, "decisions/1.md", overhaul())
			return s
		}, "decisions/1.md is for chief or superintendent"},
		{"a role taken away, and a last day set for later, and signs beside it", "good", func() *tale {
			s := found(shore, berg, ivanov)
			less := s.by(shore, "signers/allowed_signers", lines(shore, ivanov)+line(berg, []string{"engineer"}, "20240101", march))
			late := s.from([]int{0}, berg, record, overhaul())
			s.from([]int{less, late}, ivanov, record, overhaul())
			return s
		}, "unseen at withdrawal"},
	}
	for _, c := range []struct {
		name string
		at   int
	}{{"before his first day", -3 * day}, {"half an hour back", -10}, {"in his last minute", 30}, {"after it", 40}, {"years later", 900 * day}} {
		rows = append(rows, scenario{"signed off today, a commit on top of it dated " + c.name, "good", func() *tale {
			s := off(noon)
			s.at(ivanov, c.at, nil, record, his)
			return s
		}, gone})
	}
	return rows
}

// byMerge is a history in which a merge signs Ivanov off, and he goes on.
func byMerge() *tale {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	a := s.from([]int{1}, berg, "decisions/1.md", overhaul())
	b := s.from([]int{1}, shore, "limits/qz.md", "---\n---\n")
	s.from([]int{a, b}, berg, "limits/qz.md", "---\n---\n", "signers/allowed_signers", lines(shore, berg)+line(ivanov, roles[ivanov], "20240101", noon))
	s.by(ivanov, record, overhaul("by", "ivanov"))
	return s
}

// Whatever is said of a merge that signs somebody off, he is signed off.
func TestSignedOffByMerge(t *testing.T) {
	dir, ids := byMerge().book(t)
	trail := read(t, dir, ids)
	if c := trail.Commits[len(ids)-1]; c.State != logbook.NotInForce || !strings.Contains(c.Why, "withdrawn by commit") {
		t.Errorf("he is %s: %s", c.State, c.Why)
	}
}

// What was signed and seen before somebody was signed off stays his, whatever is signed after.
func TestSignedOffKeepsWhatWasSeen(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	s.by(shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, roles[ivanov], "20240101", noon))
	s.by(ivanov, record, overhaul("a", "1"))
	s.by(berg, record, overhaul("a", "2"))
	dir, ids := s.book(t)
	for i, want := range []logbook.State{logbook.Signed, logbook.Signed, logbook.Signed, logbook.NotInForce, logbook.Signed} {
		if c := read(t, dir, ids).Commits[i]; c.State != want {
			t.Errorf("commit %d is %s, want %s", i, c.State, want)
		}
	}
}
