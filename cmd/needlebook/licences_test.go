package main

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The licences that the program prints are those that lie in the modules it is built of, for every system it is built for; -update
// writes them anew. Nothing of it is typed.
func TestLicencesAreThoseOfTheModules(t *testing.T) {
	dirs := map[string]string{} // by module and version
	for _, system := range []string{"linux", "darwin", "windows"} {
		list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}", ".")
		list.Env = append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=0", "GOFLAGS=-mod=readonly")
		said, err := list.Output()
		if err != nil {
			t.Fatalf("go list for %s: %v", system, err)
		}
		for line := range strings.Lines(string(said)) {
			if name, dir, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok && !strings.HasPrefix(name, "needlebook") {
				dirs[name] = dir
			}
		}
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	dirs["the Go standard library"] = strings.TrimSpace(string(goroot))
	if len(dirs) < 20 {
		t.Fatalf("only %d modules: %v", len(dirs), dirs)
	}
	is := licencesOf(t, dirs)
	if *update {
		if err := os.WriteFile("licences.txt", is, 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !bytes.Equal(is, licenceTexts) {
		t.Errorf("licences.txt is not what the modules have: go test ./cmd/needlebook -run TestLicences -update\n%.2000s", is)
	}
}

var licenceName = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)[a-z0-9.-]*$`)

// licencesOf are the texts in the folders of modules, each once, with the modules that have it.
func licencesOf(t *testing.T, dirs map[string]string) []byte {
	t.Helper()
	having := map[string][]string{}
	var order []string
	for _, module := range slices.Sorted(maps.Keys(dirs)) {
		entries, err := os.ReadDir(dirs[module])
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, e := range entries {
			if e.IsDir() || !licenceName.MatchString(e.Name()) {
				continue
			}
			src, err := os.ReadFile(filepath.Join(dirs[module], e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			found = true
			text := strings.TrimSpace(strings.ReplaceAll(string(src), "\r\n", "\n"))
			if having[text] == nil {
				order = append(order, text)
			}
			having[text] = append(having[text], module+", "+e.Name())
		}
		if !found {
			t.Errorf("%s has no licence in %s", module, dirs[module])
		}
	}
	var b bytes.Buffer
	b.WriteString("Inside needlebook are the libraries below, under the licences that follow their names.\n")
	for _, text := range order {
		fmt.Fprintf(&b, "\n%s\n%s\n%s\n\n%s\n", strings.Repeat("=", 72), strings.Join(having[text], "\n"), strings.Repeat("=", 72), text)
	}
	return b.Bytes()
}
