package content

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// TestNoPageCallsAnother holds that what is declared in a file of one page is used by that page alone, and by the list of jobs: what two
// pages say alike is in a file of its own. A page may have several files, page_X.go and page_X_Y.go.
func TestNoPageCallsAnother(t *testing.T) {
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	files := map[string]*ast.File{}
	at := map[string]string{} // the page in whose file a name is declared
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = file
		if page := pageOf(name); page != "" {
			for _, d := range declared(file) {
				at[d] = page
			}
		}
	}
	if len(at) < 100 {
		t.Fatalf("%d names are declared in the files of pages: are they looked at?", len(at))
	}
	for name, file := range files {
		page := pageOf(name)
		if name == "content.go" || name == "foot.go" {
			continue
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if id, ok := n.(*ast.Ident); ok && at[id.Name] != "" && at[id.Name] != page && used(file, id) {
				t.Errorf("%s: %s belongs to the page %s", set.Position(id.Pos()), id.Name, at[id.Name])
			}
			return true
		})
	}
}

// pageOf is the page that a file is about: page_X.go and page_X_Y.go are about X.
func pageOf(name string) string {
	rest, ok := strings.CutPrefix(strings.TrimSuffix(name, ".go"), "page_")
	if !ok {
		return ""
	}
	page, _, _ := strings.Cut(rest, "_")
	return page
}

// declared are the functions, methods, types, variables and constants of a file.
func declared(file *ast.File) []string {
	var all []string
	for _, d := range file.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			all = append(all, d.Name.Name)
		case *ast.GenDecl:
			for _, s := range d.Specs {
				switch s := s.(type) {
				case *ast.TypeSpec:
					all = append(all, s.Name.Name)
				case *ast.ValueSpec:
					for _, n := range s.Names {
						all = append(all, n.Name)
					}
				}
			}
		}
	}
	return all
}

// used says that a name is what the package declares, and no field, parameter or variable of a function: a selector on the writer, or a
// name that the function called does not bind itself.
func used(file *ast.File, id *ast.Ident) bool {
	found := false
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.SelectorExpr:
			if x, ok := n.X.(*ast.Ident); ok && n.Sel == id && x.Name == "w" {
				found = true
			}
			return n.Sel != id
		case *ast.CallExpr:
			if n.Fun == ast.Expr(id) {
				found = true
			}
		}
		return true
	})
	return found
}
