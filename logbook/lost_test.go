package logbook_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// What the folder has lost of the last commit is read as it was committed. No outside source: our own rule.
func TestLost(t *testing.T) {
	const book = "---\nname: Lost\nengines: [{id: ME1, make: x, type: y, cylinders: 6, limits: l}]\n---\n"
	const limits = "---\nrevisions:\n  - from: 2020-01-01\n    source: s\n---\nremarks\n"
	hours := "date,counter_h\n" + strings.Repeat("2020-01-01,100\n", 40)
	other := "date,counter_h\n2020-02-02,7\n"
	committed := map[string]string{"book.md": book, "limits/l.md": limits, "hours/me1.csv": hours, "hours/me2.csv": other,
		"parts/n-1.md": "---\nnozzle: N-1\nmarking: a\n---\n", "signers/allowed_signers": "a b c\n"}
	for _, c := range []struct {
		name    string
		changed map[string]string // a file with the text "-" is missing
		want    string
	}{
		{"nothing is changed", nil, ""},
		{"a table is empty", map[string]string{"hours/me1.csv": ""}, "hours/me1.csv: empty, 41 lines"},
		{"blanks alone are empty", map[string]string{"hours/me1.csv": " \n\n"}, "hours/me1.csv: empty, 41 lines"},
		{"a table is missing", map[string]string{"hours/me1.csv": "-"}, "hours/me1.csv: missing, 41 lines"},
		{"the last half of a table", map[string]string{"hours/me1.csv": hours[:len(hours)/2]}, "hours/me1.csv: cut, 41 lines"},
		{"its last line was taken out", map[string]string{"hours/me1.csv": hours[:len(hours)-15]}, ""},
		{"a row more", map[string]string{"hours/me1.csv": hours + "2020-03-01,800\n"}, ""},
		{"another table saved over it", map[string]string{"hours/me1.csv": other},
			"hours/me1.csv: the text of hours/me2.csv, 41 lines"},
		{"limits cut among their keys", map[string]string{"limits/l.md": limits[:30]}, "limits/l.md: cut, 6 lines"},
		{"their remarks taken out", map[string]string{"limits/l.md": limits[:len(limits)-8]}, ""},
		{"limits under another name", map[string]string{"limits/l.md": "-", "limits/m.md": limits},
			"limits/l.md: missing, 6 lines"},
		{"the book empty", map[string]string{"book.md": ""}, "book.md: empty, 4 lines"},
		{"a part under another name", map[string]string{"parts/n-1.md": "-",
			"parts/n-2.md": "---\nnozzle: N-2\nmarking: a\n---\n"}, ""},
		{"a part gone", map[string]string{"parts/n-1.md": "-"}, "parts/n-1.md: missing, 4 lines"},
		{"the register emptied", map[string]string{"signers/allowed_signers": ""}, "signers/allowed_signers: empty, 1 line"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tip, folder := fstest.MapFS{}, fstest.MapFS{}
			for name, text := range committed {
				tip[name] = &fstest.MapFile{Data: []byte(text)}
				folder[name] = tip[name]
			}
			var changes []logbook.WorkChange
			for name, text := range c.changed {
				what := "changed"
				if tip[name] == nil {
					what = "not committed"
				}
				folder[name] = &fstest.MapFile{Data: []byte(text)}
				if text == "-" {
					what = "missing"
					delete(folder, name)
				}
				changes = append(changes, logbook.WorkChange{Path: name, What: what})
			}
			r := logbook.NewReader(folder)
			if _, err := r.Read(); err != nil {
				t.Fatal(err)
			}
			b, names, err := r.Lost(changes, tip)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, p := range b.Problems {
				if p.Slip == logbook.SlipLost {
					got = append(got, p.Place.Path+": "+p.Found+", "+p.Expected)
				}
			}
			if strings.Join(got, "\n") != c.want || len(names) != len(got) {
				t.Errorf("lost %v with %v, want %q", got, names, c.want)
			}
			if n := len(b.Hours["ME1"]); c.want != "" && n != 40 {
				t.Errorf("%d readings are read, 40 were committed", n)
			}
		})
	}
}
