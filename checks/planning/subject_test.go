package planning_test

import (
	"os"
	"strings"
	"testing"

	"needlebook/checks"
	"needlebook/checks/planning"
	"needlebook/logbook"
)

// The handover names with each cylinder what is open about it and the valve in it, and nothing of a record or of a valve that has moved on;
// suspect is only what is on the engines or ready. On the example vessel, whose book is without its history here. No outside source.
func TestHandoverKeepsToItsSubjects(t *testing.T) {
	b, err := logbook.Read(os.DirFS("../../example-vessel"))
	if err != nil {
		t.Fatal(err)
	}
	r := checks.Run(b, checks.Options{})
	here := func(f *checks.Finding, at string) bool {
		where := r.Where(f)
		return strings.HasSuffix(where, ", in "+at) || where == "pocket of "+at ||
			where == at && f.Subject.Kind == checks.OfPosition
	}
	p := planning.New(b, r, nil).Handover()
	named := 0
	for _, row := range p.Table("fitted").Rows {
		at, got := row[0].Text, row[len(row)-1].Text
		want := "–"
		for _, f := range r.Open() { // the gravest first
			if f.Grade >= checks.Advice && here(&f, at) {
				want = f.Grade.String() + ": " + strings.ReplaceAll(f.Check, "-", " ")
				break
			}
		}
		if got != want {
			t.Errorf("%s: %q, want %q", at, got, want)
		}
		if want != "–" {
			named++
		}
	}
	if named == 0 {
		t.Error("nothing is open on any cylinder")
	}
	for _, row := range p.Table("suspect").Rows {
		if strings.HasPrefix(row[1].Text, "named ") {
			continue // by the last engineer
		}
		found := false
		for _, f := range r.Open() {
			in := r.GroupOf(&f)
			paper := row[0].Text == "its record" && f.Subject.Kind == checks.OfRecord && row[1].Text == f.About.Holder
			found = found || f.Grade >= checks.Action && (in == checks.OnEngines || in == checks.ReadySpares || paper) &&
				row[2].Text == f.Grade.String()+": "+f.Message
		}
		if !found {
			t.Errorf("%v is neither on the engines nor ready, and not said to be about a record", row)
		}
	}
}
