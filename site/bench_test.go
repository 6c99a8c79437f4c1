package site

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"needlebook/checks"
	"needlebook/logbook"
)

// madeBook is a book of n overhauls on ten six-cylinder engines, every record of ordinary size with remarks and a table.
func madeBook(n int) fstest.MapFS {
	const engines, cylinders = 10, 6
	files := fstest.MapFS{}
	put := func(name, text string) { files[name] = &fstest.MapFile{Data: []byte(text)} }
	var book strings.Builder
	book.WriteString("---\nvessel: Made\nengines:\n")
	for e := range engines {
		fmt.Fprintf(&book, "  - {id: E%d, type: T, cylinders: [1, 2, 3, 4, 5, 6], limits: t, interval: 2000 h}\n", e)
		put(fmt.Sprintf("hours/e%d.csv", e), "date,counter_h,note\n1990-01-01,0,\n2060-01-01,511000,\n")
	}
	book.WriteString("opening:\n  date: 1990-01-01\n  fitted:\n")
	for e := range engines {
		for c := range cylinders {
			fmt.Fprintf(&book, "    - {engine: E%d, cylinder: %d, holder: \"H-%d\", nozzle: \"N-%d-0\", counter: 0 h, left: 320 bar}\n", e, c+1, e*cylinders+c, e*cylinders+c)
		}
	}
	book.WriteString("---\n")
	put("book.md", book.String())
	limits, err := os.ReadFile("../checks/testdata/base/limits/4t20.md")
	if err != nil {
		panic(err)
	}
	put("limits/t.md", string(limits))
	for _, id := range []string{"pg-1", "b-1", "dg-1", "tw-1"} {
		text, err := os.ReadFile("../checks/testdata/base/instruments/" + id + ".md")
		if err != nil {
			panic(err)
		}
		put("instruments/"+id+".md", string(text))
	}
	start := logbook.NewDay(1990, time.March, 1)
	for i := range n {
		at, turn := i%(engines*cylinders), i/(engines*cylinders)
		e, c := at/cylinders, at%cylinders
		day := start + logbook.Day(turn*90+at%3)
		hours := day.Days(logbook.NewDay(1990, time.January, 1)) * 20
		stem := fmt.Sprintf("%s-h-%d", day, at)
		put(fmt.Sprintf("overhauls/e%d/c%d/%s.md", e, c+1, stem), fmt.Sprintf(madeRecord, at, at, turn/4, at, turn/4, e, c+1, day, hours, day, 270+i%30, 275+i%30, 280+i%30, 5+i%9, day, 300+i%10, 8+i%12, day, e, c+1, day, hours, i%12+1))
	}
	return files
}

const madeRecord = `---
holder: "H-%d"
nozzle: {found: "N-%d-%d", left: "N-%d-%d", marking: "8x0.30"}
removed: {engine: E%d, cylinder: %d, date: %s, counter: %d h, reason: planned, rings_out: 1}
as_found: {date: %s, bench: B-1, gauge: PG-1, oil: 21 °C, connection: clean, opening_pressure: [%d bar, %d bar, %d bar], seat: {at: 260 bar, for: 10 s, state: damp}, leak_down: {from: 255 bar, to: 205 bar, time: %d.2 s}, spray: {open: 8, weak: [], pattern: even}}
inspected: {needle_seat: good, holder_face: marked, tip: good, holes: good, spring: good}
measured: {stroke: {value: 0.56 mm, with: DG-1}, holder_wear: {value: 0.01 mm, with: DG-1}, seat_diameter: not measured (no gauge aboard)}
decided: {nozzle: reuse, holder: reuse, spring: reuse, why: all within}
assembled: {nozzle_nut: {torque: 300 N·m, steps: 2, wrench: TW-1, lubricant: thread paste}, seals: {adjusting_screw: renewed, body: renewed}, dowels: seated}
as_left: {date: %s, bench: B-1, gauge: PG-1, oil: 21 °C, opening_pressure: [305 bar, %d bar, 305 bar], seat: {at: 285 bar, for: 10 s, state: dry}, leak_down: {from: 280 bar, to: 230 bar, time: %d.8 s}, spray: {open: 8, weak: [], pattern: even}, end_cap: {torque: 120 N·m, wrench: TW-1}}
stored: {date: %s, place: 1, capped: yes}
fitted: {engine: E%d, cylinder: %d, date: %s, counter: %d h, rings_in: 1, protrusion: 12.0 mm, clamp_nuts: {torque: 80 N·m, steps: 3, wrench: TW-1}, leak_check: cold warm loaded, shields: refitted}
by: a.two
---

## What was seen

Carbon round hole %d, brushed off with brass. The needle fell freely afterwards, and the **seat** took blue all round.

- face of the holder lapped lightly
- spring ends looked at under the lens

| hole | wire |
|---:|:---|
| 1 | stops |
| 2 | stops |
`

// BenchmarkBuild writes the pages of made books, without the reading and judging of the book, and states the time as a multiple of
// the bare writing of the same files. NEEDLEBOOK_BENCH=10000 adds the large book.
func BenchmarkBuild(b *testing.B) {
	sizes := []int{1000}
	if os.Getenv("NEEDLEBOOK_BENCH") == "10000" {
		sizes = append(sizes, 10000)
	}
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) { benchmarkBuild(b, n) })
	}
}

func benchmarkBuild(b *testing.B, n int) {
	files := madeBook(n)
	book, err := logbook.Read(files)
	must(b, err)
	in := Input{Book: book, Report: checks.Run(book, checks.Options{Only: []*checks.Check{}}), Files: files}
	in.Trail = trailOf(book)
	base := benchFolder(b)
	out := filepath.Join(base, "out")
	must(b, build(in, out)) // once before, so that memory is at hand for both
	pages := read0(b, out)
	size := 0
	for _, p := range pages {
		size += len(p)
	}
	floor, cpuFloor := bareWrite(b, pages, base)
	count := len(pages)
	pages = nil
	var cpu time.Duration
	for b.Loop() {
		b.StopTimer()
		must(b, os.RemoveAll(out))
		before := cpuTime()
		b.StartTimer()
		must(b, build(in, out))
		cpu += cpuTime() - before
	}
	b.ReportMetric(cpu.Seconds()/float64(b.N), "cpu-s/op")
	b.ReportMetric(cpu.Seconds()/float64(b.N)/cpuFloor.Seconds(), "x-bare-write-cpu")
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/floor.Seconds(), "x-bare-write")
	b.ReportMetric(float64(size)/1e6, "MB")
	b.ReportMetric(float64(count), "files")
}

// BenchmarkRebuild writes the pages of a book that did not change.
func BenchmarkRebuild(b *testing.B) {
	files := madeBook(1000)
	book, err := logbook.Read(files)
	must(b, err)
	in := Input{Book: book, Report: checks.Run(book, checks.Options{Only: []*checks.Check{}}), Files: files, Trail: trailOf(book)}
	out := filepath.Join(benchFolder(b), "out")
	must(b, build(in, out))
	for b.Loop() {
		r, err := Build(in, out)
		must(b, err)
		if r.Written != 0 {
			b.Fatalf("%+v", r)
		}
	}
}

// benchFolder lies in memory where the system has such a place, so that the disk does not decide.
func benchFolder(b *testing.B) string {
	dir, err := os.MkdirTemp("/dev/shm", "pages")
	if err != nil {
		return b.TempDir()
	}
	b.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

// bareWrite is the time in which the same bytes are written to the same names, by the clock and by the processor, the best of three.
func bareWrite(b *testing.B, pages map[string][]byte, base string) (best, cpu time.Duration) {
	for i := range 3 {
		dir := filepath.Join(base, fmt.Sprint("bare", i))
		must(b, os.Mkdir(dir, 0o777))
		start, before := time.Now(), cpuTime()
		for name, text := range pages {
			must(b, os.WriteFile(filepath.Join(dir, path.Base(name)), text, 0o666))
		}
		if d := time.Since(start); best == 0 || d < best {
			best, cpu = d, cpuTime()-before
		}
		must(b, os.RemoveAll(dir))
	}
	return best, cpu
}
