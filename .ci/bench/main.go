// Command bench measures the program beside plain tools that do the nearest thing to the same work, in one run, one after the
// other, and prints the ratios with what they must be and what they should be:
//
//	go run ./.ci/bench [-records 1000] [-rounds 5] [-must] [-held]
//
// The workload is an invented ship: one signed commit for each overhaul, and a later edit for every sixth. Every figure is the
// median of the rounds; processor time where both sides are bound by it, since other work on the machine changes that least.
// With -must a ratio that misses its must is a failure, by -slack times what it says: a busy machine is no mistake of ours.
// With -held one is that is worse than what a small book on a busy machine keeps as well: .ci/run asks for it.
// It needs git, and a Unix that tells what a child has used.
package main

import (
	"flag"
	"fmt"
	"os"
	"text/tabwriter"

	"needlebook/logbook"
)

func main() {
	o := options{}
	flag.IntVar(&o.records, "records", 1000, "overhauls in the book")
	flag.IntVar(&o.rounds, "rounds", 5, "times that each is measured")
	flag.StringVar(&o.program, "program", "", "built program (default: built now)")
	flag.StringVar(&o.dir, "dir", "", "folder for the books (default: a temporary one, removed)")
	flag.StringVar(&o.only, "only", "", "only rows whose name contains this")
	must := flag.Bool("must", false, "fail where a must is missed")
	held := flag.Bool("held", false, "fail where what a small book keeps is missed")
	slack := flag.Float64("slack", 1, "what a must is multiplied by")
	flag.Parse()
	missed, worse, err := run(o, *slack)
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
	if *must && missed > 0 || *held && worse > 0 {
		os.Exit(1)
	}
}

// row is one line of the table: what is measured against what.
type row struct {
	name       string
	must, goal float64
	held       float64
	atLeast    bool // the ratio must be at least, not at most
	cpu        bool // of the processor's time, not the clock's
	peer       string
	measure    func() (ours, theirs cost, err error)
}

// kept tells whether a ratio is on the right side of a bound.
func (r row) kept(ratio, bound float64) bool {
	if r.atLeast {
		return ratio >= bound
	}
	return ratio <= bound
}

func run(o options, slack float64) (missed, worse int, err error) {
	w, err := newWorkload(o)
	if err != nil {
		return 0, 0, err
	}
	defer w.close()
	fmt.Printf("%s, %s, %.1f MB of files, medians of %d\n\n", logbook.Counted(w.records, "overhaul"), logbook.Counted(w.commits, "commit"),
		float64(w.bytes)/1e6, o.rounds)
	table := tabwriter.NewWriter(os.Stdout, 0, 8, 2, ' ', 0)
	fmt.Fprintln(table, "what\tratio\tmust\tgoal\tours\tbeside\tMB")
	for _, r := range w.rows() {
		if !matches(r.name, o.only) {
			continue
		}
		ours, theirs, err := w.medians(r)
		if err != nil {
			return missed, worse, fmt.Errorf("%s: %w", r.name, err)
		}
		ratio := ours.in(r.cpu) / theirs.in(r.cpu)
		if r.atLeast {
			ratio = 1 / ratio
		}
		mark := ""
		if bound := r.must * slack; r.must > 0 && !r.kept(ratio, bound) && !(r.atLeast && ratio >= r.must/slack) {
			mark, missed = " missed", missed+1
		}
		if !r.kept(ratio, r.held) {
			mark, worse = mark+" WORSE than it was", worse+1
		}
		fmt.Fprintf(table, "%s\t%.3g%s\t%s\t%s\t%.3f s\t%.4f s %s\t%.0f\n", r.name, ratio, mark, bound(r, r.must), bound(r, r.goal),
			ours.in(r.cpu), theirs.in(r.cpu), r.peer, float64(ours.most)/1e6)
		table.Flush()
	}
	return missed, worse, nil
}

// bound writes a must or a goal.
func bound(r row, v float64) string {
	switch {
	case v == 0:
		return "-"
	case r.atLeast:
		return fmt.Sprintf("≥ %g", v)
	}
	return fmt.Sprintf("≤ %g", v)
}
