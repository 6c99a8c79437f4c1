package checks

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"unicode/utf8"

	"needlebook/logbook"
)

// inQuotes is what a message quotes from a file.
var inQuotes = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

// length is how long a message is to read, in characters. What it quotes from a file counts as one: how long a name or a line is that
// somebody typed is not ours, and it is cut elsewhere.
func length(message string) int {
	return utf8.RuneCountInString(inQuotes.ReplaceAllString(message, "q"))
}

func TestLengthOfMessage(t *testing.T) {
	for message, want := range map[string]int{
		"lift 0.72 mm": 12, `"a very long line of a file \"quoted\" too": expected a number`: 20, "−±é": 3,
	} {
		if n := length(message); n != want {
			t.Errorf("length(%q) = %d, want %d", message, n, want)
		}
	}
}

// Every message that any case of any check, or the example vessel, brings out is one clause that is read in one go. What proves it is
// on lines of its own (Evidence).
func TestMessagesAreShort(t *testing.T) {
	n := 0
	short := func(where string, f Finding) {
		if n++; length(f.Message) > longest {
			t.Errorf("%s: %s: %d characters, at most %d: %s", where, f.Check, length(f.Message), longest, f.Message)
		}
		for _, line := range f.Evidence {
			if line == "" {
				t.Errorf("%s: %s: an empty line of evidence", where, f.Check)
			}
		}
	}
	for _, f := range Run(exampleVessel(t), Options{}).Findings {
		short("example vessel", f)
	}
	base := folder(t, "testdata/base")
	for _, k := range All() {
		if k.Example != "" {
			short("its example", Finding{Check: k.Name, Message: k.Example})
		}
		cases, err := os.ReadDir(filepath.Join("testdata", k.Name))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			book, trail := caseFiles(t, base, filepath.Join("testdata", k.Name, c.Name()))
			b, err := logbook.Read(book)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range Run(b, Options{Only: []*Check{k}, Trail: trail}).Findings {
				short(c.Name(), f)
			}
		}
	}
	if n < 500 {
		t.Fatalf("%d messages were looked at", n)
	}
}
