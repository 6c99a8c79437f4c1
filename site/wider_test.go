package site

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"needlebook/example-vessel/invent"
	"needlebook/site/address"
	"needlebook/site/fleet"
)

// The wider tests open the pages in a real browser from the folder, as a reader with a memory stick does. They run where
// NEEDLEBOOK_WIDER is 1, and fail there where a program is missing.

// tab is one browser tab and what happened in it.
type tab struct {
	ctx context.Context

	mu       sync.Mutex
	requests []string
	events   []string // complaints of the browser, dialogs opened
}

func newTab(t *testing.T) *tab {
	t.Helper()
	if os.Getenv("NEEDLEBOOK_WIDER") != "1" {
		t.Skip("NEEDLEBOOK_WIDER is not 1")
	}
	browser := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "headless-shell"} {
		if p, err := exec.LookPath(name); err == nil {
			browser = p
			break
		}
	}
	if browser == "" {
		t.Fatal("the wider tests want a browser")
	}
	t.Parallel() // each has a browser and a folder of its own, and waits for them most of the time
	b := &tab{}
	ctx, cancel := chromedp.NewContext(context.Background(), chromedp.WithListener(b.listen), chromedp.WithAllocatorOptions(chromedp.ExecPath(browser),
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("no-sandbox", true), chromedp.Flag("disable-gpu", true), chromedp.Flag("disable-quic", true), chromedp.Flag("no-first-run", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true)))
	t.Cleanup(cancel)
	b.ctx = ctx
	must(t, chromedp.Do(ctx, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
		if _, err := cdp.Call(ctx, s, network.Enable, network.EnableParams{}); err != nil {
			return chromedp.Void{}, err
		}
		_, err := cdp.Call(ctx, s, log.Enable, cdp.Empty{})
		return chromedp.Void{}, err
	}))
	return b
}

func (b *tab) listen(ev any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch ev := ev.(type) {
	case *network.EventRequestWillBeSent:
		b.requests = append(b.requests, ev.Request.URL)
	case *log.EventEntryAdded:
		b.events = append(b.events, fmt.Sprint(ev.Entry.Level, ": ", ev.Entry.Text))
	case *page.EventJavascriptDialogOpening:
		b.events = append(b.events, "dialog: "+ev.Message)
	}
}

func (b *tab) scripts(t *testing.T, off bool) {
	t.Helper()
	must(t, chromedp.Do(b.ctx, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, s, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: off})
		return chromedp.Void{}, err
	}))
}

func (b *tab) open(t *testing.T, dir, name string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, 30*time.Second)
	defer cancel()
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+filepath.ToSlash(filepath.Join(dir, name)))); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

func widerPages(t *testing.T) (dir string, names []string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "out")
	in := vessels(t)["ordinary"]
	if _, err := os.Stat("../example-vessel/book.md"); err == nil {
		in = bookOf(t, os.DirFS("../example-vessel"), nil)
		in.Trail = trailOf(in.Book)
	}
	must(t, build(in, dir))
	return dir, pagesIn(t, dir)
}

// TestWiderNothingLeaves opens every page of the example vessel and of the hostile book: nothing is asked for but files of the folder,
// the browser has nothing to complain of, no dialog opens.
func TestWiderNothingLeaves(t *testing.T) {
	b := newTab(t)
	spite := filepath.Join(t.TempDir(), "spite")
	in := bookOf(t, spitefulFiles(t), nil)
	in.Trail = spitefulTrail(in.Book)
	must(t, build(in, spite))
	ship, names := widerPages(t)
	for i, name := range names {
		if i%5 == 0 || !strings.HasPrefix(name, "overhaul-") && !strings.HasPrefix(name, "nozzle-") && !strings.HasPrefix(name, "behind-") {
			b.open(t, ship, name)
		}
	}
	for _, name := range pagesIn(t, spite) {
		b.open(t, spite, name)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, url := range b.requests {
		if !strings.HasPrefix(url, "file://"+ship+"/") && !strings.HasPrefix(url, "file://"+spite+"/") && url != "about:blank" {
			t.Errorf("the pages ask for %s", url)
		}
	}
	for _, e := range b.events {
		t.Errorf("the browser says %s", e)
	}
}

// TestWiderFits opens pages from the width of a telephone to that of a large screen: no page is wider than its window.
func TestWiderFits(t *testing.T) {
	b := newTab(t)
	dir, names := widerPages(t)
	for _, width := range []int64{360, 768, 1280, 1920} {
		must(t, chromedp.Do(b.ctx, chromedp.EmulateViewport(width, 900)))
		for i, name := range names {
			if i%7 != 0 && (strings.HasPrefix(name, "overhaul-") || strings.HasPrefix(name, "nozzle-") || strings.HasPrefix(name, "file-") || strings.HasPrefix(name, "behind-")) {
				continue
			}
			b.open(t, dir, name)
			wide, err := chromedp.Run(b.ctx, chromedp.Evaluate[int64]("document.documentElement.scrollWidth"))
			must(t, err)
			if wide > width {
				t.Errorf("%s is %d wide in a window of %d", name, wide, width)
			}
		}
	}
}

// TestWiderWithoutScripts holds that a page says the same with scripts off: what they add is set aside, and nothing else differs.
func TestWiderWithoutScripts(t *testing.T) {
	b := newTab(t)
	dir, _ := widerPages(t)
	for _, name := range []string{"index.html", "findings.html", "audit-trail.html", "since.html", "parts.html", "charts.html"} {
		var texts [2]string
		for i, off := range []bool{false, true} {
			b.scripts(t, off)
			b.open(t, dir, name)
			text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.querySelectorAll(".aids, .hits, .filter").forEach(e => e.remove()); document.body.textContent.replace(/\s+/g, " ")`))
			must(t, err)
			texts[i] = text
		}
		if texts[0] != texts[1] || len(texts[0]) < 200 {
			t.Errorf("%s says something else without scripts", name)
		}
	}
}

// TestWiderComfort uses what the script file adds, from the folder, with a record that holds hostile text: search finds a serial, a word of
// the remarks and a hand and leads to them; a table is sorted and filtered; a day is picked; the night is remembered on the next page.
func TestWiderComfort(t *testing.T) {
	b := newTab(t)
	spite := filepath.Join(t.TempDir(), "spite")
	in := bookOf(t, spitefulFiles(t), nil)
	must(t, build(in, spite))
	dir, _ := widerPages(t)
	say := func(js string) string {
		t.Helper()
		text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](js, chromedp.EvalAwaitPromise))
		must(t, err)
		return text
	}
	find := func(words string) string {
		return say(`(async () => { const f = document.querySelector(".aids input"); f.focus(); f.value = ` + strconv.Quote(words) + `; f.dispatchEvent(new Event("input"));
			for (let i = 0; i < 100 && !document.querySelector(".hits li"); i++) await new Promise(r => setTimeout(r, 50));
			return Array.from(document.querySelectorAll(".hits a")).map(a => a.getAttribute("href")).join(" ") })()`)
	}
	b.open(t, dir, "index.html")
	for words, want := range map[string]string{"H-109": "holder-h-109.html", "blued face": "overhaul-2022-10-14-h-109.html", "penhaligon h-110 2023": "overhaul-2023-04-20-h-110.html", "Gallowyn": "file-fuel-bunkers.html"} {
		if got := find(words); !strings.Contains(got, want) {
			t.Errorf("search for %q leads to %.200q, not to %s", words, got, want)
		}
	}
	for words, want := range map[string]string{"h109": "holder-h-109.html", "n2024": "nozzle-n-2024.html", "pg02": "instrument-pg-02.html", "me1/3": "cylinder-me1-3.html",
		"24.01.2024": "round-me1-2024-01-24.html", "24 Jan 2024": "round-me1-2024-01-24.html", "spares": "stores.html", "overdue": "due.html"} {
		if got := find(words); got != want && !strings.HasPrefix(got, want+" ") {
			t.Errorf("search for %q leads to %.200q, not to %s first", words, got, want)
		}
	}
	for _, words := range []string{"galowyn", "Gallowny", "Líndqvist", "lindqvits"} { // one letter off, an accent
		if got := find(words); !strings.Contains(got, ".html") {
			t.Errorf("search for %q leads nowhere", words)
		}
	}
	if got := find("no-such-word-at-all"); got != "" {
		t.Errorf("a search for nothing leads to %q", got)
	}
	b.open(t, spite, "index.html")
	find("alert")
	if n := say(`String(document.querySelectorAll(".hits script, .hits img, .hits svg, .hits [onmouseover]").length + "/" + document.querySelectorAll(".hits li").length)`); !strings.HasPrefix(n, "0/") || n == "0/0" {
		t.Errorf("hostile text in the hits: %s", n)
	}
	b.open(t, dir, "parts.html")
	if got := say(`(() => { const th = document.querySelectorAll("main table thead th")[3]; const b = th.querySelector("button"); b.click(); b.click();
		const v = Array.from(th.closest("table").tBodies[0].rows).map(r => parseFloat(r.cells[3].textContent.replace(/\u202f/g, "")) || 0); return th.getAttribute("aria-sort") + " " + v.slice(1).every((x, i) => x <= v[i]) })()`); got != "descending true" {
		t.Errorf("sorting hours the other way round gives %q", got)
	}
	if got := say(`(() => { const f = document.querySelector(".filter input"); f.value = "no such word"; f.dispatchEvent(new Event("input")); return String(Array.from(f.closest("section").querySelectorAll("tbody tr")).filter(r => !r.hidden).length) })()`); got != "0" {
		t.Errorf("a filter that nothing meets leaves %s rows", got)
	}
	b.open(t, dir, "since.html")
	if got := say(`(() => { const f = document.querySelector("input[placeholder='2024-06-24']"), d = document.querySelector("section.month li").getAttribute("data-day"); f.value = d; f.dispatchEvent(new Event("change"));
		return String(Array.from(document.querySelectorAll("section.month li")).filter(l => !l.closest("[hidden]")).every(l => l.getAttribute("data-day") >= d)) })()`); got != "true" {
		t.Error("a day that was picked leaves older changes")
	}
	say(`localStorage.removeItem("needlebook-theme"); "" `)
	b.open(t, dir, "index.html")
	say(`document.querySelector(".aids button").click(); ""`)
	first := say(`document.documentElement.getAttribute("data-theme")`)
	b.open(t, dir, "audit-trail.html")
	if got := say(`document.documentElement.getAttribute("data-theme")`); got != first || first == "" {
		t.Errorf("the night is forgotten: %q, then %q", first, got)
	}
	say(`localStorage.removeItem("needlebook-theme"); ""`)
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, e := range b.events {
		t.Errorf("the browser says %s", e)
	}
}

var pdfPage = regexp.MustCompile(`/Type\s*/Page\b`)

// TestWiderPrints prints records on A4: one sheet to three, in nine points, with every caution.
func TestWiderPrints(t *testing.T) {
	b := newTab(t)
	dir, names := widerPages(t)
	printed := 0
	for _, name := range names {
		if !strings.HasPrefix(name, "overhaul-") {
			continue
		}
		if printed++; printed%4 != 0 {
			continue
		}
		b.open(t, dir, name)
		pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize()))
		must(t, err)
		if n := len(pdfPage.FindAll(pdf, -1)); n < 1 || n > 3 {
			t.Errorf("%s prints on %d sheets", name, n)
		}
	}
	if printed == 0 {
		t.Error("no record to print")
	}
}

// TestWiderDuePrintsOnOneSheet prints what is due on the example vessel and on larger invented ones: the list to carry fits one A4 page.
func TestWiderDuePrintsOnOneSheet(t *testing.T) {
	b := newTab(t)
	for _, x := range []struct {
		seed      uint64
		overhauls int
	}{{0, 0}, {1, 60}, {3, 900}} {
		dir := filepath.Join(t.TempDir(), "out")
		from := os.DirFS("../example-vessel")
		if x.overhauls > 0 {
			from = invent.Vessel(x.seed, invent.Options{Overhauls: x.overhauls}).FS()
		}
		must(t, build(bookOf(t, from, nil), dir))
		b.open(t, dir, "due.html")
		pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize()))
		must(t, err)
		if n := len(pdfPage.FindAll(pdf, -1)); n != 1 {
			t.Errorf("seed %d, %d overhauls: what is due prints on %d sheets", x.seed, x.overhauls, n)
		}
	}
}

// ofMany are the pages of which a book has one for each of its things; every other page is a kind of its own.
var ofMany = regexp.MustCompile(`^(cylinder|engine|overhaul|behind|holder|nozzle|instrument|bunker|round|sheet|file|since)-`)

// kindsOf are one page of each kind.
func kindsOf(names []string) []string {
	var one []string
	kinds := map[string]bool{}
	for _, name := range names {
		kind := name
		if m := ofMany.FindString(name); m != "" {
			kind = m
		}
		if !kinds[kind] {
			kinds[kind] = true
			one = append(one, name)
		}
	}
	return one
}

// TestWiderAccessible runs axe-core over the kinds of pages, by day, by night and on a telephone, where NEEDLEBOOK_AXE names its script.
func TestWiderAccessible(t *testing.T) {
	b := newTab(t)
	axe, err := os.ReadFile(os.Getenv("NEEDLEBOOK_AXE"))
	if err != nil {
		t.Fatal("the wider tests want NEEDLEBOOK_AXE, the script that judges a page: ", err)
	}
	dir, names := widerPages(t)
	top := filepath.Join(t.TempDir(), "fleet")
	if _, err := Join([]fleet.Ship{fleet.In(dir, top), {Name: "absent", Why: "not built"}}, top); err != nil {
		t.Fatal(err)
	}
	look := func(dir, name, how string) {
		b.open(t, dir, name)
		_, err := chromedp.Run(b.ctx, chromedp.Evaluate[any](string(axe)+";0"))
		must(t, err)
		out, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`axe.run().then(r => JSON.stringify(r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html).join(" | "))))`, chromedp.EvalAwaitPromise))
		must(t, err)
		var found []string
		must(t, json.NewDecoder(bytes.NewReader([]byte(out))).Decode(&found))
		for _, f := range found {
			t.Errorf("%s, %s: %s", name, how, f)
		}
	}
	for _, how := range []struct {
		words, scheme string
		width         int64
	}{{"day", "light", 1280}, {"night", "dark", 1280}, {"telephone", "light", 360}} {
		must(t, chromedp.Do(b.ctx, chromedp.EmulateViewport(how.width, 900)))
		must(t, chromedp.Do(b.ctx, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, s, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: how.scheme}}})
			return chromedp.Void{}, err
		}))
		for _, name := range kindsOf(names) {
			look(dir, name, how.words)
		}
		look(top, "index.html", "all ships, "+how.words)
	}
}

// TestWiderWordsOfDrawings holds the words of every drawing apart: none lies on another and none is cut at the edge of its drawing, on the example
// vessel and on an invented one with long serials and long words of limits.
func TestWiderWordsOfDrawings(t *testing.T) {
	b := newTab(t)
	dir, names := widerPages(t)
	other := filepath.Join(t.TempDir(), "other")
	must(t, build(bookOf(t, invent.Vessel(8, invent.Options{Overhauls: 200}).FS(), nil), other))
	must(t, chromedp.Do(b.ctx, chromedp.EmulateViewport(1280, 900)))
	const words = `Array.from(document.querySelectorAll("svg")).flatMap(svg => { const b = svg.getBoundingClientRect(), out = [];
		const all = Array.from(svg.querySelectorAll("text")).map(t => [t.textContent, t.getBoundingClientRect()]).filter(t => t[1].width > 0);
		all.forEach(([text, r], i) => {
			if (r.left < b.left - 2 || r.right > b.right + 2) out.push(text + " is cut");
			for (const [more, c] of all.slice(i + 1))
				if (Math.min(r.right, c.right) - Math.max(r.left, c.left) > 2 && Math.min(r.bottom, c.bottom) - Math.max(r.top, c.top) > 5) out.push(text + " lies on " + more);
		}); return out }).join("; ")`
	for _, at := range []struct {
		dir   string
		names []string
	}{{dir, kindsOf(names)}, {other, kindsOf(pagesIn(t, other))}} {
		for _, name := range at.names {
			b.open(t, at.dir, name)
			got, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](words))
			must(t, err)
			if got != "" {
				t.Errorf("%s: %.300s", name, got)
			}
		}
	}
}

// TestWiderReadable measures what a reader has before the eyes. At 1280 no table hides a column; at 360 no word of a chart is under
// 11 pixels and nothing that a finger meets is lower than 24 (WCAG 2.2, 2.5.8; links in a line of text are its exception); on A4 no word
// is under 9 points, which is 12 pixels.
func TestWiderReadable(t *testing.T) {
	b := newTab(t)
	dir, names := widerPages(t)
	const sizes = `(least, all) => { const out = new Set(), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		while (walk.nextNode()) { const e = walk.currentNode.parentElement, svg = e.closest("svg");
			if (!walk.currentNode.data.trim() || !svg && !all || e.closest("title, desc, .say-it, .skip") || !e.getClientRects().length) continue;
			const s = parseFloat(getComputedStyle(e).fontSize) * (svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1);
			if (s < least) out.add(s.toFixed(1) + " px: " + walk.currentNode.data.trim().slice(0, 30)); }
		return Array.from(out).slice(0, 5).join("; ") }`
	for _, how := range []struct {
		media, js string
		width     int64
	}{
		{"", `Array.from(document.querySelectorAll(".wide")).filter(w => w.querySelector("table") && w.scrollWidth > w.clientWidth + 1).
			map(w => (w.scrollWidth - w.clientWidth) + " px hidden of: " + w.textContent.slice(0, 60)).join("; ")`, 1280},
		{"", "(" + sizes + ")(11, false)", 360},
		{"", `Array.from(document.querySelectorAll("nav a, button, summary, input, .bore")).filter(e => e.getClientRects().length && !e.closest(".skip") && e.getBoundingClientRect().height < 23.9).
			slice(0, 5).map(e => e.getBoundingClientRect().height.toFixed(1) + " px high: " + e.textContent.slice(0, 30)).join("; ")`, 360},
		{"print", "(" + sizes + ")(11.9, true)", 696},
	} {
		must(t, chromedp.Do(b.ctx, chromedp.EmulateViewport(how.width, 900)))
		must(t, chromedp.Do(b.ctx, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, s, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: how.media})
			return chromedp.Void{}, err
		}))
		for _, name := range kindsOf(names) {
			b.open(t, dir, name)
			got, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](how.js))
			must(t, err)
			if got != "" {
				t.Errorf("%s, %d wide %s: %.400s", name, how.width, how.media, got)
			}
		}
	}
}

// TestWiderZoomed shows pages at twice their size in a window of 1280, which is a window of 640 to the page: nothing is wider than it.
func TestWiderZoomed(t *testing.T) {
	b := newTab(t)
	dir, names := widerPages(t)
	must(t, chromedp.Do(b.ctx, chromedp.EmulateViewport(640, 450)))
	for _, name := range kindsOf(names) {
		b.open(t, dir, name)
		wide, err := chromedp.Run(b.ctx, chromedp.Evaluate[int64]("document.documentElement.scrollWidth"))
		must(t, err)
		if wide > 640 {
			t.Errorf("%s is %d wide in a window of 640", name, wide)
		}
	}
}

// TestWiderPrintsAll prints one page of each kind on A4: no page of the print is wider than the sheet, and none is empty.
func TestWiderPrintsAll(t *testing.T) {
	b := newTab(t)
	dir, names := widerPages(t)
	for _, name := range kindsOf(names) {
		b.open(t, dir, name)
		pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize()))
		must(t, err)
		if n := len(pdfPage.FindAll(pdf, -1)); n < 1 || n > 12 {
			t.Errorf("%s prints on %d sheets", name, n)
		} else if name == string(address.Vessel) && n > 3 {
			t.Errorf("the first page prints on %d sheets: are the engines drawn as on a telephone?", n)
		}
		must(t, chromedp.Do(b.ctx, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, s, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
			return chromedp.Void{}, err
		}))
		must(t, chromedp.Do(b.ctx, chromedp.EmulateViewport(696, 1000))) // 184 mm between the margins at 96 to the inch
		wide, err := chromedp.Run(b.ctx, chromedp.Evaluate[int64]("document.documentElement.scrollWidth"))
		must(t, err)
		if wide > 696 {
			t.Errorf("%s is %d wide on a sheet of 696", name, wide)
		}
		must(t, chromedp.Do(b.ctx, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, s, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{})
			return chromedp.Void{}, err
		}))
	}
}

// TestWiderHTML has every page of the example vessel, of the hostile and the empty book and the front page of several ships read by the
// W3C's own checker, where NEEDLEBOOK_VNU names it: no error. Source: the Nu Html Checker, HTML Living Standard.
func TestWiderHTML(t *testing.T) {
	jar := os.Getenv("NEEDLEBOOK_VNU")
	if os.Getenv("NEEDLEBOOK_WIDER") != "1" {
		t.Skip("NEEDLEBOOK_WIDER is not 1")
	}
	if jar == "" {
		t.Fatal("the wider tests want NEEDLEBOOK_VNU, the checker of HTML")
	}
	t.Parallel()
	dir, _ := widerPages(t)
	top := t.TempDir()
	must(t, build(vessels(t)["empty"], filepath.Join(top, "empty")))
	spite := bookOf(t, spitefulFiles(t), nil)
	spite.Trail = spitefulTrail(spite.Book)
	must(t, build(spite, filepath.Join(top, "spite")))
	if _, err := Join([]fleet.Ship{fleet.In(dir, top), fleet.In(filepath.Join(top, "empty"), top), {Name: venom, Why: venom}}, filepath.Join(top, "front")); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("java", "-Xmx512m", "-jar", jar, "--errors-only", "--skip-non-html", dir, top).CombinedOutput()
	if err != nil {
		t.Errorf("%v\n%.4000s", err, out)
	}
}
