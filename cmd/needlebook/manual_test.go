package main

import (
	"bytes"
	"os"
	"os/exec"
	"testing"

	"needlebook/logbook/words"
)

// Every verb has a manual page that says what its help says, and in which groff, the formatter behind man(1), finds nothing wrong.
func TestManualPages(t *testing.T) {
	groff, err := exec.LookPath("groff")
	if err != nil && os.Getenv("NEEDLEBOOK_WIDER") == "1" {
		t.Logf("groff is not installed: the pages are not formatted")
	}
	all := pages((&program{}).root())
	if len(all) < 20 {
		t.Fatalf("%d pages", len(all))
	}
	for _, w := range words.All() {
		if !bytes.Contains(manPage(all[0]), []byte(roff(w.Name+"\n  "+w.Means))) {
			t.Errorf("the page of the program does not say %q", w.Name)
		}
	}
	for _, c := range all {
		page := manPage(c)
		for _, want := range []string{c.Short, "EXIT STATUS", "not an instruction"} {
			if !bytes.Contains(page, []byte(roff(want))) {
				t.Errorf("%s: the page does not say %q", c.CommandPath(), want)
			}
		}
		if groff == "" {
			continue
		}
		cmd := exec.Command(groff, "-man", "-ww", "-Tutf8", "-z")
		cmd.Stdin = bytes.NewReader(page)
		if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("%s: groff says %v\n%s", c.CommandPath(), err, out)
		}
	}
}
