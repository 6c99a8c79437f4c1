package manual

import (
	"io/fs"
	"regexp"
	"strings"
	"testing"
)

// Every chapter is in the list, has a title and a text, and none of its lists has lost its numbers.
func TestChapters(t *testing.T) {
	names, err := fs.Glob(files, "*.md")
	if err != nil || len(names) != len(order) {
		t.Errorf("%d chapters are in the list, %d in the folder: %v", len(order), len(names), err)
	}
	for _, c := range Chapters() {
		if c.Title == "" || strings.HasPrefix(c.Title, "#") || len(c.Body) < 200 {
			t.Errorf("%s: title %q, %d bytes", c.File, c.Title, len(c.Body))
		}
	}
}

// The lists that the pages share with the manual are whole: an item for each line, each a sentence.
func TestLists(t *testing.T) {
	sentence := regexp.MustCompile(`^\p{Lu}.*\.$`)
	for name, list := range map[string][]string{"cautions": Cautions(), "not promised": NotPromised()} {
		if len(list) < 12 {
			t.Errorf("%s: only %d", name, len(list))
		}
		for i, item := range list {
			if !sentence.MatchString(item) {
				t.Errorf("%s: number %d is %q", name, i+1, item)
			}
		}
	}
	if !strings.HasPrefix(Cautions()[0], "The test jet") || !strings.Contains(Before(), "not an instruction") {
		t.Errorf("the first caution is %q; what comes before is %q", Cautions()[0], Before())
	}
}
