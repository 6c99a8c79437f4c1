package checks

import (
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"text/tabwriter"

	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// The checks are tried on vessels that nobody has seen: invented ones, honest and with faults planted in them. How many false alarms
// a crew forgives, and how much must be found, is common practice, no source.

// long asks for thousands of vessels in place of a few.
var long = os.Getenv("NEEDLEBOOK_LONG") != ""

// each calls f for the numbers below n on two goroutines; f guards what it shares.
func each(n int, f func(i int)) {
	var wg sync.WaitGroup
	for first := range 2 {
		wg.Go(func() {
			for i := first; i < n; i += 2 {
				f(i)
			}
		})
	}
	wg.Wait()
}

// unreadable is what no engineer would write: a fraction of more digits than a gauge shows, nothing above a limit, a slip of the
// program's own.
var unreadable = regexp.MustCompile(`\d\.\d{5,}|\bis -?0(\.0+)? \S+ (above|below|less|shorter)|\b-0(\.0+)?\b|NaN|Inf\b|%!`)

func judgeInvented(t *testing.T, v *invent.Book) []Finding {
	b, err := logbook.Read(v.FS())
	if err != nil {
		t.Fatal(err)
	}
	findings := Run(b, Options{}).Findings
	mayStop(t, b, Options{}, findings)
	for _, f := range findings {
		text := f.inFull() + "; " + f.Next
		if f.Limit != nil {
			text += "; " + f.Limit.Text
		}
		if m := unreadable.FindString(text); m != "" {
			t.Errorf("%s (%s) says %q in: %s", f.Check, v.Traits, m, text)
		}
	}
	return findings
}

// On honest vessels at most one finding in a hundred overhauls asks for an answer: what is left of chance where valves scatter.
func TestHonestVesselsAreQuiet(t *testing.T) {
	vessels := 40
	if long {
		vessels = 4000
	}
	var mu sync.Mutex
	overhauls, count, first := 0, map[string][Stop + 1]int{}, map[string]string{}
	each(vessels, func(i int) {
		v := invent.Vessel(uint64(i), invent.Options{})
		findings := judgeInvented(t, v)
		mu.Lock()
		defer mu.Unlock()
		overhauls += v.Overhauls
		for _, f := range findings {
			n := count[f.Check]
			n[f.Grade]++
			count[f.Check] = n
			if f.Grade >= Action && first[f.Check] == "" {
				first[f.Check] = fmt.Sprintf("seed %d, %s: %s (%s)", i, f.Place, f.Message, v.Traits)
			}
			if f.Check == CheckFailed {
				t.Errorf("seed %d: %s", i, f.Message)
			}
		}
	})
	false_ := 0
	table := rows{"check", "note", "advice", "action", "stop", "answer or worse in 100 overhauls"}
	for _, name := range sortedKeys(count) {
		n := count[name]
		false_ += n[Action] + n[Stop]
		table.add(name, n[Note], n[Advice], n[Action], n[Stop], fmt.Sprintf("%.2f", 100*float64(n[Action]+n[Stop])/float64(overhauls)))
	}
	t.Logf("%d honest vessels, %d overhauls:\n%s", vessels, overhauls, table)
	if 100*false_ > overhauls {
		t.Errorf("%d findings of grade answer or worse on %d overhauls of honest vessels, want at most one in 100", false_, overhauls)
		for _, name := range sortedKeys(first) {
			t.Errorf("%s: %s", name, first[name])
		}
	}
}

// found is what became of the faults planted for one check.
type found struct{ planted, met, said, right int }

// least is the share of planted faults that a check must find, and the share of its findings that must be right, on vessels with
// faults. Checks that weigh the scatter of many valves cannot be as sure as those that read one value.
func least(check string) (recall, precision float64) {
	switch check {
	case roundWithCommonCause.Name: // two bad valves that happen to come out together are as many as a bad bunker makes, here
		return 0.9, 0.5
	case gaugeInDoubt.Name, valvesRejectedInPosition.Name, nozzlesRejectedInHolder.Name:
		return 0.8, 0.8
	case unitMistaken.Name:
		return 0.9, 0.95
	}
	return 0.95, 0.95
}

// placeOf is where something is told that a planted fault concerns.
func placeOf(told []subordinate, k invent.Planted) logbook.Place {
	for _, s := range told {
		if s.check == k.Check && k.Concerns(s.at.Path, "") {
			return s.at
		}
	}
	return logbook.Place{}
}

// Faults planted in the same vessels are found where they are, and nothing else is said.
func TestPlantedFaultsAreFound(t *testing.T) {
	times := 2
	if long {
		times = 60
	}
	const together = 2 // faults in one vessel
	var names []string
	for i := range times {
		some := invent.Faults()
		rand.New(rand.NewPCG(uint64(i), 7)).Shuffle(len(some), func(a, b int) { some[a], some[b] = some[b], some[a] })
		names = append(names, some...)
	}
	var mu sync.Mutex
	of, missed, wrong, there := map[string]*found{}, map[string]string{}, map[string]string{}, map[string]bool{}
	at := func(check string) *found {
		if of[check] == nil {
			of[check] = &found{}
		}
		return of[check]
	}
	vessels := (len(names) + together - 1) / together
	each(vessels, func(i int) {
		faults := names[i*together : min((i+1)*together, len(names))]
		seed, v := roomFor(faults, uint64(10_000*i))
		findings := judgeInvented(t, v)
		mu.Lock()
		defer mu.Unlock()
		for _, k := range v.Key {
			there[k.Fault] = true
			at(k.Check).planted++
			if slices.ContainsFunc(findings, func(f Finding) bool {
				return f.Check == k.Check && k.Concerns(f.Place.Path, f.About.Record) ||
					slices.Contains(f.told, subordinate{k.Check, placeOf(f.told, k)})
			}) {
				at(k.Check).met++
			} else if missed[k.Check] == "" {
				missed[k.Check] = fmt.Sprintf("seed %d with %q: %s not found in %s (%s)", seed, faults, k.Fault, k.Path, v.Traits)
			}
		}
		for _, f := range findings {
			if f.Grade < Action || f.Deferral != nil { // notes and advice are true of honest work too, and so is what was deferred
				continue
			}
			at(f.Check).said++
			if slices.ContainsFunc(v.Key, func(k invent.Planted) bool { return k.Explains(f.Check, f.Place.Path, f.About.Record) }) {
				at(f.Check).right++
			} else if wrong[f.Check] == "" {
				wrong[f.Check] = fmt.Sprintf("seed %d with %q: %s: %s (%s)", seed, faults, f.Place, f.Message, v.Traits)
			}
		}
	})
	for _, name := range invent.Faults() {
		if !there[name] {
			t.Errorf("no vessel had room for the fault %q, so nothing was tried with it", name)
		}
	}
	table := rows{"check", "planted", "found", "said, answer or worse", "of these right"}
	for _, k := range All() {
		f := at(k.Name)
		table.add(k.Name, f.planted, f.met, f.said, f.right)
		recall, precision := least(k.Name)
		if float64(f.met) < recall*float64(f.planted) {
			t.Errorf("%s found %d of %d planted faults, want %.0f %%: %s", k.Name, f.met, f.planted, 100*recall, missed[k.Name])
		}
		if float64(f.right) < precision*float64(f.said)-1 { // one more is forgiven: few of each kind are tried
			t.Errorf("%s is right in %d of %d findings, want %.0f %%: %s", k.Name, f.right, f.said, 100*precision, wrong[k.Name])
		}
	}
	t.Logf("%d vessels with %d faults each:\n%s", vessels, together, table)
}

// roomFor is the first of some vessels that has room for all of the faults, or for most of them.
func roomFor(faults []string, from uint64) (seed uint64, best *invent.Book) {
	most := -1
	for s := from; s < from+12 && most < len(faults); s++ {
		v := invent.Vessel(s, invent.Options{Overhauls: 60, Faults: faults})
		there := map[string]bool{}
		for _, k := range v.Key {
			there[k.Fault] = true
		}
		if len(there) > most {
			seed, best, most = s, v, len(there)
		}
	}
	return seed, best
}

func sortedKeys[T any](m map[string]T) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// rows is a table, printed with -v.
type rows []any

func (r *rows) add(cells ...any) { *r = append(*r, cells...) }

func (r rows) String() string {
	wide := 1
	for wide < len(r) && !strings.Contains(fmt.Sprint(r[wide]), "-") {
		wide++
	}
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 1, ' ', 0)
	for i, cell := range r {
		fmt.Fprintf(w, "| %v\t", cell)
		if (i+1)%wide == 0 {
			fmt.Fprintln(w, "|")
		}
		if i+1 == wide {
			fmt.Fprintln(w, strings.Repeat("|---\t", wide)+"|")
		}
	}
	w.Flush()
	return b.String()
}
