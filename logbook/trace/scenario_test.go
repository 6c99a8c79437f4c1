package trace_test

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
)

// scenario is a history told step by step.
type scenario struct {
	name, git string
	tell      func() *tale
	want      string
}

// Each row is a history; want begins with "proved", or is what stands in the headline against it. The
// histories are those of a study of attacks on signed histories, made for this program: the letter and
// number before a name, here and in other tests, is its number there. What plain git says of them (good in
// nearly all) is beside each as git 2.39 answered for the tip.
func histories() []scenario { return slices.Concat(attacked(), signedOff(), ownKeys()) }

const answers = "date,check,place,text,version,answer,by,until\n"

func attacked() []scenario {
	all := []string{shore, berg, ivanov}
	limits := "limits/qz.md"
	return []scenario{
		{"a clean history", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.by(berg, record, overhaul("by", "berg"))
			return s
		}, "proved: 3 commits"},
		{"an answer by the one it names", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, "answers.csv", answers+"2024-03-01,rings,pocket ME1-1,0123456789ab,1,looked,ivanov,\n")
			s.by(berg, "answers.csv", answers+"2024-03-01,rings,pocket ME1-1,0123456789ab,1,looked,ivanov,\n"+
				"2024-03-02,rings,pocket ME1-1,0123456789ab,1,\"seen, too\",berg,\n")
			return s
		}, "proved: 3 commits"},
		{"an answer in another's name", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, "answers.csv", answers+"2024-03-01,rings,pocket ME1-1,0123456789ab,1,looked,berg,\n")
			return s
		}, "an answer is signed by the person it names"},
		{"an answer changed", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, "answers.csv", answers+"2024-03-01,rings,pocket ME1-1,0123456789ab,1,looked,ivanov,\n")
			s.by(ivanov, "answers.csv", answers+"2024-03-01,rings,pocket ME1-1,0123456789ab,1,never looked,ivanov,\n")
			return s
		}, "an answer stays as it was signed"},
		{"an answer taken out", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, "answers.csv", answers+"2024-03-01,rings,pocket ME1-1,0123456789ab,1,looked,ivanov,\n")
			s.by(berg, "answers.csv", answers)
			return s
		}, "an answer stays as it was signed"},
		{"A02 an unsigned commit below a signed tip", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.unsigned()
			s.by(berg, record, overhaul("by", "berg"))
			return s
		}, "unsigned"},
		{"A03 a key nobody let in", "bad", func() *tale {
			s := found(all...)
			s.by(nobody, record, overhaul())
			return s
		}, "unknown key"},
		{"B01 a stranger lets himself in", "good", func() *tale {
			s := found(all...)
			s.by(nobody, "signers/allowed_signers", lines(all...)+line(nobody, []string{"engineer"}, "20240101", ""))
			s.by(nobody, record, overhaul())
			return s
		}, "unknown key"},
		{"B02 an engineer lets another in", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.by(reyes, record, overhaul())
			return s
		}, "signers/allowed_signers is for chief or superintendent"},
		{"B03 a chief lets an engineer in", "good", func() *tale {
			s := found(all...)
			s.by(berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.by(reyes, record, overhaul())
			return s
		}, "proved: 3 commits"},
		{"B04 a chief lets a chief in", "good", func() *tale {
			s := found(all...)
			s.by(berg, "signers/allowed_signers", lines(all...)+line(reyes, []string{"engineer", "chief"}, "", ""))
			s.by(reyes, record, overhaul())
			return s
		}, "a chief lets engineers in or out, reyes@third-engineer is more"},
		{"B05 a superintendent lets a chief in", "good", func() *tale {
			s := found(all...)
			s.by(shore, "signers/allowed_signers", lines(all...)+line(reyes, []string{"engineer", "chief"}, "", ""))
			s.by(reyes, "decisions/1.md", overhaul())
			return s
		}, "proved: 3 commits"},
		{"L01 a key used after its last day", "bad", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(ivanov, roles[ivanov], "20240101", "20240102"))
			s.at(ivanov, 3*24*60, nil, record, overhaul())
			return s
		}, "outside window: stated 2024-01-04 12:00Z, the key is good from 2024-01-01 00:00Z until 2024-01-02 00:00Z"},
		{"L13 a key used in its last second", "good", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(ivanov, roles[ivanov], "20240101", "202401011300"))
			s.at(ivanov, 60, nil, record, overhaul())
			return s
		}, "proved: 2 commits"},
		{"L02 a departed hand sets his clock back", "good", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(ivanov, roles[ivanov], "20240101", "20240102"))
			s.at(shore, 3*24*60, nil, limits, "---\n---\n")
			s.at(ivanov, 10, nil, record, overhaul())
			return s
		}, "proved: 3 commits"}, // a date proves nothing; the mark on the commit says that it is contradicted
		{"a signer signs after he was taken out", "bad", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.by(shore, "signers/allowed_signers", lines(shore, berg))
			s.by(ivanov, record, overhaul("by", "ivanov"))
			return s
		}, "key not in force: the key was withdrawn by commit"},
		{"C16 a hand taken out signs on an old base", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			out := s.by(shore, "signers/allowed_signers", lines(shore, berg))
			late := s.from([]int{1}, ivanov, record, overhaul("by", "ivanov"))
			s.from([]int{out, late}, shore, record, overhaul("by", "ivanov"))
			return s
		}, "unseen at withdrawal"},
		{"C01 a clean merge", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, ivanov, record, overhaul())
			b := s.from([]int{0}, shore, limits, "---\n---\n")
			s.from([]int{a, b}, berg, limits, "---\n---\n")
			return s
		}, "proved: 4 commits"},
		{"C03 a merge that edits a record", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, ivanov, record, overhaul())
			b := s.from([]int{0}, shore, limits, "---\n---\n")
			s.from([]int{a, b}, berg, limits, "---\n---\n", record, overhaul("by", "berg"))
			return s
		}, "proved: 4 commits"}, // and the version says: edited in a merge
		{"C04 a merge that edits the limits", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, ivanov, record, overhaul())
			b := s.from([]int{0}, shore, limits, "---\n---\n")
			s.from([]int{a, b}, berg, limits, "---\nmax: 1\n---\n")
			return s
		}, "limits/qz.md is for superintendent to change"},
		{"B27 an engineer edits the limits", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, limits, "---\n---\n")
			return s
		}, "limits/qz.md is for superintendent to change"},
		{"B31 a chief edits the limits", "good", func() *tale {
			s := found(all...)
			s.by(berg, limits, "---\n---\n")
			return s
		}, "limits/qz.md is for superintendent to change"},
		{"a superintendent writes an overhaul", "good", func() *tale {
			s := found(all...)
			s.by(shore, record, overhaul())
			return s
		}, record + " is for engineer or chief to change"},
		{"B32 an engineer changes a dot file", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, ".gitattributes", "* -text\n")
			return s
		}, ".gitattributes is for superintendent to change"},
		{"B28 an engineer countersigns", "good", func() *tale {
			s := found(all...)
			s.by(berg, record, overhaul())
			s.by(ivanov, "countersigned/2024-01-01-h-1.ivanov.md", "---\n---\n")
			return s
		}, "countersigned/2024-01-01-h-1.ivanov.md is for chief to change"},
		{"C12 a new signer merges an older branch", "good", func() *tale {
			s := found(all...)
			old := s.from([]int{0}, ivanov, record, overhaul())
			in := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.from([]int{in, old}, reyes, record, overhaul())
			return s
		}, "proved: 4 commits"},
		{"C17 a chief taken out lets somebody in on an old base", "good", func() *tale {
			s := found(all...)
			out := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, ivanov))
			in := s.from([]int{0}, berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			late := s.from([]int{in}, reyes, record, overhaul())
			s.from([]int{out, late}, shore, record, overhaul(), "signers/allowed_signers", lines(shore, ivanov, reyes))
			return s
		}, "unseen at withdrawal"},
		{"C13 two sides let somebody in", "good", func() *tale {
			s := found(shore, berg)
			a := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg, ivanov))
			b := s.from([]int{0}, berg, "signers/allowed_signers", lines(shore, berg, reyes))
			m := s.from([]int{a, b}, berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.from([]int{m}, reyes, record, overhaul())
			s.by(ivanov, record, overhaul("by", "ivanov"))
			return s
		}, "proved: 6 commits"},
		{"an engineer brings two registers together and adds nothing", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			b := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg, ivanov)+"# seen\n")
			s.from([]int{a, b}, ivanov, "signers/allowed_signers", lines(shore, berg, ivanov, reyes)+"# seen\n")
			return s
		}, "proved: 4 commits"},
		{"C19 a second beginning", "good", func() *tale {
			s := found(all...)
			other := s.from([]int{}, ivanov, "photos/x.md", "x\n")
			s.from([]int{0, other}, berg, "photos/x.md", "x\n")
			return s
		}, "second root"},
		{"B08 the register taken out by an engineer", "bad", func() *tale {
			s := found(all...)
			s.by(ivanov, "signers/allowed_signers", "")
			return s
		}, "the register is refused, the last good one stays in force"},
		{"B11 one key under two names", "good", func() *tale {
			s := found(all...)
			s.by(shore, "signers/allowed_signers", lines(all...)+strings.Replace(lines(ivanov), "ivanov@", "other@", 1))
			return s
		}, "the key of other@second-engineer stands there for ivanov@second-engineer already"},
		{"B23 an old register put back by a hand it let in", "good", func() *tale {
			s := found(all...)
			s.by(shore, "signers/allowed_signers", lines(shore, berg))
			s.by(ivanov, "signers/allowed_signers", lines(all...))
			return s
		}, "key not in force"},
		{"B06 a hand raises his own role", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, "signers/allowed_signers", lines(shore, berg)+line(ivanov, []string{"engineer", "chief"}, "20240101", ""))
			s.by(ivanov, "decisions/1.md", overhaul())
			return s
		}, "signers/allowed_signers is for chief or superintendent"},
		{"B07 a hand widens his own window", "good", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(ivanov, roles[ivanov], "20240101", "20240201"))
			s.by(ivanov, "signers/allowed_signers", lines(shore)+line(ivanov, roles[ivanov], "20240101", "20250201"))
			return s
		}, "signers/allowed_signers is for chief or superintendent"},
		{"C18 a signer of a hand taken out", "good", func() *tale {
			s := found(all...)
			out := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, ivanov))
			in := s.from([]int{0}, berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.from([]int{in}, reyes, record, overhaul())
			s.from([]int{out, 3}, shore, record, overhaul(), "signers/allowed_signers", lines(shore, ivanov))
			return s
		}, "unseen at withdrawal"},
		{"B25 a window narrowed, the signer signs on an old base", "good", func() *tale {
			s := found(all...)
			off := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, roles[ivanov], "20240101", "20240102"))
			late := s.from([]int{0}, ivanov, record, overhaul())
			s.from([]int{off, late}, berg, record, overhaul())
			return s
		}, "unseen at withdrawal"},
		{"B26 a window widened while he signs elsewhere", "good", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, roles[ivanov], "20240101", "20240201"))
			a := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg)+line(ivanov, roles[ivanov], "20240101", "20250201"))
			b := s.from([]int{0}, ivanov, record, overhaul())
			s.from([]int{a, b}, berg, record, overhaul())
			return s
		}, "proved: 4 commits"},
		{"B24 let in again after he was taken out", "good", func() *tale {
			s := found(all...)
			s.by(shore, "signers/allowed_signers", lines(shore, berg))
			s.by(shore, "signers/allowed_signers", lines(all...))
			s.by(ivanov, record, overhaul())
			return s
		}, "proved: 4 commits"},
		{"two superintendents take each other out", "good", func() *tale {
			s := &tale{}
			second := line(reyes, []string{"superintendent"}, "", "")
			s.by(shore, "signers/allowed_signers", lines(shore, ivanov)+second)
			a := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, ivanov))
			b := s.from([]int{0}, reyes, "signers/allowed_signers", lines(ivanov)+second)
			s.from([]int{a, b}, ivanov, "signers/allowed_signers", lines(ivanov))
			return s
		}, "unseen at withdrawal"},
		{"C02 a merge of three", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, ivanov, record, overhaul())
			b := s.from([]int{0}, shore, limits, "---\n---\n")
			c := s.from([]int{0}, berg, "decisions/1.md", overhaul())
			s.from([]int{a, b, c}, berg, limits, "---\n---\n", "decisions/1.md", overhaul())
			return s
		}, "proved: 5 commits"},
		{"C06 a merge that keeps one side and drops another man's record", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, berg, "decisions/1.md", overhaul())
			b := s.from([]int{0}, ivanov, record, overhaul())
			s.from([]int{a, b}, berg)
			return s
		}, "drops " + record + " as commit"},
		{"a record taken out", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.by(ivanov, record, "")
			return s
		}, "takes out " + record},
		{"a record moved to the rack", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.by(ivanov, record, "->overhauls/spares/2024-01-01-h-1.md")
			return s
		}, "proved: 3 commits"},
		{"a record given another name", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.by(ivanov, record, "->overhauls/me1/c1/2024-01-01-h-2.md")
			return s
		}, "takes out " + record},
		{"moved on one side, edited on the other, brought together", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			moved := s.by(ivanov, record, "->overhauls/spares/2024-01-01-h-1.md")
			edited := s.from([]int{1}, berg, record, overhaul("by", "berg"))
			s.from([]int{moved, edited}, berg, "overhauls/spares/2024-01-01-h-1.md", overhaul("by", "berg"))
			return s
		}, "proved: 5 commits"},
		{"moved on one side, the other side's edit dropped", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			moved := s.by(ivanov, record, "->overhauls/spares/2024-01-01-h-1.md")
			edited := s.from([]int{1}, berg, record, overhaul("by", "berg"))
			s.from([]int{moved, edited}, ivanov)
			return s
		}, "drops " + record + " as commit"},
		{"C07 a merge that takes the older side", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			newer := s.by(berg, record, overhaul("by", "berg"))
			side := s.from([]int{1}, ivanov, "parts/h-1.md", overhaul())
			s.from([]int{side, newer}, ivanov)
			return s
		}, "drops " + record + " as commit"},
		{"C08 a merge that takes the newer side", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			newer := s.by(berg, record, overhaul("by", "berg"))
			side := s.from([]int{1}, ivanov, "parts/h-1.md", overhaul())
			s.from([]int{newer, side}, ivanov, "parts/h-1.md", overhaul())
			return s
		}, "proved: 5 commits"},
		{"C09 one record on both sides, settled for one", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			a := s.from([]int{1}, ivanov, record, overhaul("by", "ivanov"))
			b := s.from([]int{1}, berg, record, overhaul("by", "berg"))
			s.from([]int{a, b}, berg)
			return s
		}, "drops " + record + " as commit"},
		{"C10 one record on both sides, settled by hand", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			a := s.from([]int{1}, ivanov, record, overhaul("by", "ivanov"))
			b := s.from([]int{1}, berg, record, overhaul("who", "berg"))
			s.from([]int{a, b}, berg, record, overhaul("by", "ivanov", "who", "berg"))
			return s
		}, "proved: 5 commits"},
		{"C11 a merge that brings old limits back", "good", func() *tale {
			s := found(all...)
			newer := s.from([]int{0}, shore, limits, "---\nmax: 1\n---\n")
			side := s.from([]int{0}, ivanov, record, overhaul())
			s.from([]int{side, newer}, ivanov)
			return s
		}, "drops limits/qz.md as commit"},
		{"C21 lines that cross and meet twice", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, ivanov, record, overhaul())
			b := s.from([]int{0}, berg, "decisions/1.md", overhaul())
			ab := s.from([]int{a, b}, ivanov, "decisions/1.md", overhaul())
			ba := s.from([]int{b, a}, berg, record, overhaul())
			s.from([]int{ab, ba}, berg)
			return s
		}, "proved: 6 commits"},
		{"B09 the register emptied by an engineer", "bad", func() *tale {
			s := found(all...)
			s.by(ivanov, "signers/allowed_signers", "# nobody\n")
			s.by(ivanov, record, overhaul())
			return s
		}, "signers/allowed_signers is for chief or superintendent"},
		{"B09 the register emptied by the office", "bad", func() *tale {
			s := found(all...)
			s.by(shore, "signers/allowed_signers", "# nobody\n")
			s.by(ivanov, record, overhaul())
			return s
		}, "key not in force: the key was withdrawn"},
		{"B12 one hand with two keys", "good", func() *tale {
			s := found(all...)
			second := strings.Replace(line(reyes, roles[ivanov], "20240101", ""), "reyes@third-engineer", ivanov, 1)
			s.by(shore, "signers/allowed_signers", lines(all...)+second)
			s.by(reyes, record, overhaul()) // signs with the second key
			return s
		}, "proved: 3 commits"},
		{"B30 an engineer writes a review", "good", func() *tale {
			s := found(all...)
			s.by(berg, record, overhaul())
			s.by(ivanov, "reviews/2024-01-01-h-1.ivanov.md", "---\n---\n")
			return s
		}, "reviews/2024-01-01-h-1.ivanov.md is for superintendent to change"},
		{"C05 a merge that edits the register", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, ivanov, record, overhaul())
			b := s.from([]int{0}, shore, limits, "---\n---\n")
			s.from([]int{a, b}, berg, limits, "---\n---\n", "signers/allowed_signers", lines(all...)+line(reyes, []string{"engineer", "chief"}, "", ""))
			s.by(reyes, record, overhaul("by", "reyes"))
			return s
		}, "a chief lets engineers in or out, reyes@third-engineer is more"},
		{"C14 two registers brought together with the signer that one side took out", "bad", func() *tale {
			s := found(all...)
			out := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg))
			in := s.from([]int{0}, berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.from([]int{out, in}, shore, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.by(ivanov, record, overhaul())
			return s
		}, "drops signers/allowed_signers as commit"},
		{"C14 two registers brought together by dropping one", "good", func() *tale {
			s := found(all...)
			out := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg))
			in := s.from([]int{0}, berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
			s.from([]int{out, in}, shore)
			return s
		}, "drops signers/allowed_signers as commit"},
		{"C15 a hand taken out signs the merge", "bad", func() *tale {
			s := found(all...)
			out := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg))
			his := s.from([]int{0}, berg, record, overhaul())
			s.from([]int{out, his}, ivanov, record, overhaul())
			return s
		}, "key not in force: the key was withdrawn"},
		{"C22 a merge with its parents the other way round", "good", func() *tale {
			s := found(all...)
			a := s.from([]int{0}, ivanov, record, overhaul())
			b := s.from([]int{0}, berg, "decisions/1.md", overhaul())
			m := s.from([]int{b, a}, berg, record, overhaul())
			c := s.from([]int{a}, ivanov, record, overhaul("a", "1"))
			s.from([]int{c, m}, ivanov, "decisions/1.md", overhaul())
			return s
		}, "proved: 6 commits"},
		{"C23 a merge with itself", "good", func() *tale {
			s := found(all...)
			s.by(ivanov, record, overhaul())
			s.from([]int{1, 1}, berg, record, overhaul("a", "1"))
			return s
		}, "malformed: one parent stands twice"},
		{"D22 a record picked from another branch by another person", "good", func() *tale {
			s := found(all...)
			s.from([]int{0}, ivanov, record, overhaul())
			pick := s.from([]int{0}, berg, record, overhaul())
			s.steps[pick].Committer = s.steps[pick].Author
			s.steps[pick].Author.Name = ivanov
			return s
		}, "proved: 2 commits"}, // and the record is the picker's, see TestPickedRecord
		{"L03 the year 2099", "good", func() *tale {
			s := found(all...)
			s.at(ivanov, 75*366*24*60, nil, record, overhaul())
			return s
		}, "proved: 2 commits"}, // a date proves nothing; a receiver contradicts it
		{"L10 a window that begins on 29 February", "good", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(ivanov, roles[ivanov], "20240229", ""))
			s.at(ivanov, 59*24*60, nil, record, overhaul())
			return s
		}, "proved: 2 commits"},
		{"L10 a day before it", "bad", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(ivanov, roles[ivanov], "20240229", ""))
			s.at(ivanov, 58*24*60, nil, record, overhaul())
			return s
		}, "outside window: stated 2024-02-28 12:00Z, the key is good from 2024-02-29 00:00Z"},
		{"L13 a second after its end", "bad", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(ivanov, roles[ivanov], "20240101", "202401011300"))
			s.at(ivanov, 60, nil, record, overhaul())
			s.steps[1].Author.When = s.steps[1].Author.When.Add(time.Second)
			return s
		}, "outside window"},
		{"L15 a time that no clock of the place showed", "good", func() *tale {
			s := found(all...)
			s.at(ivanov, 90*24*60-9*60-30, nil, record, overhaul()) // 02:30 of 31 March, as summer time begins
			s.steps[1].Author.When = s.steps[1].Author.When.In(time.FixedZone("", 3600))
			return s
		}, "proved: 2 commits"},
		{"B33 a receiver's key on a commit", "good", func() *tale {
			s := &tale{}
			s.by(shore, "signers/allowed_signers", lines(shore)+line(reyes, []string{"receiver"}, "", ""))
			s.by(reyes, record, overhaul())
			return s
		}, "key not in force: the key of reyes@third-engineer may not sign commits"},
	}
}

func TestHistories(t *testing.T) {
	for _, c := range histories() {
		t.Run(c.name, func(t *testing.T) {
			dir, ids := c.tell().book(t)
			trail := read(t, dir, ids)
			if trail.Proved != strings.HasPrefix(c.want, "proved") || !strings.Contains(trail.Headline, c.want) {
				t.Errorf("headline %q, want %q", trail.Headline, c.want)
			}
			if trail.Proved != (trail.First < 0) {
				t.Errorf("proved %v, but first offending commit %d", trail.Proved, trail.First)
			}
		})
	}
}

func TestStatesOfCommits(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	s.by(nobody, record, overhaul("a", "1"))
	s.by(ivanov, record, overhaul("a", "2"))
	s.unsigned()
	s.at(berg, 5, nil, record, overhaul("a", "3")) // 25 minutes before its parent
	dir, ids := s.book(t)
	trail := read(t, dir, ids)
	for i, want := range []logbook.State{logbook.Signed, logbook.Signed, logbook.UnknownKey, logbook.Unsigned, logbook.Signed} {
		if got := trail.Commits[i].State; got != want || trail.Commits[i].ID != ids[i] {
			t.Errorf("commit %d %s: %s, want %s", i, trail.Commits[i].ID, got, want)
		}
	}
	if c := trail.Commits[1]; c.Signer != ivanov || c.Person != "ivanov" || fmt.Sprint(c.Roles) != "[engineer]" {
		t.Errorf("signer %s %s %v", c.Signer, c.Person, c.Roles)
	}
	if c := trail.Commits[2]; c.Signer != "" || !strings.HasPrefix(c.Key, "SHA256:") {
		t.Errorf("unknown key: signer %q, key %q", c.Signer, c.Key)
	}
	if m := trail.Commits[4].Marks; len(m) != 1 || !strings.Contains(m[0], "clock went back: stated 25 min before") {
		t.Errorf("marks %q", m)
	}
	if trail.First != 2 {
		t.Errorf("first offending commit %d, want 2", trail.First)
	}
	r := trail.Records[record]
	if r.Now().Commit != 4 || len(r.Versions) != 4 || fmt.Sprint(r.Signers) != "[ivanov@second-engineer berg@chief-engineer]" {
		t.Errorf("record: now %+v, %d versions, signers %v", r.Now(), len(r.Versions), r.Signers)
	}
}

// A key that comes into the register later was not unknown, it was early.
func TestKeyBeforeItsTime(t *testing.T) {
	s := found(shore, berg)
	s.by(reyes, record, overhaul())
	s.by(berg, "signers/allowed_signers", lines(shore, berg, reyes))
	dir, ids := s.book(t)
	trail := read(t, dir, ids)
	if c := trail.Commits[1]; c.State != logbook.NotInForce || !strings.Contains(c.Why, "only with commit "+ids[2][:12]) || c.Signer != reyes {
		t.Errorf("%s: %s, signer %s", c.State, c.Why, c.Signer)
	}
}

// Taken out on one side and given more time on the other, he is out: removal wins, even where the merge
// keeps the line in the file.
func TestRemovalWins(t *testing.T) {
	s := found(shore, berg, ivanov)
	wider := lines(shore, berg) + line(ivanov, roles[ivanov], "", "")
	out := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, berg))
	more := s.from([]int{0}, shore, "signers/allowed_signers", wider)
	s.from([]int{out, more}, shore, "signers/allowed_signers", wider)
	s.by(ivanov, record, overhaul())
	dir, ids := s.book(t)
	trail := read(t, dir, ids)
	last := trail.Commits[len(trail.Commits)-1]
	if last.State != logbook.NotInForce || !strings.Contains(last.Why, "withdrawn by commit "+ids[out][:12]) {
		t.Errorf("%s: %s", last.State, last.Why)
	}
}

// Who was let in by a signer that could not, is not in force either, and the reason says so.
func TestWhoeverHeLetIn(t *testing.T) {
	s := found(shore, berg, ivanov)
	out := s.from([]int{0}, shore, "signers/allowed_signers", lines(shore, ivanov))
	in := s.from([]int{0}, berg, "signers/allowed_signers", lines(shore, berg, ivanov, reyes))
	late := s.from([]int{in}, reyes, record, overhaul())
	s.from([]int{out, late}, shore, "parts/x.md", "x\n", record, overhaul(), "signers/allowed_signers", lines(shore, ivanov, reyes))
	dir, ids := s.book(t)
	trail := read(t, dir, ids)
	for _, c := range trail.Commits {
		switch c.ID {
		case ids[in]:
			if c.State != logbook.Unseen {
				t.Errorf("the chief: %s", c.State)
			}
		case ids[late]:
			if c.State != logbook.NotInForce || !strings.Contains(c.Why, "whoever let the key in was not entitled to it") {
				t.Errorf("whom he let in: %s: %s", c.State, c.Why)
			}
		}
	}
}

func TestValuesAndTheirCommits(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("a", "1", "b", "1", "c", "1"))            // 1
	s.by(berg, record, overhaul("a", "1", "b", "2", "c", "1"))              // 2
	s.by(ivanov, record, overhaul("a", "1", "b", "2"))                      // 3
	s.by(ivanov, record, "->overhauls/spares/2024-01-01-h-1.md")            // 4
	rack := "overhauls/spares/2024-01-01-h-1.md"                            //
	s.by(berg, rack, overhaul("a", "1", "b", "3", "c", "4"))                // 5
	s.from([]int{4}, ivanov, rack, overhaul("a", "7", "b", "2"))            // 6, beside 5
	s.from([]int{5, 6}, berg, rack, overhaul("a", "7", "b", "3", "c", "5")) // 7
	dir, ids := s.book(t)
	trail := read(t, dir, ids)
	r := trail.Records[rack]
	if r == nil {
		t.Fatal("the record is not where it was moved to")
	}
	if now := r.Now(); now.State != logbook.MergeEdit || now.Commit != 7 {
		t.Errorf("now %+v", now)
	}
	for _, w := range []struct {
		path, written string
		commit        int
		before        string
	}{
		{"holder", "H-1", 1, "[]"},
		{"a", "7", 6, "[{1 1}]"},
		{"b", "3", 5, "[{1 1} {2 2}]"},
		{"c", "5", 7, "[{1 1} {3 } {5 4}]"},
	} {
		got, ok := r.Setting(w.path, w.written)
		if !ok || got.Commit != w.commit || fmt.Sprint(got.Before) != w.before {
			t.Errorf("%s: set by %d, before %v (%v), want %d, %s", w.path, got.Commit, got.Before, ok, w.commit, w.before)
		}
	}
	if _, ok := r.Setting("a", "8"); ok {
		t.Error("a value that the tip does not hold is said to be committed")
	}
}

func TestCountersignatures(t *testing.T) {
	text := overhaul("opening", "320 bar", "spray", "even")
	sign := func(folder, signer, seen, word string) (string, string) {
		c := exchange.Countersigning(folder, signer, record, []byte(seen), word, "")
		return c.Path, string(c.Text)
	}
	for _, c := range []struct {
		name  string
		tell  func(s *tale)
		state logbook.CounterState
		why   string // begins so; for a counted one, what changed and was added
	}{
		{"seen as it stands", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text, "as seen")
			s.by(berg, p, f)
		}, logbook.Countersigned, ""},
		{"a seen value changed since", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text, "as seen")
			s.by(berg, p, f)
			s.by(ivanov, record, overhaul("opening", "340 bar", "spray", "even"))
		}, logbook.ChangedSince, "changed opening 320 bar>340 bar@3"},
		{"a seen value taken out since", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text, "as seen")
			s.by(berg, p, f)
			s.by(ivanov, record, overhaul("opening", "320 bar"))
		}, logbook.ChangedSince, "changed spray even>@3"},
		{"only added to since", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text, "as seen")
			s.by(berg, p, f)
			s.by(ivanov, record, overhaul("opening", "320 bar", "spray", "even", "fitted", "{engine: ME1}"))
		}, logbook.Countersigned, "added fitted.engine >ME1@3"},
		{"moved since", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text, "as seen")
			s.by(berg, p, f)
			s.by(ivanov, record, "->overhauls/spares/2024-01-01-h-1.md")
		}, logbook.Countersigned, ""},
		{"B29 the record is his own", func(s *tale) {
			s.by(berg, record, text)
			p, f := sign("countersigned", "berg", text, "as seen")
			s.by(berg, p, f)
		}, logbook.NotCounted, "berg wrote the record too"},
		{"he added to it after he had seen it", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text, "as seen")
			s.by(berg, p, f)
			s.by(berg, record, overhaul("opening", "320 bar", "spray", "even", "fitted", "yes"))
		}, logbook.Countersigned, "added fitted >yes@3"},
		{"signed by an engineer", func(s *tale) {
			s.by(berg, record, text)
			p, f := sign("countersigned", "ivanov", text, "as seen")
			s.by(ivanov, p, f)
		}, logbook.NotCounted, "ivanov@second-engineer is no chief"},
		{"unsigned", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text, "as seen")
			s.by(berg, p, f)
			s.unsigned()
		}, logbook.NotCounted, "unsigned"},
		{"another text was seen", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text+" ", "as seen")
			s.by(berg, p, f)
		}, logbook.NotCounted, "no version of the record has the digest that was signed"},
		{"in another man's name", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "shore", text, "as seen")
			s.by(berg, p, f)
		}, logbook.NotCounted, "the file is named for shore, but berg@chief-engineer signed it"},
		{"seen and refused", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("countersigned", "berg", text, "refused")
			s.by(berg, p, f)
		}, logbook.Refused, ""},
		{"reviewed ashore", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("reviews", "shore", text, "as seen")
			s.by(shore, p, f)
		}, logbook.Countersigned, ""},
		{"a chief reviews", func(s *tale) {
			s.by(ivanov, record, text)
			p, f := sign("reviews", "berg", text, "as seen")
			s.by(berg, p, f)
		}, logbook.NotCounted, "berg@chief-engineer is no superintendent"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			c.tell(s)
			dir, ids := s.book(t)
			trail := read(t, dir, ids)
			r := trail.Records[record]
			if r == nil {
				r = trail.Records["overhauls/spares/2024-01-01-h-1.md"]
			}
			if len(r.Countersignatures) != 1 {
				t.Fatalf("%d countersignatures", len(r.Countersignatures))
			}
			got := r.Countersignatures[0]
			why := got.Why
			for _, v := range got.Changed {
				why += fmt.Sprintf("changed %s %s>%s@%d", v.Path, v.Old, v.New, v.Commit)
			}
			for _, v := range got.Added {
				why += fmt.Sprintf("added %s %s>%s@%d", v.Path, v.Old, v.New, v.Commit)
			}
			if got.State != c.state || !strings.HasPrefix(why, c.why) || c.why == "" && why != "" {
				t.Errorf("%s: %s, want %s: %s", got.State, why, c.state, c.why)
			}
			if want := fmt.Sprintf("%x", sha256.Sum256([]byte(text))); c.state == logbook.Countersigned && got.SHA256 != want {
				t.Errorf("sha256 %s, want %s", got.SHA256, want)
			}
		})
	}
}
