package main

import (
	"go/ast"
	"go/parser"
	"go/scanner"
	"go/token"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

// The map of packages: what each may import of this module, and why. Imports run one way, cmd → site → checks → logbook →
// measure. When the map should change, change the table in the same commit.
var packageMap = []struct {
	folder string
	may    []string
	why    string
}{
	{"cmd/needlebook", []string{"cmd/needlebook/...", "site", "site/fleet", "checks/...", "logbook/...", "example-vessel"}, "puts the parts together"},
	{"cmd/needlebook/lsp", []string{"cmd/needlebook/watch", "checks", "checks/judging", "logbook", "logbook/budget", "logbook/draft", "logbook/edit", "logbook/fault", "logbook/measure", "logbook/tree", "logbook/keys"}, "an editor's questions; writes no file, reads no history"},
	{"cmd/needlebook/watch", []string{"logbook", "logbook/budget", "logbook/fault"}, "what changed in a folder; reads no record"},
	{"site", []string{"site/address", "site/content", "site/facts", "site/fleet", "site/look", "site/manual", "site/page", "checks", "logbook", "logbook/budget", "logbook/fault", "logbook/hypertext"}, "puts facts, content and look together; keeps the folder of pages"},
	{"site/facts", []string{"checks/...", "logbook", "logbook/fault", "logbook/keys"}, "what is known; knows no page, no address and no HTML"},
	{"site/page", []string{"logbook"}, "what a page says, as a value; knows no book and no HTML"},
	{"site/address", []string{"site/facts", "site/page", "checks/...", "logbook", "logbook/budget"}, "the names of pages, and where things stand on them"},
	{"site/content", []string{"site/address", "site/facts", "site/fleet", "site/manual", "site/page", "checks/...", "logbook", "logbook/benchlog", "logbook/measure", "logbook/words", "logbook/budget", "logbook/keys"}, "fills pages from facts; shows verdicts and makes none"},
	{"site/fleet", []string{"site/address", "site/facts", "site/page", "logbook", "logbook/budget"}, "several ships on one page, from their summaries alone"},
	{"site/look", []string{"site/page", "logbook", "logbook/hypertext"}, "HTML, SVG and style of pages; knows no facts"},
	{"site/manual", nil, "the manual's text alone"},
	{"checks", []string{"checks/judging", "checks/stores", "checks/recurring", "checks/deciding", "logbook", "logbook/benchlog", "logbook/measure", "logbook/fault", "logbook/budget", "logbook/keys"}, "judges plain facts; reads no file and knows no git"},
	{"checks/judging", []string{"checks/uncertainty", "checks/physics", "logbook", "logbook/measure", "logbook/fault", "logbook/keys"}, "verdicts"},
	{"checks/recurring", []string{"checks/judging", "logbook", "logbook/measure", "logbook/keys"}, "what several records show together"},
	{"checks/implied", []string{"checks/judging", "checks/physics", "logbook", "logbook/measure", "logbook/keys"}, "what figures imply; judges nothing"},
	{"checks/deciding", []string{"checks/judging", "checks/physics", "logbook", "logbook/measure", "logbook/keys"}, "proposals"},
	{"checks/stores", []string{"logbook"}, "what the stores hold and what will be needed"},
	{"checks/paper", []string{"logbook", "logbook/export"}, "the shape of an answer: tables and notes"},
	{"checks/evidence", []string{"checks/judging", "checks/recurring", "checks/drift", "checks/survival", "checks/paper", "logbook", "logbook/measure", "logbook/keys"}, "what the lives of valves prove"},
	{"checks/planning", []string{"checks", "checks/stores", "checks/judging", "checks/recurring", "checks/paper", "logbook", "logbook/measure", "logbook/card", "logbook/keys"}, "what is due, needed and to be told"},
	{"checks/physics", nil, "formulas alone"},
	{"checks/uncertainty", nil, "uncertainty alone"},
	{"checks/drift", nil, "regression alone"},
	{"checks/survival", nil, "ages alone"},
	{"checks/internal/battery", []string{"checks/recurring"}, "ships from physics and habit, for tests only; knows no check"},
	{"checks/internal/referee", nil, "reference programs, for tests only"},
	{"logbook", []string{"logbook/benchlog", "logbook/budget", "logbook/language", "logbook/measure", "logbook/refusal", "logbook/tree", "logbook/fault"}, "records; knows no verdicts, no git, no HTML"},
	{"logbook/fault", nil, "a mistake of ours, caught and named; the one place that recovers and starts goroutines"},
	{"logbook/budget", nil, "the bounds of a walk through folders; opens files so that nobody waits"},
	{"logbook/measure", nil, "quantities alone"},
	{"logbook/language", nil, "labels in the reader's language; knows no records"},
	{"logbook/words", nil, "the glossary; knows no records"},
	{"logbook/keys", nil, "the keys that code asks for, by name"},
	{"logbook/tree", nil, "the text of a record as a tree; knows no keys"},
	{"logbook/schema", []string{"logbook", "logbook/measure"}, "the one schema in the standard's words"},
	{"logbook/edit", []string{"logbook", "logbook/measure", "logbook/tree", "logbook/budget"}, "bytes of the book's files; knows no git"},
	{"logbook/draft", []string{"logbook", "logbook/measure", "logbook/keys"}, "what the next record holds, each blank in the unit of its limit; judges nothing, writes no file"},
	{"logbook/card", []string{"logbook", "logbook/hypertext", "logbook/draft", "logbook/keys", "logbook/language"}, "the bench card and the report of a round, on A4; judges nothing"},
	{"logbook/hypertext", []string{"logbook"}, "HTML as a value: markup from the source, text from records"},
	{"logbook/export", []string{"logbook", "logbook/measure"}, "tables for other programs; judges nothing"},
	{"logbook/founding", []string{"logbook", "logbook/edit", "logbook/language", "logbook/measure", "logbook/schema"}, "the first files of a book; touches no disk"},
	{"logbook/intake", []string{"logbook", "logbook/edit", "logbook/fault", "logbook/keys", "logbook/measure"}, "older paper records; writes no file"},
	{"logbook/rounds", []string{"logbook", "logbook/draft", "logbook/edit", "logbook/keys", "logbook/measure", "logbook/tree"}, "a round as a table, and what it makes of the records; judges nothing, writes no file"},
	{"logbook/tablet", []string{"logbook", "logbook/draft", "logbook/keys", "logbook/language", "logbook/rounds"}, "the page of a round for a tablet; judges nothing"},
	{"logbook/photo", nil, "pictures made fit and compared; knows no record"},
	{"logbook/events", []string{"logbook", "logbook/tree"}, "which commit brought which row, value or line: texts and numbers alone"},
	{"logbook/trace", []string{"logbook", "logbook/budget", "logbook/events", "logbook/fault"}, "history as plain facts"},
	{"logbook/exchange", []string{"logbook", "logbook/budget", "logbook/exchange/durable", "logbook/trace"}, "writes a commit, or a whole repository, into a book"},
	{"logbook/exchange/durable", []string{"logbook/trace", "logbook/budget"}, "files that a power cut leaves whole; knows no objects of git"},
	{"logbook/exchange/graph", []string{"logbook/trace"}, "which commit is in whose past, merge bases"},
	{"logbook/exchange/joining", []string{"logbook", "logbook/events", "logbook/trace", "logbook/exchange", "logbook/exchange/durable", "logbook/exchange/graph", "logbook/exchange/merge"}, "merges two tips, and keeps a merge that waits"},
	{"logbook/exchange/transfer", []string{"logbook", "logbook/budget", "logbook/trace", "logbook/exchange", "logbook/exchange/durable", "logbook/exchange/graph", "logbook/exchange/packs"}, "what goes, and what came held against its bounds; knows no connection"},
	{"logbook/exchange/remote", []string{"logbook/fault", "logbook/trace", "logbook/exchange", "logbook/exchange/durable", "logbook/exchange/graph", "logbook/exchange/transfer", "logbook/budget"}, "fetches and pushes"},
	{"logbook/exchange/mail", []string{"logbook", "logbook/trace", "logbook/exchange", "logbook/exchange/durable", "logbook/exchange/graph", "logbook/exchange/mailbag", "logbook/exchange/packs", "logbook/exchange/remote", "logbook/exchange/transfer"}, "bundles, and what the side that gets them is known to hold"},
	{"logbook/exchange/repair", []string{"logbook/budget", "logbook/edit", "logbook/trace", "logbook/exchange", "logbook/exchange/durable", "logbook/exchange/packs", "logbook/exchange/transfer"}, "what a crash left amiss below .git"},
	{"logbook/exchange/internal/trial", []string{"logbook/trace", "logbook/exchange/..."}, "books and failing disks, for tests only"},
	{"logbook/exchange/packs", nil, "git's packs: bytes and ids alone"},
	{"logbook/exchange/mailbag", nil, "parts and acknowledgements: texts and digests alone"},
	{"logbook/exchange/merge", []string{"logbook", "logbook/events", "logbook/edit", "logbook/measure", "logbook/tree"}, "one file that two sides changed: text alone, no git"},
	{"logbook/ending", []string{"logbook", "logbook/budget", "logbook/fault", "logbook/trace", "logbook/exchange/mail", "logbook/exchange/remote", "logbook/exchange/repair"}, "work that must come to its end, for tests only"},
	{"logbook/refusal", nil, "why evidence gave no value, and what to do next time: words alone"},
	{"logbook/benchlog", []string{"logbook/refusal"}, "reads pressure logs: numbers alone, no record and no limit"},
	{"logbook/benchlog/internal/pump", nil, "a hand pump with a valve on it, for tests only; knows no reader"},
	{"logbook/benchlog/internal/rig", nil, "another hand pump, with loggers of many habits, for tests only; knows no reader"},
	{"logbook/sprayphoto", []string{"logbook/refusal"}, "reads photos of spray papers: pictures alone, no record and no limit"},
	{"logbook/sprayphoto/internal/wet", nil, "spray papers and what is none, for tests only; knows no reader"},
	{"logbook/sprayphoto/internal/studio", nil, "other papers and another camera, for tests only; knows no reader"},
	{"logbook/signers", []string{"logbook", "logbook/trace", "logbook/budget"}, "own keys, and the lines that say who may sign; writes no book"},
	{"logbook/answered", []string{"logbook/budget", "logbook/trace"}, "what was answered of a book that has not changed since; knows no record"},
	{"logbook/memory", []string{"logbook/exchange/durable", "logbook/budget"}, "what a reader remembers, outside the book"},
	{"example-vessel", []string{"logbook/exchange"}, "an invented ship and her history"},
	{"example-vessel/invent", nil, "invented ships for tests: text alone"},
	{"example-vessel/invent/draw", nil, "the same draws in every run, for tests only"},
	{"example-vessel/slip", []string{"logbook"}, "slips in honest books, and how likely a book is that was read so; knows no check"},
}

// Outside modules that only one room may use, with the rooms inside it, so that each can be replaced there.
var onlyIn = map[string][]string{
	"github.com/go-git":            {"logbook/trace", "logbook/exchange"},
	"github.com/hiddeco/sshsig":    {"logbook/trace", "logbook/exchange"},
	"github.com/adrg/frontmatter":  {"logbook/tree"},
	"go.yaml.in/yaml":              {"logbook/tree"},
	"github.com/yuin/goldmark":     {"site/look"},
	"github.com/spf13/cobra":       {"cmd/needlebook"},
	"github.com/fsnotify/fsnotify": {"cmd/needlebook/watch"},
	"github.com/sourcegraph":       {"cmd/needlebook/lsp"},
	"gonum.org/v1/gonum":           {"checks/uncertainty", "checks/drift", "checks/survival", "checks/physics", "checks/recurring", "logbook/benchlog", "logbook/sprayphoto"},
}

// What makes the linker keep every method of every type that is anywhere a value: they find methods by names that only the
// running program knows. A program without them is a fifth smaller.
var nowhere = []string{"text/template", "html/template"}

const module = "needlebook/"

func TestMapOfPackages(t *testing.T) {
	root := filepath.Join("..", "..")
	known := map[string]bool{}
	for _, row := range packageMap {
		known[row.folder] = true
	}
	err := filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if e.IsDir() && strings.HasPrefix(e.Name(), ".") && e.Name() != ".." || strings.Contains(path, "testdata") {
			return fs.SkipDir
		}
		if e.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		rel, _ := filepath.Rel(root, filepath.Dir(path))
		folder := filepath.ToSlash(rel)
		if !known[folder] {
			t.Errorf("%s stands in no row of the map", folder)
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, i := range file.Imports {
			imported, _ := strconv.Unquote(i.Path.Value)
			if inside, ok := strings.CutPrefix(imported, module); ok && !mayImport(folder, inside) {
				t.Errorf("%s imports %s, which the map does not allow there", path, inside)
			}
			if slices.Contains(nowhere, imported) {
				t.Errorf("%s imports %s, which makes the program a fifth larger; package hypertext writes HTML", path, imported)
			}
			for prefix, rooms := range onlyIn {
				if strings.HasPrefix(imported, prefix) && !slices.ContainsFunc(rooms, func(r string) bool { return r == folder || strings.HasPrefix(folder, r+"/") }) {
					t.Errorf("%s imports %s, which only %v may use", path, imported, rooms)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// The library of verbs reaches the same through its templates.
func TestNoTemplateOfVerbs(t *testing.T) {
	for name := range productFiles(t) {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, call := range []string{".SetUsageTemplate(", ".SetHelpTemplate(", ".SetVersionTemplate(", "cobra.AddTemplateFunc"} {
			if strings.Contains(string(src), call) {
				t.Errorf("%s: %s…) makes the program a fifth larger", name, call)
			}
		}
	}
}

// A line that does not fit beside its neighbour in a review is broken, but for what cannot be: raw texts, among them the tags of
// fields, and directives.
func TestLinesAreShort(t *testing.T) {
	const most = 120
	for name := range productFiles(t) {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		raw := rawLines(name, src)
		for i, line := range strings.Split(string(src), "\n") {
			if n := utf8.RuneCountInString(line); n > most && !raw[i+1] && !strings.HasPrefix(line, "//go:") {
				t.Errorf("%s:%d has %d characters, at most %d", name, i+1, n, most)
			}
		}
	}
}

// productFiles are the files of every room but those of tests, each with its room.
func productFiles(t *testing.T) iter.Seq2[string, string] {
	return func(yield func(string, string) bool) {
		for _, row := range packageMap {
			files, err := filepath.Glob(filepath.Join("..", "..", filepath.FromSlash(row.folder), "*.go"))
			if err != nil {
				t.Fatal(err)
			}
			for _, name := range files {
				if !strings.HasSuffix(name, "_test.go") && !yield(name, row.folder) {
					return
				}
			}
		}
	}
}

// rawLines are the lines of a file that hold part of a raw text.
func rawLines(name string, src []byte) map[int]bool {
	set := token.NewFileSet()
	file := set.AddFile(name, -1, len(src))
	var s scanner.Scanner
	s.Init(file, src, nil, 0)
	lines := map[int]bool{}
	for {
		at, kind, text := s.Scan()
		if kind == token.EOF {
			return lines
		}
		if kind == token.STRING && text[0] == '`' {
			for l := range strings.Count(text, "\n") + 1 {
				lines[file.Line(at)+l] = true
			}
		}
	}
}

// A goroutine that panics ends the program and shows its stack, whoever started it: only package fault starts one, and catches.
func TestOnlyFaultsAreCaught(t *testing.T) {
	for name, room := range productFiles(t) {
		if room == "logbook/fault" || room == "example-vessel" || ofTests(room) {
			continue
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				t.Errorf("%s starts a goroutine: fault.Go, or a fault.Group", set.Position(n.Pos()))
			case *ast.SelectorExpr:
				if of, ok := n.X.(*ast.Ident); ok && of.Name == "sync" && (n.Sel.Name == "WaitGroup" || n.Sel.Name == "OnceValue") {
					t.Errorf("%s uses sync.%s: fault.Group or fault.Shared", set.Position(n.Pos()), n.Sel.Name)
				}
			case *ast.CallExpr:
				if f, ok := n.Fun.(*ast.Ident); ok && f.Name == "recover" {
					t.Errorf("%s recovers: fault.Catch", set.Position(n.Pos()))
				}
			}
			return true
		})
	}
}

// roomsOfTests are not of the product: only tests, the shipyard in .ci and one another use them.
var roomsOfTests = []string{"checks/internal/referee", "cmd/needlebook/internal/script", "example-vessel/invent", "example-vessel/invent/draw",
	"example-vessel/slip", "logbook/ending", "logbook/exchange/internal/trial"}

func ofTests(room string) bool { return slices.Contains(roomsOfTests, room) }

// What only tests need is not built into the program.
func TestTheProductNeedsNoRoomOfTests(t *testing.T) {
	for name, room := range productFiles(t) {
		if ofTests(room) {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range file.Imports {
			if imported, _ := strconv.Unquote(i.Path.Value); ofTests(strings.TrimPrefix(imported, module)) {
				t.Errorf("%s imports %s, which is for tests", name, imported)
			}
		}
	}
}

func mayImport(folder, inside string) bool {
	for _, row := range packageMap {
		if row.folder != folder {
			continue
		}
		for _, m := range row.may {
			if m == inside || strings.HasSuffix(m, "/...") && (inside == strings.TrimSuffix(m, "/...") || strings.HasPrefix(inside, strings.TrimSuffix(m, "..."))) {
				return true
			}
		}
	}
	return false
}

// openedOtherwise are the places that open a file in another way than package budget, and why nobody waits there.
var openedOtherwise = map[string]string{
	"cmd/needlebook/signer.go os.OpenFile":                   "the terminal, which somebody is asked at",
	"logbook/trace/bounded.go b.Filesystem.Open":             "the disk below opens as OpenPlain does",
	"logbook/trace/bounded.go b.Filesystem.OpenFile":         "the disk below opens as OpenPlain does",
	"logbook/trace/store.go osfs.New":                        "within plain",
	"logbook/exchange/durable/disk.go osfs.New":              "within durable, which opens as OpenPlain does",
	"logbook/exchange/durable/disk.go d.Filesystem.TempFile": "a new file",
	"example-vessel/invent/laid.go os.DirFS":                 "the files of a test",
}

// A pipe in the place of a file is waited for without end, a device has none: files are opened by package budget, by a disk that opens in
// its way, or as new ones.
func TestFilesAreOpenedInOneWay(t *testing.T) {
	root, seen := filepath.Join("..", ".."), map[string]bool{}
	for _, row := range packageMap {
		if row.folder == "logbook/budget" || strings.Contains(row.folder, "/internal/") { // what serves tests alone
			continue
		}
		files, err := filepath.Glob(filepath.Join(root, filepath.FromSlash(row.folder), "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			set := token.NewFileSet()
			file, err := parser.ParseFile(set, name, nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			for what, at := range openings(file) {
				place := row.folder + "/" + filepath.Base(name) + " " + what
				seen[place] = true
				if openedOtherwise[place] == "" {
					t.Errorf("%s opens a file with %s: budget.Open, Read or In, or budget.NeverWait among the flags", set.Position(at), what)
				}
			}
		}
	}
	for place := range openedOtherwise {
		if !seen[place] {
			t.Errorf("%s opens nothing any more", place)
		}
	}
}

// openings are the calls and names in a file that open a file which may be there, in a way that may wait.
func openings(file *ast.File) map[string]token.Pos {
	found := map[string]token.Pos{}
	guarded := map[ast.Expr]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr: // seen before what it calls
			if s, ok := n.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == "OpenFile" {
				for _, arg := range n.Args {
					guarded[s] = guarded[s] || mentions(arg, "O_EXCL") || mentions(arg, "NeverWait")
				}
			}
		case *ast.SelectorExpr:
			on := spelled(n.X)
			disk := on == "os" || strings.HasSuffix(on, "root") || strings.HasSuffix(on, ".new") || strings.HasSuffix(on, ".Filesystem")
			opens := disk && slices.Contains([]string{"Open", "OpenFile", "ReadFile", "DirFS", "TempFile"}, n.Sel.Name)
			if opens && !guarded[n] || on == "budget" && n.Sel.Name == "Plain" || on == "osfs" && n.Sel.Name == "New" || on == "ioutil" {
				found[on+"."+n.Sel.Name] = n.Pos()
			}
		}
		return true
	})
	return found
}

func mentions(e ast.Expr, name string) bool {
	found := false
	ast.Inspect(e, func(n ast.Node) bool {
		s, ok := n.(*ast.SelectorExpr)
		found = found || ok && s.Sel.Name == name
		return true
	})
	return found
}

// spelled is a chain of names as it is written; empty for another expression.
func spelled(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return spelled(e.X) + "." + e.Sel.Name
	}
	return ""
}

// The rule sees each way of opening a file that may wait.
func TestOpenings(t *testing.T) {
	for body, want := range map[string]int{
		`os.ReadFile(name)`: 1, `os.Open(name)`: 1, `os.OpenFile(name, os.O_RDONLY, 0)`: 1, `f := os.Open; f(name)`: 1, `logbook.Read(os.DirFS(dir))`: 1,
		`r.root.ReadFile(name)`: 1, `root.Open(name)`: 1, `budget.Plain(fsys)`: 1, `osfs.New(dir)`: 1, `d.Filesystem.Open(name)`: 1,
		`os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0)`: 0, `os.OpenFile(name, budget.NeverWait, 0)`: 0, `budget.Read(name, 1)`: 0, `fs.ReadFile(o.files, name)`: 0, `os.ReadDir(dir)`: 0,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x\nfunc f() { "+body+" }", parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		if got := len(openings(file)); got != want {
			t.Errorf("%s: %d, want %d", body, got, want)
		}
	}
}
