package checks

import (
	"fmt"
	"io/fs"
	"os"
	"runtime"
	"runtime/debug"
	"testing"
	"time"

	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// BenchmarkCheck reads and judges an invented vessel from a folder, beside the floor of reading the same bytes on one processor. It
// reports the time and the processor time as multiples of that floor, records a second, and the memory that book and report hold.
func BenchmarkCheck(b *testing.B) {
	for _, n := range []int{1_000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			dir := b.TempDir()
			v := invent.Vessel(3, invent.Options{Overhauls: n}) // all in bar, millimetres and newton metres, as most ships
			if err := v.Write(dir); err != nil {
				b.Fatal(err)
			}
			records := v.Overhauls
			v = nil
			folder := os.DirFS(dir)
			defer debug.SetGCPercent(debug.SetGCPercent(400)) // as the command does
			defer debug.SetMemoryLimit(debug.SetMemoryLimit(1 << 30))
			var floor, took spent
			var report *Report
			var book *logbook.Book
			b.ReportAllocs()
			for b.Loop() {
				b.StopTimer()
				report, book = nil, nil
				runtime.GC()
				start := now()
				readAll(b, folder)
				floor = floor.and(start)
				b.StartTimer()
				start = now()
				var err error
				if book, err = logbook.Read(folder); err != nil {
					b.Fatal(err)
				}
				report = Run(book, Options{})
				took = took.and(start)
			}
			b.ReportMetric(float64(took.wall)/float64(floor.wall), "x-floor")
			if floor.cpu > 0 {
				b.ReportMetric(float64(took.cpu)/float64(floor.cpu), "x-floor-cpu")
			}
			b.ReportMetric(float64(records)*float64(b.N)/took.wall.Seconds(), "records/s")
			runtime.GC()
			var held runtime.MemStats
			runtime.ReadMemStats(&held)
			b.ReportMetric(float64(held.HeapAlloc)/(1<<20), "MB-held")
			runtime.KeepAlive(report)
			runtime.KeepAlive(book)
		})
	}
}

// spent is time by the clock and of the processors.
type spent struct{ wall, cpu time.Duration }

var started = time.Now()

func now() spent { return spent{time.Since(started), cpuTime()} }

// and adds what was spent since a start.
func (s spent) and(start spent) spent {
	n := now()
	return spent{s.wall + n.wall - start.wall, s.cpu + n.cpu - start.cpu}
}

// readAll reads every byte of a folder.
func readAll(b *testing.B, folder fs.FS) {
	err := fs.WalkDir(folder, ".", func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			_, err = fs.ReadFile(folder, name)
		}
		return err
	})
	if err != nil {
		b.Fatal(err)
	}
}
