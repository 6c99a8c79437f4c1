package content

import "testing"

// TestPhotoWords says what a photo shows by the name of its file: what it is of, whose it is, its day. A name that tells
// none of these stays as it is. No outside source.
func TestPhotoWords(t *testing.T) {
	of := []string{"H-109", "N-2028"}
	for photo, want := range map[string]string{
		"photos/2022-10-14-h-109-face.png":       "face, H-109, 2022-10-14",
		"photos/2022-10-14-h-109.png":            "photo, H-109, 2022-10-14",
		"photos/n-2028-tip-after-cleaning.jpg":   "tip after cleaning, N-2028",
		"photos/2022-10-14-bench.jpg":            "bench, 2022-10-14",
		"photos/h-1099-face.png":                 "photos/h-1099-face.png",
		"photos/IMG_0042.jpg":                    "photos/IMG_0042.jpg",
		"photos/2022-13-14-no-day-and-no-one.md": "photos/2022-13-14-no-day-and-no-one.md",
	} {
		if got := photoWords(photo, of); got != want {
			t.Errorf("%s: %q, want %q", photo, got, want)
		}
	}
}

// TestUnbroken keeps days and serials whole, and says every word of a text. No outside source.
func TestUnbroken(t *testing.T) {
	for _, text := range []string{"tested 2023-10-06, 262 d ago", "2024-08-15 to 2024-08-18", "–", "N-2044, reuse", ""} {
		if got := unbroken(text).String(); got != text {
			t.Errorf("%q is said as %q", text, got)
		}
	}
}
