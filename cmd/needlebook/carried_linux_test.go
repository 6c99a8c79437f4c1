package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/mailbag"
)

// A carrying is a use of a verb that writes beside the book, or takes in what another copy wrote.
type carrying struct {
	deed
	ready func(t *testing.T, dir string)
	// whole says what is wrong with what is on the disk after a blow: clean is a folder in which nothing disturbed the verb, and told
	// whether it said that it is done. The tip of the book before is given.
	whole func(dir, clean, tip string, told bool) error
}

// ownCommit is what the book has and the other side has not.
func ownCommit(t *testing.T, dir string) {
	t.Helper()
	s := stepOf(t, dir, "eng", 6, smallRecord("no test oil"))
	if _, err := exchange.Write(filepath.Join(dir, "book"), s.Draft); err != nil {
		t.Fatal(err)
	}
}

func gitAt(t *testing.T, dir string, args ...string) {
	t.Helper()
	cmd := exec.Command("git", append([]string{"-c", "safe.directory=*", "-C", dir}, args...)...)
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir, "GIT_CONFIG_NOSYSTEM=1"}
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("git %v: %v: %s", args, err, out)
	}
}

// holds fails unless a copy's tip has a commit among what is behind it.
func holds(book, commit string) error {
	if there, err := mail.Holds(book, tipOf(book), commit); err != nil || !there {
		return fmt.Errorf("%s does not hold commit %.12s: %v", filepath.Base(book), commit, err)
	}
	return nil
}

// filesBelow are the files of a folder by name, but for those with a name that is given only to what is unfinished.
func filesBelow(dir string) (map[string]string, error) {
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil
		case err != nil:
			return err
		case e.IsDir() && strings.HasPrefix(e.Name(), ".needlebook-new"):
			return fs.SkipDir
		}
		if e.IsDir() || strings.HasPrefix(e.Name(), ".needlebook") || strings.HasSuffix(e.Name(), ".coming") {
			return nil
		}
		text, err := os.ReadFile(name)
		rel, _ := filepath.Rel(dir, name)
		all[rel] = string(text)
		return err
	})
	return all, err
}

// halfWritten names the first file that is neither as it was nor as it is to be.
func halfWritten(is, old, clean map[string]string) string {
	for name, text := range is {
		if was, there := old[name]; text != clean[name] && (!there || text != was) {
			return name
		}
	}
	return ""
}

// carryings are the verbs that carry: their names are as one types them.
func carryings(t *testing.T) []carrying {
	other := ""
	return []carrying{
		{deed{"sync", "sync --built-in --key %s/eng", "book", "sent to origin|are the same"}, func(t *testing.T, dir string) {
			other = otherSide(t, dir, "there")
			gitAt(t, dir, "clone", "-q", "--bare", "there", "between.git")
			ownCommit(t, dir)
			gitAt(t, filepath.Join(dir, "book"), "remote", "add", "origin", filepath.Join(dir, "between.git"))
		}, func(dir, clean, tip string, told bool) error {
			book, between := filepath.Join(dir, "book"), filepath.Join(dir, "between.git")
			at, err := exec.Command("git", "-c", "safe.directory=*", "-C", between, "rev-parse", "main").Output()
			if err != nil {
				return fmt.Errorf("the other side cannot be read: %w", err)
			}
			sent := strings.TrimSpace(string(at))
			if told && (sent != tipOf(book) || holds(book, other) != nil) {
				return fmt.Errorf("told that it is done: the book is on %.12s, the other side on %.12s", tipOf(book), sent)
			}
			if sent != other && sent != tipOf(book) {
				return fmt.Errorf("the other side is on %.12s", sent)
			}
			out, err := exec.Command("git", "-c", "safe.directory=*", "-C", between, "fsck", "--strict", "--no-dangling", "--no-progress").CombinedOutput()
			if err != nil || len(out) > 0 {
				return fmt.Errorf("the other side: %v: %s", err, out)
			}
			return holds(book, tip)
		}},
		{deed{"mailbag open", "mailbag open %s/in.bundle --key %s/eng -o %s/out", "book", "acknowledgement for the way back"}, func(t *testing.T, dir string) {
			other = otherSide(t, dir, "there")
			ownCommit(t, dir)
			bag, err := mail.PackBag(t.Context(), filepath.Join(dir, "there"), nil, "", false)
			if err != nil {
				t.Fatal(err)
			}
			write(t, filepath.Join(dir, "in.bundle"), string(bag.Text))
		}, func(dir, clean, tip string, told bool) error {
			book := filepath.Join(dir, "book")
			if told {
				if err := holds(book, other); err != nil {
					return err
				}
			}
			return errors.Join(holds(book, tip), soundMail(filepath.Join(dir, "out")))
		}},
		{deed{"mailbag pack", "mailbag pack -o %s/out --parts 1kB", "book", "acknowledgement for the way back"}, func(t *testing.T, dir string) { ownCommit(t, dir) },
			func(dir, clean, tip string, told bool) error {
				is, err := filesBelow(filepath.Join(dir, "out"))
				want, err2 := filesBelow(filepath.Join(clean, "out"))
				if told && len(is) < len(want) {
					return fmt.Errorf("told that it is done: %d of %d files", len(is), len(want))
				}
				return errors.Join(err, err2, holds(filepath.Join(dir, "book"), tip), soundMail(filepath.Join(dir, "out")))
			}},
		{deed{"import", "import %s/old.csv --map %s/map.csv --write", "book", "written; needlebook check"}, func(t *testing.T, dir string) {
			write(t, filepath.Join(dir, "old.csv"), "Holder,Date,Cyl,Hours\nH-1,03.02.2019,1,1250\nH-2,04.02.2019,2,1260\nH-3,05.02.2019,3,1270\n")
			write(t, filepath.Join(dir, "map.csv"), "column,key,form,value\nHolder,holder,,\nDate,removed.date,d.m.y,\nCyl,removed.cylinder,,\n,removed.engine,,ME1\nHours,removed.counter,h,\n")
		}, func(dir, clean, tip string, told bool) error {
			is, err := filesBelow(filepath.Join(dir, "book/overhauls"))
			want, err2 := filesBelow(filepath.Join(clean, "book/overhauls"))
			if half := halfWritten(is, nil, want); half != "" || told && len(is) != len(want) {
				return fmt.Errorf("%d of %d records, half written: %q", len(is), len(want), half)
			}
			return errors.Join(err, err2)
		}},
		{deed{"pages", "pages -o %s/pages", "book", "written, [0-9]+ unchanged"}, func(t *testing.T, dir string) {
			if out, err := (deed{args: "pages -o %s/pages", book: "book"}).run(t, dir); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			if err := os.Rename(filepath.Join(dir, "pages"), filepath.Join(dir, "before")); err != nil {
				t.Fatal(err)
			}
			if err := os.CopyFS(filepath.Join(dir, "pages"), os.DirFS(filepath.Join(dir, "before"))); err != nil {
				t.Fatal(err)
			}
			ownCommit(t, dir)
		}, wholePages},
	}
}

// soundMail says which file of a mailbag is no whole part, bundle or acknowledgement.
func soundMail(dir string) error {
	all, err := filesBelow(dir)
	for name, text := range all {
		switch filepath.Ext(name) {
		case ".part":
			_, err = mailbag.ReadPart([]byte(text))
		case ".ack":
			_, err = mailbag.ReadAck([]byte(text))
		}
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return err
}

var linkTo = regexp.MustCompile(`href="([^":#]+\.html)`)

// wholePages says what is wrong with pages of which a build was disturbed: each is as it was or as it is to be, none leads to one that is
// missing, and the front page is the last that changes.
func wholePages(dir, clean, tip string, told bool) error {
	is, err := filesBelow(filepath.Join(dir, "pages"))
	old, err2 := filesBelow(filepath.Join(dir, "before"))
	want, err3 := filesBelow(filepath.Join(clean, "pages"))
	if err := errors.Join(err, err2, err3); err != nil {
		return err
	}
	if half := halfWritten(is, old, want); half != "" {
		return fmt.Errorf("%s is neither the old page nor the new one", half)
	}
	fresh := is["index.html"] == want["index.html"] && want["index.html"] != old["index.html"]
	for name, text := range is {
		if (told || fresh) && text != want[name] && want[name] != "" {
			return fmt.Errorf("the front page is new (told %v), and %s is old", told, name)
		}
		for _, m := range linkTo.FindAllStringSubmatch(text, -1) {
			if _, there := is[m[1]]; !there {
				return fmt.Errorf("%s leads to %s, which is missing", name, m[1])
			}
		}
	}
	if told && len(is) != len(want) {
		return fmt.Errorf("told that it is done: %d of %d files", len(is), len(want))
	}
	return nil
}

// Verbs that carry, ended at a call that changes the disk or answered by an error there: the book can be read and lacks nothing, nothing
// is half written, nothing is told that was not done, and the same again does it. A sample in the wider run, every call in the long one.
func TestCarryingEndsAndErrors(t *testing.T) {
	if os.Getenv("NEEDLEBOOK_WIDER") == "" {
		t.Skip("ends programs by strace; runs with NEEDLEBOOK_WIDER=1")
	}
	kills, errs := 0, 0
	for _, c := range carryings(t) {
		t.Run(c.verb, func(t *testing.T) {
			from := surroundings(t)
			c.ready(t, from)
			tip := tipOf(filepath.Join(from, "book"))
			all, clean := c.calls(t, from)
			if err := c.whole(clean, clean, tip, true); err != nil {
				t.Fatalf("undisturbed: %v", err)
			}
			if len(all) < 5 {
				t.Fatalf("only %d calls change the disk: %v", len(all), all)
			}
			blows := blowsAt(all)
			if os.Getenv("NEEDLEBOOK_LONG") == "" {
				r := rand.New(rand.NewPCG(2, uint64(len(c.verb))))
				r.Shuffle(len(blows), func(i, j int) { blows[i], blows[j] = blows[j], blows[i] })
				blows = blows[:min(len(blows), 5)]
			}
			for _, b := range blows {
				dir, _ := c.copied(t, from)
				moveRemote(t, dir, from)
				what := fmt.Sprintf("%s, %s at the %s number %s", c.verb, b.how, b.name, strconv.Itoa(b.n))
				out, _ := c.run(t, dir, "-o", "/dev/null", "-e", "trace="+b.name, "-e", "inject="+b.name+":"+b.how+":when="+strconv.Itoa(b.n))
				if strings.HasPrefix(b.how, "signal") {
					kills++
				} else {
					errs++
				}
				told := regexp.MustCompile(c.done).MatchString(out)
				if tipOf(filepath.Join(dir, "book")) == "" {
					t.Errorf("%s: the book does not open", what)
				}
				if err := c.whole(dir, clean, tip, told); err != nil {
					t.Errorf("%s: %v\n%s", what, err, out)
				}
				locksGone(dir)
				again, err := c.run(t, dir)
				var exit *exec.ExitError
				if err != nil && !(errors.As(err, &exit) && exit.ExitCode() == exitFindings) || !regexp.MustCompile(c.done).MatchString(again) {
					t.Errorf("%s: once more: %v\n%s", what, err, again)
				} else if err := c.whole(dir, clean, tip, true); err != nil {
					t.Errorf("%s: once more: %v\n%s", what, err, again)
				}
				os.RemoveAll(dir)
			}
			t.Logf("%d of %d blows", len(blows), len(blowsAt(all)))
		})
	}
	t.Logf("%d kills, %d errors", kills, errs)
}

// moveRemote lets a copied book send to the copy beside it.
func moveRemote(t *testing.T, dir, from string) {
	t.Helper()
	name := filepath.Join(dir, "book/.git/config")
	text, err := os.ReadFile(name)
	if err == nil {
		err = os.WriteFile(name, bytes.ReplaceAll(text, []byte(from), []byte(dir)), 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// locksGone takes away the locks of a program that is dead.
func locksGone(dir string) {
	filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(name, ".lock") {
			os.Remove(name)
		}
		return err
	})
}

// A blow is what befalls a program at one of its calls.
type blow struct {
	call
	how string
}

// blowsAt are all that may befall it at these calls.
func blowsAt(all []call) (blows []blow) {
	errs := map[string][]string{"openat": {"EMFILE", "ENOSPC", "EACCES"}, "write": {"ENOSPC", "EIO", "EDQUOT"}, "fsync": {"EIO"}, "renameat": {"EACCES"},
		"renameat2": {"EACCES"}, "unlinkat": {"EACCES"}, "mkdirat": {"ENOSPC"}, "ftruncate": {"EIO"}, "close": {"EIO"}}
	for _, c := range all {
		blows = append(blows, blow{c, "signal=KILL"})
		for _, e := range errs[c.name] {
			blows = append(blows, blow{c, "error=" + e})
		}
	}
	return slices.Clip(blows)
}
