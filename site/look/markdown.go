package look

import (
	"bufio"
	"bytes"
	"errors"
	"net/url"
	"path"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"needlebook/logbook/hypertext"
	"needlebook/site/page"
)

// What remarks may ask of the reader. Beyond it they are shown as they are written: a text of a few kilobytes can be
// made to grow to a hundred megabytes, or to take seconds.
const (
	mostRemarks    = 256 << 10
	mostColumns    = 200
	mostCells      = 20_000
	mostNesting    = 32
	mostDelimiters = 4_000
	mostReferences = 200
	mostTextLines  = 5_000
)

// Book is what a page may show of a book beside its words.
type Book interface {
	PageOf(path string) page.Ref // the page of a file of the book; empty for none
	Has(path string) bool        // whether the book holds the file
	Picture(path string) Picture
}

// markdown reads the Markdown of records. It belongs to one worker.
type markdown struct {
	md   goldmark.Markdown
	book Book
	from string // the file whose remarks are read
	out  bytes.Buffer
	buf  *bufio.Writer // onto out; the renderer would make one for each text

	headings map[string]bool // ids of the headings of these remarks
}

func newMarkdown(book Book) *markdown {
	r := &markdown{book: book}
	r.buf = bufio.NewWriter(&r.out)
	r.md = goldmark.New(
		goldmark.WithExtensions(
			extension.NewTable(extension.WithTableCellAlignMethod(extension.TableCellAlignAttribute)), extension.Strikethrough),
		goldmark.WithParserOptions(parser.WithASTTransformers(util.Prioritized(r, 500))),
		goldmark.WithRendererOptions(renderer.WithNodeRenderers(util.Prioritized(inert{}, 50))),
	)
	return r
}

// write writes the Markdown of a file of the book.
func (r *markdown) write(p *pen, m page.Remarks) {
	if strings.TrimSpace(m.Body) == "" {
		return
	}
	if reason := unreasonable(m.Body); reason != "" {
		p.m(`<p class="src">`).t("Shown as written: " + reason + ".").m("</p><pre>").t(page.Cut(m.Body, mostRemarks)).
			m("</pre>")
		return
	}
	r.from = m.From
	r.out.Reset()
	r.buf.Reset(&r.out)
	if err := errors.Join(r.md.Convert([]byte(m.Body), r.buf), r.buf.Flush()); err != nil {
		p.m("<pre>").t(m.Body).m("</pre>")
		return
	}
	// Hidden characters are written out only now: a character reference such as &#x202e; is one as well.
	p.B = append(p.B, hypertext.Visible(r.out.String())...)
}

// unreasonable says why a text is not read as Markdown; empty where it is.
func unreasonable(body string) string {
	if len(body) > mostRemarks {
		return "longer than a record's remarks may be"
	}
	lines, bars, delimiters, references, nesting := 0, 0, 0, 0, 0
	for line := range strings.Lines(body) {
		lines++
		bars = max(bars, strings.Count(line, "|"))
		if strings.Contains(line, "]:") {
			references++
		}
		nesting = max(nesting, depth(line))
		for i := 0; i < len(line); i++ {
			switch line[i] {
			case '*', '_', '[', ']', '`', '~', '<', '!':
				delimiters++
			}
		}
	}
	switch {
	case bars > mostColumns, bars > 2 && bars*lines > mostCells:
		return "a table wider than can be shown"
	case lines > mostTextLines:
		return "more lines than a record's remarks may have"
	case nesting > mostNesting:
		return "nested deeper than can be shown"
	case delimiters > mostDelimiters:
		return "more marks than words"
	case references > mostReferences:
		return "more references than can be followed"
	}
	return ""
}

// depth is how deep a line lies in quotes and lists, at most.
func depth(line string) int {
	rest := strings.TrimLeft(line, ">-+*0123456789.) \t")
	head := line[:len(line)-len(rest)]
	marks := strings.Count(head, ">") + strings.Count(head, "-") + strings.Count(head, "+") + strings.Count(head, "*")
	return max(marks, strings.Count(head, " ")/4+strings.Count(head, "\t"))
}

// Transform goes over what the reader of Markdown made of the remarks: headings below those of the page, links and
// pictures only where they may lead.
func (r *markdown) Transform(doc *ast.Document, reader text.Reader, _ parser.Context) {
	src := reader.Source()
	var links []ast.Node
	r.headings = map[string]bool{}
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *ast.Heading:
			n.Level = min(n.Level+2, 6)
			n.SetAttributeString("id", []byte(r.headingID(string(plainText(n, src)))))
		case *ast.Link, *ast.Image, *ast.AutoLink:
			links = append(links, n)
		}
		return ast.WalkContinue, nil
	})
	for _, n := range links {
		switch n := n.(type) {
		case *ast.Link:
			r.link(n)
		case *ast.Image:
			r.image(n, src)
		case *ast.AutoLink:
			if target := string(n.URL(src)); n.AutoLinkType != ast.AutoLinkEmail && !r.outside(target) {
				replace(n, spelled("<"+target+">"))
			}
		}
	}
}

// headingID is an id that no other part of the page has.
func (r *markdown) headingID(words string) string {
	id := "r-" + page.Slug(words)
	for r.headings[id] {
		id += "-x"
	}
	r.headings[id] = true
	return id
}

// link keeps a link that leads to the web, to a letter or to a page that exists; of another the text stays, with its
// target.
func (r *markdown) link(n *ast.Link) {
	target := string(n.Destination)
	if r.outside(target) {
		return
	}
	if to := r.pageOf(target); to != "" {
		n.Destination = []byte(to)
		return
	}
	if id, ok := strings.CutPrefix(target, "#"); ok && r.headings["r-"+page.Slug(id)] {
		n.Destination = []byte("#r-" + page.Slug(id))
		return
	}
	parent := n.Parent()
	for c := n.FirstChild(); c != nil; {
		next := c.NextSibling()
		parent.InsertBefore(parent, n, c)
		c = next
	}
	replace(n, spelled(" ["+target+"]"))
}

// outside says that a target is one of the few that may leave the book.
func (r *markdown) outside(target string) bool {
	u, err := url.Parse(target)
	if err != nil {
		return false
	}
	switch u.Scheme {
	case "http", "https":
		return u.Host != "" && u.User == nil
	case "mailto":
		return u.Host == "" && u.Opaque != ""
	}
	return false
}

// pageOf is the page of a file of the book that a relative target names: from the record's own folder, or from the
// book's top.
func (r *markdown) pageOf(target string) page.Ref {
	for _, p := range candidates(r.from, target) {
		if to := r.book.PageOf(p); to != "" {
			return to
		}
	}
	return ""
}

// candidates are the paths within the book that a relative target may mean. None leads out of it.
func candidates(from, target string) []string {
	u, err := url.Parse(target)
	if err != nil || u.Scheme != "" || u.Host != "" || u.Opaque != "" || u.Path == "" ||
		strings.ContainsAny(u.Path, "\\\x00") {
		return nil
	}
	var inside []string
	for _, p := range []string{path.Join(path.Dir(from), u.Path), path.Clean(u.Path)} {
		if p != ".." && !strings.HasPrefix(p, "../") && !path.IsAbs(p) {
			inside = append(inside, p)
		}
	}
	return inside
}

// image shows a picture of the book; of anything else the description stays, with its target.
func (r *markdown) image(n *ast.Image, src []byte) {
	target := string(n.Destination)
	words := string(plainText(n, src))
	why := ""
	for _, p := range candidates(r.from, target) {
		pic := r.book.Picture(p)
		if pic.shown() {
			replace(n, &pictured{picture: pic, words: words})
			return
		}
		if r.book.Has(p) || why == "" {
			why = " " + pic.Why
		}
	}
	replace(n, spelled("[picture: "+words+", "+target+why+"]"))
}

// plainText is the text under a node, without its marks.
func plainText(n ast.Node, src []byte) []byte {
	var out []byte
	_ = ast.Walk(n, func(c ast.Node, entering bool) (ast.WalkStatus, error) {
		if t, ok := c.(*ast.Text); ok && entering {
			out = append(out, t.Value(src)...)
		}
		return ast.WalkContinue, nil
	})
	return out
}

func replace(n, by ast.Node) { n.Parent().ReplaceChild(n.Parent(), n, by) }

func spelled(text string) ast.Node {
	s := ast.NewString([]byte(text))
	s.SetRaw(true) // escaped as it stands, character references too
	return s
}

// pictured is a picture of the book within remarks.
type pictured struct {
	ast.BaseInline
	picture Picture
	words   string
}

var kindPictured = ast.NewNodeKind("Pictured")

func (*pictured) Kind() ast.NodeKind           { return kindPictured }
func (n *pictured) Dump(src []byte, level int) { ast.DumpHelper(n, src, level, nil, nil) }

// inert writes raw HTML as the text it is, and our pictures. Nothing that a record holds becomes markup.
type inert struct{}

func (inert) RegisterFuncs(reg renderer.NodeRendererFuncRegisterer) {
	reg.Register(ast.KindHTMLBlock, func(w util.BufWriter, src []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		b := n.(*ast.HTMLBlock)
		raw := b.Lines().Value(src)
		if b.HasClosure() {
			raw = append(raw, b.ClosureLine.Value(src)...)
		}
		_, _ = w.Write(hypertext.AppendText(append([]byte(nil), `<pre class="raw">`...), string(raw), false))
		_, _ = w.WriteString("</pre>")
		return ast.WalkSkipChildren, nil
	})
	reg.Register(ast.KindRawHTML, func(w util.BufWriter, src []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			_, _ = w.Write(hypertext.AppendText(append([]byte(nil), `<code class="raw">`...),
				string(n.(*ast.RawHTML).Segments.Value(src)), false))
			_, _ = w.WriteString("</code>")
		}
		return ast.WalkSkipChildren, nil
	})
	reg.Register(kindPictured, func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			one := n.(*pictured)
			_, _ = w.Write(new(pen).thumb(one.picture, one.words).B)
		}
		return ast.WalkSkipChildren, nil
	})
}
