package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// trial is some mutants that were built together, in a folder of its own.
type trial struct {
	dir      string
	mutants  []mutant
	binaries map[string]string // of each package asked so far its tests; empty where it has none
}

// dirs are the packages of the mutants.
func (t *trial) dirs() (dirs []string) {
	for _, m := range t.mutants {
		if d := filepath.ToSlash(filepath.Dir(m.path)); !slices.Contains(dirs, d) {
			dirs = append(dirs, d)
		}
	}
	return dirs
}

func (t *trial) numbers() (all []int) {
	for i := range t.mutants {
		all = append(all, i)
	}
	return all
}

// prepare takes mutants off a list that compile together, so many at most, and gives the rest of the list. Some more are built
// than are asked for: not all compile.
func prepare(list []mutant, most int) (t *trial, rest []mutant, err error) {
	dir, err := os.MkdirTemp("", "mutants-")
	if err != nil {
		return nil, nil, err
	}
	t = &trial{dir: dir, binaries: map[string]string{}}
	for _, m := range list {
		apart := !slices.ContainsFunc(t.mutants, func(x mutant) bool { return x.path == m.path && x.from < m.to && m.from < x.to })
		if len(t.mutants) < most+most/4 && apart {
			t.mutants = append(t.mutants, m)
		} else {
			rest = append(rest, m)
		}
	}
	for {
		if err := t.write(); err != nil {
			return nil, nil, err
		}
		out, err := exec.Command("go", append([]string{"build", "-gcflags=-e", "-overlay", t.overlay()}, t.packages()...)...).CombinedOutput()
		if err == nil {
			n := min(most, len(t.mutants))
			t.mutants, rest = t.mutants[:n], slices.Concat(t.mutants[n:], rest)
			return t, rest, nil
		}
		before := len(t.mutants)
		t.mutants = slices.DeleteFunc(t.mutants, func(m mutant) bool { return wrongAt(string(out), m) })
		if len(t.mutants) == before {
			return nil, nil, fmt.Errorf("%w\n%s", err, out)
		}
	}
}

// wrongAt says that the compiler has something against a line of a mutant.
func wrongAt(out string, m mutant) bool {
	src, err := os.ReadFile(m.path)
	if err != nil {
		return false
	}
	from := strings.Count(string(src[:m.from]), "\n") + 1
	for _, l := range place.FindAllStringSubmatch(out, -1) {
		n, _ := strconv.Atoi(l[2])
		if strings.HasSuffix(l[1], m.path) && n >= from && n <= from+strings.Count(m.text, "\n") {
			return true
		}
	}
	return false
}

var place = regexp.MustCompile(`(?m)^(\S+\.go):(\d+)`)

func (t *trial) overlay() string { return filepath.Join(t.dir, "overlay.json") }

func (t *trial) packages() (all []string) {
	for _, d := range t.dirs() {
		all = append(all, "./"+d)
	}
	return all
}

// write writes the changed files and what is laid over which.
func (t *trial) write() error {
	over := map[string]string{}
	put := func(name, text string) error {
		full, err := filepath.Abs(name)
		if err != nil {
			return err
		}
		over[full] = filepath.Join(t.dir, fmt.Sprintf("f%d.go", len(over)))
		return os.WriteFile(over[full], []byte(text), 0o666)
	}
	of := map[string][]int{}
	for i, m := range t.mutants {
		of[m.path] = append(of[m.path], i)
	}
	for _, path := range slices.Sorted(maps.Keys(of)) {
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		text := string(b)
		slices.SortFunc(of[path], func(i, j int) int { return t.mutants[j].from - t.mutants[i].from })
		for _, i := range of[path] {
			m := t.mutants[i]
			after := strings.Count(text[:m.to], "\n") + 1
			text = text[:m.from] + fmt.Sprintf(m.text, i+1) + fmt.Sprintf("/*line %s:%d:1*/", path, after) + text[m.to:]
		}
		if err := put(path, "//line "+path+":1\n"+text); err != nil {
			return err
		}
	}
	for _, d := range t.dirs() {
		name := ""
		for _, m := range t.mutants {
			if filepath.ToSlash(filepath.Dir(m.path)) == d {
				name = m.path
			}
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.PackageClauseOnly)
		if err != nil {
			return err
		}
		if err := put(filepath.Join(d, "mutants_here.go"), fmt.Sprintf(helpers, f.Name.Name, t.dir, t.dir)); err != nil {
			return err
		}
	}
	text, err := json.Marshal(map[string]any{"Replace": over})
	return errors.Join(err, os.WriteFile(t.overlay(), text, 0o666))
}

// built is the program of a package's tests with all mutants in it; empty where the package has no tests.
func (t *trial) built(dir string) (string, error) {
	name, ok := t.binaries[dir]
	if ok {
		return name, nil
	}
	name = filepath.Join(t.dir, strings.ReplaceAll(dir, "/", "_")+".test")
	out, err := exec.Command("go", "test", "-c", "-vet=off", "-overlay", t.overlay(), "-o", name, "./"+dir).CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%w\n%s", err, out)
	}
	if _, err := os.Stat(name); err != nil {
		name = ""
	}
	t.binaries[dir] = name
	return name, nil
}

// reached runs tests without a change, and says to which mutants they come, or which fail so.
func (t *trial) reached(binary, dir string, args []string, limit time.Duration) (came map[int]bool, failed string, err error) {
	for i := range t.mutants {
		if err := os.RemoveAll(filepath.Join(t.dir, fmt.Sprintf("came-%d", i+1))); err != nil {
			return nil, "", err
		}
	}
	if failed, err = t.output(0, binary, dir, args, 4*limit); err != nil || failed != "" {
		return nil, failed, err
	}
	came = map[int]bool{}
	for i := range t.mutants {
		_, err := os.Stat(filepath.Join(t.dir, fmt.Sprintf("came-%d", i+1)))
		came[i] = err == nil
	}
	return came, "", nil
}

// tested says that tests pass with a mutant.
func (t *trial) tested(n int, binary, dir string, args []string, limit time.Duration) (bool, error) {
	failed, err := t.output(n, binary, dir, args, limit)
	return failed == "", err
}

// output is what tests say that fail, with a limit of time, which counts as a failure.
func (t *trial) output(n int, binary, dir string, args []string, limit time.Duration) (failed string, err error) {
	if err := os.WriteFile(filepath.Join(t.dir, "asked"), []byte(strconv.Itoa(n)), 0o666); err != nil {
		return "", err
	}
	ctx, stop := context.WithTimeout(context.Background(), limit)
	defer stop()
	c := exec.CommandContext(ctx, binary, args...)
	c.Dir, c.WaitDelay = dir, 5*time.Second
	out, err := c.CombinedOutput()
	if err == nil {
		return "", nil
	}
	return fmt.Sprintf("%v\n%s", err, out[max(0, len(out)-2000):]), nil
}
