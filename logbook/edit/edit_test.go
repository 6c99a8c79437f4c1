package edit_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/edit"
)

func all(string) bool { return true }

func only(names ...string) func(string) bool {
	return func(n string) bool { return slices.Contains(names, n) }
}

// The habits are those of people who type on a shared computer: common practice, no source.
func TestCorrect(t *testing.T) {
	const path = "overhauls/me1/c1/2024-04-02-h-1.md"
	for _, c := range []struct{ name, front, want string }{
		{"decimal comma", "measured: {lift: \"0,76 mm\"}", "measured: {lift: \"0.76 mm\"}"},
		{"decimal comma with another unit", "as_found:\n  first_opening: 300,5 Bar   # hot", "as_found:\n  first_opening: 300.5 bar   # hot"},
		{"unit", "as_found: {opening_pressure: [300 BAR, 305 bar]}", "as_found: {opening_pressure: [300 bar, 305 bar]}"},
		{"unit without a space", "assembled: {nozzle_nut: {torque: 400Nm}}", "assembled: {nozzle_nut: {torque: 400 N·m}}"},
		{"number for a serial", "holder: 113", "holder: \"113\""},
		{"serial with an exponent", "holder: 1e5 # as stamped", "holder: \"1e5\" # as stamped"},
		{"curly quotes", "holder: “H-1” # as stamped", "holder: \"H-1\" # as stamped"},
		{"curly quotes in a list", "as_found: {opening_pressure: [‘300 bar’, 305 bar]}", "as_found: {opening_pressure: [\"300 bar\", 305 bar]}"},
		{"value or remark", "as_found:\n  gauge: #1", "as_found:\n  gauge: #1"},
		{"no blank behind the colon", "removed:\n  date:2024-05-01\n  reason: planned", "removed:\n  date: 2024-05-01\n  reason: planned"},
		{"no blank behind the colon in a group", "removed: {date:2024-05-01, reason: planned}", "removed: {date: 2024-05-01, reason: planned}"},
		{"no blank behind the only colon", "removed:\n  reason:planned", "removed:\n  reason: planned"},
		{"colon left out", "removed:\n  date: 2024-05-01\n  reason planned\n  rings_out: 1", "removed:\n  date: 2024-05-01\n  reason: planned\n  rings_out: 1"},
		{"quote not closed", "holder: \"H-1\nnozzle: \"N-1\"\nby: a.berg", "holder: \"H-1\"\nnozzle: \"N-1\"\nby: a.berg"},
		{"key as on a form", "As found:\n  gauge: PG-01\n  Opening-pressure: 300 bar", "as_found:\n  gauge: PG-01\n  opening_pressure: 300 bar"},
		{"no-break spaces", "as_found:\n\u00a0\u00a0gauge: PG-01", "as_found:\n  gauge: PG-01"},
		{"value behind # in a group", "removed: {engine: #1, cylinder: 3}", "removed: {engine: \"#1\", cylinder: 3}"},
		{"word", "inspected: {tip: Good}", "inspected: {tip: good}"},
		{"truth value", "fitted: {pocket_faced: true}", "fitted: {pocket_faced: yes}"},
		{"day first, above twelve", "removed: {date: 23.04.2024}", "removed: {date: 2024-04-23}"},
		{"day or month first", "removed: {date: 02.04.2024}", "removed: {date: 02.04.2024}"},
		{"decimal comma that YAML cuts", "measured: {lift: {value: 0,76 mm, with: DG-1}}", "measured: {lift: {value: 0.76 mm, with: DG-1}}"},
		{"thousands that YAML cuts", "removed: {counter: 57,705 h, reason: planned}", "removed: {counter: 57,705 h, reason: planned}"},
		{"thousands", "removed: {counter: \"57,705 h\"}", "removed: {counter: \"57,705 h\"}"},
		{"no unit", "measured: {lift: 0.76}", "measured: {lift: 0.76}"},
		{"colon in a number", "as_found: {leak_down: {time: 3:20}}", "as_found: {leak_down: {time: 3:20}}"},
		{"unit that does not exist", "measured: {lift: 0.76 mn}", "measured: {lift: 0.76 mn}"},
		{"key nearly right", "mesured: {}", "mesured: {}"},
		{"reason cut at a comma", "inspected: {tip: not looked at (lens broken, no lamp)}", "inspected: {tip: \"not looked at (lens broken, no lamp)\"}"},
		{"colon in a text", "decided:\n  why: good: all within", "decided:\n  why: \"good: all within\""},
		{"tab", "as_found:\n\tgauge: PG-01", "as_found:\n  gauge: PG-01"},
		{"tab and comma", "as_found:\n\tfirst_opening: 300,5 bar", "as_found:\n  first_opening: 300.5 bar"},
		{"quotes of one stroke", "measured: {lift: '0,76 mm'}", "measured: {lift: '0.76 mm'}"},
	} {
		src := "---\n" + c.front + "\n---\n\nRemarks: 0,76 Bar stay.\n"
		out, made := edit.Correct(path, []byte(src), all)
		if want := strings.Replace(src, c.front, c.want, 1); string(out) != want {
			t.Errorf("%s: Correct gave\n%swant\n%s(%+v)", c.name, out, want, made)
		}
		if again, more := edit.Correct(path, out, all); string(again) != string(out) || len(more) > 0 {
			t.Errorf("%s: a second run changed %+v", c.name, more)
		}
	}
}

// An old file with a byte-order mark and CRLF keeps every byte but the digit's comma when only that is wanted.
func TestCorrectKeepsEveryOtherByte(t *testing.T) {
	const src = "\xef\xbb\xbf---\r\nholder: 'H-1'   # Bär \r\nmeasured: {lift: '0,76 mm'}\r\n---\r\nremark\r\n\r\n"
	out, _ := edit.Correct("overhauls/me1/c1/x.md", []byte(src), only("decimal-comma"))
	if want := strings.Replace(src, "0,76", "0.76", 1); string(out) != want {
		t.Errorf("Correct = %q, want %q", out, want)
	}
	out, made := edit.Correct("overhauls/me1/c1/x.md", []byte(src), all)
	if strings.Contains(string(out), "\r") || strings.HasPrefix(string(out), "\xef") || len(made) != 3 {
		t.Errorf("Correct = %q with %+v", out, made)
	}
}

func TestCorrectTables(t *testing.T) {
	out, _ := edit.Correct("running/me1.csv", []byte("date,load_pct,pmax_bar\n2024-04-02,84,\"141,5\"\n2024/04/03,80,140\n"), all)
	if want := "date,load_pct,pmax_bar\n2024-04-02,84,\"141.5\"\n2024-04-03,80,140\n"; string(out) != want {
		t.Errorf("Correct = %q, want %q", out, want)
	}
}

// OpenSSH takes a date without Z for the local time of whoever reads it: ssh-keygen(1), ALLOWED SIGNERS.
func TestCorrectRegister(t *testing.T) {
	const src = `a@b namespaces="git",valid-after="20240101",valid-before="20250101Z" ssh-ed25519 AAAA` + "\n"
	out, made := edit.Correct("signers/allowed_signers", []byte(src), all)
	if want := strings.Replace(src, `20240101"`, `20240101Z"`, 1); string(out) != want || len(made) != 1 {
		t.Errorf("Correct = %q with %+v, want %q", out, made, want)
	}
}

// Nothing of the example vessel that is read without a word is touched.
func TestCorrectLeavesGoodFilesAlone(t *testing.T) {
	root := filepath.Join("..", "..", "example-vessel")
	book, err := logbook.Read(os.DirFS(root))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range book.Files {
		if ext := filepath.Ext(name); ext != ".md" && ext != ".csv" {
			continue
		}
		src, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		if out, made := edit.Correct(name, src, all); len(logbook.Problems(name, src)) == 0 && string(out) != string(src) {
			t.Errorf("%s: %+v", name, made)
		}
	}
}

func FuzzCorrect(f *testing.F) {
	f.Add([]byte("---\nholder: 1\nmeasured: {lift: '0,76 mm'}\n---\n"))
	f.Add([]byte("\xef\xbb\xbf\xfe\xff\x17\t"))                    // a mark before a mark of another encoding
	f.Add([]byte("\xef\xbb\xbf\xef\xbb\xbf---\nholder: 1\n---\n")) // saved twice by a careful editor
	f.Fuzz(func(t *testing.T, src []byte) {
		const name = "overhauls/me1/c1/x.md"
		out, _ := edit.Correct(name, src, all)
		if again, made := edit.Correct(name, out, all); string(again) != string(out) {
			t.Errorf("a second run changed %q to %q: %+v", out, again, made)
		}
	})
}

func TestInsert(t *testing.T) {
	order := []string{"holder", "as_found", "measured", "by"}
	const src = "\xef\xbb\xbf---\r\n# mine\r\nholder: \"H-1\"  # stamped\r\n\r\n# who\r\nby: x\r\n---\r\nbody\r\n"
	out, err := edit.Insert([]byte(src), "measured", "measured:\n  lift:\n", order)
	if err != nil {
		t.Fatal(err)
	}
	if want := strings.Replace(src, "# who", "measured:\r\n  lift:\r\n# who", 1); string(out) != want {
		t.Errorf("Insert = %q, want %q", out, want)
	}
	if _, err := edit.Insert(out, "measured", "measured:\n", order); !errors.Is(err, edit.ErrThere) {
		t.Errorf("second Insert: %v, want ErrThere", err)
	}
	if _, err := edit.Insert([]byte("no dashes\n"), "by", "by:\n", order); !errors.Is(err, edit.ErrNoFrontMatter) {
		t.Errorf("Insert without front matter: %v", err)
	}
}

func TestDisk(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a folder", "é.md")
	if err := edit.Create(name, []byte("one")); err != nil {
		t.Fatal(err)
	}
	if err := edit.Create(name, []byte("two")); !errors.Is(err, fs.ErrExist) {
		t.Errorf("second Create: %v, want fs.ErrExist", err)
	}
	if err := edit.Replace(name, []byte("other"), []byte("two")); !errors.Is(err, edit.ErrChanged) {
		t.Errorf("Replace of a changed file: %v, want ErrChanged", err)
	}
	if err := edit.Replace(name, []byte("one"), []byte("two")); err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(name)
	if left, _ := os.ReadDir(filepath.Dir(name)); err != nil || string(got) != "two" || len(left) != 1 {
		t.Errorf("file holds %q, %v, folder %v", got, err, left)
	}
}

// A table that another program saved becomes one with commas, every cell as it was read; a cell with a comma gets quotes.
func TestCorrectMarksBetweenCells(t *testing.T) {
	const want = "# by hand; mine\ndate,counter_h,note\n2024-01-01,\"18100.5\",\n2024-01-08,,\"lost, found\"\n"
	for name, src := range map[string]string{
		"semicolons": "# by hand; mine\ndate;counter_h;note\n2024-01-01;18100,5;\n2024-01-08;;\"lost, found\"\n",
		"tabs":       "# by hand; mine\nDate\tcounter_h\tnote\n2024-01-01\t18100,5\t\n2024-01-08\t\tlost, found\n",
	} {
		got, made := edit.Correct("hours/me1.csv", []byte(src), all)
		if string(got) != want {
			t.Errorf("%s: %q, want %q; made %v", name, got, want, made)
		}
	}
}
