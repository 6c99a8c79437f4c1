package main

import (
	"fmt"
	"go/ast"
	"go/build/constraint"
	"go/parser"
	"go/token"
	"os"
	"runtime"
	"strconv"
	"strings"
)

// mutant is one change.
type mutant struct {
	path     string // below the root
	from, to int    // offsets
	line     int
	text     string // what comes in place of it, with the number of the mutant for %d
	what     string // the change in words
	code     string // the line as it is
}

func (m mutant) String() string { return fmt.Sprintf("%s:%d: %s: %s", m.path, m.line, m.what, m.code) }

// key tells a mutant without the number of its line, which moves.
func (m mutant) key() string { return m.path + ": " + m.what + ": " + m.code }

// swapped are the operators and what comes in their place.
var swapped = map[token.Token][]token.Token{
	token.EQL: {token.NEQ}, token.NEQ: {token.EQL}, token.LSS: {token.LEQ, token.GEQ}, token.LEQ: {token.LSS, token.GTR},
	token.GTR: {token.GEQ, token.LEQ}, token.GEQ: {token.GTR, token.LSS}, token.LAND: {token.LOR}, token.LOR: {token.LAND},
	token.ADD: {token.SUB}, token.SUB: {token.ADD}, token.MUL: {token.QUO}, token.QUO: {token.MUL},
	token.ADD_ASSIGN: {token.SUB_ASSIGN}, token.SUB_ASSIGN: {token.ADD_ASSIGN}, token.INC: {token.DEC}, token.DEC: {token.INC},
	token.BREAK: {token.CONTINUE}, token.CONTINUE: {token.BREAK},
}

// helpers stand beside the changed files of a package: asked is the number of the mutant that is made, 0 for none, and then
// every mutant that is come to leaves a file of its number.
const helpers = `package %s

import (
	"os"
	"strconv"
	"strings"
	"sync"
)

var (
	mutantAsked = func() int { b, _ := os.ReadFile(%q + "/asked"); n, _ := strconv.Atoi(strings.TrimSpace(string(b))); return n }()
	mutantCame  sync.Map
)

func mutantIs(n int) bool {
	if mutantAsked == 0 {
		if _, known := mutantCame.LoadOrStore(n, true); !known {
			os.WriteFile(%q+"/came-"+strconv.Itoa(n), nil, 0o666)
		}
	}
	return n == mutantAsked
}

func mutantBool[T ~bool](n int, is, was func() T) T {
	if mutantIs(n) {
		return is()
	}
	return was()
}

func mutantValue[T any](n int, is, was T) T {
	if mutantIs(n) {
		return is
	}
	return was
}

type mutantNumber interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64 | ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~float32 | ~float64
}

func mutantSum[T mutantNumber](n int, op string, a, b T) T {
	if mutantIs(n) {
		op = map[string]string{"+": "-", "-": "+", "*": "/", "/": "*"}[op]
	}
	switch op {
	case "+":
		return a + b
	case "-":
		return a - b
	case "*":
		return a * b
	}
	return a / b
}
`

// here says that a file is built on this system.
func here(f *ast.File, path string) bool {
	if os, ok := strings.CutSuffix(path, ".go"); ok {
		for _, other := range []string{"windows", "darwin"} {
			if strings.HasSuffix(os, "_"+other) {
				return runtime.GOOS == other
			}
		}
	}
	for _, g := range f.Comments {
		for _, c := range g.List {
			if x, err := constraint.Parse(c.Text); err == nil && c.Pos() < f.Package {
				return x.Eval(func(tag string) bool {
					return tag == runtime.GOOS || tag == "unix" && runtime.GOOS != "windows" || tag == "amd64"
				})
			}
		}
	}
	return true
}

func mutantsOf(path string) (list []mutant, err error) {
	src, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, src, parser.SkipObjectResolution|parser.ParseComments)
	if err != nil || !here(file, path) {
		return nil, err
	}
	lines := strings.Split(string(src), "\n")
	text := func(from, to token.Pos) string {
		return strings.ReplaceAll(string(src[set.Position(from).Offset:set.Position(to).Offset]), "%", "%%")
	}
	add := func(n ast.Node, at token.Pos, what, changed string) {
		p := set.Position(at)
		list = append(list, mutant{path, set.Position(n.Pos()).Offset, set.Position(n.End()).Offset, p.Line, changed, what,
			strings.TrimSpace(lines[p.Line-1])})
	}
	either := func(n ast.Node, at token.Pos, what, is string) {
		add(n, at, what, "mutantBool(%d, func() bool { return "+is+" }, func() bool { return "+text(n.Pos(), n.End())+" })")
	}
	or := func(s ast.Stmt, at token.Pos, what, is string) {
		add(s, at, what, "if mutantIs(%d) { "+is+" } else { "+text(s.Pos(), s.End())+" }")
	}
	binary := func(n *ast.BinaryExpr) {
		for _, s := range swapped[n.Op] {
			what := n.Op.String() + " is " + s.String()
			left, right := text(n.Pos(), n.X.End()), text(n.Y.Pos(), n.End())
			switch n.Op {
			case token.ADD, token.SUB, token.MUL, token.QUO:
				add(n, n.OpPos, what, "mutantSum(%d, "+strconv.Quote(n.Op.String())+", "+left+", "+right+")")
			default:
				either(n, n.OpPos, what, text(n.Pos(), n.OpPos)+s.String()+" "+text(n.OpPos+token.Pos(len(n.Op.String())), n.End()))
			}
		}
	}
	statement := func(s ast.Stmt) {
		operator := func(is token.Token, at token.Pos) {
			for _, x := range swapped[is] {
				or(s, at, is.String()+" is "+x.String(), text(s.Pos(), at)+x.String()+text(at+token.Pos(len(is.String())), s.End()))
			}
		}
		switch s := s.(type) {
		case *ast.ExprStmt:
			or(s, s.Pos(), "dropped", "")
		case *ast.AssignStmt:
			if s.Tok != token.DEFINE {
				or(s, s.Pos(), "dropped", "")
				operator(s.Tok, s.TokPos)
			}
		case *ast.IncDecStmt:
			operator(s.Tok, s.TokPos)
		case *ast.BranchStmt:
			if s.Label == nil {
				operator(s.Tok, s.TokPos)
			}
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.GenDecl: // what a constant says is known before anything is asked
			return n.Tok != token.CONST
		case *ast.Field: // its tag is read by others
			if n.Tag != nil {
				return false
			}
		case *ast.BinaryExpr:
			binary(n)
		case *ast.UnaryExpr:
			switch n.Op {
			case token.NOT:
				either(n, n.Pos(), "! dropped", text(n.X.Pos(), n.End()))
			case token.SUB:
				add(n, n.Pos(), "- dropped", "mutantValue(%d, "+text(n.X.Pos(), n.End())+", "+text(n.Pos(), n.End())+")")
			}
		case *ast.IfStmt:
			either(n.Cond, n.Cond.Pos(), "the other way round", "!("+text(n.Cond.Pos(), n.Cond.End())+")")
		case *ast.BlockStmt:
			for _, s := range n.List {
				statement(s)
			}
		case *ast.CaseClause:
			for _, s := range n.Body {
				statement(s)
			}
		case *ast.Ident:
			if n.Name == "true" || n.Name == "false" {
				other := strconv.FormatBool(n.Name == "false")
				add(n, n.Pos(), n.Name+" is "+other, "mutantValue(%d, "+other+", "+n.Name+")")
			}
		case *ast.BasicLit:
			was := text(n.Pos(), n.End())
			switch n.Kind {
			case token.INT:
				add(n, n.Pos(), n.Value+" is one more", "mutantValue(%d, "+was+"+1, "+was+")")
			case token.STRING:
				if t, err := strconv.Unquote(n.Value); err == nil && t != "" {
					add(n, n.Pos(), "another text", "mutantValue(%d, "+was+"+\"~\", "+was+")")
				}
			}
		}
		return true
	})
	return list, nil
}
