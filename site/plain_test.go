package site

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestPlainVerbs holds that no page says "stands", "sits" or "lies" where a text, a figure or a valve simply is there: a reader who learned
// English at sea takes them by the word. Nor does one call the audit trail a trace, or a deferral a promise.
func TestPlainVerbs(t *testing.T) {
	former := regexp.MustCompile(`\b([Ss]tands?|[Ss]tood|[Ss]its?|[Ll]ies|[Tt]race|promised)\b`)
	allowed := map[string]bool{"trace": true, "not-promised": true, "not-promised.md": true, "What is not promised": true}
	names, err := filepath.Glob("*/*.go")
	must(t, err)
	own, err := filepath.Glob("*.go")
	must(t, err)
	looked := 0
	for _, name := range append(names, own...) {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, nil, parser.SkipObjectResolution)
		must(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			lit, is := n.(*ast.BasicLit)
			if !is || lit.Kind != token.STRING {
				return true
			}
			looked++
			text, err := strconv.Unquote(lit.Value)
			must(t, err)
			if word := former.FindString(text); word != "" && !allowed[text] {
				t.Errorf("%s: %q says %q", set.Position(lit.Pos()), text, word)
			}
			return true
		})
	}
	if looked < 1000 {
		t.Errorf("only %d texts were looked at", looked)
	}
}
