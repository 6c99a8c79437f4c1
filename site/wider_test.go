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
)

// The wider tests open the pages in a real browser from the folder, as a reader with a memory stick does. They run where
// NEEDLEBOOK_WIDER is 1 and a browser is found.

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
		t.Skip("no browser found")
	}
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
		if i%5 == 0 || !strings.HasPrefix(name, "overhaul-") && !strings.HasPrefix(name, "nozzle-") {
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
			if i%7 != 0 && (strings.HasPrefix(name, "overhaul-") || strings.HasPrefix(name, "nozzle-") || strings.HasPrefix(name, "file-")) {
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

// TestWiderWithoutScripts holds that a page says the same with scripts off.
func TestWiderWithoutScripts(t *testing.T) {
	b := newTab(t)
	dir, _ := widerPages(t)
	for _, name := range []string{"index.html", "findings.html", "trace.html"} {
		var texts [2]string
		for i, off := range []bool{false, true} {
			b.scripts(t, off)
			b.open(t, dir, name)
			text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string]("document.body.innerText"))
			must(t, err)
			texts[i] = text
		}
		if texts[0] != texts[1] || len(texts[0]) < 200 {
			t.Errorf("%s says something else without scripts", name)
		}
	}
}

var pdfPage = regexp.MustCompile(`/Type\s*/Page\b`)

// TestWiderPrints prints records on A4: one sheet or two.
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
		if n := len(pdfPage.FindAll(pdf, -1)); n < 1 || n > 2 {
			t.Errorf("%s prints on %d sheets", name, n)
		}
	}
	if printed == 0 {
		t.Error("no record to print")
	}
}

// TestWiderAccessible runs axe-core over the kinds of pages, where NEEDLEBOOK_AXE names its script.
func TestWiderAccessible(t *testing.T) {
	b := newTab(t)
	axe, err := os.ReadFile(os.Getenv("NEEDLEBOOK_AXE"))
	if err != nil {
		t.Skip("NEEDLEBOOK_AXE names no script")
	}
	dir, names := widerPages(t)
	kinds := map[string]bool{}
	for _, name := range names {
		kind, _, _ := strings.Cut(name, "-")
		if kinds[kind] {
			continue
		}
		kinds[kind] = true
		b.open(t, dir, name)
		_, err := chromedp.Run(b.ctx, chromedp.Evaluate[any](string(axe)+";0"))
		must(t, err)
		out, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`axe.run().then(r => JSON.stringify(r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html).join(" | "))))`, chromedp.EvalAwaitPromise))
		must(t, err)
		var found []string
		must(t, json.NewDecoder(bytes.NewReader([]byte(out))).Decode(&found))
		for _, f := range found {
			t.Errorf("%s: %s", name, f)
		}
	}
}
