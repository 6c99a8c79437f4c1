package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// TestWiderSixtySeconds is the superintendent's look at the example vessel, in a browser from the folder: with nothing but the first page,
// each of the six things that he must find in a minute is one click away, and the page it leads to says so. It runs where
// NEEDLEBOOK_WIDER is 1.
func TestWiderSixtySeconds(t *testing.T) {
	if os.Getenv("NEEDLEBOOK_WIDER") != "1" {
		t.Skip("NEEDLEBOOK_WIDER is not 1")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal("the wider tests want chromium: ", err)
	}
	dir := filepath.Join(t.TempDir(), "demo")
	var out, errs bytes.Buffer
	if status := run([]string{"demo", dir}, nil, &out, &errs); status != exitClean {
		t.Fatalf("demo: status %d: %s", status, errs.String())
	}
	ctx, cancel := chromedp.NewContext(context.Background(), chromedp.WithAllocatorOptions(chromedp.ExecPath(browser), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("no-sandbox", true), chromedp.Flag("disable-gpu", true), chromedp.Flag("disable-quic", true), chromedp.Flag("no-first-run", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true)))
	defer cancel()
	index := "file://" + filepath.ToSlash(filepath.Join(dir, "pages", "index.html"))
	say := func(js string) string {
		t.Helper()
		ctx, cancel := context.WithTimeout(ctx, 30*time.Second)
		defer cancel()
		text, err := chromedp.Run(ctx, chromedp.Evaluate[string](js, chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	for _, look := range []struct {
		finds string
		on    []string // words that the first page says of it, before any click
		click string   // the link, by where it stands and what it says
		in    string
		page  string   // where it leads
		says  []string // what that page says
	}{
		{"the altered record", []string{"3.1 s", "9.1 s", "unsigned", "changed after countersigning"}, "2023-04-20-h-110", ".found .g-stop", "overhaul-2023-04-20-h-110.html", []string{"changed since countersigned by o.lindqvist", "3.1 s", "9.1 s"}},
		{"the story of H-109", []string{"holder H-109", "failed 6 of 6, of the others"}, "holder H-109", "#together", "holder-h-109.html", []string{"Condemned on 2022-10-14", "6 of 6", "ME1-3", "ME2-3"}},
		{"the gauge window", []string{"gauge PG-02", "2022-03-09 to 2022-05-14", "13 records"}, "gauge PG-02", "#together", "instrument-pg-02.html", []string{"2022-03-09 to 2022-05-14", "1.072"}},
		{"the bunker", []string{"bunker Gallowyn Reach"}, "bunker Gallowyn Reach", "#together", "bunker-gallowyn-reach-2022-11-18.html", []string{"Gallowyn Reach", "13 of 17", "52 mg/kg"}},
		{"the overrun deferral", []string{"D-07", "908 h over"}, "deferral overrun", "#together", "file-deferrals-d-07.html", []string{"D-07", "500 h", "1408 h"}},
		{"what is due next", []string{"The next valves: ME2-2 H-108 / N-2039", "784 h left"}, "ME2-2", "#due", "cylinder-me2-2.html", []string{"784 h", "left to the interval"}},
	} {
		if _, err := chromedp.Run(ctx, chromedp.Navigate(index)); err != nil {
			t.Fatal(err)
		}
		first := plainText(say("document.body.innerText"))
		for _, want := range look.on {
			if !strings.Contains(first, want) {
				t.Errorf("%s: the first page does not say %q", look.finds, want)
			}
		}
		clicked := say(`(() => { for (const part of document.querySelectorAll(` + strconv.Quote(look.in) + `)) for (const a of part.querySelectorAll("a")) if (a.textContent.includes(` + strconv.Quote(look.click) + `)) { setTimeout(() => a.click()); return "yes" } return "no" })()`)
		if clicked != "yes" {
			t.Errorf("%s: no link %q in %s", look.finds, look.click, look.in)
			continue
		}
		at := ""
		for range 100 {
			// A page that is being left answers with an error.
			now, err := chromedp.Run(ctx, chromedp.Evaluate[string]("document.readyState === 'complete' ? location.pathname.split('/').pop() : ''"))
			if at = now; err == nil && at == look.page {
				break
			}
			time.Sleep(50 * time.Millisecond)
		}
		if at != look.page {
			t.Errorf("%s: the link leads to %s, want %s", look.finds, at, look.page)
			continue
		}
		text := plainText(say("document.body.textContent"))
		for _, want := range look.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %s does not say %q", look.finds, look.page, want)
			}
		}
	}
}

// plainText is a page's text with single blanks and without the thin ones inside numbers.
func plainText(text string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(text, "\u202f", "")), " ")
}
