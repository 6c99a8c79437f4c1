package card_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
)

// printing is a page in the real browser.
type printing struct {
	*testing.T
	dir, html string
}

// inBrowser writes a page for the browser. Where that, or what counts the pages that it printed, is not installed, the
// test is skipped; in the wider run it fails.
func inBrowser(t *testing.T, page string) printing {
	t.Helper()
	for _, tool := range []string{"chromium", "pdfinfo"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
				t.Fatalf("%s is wanted for the wider tests: %v", tool, err)
			}
			t.Skipf("%s is not installed", tool)
		}
	}
	dir := t.TempDir()
	html := filepath.Join(dir, "page.html")
	if err := os.WriteFile(html, []byte(page), 0o666); err != nil {
		t.Fatal(err)
	}
	return printing{t, dir, html}
}

func (p printing) run(args ...string) []byte {
	p.Helper()
	args = append([]string{"--headless", "--no-sandbox", "--disable-gpu",
		"--user-data-dir=" + filepath.Join(p.dir, "profile")}, args...)
	out, err := exec.Command("chromium", append(args, "file://"+p.html)...).Output()
	if err != nil {
		p.Fatalf("chromium: %v", err)
	}
	return out
}

// title is the title of the page after its script ran.
func (p printing) title() string {
	p.Helper()
	title := regexp.MustCompile(`<title>(.*)</title>`).FindSubmatch(p.run("--dump-dom"))
	if title == nil {
		return "no title"
	}
	return string(title[1])
}

// printsOn says what the printed page is, where that is another number of pages of A4.
func (p printing) printsOn(pages int) (other string) {
	p.Helper()
	pdf := filepath.Join(p.dir, "page.pdf")
	p.run("--no-pdf-header-footer", "--print-to-pdf="+pdf)
	info, err := exec.Command("pdfinfo", pdf).CombinedOutput()
	if err != nil {
		p.Fatalf("pdfinfo: %v\n%s", err, info)
	}
	count := regexp.MustCompile(fmt.Sprintf(`Pages: +%d\n`, pages))
	if count.Match(info) && bytes.Contains(info, []byte("(A4)")) {
		return ""
	}
	return string(info)
}
