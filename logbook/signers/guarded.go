//go:build !windows

package signers

import "os"

// Guarded tells whether the file system keeps a file from the other users of this computer. It does not on a stick that
// knows no owners (FAT, exFAT), whatever mode was asked for.
func Guarded(file string) (bool, error) {
	info, err := os.Stat(file)
	if err != nil {
		return false, err
	}
	return info.Mode().Perm()&0o077 == 0, nil
}
