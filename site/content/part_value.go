package content

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

func ratio(n, of int) string { return page.Grouped(n) + " of " + page.Grouped(of) }

// foundValue is a value as found, with its verdict where it is not within.
func (w *Writer) foundValue(l facts.Life, q facts.Quantity) page.Text {
	v := w.FoundAt(l, q)
	if v == nil {
		return nil
	}
	t := page.Link(w.at.Overhaul[l.Closed].At(address.KeyID(q.Found)), v.Value.String())
	if v.Result.Out() {
		t = t.Say(" ").Then(verdict(v))
	}
	return t
}

// judgedValue is a value with the mark of its verdict where that asks for a look; a dash where there is no value.
func (w *Writer) judgedValue(o *logbook.Overhaul, key string) page.Text {
	v := w.Verdict(o, key)
	if v == nil {
		return page.Words("–")
	}
	text := v.Shown()
	if text == "" {
		return page.Words("–")
	}
	t := page.Link(w.at.Overhaul[o].At(address.KeyID(key)), text)
	if v.Result.Out() || v.Result == judging.WithinDoubt {
		return page.Text{{Style: page.Judged, Mark: verdictMarks[v.Result], In: t.In(page.Aside, " "+v.Result.String())}}
	}
	return t
}
