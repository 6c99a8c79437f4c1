package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"
)

// invented is a picture of what is photographed at a bench: a dark ground, a bright tip or seat, holes round it, dirt and light from a side.
func invented(seed uint64, w, h int) *image.RGBA {
	r := rand.New(rand.NewPCG(seed, 7))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	cx, cy, size := (0.3+0.4*r.Float64())*float64(w), (0.3+0.4*r.Float64())*float64(h), (0.1+0.25*r.Float64())*float64(h)
	light, dirt := r.Float64()*2*math.Pi, make([][3]float64, 25)
	for i := range dirt {
		dirt[i] = [3]float64{r.Float64() * float64(w), r.Float64() * float64(h), (0.01 + 0.07*r.Float64()) * float64(h)}
	}
	holes, from := 6+r.IntN(5), r.Float64()
	for y := range h {
		for x := range w {
			dx, dy := float64(x)-cx, float64(y)-cy
			d := math.Hypot(dx, dy)
			v := 70 + 40*math.Cos(light)*float64(x)/float64(w) + 40*math.Sin(light)*float64(y)/float64(h)
			if d < size {
				v = 190 - 60*d/size
			}
			for i := range holes {
				a := 2 * math.Pi * (float64(i)/float64(holes) + from)
				if math.Hypot(dx-0.6*size*math.Cos(a), dy-0.6*size*math.Sin(a)) < size/9 {
					v = 20
				}
			}
			for _, s := range dirt {
				if math.Hypot(float64(x)-s[0], float64(y)-s[1]) < s[2] {
					v *= 0.55
				}
			}
			v = math.Min(255, v)
			img.SetRGBA(x, y, color.RGBA{uint8(v), uint8(v * 0.95), uint8(v * 0.9), 255})
		}
	}
	return img
}

func coded(t *testing.T, img image.Image, q int) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: q}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// told puts Exif data with an orientation, a maker and a place into a JPEG, and a comment. The layout is that of Exif 2.3.
func told(src []byte, turn int, order binary.ByteOrder) []byte {
	mark := "II"
	if order == binary.BigEndian {
		mark = "MM"
	}
	tiff := []byte(mark)
	put := func(v any) { tiff, _ = binary.Append(tiff, order, v) }
	put16 := func(v int) { put(uint16(v)) }
	put32 := func(v int) { put(uint32(v)) }
	put16(42)
	put32(8)
	put16(2)
	put16(0x010f) // maker
	put16(2)
	put32(8)
	put32(38)
	put16(0x0112)
	put16(3)
	put32(1)
	put16(turn)
	put16(0)
	put32(0)
	tiff = append(tiff, "Camera7\x00 GPS 51.5"...)
	app := append([]byte("Exif\x00\x00"), tiff...)
	segment := func(marker byte, body []byte) []byte {
		return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2)), body...)
	}
	return append(append(append(append([]byte{}, src[:2]...), segment(0xe1, app)...), segment(0xfe, []byte("Camera7 note"))...), src[2:]...)
}

// Upright whatever way it was held, and nothing is told of place and device. Source: Exif 2.3, tag 0x0112.
func TestUpright(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 64, 32)) // bright in its upper left quarter
	for y := range 16 {
		for x := range 32 {
			img.Set(x, y, color.White)
		}
	}
	corner := map[int]string{1: "top left", 2: "top right", 3: "bottom right", 4: "bottom left", 5: "top left", 6: "top right", 7: "bottom right", 8: "bottom left"}
	for turn := 1; turn <= 8; turn++ {
		for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
			p, err := Fit(append(told(coded(t, img, 90), turn, order), "what a telephone adds: Camera7"...), 1<<20)
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Contains(p.Data, []byte("Camera7")) || bytes.Contains(p.Data, []byte("GPS")) || bytes.Contains(p.Data, []byte("Exif")) {
				t.Errorf("orientation %d: the picture still tells where it comes from", turn)
			}
			got, err := jpeg.Decode(bytes.NewReader(p.Data))
			if err != nil {
				t.Fatal(err)
			}
			b := got.Bounds()
			if wide := b.Dx() > b.Dy(); wide != (turn < 5) {
				t.Errorf("orientation %d: %v", turn, b)
			}
			at := ""
			for name, p := range map[string]image.Point{"top left": {b.Dx() / 4, b.Dy() / 4}, "top right": {b.Dx() * 3 / 4, b.Dy() / 4}, "bottom left": {b.Dx() / 4, b.Dy() * 3 / 4}, "bottom right": {b.Dx() * 3 / 4, b.Dy() * 3 / 4}} {
				if v, _, _, _ := got.At(p.X, p.Y).RGBA(); v > 0x8000 {
					at += name
				}
			}
			if at != corner[turn] {
				t.Errorf("orientation %d: bright at the %s, want %s", turn, at, corner[turn])
			}
		}
	}
}

// One that is upright and small keeps its picture byte for byte; a large one fits afterwards; what is none is said. No outside source.
func TestFit(t *testing.T) {
	img := invented(1, 900, 600)
	src := coded(t, img, 90)
	p, err := Fit(told(src, 1, binary.BigEndian), len(src))
	if err != nil || !bytes.Equal(p.Data, src) || p.Ext != ".jpg" {
		t.Errorf("an upright picture was changed: %d bytes of %d, %v", len(p.Data), len(src), err)
	}
	if p, err = Fit(src, len(src)/3); err != nil || len(p.Data) > len(src)/3 {
		t.Errorf("%d bytes, at most %d: %v", len(p.Data), len(src)/3, err)
	}
	var out bytes.Buffer
	png.Encode(&out, invented(2, 300, 200))
	if p, err = Fit(out.Bytes(), 1<<20); err != nil || p.Ext != ".png" {
		t.Errorf("a PNG became %s, %v", p.Ext, err)
	}
	if p, err = Fit(out.Bytes(), out.Len()/2); err != nil || p.Ext != ".jpg" || len(p.Data) > out.Len()/2 {
		t.Errorf("a large PNG became %d bytes of %s, %v", len(p.Data), p.Ext, err)
	}
	for text, want := range map[string]error{"\x00\x00\x00\x18ftypheic\x00\x00": ErrHEIC, "\x00\x00\x00\x18ftypmif1\x00\x00": ErrHEIC, "%PDF-1.4": ErrNoPicture, "": ErrNoPicture, string(src[:len(src)/2]): ErrNoPicture} {
		if _, err := Fit([]byte(text), 1<<20); !errors.Is(err, want) {
			t.Errorf("%.12q: %v, want %v", text, err, want)
		}
	}
	for cut := range 400 { // whatever is cut off, nothing breaks
		Fit(told(src, 6, binary.LittleEndian)[:cut], 1<<20)
		orientation(out.Bytes()[:min(cut, out.Len())])
	}
}

// A picture written again smaller, weaker or brighter is the same; another one is not. Measured, and stated in the package's documentation.
func TestSamePicture(t *testing.T) {
	const n = 60
	var all []Digest
	most, least := 0, 512
	look := func(src []byte) Digest {
		d, err := Look(src)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	for i := range uint64(n) {
		img := invented(i, 200, 150)
		d := look(coded(t, img, 92))
		bright := image.NewRGBA(img.Bounds())
		for p := range img.Pix {
			bright.Pix[p] = uint8(min(255, int(img.Pix[p])*23/20+6))
		}
		for name, copied := range map[string][]byte{"smaller": coded(t, scaled(img, 110), 80), "weaker": coded(t, img, 30), "brighter": coded(t, bright, 85), "held otherwise": told(coded(t, upright(img, 8), 90), 6, binary.BigEndian)} {
			far := apart(d, look(copied))
			if most = max(most, far); far > sameBits {
				t.Errorf("picture %d, %s: %d bits apart", i, name, far)
			}
		}
		for _, other := range all {
			far := apart(d, other)
			if least = min(least, far); far <= sameBits {
				t.Errorf("picture %d is taken for another: %d bits apart", i, far)
			}
		}
		all = append(all, d)
	}
	t.Logf("%d copies at most %d bits apart, %d pairs at least %d", 4*n, most, n*(n-1)/2, least)
}
