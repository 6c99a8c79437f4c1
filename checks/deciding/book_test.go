package deciding

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// An invented vessel with invented limits, and one valve that came out in good order: each case changes one thing.
const (
	vessel = `---
vessel: Trial
engines:
  - {id: A, cylinders: [1, 2], limits: trial, interval: 1500 h}
opening:
  date: 2020-01-01
  fitted:
    - {engine: A, cylinder: 1, holder: "B-1", nozzle: "Z-1", counter: 100 h, nozzle_hours: 900 h, left: 260 bar, marking: "7x0.40"}
---
`
	limits = `---
type: Trial
revisions:
  - from: 2019-01-01
    source: owner's manual, section 4
    opening_pressure: {used: 260 +8/-0 bar, new: 280 +8/-0 bar, reground: 270 +8/-0 bar, as_found: {look: 235 bar, cause: 215 bar}}
    seat: {at: opening - 20 bar, for: 10 s, allow: damp}
    leak_down: {from: opening - 20 bar, fall: 50 bar, oil: 20 °C, as_left: 7.0 .. 45 s, as_found: 3.0 s ..}
    lift: {new: 0.60 .. 0.66 mm}
    effective_lift: {max: 0.80 mm}
    holder_wear: {max: 0.06 mm}
    seat_diameter: {nominal: 5.0 mm, allowance: 0.4 mm}
    holes: {count: 7, size: 0.40 mm, no_go: 0.43 mm}
    markings: ["7x0.40"]
    nozzle_life: {renew: 5000 h, never: 6200 h}
    nozzle_nut: {torque: 220 N·m, tolerance: 5 %, steps: 2}
    end_cap: {torque: 90 N·m, tolerance: 5 %}
    spring: {length: 44.0 mm, min: 43.6 mm}
    laps: 2
    grind: {allowed: yes, max: 0.12 mm, times: 2}
    exhaust_deviation: {look: 25 K, act: 40 K, load: 75 %}
---
`
	record = `---
holder: "B-1"
nozzle: {found: "Z-1", left: "Z-1", marking: "7x0.40"}
removed: {engine: A, cylinder: 1, date: 2020-06-01, counter: 1600 h, reason: planned}
as_found:
  date: 2020-06-01
  first_opening: 245 bar
  opening_pressure: [245 bar, 245 bar, 240 bar]
  seat: {at: 225 bar, for: 10 s, state: dry}
  leak_down: {from: 225 bar, to: 175 bar, time: 9.0 s}
  spray: {open: 7, weak: [], pattern: even}
  leaks: {nozzle_joint: dry, inlet: dry}
stripped: {needle: free, needle_fall: free}
cleaned: {agent: carbon remover, brush: brass}
inspected: {needle_seat: good, needle_end: good, needle_guide: good, body_seat: good, tip: good, holes: good, nozzle_face: good,
  holder_face: good, inlet_face: good, drillings: good, spring: good}
measured: {lift: 0.70 mm, holder_wear: 0.02 mm, seat_diameter: 5.1 mm, no_go: {wire: 0.43 mm, result: stops}, spring_length: 43.9 mm}
decided: {nozzle: reuse, holder: reuse, spring: reuse}
---
`
	built = `assembled: {nozzle_nut: {torque: 220 N·m, steps: 2}, seals: {adjusting_screw: renewed, body: renewed}, dowels: seated, faces: clean}
as_left:
  date: 2020-06-02
  opening_pressure: [262 bar, 262 bar, 261 bar]
  seat: {at: 242 bar, for: 10 s, state: dry}
  leak_down: {from: 242 bar, to: 192 bar, time: 12.0 s}
  spray: {open: 7, weak: [], pattern: even}
  leaks: {nozzle_joint: dry, inlet: dry}
  lock_nut: tight
  end_cap: {torque: 90 N·m}
`
)

// asLeft adds to the record that the valve was built and tested as left.
func asLeft(src string) string { return strings.TrimSuffix(src, "---\n") + built + "---\n" }

// with changes the record: pairs of old and new text, each of which must stand there exactly once.
func with(t *testing.T, src string, pairs ...string) string {
	t.Helper()
	for i := 0; i+1 < len(pairs); i += 2 {
		if strings.Count(src, pairs[i]) != 1 {
			t.Fatalf("%q stands %d times in the record", pairs[i], strings.Count(src, pairs[i]))
		}
		src = strings.Replace(src, pairs[i], pairs[i+1], 1)
	}
	return src
}

const stem = "2020-06-01-b-1"

// files are the files of a book holding one record; more are laid over it.
func files(src string, more ...string) map[string]string {
	all := map[string]string{"book.md": vessel, "limits/trial.md": limits, "hours/a.csv": "date,counter_h,note\n2020-01-01,100,\n2020-06-01,1600,\n2020-08-01,1700,\n",
		"overhauls/a/c1/" + stem + ".md": src}
	for i := 0; i+1 < len(more); i += 2 {
		all[more[i]] = more[i+1]
	}
	return all
}

// outcomeOf reads a book and works out the record under test.
func outcomeOf(t *testing.T, all map[string]string) Outcome {
	t.Helper()
	return outcomeAt(t, all, stem)
}

// outcomeAt is the same for another record.
func outcomeAt(t *testing.T, all map[string]string, stem string) Outcome {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, src := range all {
		fsys[name] = &fstest.MapFile{Data: []byte(src)}
	}
	b, err := logbook.Read(fsys)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.Problems {
		t.Errorf("the record under test does not read: %s", p)
	}
	out, ok := Propose(b, judging.Judge(b))[stem]
	if !ok {
		t.Fatal("the record has no outcome")
	}
	return out
}
