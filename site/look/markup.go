package look

import (
	"strconv"

	"needlebook/logbook/hypertext"
)

// markup is HTML written in this package.
type markup = hypertext.Markup

// pen writes one page. It belongs to one worker and is used again for the next page.
type pen struct {
	hypertext.Pen
	drawn int // charts on the page so far, for their ids
	paged int // pagers on the page so far, for their names
	marks *markdown
}

// m appends markup.
func (p *pen) m(parts ...markup) *pen {
	p.M(parts...)
	return p
}

// t appends text within an element. Hidden characters are made visible.
func (p *pen) t(text string) *pen {
	p.T(text)
	return p
}

// v appends the value of a quoted attribute.
func (p *pen) v(value string) *pen {
	p.V(value)
	return p
}

// i appends a whole number.
func (p *pen) i(n int) *pen {
	p.I(n)
	return p
}

// f appends a place on a chart, with at most one decimal.
func (p *pen) f(v float64) *pen {
	p.B = strconv.AppendFloat(p.B, float64(int64(v*10+half(v)))/10, 'f', -1, 64)
	return p
}

func half(v float64) float64 {
	if v < 0 {
		return -0.5
	}
	return 0.5
}

// attribute appends an attribute, where it has a value.
func (p *pen) attribute(name markup, value string) *pen {
	if value == "" {
		return p
	}
	return p.m(" ", name, `="`).v(value).m(`"`)
}
