package edit_test

import (
	"testing"

	"needlebook/logbook/edit"
)

// A file's new name comes into each value that is its name and into the remarks; a longer name stays, and so does every other byte. No
// outside source.
func TestRenamed(t *testing.T) {
	was, is := "photos/a b", "photos/h-1.png"
	src := "---\r\nholder: \"photos/a b is no name here\"\r\nphotos:   [ 'photos/a b' , \"photos/a b.png\", photos/a b]  # kept\r\npapers: [{test: as_found, photo: photos/a b}]\r\n---\r\n" +
		"photos/a b, photos/a b-2 and photos/a b/c, photos/a b.\r\n"
	want := "---\r\nholder: \"photos/a b is no name here\"\r\nphotos:   [ photos/h-1.png , \"photos/a b.png\", photos/h-1.png]  # kept\r\npapers: [{test: as_found, photo: photos/h-1.png}]\r\n---\r\n" +
		"photos/h-1.png, photos/a b-2 and photos/a b/c, photos/h-1.png.\r\n"
	got, err := edit.Renamed([]byte(src), was, is)
	if err != nil || string(got) != want {
		t.Errorf("%v\n%s, want\n%s", err, got, want)
	}
	if edit.Names([]byte("photos/a b-2 photos/a b.png"), was) || !edit.Names([]byte("(photos/a b)"), was) {
		t.Error("a name that begins alike is taken for it, or the name is not found")
	}
}
