package site

import (
	"math"

	"needlebook/checks/judging"
)

// ruler draws where a value stands against its limit: a thin line, the permitted stretch of it thick and closed by a tick where
// there is a limit, the value as the mark of its verdict, and its doubt as a bar.
func (s *sheet) ruler(v *judging.Verdict) {
	if !v.Value.Valid() || !v.Span.Valid() || v.Span.Kind() != v.Value.Kind() {
		return
	}
	const width, left, right = 96, 4.0, 92.0
	low, high := math.Inf(-1), math.Inf(1)
	if v.Span.Low.Valid() {
		low = v.Span.Low.Float()
	}
	if v.Span.High.Valid() {
		high = v.Span.High.Float()
	}
	value := v.Value.Float()
	from, to := stretch(low, high, value, v.U)
	x := func(y float64) float64 {
		return min(right, max(left, left+(y-from)/(to-from)*(right-left)))
	}
	s.m(`<svg class="ruler" viewBox="0 0 96 16" aria-hidden="true"><path class="hair" d="M2 8h92"/><path class="ok" d="M`).f(x(low)).m(" 8H").f(x(high)).m(`"/><path class="tick" d="`)
	if !math.IsInf(low, 0) {
		s.m("M").f(x(low)).m(" 3v10")
	}
	if !math.IsInf(high, 0) {
		s.m("M").f(x(high)).m(" 3v10")
	}
	s.m(`"/>`)
	at := x(value)
	if v.U > 0 {
		s.m(`<path class="doubtbar" d="M`).f(x(value - v.U)).m(" 8H").f(x(value + v.U)).m(`"/>`)
	}
	switch {
	case v.Result.Out():
		s.m(`<path class="val out" d="M`).f(at).m(` 2l5 6-5 6-5-6z"/>`)
	default:
		s.m(`<circle class="val" cx="`).f(at).m(`" cy="8" r="3.6"/>`)
	}
	s.m("</svg>")
}

// stretch is the part of the scale that the drawing shows.
func stretch(low, high, value, doubt float64) (from, to float64) {
	switch {
	case !math.IsInf(low, 0) && !math.IsInf(high, 0):
		room := (high - low) * 0.6
		if room == 0 {
			room = max(math.Abs(high)*0.05, 1e-9)
		}
		from, to = low-room, high+room
	case math.IsInf(low, 0):
		room := max(math.Abs(high-value)*1.2, math.Abs(high)*0.3, 1e-9)
		from, to = high-room, high+room*0.6
	default:
		room := max(math.Abs(value-low)*1.2, math.Abs(low)*0.3, 1e-9)
		from, to = low-room*0.6, low+room
	}
	return min(from, value-doubt), max(to, value+doubt)
}
