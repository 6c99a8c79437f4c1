package trace

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook"
)

// What the program passes over git passes over too, and nothing else: the .gitignore of a new book, asked here and of git itself.
func TestIgnoreFileIsWhatIsPassedOver(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, ".gitignore"), []byte(logbook.IgnoreFile()), 0o666); err != nil {
		t.Fatal(err)
	}
	rules := ignoreRules(dir)
	git, err := exec.LookPath("git")
	if err == nil {
		if out, err := exec.Command(git, "init", "-q", dir).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	for _, name := range []string{"Thumbs.db", "THUMBS.DB", "desktop.ini", "ehthumbs.db", ".DS_Store", "~$limits.doc", "#me1.csv#", ".me1.csv.swp", "book.md.bak", "book.MD.BAK", "crew.csv~", ".~lock.crew.csv#", "a.crdownload", ".vscode/settings.json", "$RECYCLE.BIN/x.md", "__MACOSX/book.md", "System Volume Information/x.md", "#recycle/x.md",
		"book.md", ".gitattributes", ".gitignore", "limits/t3.md", "signers/allowed_signers", "photos/thumbs.jpg", "overhauls/me1/c2/2024-03-05-h-2.md", "icon.md", "swap.csv", "#.md", "old.md"} {
		want := logbook.Dropped(name)
		parts := strings.Split(name, "/")
		got := rules.Match(parts[:1], len(parts) > 1) || rules.Match(parts, false)
		if got != want {
			t.Errorf("%s: passed over by the program %t, by the .gitignore %t", name, want, got)
		}
		if git == "" {
			continue
		}
		if err := os.MkdirAll(filepath.Join(dir, filepath.Dir(name)), 0o777); err != nil {
			t.Fatal(err)
		}
		ignored := exec.Command(git, "-C", dir, "-c", "safe.directory=*", "check-ignore", "-q", "--no-index", name).Run() == nil
		if ignored != want {
			t.Errorf("%s: passed over by the program %t, by git %t", name, want, ignored)
		}
	}
}
