package site

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// bombPNG is a small file whose header promises a huge picture.
func bombPNG(w, h uint32) []byte {
	var b bytes.Buffer
	b.WriteString("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, data []byte) {
		_ = binary.Write(&b, binary.BigEndian, uint32(len(data)))
		b.WriteString(kind)
		b.Write(data)
		_ = binary.Write(&b, binary.BigEndian, crc32.ChecksumIEEE(append([]byte(kind), data...)))
	}
	header := make([]byte, 13)
	binary.BigEndian.PutUint32(header, w)
	binary.BigEndian.PutUint32(header[4:], h)
	header[8], header[9] = 8, 2
	chunk("IHDR", header)
	chunk("IDAT", []byte{0x78, 0x9c})
	return b.Bytes()
}

// turnedJPEG is a picture of 40 by 20, red at its upper left corner as it is stored, with an orientation and a place in its EXIF block.
func turnedJPEG(t testing.TB, orientation byte) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 40, 20))
	for y := range 20 {
		for x := range 40 {
			c := color.RGBA{0, 0, 255, 255}
			if x < 10 && y < 10 {
				c = color.RGBA{255, 0, 0, 255}
			}
			img.Set(x, y, c)
		}
	}
	var plain bytes.Buffer
	must(t, jpeg.Encode(&plain, img, &jpeg.Options{Quality: 95}))
	exif := append([]byte("Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00"), orientation, 0, 0, 0, 0, 0, 0)
	exif = append(exif, "GPS 50N 8E"...)
	out := []byte{0xff, 0xd8, 0xff, 0xe1, byte((len(exif) + 2) >> 8), byte(len(exif) + 2)}
	out = append(out, exif...)
	return append(out, plain.Bytes()[2:]...)
}

// TestPictures holds the small copies to be upright, both to be without the camera's notes, and the whole one to be the very same picture,
// turned as it was.
// Source for where the stored corner goes: Exif 2.3 (CIPA DC-008), 4.6.4 A, table of orientations.
func TestPictures(t *testing.T) {
	corners := map[byte]string{1: "top left", 2: "top right", 3: "bottom right", 4: "bottom left", 5: "top left", 6: "top right", 7: "bottom right", 8: "bottom left"}
	for turned, corner := range corners {
		src := turnedJPEG(t, turned)
		files := baseFiles(t, map[string]string{"photos/h-1-tip.png": string(src), "photos/gone.jpg": ""})
		out := filepath.Join(t.TempDir(), "out")
		must(t, build(bookOf(t, files, nil), out))
		var small, full []byte
		for name, data := range read0(t, out) {
			switch {
			case strings.HasSuffix(name, "-small.jpg"):
				small = data
			case strings.HasPrefix(name, "picture-"):
				full = data
			}
		}
		if bytes.Contains(full, []byte("GPS")) {
			t.Errorf("orientation %d: the whole picture holds where it was taken", turned)
		}
		if got := orientation(full); got != int(turned) {
			t.Errorf("orientation %d: the whole picture says %d", turned, got)
		}
		samePixels(t, full, src)
		if bytes.Contains(small, []byte("GPS")) || bytes.Contains(small, []byte("Exif")) {
			t.Errorf("orientation %d: the small copy holds the camera's notes", turned)
		}
		img, err := jpeg.Decode(bytes.NewReader(small))
		must(t, err)
		w, h := img.Bounds().Dx(), img.Bounds().Dy()
		if wide := turned < 5; wide != (w > h) {
			t.Errorf("orientation %d: %d × %d", turned, w, h)
		}
		x, y := 3, 3
		if strings.Contains(corner, "right") {
			x = w - 4
		}
		if strings.Contains(corner, "bottom") {
			y = h - 4
		}
		if r, _, b, _ := img.At(x, y).RGBA(); r < 0x8000 || b > 0x8000 {
			t.Errorf("orientation %d: the red corner is not at the %s", turned, corner)
		}
	}
}

func samePixels(t *testing.T, got, want []byte) {
	t.Helper()
	a, _, err := image.Decode(bytes.NewReader(got))
	must(t, err)
	b, _, err := image.Decode(bytes.NewReader(want))
	must(t, err)
	if a.Bounds() != b.Bounds() {
		t.Fatalf("%v, want %v", a.Bounds(), b.Bounds())
	}
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			if a.At(x, y) != b.At(x, y) {
				t.Fatalf("the picture differs at %d, %d", x, y)
			}
		}
	}
}

// TestPublished takes notes out of every place where cameras and programs put them, a second picture behind the end among them.
func TestPublished(t *testing.T) {
	plain := turnedJPEG(t, 1)
	segment := func(marker byte, body string) []byte {
		return append([]byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
	}
	src := append([]byte{0xff, 0xd8}, segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00SECRET")...)
	src = append(src, segment(0xed, "Photoshop 3.0\x00SECRET")...)
	src = append(src, segment(0xe2, "MPF\x00SECRET")...)
	src = append(src, segment(0xfe, "SECRET")...)
	src = append(append(src, plain[2:]...), append([]byte("SECRET"), plain...)...)
	got, err := published(src, "jpeg", 1)
	must(t, err)
	if bytes.Contains(got, []byte("SECRET")) || bytes.Contains(got, []byte("GPS")) {
		t.Error("a note is left in the JPEG picture")
	}
	samePixels(t, got, plain)

	png, err := os.ReadFile("testdata/ordinary/photos/h-1-tip.png")
	must(t, err)
	var chunk bytes.Buffer
	body := []byte("tEXtComment\x00SECRET")
	_ = binary.Write(&chunk, binary.BigEndian, uint32(len(body)-4))
	chunk.Write(body)
	_ = binary.Write(&chunk, binary.BigEndian, crc32.ChecksumIEEE(body))
	withNote := append(append(append([]byte{}, png[:33]...), chunk.Bytes()...), png[33:]...)
	got, err = published(append(withNote, "SECRET"...), "png", 1)
	must(t, err)
	if bytes.Contains(got, []byte("SECRET")) {
		t.Error("a note is left in the PNG picture")
	}
	samePixels(t, got, png)
}

// FuzzPublished: any bytes, and leaving out the notes never panics, and what it gives holds no segment that it does not keep.
func FuzzPublished(f *testing.F) {
	f.Add(turnedJPEG(f, 6))
	f.Add(bombPNG(3, 3))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, format := range []string{"jpeg", "png"} {
			if got, err := published(data, format, 6); err == nil && len(got) > len(data)+64 {
				t.Errorf("%s grew from %d to %d bytes", format, len(data), len(got))
			}
		}
	})
}

// TestPictureKept holds that a picture that did not change is not made again, and that one without a file is put in words.
func TestPictureKept(t *testing.T) {
	in := bookOf(t, baseFiles(t, nil), nil)
	out := filepath.Join(t.TempDir(), "out")
	must(t, build(in, out))
	page, err := os.ReadFile(filepath.Join(out, "overhaul-2020-07-01-h-1.html"))
	must(t, err)
	if !strings.Contains(words(t, page), "picture photos/gone.jpg is not in the book") {
		t.Error("the missing picture is not put in words")
	}
	if n := bytes.Count(page, []byte("<img ")); n != 1 {
		t.Errorf("%d pictures on the page, want the one that exists, once", n)
	}
	if !bytes.Contains(page, []byte(`alt="tip after cleaning"`)) || !bytes.Contains(page, []byte(`loading="lazy"`)) {
		t.Error("the picture lacks its words, or is not loaded lazily")
	}
}

// FuzzOrientation: any bytes, and reading the orientation gives one of the eight and never panics.
func FuzzOrientation(f *testing.F) {
	f.Add(turnedJPEG(f, 6))
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x10Exif\x00\x00II*\x00\xff\xff\xff\x7f"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if o := orientation(data); o < 1 || o > 8 {
			t.Errorf("orientation = %d", o)
		}
	})
}

// The certificate that a valve came with is on the page of its record: a picture is shown, a PDF is linked and is the same bytes; what only
// bears the name of one is neither.
func TestCertificateIsOnItsPage(t *testing.T) {
	record := "---\nholder: \"H-77\"\nnozzle: {left: \"N-77\"}\nreceived: {date: 2020-06-01, from: a workshop, certificate: WC-7, file: photos/wc-7.pdf}\nas_left: {date: 2020-05-20, opening_pressure: [305 bar]}\n---\n"
	for text, want := range map[string]bool{"%PDF-1.4\nno picture\n": true, "no certificate at all": false} {
		files := baseFiles(t, map[string]string{"photos/wc-7.pdf": text, "overhauls/spares/2020-06-01-h-77.md": record})
		out := filepath.Join(t.TempDir(), "out")
		must(t, build(bookOf(t, files, nil), out))
		all, kept := read0(t, out), ""
		for name, data := range all {
			if strings.HasSuffix(name, ".pdf") && string(data) == text {
				kept = name
			}
		}
		page := string(all["overhaul-2020-06-01-h-77.html"])
		linked := kept != "" && strings.Contains(page, `<a download href="`+kept+`">certificate WC-7</a>`)
		if linked != want || strings.Contains(page, "class=\"nopic\"") == want {
			t.Errorf("%q: linked %v, want %v, kept as %q", text, linked, want, kept)
		}
	}
}
