package logbook

import (
	"testing"
	"testing/fstest"
)

// The forms of a book's files as they are described to its writers read without a problem.
func TestFormsOfABook(t *testing.T) {
	b, err := Read(fstest.MapFS{
		"book.md": {Data: []byte(`---
vessel: Ostrevane
engines:
  - {id: ME1, name: port, type: 6QZ31, cylinders: [1, 2, 3, 4, 5, 6], numbered_from: free end, limits: 6qz31, interval: 2000 h}
opening:                          # the state on the day the book begins
  date: 2021-01-11
  fitted: [{engine: ME1, cylinder: 1, holder: "H-101", nozzle: "N-2001", counter: 41250 h, since: 1969 h, left: 320 bar}]
  spares: [{holder: "H-113", nozzle: "N-2013", left: 320 bar}]
accepts: {failed_as_found: 10 %}     # the chance the owner accepts at full interval
settings: {round_within: 3 d, spare_test_age: 90 d, late_entry: 14 d, interval_tolerance: 10 %}
---
`)},
		"limits/6qz31.md": {Data: []byte(`---
type: 6QZ31
revisions:
  - from: 2021-01-01
    source: owner's manual 6QZ31, section 16, revision B
    rule: simple                  # or guarded
    opening_pressure: {used: 320 +10/-0 bar, new: 345 +10/-0 bar, as_found: {look: 285 bar, cause: 265 bar}}
    seat: {at: opening - 20 bar, for: 10 s, allow: damp}
    leak_down: {from: opening - 25 bar, fall: 60 bar, oil: 20 °C, as_left: 6.0 .. 40 s, as_found: 2.5 s ..}
    effective_lift: {new: 0.70 .. 0.78 mm, max: 0.90 mm, safety: yes}
    markings: ["9x0.36 C"]
  - from: 2022-06-01              # states only what changed
    source: service letter 2022-05
    holder_wear: {max: 0.05 mm}
---
`)},
		goodPath:           {Data: []byte(good(t))},
		"hours/me1.csv":    {Data: []byte("date,counter_h,note\n2022-09-04,0,replaced: old counter ended at 50196\n")},
		"running/me1.csv":  {Data: []byte("date,load_pct,fuel,cylinder,exhaust_c,exhaust_dev_k,pmax_bar,pmax_dev_bar,fuel_rack\n2022-09-04,82,residual,1,350,+5,141,-2,36\n")},
		"fuel/bunkers.csv": {Data: []byte("stem,received,in_use_from,in_use_to,grade,al_si_mg_kg,viscosity,note\nX,2022-09-04,2022-09-05,,blend,12,160,\n")},
		"stores/stock.csv": {Data: []byte("date,item,part_no,serial,change,on_order,due,price,lead_days,note\n2022-09-04,nozzle,P-1,N-1,1,,,412.00,90,\n")},
		"crew.csv":         {Data: []byte("id,name,rank,from,to\nm.oyelaran,M. Oyelaran,second engineer,2024-01-15,2024-07-01\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.Problems {
		t.Error(p)
	}
	if b.Vessel.Engines[0].Interval.String() != "2000 h" || len(b.Vessel.Engines[0].Cylinders.Each) != 6 || len(b.Stock) != 1 || len(b.Running) != 1 {
		t.Errorf("read %+v", b.Vessel.Engines)
	}
}
