package checks

import (
	"os"
	"testing"

	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// BenchmarkKeystroke is what an editor waits for at each keystroke in one record of a large book: the book put together with the text
// as it stands, and what the checks say of that record. It reports the processor time too: a busy machine stretches the other.
func BenchmarkKeystroke(b *testing.B) {
	dir := b.TempDir()
	if err := invent.Vessel(3, invent.Options{Overhauls: 10_000}).Write(dir); err != nil {
		b.Fatal(err)
	}
	r := logbook.NewReader(os.DirFS(dir))
	book, err := r.Read()
	if err != nil {
		b.Fatal(err)
	}
	o := book.Overhauls[len(book.Overhauls)/2]
	src, err := os.ReadFile(dir + "/" + o.Path)
	if err != nil {
		b.Fatal(err)
	}
	start := cpuTime()
	for b.Loop() {
		src = append(src, ' ')
		now, err := r.With(map[string][]byte{o.Path: src})
		if err != nil {
			b.Fatal(err)
		}
		Look(now, Options{}, now.Overhaul(o.Stem))
	}
	b.ReportMetric(float64((cpuTime()-start).Milliseconds())/float64(b.N), "cpu-ms/op")
}
