package checks

import (
	"fmt"
	"io/fs"
	"os"
	"runtime"
	"testing"
	"time"

	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// BenchmarkCheck reads and judges an invented vessel from a folder, beside the floor of reading the same bytes. It reports the time as
// a multiple of that floor, records a second, and the memory that book and report hold.
func BenchmarkCheck(b *testing.B) {
	for _, n := range []int{1_000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			dir := b.TempDir()
			v := invent.Vessel(1, invent.Options{Overhauls: n})
			if err := v.Write(dir); err != nil {
				b.Fatal(err)
			}
			records := v.Overhauls
			v = nil
			folder := os.DirFS(dir)
			floor, took := time.Duration(0), time.Duration(0)
			var report *Report
			var book *logbook.Book
			b.ReportAllocs()
			for b.Loop() {
				b.StopTimer()
				start := time.Now()
				readAll(b, folder)
				floor += time.Since(start)
				report, book = nil, nil
				b.StartTimer()
				start = time.Now()
				var err error
				if book, err = logbook.Read(folder); err != nil {
					b.Fatal(err)
				}
				report = Run(book, Options{})
				took += time.Since(start)
			}
			b.ReportMetric(float64(took)/float64(floor), "x-floor")
			b.ReportMetric(float64(records)*float64(b.N)/took.Seconds(), "records/s")
			runtime.GC()
			var held runtime.MemStats
			runtime.ReadMemStats(&held)
			b.ReportMetric(float64(held.HeapAlloc)/(1<<20), "MB-held")
			runtime.KeepAlive(report)
			runtime.KeepAlive(book)
		})
	}
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
