package trace_test

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/trace"
)

func TestClockAgainstParent(t *testing.T) {
	for _, c := range []struct {
		name string
		back time.Duration
		want string
	}{
		{"L06 9 minutes before its parent", 9 * time.Minute, "[]"},
		{"L06 11 minutes before its parent", 11 * time.Minute, "clock went back: stated 11 min before its parent"},
		{"L06 27 hours before its parent", 27 * time.Hour, "date contradicted: stated 27 h before its parent"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.at(ivanov, 10000, nil, record, overhaul())
			s.at(berg, 10000-int(c.back.Minutes()), nil, record, overhaul("a", "1"))
			dir, ids := s.book(t)
			trail := read(t, dir, ids)
			if got := fmt.Sprint(trail.Commits[2].Marks); !strings.Contains(got, c.want) || !trail.Proved {
				t.Errorf("%s, want %s; %s", got, c.want, trail.Headline)
			}
		})
	}
}

// hostile is a book whose settings, hooks and environment name programs and places of their own.
func hostile(t *testing.T, dir string) (mark string) {
	mark = filepath.Join(t.TempDir(), "ran")
	run := "touch " + mark
	appendTo(t, dir, ".git/config", fmt.Sprintf(`[core]
	fsmonitor = %[1]s
	hooksPath = %[2]s
	sshCommand = %[1]s
	pager = %[1]s
	editor = %[1]s
[filter "evil"]
	clean = %[1]s
	smudge = %[1]s
	process = %[1]s
[alias]
	config = !%[1]s
	status = !%[1]s
[gpg "ssh"]
	program = %[1]s
	defaultKeyCommand = %[1]s
[gpg]
	program = %[1]s
`, run, filepath.Join(dir, ".git/hooks")))
	for _, hook := range []string{"pre-commit", "post-commit", "commit-msg", "prepare-commit-msg", "reference-transaction", "post-index-change", "post-checkout", "fsmonitor-watchman"} {
		write(t, dir, ".git/hooks/"+hook, "#!/bin/sh\n"+run+"\n")
		os.Chmod(filepath.Join(dir, ".git/hooks", hook), 0o755)
	}
	write(t, dir, ".git/info/attributes", "* filter=evil\n")
	return mark
}

// What a place is like changes nothing in the answer, nothing in what is written, and nothing runs.
func TestPlaces(t *testing.T) {
	story := func() *tale {
		s := found(shore, berg, ivanov)
		s.by(ivanov, record, overhaul("a", "1"))
		return s
	}
	plain, ids := story().book(t)
	want := read(t, plain, ids)
	inZone := func(name string) func(t *testing.T, dir string) {
		return func(t *testing.T, dir string) {
			zone, err := time.LoadLocation(name)
			if err != nil {
				t.Skip(err)
			}
			here := time.Local
			time.Local = zone
			t.Cleanup(func() { time.Local = here })
		}
	}
	env := func(pairs ...string) func(t *testing.T, dir string) {
		return func(t *testing.T, dir string) {
			for i := 0; i < len(pairs); i += 2 {
				t.Setenv(pairs[i], pairs[i+1])
			}
		}
	}
	evil := filepath.Join(t.TempDir(), "gitconfig")
	if err := os.WriteFile(evil, []byte("[core]\n\tfsmonitor = touch "+evil+".ran\n\thooksPath = /nowhere\n[include]\n\tpath = /nowhere\n[user]\n\tname = x\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		place func(t *testing.T, dir string)
	}{
		{"L14 a reader far in the east", inZone("Asia/Tokyo")},
		{"L14 a reader far in the west", inZone("America/New_York")},
		{"L14 a reader at UTC", inZone("UTC")},
		{"M03 no home", env("HOME", "", "XDG_CONFIG_HOME", "")},
		{"M04 git's own variables point elsewhere", env("GIT_DIR", "/nowhere", "GIT_INDEX_FILE", "/nowhere/index", "GIT_OBJECT_DIRECTORY", "/nowhere",
			"GIT_WORK_TREE", "/nowhere", "GIT_COMMON_DIR", "/nowhere", "GIT_CEILING_DIRECTORIES", "/", "GIT_REPLACE_REF_BASE", "refs/heads")},
		{"M05 settings of the whole system that name programs", env("GIT_CONFIG_GLOBAL", evil, "GIT_CONFIG_SYSTEM", evil)},
		{"M06 the locale C", env("LC_ALL", "C", "LANG", "C")},
		{"M06 the locale tr_TR, whose i has no dot", env("LC_ALL", "tr_TR.UTF-8", "LANG", "tr_TR.UTF-8")},
		{"M06 the locale de_DE, whose point is a comma", env("LC_ALL", "de_DE.UTF-8", "LANG", "de_DE.UTF-8")},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, ids := story().book(t)
			c.place(t, dir)
			if got := read(t, dir, ids); !reflect.DeepEqual(got, want) {
				t.Errorf("%s, elsewhere %s", got.Headline, want.Headline)
			}
			next := func() string {
				id, err := exchange.Write(dir, exchange.Draft{Message: "more", Signer: key(ivanov), Author: exchange.Person{Name: ivanov, Email: "x", When: zero.Add(time.Hour)},
					Changes: []exchange.Change{{Path: record, Text: []byte(overhaul("a", "2"))}}})
				if err != nil {
					t.Fatal(err)
				}
				return id
			}
			if id := next(); id != "5f" && len(id) != 40 {
				t.Errorf("wrote %s", id)
			}
			if set, err := remote.ReadSettings(dir); err != nil || set["gpg.format"] != "ssh" {
				t.Errorf("settings of the book: %v, %v", set, err)
			}
		})
	}
	t.Run("M01 M02 settings and hooks of the book that name programs", func(t *testing.T) {
		dir, ids := story().book(t)
		mark := hostile(t, dir)
		if got := read(t, dir, ids); !got.Proved {
			t.Error(got.Headline)
		}
		if _, err := exchange.Write(dir, exchange.Draft{Message: "more", Signer: key(ivanov), Author: exchange.Person{Name: ivanov, Email: "x", When: zero},
			Changes: []exchange.Change{{Path: record, Text: []byte(overhaul("a", "2"))}}}); err != nil {
			t.Error(err)
		}
		if _, err := remote.ReadSettings(dir); err != nil {
			t.Error(err)
		}
		if _, err := os.Stat(mark); err == nil {
			t.Error("a program that the book names was run")
		}
	})
	t.Run("M08 a long path", func(t *testing.T) {
		dir := filepath.Join(scratch(t), strings.Repeat(strings.Repeat("d", 200)+"/", 12), "book")
		ids, err := exchange.Build(dir, story().steps)
		if err != nil {
			t.Fatal(err)
		}
		if got := read(t, dir, ids); !reflect.DeepEqual(got, want) {
			t.Error(got.Headline)
		}
	})
	t.Run("M09 another system's separators", func(t *testing.T) {
		if err := trace.CheckPath(`overhauls\me1\c1\2024-01-01-h-1.md`); err == nil {
			t.Error("taken as one name")
		}
		tree, err := trace.FS(plain, "")
		if err != nil {
			t.Fatal(err)
		}
		defer tree.Close()
		if _, err := tree.ReadFile(strings.ReplaceAll(record, "/", `\`)); err == nil {
			t.Error("a name with other separators leads into the book")
		}
	})
	t.Run("M11 a disk that takes two cases for one", func(t *testing.T) {
		dir := caseFolding(t)
		ids, err := exchange.Build(dir, story().steps)
		if err != nil {
			t.Fatal(err)
		}
		if got := read(t, dir, ids); !reflect.DeepEqual(got, want) {
			t.Error(got.Headline)
		}
	})
}
