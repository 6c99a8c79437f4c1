package content

import (
	"strings"
	"testing"

	"needlebook/checks/judging"
	"needlebook/site/page"
)

// TestSection holds the valve in section of every record of the example vessel against the verdicts: what was read as found and as left at
// each place, its limit, and what is beyond; and that no reading with a place is left out. No outside source.
func TestSection(t *testing.T) {
	w := exampleVessel(t)
	readings, beyond := 0, 0
	for _, o := range w.Book.Overhauls {
		want := map[string]int{}
		for _, v := range w.Judged.Of(o) {
			for _, x := range valveReads {
				if (v.Key == x.found || v.Key == x.left) && v.Written != "" && v.Result != judging.NotMeasured {
					want[x.name]++
				}
			}
		}
		got := map[string]int{}
		for _, c := range blocksOf[page.ValveCut](w.overhaulPage(o)) {
			last := page.EndCap
			for _, r := range c.Readings {
				if readings++; r.Part < last {
					t.Errorf("%s: %s stands out of its place", o.Stem, r.Name)
				}
				last = r.Part
				for _, x := range valveReads {
					if x.name != r.Name {
						continue
					}
					found, left := w.Verdict(o, x.found), w.Verdict(o, x.left)
					out := found != nil && found.Result == judging.Beyond || left != nil && left.Result == judging.Beyond
					if out != r.Beyond {
						t.Errorf("%s: %s is beyond: %t, shown: %t", o.Stem, r.Name, out, r.Beyond)
					}
					if r.Found != "" && (!strings.HasPrefix(found.Shown(), r.Found) || left == nil && r.Limit != found.LimitText) ||
						r.Left != "" && (!strings.HasPrefix(left.Shown(), r.Left) || r.Limit != left.LimitText) {
						t.Errorf("%s: %+v", o.Stem, r)
					}
				}
				if r.Found != "" {
					got[r.Name]++
				}
				if r.Left != "" {
					got[r.Name]++
				}
				if r.Beyond {
					beyond++
				}
			}
		}
		for name, n := range want {
			if got[name] != n {
				t.Errorf("%s: %d readings of %s, %d are shown", o.Stem, n, name, got[name])
			}
		}
	}
	if readings < 1000 || beyond < 10 {
		t.Errorf("%d readings were looked at, %d of them beyond", readings, beyond)
	}
}
