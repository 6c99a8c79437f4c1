package site

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// errNotes says that a picture's notes could not be told from the picture itself.
var errNotes = errors.New("holds parts that could not be told from the camera's notes")

// published is a picture as it may leave the ship: the very same picture data, without what the camera or a program
// noted beside it, such as place, owner, time and serial of the camera, thumbnails and second pictures behind the
// end. How it is turned is kept, and what its colours need. The file in the book keeps everything.
func published(src []byte, format string, turned int) ([]byte, error) {
	if format == "png" {
		return publishedPNG(src)
	}
	return publishedJPEG(src, turned)
}

// publishedJPEG walks over the segments of a JPEG file. Of the application segments it keeps JFIF (APP0), colour
// profiles (APP2) and Adobe's colour transform (APP14).
//
// Source: ITU-T T.81, annex B; ICC.1:2022, annex B.4 for the profile's segment.
func publishedJPEG(src []byte, turned int) ([]byte, error) {
	if !bytes.HasPrefix(src, []byte{0xff, 0xd8}) {
		return nil, errNotes
	}
	out := append(make([]byte, 0, len(src)), 0xff, 0xd8)
	if turned > 1 {
		out = append(out, turnedOnly(turned)...)
	}
	at := 2
	for {
		for at+1 < len(src) && src[at] == 0xff && src[at+1] == 0xff { // fill bytes
			at++
		}
		if at+2 > len(src) || src[at] != 0xff {
			return nil, errNotes
		}
		marker := src[at+1]
		if marker == 0xd9 {
			return append(out, 0xff, 0xd9), nil
		}
		if at+4 > len(src) {
			return nil, errNotes
		}
		end := at + 2 + int(binary.BigEndian.Uint16(src[at+2:]))
		if end < at+4 || end > len(src) {
			return nil, errNotes
		}
		if keptSegment(marker, src[at+4:end]) {
			out = append(out, src[at:end]...)
		}
		at = end
		if marker != 0xda {
			continue
		}
		for at+1 < len(src) && (src[at] != 0xff || src[at+1] == 0 || src[at+1] >= 0xd0 &&
			src[at+1] <= 0xd7) { // the scan itself
			at++
		}
		out = append(out, src[end:at]...)
		if at+1 >= len(src) { // cut off, as decoders take it
			return append(out, 0xff, 0xd9), nil
		}
	}
}

func keptSegment(marker byte, body []byte) bool {
	switch {
	case marker == 0xfe:
		return false
	case marker == 0xe0:
		return bytes.HasPrefix(body, []byte("JFIF\x00"))
	case marker == 0xe2:
		return bytes.HasPrefix(body, []byte("ICC_PROFILE\x00"))
	case marker == 0xee:
		return bytes.HasPrefix(body, []byte("Adobe"))
	}
	return marker < 0xe0 || marker > 0xef
}

// turnedOnly is an EXIF segment that says how the picture is turned and nothing else.
func turnedOnly(turned int) []byte {
	head := "\xff\xe1\x00\x22Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00"
	return append([]byte(head), byte(turned), 0, 0, 0, 0, 0, 0)
}

// keptChunks are the PNG chunks that the picture needs.
var keptChunks = map[string]bool{"IHDR": true, "PLTE": true, "IDAT": true, "IEND": true, "tRNS": true, "gAMA": true,
	"cHRM": true, "sRGB": true, "iCCP": true, "sBIT": true, "bKGD": true, "pHYs": true}

// publishedPNG keeps the chunks that the picture needs, up to its end.
//
// Source: W3C, Portable Network Graphics, third revision, section 5.
func publishedPNG(src []byte) ([]byte, error) {
	const sign = "\x89PNG\r\n\x1a\n"
	if !bytes.HasPrefix(src, []byte(sign)) {
		return nil, errNotes
	}
	out := append(make([]byte, 0, len(src)), sign...)
	for at := len(sign); ; {
		if at+12 > len(src) {
			return nil, errNotes
		}
		size := int(binary.BigEndian.Uint32(src[at:]))
		if size > len(src)-at-12 {
			return nil, errNotes
		}
		end, kind := at+12+size, string(src[at+4:at+8])
		if keptChunks[kind] {
			out = append(out, src[at:end]...)
		}
		if kind == "IEND" {
			return out, nil
		}
		at = end
	}
}
