package look

import "needlebook/site/page"

// Picture is a picture of the book on the pages: a small copy, and behind it the whole one without the camera's notes.
type Picture struct {
	Full, Small   page.Ref // the small one is empty where it is a document, not a picture
	Width, Height int      // of the small copy, as it is shown
	Name          string   // path in the book
	Why           string   // why it is not shown, in words; empty where it is
}

func (c Picture) shown() bool { return c.Small != "" }

// thumb appends the small copy, lazily loaded, as a link to the whole one; or the words that stand for it.
func (p *pen) thumb(c Picture, words string) *pen {
	if c.Full != "" && !c.shown() {
		return p.m(`<a download`).attribute("href", string(c.Full)).m(">").t(words).m("</a>")
	}
	if !c.shown() {
		return p.m(`<span class="nopic">picture `).t(c.Name).m(" ").t(c.Why).m("</span>")
	}
	p.m(`<a class="pic"`).attribute("href", string(c.Full)).m("><img").attribute("src", string(c.Small)).m(` alt="`).
		v(words)
	return p.m(`" width="`).i(c.Width).m(`" height="`).i(c.Height).m(`" loading="lazy"></a>`)
}

// picture writes a picture with its words below.
func (p *pen) picture(c page.Picture) {
	p.m("<figure>").thumb(p.marks.book.Picture(c.Path), c.Words).m("<figcaption>").t(c.Words).m("</figcaption></figure>")
}
