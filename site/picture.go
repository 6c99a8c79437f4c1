package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	_ "image/png" // pictures of records are JPEG or PNG; other decoders stay out
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"

	"golang.org/x/image/draw"

	"needlebook/site/look"
	"needlebook/site/page"
)

// What a picture may be. Its header is read first, so that a small file that unfolds into a huge picture is refused
// unread.
const (
	mostPictureBytes = 32 << 20
	mostPixels       = 64 << 20
	thumbSide        = 480
)

// pictures are the pictures met so far. Their file names are digests of their bytes, so that a picture used twice is
// kept once, and one that a former build made need not be made again.
type pictures struct {
	files  fs.FS
	inBook []string // the files of the book, in order
	out    *folder

	mu     sync.Mutex
	byPath map[string]look.Picture
	byName map[page.Ref]bool
	failed error // what kept a picture from being written: the build has failed then
}

func (ps *pictures) of(name string) look.Picture {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	if p, ok := ps.byPath[name]; ok {
		return p
	}
	if ps.byPath == nil {
		ps.byPath, ps.byName = map[string]look.Picture{}, map[page.Ref]bool{}
	}
	p, err := ps.make(name)
	if err != nil {
		p = look.Picture{Why: err.Error()}
	}
	p.Name = name
	ps.byPath[name] = p
	return p
}

func (ps *pictures) make(name string) (look.Picture, error) {
	if _, found := slices.BinarySearch(ps.inBook, name); !found {
		return look.Picture{}, errors.New("is not in the book")
	}
	if info, err := fs.Stat(ps.files, name); err != nil || !info.Mode().IsRegular() {
		return look.Picture{}, errors.New("is not a plain file")
	} else if info.Size() > mostPictureBytes {
		return look.Picture{}, fmt.Errorf("is too large to be shown: %d bytes", info.Size())
	}
	src, err := fs.ReadFile(ps.files, name)
	if err != nil {
		return look.Picture{}, errors.New("could not be read")
	}
	if strings.EqualFold(path.Ext(name), ".pdf") && bytes.HasPrefix(src, []byte("%PDF-")) {
		return ps.document(src), nil
	}
	config, format, err := image.DecodeConfig(bytes.NewReader(src))
	switch {
	case err != nil || format != "jpeg" && format != "png":
		return look.Picture{}, fmt.Errorf("is no JPEG or PNG picture (%s)", path.Ext(name))
	case config.Width < 1 || config.Height < 1 || config.Width > mostPixels/config.Height:
		return look.Picture{}, fmt.Errorf("is too large to be shown: %d × %d", config.Width, config.Height)
	}
	sum := sha256.Sum256(src)
	base := "picture-" + hex.EncodeToString(sum[:8])
	turned := 1
	if format == "jpeg" {
		turned = orientation(src)
	}
	end := map[string]string{"jpeg": ".jpg", "png": ".png"}[format]
	p := look.Picture{Full: page.Ref(base + end), Small: page.Ref(base + "-small.jpg")}
	p.Width, p.Height = fit(config.Width, config.Height, turned)
	if ps.byName[p.Full] {
		return p, nil
	}
	if !ps.out.keep(string(p.Small)) {
		small, err := shrink(src, turned, p.Width, p.Height)
		if err != nil {
			return look.Picture{}, errors.New("is broken and cannot be shown")
		}
		ps.failed = errors.Join(ps.failed, ps.out.put(string(p.Small), small))
	}
	whole, err := published(src, format, turned)
	if err != nil {
		return look.Picture{}, err
	}
	ps.byName[p.Full] = true
	ps.failed = errors.Join(ps.failed, ps.out.put(string(p.Full), whole))
	return p, nil
}

// document is a certificate that is no picture: it is kept as it is, and linked.
func (ps *pictures) document(src []byte) look.Picture {
	sum := sha256.Sum256(src)
	p := look.Picture{Full: page.Ref("document-" + hex.EncodeToString(sum[:8]) + ".pdf")}
	if !ps.byName[p.Full] {
		ps.byName[p.Full] = true
		ps.failed = errors.Join(ps.failed, ps.out.put(string(p.Full), src))
	}
	return p
}

// fit is the size of the small copy, upright.
func fit(w, h, turned int) (int, int) {
	if turned >= 5 {
		w, h = h, w
	}
	if w <= thumbSide && h <= thumbSide {
		return w, h
	}
	if w >= h {
		return thumbSide, max(1, h*thumbSide/w)
	}
	return max(1, w*thumbSide/h), thumbSide
}

// shrink makes the small copy. Writing it anew leaves out what the camera noted: place, owner, thumbnails.
func shrink(src []byte, turned, w, h int) ([]byte, error) {
	big, _, err := image.Decode(bytes.NewReader(src))
	if err != nil {
		return nil, err
	}
	sw, sh := w, h
	if turned >= 5 {
		sw, sh = h, w
	}
	small := image.NewRGBA(image.Rect(0, 0, sw, sh))
	draw.Draw(small, small.Bounds(), image.White, image.Point{}, draw.Src)
	draw.ApproxBiLinear.Scale(small, small.Bounds(), big, big.Bounds(), draw.Over, nil)
	var out bytes.Buffer
	err = jpeg.Encode(&out, upright(small, turned), &jpeg.Options{Quality: 80})
	return out.Bytes(), err
}

// upright turns a picture by its EXIF orientation, 1 to 8.
func upright(src *image.RGBA, turned int) *image.RGBA {
	if turned <= 1 || turned > 8 {
		return src
	}
	w, h := src.Bounds().Dx(), src.Bounds().Dy()
	dw, dh := w, h
	if turned >= 5 {
		dw, dh = h, w
	}
	dst := image.NewRGBA(image.Rect(0, 0, dw, dh))
	for y := range dh {
		for x := range dw {
			sx, sy := x, y
			switch turned {
			case 2:
				sx = w - 1 - x
			case 3:
				sx, sy = w-1-x, h-1-y
			case 4:
				sy = h - 1 - y
			case 5:
				sx, sy = y, x
			case 6:
				sx, sy = y, h-1-x
			case 7:
				sx, sy = w-1-y, h-1-x
			case 8:
				sx, sy = w-1-y, x
			}
			dst.SetRGBA(x, y, src.RGBAAt(sx, sy))
		}
	}
	return dst
}

// orientation reads the EXIF orientation of a JPEG file; 1, upright, where there is none or it cannot be read.
//
// Source: Exif 2.3 (CIPA DC-008), 4.6.4 A for the tag, 4.5.4 for its place; TIFF 6.0, section 2, for the form.
func orientation(jpg []byte) int {
	for at := 2; at+4 <= len(jpg) && jpg[at] == 0xff; {
		marker, size := jpg[at+1], int(jpg[at+2])<<8|int(jpg[at+3])
		if marker == 0xda || size < 2 || at+2+size > len(jpg) {
			break
		}
		if body := jpg[at+4 : at+2+size]; marker == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			return tiffOrientation(body[6:])
		}
		at += 2 + size
	}
	return 1
}

func tiffOrientation(t []byte) int {
	if len(t) < 8 {
		return 1
	}
	u16 := func(i int) int { return int(t[i])<<8 | int(t[i+1]) }
	if t[0] == 'I' {
		u16 = func(i int) int { return int(t[i+1])<<8 | int(t[i]) }
	}
	u32 := func(i int) int {
		if t[0] == 'I' {
			return u16(i+2)<<16 | u16(i)
		}
		return u16(i)<<16 | u16(i+2)
	}
	first := u32(4)
	if first < 0 || first+2 > len(t) {
		return 1
	}
	for i := range u16(first) {
		entry := first + 2 + 12*i
		if entry+12 > len(t) {
			break
		}
		if u16(entry) == 0x0112 {
			if v := u16(entry + 8); v >= 1 && v <= 8 {
				return v
			}
		}
	}
	return 1
}
