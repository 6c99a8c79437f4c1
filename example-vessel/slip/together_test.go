package slip_test

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/checks"
)

// mostTogether is the share of slips in % that may have more than one open finding: one cause is one finding.
const mostTogether = 9

// open are the findings told anew that still ask for something.
func (r result) open() (all []checks.Finding) {
	for _, f := range r.told {
		if f.State == checks.Open {
			all = append(all, f)
		}
	}
	return all
}

// together lists which checks speak together of one slip, the most frequent first, and how many slips have more than one
// open finding.
func together(all []result) (list string, many int) {
	count := map[string]int{}
	for _, r := range all {
		open := r.open()
		if len(open) < 2 {
			continue
		}
		many++
		names := map[string]bool{}
		for i, f := range open {
			for _, g := range open[i+1:] {
				pair := []string{f.Check, g.Check}
				slices.Sort(pair)
				names[strings.Join(pair, " + ")] = true
			}
		}
		for name := range names {
			count[name]++
		}
	}
	names := slices.SortedFunc(maps.Keys(count), func(a, b string) int {
		return cmp.Or(count[b]-count[a], strings.Compare(a, b))
	})
	var b strings.Builder
	for _, name := range names {
		fmt.Fprintf(&b, "%5d %s\n", count[name], name)
	}
	return b.String(), many
}
