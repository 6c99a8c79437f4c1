package trace_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"sort"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/trace"
)

// leaf is one line of a tree as it is stored.
func leaf(t testing.TB, mode, name, hex string) []byte {
	return append([]byte(mode+" "+name+"\x00"), hexBytes(hex)...)
}

// plant replaces a folder of the tip's tree, or with an empty name the whole tree, by lines that no
// honest program writes, signs it for a hand, and returns the new tip.
func plant(t testing.TB, dir, tip, who, folder string, entries ...[]byte) string {
	t.Helper()
	tree := put(t, dir, plumbing.TreeObject, bytes.Join(entries, nil))
	_, raw := object(t, dir, tip)
	if folder != "" {
		_, root := object(t, dir, string(raw[5:45]))
		at := bytes.Index(root, []byte("40000 "+folder+"\x00"))
		if at < 0 {
			t.Fatalf("no folder %s in the tip", folder)
		}
		copy(root[at+len("40000 "+folder+"\x00"):], hexBytes(tree))
		tree = put(t, dir, plumbing.TreeObject, root)
	}
	return forge(t, dir, tip, func(raw []byte) []byte {
		return resign(t, append([]byte("tree "+tree), withoutSignature(raw)[45:]...), key(who), "git")
	})
}

// What stands in a tree that a server takes, and the disk of somebody else's computer would make
// something else of. Whatever it is: the history is not proved, says why, and nothing leads out of the book.
func TestModesAndNames(t *testing.T) {
	const noName, unreadable = "is no name for a file of a book", "is no readable tree"
	text := func(t *testing.T, dir, s string) string { return put(t, dir, plumbing.BlobObject, []byte(s)) }
	// one is a folder with one file of a name.
	one := func(mode, name, content string) func(t *testing.T, dir string) [][]byte {
		return func(t *testing.T, dir string) [][]byte { return [][]byte{leaf(t, mode, name, text(t, dir, content))} }
	}
	two := func(a, b string) func(t *testing.T, dir string) [][]byte {
		return func(t *testing.T, dir string) [][]byte {
			return [][]byte{leaf(t, "100644", a, text(t, dir, "x")), leaf(t, "100644", b, text(t, dir, "y"))}
		}
	}
	below := func(t *testing.T, dir, name string) []byte { // a folder of that name with a file in it
		return leaf(t, "40000", name, put(t, dir, plumbing.TreeObject, leaf(t, "100644", "x.md", text(t, dir, "x"))))
	}
	for _, c := range []struct {
		name string
		make func(t *testing.T, dir string) [][]byte
		want string
	}{
		{"F01 .", one("100644", ".", "x"), noName},
		{"F02 ..", one("100644", "..", "x"), noName},
		{"F03 .git", func(t *testing.T, dir string) [][]byte { return [][]byte{below(t, dir, ".git")} }, noName},
		{"F04 .GIT", one("100644", ".GIT", "x"), noName},
		{"F05 .git.", one("100644", ".git.", "x"), noName},
		{"F06 .git with a blank", one("100644", ".git ", "x"), noName},
		{"F07 git~1", one("100644", "git~1", "x"), noName},
		{"F08 .git with a joiner that is not seen", one("100644", ".g\u200cit", "x"), noName},
		{"F09 .git as a stream", one("100644", ".git::$INDEX_ALLOCATION", "x"), noName},
		{"F10 a slash in a name", one("100644", "a/b", "x"), unreadable},
		{"F11 a name that climbs", one("100644", "../../evil", "x"), unreadable},
		{"F12 a name from the root", one("100644", "/evil", "x"), unreadable},
		{"F13 a name that climbs elsewhere", one("100644", `..\evil.md`, "x"), noName},
		{"F14 no name", one("100644", "", "x"), unreadable},
		{"F15 one name twice", two("a.md", "a.md"), "not in order"},
		{"F16 a file and a folder of one name", func(t *testing.T, dir string) [][]byte {
			return [][]byte{leaf(t, "100644", "a", text(t, dir, "x")), below(t, dir, "a")}
		}, unreadable},
		{"F16 the same with another name between", func(t *testing.T, dir string) [][]byte {
			return [][]byte{leaf(t, "100644", "a", text(t, dir, "x")), leaf(t, "100644", "a-b", text(t, dir, "x")), below(t, dir, "a")}
		}, unreadable},
		{"F17 out of order", two("b.md", "a.md"), "not in order"},
		{"F18 two that are one on another system", two("A.md", "a.md"), noName},
		{"F19 one name in two encodings of its accent", two("e\u0301.md", "\u00e9.md"), noName},
		{"F20 CON.md", one("100644", "CON.md", "x"), noName},
		{"F20 con.md", one("100644", "con.md", "x"), noName},
		{"F20 com1", one("100644", "com1", "x"), noName},
		{"F21 aux as a folder", func(t *testing.T, dir string) [][]byte { return [][]byte{below(t, dir, "aux")} }, noName},
		{"F22 a dot at the end", one("100644", "a.md.", "x"), noName},
		{"F23 a blank at the end", one("100644", "a.md ", "x"), noName},
		{"F24 a stream", one("100644", "a.md:evil", "x"), noName},
		{"F25 a line end", one("100644", "a\nb.md", "x"), noName},
		{"F26 an escape", one("100644", "a\x1b[2Jb.md", "x"), noName},
		{"F27 a change of direction", one("100644", "a\u202eb.md", "x"), noName},
		{"F28 no UTF-8", one("100644", "a\xff.md", "x"), noName},
		{"F29 -rf", one("100644", "-rf", "x"), noName},
		{"F30 markup", one("100644", "<script>alert(1)<", "x"), noName},
		{"F31 255 bytes", one("100644", strings.Repeat("a", 255), "x"), "longer than 200 bytes"},
		{"F31 65 bytes in one part", one("100644", strings.Repeat("a", 65), "x"), noName},
		{"F31 5000 bytes", one("100644", strings.Repeat("a", 5000), "x"), "longer than 200 bytes"},
		{"F32 seven deep", func(t *testing.T, dir string) [][]byte {
			e := below(t, dir, "a")
			for range 5 {
				e = leaf(t, "40000", "a", put(t, dir, plumbing.TreeObject, e))
			}
			return [][]byte{e}
		}, "more than 6 folders deep"},
		{"F32 200 deep", func(t *testing.T, dir string) [][]byte {
			e := below(t, dir, "a")
			for range 200 {
				e = leaf(t, "40000", "a", put(t, dir, plumbing.TreeObject, e))
			}
			return [][]byte{e}
		}, "folders more than 16 deep"},
		{"F33 a link to /etc/passwd", one("120000", "a.md", "/etc/passwd"), "is a symbolic link"},
		{"F34 a link to .git", one("120000", "a.md", "../.git/config"), "is a symbolic link"},
		{"F35 a link to itself", one("120000", "a.md", "a.md"), "is a symbolic link"},
		{"F36 another repository", func(t *testing.T, dir string) [][]byte {
			return [][]byte{leaf(t, "160000", "a.md", strings.Repeat("1", 40))}
		}, "is another repository"},
		{"F37 executable", one("100755", "a.md", "x"), "has mode 100755"},
		{"F38 100666", one("100666", "a.md", "x"), "has mode 100666"},
		{"F38 0100644", one("0100644", "a.md", "x"), "has mode 0100644"},
		{"F38 777", one("777", "a.md", "x"), "has mode 777"},
		{"F38 a folder with a leading nought", func(t *testing.T, dir string) [][]byte {
			e := below(t, dir, "a")
			return [][]byte{append([]byte("0"), e...)}
		}, "has mode 040000"},
		{"F40 a record replaced by a folder", func(t *testing.T, dir string) [][]byte { return [][]byte{below(t, dir, "h-1.md")} }, "takes out parts/h-1.md"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(ivanov, "parts/h-1.md", overhaul())
			s.by(ivanov, "parts/h-2.md", overhaul())
			dir, ids := s.book(t)
			plant(t, dir, ids[2], ivanov, "parts", c.make(t, dir)...)
			trail, err := trace.Read(dir, trace.Options{FoundingProof: proof(ids)})
			var broken *trace.BrokenError
			switch {
			case errors.As(err, &broken):
				if !strings.Contains(err.Error(), c.want) {
					t.Errorf("%v, want %s", err, c.want)
				}
				return
			case err != nil:
				t.Fatal(err)
			}
			said := fmt.Sprint(trail.Headline, trail.Commits[2].Marks)
			if trail.Proved || !strings.Contains(said, c.want) {
				t.Errorf("%s, want %s", said, c.want)
			}
			tree, err := trace.FS(dir, "")
			if err != nil {
				t.Fatal(err)
			}
			defer tree.Close()
			fs.WalkDir(tree, ".", func(p string, e fs.DirEntry, err error) error {
				if err != nil || !fs.ValidPath(p) || e.Type()&fs.ModeSymlink != 0 {
					t.Errorf("the tree shows %q: %v", p, err)
				}
				return nil
			})
		})
	}
}

// What stands beside the folders of records is held to the same names, and another repository is no broken text: every text of the history
// is read here.
func TestModesAndNamesAtTheTop(t *testing.T) {
	for _, c := range []struct{ name, mode, file, want string }{
		{"F18 a folder in capitals beside the small one", "40000", "Overhauls", "is no name for a file of a book"},
		{"F18 a file in capitals beside the small one", "100644", "BOOK.md", "is no name for a file of a book"},
		{"F18 with a capital that few systems fold", "100644", "boo\u212a.md", "is no name for a file of a book"},
		{"F20 con", "100644", "con", "is no name for a file of a book"},
		{"F21 aux as a folder", "40000", "aux", "is no name for a file of a book"},
		{"F26 an escape", "100644", "a\x1b[2j", "is no name for a file of a book"},
		{"F27 a change of direction", "100644", "a\u202eb", "is no name for a file of a book"},
		{"F18 a dot file in capitals", "100644", ".GitAttributes", "is no name for a file of a book"},
		{"F03 another .git", "40000", ".gitx", "is no name for a file of a book"},
		{"F36 another repository", "160000", "engine", "engine is another repository"},
		{"F33 a link", "120000", "engine", "engine is a symbolic link"},
		{"a dot folder of the superintendent's", "40000", ".ci", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(shore, "limits/qz.md", "---\n---\n")
			dir, ids := s.book(t)
			_, raw := object(t, dir, ids[1])
			_, root := object(t, dir, string(raw[5:45]))
			entries, err := trace.ParseTree(root)
			if err != nil {
				t.Fatal(err)
			}
			is := put(t, dir, plumbing.BlobObject, []byte("x"))
			switch c.mode {
			case "40000":
				is = put(t, dir, plumbing.TreeObject, leaf(t, "100644", "x.md", is))
			case "160000":
				is = strings.Repeat("1", 40)
			}
			entries = append(entries, trace.Entry{Name: c.file, Mode: c.mode, ID: plumbing.NewHash(is)})
			sort.Slice(entries, func(i, j int) bool { return entries[i].Name < entries[j].Name })
			var lines [][]byte
			for _, e := range entries {
				lines = append(lines, leaf(t, e.Mode, e.Name, e.ID.String()))
			}
			plant(t, dir, ids[1], shore, "", lines...)
			trail := read(t, dir, ids)
			if trail.Proved != (c.want == "") || !strings.Contains(trail.Headline, c.want) || len(trail.Broken) > 0 {
				t.Errorf("%s, want %q; broken %v", trail.Headline, c.want, trail.Broken)
			}
			if trail, err := trace.Read(dir, trace.Options{Rev: "HEAD"}); err != nil || len(trail.Broken) > 0 {
				t.Errorf("at HEAD: %v, broken %v", err, trail.Broken)
			}
		})
	}
}

func TestLinkedDotFiles(t *testing.T) {
	for _, name := range []string{".gitattributes", ".gitmodules"} {
		t.Run("F39 "+name+" as a link", func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(shore, "limits/qz.md", "---\n---\n")
			dir, ids := s.book(t)
			_, raw := object(t, dir, ids[1])
			_, root := object(t, dir, string(raw[5:45]))
			entries, err := trace.ParseTree(root)
			if err != nil {
				t.Fatal(err)
			}
			lines := [][]byte{leaf(t, "120000", name, put(t, dir, plumbing.BlobObject, []byte("/etc/passwd")))}
			for _, e := range entries {
				if e.Name != ".gitattributes" {
					lines = append(lines, leaf(t, e.Mode, e.Name, e.ID.String()))
				}
			}
			plant(t, dir, ids[1], shore, "", lines...)
			trail, err := trace.Read(dir, trace.Options{FoundingProof: proof(ids)})
			if err != nil {
				t.Fatal(err)
			}
			if trail.Proved || !strings.Contains(trail.Headline, name+" is a symbolic link") {
				t.Errorf("%s", trail.Headline)
			}
		})
	}
}
