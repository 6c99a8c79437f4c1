package deciding

import (
	"strings"
	"testing"
)

// over is a nozzle 0.03 mm over its limit: lift 0.81 mm with 0.02 mm of the holder is 0.83 mm.
func over(t *testing.T) string { return with(t, record, "lift: 0.70 mm", "lift: 0.81 mm") }

const stores = "stores/stock.csv"

// TestChoice holds both sides to hand calculation.
// Geometry of the stop: what comes off the nozzle's face shortens the lift by as much. New is at most 0.66 mm: 0.83 - 0.66 = 0.17 mm
// would restore it; 0.12 mm may come off in all, which leaves 0.83 - 0.12 = 0.71 mm, within 0.80 mm. A new nozzle of 0.60 to 0.66 mm
// against the same face gives 0.62 to 0.68 mm. The nozzle has run 900 + 1500 = 2400 h of 5000 h.
func TestChoice(t *testing.T) {
	out := outcomeOf(t, files(over(t), stores, `date,item,part_no,serial,change,on_order,due,price,lead_days,note
2020-02-01,nozzle,Q-1,,3,,,300.00,60,
2020-04-01,nozzle,Q-1,Z-9,-1,,,,,into B-9
2020-05-01,nozzle,Q-1,,0,2,2020-09-01,310.00,75,
2020-05-15,nozzle nut,Q-2,,5,,,40.00,20,
2020-05-20,regrind nozzle,Q-1,,0,,,120.00,35,a workshop's offer
2020-05-21,regrind holder,,,0,,,500.00,90,
2020-07-01,nozzle,Q-1,,9,,,999.00,1,after the day
`, "parts/z-1.md", "---\nserial: \"Z-1\"\nkind: nozzle\npart_no: Q-1\nmarking: \"7x0.40\"\n---\n"))
	if len(out.Choices) != 1 || out.Nozzle.Word != "grind" {
		t.Fatalf("proposed %s with %d choices, want grind with one", out.Nozzle, len(out.Choices))
	}
	g, r := out.Choices[0].Grind, out.Choices[0].Renew
	for _, c := range []struct{ name, got, want string }{
		{"needed", g.Need.String(), "0.17 mm"}, {"comes off", g.Off.String(), "0.12 mm"}, {"most", g.Most.String(), "0.12 mm"},
		{"afterwards", g.After.String(), "0.71 mm"}, {"cost of grinding", g.Supply.Price, "120.00"}, {"time of grinding", g.Supply.LeadDays, "35"},
		{"life of the old", g.Life, "2600 h"}, {"of the new", r.Life, "5000 h"}, {"new against the same face", r.Band, "0.62 to 0.68 mm"},
		{"price", r.Supply.Price, "310.00"}, {"lead time", r.Supply.LeadDays, "75"}, {"due", r.Supply.Due, "2020-09-01"},
		{"source", g.Source, "owner's manual, section 4"},
		{"setting", out.Setting, "270 +8/-0 bar (reground)"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s, want %s", c.name, c.got, c.want)
		}
	}
	if r.Supply.OnBoard != 2 || r.Supply.OnOrder != 2 {
		t.Errorf("%d on board and %d on order, want 2 and 2", r.Supply.OnBoard, r.Supply.OnOrder)
	}
	for i, want := range []string{
		"regrind nozzle Z-1: 0.12 mm off its face of 0.12 mm that may come off (not ground yet, at most 2), 0.17 mm would restore a new lift; effective lift afterwards 0.71 mm; cost 120.00; lead time 35 days; 2600 h of its life left",
		"renew nozzle Z-1: effective lift afterwards 0.62 to 0.68 mm; cost 310.00; lead time 75 days; 2 on board, 2 on order, due 2020-09-01; life 5000 h",
	} {
		if got := out.Choices[0].Lines()[i]; got != want {
			t.Errorf("line %d:\n%s\nwant\n%s", i, got, want)
		}
	}
}

// TestChoiceUnknown says what is not known instead of guessing.
func TestChoiceUnknown(t *testing.T) {
	out := outcomeOf(t, files(over(t)))
	lines := strings.Join(out.Choices[0].Lines(), "\n")
	for _, want := range []string{"cost not known", "lead time not known", "not in the stores' list"} {
		if !strings.Contains(lines, want) {
			t.Errorf("%q is missing in\n%s", want, lines)
		}
	}
	if !strings.Contains(out.Nozzle.String(), "still open: who grinds it, at what cost and in what time") {
		t.Errorf("the proposal does not say that no workshop is known: %s", out.Nozzle)
	}
}

// TestGroundBefore counts what came off before, by the part's own file and by earlier records.
func TestGroundBefore(t *testing.T) {
	part := func(lines string) string {
		return "---\nserial: \"Z-1\"\nkind: nozzle\nmarking: \"7x0.40\"\nregrinds:\n" + lines + "---\n"
	}
	for _, c := range []struct {
		name, regrinds string
		possible       bool
		after, why     string
	}{
		{"0.08 mm came off", "  - {date: 2019-05-01, off: 0.08 mm, lift: 0.66 mm}\n", true, "0.79 mm", ""},
		{"0.10 mm came off", "  - {date: 2019-05-01, off: 0.10 mm, lift: 0.66 mm}\n", false, "", "with the 0.02 mm that may come off it still is 0.81 mm, over 0.80 mm"},
		{"all came off", "  - {date: 2019-05-01, off: 0.12 mm, lift: 0.66 mm}\n", false, "", "all that may come off is gone: 0.12 mm"},
		{"twice already", "  - {date: 2019-05-01, off: 0.01 mm, lift: 0.66 mm}\n  - {date: 2019-09-01, off: 0.01 mm, lift: 0.66 mm}\n", false, "", "ground twice, at most 2"},
		{"how much is not known", "  - {date: 2019-05-01, lift: 0.66 mm}\n", false, "", "how much came off before is not in the book"},
		{"only after this overhaul", "  - {date: 2020-06-20, off: 0.12 mm, lift: 0.69 mm}\n", true, "0.71 mm", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := outcomeOf(t, files(over(t), "parts/z-1.md", part(c.regrinds)))
			g := out.Choices[0].Grind
			want := "renew"
			if c.possible {
				want = "grind"
			}
			if g.Possible != c.possible || g.Why != c.why || c.possible && g.After.String() != c.after || out.Nozzle.Word != want {
				t.Errorf("grinding possible %v, why %q, afterwards %s, proposed %s; want %v, %q, %s, %s", g.Possible, g.Why, g.After, out.Nozzle.Word, c.possible, c.why, c.after, want)
			}
		})
	}
}

// TestLapsOverTheHistory counts the laps of the nozzle wherever it sat: two in another holder, one of them after the record.
func TestLapsOverTheHistory(t *testing.T) {
	other := `---
holder: "B-7"
nozzle: {found: "Z-1", left: "Z-1", marking: "7x0.40"}
removed: {engine: A, cylinder: 2, date: 2020-0%-01, counter: 1000 h, reason: planned}
decided: {nozzle: lap, holder: reuse, spring: reuse}
---
`
	lapped := func(month string) string { return strings.Replace(other, "%", month, 1) }
	drops := with(t, record, "state: dry", "state: drop")
	all := files(drops, "overhauls/a/c2/2020-03-01-b-7.md", lapped("3"), "overhauls/a/c2/2020-04-01-b-7.md", lapped("4"), "overhauls/a/c2/2020-07-01-b-7.md", lapped("7"))
	out := outcomeOf(t, all)
	if out.Nozzle.Word != "renew" || !strings.Contains(out.Nozzle.String(), "lapped twice, at most 2") {
		t.Errorf("proposed %s, want renew: lapped twice", out.Nozzle)
	}
	delete(all, "overhauls/a/c2/2020-04-01-b-7.md")
	if out = outcomeOf(t, all); out.Nozzle.Word != "lap" || !strings.Contains(out.Nozzle.String(), "lapped once, at most 2") {
		t.Errorf("proposed %s, want lap: lapped once", out.Nozzle)
	}
}

// TestFacingTheHolder shows that a holder beyond its wear is weighed too, and that the nozzle's grinding counts with a flat face then.
// Lift 0.82 mm and wear 0.07 mm: over even with a flat face. 0.82 - 0.66 = 0.16 mm needed, 0.12 mm off leaves 0.70 mm.
func TestFacingTheHolder(t *testing.T) {
	out := outcomeOf(t, files(with(t, record, "lift: 0.70 mm, holder_wear: 0.02 mm", "lift: 0.82 mm, holder_wear: 0.07 mm")))
	if len(out.Choices) != 2 || out.Nozzle.Word != "grind" || out.Holder.Word != "grind" {
		t.Fatalf("%s\n%s\n%d choices, want to grind both", out.Nozzle, out.Holder, len(out.Choices))
	}
	n, h := out.Choices[0].Grind, out.Choices[1].Grind
	if n.Need.String() != "0.16 mm" || n.After.String() != "0.70 mm" || h.Off.String() != "0.07 mm" || h.After.String() != "0.82 mm" {
		t.Errorf("nozzle needs %s and is left at %s, holder loses %s and leaves %s; want 0.16, 0.70, 0.07 and 0.82 mm", n.Need, n.After, h.Off, h.After)
	}
	if out.Choices[0].Renew.Band != "0.60 to 0.66 mm" {
		t.Errorf("a new nozzle on a flat face: %s, want 0.60 to 0.66 mm", out.Choices[0].Renew.Band)
	}
}

// TestCrackedIsNotWeighed: a cracked nozzle is not ground, however much may come off.
func TestCrackedIsNotWeighed(t *testing.T) {
	if out := outcomeOf(t, files(with(t, over(t), "tip: good", "tip: cracked"))); len(out.Choices) != 0 {
		t.Errorf("a cracked nozzle is weighed: %v", out.Choices)
	}
}
