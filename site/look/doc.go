// Package look is how pages look: it makes HTML of a [page.Page], with the charts' SVG, the stylesheet and the
// script. It knows no book, and what a page says it takes as it is.
//
// Begin with [Renderer.Write].
//
// # The look
//
// It is settled at the top of style.css and nowhere else: a sheet that a workshop could have printed. Paper, ink,
// hairlines, figures set large; everything in order is thin and grey, what needs a signer is heavy and comes first.
// System faces; four greys and three colours (stop, ask, link), each only repeating what shape and word say; no
// green, because in order is not a colour but silence.
//
//	grades       barred block stop, solid wedge action, open wedge advice, tick note, dash nothing
//	verdicts     a stretch between its ends within, lozenge beyond, half filled where the uncertainty
//	             reaches the limit, the ends alone where nothing was judged
//	signatures   strokes as under a signature: one signed, two countersigned, three reviewed,
//	             broken where nobody answers
//	charts       hollow as found, solid as left; disc used, square new, triangle reground;
//	             closed dashes are the limit that held then; a dotted band is where 19 of 20 next
//	             readings would fall
//
// Night by prefers-color-scheme, or as the reader chose; A4 in black. On a telephone a table becomes a list, a row a
// paragraph.
//
// # What a page may do
//
// The content-security policy allows no inline script and no inline style, and one script file of ours, comfort.js:
// search, sorting, filtering, picking a day, a remembered night. It puts texts of records in as text only, and every
// page says the same without it; what it searches is in search-index.js, one call with plain JSON, because a page
// opened from a folder may load a script and not fetch a file. Nothing is asked for off the page. No text of a record
// is taken for markup: a string is escaped, and only a constant of this package is not.
package look
