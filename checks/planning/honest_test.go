package planning_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks"
	"needlebook/checks/paper"
	"needlebook/checks/planning"
	"needlebook/logbook"
)

// planOf is the plan of a ship of two engines: AE runs 10 h a day, ME stands; extra files are added.
func planOf(t *testing.T, extra map[string]string) *planning.Plan {
	t.Helper()
	fs := fstest.MapFS{}
	for name, text := range map[string]string{
		"book.md": `---
vessel: Trial
engines:
  - {id: AE, type: small, cylinders: [1, 2], limits: small}
  - {id: ME, type: big, cylinders: [1], limits: big}
opening:
  date: 2020-01-01
  fitted:
    - {engine: AE, cylinder: 1, holder: "H1", nozzle: "N1", counter: 1000 h, since: 0 h, nozzle_hours: 100 h, left: 300 bar}
    - {engine: AE, cylinder: 2, holder: "H2", nozzle: "N2", counter: 1000 h, since: 0 h, left: 300 bar}
    - {engine: ME, cylinder: 1, holder: "H3", nozzle: "N3", counter: 5000 h, since: 0 h, nozzle_hours: 0 h, left: 300 bar}
  spares: [{holder: "H4", nozzle: "N4", nozzle_hours: 0 h, left: 300 bar}]
---
`,
		"limits/small.md":   "---\ntype: S\nrevisions:\n  - {from: 2019-01-01, source: manual, interval: 1000 h, nozzle_life: {renew: 1500 h}, markings: [\"8x0.30\"]}\n---\n",
		"limits/big.md":     "---\ntype: B\nrevisions:\n  - {from: 2019-01-01, source: manual, interval: 2000 h, nozzle_life: {renew: 6000 h}}\n---\n",
		"hours/ae.csv":      "date,counter_h,note\n2020-01-01,1000,\n2020-03-31,1900,\n",
		"hours/me.csv":      "date,counter_h,note\n2020-01-01,5000,\n2020-03-31,5000,\n",
		"instruments/pg.md": "---\nid: PG\nkind: gauge\n---\n",
		"overhauls/ae/c1/2020-03-01-h1.md": `---
holder: "H1"
nozzle: {found: "N1", left: "N1", marking: 8x0.30}
removed: {engine: AE, cylinder: 1, date: 2020-03-01, counter: 1600 h, reason: planned}
as_found: {date: 2020-03-01, gauge: PG, opening_pressure: [300 bar]}
as_left: {date: 2020-03-01, gauge: PG, opening_pressure: [300 bar]}
fitted: {engine: AE, cylinder: 1, date: 2020-03-01, counter: 1600 h}
---
`,
	} {
		fs[name] = &fstest.MapFile{Data: []byte(text)}
	}
	for name, text := range extra {
		fs[name] = &fstest.MapFile{Data: []byte(text)}
	}
	b, err := logbook.Read(fs)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.Problems {
		t.Errorf("the book of the test is not sound: %s", p)
	}
	return planning.New(b, checks.Run(b, checks.Options{Only: []*checks.Check{}}), nil)
}

// rows are the rows of a table, a line each.
func rows(p paper.Paper, table string) []string {
	var all []string
	for _, r := range p.Table(table).Rows {
		line := ""
		for _, c := range r {
			line += "|" + c.Text
		}
		all = append(all, line)
	}
	return all
}

func one(t *testing.T, all []string, what ...string) {
	t.Helper()
	for _, line := range all {
		met := true
		for _, w := range what {
			met = met && strings.Contains(line, w)
		}
		if met {
			return
		}
	}
	t.Errorf("no row holds %q:\n%s", what, strings.Join(all, "\n"))
}

// What the stores do not book is not known, and is no stock of nil; what was booked out more than in is counted before it is ordered. No
// outside source.
func TestStoresThatNobodyCounts(t *testing.T) {
	none := planOf(t, nil).Stores()
	one(t, rows(none, "wave"), "2020-Q2|small|1|not known") // AE-1: 1000 of 1500 h at 10 h a day
	one(t, rows(none, "wave"), "hours not known|small|1|–|N2")
	one(t, rows(none, "consumption"), "2020|0|0|0|–|not known")
	one(t, rows(none, "ages"), "N1|AE-1|1000 h|1500 h|–|")
	one(t, rows(none, "ages"), "N4|rack, in H4, ready|0 h|–|–|") // of which type it is nobody says
	if e := none.Table("order").Empty; !strings.HasPrefix(e, "not known") {
		t.Errorf("without stores there is an order list: %q", e)
	}
	short := planOf(t, map[string]string{"stores/stock.csv": "date,item,part_no,serial,change,on_order,due,price,lead_days,note\n2020-01-01,ring,R-1,,4,,,,30,\n2020-02-01,ring,R-1,,-6,,,,,\n2020-01-01,nozzle,P-1,,1,,,,30,\n"}).Stores()
	one(t, rows(short, "stock"), "ring|R-1|-2", "count it first")
	one(t, rows(short, "order"), "R-1|ring|count it first")
	one(t, rows(short, "stock"), "nozzle|P-1|1", "1 of unknown hours are not counted")
	one(t, rows(short, "wave"), "2020-Q2|small|1|1|N1")
	used := planOf(t, map[string]string{"stores/stock.csv": "date,item,part_no,serial,change\n2020-01-01,nozzle,P-1,,2\n2020-02-01,nozzle,P-1,,-8\n"}).Stores()
	one(t, rows(used, "wave"), "2020-Q2|small|1|0, 7 short at its end|N1") // six that were booked out of nothing, and one more
}

// Nozzles of one type are no stock for the other, and each is ordered by its own marking. No outside source.
func TestNozzlesServeTheirOwnType(t *testing.T) {
	p := planOf(t, map[string]string{
		"hours/me.csv":     "date,counter_h,note\n2020-01-01,5000,\n2020-03-31,5900,\n",
		"limits/big.md":    "---\ntype: B\nrevisions:\n  - {from: 2019-01-01, source: manual, interval: 2000 h, nozzle_life: {renew: 1000 h}, markings: [\"9x0.40\"]}\n---\n",
		"parts/m-1.md":     "---\nserial: \"M-1\"\nkind: nozzle\nmarking: 9x0.40\n---\n",
		"stores/stock.csv": "date,item,part_no,serial,change,on_order,due,price,lead_days,note\n2020-01-01,big nozzle,P-9,M-1,1,,,,60,\n",
	}).Stores()
	one(t, rows(p, "wave"), "2020-Q2|small|1|not known: the stores book none|N1")
	one(t, rows(p, "wave"), "2020-Q2|big|1|1|N3")
	one(t, rows(p, "order"), "P-9|big nozzle|", "|60|9x0.40")
	for _, line := range rows(p, "order") {
		if strings.Contains(line, "8x0.30") {
			t.Errorf("a big nozzle is ordered by the marking of the small ones: %s", line)
		}
	}
}

// What has no day because its engine stands comes last; a deferral without an end does not hold; a gauge in use without a calibration is
// named. No outside source.
func TestDueOfWhatHasNoDay(t *testing.T) {
	due := planOf(t, map[string]string{
		"deferrals/d-1.md": "---\nid: D-1\nholder: \"H1\"\nreason: no spare\nfrom: 2020-03-01\n---\n",
		"deferrals/d-2.md": "---\nid: D-2\nholder: \"H1\"\nreason: no spare\nfrom: 2020-03-01\nhours: 500 h\n---\n",
		"deferrals/d-3.md": "---\nid: D-3\nholder: \"H1\"\nreason: no spare\nfrom: 2020-03-01\nhours: 500 h\nuntil: 2020-06-01\n---\n",
	}).Due(0, true)
	all := rows(due, "due")
	one(t, all, "deferral|D-1", "states no end")
	one(t, all, "deferral|D-2", "300 h of 500 h, allowed by nobody") // 1600 to 1900 on the counter
	one(t, all, "deferral|D-3", "300 h of 500 h, until 2020-06-01, allowed by nobody")
	dated, last := 0, ""
	for i, line := range all {
		if strings.HasPrefix(line, "|2020") {
			dated = i
		}
		last = line
	}
	if !strings.Contains(last, "ME-1") || dated > len(all)-3 { // its valve and its nozzle
		t.Errorf("what stands is not last:\n%s", strings.Join(all, "\n"))
	}
	if notes := strings.Join(due.Notes, "\n"); !strings.Contains(notes, "no calibration is stated, so not listed: PG") {
		t.Errorf("the gauge without a calibration is not named: %s", notes)
	}
}

// A spare whose record has no day yet was tested on none, and one of the starting state is on board since then; neither
// was tested in 1970. No outside source.
func TestDueOfASpareWithoutATest(t *testing.T) {
	due := planOf(t, map[string]string{"overhauls/spares/h9.md": "---\nholder: \"H9\"\nnozzle: {left: \"N9\"}\nstored: {place: rack 2}\n---\n"}).Due(0, true)
	all := rows(due, "due")
	one(t, all, "test in the spares rack|H4", "no test on record, on board since 2020-01-01")
	one(t, all, "test in the spares rack|H9", "|2020-03-31", "not tested")
	if text := strings.Join(all, "\n"); strings.Contains(text, "1970") {
		t.Errorf("a day that nobody wrote:\n%s", text)
	}
}

// A marking that was read when the nozzle came out is on record, and reckoned hours are no gap of the record. No outside source.
func TestExtractsSayWhatIsOnRecord(t *testing.T) {
	p := planOf(t, map[string]string{"overhauls/ae/c2/2020-03-10-h2.md": `---
holder: "H2"
nozzle: {found: "N2", left: "N2", marking: 8x0.30}
removed: {engine: AE, cylinder: 2, date: 2020-03-10, counter: 1690 h, reason: planned}
as_found: {date: 2020-03-10, opening_pressure: [300 bar]}
as_left: {date: 2020-03-10, opening_pressure: [300 bar]}
---
`, "overhauls/ae/c2/2020-03-20-h4.md": `---
holder: "H4"
nozzle: {found: "N4", left: "N4", marking: 8x0.30}
removed: {engine: AE, cylinder: 2, date: 2020-03-20, counter: 1790 h, reason: planned}
as_left: {date: 2020-03-20, opening_pressure: [300 bar]}
---
`, "book.md": `---
vessel: Trial
engines:
  - {id: AE, type: small, cylinders: [1, 2], limits: small}
opening:
  date: 2020-01-01
  fitted: [{engine: AE, cylinder: 1, holder: "H1", nozzle: "N1", counter: 1000 h, since: 0 h}, {engine: AE, cylinder: 2, holder: "H2", nozzle: "N2", counter: 1000 h, since: 0 h}]
  spares: [{holder: "H4", nozzle: "N4", fitted: {engine: AE, cylinder: 2, date: 2020-03-10, counter: 1690 h}}]
---
`, "hours/me.csv": "date,counter_h,note\n"})
	nox := p.NOx(0, 0)
	one(t, rows(nox, "ae"), "N2|N4|8x0.30, as read when it came out|8x0.30|yes")
	if title := nox.Table("ae").Title; title != "AE, type small" {
		t.Errorf("title %q", title)
	}
	for _, line := range rows(p.Handover(), "gaps") {
		if strings.Contains(line, "running hours of the nozzle") {
			t.Errorf("reckoned hours are called a gap: %s", line)
		}
	}
}

// An interval that cannot be one gives no day, and the list says why. No outside source.
func TestDueSaysThatAnIntervalIsNotBelieved(t *testing.T) {
	due := planOf(t, map[string]string{
		"limits/small.md": "---\ntype: small\nrevisions:\n  - {from: 2020-01-01, source: manual, interval: 2.5 h}\n---\n",
	}).Due(0, true)
	one(t, rows(due, "due"), "valve|", "AE-1", "interval 2.5 h not believed")
}

// A valve whose nozzle nobody stated is called by its holder, without a stroke behind it.
func TestDueOfAValveWithoutANozzle(t *testing.T) {
	var text strings.Builder
	p := planOf(t, map[string]string{"overhauls/ae/c2/2020-03-10-h9.md": "---\nholder: \"H9\"\nfitted: {engine: AE, cylinder: 2, " +
		"date: 2020-03-10, counter: 1690 h}\n---\n", "overhauls/ae/c2/2020-03-10-h2.md": "---\nholder: \"H2\"\nremoved: {engine: AE, " +
		"cylinder: 2, date: 2020-03-10, counter: 1690 h, reason: planned}\n---\n"}).Due(0, true)
	if err := p.WriteText(&text, 0); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text.String(), "H9") || strings.Contains(text.String(), "H9 /") || !strings.Contains(text.String(), "H1 / N1") {
		t.Errorf("due says\n%s", text.String())
	}
}
