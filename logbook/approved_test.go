package logbook

import (
	"testing"
	"testing/fstest"
)

// A deferral holds when whoever approved it signed its terms as they stand; of one who signs nothing in the book it is
// taken as written. Outside source: none.
func TestUnapproved(t *testing.T) {
	read := func(hours string) *Deferral {
		b, err := Read(fstest.MapFS{"book.md": {Data: []byte("---\nname: Example\n---\n")}, "deferrals/d-1.md": {Data: []byte(
			"---\nid: D-1\nlimit: effective_lift\nfrom: 2023-07-01\n" + hours + "approved: {by: S. Shore, date: 2023-07-01}\n---\n")}})
		if err != nil || len(b.Deferrals) != 1 {
			t.Fatal(err, b.Deferrals)
		}
		return b.Deferrals[0]
	}
	commits := []Commit{{Person: "c.one", State: Signed}, {Person: "s.shore", State: Signed}, {Person: "c.one", State: Signed},
		{Person: "s.shore", State: Signed}, {Person: "c.one", State: Signed}}
	versions := func(of ...int) (all []Version) {
		for _, c := range of {
			all = append(all, Version{Commit: c, State: Signed})
		}
		return all
	}
	values := func(hours int) map[string]Setting {
		return map[string]Setting{"limit": {Commit: 0, Written: "effective_lift"}, "from": {Commit: 0, Written: "2023-07-01"},
			"hours": {Commit: hours, Written: "500 h"}, "approved.by": {Commit: 0, Written: "S. Shore"}}
	}
	const hours = "hours: 500 h\n"
	for name, x := range map[string]struct {
		trail *Trail
		hours string
		want  string
	}{
		"no history":              {&Trail{}, hours, ""},
		"signed by who wrote it":  {trailOf(commits, versions(0), nil, nil), hours, "is not signed by S. Shore"},
		"signed by who approved":  {trailOf(commits, versions(0, 1), values(0), nil), hours, ""},
		"written by who approved": {trailOf(commits, versions(1), nil, nil), hours, ""},
		"changed afterwards":      {trailOf(commits, versions(0, 1, 2), values(2), nil), hours, "was changed after S. Shore signed it"},
		"signed again":            {trailOf(commits, versions(0, 1, 2, 3), values(2), nil), hours, ""},
		"closed by the chief":     {trailOf(commits, versions(0, 1, 4), values(0), nil), hours, ""},
		"changed in the folder": {trailOf(commits, versions(0, 1), values(0), nil), "hours: 1500 h\n",
			"was changed after S. Shore signed it"},
		"its hours taken out": {trailOf(commits, versions(0, 1, 2), values(0), map[string]Setting{"hours": {Commit: 2}}), "",
			"was changed after S. Shore signed it"},
		"never committed":               {&Trail{UnderGit: true, Commits: commits}, hours, "is not signed by S. Shore"},
		"approved by one without a key": {trailOf(commits[:1], versions(0), nil, nil), hours, ""},
	} {
		if is := x.trail.Unapproved(read(x.hours)); is != x.want {
			t.Errorf("%s: %q, want %q", name, is, x.want)
		}
		signsElsewhere := name == "approved by one without a key"
		waits := x.trail.Records != nil && (x.want != "" || signsElsewhere)
		if is := x.trail.ToConfirm(read(x.hours), "s.shore"); is != waits {
			t.Errorf("%s: waits for its approver's signature: %t", name, is)
		}
		if x.trail.ToConfirm(read(x.hours), "c.one") {
			t.Errorf("%s: waits for the signature of one who did not approve it", name)
		}
	}
}

func trailOf(commits []Commit, versions []Version, values, gone map[string]Setting) *Trail {
	return &Trail{UnderGit: true, Commits: commits, Records: map[string]*RecordTrail{"deferrals/d-1.md": {
		Path: "deferrals/d-1.md", Versions: versions, Current: len(versions) - 1, Values: values, Gone: gone}}}
}
