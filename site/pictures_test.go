package site

import (
	"bytes"
	"context"
	"fmt"
	"image"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// goldenPictures are pages as a reader has them before them: by day and by night, in the colours of who needs a strong contrast, on paper, on a
// telephone and on a desk.
var goldenPictures = []struct {
	page  string
	width int64
	how   string // day, night, forced or print
}{
	{"index.html", 1280, "day"}, {"index.html", 360, "day"}, {"index.html", 1280, "night"},
	{"engine-me1.html", 1280, "day"}, {"engine-me1.html", 1000, "print"},
	{"overhaul-2024-06-11-h-119.html", 1280, "day"}, {"overhaul-2024-06-11-h-119.html", 360, "day"}, {"overhaul-2024-06-11-h-119.html", 696, "print"},
	{"holder-h-109.html", 1280, "day"}, {"holder-h-109.html", 1280, "forced"},
	{"bunker-gallowyn-reach-2022-11-18.html", 768, "day"},
	{"sheet-me1-2024-01-24.html", 1000, "print"},
}

// A picture is held by what stands where: how dark each of so many fields of the first screen is. Faces differ from machine to machine by
// the width of a letter, and a field is larger than that; a page without its style sheet is far outside.
const (
	fieldsAcross, fieldsDown = 16, 12
	pictureTolerance         = 0.035 // mean difference of a field, of the whole from white to black; the letters of a line are about 0.1
)

// darkness is how far each field of a picture is from its ground.
func darkness(t *testing.T, src []byte) []float64 {
	t.Helper()
	img, _, err := image.Decode(bytes.NewReader(src))
	must(t, err)
	b := img.Bounds()
	light := func(x, y int) float64 {
		r, g, bl, _ := img.At(x, y).RGBA()
		return (0.2126*float64(r) + 0.7152*float64(g) + 0.0722*float64(bl)) / 0xffff
	}
	ground := light(b.Min.X+1, b.Min.Y+1)
	sum, n := make([]float64, fieldsAcross*fieldsDown), make([]float64, fieldsAcross*fieldsDown)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			f := (y-b.Min.Y)*fieldsDown/b.Dy()*fieldsAcross + (x-b.Min.X)*fieldsAcross/b.Dx()
			sum[f], n[f] = sum[f]+math.Abs(light(x, y)-ground), n[f]+1
		}
	}
	for f := range sum {
		sum[f] /= n[f]
	}
	return sum
}

// fieldsText is a picture as rows of numbers, in hundredths.
func fieldsText(all []float64) string {
	var b strings.Builder
	for f, v := range all {
		fmt.Fprintf(&b, "%3.0f", 100*v)
		if f%fieldsAcross == fieldsAcross-1 {
			b.WriteByte('\n')
		}
	}
	return b.String()
}

// apart is the mean difference of the fields of two pictures, the second as it is written.
func apart(t *testing.T, got []float64, want string) float64 {
	t.Helper()
	fields := strings.Fields(want)
	if len(fields) != len(got) {
		t.Fatalf("%d fields are written, want %d", len(fields), len(got))
	}
	sum := 0.0
	for i, f := range fields {
		var v float64
		if _, err := fmt.Sscan(f, &v); err != nil {
			t.Fatal(err)
		}
		sum += math.Abs(got[i] - v/100)
	}
	return sum / float64(len(got))
}

func (b *tab) seenAs(t *testing.T, width int64, how string) {
	t.Helper()
	scheme := map[string]string{"night": "dark"}[how]
	if scheme == "" {
		scheme = "light"
	}
	media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}
	switch how {
	case "print":
		media.Media = "print"
	case "forced":
		media.Features = append(media.Features, &emulation.MediaFeature{Name: "forced-colors", Value: "active"})
	}
	must(t, chromedp.Do(b.ctx, func(ctx context.Context, s *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, s, emulation.SetEmulatedMedia, media)
		return chromedp.Void{}, err
	}))
	must(t, chromedp.Do(b.ctx, chromedp.EmulateViewport(width, 900)))
}

// TestWiderPictures holds twelve pages to how they looked when somebody looked at them, with a tolerance that faces do not reach and a lost
// style sheet does. No outside source.
func TestWiderPictures(t *testing.T) {
	b := newTab(t)
	dir, _ := widerPages(t)
	seen := 0
	for _, p := range goldenPictures {
		name := fmt.Sprintf("%s-%d-%s", strings.TrimSuffix(p.page, ".html"), p.width, p.how)
		b.seenAs(t, p.width, p.how)
		b.open(t, dir, p.page)
		shot := func() []float64 {
			src, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
			must(t, err)
			return darkness(t, src)
		}
		got := shot()
		file := filepath.Join("testdata", "pictures", name+".txt")
		if *update {
			must(t, os.MkdirAll(filepath.Dir(file), 0o755))
			must(t, os.WriteFile(file, []byte(fieldsText(got)), 0o644))
			continue
		}
		want, err := os.ReadFile(file)
		must(t, err)
		if d := apart(t, got, string(want)); d > pictureTolerance {
			t.Errorf("%s is %.3f from the picture that was looked at, at most %.3f is kept to; look at the page, then -update:\n%s", name, d, pictureTolerance, fieldsText(got))
		}
		_, err = chromedp.Run(b.ctx, chromedp.Evaluate[any](`document.querySelector("link[rel=stylesheet]").remove(); 0`))
		must(t, err)
		if d := apart(t, shot(), string(want)); d > pictureTolerance {
			seen++
		}
	}
	if !*update && 4*seen < 3*len(goldenPictures) {
		t.Errorf("without their style sheet only %d of %d pages are other pictures", seen, len(goldenPictures))
	}
}

// forwarded are the pages of which an office forwards one PDF each, with the most sheets of A4 that each may take.
var forwarded = []struct {
	page   string
	sheets int
	says   string
}{
	{"sheet-me1-2024-01-24.html", 2, "Round sheet ME1 2024-01-24"},
	{"sheet-me2-2024-04-02.html", 2, "Round sheet ME2 2024-04-02"},
	{"engine-me1.html", 2, "ME1 over its running hours"},
	{"holder-h-109.html", 3, "Holder H-109"},
	{"bunker-gallowyn-reach-2022-11-18.html", 2, "Bunker Gallowyn Reach of 2022-11-18"},
	{"survey.html", 5, "for the survey"},
}

// largestPDF is what a poor line carries as one attachment; a survey of sixty rows by fifteen columns is more where each cell is tagged.
const (
	largestPDF    = 300_000
	largestSurvey = 500_000
)

// TestWiderForwarded prints what an office forwards: one PDF each, tagged as a browser saves it, small, with the ship, the day of the book
// and page n of m at the foot of each sheet.
func TestWiderForwarded(t *testing.T) {
	b := newTab(t)
	dir, _ := widerPages(t)
	for _, f := range forwarded {
		b.open(t, dir, f.page)
		ctx, cancel := context.WithTimeout(b.ctx, time.Minute)
		pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize(), chromedp.PDFOutlineAndTagged()))
		cancel()
		must(t, err)
		n := len(pdfPage.FindAll(pdf, -1))
		if n < 1 || n > f.sheets {
			t.Errorf("%s prints on %d sheets, at most %d are kept to", f.page, n, f.sheets)
		}
		most := largestPDF
		if f.page == "survey.html" {
			most = largestSurvey
		}
		if len(pdf) > most {
			t.Errorf("%s prints as %d bytes, at most %d are kept to", f.page, len(pdf), most)
		}
		text := pdfText(t, pdf)
		for i, sheet := range strings.Split(strings.TrimRight(text, "\f"), "\f") {
			for _, want := range []string{"Ostrevane, state of the book on 2024-06-24", fmt.Sprintf("page %d of %d", i+1, n)} {
				if !strings.Contains(spaces.ReplaceAllString(sheet, " "), want) {
					t.Errorf("sheet %d of %s does not say %q", i+1, f.page, want)
				}
			}
		}
		if !strings.Contains(spaces.ReplaceAllString(text, " "), f.says) {
			t.Errorf("%s does not say %q", f.page, f.says)
		}
	}
}

var spaces = regexp.MustCompile(`\s+`)

// pdfText is what a PDF says, sheet by sheet.
func pdfText(t *testing.T, pdf []byte) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Fatal("the wider tests want pdftotext: ", err)
	}
	file := filepath.Join(t.TempDir(), "printed.pdf")
	must(t, os.WriteFile(file, pdf, 0o600))
	text, err := exec.Command(tool, "-layout", file, "-").Output()
	must(t, err)
	return string(text)
}
