package keys_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"needlebook/logbook"
)

// Every constant is a key of a kind of file, under the name that its words make, and code asks for it; no key below another one is
// typed out where a constant may stand.
func TestKeysAreNamedOnce(t *testing.T) {
	schema := map[string]bool{}
	for _, k := range logbook.Kinds() {
		if !k.Table {
			k.Walk(func(path string, _ logbook.Field) { schema[path] = strings.Contains(path, ".") })
		}
	}
	named, asked := map[string]string{}, map[string]bool{}
	parsed(t, "keys.go", func(n ast.Node) {
		if c, ok := n.(*ast.ValueSpec); ok {
			path, _ := strconv.Unquote(c.Values[0].(*ast.BasicLit).Value)
			named[c.Names[0].Name] = path
			if !schema[path] || c.Names[0].Name != name(path) {
				t.Errorf("%s is %q, which is no key of the schema below another, or is named otherwise", c.Names[0].Name, path)
			}
		}
	})
	root := filepath.Join("..", "..")
	err := filepath.WalkDir(root, func(file string, e fs.DirEntry, err error) error {
		switch rel, _ := filepath.Rel(root, file); {
		case err != nil:
			return err
		case e.IsDir() && (rel == "example-vessel" || rel == filepath.Join("logbook", "keys") || strings.HasPrefix(e.Name(), ".") && rel != "."):
			return fs.SkipDir
		case e.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go"):
			return nil
		}
		parsed(t, file, func(n ast.Node) {
			switch x := n.(type) {
			case *ast.BasicLit:
				if path, err := strconv.Unquote(x.Value); err == nil && x.Kind == token.STRING && schema[path] {
					t.Errorf("%s types %q out: it is keys.%s", file, path, name(path))
				}
			case *ast.SelectorExpr:
				if pkg, ok := x.X.(*ast.Ident); ok && pkg.Name == "keys" {
					asked[x.Sel.Name] = true
				}
			}
		})
		return nil
	})
	if err != nil || len(named) < 50 {
		t.Errorf("%d keys, %v", len(named), err)
	}
	for name := range named {
		if !asked[name] {
			t.Errorf("keys.%s is asked for nowhere", name)
		}
	}
}

func parsed(t *testing.T, file string, do func(ast.Node)) {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(f, func(n ast.Node) bool {
		do(n)
		return true
	})
}

// name is the constant of a key: AsFoundLeakDownTime for as_found.leak_down.time.
func name(path string) string {
	var b strings.Builder
	for word := range strings.FieldsFuncSeq(path, func(r rune) bool { return r == '.' || r == '_' }) {
		b.WriteString(strings.ToUpper(word[:1]) + word[1:])
	}
	return b.String()
}
