package checks

import (
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	vessel "needlebook/example-vessel"
	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// fired lists the findings of a check, by the record they are about.
func fired(fs []Finding, check string) map[string][]Finding {
	by := map[string][]Finding{}
	for _, f := range fs {
		if f.Check == check {
			by[f.About.Record] = append(by[f.About.Record], f)
		}
	}
	return by
}

// mustBeAt asserts that a check speaks of just these records.
func mustBeAt(t *testing.T, fs []Finding, check string, records ...string) {
	t.Helper()
	by := fired(fs, check)
	for _, r := range records {
		if len(by[r]) == 0 {
			t.Errorf("%s says nothing of %s", check, r)
		}
		delete(by, r)
	}
	for r, more := range by {
		t.Errorf("%s speaks of %q: %s", check, r, more[0].Message)
	}
}

// TestVesselStories asserts what each story of the vessel must bring out and what it must not. Source: the vessel was invented so.
func TestVesselStories(t *testing.T) {
	b := exampleVessel(t)
	r := Run(b, Options{})
	fs := r.Findings
	t.Run("the holder whose nozzles were rejected", func(t *testing.T) {
		mustBeAt(t, fs, "nozzles-rejected-in-holder", "2022-10-14-h-109") // at its last failure; no other holder, whatever the fuel did
		mustBeAt(t, fs, "valves-rejected-in-position")                    // the holder explains cylinder 3
		mustBeAt(t, fs, "opening-lost", "2021-04-17-h-109", "2021-09-02-h-109", "2021-11-03-h-109", "2023-10-04-h-102")
		if v := r.Judgement.Find(b.Overhaul("2021-11-03-h-109"), "measured.holder_wear"); v.Result.String() != "no limit then" {
			t.Errorf("holder wear of 2021-11-03 is %s, want no limit then: the revision came in 2022", v.Result)
		}
		if v := r.Judgement.Find(b.Overhaul("2022-10-14-h-109"), "measured.holder_wear"); !v.Result.Out() {
			t.Errorf("holder wear of 2022-10-14 is %s, want beyond", v.Result)
		}
	})
	t.Run("the gauge", func(t *testing.T) {
		rounds, valves := map[string]bool{}, 0
		for _, f := range fs {
			if f.Check == "gauge-in-doubt" {
				rounds[f.About.Round], valves = true, len(f.Related)
				if f.About.Instrument != "PG-02" || f.Grade != Note {
					t.Errorf("%s: instrument %q, grade %s; want PG-02, a note since it is on record", f.Message, f.About.Instrument, f.Grade)
				}
			}
		}
		if len(rounds) != 1 || !rounds["ME1 2022-03-16"] || valves != 20 {
			t.Errorf("gauge-in-doubt speaks of %v with %d readings, want one finding from the first round on: ten valves tested with it, ten set", rounds, valves)
		}
		mustBeAt(t, fs, "opening-rose") // no single valve is above the uncertainty: only the round shows it
		var set []Finding
		for _, f := range fs {
			if f.Check == "set-with-gauge-out-of-tolerance" {
				set = append(set, f)
			}
		}
		if len(set) != 1 || !strings.HasPrefix(set[0].inFull(), "13 valves were set with PG-02 from 2022-03-17 to 2022-05-13 while it read wrong; probably 299 to 303 bar (used), 322 to 326 bar (new)") || len(set[0].Related) != 13 {
			t.Errorf("set-with-gauge-out-of-tolerance: %v, want 13 valves at 299 to 303 and 322 to 326 bar", set)
		}
	})
	t.Run("the bunker", func(t *testing.T) {
		mustBeAt(t, namedRounds(fs, "round-with-common-cause"), "round-with-common-cause", "ME1 2023-01-22", "ME2 2023-02-12", "ME1 2023-04-20")
		for _, f := range fs {
			if f.Check == "round-with-common-cause" && f.About.Bunker != "Gallowyn Reach" {
				t.Errorf("%s: shown on the page of %q", f.Message, f.About.Bunker)
			}
		}
	})
	t.Run("the copied page", func(t *testing.T) {
		mustBeAt(t, fs, "record-alike", "2023-06-25-h-105") // and not the chance pair of 2022-01-08 and 2022-07-27
		if n := len(fired(fs, "record-alike")["2023-06-25-h-105"]); n != 2 {
			t.Errorf("%d findings, want the figures and the picture", n)
		}
	})
	t.Run("the lift that was allowed", func(t *testing.T) {
		mustBeAt(t, fs, "effective-lift-over", "2023-06-25-h-102")
		late := Run(b, Options{On: day(t, "2023-08-20"), Only: []*Check{deferralRunOut, effectiveLiftOver}}).Findings
		if n := fired(late, "deferral-run-out")["2023-06-25-h-102"]; len(n) != 1 || n[0].Grade != Stop {
			t.Errorf("on 2023-08-20 the deferral gives %v, want a stop", n)
		}
		early := Run(b, Options{On: day(t, "2023-07-10"), Only: []*Check{deferralRunOut}}).Findings
		if len(early) != 0 {
			t.Errorf("on 2023-07-10 the deferral gives %v, want nothing", early)
		}
		if n := fired(fs, "deferral-run-out")["2023-06-25-h-102"]; len(n) != 1 || n[0].Grade != Stop || !strings.Contains(n[0].Message, "ran 1408 h in ME2-2, 500 h allowed, 908 h over") {
			t.Errorf("at the end the deferral gives %v, want a stop that stays, of 1408 h", n)
		}
	})
	t.Run("the gap in the handover", func(t *testing.T) {
		mustBeAt(t, fs, "as-found-missing", "2023-09-05-h-115", "2023-09-05-h-116", "2023-09-05-h-117", "2023-09-05-h-118")
		mustBeAt(t, fs, "late-entry", "2023-09-05-h-115", "2023-09-05-h-116", "2023-09-05-h-117", "2023-09-05-h-118")
		mustBeAt(t, fs, "part-in-two-places", "2023-06-25-h-105")
		mustBeAt(t, fs, "fit-and-removal")
		if told := fmt.Sprint(fired(fs, "part-in-two-places")["2023-06-25-h-105"][0].Related); !strings.Contains(told,
			"follows: ME1-5: holder H-105 came out on 2024-01-24") {
			t.Errorf("what came out of ME1-5 is not told under the valve in two places: %s", told)
		}
		mustBeAt(t, fs, "handover-missing", "")
	})
	t.Run("the counter that was replaced", func(t *testing.T) {
		mustBeAt(t, fs, "counter-backwards")
		mustBeAt(t, fs, "counter-too-fast")
		mustBeAt(t, fs, "counter-unusual")
	})
	t.Run("slips of writing", func(t *testing.T) {
		mustBeAt(t, fs, "unit-mistaken", "2021-08-28-h-101")
		mustBeAt(t, fs, "decimal-comma", "2022-01-08-h-118")
		mustBeAt(t, fs, "colon-in-number", "2022-09-29-h-103")
		mustBeAt(t, fs, "closing-above-opening", "2022-05-10-h-108")
	})
	t.Run("favourable rounding", func(t *testing.T) {
		mustBeAt(t, fs, "figures-on-limit", "2022-01-08-h-113")
		// 6.0 is not below 6.0, but 6.0 s with oil of 19 and of 17 °C is below 6.0 s at 20 °C; the leaking joint of another record was put right
		mustBeAt(t, fs, "leak-down-short", "2022-01-08-h-116", "2022-01-08-h-118")
	})
	t.Run("the double ring", func(t *testing.T) {
		mustBeAt(t, fs, "rings", "2024-04-02-h-118")
		hot := fired(fs, "high-exhaust-not-followed-up")[""]
		if len(hot) != 1 || hot[0].About.Position.String() != "ME2-6" {
			t.Errorf("high-exhaust-not-followed-up: %v, want ME2-6 alone", hot)
		}
	})
	t.Run("the leak-down that was lost", func(t *testing.T) {
		by := fired(fs, "leak-down-lost")
		for _, record := range []string{"2021-09-02-h-109", "2021-11-03-h-109", "2022-04-02-h-109", "2022-05-10-h-109", "2022-10-14-h-109",
			"2023-10-04-h-102", "2023-11-22-h-110"} {
			if len(by[record]) == 0 {
				t.Errorf("leak-down-lost says nothing of %s", record)
			}
		}
		for record := range by { // none elsewhere: the cracked holder, the bad bunker, the overrun lift, the altered record
			if o := b.Overhaul(record); !(o.Holder.Written == "H-109" || strings.HasPrefix(record, "2023-02-12") || strings.HasPrefix(record, "2023-04-20") || record == "2023-10-04-h-102" || record == "2023-11-22-h-110") {
				t.Errorf("leak-down-lost speaks of %s: %s", record, by[record][0].Message)
			}
		}
	})
	t.Run("the rest is quiet", func(t *testing.T) {
		loud := map[string]bool{}
		for _, f := range fs {
			if f.Grade > Note {
				loud[f.About.Record] = true
			}
		}
		if quiet := len(b.Overhauls) - len(loud); quiet < 80 {
			t.Errorf("%d of %d records are quiet, want 80 or more", quiet, len(b.Overhauls))
		}
	})
}

// namedRounds puts the round in the place of the record, for findings that are about one.
func namedRounds(fs []Finding, check string) []Finding {
	var out []Finding
	for _, f := range fs {
		if f.Check == check {
			f.About.Record = f.About.Round
			out = append(out, f)
		}
	}
	return out
}

func day(t *testing.T, s string) logbook.Day {
	t.Helper()
	d, err := logbook.ParseDay(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// vesselAsOf reads the vessel with the records up to a day, and with texts put in the place of others.
func vesselAsOf(t *testing.T, until string, replace func(path, text string) string) *logbook.Book {
	t.Helper()
	files := fstest.MapFS{}
	stem := regexp.MustCompile(`/(\d{4}-\d{2}-\d{2})-[^/]*\.md$`)
	err := fs.WalkDir(vessel.Files, ".", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		if m := stem.FindStringSubmatch(p); m != nil && strings.HasPrefix(p, "overhauls/") && m[1] > until {
			return nil
		}
		data, err := fs.ReadFile(vessel.Files, p)
		if strings.HasSuffix(p, ".md") || strings.HasSuffix(p, ".csv") {
			data = []byte(replace(p, string(data)))
		}
		files[p] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestVesselInTime asserts when each story could first be seen. Source: the vessel was invented so.
func TestVesselInTime(t *testing.T) {
	gaugeNotKnown := func(path, text string) string {
		if path == "instruments/pg-02.md" {
			text = regexp.MustCompile(`(?s)\nfound_wrong:.*?\n([a-z_]+:|---)`).ReplaceAllString(text, "\n$1")
		}
		return text
	}
	find := func(check *Check, until string, replace func(string, string) string) []Finding {
		return Run(vesselAsOf(t, until, replace), Options{On: day(t, until), Only: []*Check{check}}).Findings
	}
	t.Run("the gauge", func(t *testing.T) {
		if fs := find(gaugeInDoubt, "2022-03-15", gaugeNotKnown); len(fs) != 0 {
			t.Errorf("before the round: %v, want nothing", fs)
		}
		fs := find(gaugeInDoubt, "2022-03-16", gaugeNotKnown)
		if len(fs) != 1 || fs[0].Grade != Action || !strings.Contains(fs[0].Message, "5 readings with PG-02 in ME1 2022-03-16 were 17 ± 5 bar high") {
			t.Fatalf("on the day of the round: %v, want it to be asked", fs)
		}
		echo := find(gaugeInDoubt, "2022-09-30", gaugeNotKnown)
		if len(echo) != 1 || !strings.Contains(echo[0].Message, "ME1 2022-03-16") || !strings.Contains(echo[0].inFull(), "then came back the other way") {
			t.Errorf("the echo gives %v, want the one finding on the gauge, and no other gauge", echo)
		}
	})
	t.Run("the holder whose nozzles were rejected", func(t *testing.T) {
		notYet := func(path, text string) string {
			if path == "parts/h-109.md" { // not condemned yet
				text = regexp.MustCompile(`(?s)\ncondemned:.*?\n([a-z_]+:|---)`).ReplaceAllString(text, "\n$1")
			}
			return text
		}
		if fs := find(nozzlesRejectedInHolder, "2021-09-01", notYet); len(fs) != 0 {
			t.Errorf("after one rejection: %v, want nothing", fs)
		}
		if fs := find(nozzlesRejectedInHolder, "2021-11-03", notYet); len(fs) != 1 || fs[0].Grade != Action {
			t.Errorf("after the third rejection: %v, want it to be asked", fs)
		}
	})
	t.Run("the counter", func(t *testing.T) {
		fs := find(counterBackwards, "2022-10-14", func(path, text string) string {
			if path == "hours/me1.csv" {
				text = regexp.MustCompile(`(?m)^2022-09-04,.*\n`).ReplaceAllString(text, "")
			}
			return text
		})
		if len(fs) != 1 || !strings.Contains(fs[0].Message, "counter of ME1") || !strings.Contains(fs[0].Next, "replaced: old counter ended at") {
			t.Errorf("without the line of the replacement: %v, want one finding that says how to enter it", fs)
		}
	})
	t.Run("the altered record", func(t *testing.T) {
		if testing.Short() {
			t.Skip("builds the whole history")
		}
		fs := Run(exampleVessel(t), Options{Trail: vesselTrail(t)}).Findings
		seen := fired(fs, "changed-after-countersigning")["2023-04-20-h-110"]
		if len(seen) != 1 || seen[0].Grade != Stop || !strings.Contains(seen[0].Message, "leak down time as left was 3.1 s, is 9.1 s") || !strings.Contains(seen[0].inFull(), "changed 2023-05-10 23:41 UTC in the name of workshop, unsigned") {
			t.Errorf("changed-after-countersigning: %v, want what, when and under which name", seen)
		}
		mustBeAt(t, fs, "changed-after-countersigning", "2023-04-20-h-110")
		mustBeAt(t, fs, "writer-unknown", "2023-04-20-h-110")
		mustBeAt(t, fs, "clock-jump", "")                                            // one entry of a part, 2023-09-28
		mustBeAt(t, fs, "not-countersigned", "2023-09-05-h-113", "2023-09-05-h-114") // the two of the gap
		if lost := fired(fs, "leak-down-lost")["2023-11-22-h-110"]; len(lost) != 1 || !strings.Contains(lost[0].inFull(), "that time was 3.1 s until it was changed 2023-05-10 23:41 UTC") {
			t.Errorf("leak-down-lost: %v, want it to tell that the as-left time was changed", lost)
		}
		for _, f := range fs {
			if f.Grade > Note && reasonOf(f) == "" {
				t.Errorf("%s: %s: no reason is known for: %s: %s", f.Place, f.Grade, f.Check, f.Message)
			}
		}
	})
}

func vesselTrail(t *testing.T) *logbook.Trail {
	t.Helper()
	steps, err := vessel.History()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if _, err := exchange.Build(dir, steps); err != nil {
		t.Fatal(err)
	}
	trail, err := trace.Read(dir, trace.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return trail
}
