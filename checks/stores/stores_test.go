package stores_test

import (
	"fmt"
	"math"
	"testing"
	"testing/fstest"

	"needlebook/checks/stores"
	"needlebook/logbook"
)

// book has two main engines of one type and an auxiliary of another, a cylinder each, at 10 h a day for 400 days.
func book(t *testing.T, stock string) *logbook.Book {
	t.Helper()
	limits := func(mark string) []byte {
		return []byte("---\ntype: T\nrevisions:\n  - {from: 2019-01-01, source: manual, markings: [\"" + mark + "\"], nozzle_life: {renew: 6000 h}}\n---\n")
	}
	fs := fstest.MapFS{
		"book.md": {Data: []byte(`---
vessel: Trial
engines:
  - {id: ME1, cylinders: [1], limits: main}
  - {id: ME2, cylinders: [1], limits: main}
  - {id: AE1, cylinders: [1], limits: small}
opening:
  date: 2020-01-01
  fitted:
    - {engine: ME1, cylinder: 1, holder: "H1", nozzle: "M1", counter: 1000 h, nozzle_hours: 1000 h}
    - {engine: ME2, cylinder: 1, holder: "H2", nozzle: "M2", counter: 1000 h, nozzle_hours: 0 h}
    - {engine: AE1, cylinder: 1, holder: "H3", nozzle: "A1", counter: 1000 h, nozzle_hours: 1900 h}
---
`)},
		"limits/main.md":   {Data: limits("big")},
		"limits/small.md":  {Data: limits("small")},
		"parts/m-9.md":     {Data: []byte("---\nserial: \"M-9\"\nkind: nozzle\nmarking: big\n---\n")},
		"parts/a-9.md":     {Data: []byte("---\nserial: \"A-9\"\nkind: nozzle\nmarking: small\n---\n")},
		"stores/stock.csv": {Data: []byte("date,item,part_no,serial,change,on_order,due,price,lead_days,note\n" + stock)},
	}
	for _, e := range []string{"me1", "me2", "ae1"} {
		fs["hours/"+e+".csv"] = &fstest.MapFile{Data: []byte("date,counter_h,note\n2020-01-01,1000,\n2021-02-04,5000,\n")}
	}
	b, err := logbook.Read(fs)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.Problems {
		t.Errorf("the book of the test is not sound: %s", p)
	}
	return b
}

// Nozzles of one type are needed for the engines of that type only; by hand: M1 has 5000 of 6000 h and runs 1200 h in 90 + 30 days, M2 has
// 4000, A1 5900. No nozzle was rejected, so one is expected of each: 1 + 1.64 × √1 is 2.64, three pieces. Poisson, any text.
func TestNozzlesOfTwoTypes(t *testing.T) {
	b := book(t, "2020-01-01,main nozzle,P-1,M-9,1,,,,90,\n2020-01-01,small nozzle,P-2,A-9,1,,,,90,\n")
	items := stores.Count(b, b.Today())
	if len(items) != 2 {
		t.Fatalf("%d items, want 2", len(items))
	}
	for _, it := range items {
		if it.Need.Life != 1 || it.Need.Minimum != 3 || !it.Short() || it.ToOrder() != 2 {
			t.Errorf("%s: %d reach their life, minimum %v, short %v, to order %v; want 1, 3, true, 2", it.Name, it.Need.Life, it.Need.Minimum, it.Short(), it.ToOrder())
		}
	}
}

// What is used comes from what was used: 12 rings in 400 days make 12 × 60/400 in a lead time of 30 and 30 days, and going in sixes they
// vary as 72 × 60/400 (compound Poisson, any text); by hand 1.8 + 1.64 × √10.8 is 7.19, eight pieces.
func TestConsumables(t *testing.T) {
	b := book(t, "2020-01-01,ring,,,40,,,,30,\n2020-06-01,ring,,,-6,,,,,\n2020-12-01,ring,,,-6,,,,,\n")
	it := stores.Count(b, b.Today())[0]
	if math.Abs(it.Need.Expected-1.8) > 1e-9 || it.Need.Minimum != 8 || it.OnBoard != 28 || it.Short() {
		t.Errorf("expected %v, minimum %v, on board %v, short %v; want 1.8, 8, 28, false", it.Need.Expected, it.Need.Minimum, it.OnBoard, it.Short())
	}
}

// Movements after the day asked for do not count, an order is used up by what comes, and a part number holds an item together under two
// names. No outside source.
func TestMovements(t *testing.T) {
	b := book(t, "2020-01-01,seal kit,P-7,,5,10,2020-08-01,,45,\n2020-06-01,kit of seals,P-7,,4,,,,,\n2021-01-01,seal kit,P-7,,-2,,,,,\n")
	for _, x := range []struct {
		day              logbook.Day
		onBoard, onOrder float64
	}{{logbook.NewDay(2020, 2, 1), 5, 10}, {logbook.NewDay(2020, 7, 1), 9, 6}, {logbook.NewDay(2021, 2, 1), 7, 6}} {
		items := stores.Count(b, x.day)
		if len(items) != 1 || items[0].OnBoard != x.onBoard || items[0].OnOrder != x.onOrder {
			t.Errorf("on %s: %s, want %v on board and %v on order", x.day, say(items), x.onBoard, x.onOrder)
		}
	}
}

func say(items []*stores.Item) string {
	s := ""
	for _, it := range items {
		s += fmt.Sprintf("[%s: %v on board, %v on order]", it.Name, it.OnBoard, it.OnOrder)
	}
	return s
}

// A new book knows no serial to tell a nozzle by: then the name does, and no other part that is called after the nozzle passes for one. No
// outside source.
func TestNozzlesByTheirName(t *testing.T) {
	b := book(t, "2020-01-01,fuel nozzle,P-1,,4,,,,90,\n2020-01-01,nozzle 8x0.30,P-2,,4,,,,90,\n2020-01-01,nozzle nut,P-3,,2,,,,90,\n2020-01-01,nozzle holder,P-4,,2,,,,90,\n")
	for _, it := range stores.Count(b, b.Today()) {
		if want := it.PartNo == "P-1" || it.PartNo == "P-2"; it.Nozzle != want {
			t.Errorf("%s: a nozzle %v, want %v", it.Name, it.Nozzle, want)
		}
	}
}
