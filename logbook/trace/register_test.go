package trace_test

import (
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
)

// A register that is not of the form, whoever brings it, is refused as a whole; the last good one stays in
// force, so that nobody can sign others out, or himself in, by breaking it. OpenSSH itself takes several of
// these (patterns, a line without namespaces, one key under two names).
func TestRegistersThatAreRefused(t *testing.T) {
	good := lines(shore, berg, ivanov)
	with := func(old, new string) string { return strings.Replace(good, old, new, 1) }
	for _, c := range []struct{ name, mode, text, want string }{
		{"B10 a link", "120000", "../elsewhere", "is no plain file here"},
		{"B10 a folder", "40000", "", "is no plain file here"},
		{"B11 one key under two names", "", good + strings.Replace(lines(ivanov), "ivanov@", "other@", 1), "stands there for ivanov@second-engineer already"},
		{"B13 a pattern", "", with("ivanov@second-engineer", "*@second-engineer"), "not of the form"},
		{"B13 a pattern that excludes", "", with("ivanov@second-engineer", "!ivanov@second-engineer"), "not of the form"},
		{"B14 an authority", "", with(`namespaces="git,engineer@needlebook",valid`, `cert-authority,namespaces="git,engineer@needlebook",valid`), "not of the form"},
		{"B15 no namespaces", "", with(`namespaces="git,engineer@needlebook",`, ""), "not of the form"},
		{"B16 an option nobody knows", "", with(`namespaces="git,engineer@needlebook",`, `namespaces="git,engineer@needlebook",no-touch-required,`), "not of the form"},
		{"B16 a namespace nobody knows", "", with("engineer@needlebook", "captain@needlebook"), "is none of a book's"},
		{"B17 two ends", "", with(`valid-after="20240101Z"`, `valid-before="20250101Z",valid-before="20990101Z"`), "not of the form"},
		{"B18 a date in the reader's own time", "", with("20240101Z", "20240101"), "not of the form"},
		{"B19 a day that is not in the calendar", "", with("20240101Z", "20240231Z"), "20240231Z is no date"},
		{"B20 carriage returns", "", strings.ReplaceAll(good, "\n", "\r\n"), "not of the form"},
		{"B21 a byte-order mark", "", "\ufeff" + good, "not of the form"},
		{"B22 garbage first", "", "garbage\n" + good, "line 1"},
		{"B22 garbage in the middle", "", with("\n", "\ngarbage\n"), "line 2"},
		{"B22 garbage last", "", good + "garbage", "line 4"},
		{"B34 a name that only looks alike", "", with("ivanov@", "iv\u0430nov@"), "not of the form"}, // a Cyrillic letter
		{"a key of another kind", "", with("ssh-ed25519 ", "ssh-rsa "), "not of the form"},
		{"longer than 64 KiB", "", good + strings.Repeat("# filling\n", 7000), "longer than 64 KiB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(shore, "limits/qz.md", "---\n---\n")
			dir, ids := s.book(t)
			mode := c.mode
			if mode == "" {
				mode = "100644"
			}
			text := put(t, dir, plumbing.BlobObject, []byte(c.text))
			if mode == "40000" {
				text = put(t, dir, plumbing.TreeObject, leaf(t, "100644", "x", text))
			}
			plant(t, dir, ids[1], shore, "signers", leaf(t, mode, "allowed_signers", text))
			commitOn(t, dir, ivanov, record, overhaul())
			trail := read(t, dir, ids)
			said := strings.Join(trail.Commits[1].Marks, "; ")
			if trail.Proved || !strings.Contains(said, "the register is refused, the last good one stays in force") || !strings.Contains(said, c.want) {
				t.Errorf("%s, want %s", said, c.want)
			}
			if last := trail.Commits[2]; last.State != logbook.Signed || last.Signer != ivanov {
				t.Errorf("a signer of the last good register: %s: %s", last.State, last.Why)
			}
		})
	}
}
