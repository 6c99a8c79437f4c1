package look

import (
	_ "embed"
	"io"

	"needlebook/logbook/hypertext"
	"needlebook/site/page"
)

// Style is the stylesheet of all pages.
//
//go:embed style.css
var Style []byte

// Comfort is the script of all pages: every page says the same without it.
//
//go:embed comfort.js
var Comfort []byte

// The files that every page asks for.
const (
	StyleFile   page.Ref = "style.css"
	ComfortFile page.Ref = "comfort.js"
)

// policy lets nothing in but our own stylesheet, pictures and script file: whatever a record holds, no script of it
// runs and nothing is fetched from elsewhere.
const policy = "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; base-uri 'none'; " +
	"form-action 'none'"

// Frame is what all pages of a site share.
type Frame struct {
	Name     string // of the whole, and of its first page
	First    page.Ref
	Foot     []page.Block
	FullFoot []page.Block // of pages for the printer
}

// Renderer writes pages. It belongs to one worker.
type Renderer struct {
	frame      Frame
	foot, full []byte
	pen        pen
}

// New is a renderer for the pages of a book; book may be nil where no page has remarks or pictures.
func New(frame Frame, book Book) *Renderer {
	r := &Renderer{frame: frame}
	if book != nil {
		r.pen.marks = newMarkdown(book)
	}
	r.foot = new(pen).blocks(frame.Foot).B
	r.full = new(pen).blocks(frame.FullFoot).B
	return r
}

// flushed is how much of a page is written out at a time.
const flushed = 16 << 10

// Write writes one page, part by part: no more of it is held than one part.
func (r *Renderer) Write(w io.Writer, c *page.Page) error {
	p := &r.pen
	p.B, p.drawn, p.paged = p.B[:0], 0, 0
	p.head(r.frame, c)
	p.m("<h1>").t(c.Head).m("</h1>")
	for _, b := range c.Blocks {
		p.block(b)
		if len(p.B) < flushed {
			continue
		}
		if _, err := w.Write(p.B); err != nil {
			return err
		}
		p.B = p.B[:0]
	}
	foot := r.foot
	if c.Full {
		foot = r.full
	}
	p.m("</main>\n<footer>\n")
	p.B = append(p.B, foot...)
	p.m("</footer>\n</body>\n</html>\n")
	_, err := w.Write(p.B)
	return err
}

// head begins a page.
func (p *pen) head(f Frame, c *page.Page) {
	p.m(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="`, policy, `">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<meta name="color-scheme" content="light dark">
<title>`).t(c.Title)
	if hypertext.Visible(c.Title) != f.Name {
		p.m(" · ").t(f.Name)
	}
	p.m(`</title>
<link rel="stylesheet" href="style.css">
<script src="comfort.js"></script>
</head>
<body`).attribute("class", c.Kind).m(`>
<a class="skip" href="#main">to the text of this page</a>
<header class="way"><nav aria-label="where this page is">`)
	p.way(f, c.Way)
	p.m("</nav></header>\n<main id=\"main\">\n")
}

// way is the way to a page, from the first one.
func (p *pen) way(f Frame, steps []page.Step) {
	if len(steps) == 0 {
		p.m(`<span aria-current="page">`).t(f.Name).m("</span>")
		return
	}
	p.m("<a").attribute("href", string(f.First)).m(">").t(f.Name).m("</a>")
	for _, s := range steps {
		p.m(` <span aria-hidden="true">/</span> `)
		if s.To != "" {
			p.m("<a").attribute("href", string(s.To)).m(">").t(s.Text).m("</a>")
		} else {
			p.m(`<span aria-current="page">`).t(s.Text).m("</span>")
		}
	}
}
