package trace_test

import (
	"bytes"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// wider says whether a fuzz target may ask another program about each input.
var wider = os.Getenv("NEEDLEBOOK_WIDER") == "1"

// FuzzCommit: any bytes are read without panic. A commit in the accepted form is put together again from
// what is signed and the signature, byte for byte, and git takes it as a commit.
func FuzzCommit(f *testing.F) {
	head := "tree 4b825dc642cb6eb9a060e54bf8d69288fbee4904\nparent 1111111111111111111111111111111111111111\n"
	who := "author a <a@b> 1704110400 +0000\ncommitter a <a@b> 1704110400 -0330\n"
	sig, err := exchange.Sign([]byte(head+who+"\nm\n"), key(ivanov), "git")
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{
		head + who + "\nm\n", string(withHeader([]byte(head+who+"\nm\n"), "gpgsig", sig)), head + who + "gpgsig x\n y\n\nm",
		head, who, "", "\n", "tree ", "tree \n\n", head + who, head + who + "encoding x\n\n", " \n", "gpgsig \n \n \n\n", head + "author  <> 1 +0000\ncommitter <> 1 +0000\n\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		readable, malformed, armour, signed := trace.ParseCommit(raw)
		if !readable || malformed != "" {
			return
		}
		again := signed
		if armour != nil {
			again = withHeader(signed, "gpgsig", armour)
		}
		if !bytes.Equal(again, raw) {
			t.Errorf("put together again:\n%q\nwas\n%q", again, raw)
		}
		if wider {
			if out, ok := oracle(t, t.TempDir(), raw, "git", "hash-object", "-t", "commit", "--stdin"); !ok {
				t.Errorf("git refuses it: %s", out)
			}
		}
	})
}

// FuzzSSHSig: any bytes are read without panic. A well-formed signature has only one way to be written,
// and a good one is good for ssh-keygen too.
func FuzzSSHSig(f *testing.F) {
	for _, space := range []string{"git", "file"} {
		sig, err := exchange.Sign([]byte("text\n"), key(ivanov), space)
		if err != nil {
			f.Fatal(err)
		}
		blob := unarmour(f, sig)
		f.Add(sig, []byte("text\n"))
		f.Add(blob, []byte("text\n"))
		f.Add(blob[:40], []byte(""))
	}
	f.Add(trace.Armour(nil), []byte(""))
	f.Add([]byte(openPGP), []byte(""))
	f.Fuzz(func(t *testing.T, sig, text []byte) {
		for _, armour := range [][]byte{sig, trace.Armour(sig)} {
			wellFormed, good, space := trace.ParseSignature(armour, text)
			if !wellFormed {
				if good {
					t.Error("good, but not well-formed")
				}
				continue
			}
			if !bytes.Equal(trace.Armour(unarmour(t, armour)), armour) {
				t.Errorf("another way to write it is taken: %q", armour)
			}
			if good && wider && space != "" && !strings.ContainsAny(space, "\x00") {
				dir := t.TempDir()
				os.WriteFile(filepath.Join(dir, "sig"), armour, 0o600)
				if out, ok := oracle(t, dir, text, "ssh-keygen", "-Y", "check-novalidate", "-n", space, "-s", "sig"); !ok {
					t.Errorf("ssh-keygen refuses it: %s", out)
				}
			}
		}
	})
}

// FuzzRegister: any bytes are read without panic. Each line that is taken is taken by an independent
// reader of the format, with the same key and the same namespaces.
func FuzzRegister(f *testing.F) {
	f.Add([]byte(lines(shore, berg, ivanov)))
	f.Add([]byte(line(ivanov, roles[ivanov], "20240101", "202406011230") + "# a comment\n\n"))
	for _, bad := range []string{
		"\ufeff" + lines(ivanov), strings.ReplaceAll(lines(ivanov), "\n", "\r\n"), "*" + lines(ivanov), "!" + lines(ivanov),
		strings.Replace(lines(ivanov), "namespaces", "cert-authority,namespaces", 1),
		strings.Replace(lines(ivanov), `namespaces="git,engineer@needlebook",`, "", 1),
		strings.Replace(lines(ivanov), "20240101Z", "20240101", 1), strings.Replace(lines(ivanov), "20240101Z", "20240231Z", 1),
		strings.Replace(lines(ivanov), "ssh-ed25519 ", "ssh-rsa ", 1), lines(ivanov, ivanov), strings.Replace(lines(ivanov), "ivanov", "iv\u0430nov", 1),
		strings.Replace(lines(ivanov), "engineer@needlebook", "engineer@needlebook,engineer@needlebook", 1), "garbage\n" + lines(ivanov),
		lines(ivanov) + "\f\n", lines(ivanov) + "\u00a0\n", "\v\n" + lines(ivanov),
	} {
		f.Add([]byte(bad))
		if got, err := trace.ParseRegister([]byte(bad)); err == nil {
			f.Errorf("taken: %q as %q", bad, got)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		ours, err := trace.ParseRegister(text)
		if err != nil {
			return
		}
		theirs := 0
		for l := range strings.Lines(string(text)) {
			l = strings.TrimSuffix(l, "\n")
			if strings.TrimSpace(l) == "" || l[0] == '#' {
				continue
			}
			theirs++
			principal, rest, _ := strings.Cut(l, " ")
			key, _, options, _, err := ssh.ParseAuthorizedKey([]byte(strings.TrimSpace(rest)))
			if err != nil || len(options) == 0 {
				t.Fatalf("not taken elsewhere: %q: %v", l, err)
			}
			names, _ := strings.CutPrefix(options[0], "namespaces=")
			found := false
			for _, o := range ours {
				part := strings.SplitN(o, "\t", 3)
				same := part[0] == principal && part[2] == string(key.Marshal())
				for n := range strings.SplitSeq(strings.Trim(names, `"`), ",") {
					same = same && strings.Contains(","+part[1]+",", ","+n+",")
				}
				found = found || same
			}
			if !found {
				t.Errorf("%q is read as one of %q", l, ours)
			}
		}
		if wider && theirs > 0 {
			dir := t.TempDir()
			os.WriteFile(filepath.Join(dir, "signers"), text, 0o600)
			for _, o := range ours {
				name, _, _ := strings.Cut(o, "\t")
				if out, ok := oracle(t, dir, nil, "ssh-keygen", "-Y", "match-principals", "-f", "signers", "-I", name); !ok || !strings.Contains(out, name) {
					t.Errorf("OpenSSH does not find %s: %s", name, out)
				}
			}
		}
		if theirs != len(ours) {
			t.Errorf("%d lines, %d read", theirs, len(ours))
		}
	})
}

// FuzzPath: a path that is taken is one that every system takes for the same file below the book, and that
// git, told to protect itself for the other systems too, lets into its index.
func FuzzPath(f *testing.F) {
	for _, seed := range []string{record, "a", ".gitattributes", "a/.gitignore", "con", "com1.md", "a/aux", "nul.txt", "..", "a//b", "/a", "a/", "A", "a b", "git~1", ".git", "a.", "-a", "a\\b", "a:b",
		"a\u202e", strings.Repeat("a/", 6), strings.Repeat("a", 64), strings.Repeat("a", 65), "photos/" + strings.Repeat("b", 193), "lpt9.a.b", "prn-1", "console"} {
		f.Add(seed)
	}
	windows := regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9]|lpt[0-9]|conin\$|conout\$)(\..*)?$`) // Microsoft, Naming Files, Paths, and Namespaces
	f.Fuzz(func(t *testing.T, p string) {
		if trace.CheckPath(p) != nil {
			return
		}
		if !fs.ValidPath(p) || p == "." || path.Clean(p) != p || !filepath.IsLocal(filepath.FromSlash(p)) || strings.ToLower(p) != p {
			t.Fatalf("%q is taken", p)
		}
		for part := range strings.SplitSeq(p, "/") {
			if windows.MatchString(part) || strings.HasSuffix(part, ".") || strings.ContainsAny(part, `<>:"|?*\ `) || strings.EqualFold(part, ".git") || strings.HasPrefix(part, "-") || len(part) > 255 {
				t.Fatalf("%q is taken, part %q", p, part)
			}
		}
		if wider {
			dir := t.TempDir()
			oracle(t, dir, nil, "git", "init", "-q")
			if out, ok := oracle(t, dir, nil, "git", "-c", "core.protectNTFS=true", "-c", "core.protectHFS=true", "update-index", "--add", "--cacheinfo",
				"100644,e69de29bb2d1d6434b8b29ae775ad8c2e48c5391,"+p); !ok {
				t.Errorf("git refuses %q: %s", p, out)
			}
		}
	})
}

// FuzzTree: any bytes are read without panic; a tree that is taken, and whose names and modes a book has, is
// one that git takes.
func FuzzTree(f *testing.F) {
	id := strings.Repeat("\x11", 20)
	for _, seed := range []string{"", "100644 a\x00" + id, "100644 a\x00" + id + "40000 a\x00" + id, "40000 b\x00" + id + "100644 a\x00" + id, "100644 a/b\x00" + id, "100644 \x00" + id,
		"100644 a\x00" + id + "100644 a-b\x00" + id + "40000 a\x00" + id, "40000 a\x00" + id[:19], " a\x00" + id, "100644 a\x00" + id + " b\x00" + id} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		entries, err := trace.ParseTree(raw)
		if err != nil {
			return
		}
		names := map[string]bool{}
		for _, e := range entries {
			if names[e.Name] || e.Name == "" || strings.Contains(e.Name, "/") {
				t.Fatalf("%q stands twice, or is no name", e.Name)
			}
			names[e.Name] = true
			if trace.CheckPath(e.Name) != nil || e.Mode != "100644" && e.Mode != "40000" || e.ID.IsZero() {
				return
			}
		}
		if wider && len(entries) > 0 {
			if out, ok := oracle(t, t.TempDir(), raw, "git", "hash-object", "-t", "tree", "--stdin"); !ok {
				t.Errorf("git refuses it: %s", out)
			}
		}
	})
}

// FuzzFacts: a cache of any bytes, were it sealed, is read without panic, and what is read is written again
// as it was.
func FuzzFacts(f *testing.F) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("a", "1"))
	s.by(nobody, record, overhaul("a", "2"))
	s.unsigned()
	dir, _ := s.book(f)
	good, err := trace.Facts(dir)
	if err != nil || len(good) < 300 {
		f.Fatal(len(good), err)
	}
	f.Add(good)
	f.Add(good[:len(good)/2])
	f.Add([]byte("c"))
	f.Add([]byte("t\xff\xff\xff\xff\xff\xff\xff\xff\xff\x01"))
	f.Fuzz(func(t *testing.T, part []byte) {
		if again, ok := trace.Recode(part); ok {
			if twice, ok := trace.Recode(again); !ok || !bytes.Equal(again, twice) {
				t.Errorf("%q is written again as %q", again, twice)
			}
		}
	})
}

// FuzzHistory: whatever people do to each other's clocks, branches and merges, an honest history is proved;
// with one attack in it, it is not.
func FuzzHistory(f *testing.F) {
	for i := range attacks {
		f.Add(uint64(i), uint8(14), uint8(i))
	}
	f.Add(uint64(77), uint8(30), uint8(200))
	f.Fuzz(func(t *testing.T, seed uint64, length, attack uint8) {
		h := newFleet(seed)
		if int(attack) < len(attacks) {
			h.spoil = attacks[attack].make
		}
		h.play(6 + int(length%40))
		dir, ids := h.book(t)
		if trail := read(t, dir, ids); trail.Proved == h.done {
			t.Errorf("attacked %v: %s", h.done, trail.Headline)
		}
	})
}
