package main

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	vessel "needlebook/example-vessel"
)

// A thin is a book that lacks something, as books do in their first days and on bad ones.
type thin struct {
	name  string
	files map[string]string
}

const oneEngine = "---\nvessel: Ostrevane\nengines:\n  - {id: ME1, type: 6QZ31, cylinders: [1, 2, 3], numbered_from: free end, limits: 6qz31, interval: 2000 h}\n---\n"

// smallShip is the example vessel with two records of each kind at most, one engine, and rows of every table.
func smallShip(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{"book.md": oneEngine}
	for _, name := range []string{"limits/6qz31.md", "instruments/pg-01.md", "instruments/b-1.md", "parts/h-109.md", "deferrals/d-07.md", "decisions/dr-01.md", "handovers/2023-07-20-second-engineer.md",
		"overhauls/me2/c2/2023-06-25-h-102.md", "overhauls/me2/c3/2024-04-02-h-115.md"} {
		text, err := fs.ReadFile(vessel.Files, name)
		if err != nil {
			t.Fatal(err)
		}
		files[strings.Replace(name, "me2", "me1", 1)] = strings.ReplaceAll(string(text), "engine: ME2", "engine: ME1")
	}
	for name, rows := range map[string][2]int{"crew.csv": {1, 5}, "hours/me1.csv": {100, 130}, "running/me1.csv": {1, 8}, "fuel/bunkers.csv": {8, 10}, "stores/stock.csv": {20, 40}} {
		text, err := fs.ReadFile(vessel.Files, name)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.SplitAfter(string(text), "\n")
		files[name] = lines[0] + strings.Join(lines[min(rows[0], len(lines)-2):min(rows[1], len(lines))], "")
	}
	return files
}

// thinBooks are books with one thing alone, without one file, with one file emptied, and with a record that lacks a block, a line or
// every step from one on.
func thinBooks(t *testing.T) (all []thin) {
	t.Helper()
	whole := smallShip(t)
	add := func(name string, files map[string]string) { all = append(all, thin{name, files}) }
	with := func(name, text string) map[string]string {
		files := map[string]string{name: text}
		for n, s := range whole {
			if n != name {
				files[n] = s
			}
		}
		return files
	}
	add("the whole", whole)
	add("no engine", map[string]string{"book.md": "---\nvessel: Ostrevane\n---\n"})
	add("an empty page", map[string]string{"book.md": ""})
	add("empty front matter", map[string]string{"book.md": "---\n---\n"})
	add("an engine and nothing else", map[string]string{"book.md": oneEngine})
	add("an engine without cylinders", map[string]string{"book.md": "---\nvessel: Ostrevane\nengines:\n  - {id: ME1}\n---\n"})
	add("an engine without a name", map[string]string{"book.md": "---\nengines:\n  - {cylinders: [1]}\n---\n"})
	add("a starting state without a day", map[string]string{"book.md": "---\nvessel: Ostrevane\nengines:\n  - {id: ME1, cylinders: [1]}\nopening:\n  fitted:\n    - {engine: ME1, cylinder: 1, holder: \"H-1\"}\n---\n"})
	add("limits without a revision", with("limits/6qz31.md", "---\ntype: 6QZ31\n---\n"))
	add("a revision without a limit", with("limits/6qz31.md", "---\ntype: 6QZ31\nrevisions:\n  - {from: 2021-01-01}\n---\n"))
	for name, text := range whole {
		if name == "book.md" {
			continue
		}
		add("only "+name, map[string]string{"book.md": oneEngine, name: text})
		without := with(name, "")
		delete(without, name)
		add("without "+name, without)
		if path.Ext(name) == ".csv" {
			head, rest, _ := strings.Cut(text, "\n")
			add("only the head of "+name, with(name, head+"\n"))
			row, _, _ := strings.Cut(rest, "\n")
			add("one empty row in "+name, with(name, head+"\n"+strings.Repeat(",", strings.Count(head, ","))+"\n"))
			for i := range strings.Split(head, ",") {
				cells := strings.Split(row, ",")
				if i < len(cells) {
					cells[i] = ""
				}
				add("one row in "+name+" without "+strings.Split(head, ",")[i], with(name, head+"\n"+strings.Join(cells, ",")+"\n"))
			}
			continue
		}
		add("nothing in "+name, with(name, ""))
		add("empty front matter in "+name, with(name, "---\n---\n"))
		blocks := blocksOf(text)
		for i, b := range blocks {
			key, _, _ := strings.Cut(b, ":")
			less := slices.Delete(slices.Clone(blocks), i, i+1)
			add("without "+key+" in "+name, with(name, "---\n"+strings.Join(less, "")+"---\n"))
			add("an empty "+key+" in "+name, with(name, "---\n"+strings.Join(slices.Insert(slices.Clone(less), i, key+":\n"), "")+"---\n"))
			add("a blank of "+key+" in "+name, with(name, "---\n"+strings.Join(slices.Insert(slices.Clone(less), i, key+": \"\"\n"), "")+"---\n"))
			if strings.HasPrefix(name, "overhauls/") {
				add("nothing after "+key+" in "+name, with(name, "---\n"+strings.Join(blocks[:i+1], "")+"---\n"))
				add("only "+key+" in "+name, with(name, "---\n"+b+"---\n"))
			}
		}
		if strings.HasPrefix(name, "overhauls/") {
			for _, m := range inner.FindAllStringIndex(text, -1) { // a value within a block
				add("without "+text[m[0]:m[1]]+" in "+name, with(name, text[:m[0]]+text[m[1]:]))
			}
		}
	}
	slices.SortStableFunc(all[10:], func(a, b thin) int { return strings.Compare(a.name, b.name) })
	return all
}

// inner is one value of a block in braces, with the comma behind it.
var inner = regexp.MustCompile(`(?m)(\b(date|cylinder|engine|counter|time|from|to|wire|value|with|torque|state|open|load|nozzle|found|left): [^,{}\[\]]+, )`)

// blocksOf are the blocks of a front matter, each with its key at the margin.
func blocksOf(text string) (blocks []string) {
	text = strings.TrimPrefix(text, "---\n")
	text, _, _ = strings.Cut(text, "\n---\n")
	for line := range strings.Lines(text + "\n") {
		if strings.HasPrefix(line, " ") && len(blocks) > 0 {
			blocks[len(blocks)-1] += line
		} else {
			blocks = append(blocks, line)
		}
	}
	return blocks
}

func (b thin) write(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range b.files {
		write(t, filepath.Join(dir, filepath.FromSlash(name)), text)
	}
	return dir
}

// verbsOver are the verbs that read a book, as they are typed; their words go to a terminal, or to a program.
var verbsOver = [][]string{
	{"check"}, {"check", "--format", "json"}, {"check", "--propose"}, {"due"}, {"due", "--all"}, {"stores"}, {"interval", "--parts", "--plots"}, {"recurring"}, {"handover"}, {"nox"}, {"survey"},
	{"judge", "ME1-2", "--leak-down", "7.4 s", "--oil", "31 °C"}, {"judge", "ME1", "--opening", "318 bar"}, {"judge", "6QZ31", "--seat", "damp"},
	{"card", "ME1"}, {"card", "ME1-2", "--spray"}, {"enter", "ME1", "--print"}, {"enter", "H-115", "--print"}, {"enter", "H-102", "--step", "left", "--print"},
	{"show", "ME1-2"}, {"show", "ME1"}, {"show", "H-102"}, {"show", "H-115"}, {"show", "N-2046"}, {"show", "PG-01"}, {"show", "2023-06-25-h-102"}, {"show", "2024-04-02-h-115"},
	{"export", "overhauls"}, {"export", "verdicts"}, {"export", "lives"}, {"fix", "--dry-run"},
}

// A blemish is what no person should have to read: the mark of a value that was not there.
var blemish = regexp.MustCompile(`\b(1969|1970|0001)-\d\d|\b(1969|1970)\b|NaN|[+-]Inf\b|%!|\( ?\)|<nil>| ,|/\.md|[^\s_]  +\S|(^|[\s(;])1 (sides|records|overhauls|days|hours|holes|valves|nozzles|holders|rounds|cylinders|pages|engines|rows|files|lines|steps|parts|findings|readings|years|bars|places|others|hands|commits|values|positions|movements|kits|seals|gauges|instruments|limits|laps|turns|weeks|months|people|were|are)\b`)

// blemishes are those in a text that is not laid out in columns.
func blemishes(text string) []string { return blemish.FindAllString(text, -1) }

// inLine are those in one line of a terminal, where doubled blanks part columns.
func inLine(line string) []string {
	return slices.DeleteFunc(blemishes(line), func(s string) bool { return strings.TrimSpace(s) != "" && strings.Contains(s, "  ") })
}

// tags part the texts of a page.
var tags = regexp.MustCompile(`(?s)<(script|style|pre|code)[^>]*>.*?</(script|style|pre|code)>|<[^>]*>`)

// No verb falls over a book that lacks something, and none shows the mark of what is not there. A sample; all with NEEDLEBOOK_LONG=1.
func TestThinBooks(t *testing.T) {
	every := 23
	if os.Getenv("NEEDLEBOOK_LONG") == "1" {
		every = 1
	}
	books := thinBooks(t)
	for i, b := range books {
		if i >= 10 && i%every != 0 {
			continue
		}
		t.Run(b.name, func(t *testing.T) { b.look(t) })
	}
}

// look runs every verb over a book.
func (b thin) look(t *testing.T) {
	dir := b.write(t)
	for _, verb := range verbsOver {
		var out, errs bytes.Buffer
		status := run(append(slices.Clone(verb), "--book", dir), strings.NewReader(""), &out, &errs)
		if status == exitFailed {
			t.Errorf("%v: status %d: %s", verb, status, &errs)
		}
		said := out.String() + errs.String()
		if strings.HasPrefix(said, "{") {
			for _, text := range textsOf(out.Bytes()) {
				if found := blemishes(text); len(found) > 0 {
					t.Errorf("%v: %q in: %s", verb, found, text)
				}
			}
			continue
		}
		for line := range strings.Lines(said) {
			if found := inLine(line); len(found) > 0 && verb[0] != "export" && verb[0] != "enter" {
				t.Errorf("%v: %q in: %s", verb, found, line)
			}
		}
	}
	b.pages(t, dir)
}

func (b thin) pages(t *testing.T, dir string) {
	var out, errs bytes.Buffer
	pages := t.TempDir()
	if status := run([]string{"pages", "--book", dir, "-o", pages}, strings.NewReader(""), &out, &errs); status != exitClean {
		t.Errorf("pages: status %d: %s", status, &errs)
	}
	names, err := filepath.Glob(filepath.Join(pages, "*.html"))
	if err != nil || len(names) == 0 {
		t.Errorf("%d pages, %v", len(names), err)
	}
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if filepath.Base(name)[:5] == "file-" { // as it was written
			continue
		}
		for _, text := range tags.Split(string(src), -1) {
			if found := blemishes(strings.ReplaceAll(text, "\n", " ")); len(found) > 0 {
				t.Errorf("%s: %q in: %s", filepath.Base(name), found, strings.TrimSpace(text))
			}
		}
	}
}

// textsOf are all texts in a JSON value.
func textsOf(src []byte) (all []string) {
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case string:
			all = append(all, v)
		case []any:
			for _, x := range v {
				walk(x)
			}
		case map[string]any:
			for _, x := range v {
				walk(x)
			}
		}
	}
	var v any
	if json.Unmarshal(src, &v) == nil {
		walk(v)
	}
	return all
}
