package site

import (
	"bytes"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/site/address"
	"needlebook/site/content"
	"needlebook/site/fleet"
	"needlebook/site/look"
)

// TestRecordsOfOneName keeps apart what is found on two records whose names fall together, as those of holders told apart by a slash or a
// capital do. No outside source.
func TestRecordsOfOneName(t *testing.T) {
	record := func(cylinder, holder, reason string) string {
		return "---\nholder: \"" + holder + "\"\nremoved: {engine: ME1, cylinder: " + cylinder + ", date: 2020-07-05, counter: 2850 h, reason: \"" + reason + "\"}\n---\n"
	}
	pages := built(t, bookOf(t, baseFiles(t, map[string]string{
		"overhauls/me1/c2/2020-07-05-k-1.md": record("2", "K/1", "eaten by rats"),
		"overhauls/me1/c3/2020-07-05-k-1.md": record("3", "k 1", "struck by hail"),
	}), nil))
	for _, reason := range []string{"eaten by rats", "struck by hail"} {
		on := 0
		for name, text := range pages {
			if strings.HasPrefix(name, "overhaul-2020-07-05-k-1") && strings.Contains(string(text), `removed.reason "`+reason) {
				on++
			}
		}
		if on != 1 {
			t.Errorf("the finding on %q stands on the pages of %d records, want one", reason, on)
		}
	}
}

// TestNothingKnownYet looks at the first page of a book without hours and valves: what is not known is said, and nothing is due about a dash.
// No outside source.
func TestNothingKnownYet(t *testing.T) {
	in := bookOf(t, fstest.MapFS{"book.md": {Data: []byte("---\nvessel: New\nengines:\n  - {id: ME1, type: 4T20, cylinders: [1, 2], limits: 4t20}\n---\n")},
		"limits/4t20.md": {Data: []byte("---\ntype: 4T20\nrevisions: [{from: 2020-01-01, source: manual}]\n---\n")}}, nil)
	pages := built(t, in)
	shows(t, pages, "index.html", "No counter reading in the book yet", "Not known for 2 cylinders", "The book holds no overhaul")
	text := words(t, pages["index.html"])
	for _, odd := range []string{"about –", "– left", "on –", "next valve", "none fitted", "· ·"} {
		if strings.Contains(text, odd) {
			t.Errorf("the first page of a new book says %q", odd)
		}
	}
	if s := string(pages["summary.json"]); !strings.Contains(s, `"next_due": null`) {
		t.Errorf("the summary of a new book names a valve that is due:\n%s", s)
	}
}

// TestFileWithoutMeasure bounds the pages of a file that nobody can have written: a text that is larger than a record is not shown, a table
// that is longer than any is cut, and both say so. No outside source.
func TestFileWithoutMeasure(t *testing.T) {
	pages := built(t, bookOf(t, baseFiles(t, map[string]string{
		"instruments/pg-09.md": strings.Repeat("---\n", 1<<18),
		"stores/other.csv":     "date,part,change\n" + strings.Repeat("\n", address.MostFileLines),
	}), nil))
	for kind, most := range map[string]int{"instruments-pg-09": 1, "stores-other": address.MostFileLines / address.LinesOnPage} {
		on, last := 0, ""
		for name := range pages {
			if strings.HasPrefix(name, "file-"+kind) {
				if on++; len(name) > len(last) || len(name) == len(last) && name > last {
					last = name
				}
			}
		}
		if on != most {
			t.Errorf("%s has %d pages, want %d", kind, on, most)
		}
		if kind == "stores-other" {
			shows(t, pages, last, "The file is longer")
		} else {
			shows(t, pages, last, "too large to be shown")
		}
	}
}

// frontOf is the front page of several ships.
func frontOf(t *testing.T, ships []fleet.Ship) []byte {
	var out bytes.Buffer
	frame := look.Frame{Name: fleet.Title, First: address.Vessel, Foot: content.FleetFoot()}
	must(t, look.New(frame, nil).Write(&out, fleet.Page(ships)))
	return out.Bytes()
}

// TestShipsOfOneName joins two ships of one name and one whose book is still empty: each line says which folder it is about, and a book with
// nothing to look at is not among the quiet ones. No outside source.
func TestShipsOfOneName(t *testing.T) {
	summary := func(vessel, day string, overhauls int) *fleet.Summary {
		return &fleet.Summary{Format: fleet.Format, Vessel: vessel, Day: day, Overhauls: overhauls, Types: []fleet.Type{{Type: "4T20"}}}
	}
	page := frontOf(t, []fleet.Ship{{Name: "east", Folder: "east", Summary: summary("Marigold", "2024-05-01", 3)}, {Name: "west", Folder: "west", Summary: summary("Marigold", "2024-06-01", 3)},
		{Name: "new", Folder: "new", Summary: summary("Novice", "–", 0)}})
	text := strings.Join(strings.Fields(words(t, page)), " ")
	for _, want := range []string{"the newest book of 2024-06-01", "2 quiet", "no overhaul in the book yet", "Novice, Marigold (east), Marigold (west)"} {
		if !strings.Contains(text, want) {
			t.Errorf("the front page does not say %q:\n%s", want, text)
		}
	}
	if n := strings.Count(text, "Marigold east"); n != 2 {
		t.Errorf("the folder stands beside a shared name %d times, want in both tables", n)
	}
}
