//go:build unix

package site

import (
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// BenchmarkBesideHugo builds the pages of a made book with the command, reading and judging included, and lays hugo beside it, a general
// generator of sites (Debian's package hugo), on the same records: a page for each with its fields and remarks, and a list for each
// cylinder. It reports how many times as long, as much of the processors and as much memory hugo takes. It is skipped where hugo is not
// installed. NEEDLEBOOK_BENCH is the number of records; 1000 without it.
func BenchmarkBesideHugo(b *testing.B) {
	hugo, err := exec.LookPath("hugo")
	if err != nil {
		b.Skip("hugo is not installed")
	}
	n := 1000
	if s := os.Getenv("NEEDLEBOOK_BENCH"); s != "" {
		if _, err := fmt.Sscan(s, &n); err != nil {
			b.Fatal(err)
		}
	}
	base := benchFolder(b)
	book, theirs, out := filepath.Join(base, "book"), filepath.Join(base, "hugo"), filepath.Join(base, "out")
	files := map[string]string{"config.yaml": hugoConfig, "layouts/_default/single.html": hugoSingle, "layouts/_default/list.html": hugoList, "content/_index.md": "---\ntitle: Made\n---\n"}
	for name, f := range madeBook(n) {
		put(b, filepath.Join(book, name), string(f.Data))
		if strings.HasPrefix(name, "overhauls/") {
			stem := strings.TrimSuffix(path.Base(name), ".md")
			files["content/"+name] = strings.Replace(string(f.Data), "---\n", "---\ntitle: "+stem+"\n", 1)
			for dir := path.Dir(name); dir != "."; dir = path.Dir(dir) {
				files["content/"+dir+"/_index.md"] = "---\ntitle: " + path.Base(dir) + "\n---\n"
			}
		}
	}
	for name, text := range files {
		put(b, filepath.Join(theirs, name), text)
	}
	ours := filepath.Join(base, "needlebook")
	if said, err := exec.Command("go", "build", "-o", ours, "needlebook/cmd/needlebook").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, said)
	}
	var own, other taken
	for b.Loop() {
		must(b, os.RemoveAll(out))
		own.add(b, exec.Command(ours, "pages", "--book", book, "-o", filepath.Join(out, "own")))
		other.add(b, exec.Command(hugo, "--quiet", "-s", theirs, "-d", filepath.Join(out, "other")))
	}
	b.ReportMetric(other.wall.Seconds()/own.wall.Seconds(), "x-faster-than-hugo")
	b.ReportMetric(other.cpu.Seconds()/own.cpu.Seconds(), "x-less-cpu")
	b.ReportMetric(float64(other.memory)/float64(own.memory), "x-less-memory")
	b.ReportMetric(float64(own.memory)/1e3, "MB")
	b.ReportMetric(own.cpu.Seconds()/float64(b.N), "cpu-s/op")
}

// taken is what runs of a command took: time, processors, and the most memory in kilobytes.
type taken struct {
	wall, cpu time.Duration
	memory    int64
}

func (t *taken) add(b *testing.B, c *exec.Cmd) {
	start := time.Now()
	if said, err := c.CombinedOutput(); err != nil {
		b.Fatalf("%v: %v: %s", c, err, said)
	}
	t.wall += time.Since(start)
	t.cpu += c.ProcessState.UserTime() + c.ProcessState.SystemTime()
	if u, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
		t.memory = max(t.memory, int64(u.Maxrss))
	}
}

func put(b *testing.B, name, text string) {
	must(b, os.MkdirAll(filepath.Dir(name), 0o777))
	must(b, os.WriteFile(name, []byte(text), 0o666))
}

const (
	hugoConfig = "baseURL: https://made.example/\ntitle: Made\ndisableKinds: [taxonomy, term, RSS, sitemap, 404]\n"
	hugoSingle = `<!doctype html><title>{{.Title}}</title><h1>{{.Title}}</h1>
<table>{{range $k, $v := .Params}}<tr><th>{{$k}}<td>{{if reflect.IsMap $v}}<table>{{range $i, $w := $v}}<tr><th>{{$i}}<td>{{$w}}{{end}}</table>{{else}}{{$v}}{{end}}{{end}}</table>
{{.Content}}
`
	hugoList = `<!doctype html><title>{{.Title}}</title><h1>{{.Title}}</h1>
<table>{{range .Pages}}<tr><td><a href="{{.RelPermalink}}">{{.Title}}</a><td>{{.Params.by}}<td>{{with .Params.removed}}{{.date}}<td>{{.counter}}{{end}}{{end}}</table>
`
)
