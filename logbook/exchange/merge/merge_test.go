package merge

import "testing"

// Files of every kind a book has, as both sides may have changed them.
func TestFile(t *testing.T) {
	for _, c := range []struct {
		name, path         string
		base, ours, theirs string // "-" for none
		clean              bool
		text, marked       string
	}{
		{"a counter reading each", "hours/me1.csv", "date,counter_h,note\n", "date,counter_h,note\n2024-01-01,1,\n", "date,counter_h,note\n2024-01-02,2,\n", true,
			"date,counter_h,note\n2024-01-01,1,\n2024-01-02,2,\n", ""},
		{"both began the table", "hours/me1.csv", "-", "date,counter_h,note\n2024-01-01,1,\n", "date,counter_h,note\n2024-01-02,2,\n", true,
			"date,counter_h,note\n2024-01-01,1,\n2024-01-02,2,\n", ""},
		{"other columns", "hours/me1.csv", "date,counter_h\n", "date,counter_h,note\n", "date,counter_h,by\n", false, "",
			"<<<<<<< here\ndate,counter_h,note\n=======\ndate,counter_h,by\n>>>>>>> there\n"},
		{"a hand let in on each side", "signers/allowed_signers", "a\n", "a\nb\n", "a\nc\n", true, "a\nb\nc\n", ""},
		{"the same hand let in on both sides, in two places", "signers/allowed_signers", "a\nm\nz\n", "a\nb\nm\nz\n", "a\nm\nz\nb\n", true, "a\nb\nm\nz\n", ""},
		{"one lets in, the other withdraws", "signers/allowed_signers", "a\nb\n", "a\n", "a\nb\nc\n", true, "a\nc\n", ""},
		{"two declarations of one key", "signers/withdrawn", "# none\n", "# none\nSHA256:a one\n", "# none\nSHA256:a two\n", true, "# none\nSHA256:a one\nSHA256:a two\n", ""},
		{"a declaration changed on both sides", "signers/withdrawn", "SHA256:a one\n", "SHA256:a two\n", "SHA256:a three\n", true, "SHA256:a two\nSHA256:a three\n", ""},
		{"an adoption on each side", "signers/adopted", "# none\n", "# none\na mine\n", "# none\nb mine\n", true, "# none\na mine\nb mine\n", ""},
		{"a picture", "photos/a.jpg", "\xff1", "\xff2", "\xff3", false, "", "\xff2"},
		{"one side took it out", "overhauls/me1/c1/x.md", "---\na: 1\n---\n", "-", "---\na: 2\n---\n", false, "---\na: 2\n---\n", "---\na: 2\n---\n"},
		{"the other side took it out", "overhauls/me1/c1/x.md", "---\na: 1\n---\n", "---\na: 2\n---\n", "-", false, "---\na: 2\n---\n", "---\na: 2\n---\n"},
		{"both began one record", "overhauls/me1/c1/x.md", "-", "---\nholder: H-1\nby: a\n---\n", "---\nholder: H-1\nminutes: 5\n---\nx\n", false,
			"---\nholder: H-1\nby: a\nminutes: 5\n---\nx\n", "---\nholder: H-1\nby: a\nminutes: 5\n---\nx\n"},
		{"no front matter", "overhauls/me1/c1/x.md", "one\ntwo\n", "One\ntwo\n", "ONE\ntwo\n", false, "", "<<<<<<< here\nOne\n=======\nONE\n>>>>>>> there\ntwo\n"},
		{"no line end at the end", "overhauls/me1/c1/x.md", "---\na: 1\n---\nx", "---\na: 1\n---\ny", "---\na: 1\n---\nz", false, "",
			"---\na: 1\n---\n<<<<<<< here\ny\n=======\nz\n>>>>>>> there\n"},
		{"line ends of the human stay", "overhauls/me1/c1/x.md", "---\na: 1\nb: 1\n---\n", "---\r\na: 2\r\nb: 1\r\n---\r\n", "---\na: 1\nb: 2\n---\n", false,
			"---\r\na: 2\r\nb: 2\r\n---\r\n", "---\r\na: 2\r\nb: 2\r\n---\r\n"},
	} {
		text := func(s string) []byte {
			if s == "-" {
				return nil
			}
			return []byte(s)
		}
		out := File(Sides{Path: c.path, Base: text(c.base), Ours: text(c.ours), Theirs: text(c.theirs)})
		if out.Clean != c.clean || string(out.Text) != c.text || string(out.Marked) != c.marked {
			t.Errorf("%s: clean %v, text %q, marked %q; want %v, %q, %q (%s)", c.name, out.Clean, out.Text, out.Marked, c.clean, c.text, c.marked, out.Plain)
		}
	}
}
