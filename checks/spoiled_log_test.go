package checks

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// TestSpoiledLog spoils a log that shows another time than was booked, in the ways of loggers, cables and sticks, and
// demands that something as grave stands in the place of what it showed.
func TestSpoiledLog(t *testing.T) {
	const log = "logs/a.csv"
	book, _ := caseFiles(t, folder(t, "testdata/base"), "testdata/booked-unlike-log/leak-down-longer.txtar")
	whole := book[log].Data
	lines := bytes.SplitAfter(whole, []byte("\n"))
	cut := func(from, to int) []byte { return bytes.Join(lines[from:to], nil) }
	replaced := func(was, is string) []byte { return []byte(strings.Replace(string(whole), was, is, 1)) }
	for name, text := range map[string][]byte{
		"as it is":             whole,
		"empty":                nil,
		"heading alone":        cut(0, 1),
		"broken off at rest":   cut(0, 30),
		"broken off in a hold": cut(0, len(lines)*3/4),
		"without heading":      cut(1, len(lines)),
		"megapascal":           replaced("[bar]", "[MPa]"),
		"kilopascal":           replaced("[bar]", "[kPa]"),
		"no unit":              replaced(" [bar]", ""),
		"decimal commas":       regexp.MustCompile(`(\d)\.(\d)`).ReplaceAll(whole, []byte("$1,$2")),
		"commas, semicolons":   []byte(strings.NewReplacer(",", ";", ".", ",").Replace(string(whole))),
		"a picture":            []byte("\x89PNG\r\n\x1a\n0000"),
		"every tenth letter":   bytes.ReplaceAll(whole, []byte("1"), nil),
	} {
		book[log] = &fstest.MapFile{Data: text}
		b, err := logbook.Read(book)
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, f := range Run(b, Options{Only: []*Check{bookedUnlikeLog}}).Findings {
			found = found || f.Grade == Action
		}
		if !found {
			t.Errorf("%s: what the log showed is gone, and nothing stands in its place", name)
		}
	}
}
