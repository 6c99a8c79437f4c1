package checks

import (
	"bytes"
	"fmt"
	"io/fs"
	"maps"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	vessel "needlebook/example-vessel"
	"needlebook/logbook"
)

// honest is the example vessel as it is, to be changed.
func honest(t *testing.T) fstest.MapFS {
	t.Helper()
	book := fstest.MapFS{}
	err := fs.WalkDir(vessel.Files, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		src, err := fs.ReadFile(vessel.Files, name)
		book[name] = &fstest.MapFile{Data: src}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return book
}

// aNew lists what a change brought of one grade and above, by check and place.
func aNew(t *testing.T, before []Finding, book fstest.MapFS, least Grade, only []*Check) []Finding {
	t.Helper()
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	old := map[string]bool{}
	for _, f := range before {
		old[f.Check+f.Place.String()+f.Message] = true
	}
	var found []Finding
	for _, f := range Run(b, Options{Only: only}).Findings {
		if f.Grade >= least && !old[f.Check+f.Place.String()+f.Message] {
			found = append(found, f)
		}
	}
	return found
}

// TestNoFileGoesUnread: whatever becomes of a file's name, folder and ending, it is found once, with the place it belongs to; what a
// computer drops is not. What people, shares and editors name their copies is common practice, no source.
func TestNoFileGoesUnread(t *testing.T) {
	const (
		record = "overhauls/me1/c3/2024-06-11-h-119.md"
		stem   = "2024-06-11-h-119"
		belong = "move it to " + record
	)
	before := honest(t)
	b, err := logbook.Read(before)
	if err != nil {
		t.Fatal(err)
	}
	base := Run(b, Options{}).Findings
	move := func(from, to string) func(fstest.MapFS) {
		return func(book fstest.MapFS) {
			book[to] = book[from]
			delete(book, from)
		}
	}
	copied := func(from, to string, pairs ...string) func(fstest.MapFS) {
		return func(book fstest.MapFS) {
			book[to] = &fstest.MapFile{Data: []byte(strings.NewReplacer(pairs...).Replace(string(book[from].Data)))}
		}
	}
	write := func(name, text string) func(fstest.MapFS) {
		return func(book fstest.MapFS) { book[name] = &fstest.MapFile{Data: []byte(text)} }
	}
	cut := func(name string, keep int) func(fstest.MapFS) {
		return func(book fstest.MapFS) { book[name] = &fstest.MapFile{Data: book[name].Data[:keep]} }
	}
	i := 0
	for _, c := range []struct {
		name   string
		change func(fstest.MapFS)
		at     string // the file that is spoken of; empty where nothing may be said
		want   string // of the message and what to do
	}{
		{"at the top", move(record, stem+".md"), stem + ".md", belong + "$"},
		{"at the top, with another name", move(record, "valve cyl 3.md"), "valve cyl 3.md", belong + "$"},
		{"text file", move(record, "overhauls/me1/c3/"+stem+".txt"), "overhauls/me1/c3/" + stem + ".txt", belong + "$"},
		{"two endings", move(record, record+".txt"), record + ".txt", belong + "$"},
		{"ending in capitals", move(record, "overhauls/me1/c3/"+stem+".MD"), "overhauls/me1/c3/" + stem + ".MD", belong + "$"},
		{"long ending", move(record, "overhauls/me1/c3/"+stem+".markdown"), "overhauls/me1/c3/" + stem + ".markdown", belong + "$"},
		{"no ending", move(record, "overhauls/me1/c3/"+stem), "overhauls/me1/c3/" + stem, belong + "$"},
		{"word processor", move(record, "overhauls/me1/c3/"+stem+".docx"), "overhauls/me1/c3/" + stem + ".docx", "save it as plain text"},
		{"among the pictures", move(record, "photos/"+stem+".md"), "photos/" + stem + ".md", belong + "$"},
		{"among the parts", move(record, "parts/"+stem+".md"), "parts/" + stem + ".md", belong + "$"},
		{"beside the register", move(record, "signers/"+stem+".md"), "signers/" + stem + ".md", belong + "$"},
		{"in a folder of its own", move(record, "from the bench/"+stem+".md"), "from the bench/" + stem + ".md", belong + "$"},
		{"only the backup is left", move(record, record+".bak"), record + ".bak", belong + "$"},
		{"only the tilde is left", move(record, record+"~"), record + "~", belong + "$"},
		{"folder twice", move(record, "overhauls/overhauls/me1/c3/"+stem+".md"), "overhauls/overhauls/me1/c3/" + stem + ".md", belong + ", or"},
		{"cylinder twice", move(record, "overhauls/me1/c3/c3/"+stem+".md"), "overhauls/me1/c3/c3/" + stem + ".md", belong + ", or"},
		{"folder in capitals", move(record, "overhauls/ME1/C3/"+stem+".md"), "overhauls/ME1/C3/" + stem + ".md", "ME1/C3.*ME1-3.*" + belong},
		{"top folder in capitals", move(record, "Overhauls/me1/c3/"+stem+".md"), "Overhauls/me1/c3/" + stem + ".md", belong},
		{"folder without c", move(record, "overhauls/me1/3/"+stem+".md"), "overhauls/me1/3/" + stem + ".md", belong + ", or"},
		{"folder cyl3", move(record, "overhauls/me1/cyl3/"+stem+".md"), "overhauls/me1/cyl3/" + stem + ".md", belong + ", or"},
		{"no cylinder's folder", move(record, "overhauls/"+stem+".md"), "overhauls/" + stem + ".md", belong + ", or"},
		{"another cylinder's folder", move(record, "overhauls/me2/c3/"+stem+".md"), "overhauls/me2/c3/" + stem + ".md", "me2/c3 .*ME1-3.*" + belong},
		{"a cylinder that is not there", move(record, "overhauls/me1/c9/"+stem+".md"), "overhauls/me1/c9/" + stem + ".md", "me1/c9 .*ME1-3.*" + belong},
		{"builds in the spares rack", move(record, "overhauls/spares/"+stem+".md"), "overhauls/spares/" + stem + ".md", belong},
		{"part as text", move("parts/h-119.md", "parts/h-119.txt"), "parts/h-119.txt", "a part .*move it to parts/h-119.md"},
		{"part at the top", move("parts/h-119.md", "H-119.md"), "H-119.md", "a part .*move it to parts/h-119.md"},
		{"instrument among the parts", move("instruments/pg-02.md", "parts/pg-02.md"), "parts/pg-02.md", "an instrument .*move it to instruments/pg-02.md"},
		{"limits as text", move("limits/6qz31.md", "limits/6qz31.md.txt"), "limits/6qz31.md.txt", "move it to limits/6qz31.md"},
		{"hours as text", move("hours/me1.csv", "hours/me1.txt"), "hours/me1.txt", "move it to hours/me1.csv"},
		{"hours in capitals", move("hours/me1.csv", "hours/me1.CSV"), "hours/me1.CSV", "move it to hours/me1.csv"},
		{"hours at the top", move("hours/me1.csv", "me1.csv"), "me1.csv", "move it to hours/me1.csv"},
		{"hours twice nested", move("hours/me1.csv", "hours/hours/me1.csv"), "hours/hours/me1.csv", "move it to hours/me1.csv"},
		{"crew in a folder", move("crew.csv", "crew/crew.csv"), "crew/crew.csv", "move it to crew.csv"},

		{"copy", copied(record, "overhauls/me1/c3/"+stem+" (copy).md"), "overhauls/me1/c3/" + stem + " (copy).md", "copy of " + stem + ": every value is the same.*delete"},
		{"copy of", copied(record, "overhauls/me1/c3/Copy of "+stem+".md"), "overhauls/me1/c3/Copy of " + stem + ".md", "every value is the same"},
		{"Kopie", copied(record, "overhauls/me1/c3/"+stem+" - Kopie.md"), "overhauls/me1/c3/" + stem + " - Kopie.md", "every value is the same"},
		{"second download", copied(record, "overhauls/me1/c3/"+stem+"-1.md", "time: 7.6 s", "time: 9.1 s"), "overhauls/me1/c3/" + stem + "-1.md", "copy of " + stem + ": .*9.1 s, there 7.6 s.*carry over"},
		{"conflict of a share", copied(record, "overhauls/me1/c3/"+stem+" (conflicted copy 2024-06-12).md", "time: 7.6 s", "time: 9.1 s"), "overhauls/me1/c3/" + stem + " (conflicted copy 2024-06-12).md", "9.1 s, there 7.6 s"},
		{"copy in another cylinder", copied(record, "overhauls/me2/c3/"+stem+".md"), "overhauls/me2/c3/" + stem + ".md", "every value is the same"},
		{"copy under another day", copied(record, "overhauls/me1/c3/2024-06-12-h-119.md"), "overhauls/me1/c3/2024-06-12-h-119.md", "every value is the same"},
		{"copy at the top", copied(record, "copy.md"), "copy.md", "every value is the same"},
		{"copy as text", copied(record, "overhauls/me1/c3/"+stem+" copy.txt"), "overhauls/me1/c3/" + stem + " copy.txt", "every value is the same"},
		{"copy of a part", copied("parts/h-119.md", "parts/h-119 (copy).md", "2020-11-02", "2020-11-03"), "parts/h-119 (copy).md", "2020-11-03, there 2020-11-02"},
		{"copy of an instrument", copied("instruments/pg-02.md", "instruments/pg-02 (1).md"), "instruments/pg-02 (1).md", "every value is the same"},
		{"copy of the limits", copied("limits/6qz31.md", "limits/6qz31 - Copy.md"), "limits/6qz31 - Copy.md", "every value is the same"},
		{"copy of the hours", copied("hours/me1.csv", "hours/me1 (1).csv"), "hours/me1 (1).csv", "copy of me1: every value is the same"},
		{"copy of a deferral", copied("deferrals/d-07.md", "deferrals/d-07 (copy).md"), "deferrals/d-07 (copy).md", "every value is the same"},
		{"the whole book inside", func(book fstest.MapFS) {
			for name, f := range before {
				book["backup/"+name] = f
			}
		}, "backup/book.md", "keep backup outside the book"},

		{"empty", cut(record, 0), record, "front|dashes|---|nothing was read"},
		{"cut in the front matter", cut(record, 700), record, "---"},
		{"only NULs", write(record, strings.Repeat("\x00", 900)), record, "text"},

		{"thumbnails", write("overhauls/me1/c3/Thumbs.db", "\x00\x01"), "", ""},
		{"folder settings", write("overhauls/desktop.ini", "[.ShellClassInfo]\n"), "", ""},
		{"finder", write("overhauls/.DS_Store", "\x00"), "", ""},
		{"editor's settings", write(".vscode/settings.json", "{}"), "", ""},
		{"notes program", write(".obsidian/workspace.json", "{}"), "", ""},
		{"its bin", copied(record, ".trash/"+stem+".md"), "", ""},
		{"word processor's lock", write("overhauls/me1/c3/~$24-06-11-h-119.docx", "\x05"), "", ""},
		{"backup with the record there", copied(record, record+".bak"), "", ""},
		{"tilde with the record there", copied(record, record+"~", "time: 7.6 s", "time: 9.1 s"), "", ""},
		{"swap file", write("overhauls/me1/c3/."+stem+".md.swp", "b0VIM 9.0\x00\x00"), "", ""},
		{"archive's folder", write("__MACOSX/overhauls/._"+stem+".md", "\x00\x05\x16\x07"), "", ""},
		{"a readme", write("README.md", "# Ostrevane\n\nWhere: the workshop.\n"), "", ""},
	} {
		i++
		t.Run(c.name, func(t *testing.T) {
			for j, form := range []struct {
				name string
				of   func([]byte) []byte
			}{
				{"as it is", func(src []byte) []byte { return src }},
				{"CRLF", func(src []byte) []byte { return bytes.ReplaceAll(src, []byte("\n"), []byte("\r\n")) }},
				{"BOM", func(src []byte) []byte { return append([]byte("\xef\xbb\xbf"), src...) }},
			} {
				if j > 0 && (j != 1+i%2 || c.at == "" || strings.HasSuffix(c.at, ".docx")) {
					continue
				}
				book := maps.Clone(before)
				c.change(book)
				if f := book[c.at]; f != nil {
					book[c.at] = &fstest.MapFile{Data: form.of(f.Data)}
				}
				heard := false
				only := []*Check{fileNotRead, recordName, frontMatter, textEncoding, nameUnknown}
				if form.name == "as it is" && strings.Contains(c.name, "cop") {
					only = nil // nothing else may follow from a copy
				}
				said := aNew(t, base, book, Advice, only)
				for _, f := range said {
					if f.Grade < Action {
						continue
					}
					words := f.Message + "; " + f.Next
					switch {
					case f.Place.Path == c.at && regexp.MustCompile(c.want).MatchString(words):
						heard = true
					case c.at == "" || strings.Contains(c.name, "cop"):
						t.Errorf("%s: also found: %s: %s [%s]", form.name, f.Place, words, f.Check)
					}
					if length(f.Message) > longest && f.Place.Path == c.at {
						t.Errorf("%s: %d characters: %s", form.name, length(f.Message), f.Message)
					}
				}
				if !heard && c.at != "" {
					t.Errorf("%s: nothing says %q of %s; said is:\n%s", form.name, c.want, c.at, lines(said))
				}
			}
		})
	}
}

func lines(fs []Finding) string {
	var b strings.Builder
	for _, f := range fs {
		fmt.Fprintf(&b, "%s: %s: %s; %s [%s]\n", f.Place, f.Grade, f.Message, f.Next, f.Check)
	}
	return b.String()
}
