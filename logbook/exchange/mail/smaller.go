package mail

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"

	"needlebook/logbook/exchange/transfer"
)

// maxBundle bounds what a packed bundle may unpack to.
const maxBundle = 2 << 30

// Smaller packs a bundle as a whole, with gzip; what is in it should not be packed already. gzip -d makes the bundle of
// it again.
func Smaller(bundle []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(bundle); err != nil {
		return nil, err
	}
	err = z.Close()
	return b.Bytes(), err
}

// Unpacked is a bundle as it is, whether it was packed as a whole or not.
func Unpacked(file []byte) (io.Reader, error) {
	if !bytes.HasPrefix(file, []byte{0x1f, 0x8b}) {
		return bytes.NewReader(file), nil
	}
	z, err := gzip.NewReader(bytes.NewReader(file))
	if err != nil {
		return nil, transfer.Hostile("the packed bundle cannot be unpacked: %v", err)
	}
	return &unpacking{z, maxBundle}, nil
}

// unpacking names what goes wrong, and ends what unpacks to more than any book.
type unpacking struct {
	io.Reader
	left int64
}

func (u *unpacking) Read(p []byte) (int, error) {
	n, err := u.Reader.Read(p)
	if u.left -= int64(n); u.left < 0 {
		return n, transfer.Hostile("the packed bundle unpacks to more than %d GiB", maxBundle>>30)
	}
	if err != nil && err != io.EOF {
		err = fmt.Errorf("%w: %w", transfer.Hostile("the packed bundle cannot be unpacked"), err)
	}
	return n, err
}
