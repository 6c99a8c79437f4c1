package main

import (
	"go/ast"
	"go/doc"
	"go/doc/comment"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// room is one package of the source: its folder, its documentation, and every name that it declares: functions, types,
// T.Method, T.Field, values.
type room struct {
	folder, name string
	doc          *doc.Package
	declares     map[string]bool
}

// rooms are all packages of the module, with their tests, and the commentary of each.
func rooms(t *testing.T) []*room {
	t.Helper()
	top := filepath.Join("..", "..")
	var all []*room
	err := filepath.WalkDir(top, func(dir string, e fs.DirEntry, err error) error {
		if err != nil || !e.IsDir() {
			return err
		}
		if e.Name() == "testdata" || strings.HasPrefix(e.Name(), ".git") {
			return fs.SkipDir
		}
		names, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil || len(names) == 0 {
			return err
		}
		set := token.NewFileSet()
		rel, _ := filepath.Rel(top, dir)
		r := &room{folder: filepath.ToSlash(rel), declares: map[string]bool{}}
		var files []*ast.File
		for _, name := range names {
			file, err := parser.ParseFile(set, name, nil, parser.ParseComments|parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			r.declare(file)
			if !strings.HasSuffix(name, "_test.go") {
				files = append(files, file)
			}
		}
		if len(files) > 0 {
			r.name = files[0].Name.Name
			if r.doc, err = doc.NewFromFiles(set, files, "needlebook/"+r.folder, doc.PreserveAST); err != nil {
				return err
			}
		}
		all = append(all, r)
		return nil
	})
	if err != nil || len(all) < 40 {
		t.Fatalf("%d packages: %v", len(all), err)
	}
	return all
}

// declare takes in what a file declares.
func (r *room) declare(file *ast.File) {
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.FuncDecl:
			name := n.Name.Name
			if n.Recv != nil {
				of := n.Recv.List[0].Type
				if star, ok := of.(*ast.StarExpr); ok {
					of = star.X
				}
				if id, ok := of.(*ast.Ident); ok {
					name = id.Name + "." + name
				}
			}
			r.declares[name] = true
			return false
		case *ast.TypeSpec:
			r.declares[n.Name.Name] = true
			var fields *ast.FieldList
			switch of := n.Type.(type) {
			case *ast.StructType:
				fields = of.Fields
			case *ast.InterfaceType:
				fields = of.Methods
			default:
				return false
			}
			for _, f := range fields.List {
				for _, name := range f.Names {
					r.declares[n.Name.Name+"."+name.Name] = true
				}
			}
			return false
		case *ast.ValueSpec:
			for _, name := range n.Names {
				r.declares[name.Name] = true
			}
		}
		return true
	})
}

var (
	aGoName = regexp.MustCompile(`^[A-Za-z]\w*(\.[A-Za-z]\w*)*$`)
	aPath   = regexp.MustCompile(`^[\w.<>-]*(/[\w.<>-]*)+$|^[\w-]+\.(go|md|css|js|txt|html|sh|csv)$`)
	anEnv   = regexp.MustCompile(`NEEDLEBOOK_[A-Z]+`)
	aTest   = regexp.MustCompile(`\b(?:Test|Fuzz|Benchmark)[A-Z]\w+`)
)

// What DEVELOPERS.md names is there: packages and what they declare, files, folders, tests and settings; and its map
// has every folder of the source.
func TestNamesOfDevelopers(t *testing.T) {
	text := documents(t)["DEVELOPERS.md"]
	all := rooms(t)
	ours := map[string]*room{}
	for _, r := range all {
		if r.name != "" && r.name != "main" {
			ours[r.name] = r
		}
		if _, table, _ := strings.Cut(text, "## The map"); !strings.Contains(table, "`"+r.folder+"/`") && r.doc != nil &&
			!strings.HasPrefix(r.folder, ".") {
			t.Errorf("the map does not have %s", r.folder)
		}
	}
	declared := func(name string) bool {
		if of, rest, found := strings.Cut(name, "."); found && ours[of] != nil {
			return ours[of].declares[rest]
		}
		return slices.ContainsFunc(all, func(r *room) bool {
			return r.name == name || r.declares[name] || slices.ContainsFunc(keysIn(r.declares), func(d string) bool {
				return strings.HasSuffix(d, "."+name)
			})
		})
	}
	seen := 0
	for _, code := range inlineCode.FindAllString(fencedText.ReplaceAllString(text, ""), -1) {
		code = strings.Trim(code, "`")
		switch {
		case aPath.MatchString(code):
			if !lies(code) {
				t.Errorf("DEVELOPERS.md names %s, which is not there", code)
			}
		case aGoName.MatchString(code) && code != "want" && !anEnv.MatchString(code):
			if !declared(code) && !isVerb(code) {
				t.Errorf("DEVELOPERS.md names %s, which no package declares", code)
			}
		default:
			continue
		}
		seen++
	}
	if seen < 100 {
		t.Errorf("only %d names were looked at", seen)
	}
}

func isVerb(name string) bool {
	c, _, err := (&program{}).root().Find([]string{name})
	return err == nil && c.HasParent()
}

func keysIn(m map[string]bool) []string {
	all := make([]string, 0, len(m))
	for k := range m {
		all = append(all, k)
	}
	return all
}

// lies says that a path is one of the source, or of the files that a book's history and its pages have; X in a name is
// any letters.
func lies(path string) bool {
	if path == "prove-again.sh" || strings.HasPrefix(path, "signers/") {
		return true
	}
	for _, at := range []string{"", "example-vessel", "site/content"} {
		name := filepath.Join("..", "..", at, filepath.FromSlash(strings.ReplaceAll(path, "X", "*")))
		if found, err := filepath.Glob(name); err == nil && len(found) > 0 {
			return true
		}
	}
	return false
}

// The documentation of every package begins with its name, and what it links to, the tests and the settings that it
// names are there.
func TestLinksOfPackages(t *testing.T) {
	all := rooms(t)
	var tests []string
	for _, r := range all {
		tests = append(tests, keysIn(r.declares)...)
	}
	settings := settingsRead(t)
	for _, r := range all {
		if r.doc == nil || strings.HasPrefix(r.folder, ".") {
			continue
		}
		first := "Package " + r.name + " "
		if r.name == "main" {
			first = "Command " + filepath.Base(r.folder) + " "
		}
		if !strings.HasPrefix(r.doc.Doc, first) {
			t.Errorf("%s: the documentation begins with %.40q, not with %q", r.folder, r.doc.Doc, first)
		}
		for _, text := range plainOf(r.doc.Parser().Parse(r.doc.Doc).Content) {
			if dangling := regexp.MustCompile(`\[[A-Z]\w*(\.\w+)*\]`).FindString(text); dangling != "" {
				t.Errorf("%s: the documentation links to %s, which is not there", r.folder, dangling)
			}
		}
		for _, name := range aTest.FindAllString(r.doc.Doc, -1) {
			if !slices.ContainsFunc(tests, func(d string) bool { return strings.HasPrefix(d, name) }) {
				t.Errorf("%s: the documentation names %s, and there is no such test", r.folder, name)
			}
		}
		for _, name := range anEnv.FindAllString(r.doc.Doc, -1) {
			if !slices.Contains(settings, name) {
				t.Errorf("%s: the documentation names %s, which nothing reads", r.folder, name)
			}
		}
	}
	for _, name := range anEnv.FindAllString(documents(t)["DEVELOPERS.md"], -1) {
		if !slices.Contains(settings, name) {
			t.Errorf("DEVELOPERS.md names %s, which nothing reads", name)
		}
	}
}

// plainOf are the plain texts of a documentation's blocks: what is in brackets there is no link.
func plainOf(blocks []comment.Block) []string {
	var all []string
	texts := func(list []comment.Text) {
		for _, x := range list {
			if p, ok := x.(comment.Plain); ok {
				all = append(all, string(p))
			}
		}
	}
	for _, b := range blocks {
		switch b := b.(type) {
		case *comment.Paragraph:
			texts(b.Text)
		case *comment.List:
			for _, item := range b.Items {
				all = append(all, plainOf(item.Content)...)
			}
		}
	}
	return all
}

// settingsRead are the environment variables of ours that code or script reads.
func settingsRead(t *testing.T) []string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(filepath.Join("..", ".."), func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if e.IsDir() && (strings.HasPrefix(e.Name(), ".git") || e.Name() == "testdata") {
			return fs.SkipDir
		}
		if e.IsDir() || !strings.HasSuffix(path, ".go") && !strings.Contains(filepath.ToSlash(path), "/.ci/") {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, m := range regexp.MustCompile(`(?:"|\$\{?)(NEEDLEBOOK_[A-Z]+)`).FindAllSubmatch(text, -1) {
			all = append(all, string(m[1]))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}
