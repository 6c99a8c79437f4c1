package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// former are words that the program says no longer: each with what it says instead, and the phrases in which the word is allowed.
var former = []struct {
	word    *regexp.Regexp
	instead string
	allowed []string
}{
	{whole(`sisters?`), "other cylinders", nil},
	{whole(`weigh(s|ed|ing)?`), "judge", nil},
	{whole(`settle[sd]?|settling`), "resolve", nil},
	{whole(`mend(s|ed|ing)?`), "repair", nil},
	{whole(`assist(s|ed|ing)?`), "lsp", nil},
	{whole(`first pops?`), "first opening pressure", nil},
	{whole(`stands? out`), "open findings", nil},
	{whole(`go(es)? together`), "recurring findings", nil},
	{whole(`(came|comes?) back at`), "as found", nil},
	{whole(`on the rack`), "in the spares rack", nil},
	{whole(`racked`), "stored", nil},
	{whole(`openings`), "overhauls", []string{"openings are not capped", "openings were not capped", "openings covered"}},
	{whole(`bad as found`), "failed as found", nil},
	{whole(`he|his|him|himself`), "they, the signer, the engineer", []string{"written before he signed off"}},
	{whole(`hands?`), "signer, or person", []string{"hand pump", "hand over", "hand it over", "hands over", "by hand", "with a hand",
		"at hand", "second-hand", "hurried hand", "eyes and hands covered", "Clerk's hand", "change of hands", "No hands", "keep the hand up"}},
}

func whole(p string) *regexp.Regexp { return regexp.MustCompile(`(?i)\b(` + p + `)\b`) }

// formerWord is the first former word in a text, and what is said instead.
func formerWord(text string) (word, instead string) {
	text = strings.Join(strings.Fields(text), " ")
	for _, f := range former {
		rest := text
		for _, a := range f.allowed {
			rest = strings.ReplaceAll(rest, a, "")
		}
		if word = f.word.FindString(rest); word != "" {
			return word, f.instead
		}
	}
	return "", ""
}

// What the program says is in the words of the glossary: no text of it, and no line of the README or of the manual, has a
// former word.
func TestNoFormerWordIsSaid(t *testing.T) {
	said := map[string]string{}
	chapters, err := filepath.Glob("../../site/manual/*.md")
	if err != nil || len(chapters) < 6 {
		t.Fatalf("chapters of the manual: %v, %v", chapters, err)
	}
	for _, name := range append(chapters, "../../README.md") {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		said[name] = string(text)
	}
	if texts(t, said); len(said) < 5000 {
		t.Errorf("only %d texts were found", len(said))
	}
	for at, text := range said {
		if word, instead := formerWord(text); word != "" {
			t.Errorf("%s: %q is said no longer: %s\n\t%q", at, word, instead, text)
		}
	}
}

// texts are the texts in the production code by their places, each as it is put together there: no name of an import, no key of a field.
func texts(t *testing.T, said map[string]string) {
	err := filepath.WalkDir("../..", func(path string, e fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case e.IsDir() && (strings.HasPrefix(e.Name(), ".git") || e.Name() == "testdata" || e.Name() == "invent"): // what crews write
			return fs.SkipDir
		case e.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.Field:
				n.Tag = nil
			case ast.Expr:
				if text, ok := textOf(n); ok {
					said[set.Position(n.Pos()).String()] = text
					return false
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// textOf is a text as the code puts it together from pieces that are texts themselves.
func textOf(e ast.Expr) (string, bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(e.Value)
		return text, e.Kind == token.STRING && err == nil
	case *ast.BinaryExpr:
		left, isText := textOf(e.X)
		right, also := textOf(e.Y)
		if e.Op != token.ADD || !isText || !also {
			return "", false
		}
		return left + right, true
	}
	return "", false
}

// A former word is found however it is broken over lines, and an allowed phrase is no cover for another use beside it.
func TestFormerWordsAreFound(t *testing.T) {
	for text, want := range map[string]string{
		"the first\n   pop was low":                    "first pop",
		"openings covered; two openings of this valve": "openings",
		"the openings are not capped":                  "",
		"what Stands out":                              "Stands out",
		"the weight of a needle":                       "",
		"the amended text recommends a settlement":     "",
	} {
		if got, _ := formerWord(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// The glossary is in the order of the alphabet, each word in one line and once.
func TestGlossary(t *testing.T) {
	if !slices.IsSortedFunc(All(), func(a, b Word) int { return strings.Compare(a.Name, b.Name) }) {
		t.Error("the words are not in the order of the alphabet")
	}
	seen := map[string]bool{}
	for _, w := range All() {
		if seen[w.Name] || w.Means == "" || len(w.Means) > 100 || strings.Contains(w.Means, "\n") || !strings.HasSuffix(w.Means, ".") {
			t.Errorf("%s: %q is not one line, or the word is there twice", w.Name, w.Means)
		}
		seen[w.Name] = true
	}
	for _, others := range []string{"stroke", "popping pressure", "lifting pressure", "back leakage", "pressure drop time", "injector", "O/H"} {
		if !slices.ContainsFunc(All(), func(w Word) bool { return slices.Contains(strings.Split(w.Others, ", "), others) }) {
			t.Errorf("what others say is missing: %s", others)
		}
	}
}
