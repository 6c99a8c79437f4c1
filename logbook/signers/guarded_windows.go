package signers

import (
	"path/filepath"

	"golang.org/x/sys/windows"
)

// persistentACLs is what a volume says that keeps who may read a file (Microsoft, GetVolumeInformationW,
// FILE_PERSISTENT_ACLS). FAT and exFAT do not.
const persistentACLs = 0x00000008

// Guarded tells whether the file system keeps a file from the other users of this computer.
func Guarded(file string) (bool, error) {
	abs, err := filepath.Abs(file)
	if err != nil {
		return false, err
	}
	root, err := windows.UTF16PtrFromString(filepath.VolumeName(abs) + `\`)
	if err != nil {
		return false, err
	}
	var flags uint32
	err = windows.GetVolumeInformation(root, nil, 0, nil, nil, &flags, nil, 0)
	return flags&persistentACLs != 0, err
}
