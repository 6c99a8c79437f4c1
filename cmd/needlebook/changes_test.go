package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// Every release of the list has a number and a date of the calendar, the newest at the top, and says something.
func TestListOfChanges(t *testing.T) {
	heads := releaseHead.FindAllStringSubmatch(changeLog, -1)
	if len(heads) < 2 || len(heads) != strings.Count(changeLog, "\n## ") {
		t.Fatalf("%d releases of %d headings", len(heads), strings.Count(changeLog, "\n## "))
	}
	last := time.Date(3000, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, h := range heads {
		d, err := time.Parse(time.DateOnly, h[2])
		if err != nil || !d.Before(last) {
			t.Errorf("release %s of %s: %v, want a date before that of the release above", h[1], h[2], err)
		}
		last = d
	}
	for _, part := range strings.Split(changeLog, "\n## ")[1:] {
		if !strings.Contains(part, "\n- ") {
			t.Errorf("nothing is said of release %q", part)
		}
	}
}

// --version, the list, and what other programs read all name the same release.
func TestOneRelease(t *testing.T) {
	number, date := release()
	var out, errs bytes.Buffer
	if status := run([]string{"--version"}, nil, &out, &errs); status != 0 || !strings.HasPrefix(out.String(), "needlebook "+number+", "+date+"\ncommit ") ||
		!strings.HasSuffix(out.String(), runtime.Version()+", "+runtime.GOOS+"/"+runtime.GOARCH+"\n") {
		t.Errorf("status %d: %s%s", status, out.String(), errs.String())
	}
	out.Reset()
	if status := run([]string{"changes"}, nil, &out, &errs); status != 0 || !strings.Contains(out.String(), "\n## "+number+", "+date+"\n") {
		t.Errorf("status %d: %s%s", status, out.String(), errs.String())
	}
	const book = "../../example-vessel"
	var checked struct {
		Program string `json:"program"`
	}
	out.Reset()
	run([]string{"check", "--book", book, "--format", "json"}, nil, &out, &errs)
	if err := json.Unmarshal(out.Bytes(), &checked); err != nil || checked.Program != "needlebook "+number {
		t.Errorf("check names %q, %v", checked.Program, err)
	}
	pages := filepath.Join(t.TempDir(), "pages")
	if status := run([]string{"pages", "--book", book, "--no-since", "-o", pages}, nil, &out, &errs); status != 0 {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	for file, want := range map[string]string{"index.html": ", built by needlebook " + number, "due.html": ", built by needlebook " + number,
		"summary.json": `"program": "needlebook ` + number + `"`} {
		if text, err := os.ReadFile(filepath.Join(pages, file)); err != nil || !strings.Contains(string(text), want) {
			t.Errorf("%s does not say %q: %v", file, want, err)
		}
	}
	var log struct {
		Runs []struct {
			Tool struct {
				Driver struct {
					Version string `json:"version"`
				} `json:"driver"`
			} `json:"tool"`
		} `json:"runs"`
	}
	out.Reset()
	run([]string{"check", "--book", book, "--format", "sarif"}, nil, &out, &errs)
	if err := json.Unmarshal(out.Bytes(), &log); err != nil || log.Runs[0].Tool.Driver.Version != number {
		t.Errorf("SARIF names %+v, %v", log, err)
	}
}
