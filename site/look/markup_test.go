package look

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestValuesAreQuoted looks through the source of the renderer: a value within quotes goes through attribute, which escapes quotes as well.
func TestValuesAreQuoted(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	open := regexp.MustCompile("=\"`\\)\\.t\\(")
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if at := open.FindIndex(src); at != nil && !strings.HasSuffix(name, "_test.go") {
			t.Errorf("%s: %q: a text within quotes that is escaped for an element", name, src[at[0]:at[1]])
		}
	}
	got := string(new(pen).attribute("alt", `"><script>'`).B)
	if want := ` alt="&#34;&gt;&lt;script&gt;&#39;"`; got != want {
		t.Errorf("attribute = %s, want %s", got, want)
	}
	if got := string(new(pen).attribute("id", "").B); got != "" {
		t.Errorf("an attribute without a value = %q", got)
	}
}
