package checks

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"

	"needlebook/logbook"
)

// life is what becomes of the findings of every check that names one way of ending, after a change of the book.
type life struct {
	way    string
	check  string // empty for every check that names the way
	file   string // the record under testdata on which it opens; empty for the first one
	want   State  // Corrected: it is not found any more
	change string
}

// gone is what a finding is where it is not found any more.
const gone = Corrected

// A change is one of:
//
//	lines of front matter            a later overhaul of the valve that the finding is about, or of the one in its position
//	in PATH + lines                  those lines are added to the front matter of a file, which is made where there is none
//	-- PATH -- + text, repeated      those files are laid over the book
//
// In it {s} is the subject's name, {f} as a file is named after it, {h} and {n} its valve, {at} its place with day and
// counter, {day} the day of the later work.
var lives = []life{
	{way: "the valve is tested again", want: ClosedByWork, change: "as_left: {date: {day}, opening_pressure: [305 bar]}"},
	{way: "the valve is tested again", want: ClosedByWork, change: "as_found: {date: {day}, seat: {state: dry}}"},
	{way: "the valve is tested again", change: "decided: {nozzle: reuse, why: good}"},

	{way: "the valve is tested as found again", want: ClosedByWork, change: "as_found: {date: {day}, opening_pressure: [296 bar]}"},
	{way: "the valve is tested as found again", change: "as_left: {date: {day}, opening_pressure: [305 bar]}"},

	{way: "the valve is set and tested again", want: ClosedByWork, change: "as_left: {date: {day}, opening_pressure: [305 bar]}"},
	{way: "the valve is set and tested again", change: "as_found: {date: {day}, opening_pressure: [305 bar]}"},
	{way: "the valve is set and tested again", change: "as_left: {date: {day}, seat: {state: dry}}"},

	{way: "the valve is built up again", want: ClosedByWork, change: "assembled: {dowels: seated}"},
	{way: "the valve is built up again", change: "as_left: {date: {day}, opening_pressure: [305 bar]}"},

	{way: "the place is looked at in a later overhaul", want: ClosedByWork, change: allInspected},
	{way: "the place is looked at in a later overhaul", change: "inspected: {tip: good}\nassembled: {dowels: seated}"},
	{way: "the place is looked at in a later overhaul", change: "inspected: {tip: good}"},
	{way: "the place is looked at in a later overhaul", change: "as_found: {date: {day}, opening_pressure: [296 bar]}"},

	{way: "the holder is measured again", want: ClosedByWork, change: "measured: {holder_wear: 0.02 mm}"},
	{way: "the holder is measured again", change: "measured: {lift: 0.53 mm}"},

	{way: "the next assembly with the seal renewed", want: ClosedByWork,
		change: "assembled: {seals: {adjusting_screw: renewed, body: renewed, pocket: renewed}}\nas_left: {date: {day}}"},
	{way: "the next assembly with the seal renewed", change: "assembled: {seals: {adjusting_screw: reused, body: reused}}\nas_left: {date: {day}}"},
	{way: "the next assembly with the seal renewed", change: "as_found: {date: {day}, opening_pressure: [296 bar]}"},

	{way: "the spring is renewed", want: ClosedByWork, change: "decided: {spring: renew}"},
	{way: "the spring is renewed", change: "decided: {spring: reuse}"},
	{way: "it is measured again within its limit", check: springWorn.Name, want: ClosedByWork, change: "measured: {spring_length: 50.0 mm}"},
	{way: "it is measured again within its limit", check: springWorn.Name, change: "measured: {spring_length: 49.0 mm}\ndecided: {spring: reuse}"},
	{way: "it is measured again within its limit", check: springWorn.Name, change: "measured: {lift: 0.53 mm}"},
	{way: "it is measured again within its limit", check: effectiveLiftOver.Name, want: ClosedByWork, change: "measured: {lift: 0.53 mm, holder_wear: 0.01 mm}"},
	{way: "it is measured again within its limit", check: effectiveLiftOver.Name, change: "measured: {lift: 0.72 mm, holder_wear: 0.01 mm}"},
	{way: "it is measured again within its limit", check: effectiveLiftOver.Name, change: "measured: {holder_wear: 0.01 mm}"},
	{way: "it is measured again within its limit", check: wornPartReturns.Name, file: "beyond.md", want: ClosedByWork, change: "measured: {holder_wear: 0.01 mm}"},
	{way: "it is measured again within its limit", check: wornPartReturns.Name, file: "beyond.md", change: "measured: {holder_wear: 0.07 mm}\ndecided: {holder: reuse}\nas_left: {date: {day}}"},
	{way: "it is measured again within its limit", check: wornPartReturns.Name, file: "stroke.txtar", want: ClosedByWork, change: "measured: {lift: 0.53 mm}"},
	{way: "it is measured again within its limit", check: lapsAndGrinds.Name, want: ClosedByWork, change: "measured: {lift: 0.53 mm}"},
	{way: "its seat is measured again within its limit", want: ClosedByWork, change: "measured: {seat_diameter: 4.10 mm}"},
	{way: "its seat is measured again within its limit", change: "measured: {seat_diameter: 4.50 mm}\ndecided: {nozzle: reuse}"},
	{way: "its seat is measured again within its limit", change: "measured: {lift: 0.53 mm}"},

	{way: "the face of the holder is ground", want: ClosedByWork, change: "decided: {holder: grind}"},
	{way: "the face of the holder is ground", change: "decided: {holder: reuse}"},
	{way: "the holder is renewed or condemned", want: ClosedByWork, change: "decided: {holder: renew}"},
	{way: "the holder is renewed or condemned", want: ClosedByWork, change: "decided: {holder: condemn}"},
	{way: "the part is renewed, ground or condemned, and not built in again", want: ClosedByWork, change: "nozzle: {found: {n}, left: N-4711}\ndecided: {nozzle: renew, holder: renew}"},
	{way: "the part is renewed, ground or condemned, and not built in again", change: "decided: {nozzle: reuse, holder: reuse}"},

	{way: "the spring is measured or renewed", want: ClosedByWork, change: "measured: {spring_length: 49.8 mm}"},
	{way: "the spring is measured or renewed", want: ClosedByWork, change: "decided: {spring: renew}"},
	{way: "the spring is measured or renewed", change: "inspected: {spring: good}\ndecided: {spring: reuse}"},
	{way: "a cause is named at the spring", want: ClosedByWork, change: "inspected: {spring: damaged}"},
	{way: lastedMost, check: openingLost.Name, want: ClosedByWork, change: "as_found: {date: {day}, opening_pressure: [296 bar]}"},
	{way: lastedMost, check: openingLost.Name, change: "as_found: {date: {day}, opening_pressure: [240 bar]}"},
	{way: lastedMost, check: openingLost.Name, change: "removed: {engine: ME1, cylinder: 1, date: 2022-06-01, counter: 9690 h}\nas_found: {date: 2022-06-01, opening_pressure: [296 bar]}"},
	{way: lastedMost, check: pressureLossNotExplained.Name, want: ClosedByWork, change: refitted("2021-01-01", 4600)},
	{way: lastedMost, check: pressureLossNotExplained.Name, change: refitted("2020-09-01", 3400)},

	{way: "the nozzle is renewed, and not built in again", want: ClosedByWork, change: "nozzle: {found: {n}, left: N-4711}\ndecided: {nozzle: renew}"},
	{way: "the nozzle is renewed, and not built in again", change: "decided: {nozzle: reuse}"},
	{way: "the nozzle is renewed, and not built in again", change: "-- overhauls/spares/{day}-h-96.md --\n---\nholder: {h}\n" +
		"nozzle: {found: {n}, left: N-4711}\ndecided: {nozzle: renew}\nas_left: {date: {day}}\n---\n-- overhauls/spares/{day}-h-97.md --\n" +
		"---\nholder: H-97\nnozzle: {found: N-97, left: {n}}\nas_left: {date: {day}}\n---\n"},
	{way: "it is tested again as found", want: ClosedByWork, change: "as_found: {date: {day}, opening_pressure: [296 bar]}"},
	{way: "it is tested again as found", change: "as_left: {date: {day}, opening_pressure: [305 bar]}"},
	{way: "its seat is tight in a later test", want: ClosedByWork, change: "as_left: {date: {day}, seat: {at: 280 bar, for: 10 s, state: dry}}"},
	{way: "its seat is tight in a later test", want: ClosedByWork, change: "as_found: {date: {day}, seat: {at: 280 bar, for: 10 s, state: dry}}"},
	{way: "its seat is tight in a later test", change: "as_found: {date: {day}, opening_pressure: [296 bar], seat: {at: 276 bar, for: 10 s, state: runs}}"},
	{way: "its seat is tight in a later test", change: "as_left: {date: {day}, opening_pressure: [305 bar], spray: {open: 8, pattern: even}}"},
	{way: "its seat is tight in a later test", change: "nozzle: {found: N-77, left: N-77}\nas_left: {date: {day}, seat: {at: 280 bar, for: 10 s, state: dry}}"},
	{way: "its leak-down is within in a later test", want: ClosedByWork, change: "as_left: {date: {day}, opening_pressure: [300 bar], leak_down: {from: 275 bar, to: 225 bar, time: 12.0 s}}"},
	{way: "its leak-down is within in a later test", want: ClosedByWork, change: "as_found: {date: {day}, opening_pressure: [300 bar], leak_down: {from: 275 bar, to: 225 bar, time: 12.0 s}}"},
	{way: "its leak-down is within in a later test", change: "as_found: {date: {day}, opening_pressure: [300 bar], leak_down: {from: 275 bar, to: 225 bar, time: 1.0 s}}"},
	{way: "its leak-down is within in a later test", change: "as_left: {date: {day}, opening_pressure: [305 bar]}"},
	{way: "its cooling space is tight in a later test", want: ClosedByWork, change: "as_found: {date: {day}, cooling: {at: 10 bar, for: 5 min, state: tight}}"},
	{way: "its cooling space is tight in a later test", change: "as_found: {date: {day}, cooling: {at: 10 bar, for: 5 min, state: leaks}}"},
	{way: "its spray is right in a later test", want: ClosedByWork, change: "as_left: {date: {day}, spray: {open: 8, pattern: even}}"},
	{way: "its spray is right in a later test", want: ClosedByWork, change: "as_found: {date: {day}, spray: {open: 8, pattern: even}}"},
	{way: "its spray is right in a later test", change: "as_found: {date: {day}, spray: {open: 6, weak: [13], pattern: uneven}}"},
	{way: "its spray is right in a later test", change: "as_left: {date: {day}, opening_pressure: [305 bar]}"},
	{way: "its guide and tip are looked at in a later overhaul", want: ClosedByWork, change: "inspected: {needle_guide: good, tip: good}"},
	{way: "its guide and tip are looked at in a later overhaul", change: "inspected: {tip: good}"},
	{way: "its guide and tip are looked at in a later overhaul", change: "inspected: {needle_guide: good}"},
	{way: "its lift is measured again", want: ClosedByWork, change: "measured: {lift: 0.53 mm}"},
	{way: "its lift is measured again", change: "measured: {holder_wear: 0.02 mm}"},

	{way: "the pocket is faced, one ring fitted, and the protrusion is within", want: ClosedByWork,
		change: "removed: {{at}, reason: planned, rings_out: 1}\nfitted: {{at}, pocket_faced: yes, rings_in: 1, protrusion: 12.0 mm}"},
	{way: "the pocket is faced, one ring fitted, and the protrusion is within", change: "fitted: {{at}, pocket_faced: yes, protrusion: 12.0 mm}",
		check: rings.Name, file: "two.md"},
	{way: "the pocket is faced, one ring fitted, and the protrusion is within", change: "fitted: {{at}, rings_in: 1, protrusion: 12.0 mm}",
		check: rings.Name, file: "two.md"},
	{way: "the pocket is faced, one ring fitted, and the protrusion is within", check: rings.Name, file: "two.md",
		change: "fitted: {{at}, pocket_faced: yes, rings_in: 2, protrusion: 12.0 mm}"},
	{way: "the pocket is faced, one ring fitted, and the protrusion is within", check: rings.Name, file: "two.md",
		change: "fitted: {{at}, pocket_faced: yes, rings_in: 1, protrusion: 12.6 mm}"},
	{way: "the pocket is faced, one ring fitted, and the protrusion is within", check: protrusion.Name,
		change: "fitted: {{at}, pocket_faced: yes, rings_in: 1, protrusion: 12.6 mm}"},
	{way: "the pocket is faced, one ring fitted, and the protrusion is within", change: "fitted: {{at}, pocket_faced: yes, rings_in: 1}", check: protrusion.Name},
	{way: "the pocket is faced, one ring fitted, and the protrusion is within", check: rings.Name, file: "not-counted.md", want: ClosedByWork, change: "removed: {{at}, reason: planned, rings_out: 1}"},

	{way: othersLookedAt, file: "open.txtar", want: ClosedByWork, change: ringsOut("2020-10-01", ", rings_out: 1")},
	{way: othersLookedAt, file: "open.txtar", want: ClosedByWork, change: ringsOut("2020-10-01", ", rings_out: 2")},
	{way: othersLookedAt, file: "open.txtar", want: ClosedByWork, change: ringsOut("2020-06-28", ", rings_out: 1")},
	{way: othersLookedAt, file: "open.txtar", change: ringsOut("2020-06-27", ", rings_out: 1")},
	{way: othersLookedAt, file: "open.txtar", change: ringsOut("2020-10-01", "")},
	{way: othersLookedAt, file: "open.txtar", change: ringsOut("2020-10-01", ", rings_out: not counted (dropped)")},
	{way: othersLookedAt, file: "open.txtar", want: ClosedByWork,
		change: "in book.md\nhead_exchanged: [{engine: ME1, cylinder: 4, date: 2020-10-01, head: CH-9}]"},

	{way: "the valve is taken out of that position", want: ClosedByWork, change: "as_found: {date: {day}, opening_pressure: [296 bar]}"},
	{way: "a valve is fitted in that position again", want: ClosedByWork, change: "fitted: {{at}}\nrunning_after: {date: {day}, load: 80 %, exhaust_deviation: 2 K}"},
	{way: "a valve is fitted in that position again", check: runningDataAfterFitting.Name, change: "as_found: {date: {day}, opening_pressure: [296 bar]}"},
	{way: "a later valve in that position is pulled as planned", want: ClosedByWork, change: "as_found: {date: {day}, opening_pressure: [290 bar]}"},
	{way: "a later valve in that position is pulled as planned", change: "removed: {{at}, reason: symptom}"},

	{way: "the instrument is compared with a good one", want: ClosedByWork, change: "in instruments/{f}.md\ncomparisons: [{date: {day}, against: PG-9, true: 300 bar, shows: 301 bar}]", check: instrumentNotProven.Name, file: "ran-out.txtar"},
	{way: "the instrument is compared with a good one", want: ClosedByWork, change: "in instruments/{f}.md\ncomparisons: [{date: {day}, against: PG-9, true: 300 bar, shows: 301 bar}]", check: gaugeInDoubt.Name},
	{way: "the instrument is compared with a good one", change: "in instruments/{f}.md\ncomparisons: [{date: 2019-01-01, against: PG-9, true: 300 bar, shows: 301 bar}]", check: gaugeInDoubt.Name},
	{way: "the instrument is compared with a good one", change: "-- instruments/pg-9.md --\n---\nid: PG-9\nkind: gauge\nmeasures: pressure\nrange: 0 .. 600 bar\n" +
		"division: 5 bar\nclass: 0.6\ncalibrated: {day}\ncalibrated_until: 2039-01-01\n---\n"},
	{way: "it is on record as out of tolerance for that time", check: instrumentNotProven.Name, file: "ran-out.txtar",
		want: ClosedByWork, change: "in instruments/{f}.md\nfound_wrong: [{from: 2020-01-01, to: {day}, factor: 1.07}]"},
	{way: "it is on record as out of tolerance for that time", check: instrumentNotProven.Name, file: "ran-out.txtar",
		change: "in instruments/{f}.md\nfound_wrong: [{from: 2019-01-01, to: 2019-06-01, factor: 1.07}]"},
	{way: "it is on record as out of tolerance for that time", check: gaugeInDoubt.Name, file: "on-record-as-wrong.txtar", want: ClosedByWork},

	{way: asFoundWithin, check: instrumentNotProven.Name, file: "ran-out.txtar", want: ClosedByWork, change: recheck("{day}", "within", "CAL-9")},
	{way: asFoundWithin, check: instrumentNotProven.Name, file: "ran-out.txtar", change: recheck("{day}", "outside", "CAL-9")},
	{way: asFoundWithin, check: instrumentNotProven.Name, file: "ran-out.txtar", change: recheck("{day}", "within", "")},
	{way: asFoundWithin, check: instrumentNotProven.Name, file: "ran-out.txtar", change: recheck("2019-01-01", "within", "CAL-9")},
	{way: asFoundWithin, check: instrumentNotProven.Name, file: "ran-out.txtar", change: "in instruments/{f}.md\ncalibrated: {day}\ncertificate: CAL-9"},
	{way: asFoundWithin, check: gaugeInDoubt.Name, want: ClosedByWork, change: recheck("{day}", "within", "CAL-9")},

	{way: bySurveyor, want: ClosedByWork, file: "open.txtar", change: stating("date: 2020-03-01, surveyor: N. Halvard, reference: 20-114")},
	{way: bySurveyor, file: "open.txtar", change: stating("date: 2020-03-01, surveyor: N. Halvard")},
	{way: bySurveyor, file: "open.txtar", change: stating("date: 2020-03-01, reference: 20-114")},
	{way: bySurveyor, file: "open.txtar", change: stating("surveyor: N. Halvard, reference: 20-114")},
	{way: bySurveyor, file: "open.txtar", change: stating("date: 2020-01-01, surveyor: N. Halvard, reference: 20-114")},

	{way: "the part is scrapped", want: ClosedByWork, change: "in parts/{f}.md\nserial: {s}\nscrapped: {date: {day}, why: cut up}"},
	{way: "the part is scrapped", change: "in parts/{f}.md\nserial: {s}\nscrapped: {date: 2019-01-01, why: cut up}"},
	{way: "the part is landed with a receipt", want: ClosedByWork, change: "in parts/{f}.md\nserial: {s}\nlanded: {date: {day}, to: the agent, receipt: 4-117}"},
	{way: "the part is landed with a receipt", want: ClosedByWork, change: "landed: {date: {day}, to: the agent, receipt: 4-117}"},
	{way: "the part is landed with a receipt", change: "landed: {date: {day}, to: the agent}"},
	{way: "the part is landed with a receipt", change: "in parts/{f}.md\nserial: {s}\nlanded: {date: {day}, to: the agent}"},
	{way: "the part is landed with a receipt", change: "in parts/{f}.md\nserial: {s}\nlanded: {to: the agent, receipt: 4-117}"},
	{way: "the claim is decided", want: ClosedByWork, change: "in parts/{f}.md\nserial: {s}\nclaim_decided: {date: {day}, why: one nozzle credited}"},
	{way: "the claim is decided", change: "in parts/{f}.md\nserial: {s}\nclaim_decided: {date: {day}}"},
	{way: "the claim is decided", change: "in parts/{f}.md\nserial: {s}\nscrapped: {date: {day}, why: cut up}"},
	{way: "somebody has read the stamp", want: ClosedByWork, change: "in parts/{f}.md\nserial: {s}\nstamp_read: [{date: {day}, by: a.two, reads: {s}}]"},
	{way: "somebody has read the stamp", change: "in parts/{f}.md\nserial: {s}\nstamp_read: [{date: {day}, reads: {s}}]"},
	{way: "somebody has read the stamp", change: "in parts/{f}.md\nserial: {s}\nstamp_read: [{date: {day}, by: a.two, reads: H-77}]"},
	{way: "somebody has read the stamp", change: "in parts/{f}.md\nserial: {s}\nstamp_read: [{date: 2019-01-01, by: a.two, reads: {s}}]"},
	{way: bothEntries, file: "out-again.txtar", want: ClosedByWork, change: entries("fitted: 2020-07-03, removed: 2020-08-01, page: 14")},
	{way: bothEntries, file: "out-again.txtar", change: entries("fitted: 2020-07-03, removed: 2020-08-01")},
	{way: bothEntries, file: "out-again.txtar", change: entries("fitted: 2020-07-03, page: 14")},
	{way: bothEntries, file: "out-again.txtar", change: entries("fitted: 2020-07-04, removed: 2020-08-01, page: 14")},
	{way: bothEntries, file: "out-again.txtar", change: "in parts/{f}.md\nscrapped: {date: {day}, why: for return}"},
	{way: "the part is scrapped", change: "decided: {nozzle: renew}\nnozzle: {found: {n}, left: N-4711}", check: crackNotCondemned.Name, file: "in-words.md"},

	{way: "every valve set with it has been set again", want: ClosedByWork, file: "set-again.txtar"},
	{way: "every valve set with it has been set again", file: "waiting.txtar"},
	{way: "the next round of the engine does not show it", want: ClosedByWork, change: wholeRound()},
	{way: "the valve is pulled", want: gone, change: "as_found: {date: {day}, opening_pressure: [290 bar]}"},
	{way: "the valve is pulled", change: "-- parts/n-88.md --\n---\nserial: N-88\nkind: nozzle\n---\n"},
}

const allInspected = "inspected: {needle_seat: good, needle_end: good, needle_guide: good, body_seat: good, tip: good, holes: good, " +
	"nozzle_face: good, holder_face: good, dowels: good, spring: good, push_rod: good, nut_inside: good, inlet_face: good, drillings: good}"

const lastedMost = "the valve is as found within its band after at least 80 % of the hours in which it was lost"

const (
	othersLookedAt = "the rings out of each other pocket of the engine have been counted"

	asFoundWithin = "a certificate states that it was within as found: never a new instrument"
	bySurveyor    = "the surveyor's statement that it is done is entered"
	bothEntries   = "both entries in the record book of engine parameters are stated"
)

// ringsOut is the removal of the valve in ME1-4.
func ringsOut(day, counted string) string {
	return "-- overhauls/me1/c4/" + day + "-h-4.md --\n---\nholder: H-4\nnozzle: {found: N-4, left: N-4}\n" +
		"removed: {engine: ME1, cylinder: 4, date: " + day + ", reason: planned" + counted + "}\n---\n"
}

// recheck adds what the certificate of a later calibration says to an instrument.
func recheck(day, result, certificate string) string {
	return "in instruments/{f}.md\nas_found: [{date: " + day + ", certificate: \"" + certificate + "\", result: " + result + "}]"
}

// stating is a book with a surveyor's statement on a condition of class, on the line of the case.
func stating(what string) string {
	return "-- book.md --\n---\nvessel: Test Vessel\nengines:\n  - {id: ME1, type: 4T20, cylinders: [1, 2, 3, 4], limits: 4t20}\n" +
		"opening:\n  date: 2020-01-01\n" + strings.Repeat("#\n", 10) + "conditions_of_class:\n" +
		"  - {what: \"measure all holders of ME1\", from: 2020-02-01, until: 2039-06-30, statement: {" + what + "}}\n---\n"
}

// entries adds what is entered in the record book of engine parameters to a nozzle.
func entries(what string) string {
	return "in parts/{f}.md\nrecord_book: [{" + what + "}]"
}

// refitted is a valve that is fitted again after its loss, and as found within its band on a day.
func refitted(day string, counter int) string {
	return "-- overhauls/me1/c1/2020-07-02-h-1.md --\n---\nholder: H-1\nnozzle: {left: N-1}\n" +
		"as_left: {date: 2020-07-02, opening_pressure: [300 bar]}\nfitted: {engine: ME1, cylinder: 1, date: 2020-07-02, counter: 2810 h}\n" +
		fmt.Sprintf("---\n-- overhauls/me1/c1/%[1]s-h-1.md --\n---\nholder: H-1\nnozzle: {found: N-1, left: N-1}\n"+
			"removed: {engine: ME1, cylinder: 1, date: %[1]s, counter: %[2]d h}\nas_found: {date: %[1]s, opening_pressure: [296 bar]}\n---\n", day, counter)
}

// wholeRound is a later round of four cylinders in which all is well.
func wholeRound() string {
	var b strings.Builder
	for i := 1; i <= 4; i++ {
		fmt.Fprintf(&b, "-- overhauls/me1/c%[1]d/2023-06-01-h-%[1]d1.md --\n---\nholder: H-%[1]d1\nnozzle: {found: N-%[1]d1, left: N-%[1]d1}\n"+
			"removed: {engine: ME1, cylinder: %[1]d, date: 2023-06-01, counter: 13300 h}\n"+
			"as_found: {date: 2023-06-01, opening_pressure: [296 bar], seat: {state: dry}, leak_down: {time: 12.%[1]d s}, spray: {open: 8, pattern: even}}\n"+
			"as_left: {date: 2023-06-01, opening_pressure: [305 bar]}\n"+
			"fitted: {engine: ME1, cylinder: %[1]d, date: 2023-06-02, counter: 13300 h}\n---\n", i)
	}
	return b.String()
}

// changed is the book of a finding after a change.
func changed(t *testing.T, files fstest.MapFS, r *Report, f Finding, change string) fstest.MapFS {
	t.Helper()
	all := maps.Clone(files)
	at, holder, nozzle := valveOf(r, f)
	day := r.Today
	if p, ok := (&Case{Book: r.Book}).position(f.Subject.Name); ok && at.Engine == "" { // empty: fit one first
		at, holder, nozzle = p, "H-98", "N-98"
		total, _ := r.Book.TotalOn(at.Engine, day-1)
		fit := fmt.Sprintf("---\nholder: H-98\nnozzle: {left: N-98}\nfitted: {engine: %s, cylinder: %s, date: %s, counter: %.0f h}\n---\n",
			at.Engine, at.Cylinder, day-1, total)
		all["overhauls/spares/"+(day-1).String()+"-h-98.md"] = &fstest.MapFile{Data: []byte(fit)}
	}
	total, _ := r.Book.TotalOn(at.Engine, day)
	place := fmt.Sprintf("engine: %s, cylinder: %s, date: %s, counter: %.0f h", at.Engine, at.Cylinder, day, total)
	put := strings.NewReplacer("{s}", quote(f.Subject.Name), "{f}", logbook.FileName(f.Subject.Name), "{h}", quote(holder),
		"{n}", quote(nozzle), "{at}", place, "{day}", day.String())
	first, rest, _ := strings.Cut(change, "\n")
	switch {
	case change == "":
	case strings.HasPrefix(change, "-- "):
		for _, x := range txtar.Parse([]byte(put.Replace(change))).Files {
			all[x.Name] = &fstest.MapFile{Data: x.Data}
		}
	case strings.HasPrefix(change, "in "):
		path := put.Replace(strings.TrimPrefix(first, "in "))
		text := "---\n---\n"
		if x := all[path]; x != nil {
			text = string(x.Data)
		}
		i := strings.Index(text[3:], "\n---") + 4
		all[path] = &fstest.MapFile{Data: []byte(text[:i] + put.Replace(rest) + "\n" + text[i:])}
	default:
		lines := change + "\n"
		came, dir := "stored: {date: {day}}", "overhauls/spares/"
		if at.Engine != "" {
			came, dir = "removed: {{at}, reason: planned}", "overhauls/"+logbook.FileName(at.Engine)+"/c"+at.Cylinder+"/"
		}
		for _, add := range []string{"holder: {h}", "nozzle: {found: {n}, left: {n}}", came} {
			key, _, _ := strings.Cut(add, ":")
			if !strings.Contains("\n"+lines, "\n"+key+":") {
				lines = add + "\n" + lines
			}
		}
		all[fmt.Sprint(dir, day, "-", logbook.FileName(holder), "-later.md")] = &fstest.MapFile{Data: []byte("---\n" + put.Replace(lines) + "---\n")}
	}
	return all
}

func quote(s string) string { return `"` + s + `"` }

// valveOf is the valve that a finding is about on the last day, and where it is; of a position the one that is in it, of a
// part the one that it is in.
func valveOf(r *Report, f Finding) (at logbook.Position, holder, nozzle string) {
	holder, nozzle = f.About.Holder, f.About.Nozzle
	for _, s := range r.Book.Lives().ServicePeriods {
		switch f.Subject.Name {
		case s.Position.String(), s.Holder, s.Nozzle:
			if holder, nozzle = s.Holder, s.Nozzle; s.To == 0 {
				at = s.Position
			}
		}
	}
	switch f.Subject.Kind {
	case OfHolder:
		holder = f.Subject.Name
	case OfNozzle:
		nozzle = f.Subject.Name
	}
	return at, holder, nozzle
}

// opened is a book on which a check speaks, with an open finding of it about a subject of the check's own kind.
func opened(t *testing.T, base fstest.MapFS, k *Check, file string) (fstest.MapFS, *logbook.Trail, *Report, Finding) {
	t.Helper()
	cases := []string{filepath.Join("testdata", k.Name, file)}
	if file == "" {
		cases, _ = filepath.Glob(filepath.Join("testdata", k.Name, "*"))
	}
	for _, name := range cases {
		files, trail := caseFiles(t, base, name)
		b, err := logbook.Read(files)
		if err != nil {
			continue
		}
		r := Run(b, Options{Only: []*Check{k}, Trail: trail})
		for _, f := range r.Findings {
			if f.Check == k.Name && (file != "" || f.State == Open && (f.Subject.Kind != OfRecord || k.Subject == OfRecord)) {
				return files, trail, r, f
			}
		}
	}
	t.Fatalf("%s: nothing opens on its records", k.Name)
	return nil, nil, nil, Finding{}
}

// became is the state of a finding of a check after a change: of the same place and message.
func became(t *testing.T, files fstest.MapFS, trail *logbook.Trail, k *Check, f Finding) (State, Finding) {
	t.Helper()
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range Run(b, Options{Only: []*Check{k}, Trail: trail}).Findings {
		if g.Check == f.Check && g.Place == f.Place {
			return g.State, g
		}
	}
	return gone, Finding{}
}

// TestLives opens a finding of each check and ends it in each way that the check names, and tries what comes near and ends
// nothing. A check that names a way of which no case is here fails. Outside source: common practice, no source.
func TestLives(t *testing.T) {
	base := folder(t, "testdata/base")
	shown := map[[2]string]bool{}
	for _, x := range lives {
		tried := 0
		for _, k := range All() {
			if x.check != "" && k.Name != x.check || !slices.ContainsFunc(k.Ends.Ways, func(w Way) bool { return w.By == x.way }) {
				continue
			}
			tried++
			files, trail, r, f := opened(t, base, k, x.file)
			is, g := became(t, changed(t, files, r, f, x.change), trail, k, f)
			if is != x.want || is == ClosedByWork && !strings.HasPrefix(g.Ended.Words, x.way) {
				t.Errorf("%s: %q of %s is %s by %q, want %s after %q", k.Name, f.Message, f.Subject, is, g.Ended.Words, x.want, x.change)
			}
			if is != Open {
				shown[[2]string{k.Name, x.way}] = true
			}
		}
		if tried == 0 {
			t.Errorf("no check is ended by %q", x.way)
		}
	}
	for _, k := range All() {
		for _, w := range k.Ends.Ways {
			if (w.work != nil || w.fact != nil) && !shown[[2]string{k.Name, w.By}] {
				t.Errorf("%s is ended by %q: no case shows it", k.Name, w.By)
			}
		}
	}
}

// TestMoved has the part of each finding that is about one move on, untouched, and asks where the finding is: with the part
// in its new place, with the position or the pocket in the old one, and nowhere else. Outside source: common practice, no
// source.
func TestMoved(t *testing.T) {
	base := folder(t, "testdata/base")
	for _, k := range All() {
		if k.Subject != OfHolder && k.Subject != OfNozzle && k.Subject != OfPosition && k.Subject != OfPocket || k == overdue {
			continue
		}
		files, trail, r, f := opened(t, base, k, "")
		at, holder, nozzle := valveOf(r, f)
		day := r.Today
		removed := ""
		if at.Engine != "" {
			removed = fmt.Sprintf("removed: {engine: %s, cylinder: %s, date: %s}\n", at.Engine, at.Cylinder, day)
		}
		move := fmt.Sprintf("---\nholder: %q\nnozzle: {found: %q, left: %q}\nremoved: {engine: ME2, cylinder: 4, date: %s}\n---\n",
			"H-8", "N-8", "N-8", day)
		all := maps.Clone(files)
		all["overhauls/me2/c4/"+day.String()+"-h-8-out.md"] = &fstest.MapFile{Data: []byte(move)}
		move = fmt.Sprintf("---\nholder: %q\nnozzle: {found: %q, left: %q}\n%sfitted: {engine: ME2, cylinder: 4, date: %s}\n---\n",
			holder, nozzle, nozzle, removed, day)
		all["overhauls/spares/"+day.String()+"-moved.md"] = &fstest.MapFile{Data: []byte(move)}
		b, err := logbook.Read(all)
		if err != nil {
			t.Fatal(err)
		}
		moved := Run(b, Options{Only: []*Check{k}, Trail: trail})
		i := slices.IndexFunc(moved.Findings, func(g Finding) bool { return g.Check == f.Check && g.Place == f.Place && g.Subject == f.Subject })
		if i < 0 {
			t.Errorf("%s: %q of %s is gone after its valve was fitted elsewhere: %v", k.Name, f.Message, f.Subject, moved.Findings)
			continue
		}
		g, where := &moved.Findings[i], f.Subject.Name+", in ME2-4"
		switch f.Subject.Kind {
		case OfPosition:
			where = f.Subject.Name
		case OfPocket:
			where = "pocket of " + f.Subject.Name
		}
		ends := slices.ContainsFunc([]*End{valveOut, valveLasted, valveChanged}, func(e *End) bool { return k.Ends == e })
		if moved.Where(g) != where || moved.GroupOf(g) != OnEngines || g.State != Open && !ends {
			t.Errorf("%s: %q is with %q, in the group %s, %s by %q; want it open, with %q", k.Name, g.Message, moved.Where(g),
				moved.GroupOf(g), g.State, g.Ended.Words, where)
		}
	}
}

// corrections are the lines of testdata/corrected.txt: a check, the record on which it speaks, what is written in the file
// of its finding, and what belongs there. A star stands for the whole file.
func corrections(t *testing.T) (all [][4]string) {
	src, err := os.ReadFile("testdata/corrected.txt")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(src)) {
		cells := strings.SplitN(strings.TrimSuffix(line, "\n"), " | ", 4)
		if len(cells) != 4 {
			t.Fatalf("testdata/corrected.txt: %q", line)
		}
		for i, cell := range cells {
			cells[i] = strings.NewReplacer(`\n`, "\n", `\ufeff`, "\ufeff", `\u200b`, "\u200b").Replace(cell)
		}
		all = append(all, [4]string(cells))
	}
	return all
}

// TestCorrected corrects the line of a finding of every check that only that ends, or that what is confirmed or settled is
// written there: the finding is not found any more. Outside source: none.
func TestCorrected(t *testing.T) {
	base := folder(t, "testdata/base")
	shown := map[string]bool{}
	for _, x := range corrections(t) {
		k := Named(x[0])
		files, trail, _, _ := opened(t, base, k, x[1])
		b, err := logbook.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		fs := slices.DeleteFunc(Run(b, Options{Only: []*Check{k}, Trail: trail}).Findings, func(f Finding) bool {
			return f.Check != k.Name
		})
		all, corrected := corrected(t, files, trail, fs, x[2], x[3])
		b, err = logbook.Read(all)
		if err != nil {
			t.Fatal(err)
		}
		left := slices.DeleteFunc(Run(b, Options{Only: []*Check{k}, Trail: corrected}).Findings, func(f Finding) bool {
			return f.Check != k.Name
		})
		went := slices.ContainsFunc(fs, func(f Finding) bool {
			return !slices.ContainsFunc(left, func(g Finding) bool { return g.Message == f.Message })
		})
		if shown[k.Name] = went && len(left) < len(fs); !shown[k.Name] {
			t.Errorf("%s: %s: %d findings after %q is %q, %d before: %v", k.Name, x[1], len(left), x[2], x[3], len(fs), left)
		}
	}
	for _, k := range All() {
		w := k.Ends.Ways[0]
		written := w.work == nil && w.fact == nil && !strings.Contains(w.By, "answer") && k != overdue
		if written && !shown[k.Name] {
			t.Errorf("%s is ended by %q: no case shows it", k.Name, k.Ends.Ways[0].By)
		}
	}
}

// corrected is a book, or what its history shows, with one text in place of another: in the file of a finding where it is
// there.
func corrected(t *testing.T, files fstest.MapFS, trail *logbook.Trail, fs []Finding, was, is string) (fstest.MapFS, *logbook.Trail) {
	t.Helper()
	all := maps.Clone(files)
	if was == "*" {
		delete(all, fs[0].Place.Path)
		return all, trail
	}
	paths := slices.Sorted(maps.Keys(files))
	for _, path := range append([]string{fs[0].Place.Path}, paths...) {
		if x := files[path]; x != nil && strings.Contains(string(x.Data), was) {
			all[path] = &fstest.MapFile{Data: []byte(strings.Replace(string(x.Data), was, is, 1))}
			return all, trail
		}
	}
	text, err := json.Marshal(trail)
	if err != nil || !strings.Contains(string(text), was) {
		t.Fatalf("no file and no history holds %q: %v, %s", was, err, text)
	}
	other := &logbook.Trail{}
	if err := json.Unmarshal([]byte(strings.ReplaceAll(string(text), was, is)), other); err != nil {
		t.Fatal(err)
	}
	return all, other
}

// ashoreLine is a superintendent, and his line in the list of persons.
const ashoreLine = "s.four,S. Four,superintendent,2000-01-01,\n"

// TestAnswered answers a finding of every check: by a superintendent, who may answer all but what only a deferral carries
// and a stop on a part in use; by a third engineer, who may answer none; and to other facts and an earlier version.
// Outside source: common practice, no source.
func TestAnswered(t *testing.T) {
	base := folder(t, "testdata/base")
	for _, k := range All() {
		files, trail, r, f := opened(t, base, k, "")
		if f.Place.Path == "crew.csv" || k.Ends.Answer == ChiefAndOffice { // two sign that: TestBothSign
			continue
		}
		trail.UnderGit = false // nothing of these answers is signed
		crew := string(base["crew.csv"].Data)
		if x := files["crew.csv"]; x != nil {
			crew = string(x.Data)
		}
		inUse := f.Grade == Stop && (&histories{c: &Case{Book: r.Book, Lives: r.Book.Lives(), Today: r.Today}, parts: r.where}).inUse(&f)
		for _, x := range []struct {
			name, by, text string
			version        int
			counts         bool
		}{
			{"a superintendent", "s.four", f.Text, k.Version, k.Ends.Answer != DeferralOnly && k.Ends.Answer != StatementOnly && !inUse},
			{"a third engineer", "b.three", f.Text, k.Version, false},
			{"to other facts", "s.four", "0123456789ab", k.Version, false},
			{"to an earlier version", "s.four", f.Text, k.Version - 1, false},
		} {
			all := maps.Clone(files)
			all["crew.csv"] = &fstest.MapFile{Data: []byte(strings.TrimSuffix(crew, "\n") + "\n" + ashoreLine)}
			f := f
			f.Text = x.text
			all["answers.csv"] = &fstest.MapFile{Data: []byte(answersHead + answerLine(f, x.version, r.Today.String(), "looked into", x.by, "2090-01-01"))}
			if is, g := became(t, all, trail, k, f); (is == Answered) != x.counts || is == gone {
				t.Errorf("%s, answered by %s: %q of %s is %s, held %q; want it answered: %v", k.Name, x.name, f.Message, f.Subject, is, g.Held, x.counts)
			}
		}
	}
}

// A part that is scrapped later was in its place rightly before. Outside source: none.
func TestEndsToComeAreNotKnownYet(t *testing.T) {
	files, _ := caseFiles(t, folder(t, "testdata/base"), "testdata/condemned-part-returns/scrapped-later.txtar")
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	for on, want := range map[string]int{"2020-12-01": 0, "2021-01-15": 1, "2021-06-01": 1} {
		if is := Run(b, Options{Only: []*Check{condemnedPartReturns}, On: day(t, on)}); len(is.Open()) != want {
			t.Errorf("on %s: %v open, want %d", on, is.Open(), want)
		}
	}
}
