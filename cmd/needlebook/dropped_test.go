package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook/trace"
)

// What computers and editors drop among the records blocks no signing and is never signed; a note that somebody put among the
// records is asked about, and goes where it is named.
func TestSignAllAmongWhatComputersDrop(t *testing.T) {
	from := surroundings(t)
	book, key := filepath.Join(from, "book"), filepath.Join(from, "eng")
	put := func(name, text string) {
		name = filepath.Join(book, filepath.FromSlash(name))
		os.MkdirAll(filepath.Dir(name), 0o777)
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	record := "overhauls/me1/c1/" + recordStem + ".md"
	text, err := os.ReadFile(filepath.Join(book, record))
	if err != nil {
		t.Fatal(err)
	}
	put(record, string(text)+"\nSeen again.\n")
	dropped := []string{"Thumbs.db", "overhauls/Thumbs.db", "overhauls/me1/desktop.ini", ".vscode/settings.json", ".obsidian/app.json", "overhauls/me1/.obsidian/x.md",
		"overhauls/me1/c1/~$" + recordStem + ".md", record + ".bak", record + "~", "overhauls/me1/c1/._" + recordStem + ".md", ".DS_Store", "overhauls/me1/c1/." + recordStem + ".md.swp"}
	for _, name := range dropped {
		put(name, string(text))
	}
	put("overhauls/me1/c1/notes.txt", "ask the maker\n")
	sign := func(want int, args ...string) string {
		t.Helper()
		var out, errs bytes.Buffer
		if status := run(append([]string{"sign", "--key", key, "--book", book}, args...), strings.NewReader("y\n"), &out, &errs); status != want {
			t.Errorf("%v: status %d, want %d: %s%s", args, status, want, out.String(), errs.String())
		}
		return out.String() + errs.String()
	}
	held := func() string {
		tip, err := trace.FS(book, "HEAD")
		if err != nil {
			t.Fatal(err)
		}
		defer tip.Close()
		all := ""
		for _, name := range append(dropped, "overhauls/me1/c1/notes.txt", record) {
			if text, err := tip.ReadFile(name); err == nil && (name != record || bytes.Contains(text, []byte("Seen again"))) {
				all += name + " "
			}
		}
		return all
	}
	if said := sign(exitFindings, "--all"); !strings.Contains(said, "notes.txt is not signed: no check reads it") || held() != record+" " {
		t.Errorf("the commit holds %s\n%s", held(), said)
	}
	sign(exitClean, "overhauls/me1/c1/notes.txt")
	if got := held(); got != "overhauls/me1/c1/notes.txt "+record+" " {
		t.Errorf("after it was named the commit holds %s", got)
	}
	for _, name := range dropped[:1] {
		sign(exitUse, name)
	}
}
