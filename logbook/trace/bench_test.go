package trace_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// workload is a book of many signed commits: one record each, every sixth a later edit, on several
// engines and cylinders, by four keys; then packed by git, where it is there, as an old book would be.
func workload(b *testing.B, commits int) (dir string, ids []string) {
	b.Helper()
	hands := []string{berg, ivanov, reyes}
	s := found(shore, berg, ivanov, reyes)
	path := func(i int) string {
		return fmt.Sprintf("overhauls/me%d/c%d/%s-h-%d.md", 1+i%4, 1+i/4%7, zero.AddDate(0, 0, i/28).Format("2006-01-02"), 100+i)
	}
	for i := 1; i < commits; i++ {
		n, edited := i, "no"
		if i%6 == 0 {
			n, edited = i-5, "yes"
		}
		s.by(hands[i%3], path(n), longRecord(n, edited))
	}
	dir = filepath.Join(b.TempDir(), "book")
	ids, err := exchange.Build(dir, s.steps)
	if err != nil {
		b.Fatal(err)
	}
	oracle(b, dir, nil, "git", "repack", "-adfq")
	return dir, ids
}

// longRecord is a record of about the size of a real one.
func longRecord(n int, edited string) string {
	text := fmt.Sprintf("---\nholder: \"H-%d\"\nedited: %s\nas_found:\n  opening_pressure: [%d bar, %d bar, %d bar]\n", n, edited, 290+n%30, 291+n%30, 289+n%30)
	for i := range 30 {
		text += fmt.Sprintf("  field_%02d: %d.%d mm\n", i, n%7, (n*31+i)%100)
	}
	text += "---\n\n## Remarks\n\n"
	for i := range 16 {
		text += fmt.Sprintf("- seat %d of valve %d looked at under the glass, nothing to add\n", i, n)
	}
	return text
}

// BenchmarkRead reports how many times faster the whole reading is than git judging the signatures
// alone, both on this machine, now.
func BenchmarkRead(b *testing.B) {
	sizes := []int{1200}
	if os.Getenv("NEEDLEBOOK_LONG") == "1" {
		sizes = append(sizes, 12000)
	}
	for _, commits := range sizes {
		b.Run(fmt.Sprintf("commits=%d", commits), func(b *testing.B) {
			dir, ids := workload(b, commits)
			start := time.Now()
			out, _ := oracle(b, dir, nil, "git", "log", "--format=%H %G?")
			git := time.Since(start)
			if want := fmt.Sprintf("%s G\n", ids[len(ids)-1]); out[:len(want)] != want {
				b.Fatalf("git says %q", out[:len(want)])
			}
			start = time.Now()
			oracle(b, dir, nil, "git", "log", "--raw", "-r", "--no-renames", "--format=%H")
			raw := time.Since(start)
			for b.Loop() {
				t, err := trace.Read(dir, trace.Options{FoundingProof: proof(ids)})
				if err != nil || !t.Proved {
					b.Fatal(t.Headline, err)
				}
			}
			each := b.Elapsed().Seconds() / float64(b.N)
			b.ReportMetric(git.Seconds()/each, "x-faster-than-git-%G?")
			b.ReportMetric(each/raw.Seconds(), "x-of-git-log---raw")
			b.ReportMetric(float64(commits)/each, "commits/s")
		})
	}
}
