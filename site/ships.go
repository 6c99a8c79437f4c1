package site

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
)

// Ship is one vessel on the front page of several: the folder of its pages as seen from the front page, with forward slashes, and its
// summary, or why there is none.
type Ship struct {
	Name    string // shown where there is no summary
	Folder  string // relative to the front page; empty where there are no pages
	Summary *Summary
	Why     string // why the summary is nil, in words

	namesake bool // another ship on the page has the same name
}

const shipsHead = "needlebook ships 1: the files below were written by the program and may be replaced or removed by it"

// Join writes the front page of several ships into the folder out: one line a ship, exceptions first. It reads no book; what it needs
// stands in the summaries. The folder may hold the ships' own folders of pages, and nothing else that is not ours; the errors are those
// of [Build].
func Join(ships []Ship, out string) (Result, error) {
	f, err := openFor(out, shipsHead)
	if err != nil {
		return Result{}, err
	}
	defer f.close()
	if err := errors.Join(f.put(string(styleFile), style), f.put(string(comfortFile), comfort), f.put(string(pageVessel), frontPage(ships))); err != nil {
		return Result{}, err
	}
	r := Result{Pages: len(f.now)}
	r.Written, r.Removed, err = f.finish()
	r.Unchanged = r.Pages - r.Written
	return r, err
}

// ShipIn reads the summary of a folder of pages as a ship of a front page in out.
func ShipIn(dir, out string) Ship {
	ship := Ship{Name: filepath.Base(dir)}
	from, err := filepath.Abs(out)
	to, also := filepath.Abs(dir)
	if err := errors.Join(err, also); err != nil {
		ship.Why = err.Error()
		return ship
	}
	rel, err := filepath.Rel(from, to)
	if err != nil {
		ship.Why = fmt.Sprintf("no way leads from %q to %q", out, dir)
		return ship
	}
	if ship.Summary, err = ReadSummary(dir); err != nil {
		ship.Why = strings.ReplaceAll(err.Error(), strconv.Quote(dir), ship.Name)
		return ship
	}
	ship.Folder = filepath.ToSlash(rel)
	return ship
}

// ShipFolder is the name of a folder for the pages of a vessel whose book lies in dir, as different from those taken as it must be.
func ShipFolder(dir string, taken map[string]bool) string {
	name := slugOf(filepath.Base(dir))
	if name == "" || name == "book" || name == "logbook" { // says nothing: the folder above names the ship
		name = strings.Trim(slugOf(filepath.Base(filepath.Dir(dir)))+"-"+name, "-")
	}
	if name == "" {
		name = "ship"
	}
	for base, n := name, 2; taken[name]; n++ {
		name = base + "-" + strconv.Itoa(n)
	}
	taken[name] = true
	return name
}

// gravity orders ships: those not read first, then by their gravest grade, those not proved before those proved.
func (s Ship) gravity() int {
	if s.Summary == nil {
		return 100
	}
	g := map[string]int{"stop": 40, "answer": 30, "advice": 20}
	n := 0
	switch {
	case s.Summary.Gravest != nil:
		n = g[s.Summary.Gravest.Grade]
	case s.Summary.Overhauls == 0:
		n = 10 // nothing was looked at: not the same as quiet
	}
	if !s.Summary.History.Proved {
		n++
	}
	return n
}

var frontFrame = template.Must(template.New("front").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="` + policy + `">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<meta name="color-scheme" content="light dark">
<title>All ships</title>
<link rel="stylesheet" href="style.css">
<script src="comfort.js"></script>
</head>
<body class="ships">
<a class="skip" href="#main">to the text of this page</a>
<header class="way"><nav aria-label="where this page stands"><span aria-current="page">All ships</span></nav></header>
<main id="main">
`))

// frontPage is the page as bytes.
func frontPage(ships []Ship) []byte {
	var head bytes.Buffer
	if err := frontFrame.Execute(&head, nil); err != nil {
		panic("site: the front page does not fit its data: " + err.Error())
	}
	all := slices.Clone(ships)
	slices.SortStableFunc(all, func(a, b Ship) int {
		return cmp.Or(b.gravity()-a.gravity(), b.stops()-a.stops(), strings.Compare(a.name(), b.name()))
	})
	names := map[string]int{}
	for _, x := range all {
		names[x.name()]++
	}
	for i, x := range all {
		all[i].namesake = names[x.name()] > 1
	}
	s := &sheet{b: head.Bytes()}
	s.m("<h1>All ships</h1>")
	s.shipsLead(all)
	s.shipTable(all)
	s.sameTypes(all)
	s.sinceReviews(all)
	s.m(`</main><footer><p>Made from the summaries that each vessel's own build left; the history of a vessel is proved on her own pages.</p><p class="yield">`).t(yieldShort).m("</p></footer></body></html>\n")
	return s.b
}

func (s Ship) stops() int {
	if s.Summary == nil {
		return 0
	}
	return s.Summary.Grades.Stop*1000 + s.Summary.Grades.Answer
}

func (s Ship) name() string {
	if s.Summary != nil && s.Summary.Vessel != "" {
		return s.Summary.Vessel
	}
	return s.Name
}

// page is the address of a page of a ship: only names that a build of ours gives are followed, whatever a summary says.
func (s Ship) page(name string) ref {
	page, place, _ := strings.Cut(name, "#")
	if s.Folder == "" || !flat(page) || place != "" && !flat(place) {
		return ""
	}
	to := ref(addressOf(path.Join(s.Folder, page)))
	if place != "" {
		to = to.at(place)
	}
	return to
}

// addressOf writes a path as the address of a link: everything beyond plain letters as its bytes in hexadecimal.
func addressOf(p string) string {
	var b strings.Builder
	for i := 0; i < len(p); i++ {
		switch c := p[i]; {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '/', c == '-', c == '.', c == '_':
			b.WriteByte(c)
		default:
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	if strings.HasPrefix(b.String(), "/") {
		return "." + b.String()
	}
	return b.String()
}

// shipsLead says in a line how many ships there are and how many need a look.
func (s *sheet) shipsLead(all []Ship) {
	unread, unproved, quiet := 0, 0, 0
	newest := newestDay(all)
	for _, x := range all {
		switch {
		case x.Summary == nil:
			unread++
			continue
		case x.Summary.Gravest == nil && x.Summary.Overhauls > 0:
			quiet++
		}
		if !x.Summary.History.Proved {
			unproved++
		}
	}
	s.m(`<p class="lead">`).t(upperFirst(counted(len(all), "one ship", "ships")))
	if newest != "" {
		s.m(", the newest book of ").t(newest)
	}
	s.m(". ").i(quiet).m(" quiet, ").i(unproved).m(" not proved, ").i(unread).m(" not read.</p>")
}

func newestDay(all []Ship) string {
	newest := ""
	for _, x := range all {
		if x.Summary != nil && x.Summary.Day != logbook.Day(0).String() { // a book without counter readings has no day
			newest = max(newest, x.Summary.Day)
		}
	}
	return newest
}

// shipTable writes one line a ship.
func (s *sheet) shipTable(all []Ship) {
	s.m(`<section><h2>What needs a look</h2>`)
	s.table("list fleet", "ship", "gravest open", "why", "history", "past due", "next valve due", "ready", "to order", "book of")
	for _, x := range all {
		if x.Summary == nil {
			s.m(`<tr class="unread"><th scope="row">`).t(x.name()).m(`</th><td colspan="8" class="loud">`, strokeBroken, `not read: `).t(x.Why).m("</td></tr>")
			continue
		}
		s.shipRow(x)
	}
	s.m("</tbody></table></div></section>")
}

// shipHead begins a row with the name of its ship, and with her folder where another bears the same name.
func (s *sheet) shipHead(x Ship, page string) *sheet {
	s.m(`<th scope="row">`).a(x.page(page), x.name())
	if x.namesake {
		s.m(` <span class="more">`).t(x.Name).m("</span>")
	}
	return s.m("</th>")
}

var gradeOf = map[string]markup{"stop": gradeStop, "answer": gradeAnswer, "advice": gradeAdvice, "note": gradeNote}

var gradeClassOf = map[string]markup{"stop": "g-stop", "answer": "g-answer", "advice": "g-advice", "note": "g-note"}

// gradeWord appends a grade by its word, as a summary has it.
func (s *sheet) gradeWord(word string) *sheet {
	return s.m(`<span class="grade `, gradeClassOf[word], `">`, gradeOf[word]).t(word).m("</span>")
}

// shipRow writes the line of a ship.
func (s *sheet) shipRow(x Ship) {
	one := x.Summary
	s.m(`<tr>`).shipHead(x, "index.html").m("<td>")
	if one.Gravest == nil && one.Overhauls == 0 {
		s.m(`–</td><td class="why">no overhaul in the book yet</td>`)
	} else if one.Gravest == nil {
		s.m(`<span class="quiet">–<span class="say-it"> nothing stands out</span></span></td><td></td>`)
	} else {
		s.gradeWord(one.Gravest.Grade)
		if n := one.count(one.Gravest.Grade); n > 1 {
			s.m(` <span class="more">of `).i(n).m("</span>")
		}
		s.m(`</td><td class="why">`)
		if one.Gravest.About != "" {
			s.a(x.page(one.Gravest.Page), one.Gravest.About).m(": ").t(brief(one.Gravest.Message))
		} else {
			s.a(x.page(one.Gravest.Page), brief(one.Gravest.Message))
		}
		for _, p := range one.Pattern[:min(len(one.Pattern), 2)] {
			if p != nil {
				s.m(`<span class="also">`).a(x.page(p.Page), p.About).m(": ").t(brief(p.Message)).m("</span>")
			}
		}
		s.m("</td>")
	}
	s.m(`<td class="n">`)
	if one.History.Proved {
		s.m(`<span class="quiet">proved</span>`)
	} else {
		words := "not proved"
		if !one.History.UnderGit {
			words = "not under git"
		}
		s.m(`<span class="loud">`, strokeBroken).a(x.page(string(pageTrace)), words).m("</span>")
	}
	if n := one.History.NotCommitted; n > 0 {
		s.m(` <span class="loud">`).t(counted(n, "one file not as committed", "files not as committed")).m("</span>")
	}
	s.m(`</td><td class="n">`)
	if one.Past > 0 {
		s.a(x.page(string(pageDue)), strconv.Itoa(one.Past))
	} else {
		s.m(`<span class="quiet">–</span>`)
	}
	s.m(`</td><td class="n">`)
	if n := one.Next; n != nil {
		s.t(n.Day).m(` <span class="also">`).t(n.Where + ", " + leftWords(n.Left)).m("</span>")
	} else {
		s.m("not known")
	}
	s.m(`</td><td class="n">`).i(one.Ready).m("</td><td>")
	if len(one.ToOrder) > 0 {
		s.a(x.page(string(pageStores)), brief(joined(one.ToOrder)))
	} else {
		s.m(`<span class="quiet">–</span>`)
	}
	s.m(`</td><td class="n">`).t(one.Day).m("</td></tr>")
}

// leftWords are what is left as the due list has it; that it is left goes without saying only where it is over.
func leftWords(left string) string {
	if strings.Contains(left, "over") {
		return left
	}
	return left + " left"
}

func (s *Summary) count(grade string) int {
	return map[string]int{"stop": s.Grades.Stop, "answer": s.Grades.Answer, "advice": s.Grades.Advice, "note": s.Grades.Note}[grade]
}

// brief cuts a message to a line of a table.
func brief(text string) string {
	const most = 140
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}

// sameTypes sets ships with the same type of engine beside one another.
func (s *sheet) sameTypes(all []Ship) {
	type row struct {
		ship Ship
		SummaryType
	}
	by := map[string][]row{}
	var order []string
	for _, x := range all {
		if x.Summary == nil {
			continue
		}
		for _, t := range x.Summary.Types {
			if len(by[t.Type]) == 0 {
				order = append(order, t.Type)
			}
			by[t.Type] = append(by[t.Type], row{x, t})
		}
	}
	slices.Sort(order)
	s.m(`<section id="types"><h2>Ships of the same type</h2><p class="src">Valves opened for their hours in the last two years of each book, and how many of them were bad as found, with the 95 % interval of the true share; nozzles renewed against engine hours; what a used setting lost in service. A few valves prove little: look at the interval, not at the share.</p>`)
	alone := 0
	for _, name := range order {
		rows := by[name]
		if len(rows) < 2 {
			alone++
			continue
		}
		slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(b.Low, a.Low) })
		s.m("<h3>").t(orDash(name)).m("</h3>")
		s.table("list", "ship", "opened", "bad", "share of bad, 95 %", "0 to 100 %", "nozzles renewed", "per 1000 engine h", "setting lost, median")
		for _, r := range rows {
			s.m("<tr>").shipHead(r.ship, "index.html").m(`<td class="n">`).i(r.Opened).m(`</td><td class="n">`).i(r.Bad).m(`</td><td class="n">`)
			if r.Opened > 0 {
				s.t(percent(r.Low) + " to " + percent(r.High)).m("</td><td>")
				s.shareBar(r.Bad, r.Opened, r.Low, r.High)
			} else {
				s.m("–</td><td>")
			}
			s.m(`</td><td class="n">`).i(r.Nozzles).m(`</td><td class="n">`)
			if r.EngineHours > 0 {
				s.t(oneDecimal(float64(r.Nozzles) / r.EngineHours * 1000))
			} else {
				s.m("not known")
			}
			s.m(`</td><td class="n">`)
			if r.LostOf > 0 {
				s.t(oneDecimal(r.Lost) + " bar").m(` <span class="more">of `).i(r.LostOf).m("</span>")
			} else {
				s.m("–")
			}
			s.m("</td></tr>")
		}
		s.m("</tbody></table></div>")
	}
	if alone == len(order) {
		s.quietLine("No two ships have engines of one type.")
	} else if alone > 0 {
		s.quietLine(upperFirst(counted(alone, "one type stands on one ship only", "types stand on one ship only")) + ".")
	}
	s.m("</section>")
}

func percent(v float64) string { return strconv.Itoa(int(v*100+0.5)) + " %" }

// shareBar draws a share from 0 to 1 with its interval: the interval a bar, the share a tick.
func (s *sheet) shareBar(bad, of int, low, high float64) {
	s.m(`<svg class="ruler" viewBox="0 0 96 16" aria-hidden="true"><path class="hair" d="M2 8h92"/><path class="ok" d="M`).f(2 + 92*low).m(" 8H").f(2 + 92*max(high, low+0.01)).m(`"/><path class="tick" d="M`).f(2 + 92*float64(bad)/float64(of)).m(` 3v10"/></svg>`)
}

// sinceReviews says what is new on each ship since her last review.
func (s *sheet) sinceReviews(all []Ship) {
	s.m(`<section id="since"><h2>Since the last review</h2>`)
	var never []string
	if slices.ContainsFunc(all, func(x Ship) bool { return x.Summary != nil && x.Summary.Review != nil }) {
		s.reviewTable(all)
	}
	for _, x := range all {
		if x.Summary != nil && x.Summary.Review == nil {
			name := x.name()
			if x.namesake {
				name += " (" + x.Name + ")"
			}
			never = append(never, name)
		}
	}
	if len(never) > 0 {
		s.m("<p>No review was compared: ").t(joined(never)).m(".</p>")
	}
	s.m("</section>")
}

func (s *sheet) reviewTable(all []Ship) {
	s.table("list", "ship", "since", "new", "gone", "new and to answer")
	for _, x := range all {
		if x.Summary == nil || x.Summary.Review == nil {
			continue
		}
		r := x.Summary.Review
		s.m("<tr>").shipHead(x, string(pageSince)).m("<td>").t(r.Why + ", " + r.Day).m(`</td><td class="n">`).i(len(r.New)).m(`</td><td class="n">`).i(len(r.Gone)).m("</td><td>")
		shown := 0
		for _, f := range r.New {
			if (f.Grade == "stop" || f.Grade == "answer") && shown < 3 {
				if shown++; shown > 1 {
					s.m("<br>")
				}
				s.gradeWord(f.Grade).m(" ").a(x.page(f.Page), brief(strings.TrimSpace(f.About+" "+f.Message)))
			}
		}
		if shown == 0 {
			s.m(`<span class="quiet">–</span>`)
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div>")
}

// ours says that a folder is one of pages that this program wrote.
func ours(root *os.Root, name string) bool {
	info, err := root.Lstat(name + "/" + manifestFile)
	return err == nil && info.Mode().IsRegular() && info.Mode()&fs.ModeSymlink == 0
}
