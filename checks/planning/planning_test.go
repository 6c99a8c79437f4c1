package planning_test

import (
	"bytes"
	"testing"
	"testing/fstest"

	"needlebook/checks"
	"needlebook/checks/evidence"
	"needlebook/checks/paper"
	"needlebook/checks/planning"
	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

func papers(b *logbook.Book) []paper.Paper {
	r := checks.Run(b, checks.Options{Only: []*checks.Check{}})
	p := planning.New(b, r, nil)
	e := evidence.New(b, r.Rounds, r.Judgement, r.Today)
	return []paper.Paper{p.Due(0), p.Due(r.Today + 30), p.Stores(), p.Promised(), p.Handover(), p.NOx(0, 0), p.Survey("", 0, 0), e.Paper(evidence.Ask{Parts: true, Plots: true, Planned: 1, Failed: 5, BadHour: 0.01}), e.CausesPaper()}
}

// Every paper can be made of every book: empty ones, and ships nobody has seen; each row has a cell for each column, and a second making
// gives the same bytes. No outside source.
func TestPapersOfUnseenBooks(t *testing.T) {
	books := map[string]*logbook.Book{}
	empty, err := logbook.Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: V\n---\n")}})
	if err != nil {
		t.Fatal(err)
	}
	books["empty"] = empty
	for seed := range uint64(8) {
		v := invent.Vessel(seed, invent.Options{})
		if books[v.Traits], err = logbook.Read(v.FS()); err != nil {
			t.Fatal(err)
		}
	}
	for name, b := range books {
		again := papers(b)
		for i, p := range papers(b) {
			for _, table := range p.Tables {
				for _, r := range table.Rows {
					if len(r) != len(table.Columns) {
						t.Errorf("%s: %s, %s: %d cells for %d columns", name, p.Name, table.Name, len(r), len(table.Columns))
					}
				}
			}
			var one, two bytes.Buffer
			p.WriteText(&one)
			again[i].WriteText(&two)
			if one.String() != two.String() {
				t.Errorf("%s: %s is not the same when made again", name, p.Name)
			}
			if bytes.Contains(one.Bytes(), []byte("NaN")) {
				t.Errorf("%s: %s holds a not-a-number", name, p.Name)
			}
		}
	}
}
