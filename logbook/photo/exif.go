package photo

import (
	"bytes"
	"encoding/binary"
)

// segments walks the segments of a JPEG before and between its scans, and ends at the picture's end. ok is false where
// the file does not keep to the format: ITU-T T.81, annex B.
func segments(src []byte, do func(marker byte, whole, body []byte)) (ok bool) {
	if len(src) < 4 || src[0] != 0xff || src[1] != 0xd8 {
		return false
	}
	for at := 2; at+4 <= len(src); {
		if src[at] != 0xff {
			return false
		}
		marker := src[at+1]
		if marker == 0xff { // filling
			at++
			continue
		}
		length := int(binary.BigEndian.Uint16(src[at+2:]))
		if length < 2 || at+2+length > len(src) {
			return false
		}
		end := at + 2 + length
		body := src[at+4 : end]
		if marker == 0xda { // a scan, with what is coded in it
			for end+1 < len(src) && (src[end] != 0xff || src[end+1] == 0 || src[end+1]&0xf8 == 0xd0) {
				end++
			}
		}
		do(marker, src[at:end], body)
		if at = end; at+1 < len(src) && src[at] == 0xff && src[at+1] == 0xd9 {
			return true
		}
	}
	return false
}

// withoutTold is a JPEG without what is told about it: place, device, thumbnail, comments. The colours' profile and
// what the coding needs stay; so does every byte of the picture.
func withoutTold(src []byte) ([]byte, bool) {
	out := []byte{0xff, 0xd8}
	ok := segments(src, func(marker byte, whole, body []byte) {
		told := marker >= 0xe0 && marker <= 0xef || marker == 0xfe
		kept := marker == 0xee || marker == 0xe2 && bytes.HasPrefix(body, []byte("ICC_PROFILE\x00")) ||
			marker == 0xe0 && bytes.HasPrefix(body, []byte("JFIF\x00"))
		if !told || kept {
			out = append(out, whole...)
		}
	})
	return append(out, 0xff, 0xd9), ok
}

// orientation is how a picture was held: 1 to 8, and 1 where it does not say.
func orientation(src []byte) int {
	turn := 1
	segments(src, func(marker byte, _, body []byte) {
		if tiff, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok && marker == 0xe1 {
			turn = turnOf(tiff)
		}
	})
	if bytes.HasPrefix(src, []byte("\x89PNG\r\n\x1a\n")) {
		for at := 8; at+12 <= len(src); {
			length := int(binary.BigEndian.Uint32(src[at:]))
			if length < 0 || length > len(src)-at-12 {
				break
			}
			if string(src[at+4:at+8]) == "eXIf" {
				turn = turnOf(src[at+8 : at+8+length])
			}
			at += 12 + length
		}
	}
	return turn
}

// turnOf is the orientation in the first directory of Exif data.
func turnOf(tiff []byte) int {
	if len(tiff) < 8 {
		return 1
	}
	order := binary.ByteOrder(binary.LittleEndian)
	if tiff[0] == 'M' {
		order = binary.BigEndian
	}
	at := int(order.Uint32(tiff[4:]))
	if at < 8 || at+2 > len(tiff) {
		return 1
	}
	n := int(order.Uint16(tiff[at:]))
	for i := range n {
		e := at + 2 + 12*i
		if e+12 > len(tiff) {
			return 1
		}
		if order.Uint16(tiff[e:]) == 0x0112 {
			if turn := int(order.Uint16(tiff[e+8:])); turn >= 1 && turn <= 8 {
				return turn
			}
			return 1
		}
	}
	return 1
}
