package edit

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"needlebook/logbook/budget"
)

// ErrChanged says that a file no longer holds the text that was read: writing would lose what another program wrote.
var ErrChanged = errors.New("was changed since it was read")

// Create writes a new file and the folders above it. It never overwrites: where a file stands already it returns an
// error that is fs.ErrExist.
func Create(name string, text []byte) error {
	dir := filepath.Dir(name)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	aside, err := beside(dir, text)
	if err != nil {
		return err
	}
	// A link under the new name fails where the name is taken; a rename would overwrite. Some file systems know no links.
	if err := os.Link(aside, name); err != nil {
		defer os.Remove(aside)
		if errors.Is(err, os.ErrExist) {
			return err
		}
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err != nil {
			return err
		}
		_, err = f.Write(text)
		return errors.Join(err, f.Sync(), f.Close(), syncFolder(dir))
	}
	return errors.Join(os.Remove(aside), syncFolder(dir))
}

// Replace puts a new text in the place of the one that was read: written beside it, synced, renamed. It returns
// ErrChanged where the file holds another text by now.
func Replace(name string, was, is []byte) error {
	now, err := budget.Read(name, budget.MaxFile)
	if err != nil {
		return err
	}
	if !bytes.Equal(now, was) {
		return fmt.Errorf("%q %w", name, ErrChanged)
	}
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	dir := filepath.Dir(name)
	aside, err := beside(dir, is)
	if err != nil {
		return err
	}
	if err := errors.Join(budget.Chmod(aside, info.Mode().Perm()), os.Rename(aside, name)); err != nil {
		return errors.Join(err, os.Remove(aside))
	}
	return syncFolder(dir)
}

// asideName is how the name of a text begins that is on its way; digits follow.
const asideName = ".needlebook-"

// Aside says that a name is that of a text on its way into a file, which a killed program leaves.
func Aside(name string) bool {
	number, ours := strings.CutPrefix(name, asideName)
	return ours && number != "" && strings.Trim(number, "0123456789") == ""
}

// beside writes a text into a synced file of its own in the folder.
func beside(dir string, text []byte) (string, error) {
	f, err := os.CreateTemp(dir, asideName+"*")
	if err != nil {
		return "", err
	}
	_, err = f.Write(text)
	if err := errors.Join(err, budget.Chmod(f.Name(), 0o644), f.Sync(), f.Close()); err != nil {
		return "", errors.Join(err, os.Remove(f.Name()))
	}
	return f.Name(), nil
}

// syncFolder makes a new name last. Windows keeps names in its journal and cannot sync a folder.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.OpenFile(dir, budget.NeverWait, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
