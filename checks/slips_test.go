package checks

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// TestEverySlipIsReported reads the slips that the reader can meet from its own source, and asks that one check puts each into
// words. Outside source: none; it holds two parts of this program together.
func TestEverySlipIsReported(t *testing.T) {
	reported := map[string]string{"file-fault": CheckFailed} // of no check: see TestUnread
	for _, k := range All() {
		for _, s := range k.Slips {
			reported[s] = k.Name
		}
	}
	n := 0
	for _, dir := range []string{"../logbook", "../logbook/measure"} {
		sources, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, source := range sources {
			if strings.HasSuffix(source, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), source, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(file, func(node ast.Node) bool {
				v, ok := node.(*ast.ValueSpec)
				if !ok || !strings.HasPrefix(v.Names[0].Name, "Slip") || len(v.Values) != 1 {
					return true
				}
				slip, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
				if err != nil {
					t.Fatal(err)
				}
				if n++; reported[slip] == "" {
					t.Errorf("%s (%q) is reported by no check", v.Names[0].Name, slip)
				}
				return true
			})
		}
	}
	if n < 40 {
		t.Errorf("found %d slips in the reader's source; it holds more: the search is broken", n)
	}
}

// TestFileTooLarge shows the finding on a file that is too large to stand among the test records.
func TestFileTooLarge(t *testing.T) {
	book := folder(t, "testdata/base")
	book["overhauls/me1/c1/2020-07-01-h-1.md"] = &fstest.MapFile{Data: []byte("---\n---\n" + strings.Repeat("x", 300<<10))}
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	fs := Run(b, Options{Only: []*Check{fileNotRead}}).Findings
	if len(fs) != 1 || fs[0].Grade != Action || !strings.Contains(fs[0].Message, `"307208 bytes": expected at most 262144 bytes`) {
		t.Errorf("Run = %v, want one finding of grade answer on a file of 307208 bytes", fs)
	}
}
