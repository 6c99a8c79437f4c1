//go:build unix

package trace_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"
	"testing"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// workload is a book of many signed commits: one record each, every sixth a later edit, on several
// engines and cylinders, by four keys; then packed by git, where it is there, as an old book would be.
func workload(b *testing.B, commits int) (dir string, ids []string) {
	b.Helper()
	signers := []string{berg, ivanov, reyes}
	s := found(shore, berg, ivanov, reyes)
	path := func(i int) string {
		return fmt.Sprintf("overhauls/me%d/c%d/%s-h-%d.md", 1+i%4, 1+i/4%7, zero.AddDate(0, 0, i/28).Format("2006-01-02"), 100+i)
	}
	for i := 1; i < commits; i++ {
		n, edited := i, "no"
		if i%6 == 0 {
			n, edited = i-5, "yes"
		}
		s.by(signers[i%3], path(n), longRecord(n, edited))
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

// sizes are the numbers of commits measured; the long run takes more.
func sizes(long ...int) []int {
	if os.Getenv("NEEDLEBOOK_LONG") == "1" {
		return append([]int{1200}, long...)
	}
	return []int{1200}
}

// cost is what something took: on the wall clock, and in processor time, whose ratios stay the same when
// other work runs beside. Both in seconds.
type cost struct{ wall, cpu float64 }

// own measures this process.
func own(f func()) cost {
	cpu := func() float64 {
		var r syscall.Rusage
		syscall.Getrusage(syscall.RUSAGE_SELF, &r)
		return float64(r.Utime.Sec+r.Stime.Sec) + float64(r.Utime.Usec+r.Stime.Usec)/1e6
	}
	start, before := time.Now(), cpu()
	f()
	return cost{time.Since(start).Seconds(), cpu() - before}
}

// gits is the median of some runs of git, and of what it runs: the measure beside which ours is put.
func gits(b *testing.B, dir string, runs int, args ...string) (c cost, out string) {
	b.Helper()
	var wall, cpu []float64
	for range runs {
		cmd := exec.Command("git", args...)
		cmd.Dir, cmd.Env = dir, []string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir, "GIT_CONFIG_NOSYSTEM=1", "TZ=UTC", "LC_ALL=C"}
		start := time.Now()
		text, err := cmd.Output()
		if err != nil {
			b.Skip("git: ", err)
		}
		out = string(text)
		wall = append(wall, time.Since(start).Seconds())
		cpu = append(cpu, (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds())
	}
	slices.Sort(wall)
	slices.Sort(cpu)
	return cost{wall[runs/2], cpu[runs/2]}, out
}

// median runs something as often as the benchmark asks for and returns the median of both costs.
func median(b *testing.B, before, f func()) cost {
	var wall, cpu []float64
	for b.Loop() {
		if before != nil {
			b.StopTimer()
			before()
			b.StartTimer()
		}
		c := own(f)
		wall, cpu = append(wall, c.wall), append(cpu, c.cpu)
	}
	slices.Sort(wall)
	slices.Sort(cpu)
	return cost{wall[len(wall)/2], cpu[len(cpu)/2]}
}

// held is what is alive on the heap after a collection, in megabytes.
func held() float64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc) / 1e6
}

// BenchmarkRead reports how many times faster the whole reading (every commit and tree hashed again, every
// signature, who set each value, the folder against the tip) is than git judging the signatures alone,
// both on this machine, now.
func BenchmarkRead(b *testing.B) {
	for _, commits := range sizes(12000) {
		b.Run(fmt.Sprintf("commits=%d", commits), func(b *testing.B) {
			dir, ids := workload(b, commits)
			git, out := gits(b, dir, 1, "log", "--format=%H %G?")
			if want := fmt.Sprintf("%s G\n", ids[len(ids)-1]); out[:len(want)] != want {
				b.Fatalf("git says %q", out[:len(want)])
			}
			c := median(b, nil, func() {
				t, err := trace.Read(dir, trace.Options{FoundingProof: proof(ids)})
				if err != nil || !t.Proved {
					b.Fatal(t.Headline, err)
				}
			})
			b.ReportMetric(git.wall/c.wall, "x-faster-than-git-%G?")
			b.ReportMetric(git.cpu/c.cpu, "x-less-processor-time")
			b.ReportMetric(float64(commits)/c.wall, "commits/s")
		})
	}
}

// BenchmarkHistory reports the history alone, every commit and tree hashed again, as a multiple of what
// git needs for the same, which hashes nothing.
func BenchmarkHistory(b *testing.B) {
	for _, commits := range sizes(12000, 60000) {
		b.Run(fmt.Sprintf("commits=%d", commits), func(b *testing.B) {
			dir, ids := workload(b, commits)
			raw, _ := gits(b, dir, 5, "log", "--raw", "-r", "--no-renames", "--format=%H")
			c := median(b, nil, func() {
				n, err := trace.History(dir)
				if err != nil || n != len(ids) {
					b.Fatal(n, err)
				}
			})
			before := held()
			t, err := trace.Read(dir, trace.Options{FoundingProof: proof(ids)})
			if err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(held()-before, "MB-held-by-the-trail")
			b.ReportMetric(c.wall/raw.wall, "x-of-git-log---raw")
			b.ReportMetric(c.cpu/raw.cpu, "x-of-its-processor-time")
			b.ReportMetric(float64(len(t.Commits))/c.wall, "commits/s")
		})
	}
}

// BenchmarkAgain reports a reading after one new commit, with what the reading before it left in the
// cache, as a multiple of git's status, which looks at the folder alone.
func BenchmarkAgain(b *testing.B) {
	for _, commits := range sizes(12000, 60000) {
		b.Run(fmt.Sprintf("commits=%d", commits), func(b *testing.B) {
			dir, ids := workload(b, commits)
			o := trace.Options{FoundingProof: proof(ids), Cache: filepath.Join(b.TempDir(), "own")}
			if _, err := trace.Read(dir, o); err != nil {
				b.Fatal(err)
			}
			status, _ := gits(b, dir, 11, "status", "--porcelain")
			n := 0
			c := median(b, func() {
				n++
				d := exchange.Draft{Message: "one more", Signer: key(berg), Author: exchange.Person{Name: berg, Email: "x", When: zero.AddDate(9, 0, n)},
					Changes: []exchange.Change{{Path: fmt.Sprintf("overhauls/me1/c1/2033-01-01-h-%d.md", n), Text: []byte(longRecord(n, "no"))}}}
				if _, err := exchange.Write(dir, d); err != nil {
					b.Fatal(err)
				}
			}, func() {
				t, err := trace.Read(dir, o)
				if err != nil || !t.Proved || len(t.Commits) != commits+n {
					b.Fatal(t.Headline, err)
				}
			})
			b.ReportMetric(c.wall/status.wall, "x-of-git-status")
			b.ReportMetric(c.cpu/status.cpu, "x-of-its-processor-time")
			b.ReportMetric(status.wall*1000, "git-status-ms")
			b.ReportMetric(c.cpu*1000, "own-cpu-ms")
		})
	}
}
