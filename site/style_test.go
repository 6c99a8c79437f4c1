package site

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"needlebook/site/look"
)

// TestContrast holds text to be legible on paper in both themes: at least 4.5 to 1 for text, 3 to 1 for marks.
// Source: Web Content Accessibility Guidelines 2.2, success criteria 1.4.3 and 1.4.11, and its definition of relative luminance.
func TestContrast(t *testing.T) {
	css, ours := strings.CutPrefix(string(look.Style), `@import "print.css" print;`)
	if !ours {
		t.Error("the stylesheet does not ask for the one of the printer")
	}
	light, dark, _ := strings.Cut(css, "@media screen and (prefers-color-scheme: dark)")
	dark, _, _ = strings.Cut(dark, "@media print")
	for name, theme := range map[string]string{"light": light, "dark": dark} {
		colours := map[string]float64{}
		for _, m := range regexp.MustCompile(`--([a-z]+): #([0-9a-f]{6});`).FindAllStringSubmatch(theme, -1) {
			colours[m[1]] = luminance(t, m[2])
		}
		for ink, least := range map[string]float64{"ink": 7, "soft": 4.5, "stop": 4.5, "ask": 4.5, "link": 4.5} {
			for _, ground := range []string{"paper", "faint"} {
				if got := contrast(colours[ink], colours[ground]); got < least {
					t.Errorf("%s theme: %s on %s has a contrast of %.2f, want %.1f", name, ink, ground, got, least)
				}
			}
		}
		if len(colours) < 9 {
			t.Errorf("%s theme: %d colours found", name, len(colours))
		}
	}
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	channel := func(i int) float64 {
		v, err := strconv.ParseUint(hex[i:i+2], 16, 8)
		must(t, err)
		c := float64(v) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(0) + 0.7152*channel(2) + 0.0722*channel(4)
}

func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }

// TestStyleIsWhole holds that the stylesheet asks for nothing outside itself, and that pages use only classes it knows.
func TestStyleIsWhole(t *testing.T) {
	css, ours := strings.CutPrefix(string(look.Style), `@import "print.css" print;`)
	if !ours {
		t.Error("the stylesheet does not ask for the one of the printer")
	}
	for _, bad := range []string{"url(", "@import", "http", "expression("} {
		if strings.Contains(css, bad) {
			t.Errorf("the stylesheet holds %s", bad)
		}
	}
	known := map[string]bool{}
	for _, m := range regexp.MustCompile(`\.([a-z][a-z-]*)`).FindAllStringSubmatch(css, -1) {
		known[m[1]] = true
	}
	plainOnes := set("vessel cylinder part round list plain manual file trace commit add month groups")
	missing := map[string]bool{}
	for name, page := range built(t, vessels(t)["ordinary"]) {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		for _, m := range regexp.MustCompile(` class="([^"]*)"`).FindAllStringSubmatch(string(page), -1) {
			for _, c := range strings.Fields(m[1]) {
				if !known[c] && !plainOnes[c] && !missing[c] {
					missing[c] = true
					t.Errorf("%s: class %s is not in the stylesheet", name, c)
				}
			}
		}
	}
}
