package planning_test

import (
	"bytes"
	"fmt"
	"os"
	"strings"
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
	ahead := p.Ahead("ME1", r.Today, nil, nil).Paper()
	e := evidence.New(b, r.Rounds, r.Judgement, r.Today)
	return []paper.Paper{ahead, p.Due(0, false), p.Due(r.Today+30, false), p.Stores(), p.Promised(), p.Handover(), p.NOx(0, 0), p.Survey("", 0, 0), e.Paper(evidence.Ask{Parts: true, Plots: true, Planned: 1, Failed: 5, BadHour: 0.01}), e.RecurringPaper()}
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
			p.WriteText(&one, 0)
			again[i].WriteText(&two, 0)
			if one.String() != two.String() {
				t.Errorf("%s: %s is not the same when made again", name, p.Name)
			}
			if bytes.Contains(one.Bytes(), []byte("NaN")) {
				t.Errorf("%s: %s holds a not-a-number", name, p.Name)
			}
		}
	}
}

// The list of what is due keeps to one sheet whatever the ship, and what falls first stands first. No outside source.
func TestDueKeepsToItsSheet(t *testing.T) {
	for _, x := range []struct {
		seed      uint64
		overhauls int
	}{{0, 0}, {1, 0}, {2, 0}, {3, 900}, {4, 2100}} {
		v := invent.Vessel(x.seed, invent.Options{Overhauls: x.overhauls})
		b, err := logbook.Read(v.FS())
		if err != nil {
			t.Fatal(err)
		}
		r := checks.Run(b, checks.Options{Only: []*checks.Check{}})
		p := planning.New(b, r, nil)
		short, long := p.Due(0, false), p.Due(0, true)
		rows := short.Table("due").Rows
		if len(rows) > 42 {
			t.Errorf("%s: %d rows, an A4 page holds 42", v.Traits, len(rows))
		}
		if n := len(long.Table("due").Rows); n < len(b.Positions()) {
			t.Errorf("%s: all lists %d rows for %d cylinders", v.Traits, n, len(b.Positions()))
		}
		last := ""
		for _, r := range rows {
			day, _, _ := strings.Cut(r[0].Text, " ")
			if day != "" && day < last {
				t.Errorf("%s: %s stands after %s", v.Traits, day, last)
			}
			last = max(last, day)
		}
	}
}

// A nozzle whose hours are over is renewed at the next overhaul of its valve, and is past due no sooner than that. No
// outside source: the limits say "renew at the first overhaul after these hours".
func TestNozzleIsDueWithItsValve(t *testing.T) {
	tried := 0
	for seed := uint64(7001); seed < 7004; seed++ {
		v := invent.Vessel(seed, invent.Options{Overhauls: 160})
		b, err := logbook.Read(v.FS())
		if err != nil {
			t.Fatal(err)
		}
		valves := map[string]string{}
		due := planning.New(b, checks.Run(b, checks.Options{Only: []*checks.Check{}}), nil).Due(0, true)
		rows := due.Table("due").Rows
		for _, r := range rows {
			if r[2].Text == "valve" {
				valves[r[4].Text] = r[0].Text
			}
		}
		for _, r := range rows {
			var hours, life int
			fmt.Sscanf(r[5].Text, "%d h of %d h", &hours, &life)
			if r[2].Text != "nozzle life" || hours <= life {
				continue
			}
			if tried++; r[0].Text != valves[r[4].Text] {
				t.Errorf("seed %d: %s in %s, %s, is due %s, its valve %s", seed, r[3].Text, r[4].Text, r[5].Text, r[0].Text, valves[r[4].Text])
			}
		}
	}
	if tried == 0 {
		t.Error("no nozzle was over its life: nothing was tried")
	}
}

// TestDueNamesWhatItPutsTogether puts what falls together in one row and still names each thing once; what is past is to be looked at
// first. On the example vessel, whose list is too long for a sheet. No outside source.
func TestDueNamesWhatItPutsTogether(t *testing.T) {
	b, err := logbook.Read(os.DirFS("../../example-vessel"))
	if err != nil {
		t.Fatal(err)
	}
	p := planning.New(b, checks.Run(b, checks.Options{}), nil)
	onSheet, all := p.Due(0, false), p.Due(0, true)
	short, each := onSheet.Table("due").Rows, all.Table("due").Rows
	if len(short) >= len(each) {
		t.Fatalf("%d rows together, %d each by itself", len(short), len(each))
	}
	together := 0
	for _, r := range short {
		if len(r[3].Each) > 1 {
			together++
		}
		for _, one := range r[3].Each {
			if (one.About == paper.About{}) || !strings.Contains(r[3].Text, one.Text) {
				t.Errorf("%q does not lead to %+v", r[3].Text, one)
			}
		}
		if past := strings.HasSuffix(r[0].Text, " past"); past != r[0].Loud || past != r[6].Loud {
			t.Errorf("%s, %s: to be looked at first: %t", r[0].Text, r[3].Text, r[0].Loud)
		}
	}
	if together < 3 {
		t.Errorf("%d rows name several things", together)
	}
}
