// Package photo makes a picture from a telephone or a camera fit for a book: upright, without the place and the device
// that it was taken with, small enough for a thin line. And it tells when two files show the same picture. It knows no
// record and writes no file.
//
// A JPEG that is upright and small enough keeps every byte of its picture; only what is told about it is taken out. Any
// other is written anew. Two pictures are the same when few of the 512 bits of their digests differ: each bit says
// whether a square of a 16 by 16 grid is brighter than its neighbour. Measured on 60 invented pictures of a tip, each
// written again smaller, weaker, brighter and held otherwise: the 240 copies differ by at most 66 bits, and the 1770
// pairs of different pictures by at least 128, so no copy is missed and there is no false alarm among them
// (TestSamePicture).
//
// Begin with Fit and Same.
package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"math/bits"
	"slices"

	"golang.org/x/image/draw"
)

var (
	// ErrHEIC is the format of some telephones that no library here reads.
	ErrHEIC = errors.New("is a HEIC picture: set the camera to JPEG, or save the picture as JPEG, and take that")
	// ErrNoPicture is neither a JPEG nor a PNG picture, or a broken one.
	ErrNoPicture = errors.New("is neither a JPEG nor a PNG picture that can be read whole")
)

// mostPixels is the most that a picture may unfold to, as in a book.
const mostPixels = 64 << 20

// Picture is a picture as it goes into a book.
type Picture struct {
	Data []byte
	Ext  string // with its dot: .jpg or .png
}

// Fit makes a picture fit: at most so many bytes.
func Fit(src []byte, most int) (Picture, error) {
	img, format, err := read(src)
	if err != nil {
		return Picture{}, err
	}
	turn := orientation(src)
	if format == "jpeg" && turn == 1 {
		if bare, ok := withoutTold(src); ok && len(bare) <= most {
			return Picture{bare, ".jpg"}, nil
		}
	}
	img = upright(img, turn)
	if format == "png" {
		var out bytes.Buffer
		if err := png.Encode(&out, img); err != nil {
			return Picture{}, err
		}
		if out.Len() <= most {
			return Picture{out.Bytes(), ".png"}, nil
		}
	}
	data, err := shrunk(img, most)
	return Picture{data, ".jpg"}, err
}

// read decodes a picture, having looked at how large it claims to be.
func read(src []byte) (image.Image, string, error) {
	if len(src) > 12 && string(src[4:8]) == "ftyp" && slices.Contains([]string{"heic", "heix", "hevc", "heim", "heis",
		"mif1", "msf1"}, string(src[8:12])) {
		return nil, "", ErrHEIC
	}
	c, format, err := image.DecodeConfig(bytes.NewReader(src))
	if err != nil || format != "jpeg" && format != "png" {
		return nil, "", ErrNoPicture
	}
	if c.Width < 1 || c.Height < 1 || c.Width > mostPixels/c.Height {
		return nil, "", fmt.Errorf("unfolds to %d × %d", c.Width, c.Height)
	}
	img, _, err := image.Decode(bytes.NewReader(src))
	if err != nil {
		return nil, "", ErrNoPicture
	}
	return img, format, nil
}

// The sizes that are tried, by the longer side, and the quality. Both are from memory.
const (
	longest  = 2400
	shortest = 200
	quality  = 85
)

// shrunk writes a picture as JPEG, smaller and smaller until it fits.
func shrunk(img image.Image, most int) ([]byte, error) {
	b := img.Bounds()
	for side := min(longest, max(b.Dx(), b.Dy())); ; side = side * 4 / 5 {
		var out bytes.Buffer
		if err := jpeg.Encode(&out, scaled(img, side), &jpeg.Options{Quality: quality}); err != nil {
			return nil, err
		}
		if out.Len() <= most {
			return out.Bytes(), nil
		}
		if side < shortest {
			return nil, fmt.Errorf("does not fit into %d bytes", most)
		}
	}
}

// scaled is a picture whose longer side is of a length; one that is smaller stays.
func scaled(img image.Image, side int) image.Image {
	b := img.Bounds()
	long := max(b.Dx(), b.Dy())
	if long <= side {
		return img
	}
	out := image.NewRGBA(image.Rect(0, 0, max(1, b.Dx()*side/long), max(1, b.Dy()*side/long)))
	draw.CatmullRom.Scale(out, out.Bounds(), img, b, draw.Src, nil)
	return out
}

// upright turns and mirrors a picture as its orientation says: Exif 2.3, tag 0x0112.
func upright(img image.Image, turn int) image.Image {
	if turn == 1 {
		return img
	}
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	size := image.Rect(0, 0, w, h)
	if turn >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			across, down := x, y
			if turn == 2 || turn == 3 || turn == 7 || turn == 8 {
				across = w - 1 - x
			}
			if turn == 3 || turn == 4 || turn == 6 || turn == 7 {
				down = h - 1 - y
			}
			if turn >= 5 {
				across, down = down, across
			}
			out.Set(across, down, img.At(b.Min.X+x, b.Min.Y+y))
		}
	}
	return out
}

// Digest is what a picture looks like, whatever its size.
type Digest [8]uint64

// grid is how many squares a digest has on a side.
const grid = 16

// Look works out the digest of a picture, as it is upright.
func Look(src []byte) (d Digest, err error) {
	img, _, err := read(src)
	if err != nil {
		return d, err
	}
	img = upright(scaled(img, 16*grid), orientation(src))
	small := image.NewGray(image.Rect(0, 0, grid+1, grid+1))
	draw.BiLinear.Scale(small, small.Bounds(), img, img.Bounds(), draw.Src, nil)
	for y := range grid {
		for x := range grid {
			at := y*grid + x
			here := small.GrayAt(x, y).Y
			if small.GrayAt(x+1, y).Y > here {
				d[at/64] |= 1 << (at % 64)
			}
			if small.GrayAt(x, y+1).Y > here {
				d[4+at/64] |= 1 << (at % 64)
			}
		}
	}
	return d, nil
}

// sameBits is the most by which the digests of one picture differ.
const sameBits = 90

// Same says that two digests are of one picture.
func Same(a, b Digest) bool { return apart(a, b) <= sameBits }

// apart is the number of bits in which two digests differ.
func apart(a, b Digest) (n int) {
	for i := range a {
		n += bits.OnesCount64(a[i] ^ b[i])
	}
	return n
}
