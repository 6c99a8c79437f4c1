package invent

import (
	"io/fs"
	"os"
	"testing/fstest"
)

// Laid is the files of folders, each laid over those before it, with texts laid over them all.
func Laid(over map[string]string, folders ...string) (fstest.MapFS, error) {
	all := fstest.MapFS{}
	for _, dir := range folders {
		from := os.DirFS(dir)
		err := fs.WalkDir(from, ".", func(p string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() {
				return err
			}
			data, err := fs.ReadFile(from, p)
			all[p] = &fstest.MapFile{Data: data}
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	for p, text := range over {
		all[p] = &fstest.MapFile{Data: []byte(text)}
	}
	return all, nil
}
