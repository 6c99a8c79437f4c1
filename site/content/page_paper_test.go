package content

import (
	"slices"
	"strconv"
	"testing"

	"needlebook/checks/paper"
)

// TestPartedPaper keeps every row of a paper, in order, and no page with more than it may hold; a table that fits stays whole. No outside
// source.
func TestPartedPaper(t *testing.T) {
	table := func(name string, rows int) paper.Table {
		one := paper.Table{Name: name, Columns: []string{"n"}, Empty: "none"}
		for i := range rows {
			one.Add(paper.Text(name + strconv.Itoa(i)))
		}
		return one
	}
	in := paper.Paper{Tables: []paper.Table{table("a", 3), table("b", 0), table("c", 300), table("d", 5)}}
	var want, got []string
	for _, x := range in.Tables {
		for _, r := range x.Rows {
			want = append(want, r[0].Text)
		}
	}
	names := ""
	for _, page := range partedPaper(in) {
		n := 0
		for _, x := range page {
			names += x.Name
			for _, r := range x.Rows {
				got = append(got, r[0].Text)
				n++
			}
		}
		names += "|"
		if n > rowsOnPage {
			t.Errorf("%d rows on one page", n)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("%d rows of %d, or in another order", len(got), len(want))
	}
	if names != "abc|c|cd|" {
		t.Errorf("the tables stand as %s", names)
	}
}
