package exchange_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/internal/trial"
)

// BenchmarkWrite reports what saving one record costs, durable and read back, as a multiple of git's own add
// and signed commit in the same book, with the syncing that the book's settings ask of git.
func BenchmarkWrite(b *testing.B) {
	records := []int{1000}
	if os.Getenv("NEEDLEBOOK_LONG") == "1" {
		records = append(records, 10000)
	}
	for _, n := range records {
		b.Run(fmt.Sprintf("records=%d", n), func(b *testing.B) {
			home := b.TempDir()
			dir := filepath.Join(home, "book")
			text := func(i int) []byte {
				return []byte(fmt.Sprintf("---\nholder: \"H-%d\"\n---\n", i) + strings.Repeat("- a line of remarks, as they are written\n", 40))
			}
			path := func(i int) string {
				return fmt.Sprintf("overhauls/me%d/c%d/2024-01-01-h-%d.md", 1+i%4, 1+i/4%7, i)
			}
			first := trial.Draft(0)
			for i := range n {
				first.Changes = append(first.Changes, exchange.Change{Path: path(i), Text: text(i)})
			}
			if _, err := exchange.Build(dir, []exchange.Step{{Draft: first}}); err != nil {
				b.Fatal(err)
			}
			key := filepath.Join(home, "key")
			if out, err := exec.Command("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", key).CombinedOutput(); err != nil {
				b.Skipf("ssh-keygen: %v %s", err, out)
			}
			git := func(args ...string) {
				cmd := exec.Command("git", append([]string{"-c", "user.name=x", "-c", "user.email=x@y", "-c", "user.signingkey=" + key}, args...)...)
				cmd.Dir, cmd.Env = dir, []string{"PATH=" + os.Getenv("PATH"), "HOME=" + home, "GIT_CONFIG_NOSYSTEM=1"}
				if out, err := cmd.CombinedOutput(); err != nil {
					b.Fatalf("git %v: %v %s", args, err, out)
				}
			}
			next := n
			// One of theirs and one of ours in turn, so that both meet the same disk.
			var theirs, ours []time.Duration
			for b.Loop() {
				next++
				name := filepath.Join(dir, path(next))
				if err := os.WriteFile(name, text(next), 0o666); err != nil {
					b.Fatal(err)
				}
				start := time.Now()
				git("add", path(next))
				git("commit", "-q", "-S", "-m", "one more")
				theirs = append(theirs, time.Since(start))

				next++
				start = time.Now()
				if _, err := exchange.Write(dir, trial.Draft(next, exchange.Change{Path: path(next), Text: text(next)})); err != nil {
					b.Fatal(err)
				}
				ours = append(ours, time.Since(start))
			}
			middle := func(d []time.Duration) time.Duration { slices.Sort(d); return d[len(d)/2] }
			b.ReportMetric(float64(middle(ours))/float64(middle(theirs)), "x-of-git-add-and-commit")
			b.ReportMetric(float64(middle(ours).Microseconds())/1000, "ms-here")
			b.ReportMetric(float64(middle(theirs).Microseconds())/1000, "ms-git")
		})
	}
}
