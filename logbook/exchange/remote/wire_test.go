package remote_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/mail"
)

// BenchmarkWire packs thirty signed commits of records for a side that holds the rest of the book, beside what native git bundle
// makes of the same. It reports bytes a commit, and the ratios.
func BenchmarkWire(b *testing.B) {
	dir := trial.Founded(b, 300)
	for range b.N {
		since := trial.Run(b, dir, "rev-parse", "HEAD~30")
		bag, err := mail.PackBag(context.Background(), dir, []string{since}, "", false)
		if err != nil {
			b.Fatal(err)
		}
		loose, err := mail.PackBag(context.Background(), dir, []string{since}, "", true)
		if err != nil {
			b.Fatal(err)
		}
		small, err := mail.Smaller(loose.Text)
		if err != nil {
			b.Fatal(err)
		}
		native := filepath.Join(b.TempDir(), "native.bundle")
		trial.Run(b, dir, "bundle", "create", "-q", native, since+"..main")
		info, err := os.Stat(native)
		if err != nil {
			b.Fatal(err)
		}
		n := float64(info.Size())
		b.ReportMetric(n/30, "native-B/commit")
		b.ReportMetric(float64(len(bag.Text))/30, "thin-B/commit")
		b.ReportMetric(float64(len(small))/30, "small-B/commit")
		b.ReportMetric(float64(len(bag.Text))/n, "thin/native")
		b.ReportMetric(float64(len(small))/n, "small/native")
		if out := os.Getenv("NEEDLEBOOK_KEEP"); out != "" {
			os.WriteFile(filepath.Join(out, "loose.bundle"), loose.Text, 0o666)
			os.WriteFile(filepath.Join(out, "thin.bundle"), bag.Text, 0o666)
			fmt.Println(len(loose.Text))
		}
	}
}
