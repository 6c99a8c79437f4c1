package site

import (
	"bytes"
	"errors"
	"io"
	"os"

	"needlebook/logbook/budget"
)

// incoming is a file of the build as it is written. As long as it says what the file of a former build says, nothing
// is written; from the first byte that differs it goes into the staging folder.
type incoming struct {
	folder *folder
	name   string
	old    *os.File // of a former build; nil for none, and from the first difference on
	same   int64    // bytes that both have
	new    *os.File
	part   []byte // of the old file
	fresh  bool   // it stands in the staging folder, whole
}

// openOld opens the file of a former build, where a plain one stands.
func (in *incoming) openOld() {
	info, err := in.folder.root.Lstat(in.name)
	if err != nil || !info.Mode().IsRegular() {
		return
	}
	if old, err := in.folder.root.OpenFile(in.name, budget.NeverWait, 0); err == nil {
		in.old = old
	}
}

// Write takes in the next part.
func (in *incoming) Write(part []byte) (int, error) {
	if in.old != nil {
		if in.goesOn(part) {
			in.same += int64(len(part))
			return len(part), nil
		}
	}
	if in.new == nil {
		if err := in.begin(); err != nil {
			return 0, err
		}
	}
	return in.new.Write(part)
}

// goesOn says that the old file goes on with these bytes.
func (in *incoming) goesOn(part []byte) bool {
	if cap(in.part) < len(part) {
		in.part = make([]byte, len(part))
	}
	in.part = in.part[:len(part)]
	_, err := io.ReadFull(in.old, in.part)
	return err == nil && bytes.Equal(in.part, part)
}

// begin begins the new file with the bytes that both have.
func (in *incoming) begin() error {
	var err error
	if in.new, err = in.folder.new.OpenFile(in.name, os.O_WRONLY|os.O_CREATE|os.O_TRUNC|budget.NeverWait,
		0o666); err != nil ||
		in.old == nil {
		return err
	}
	if _, err = in.old.Seek(0, io.SeekStart); err == nil {
		_, err = io.CopyN(in.new, in.old, in.same)
	}
	err = errors.Join(err, in.old.Close())
	in.old = nil
	return err
}

// end completes the file.
func (in *incoming) end() error {
	if in.new == nil && in.old != nil && in.atEnd() {
		return nil
	}
	if in.new == nil {
		if err := in.begin(); err != nil {
			return err
		}
	}
	err := in.new.Close()
	in.new, in.fresh = nil, err == nil
	return err
}

// atEnd says that the old file has no more bytes.
func (in *incoming) atEnd() bool {
	n, err := in.old.Read(make([]byte, 1))
	return n == 0 && errors.Is(err, io.EOF)
}

// drop lets go of what is still open, and leaves nothing of a file that broke off.
func (in *incoming) drop() {
	if in.old != nil {
		_ = in.old.Close()
	}
	if in.new != nil {
		_ = in.new.Close()
		_ = in.folder.new.Remove(in.name)
	}
}
