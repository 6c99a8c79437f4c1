package logbook

import (
	"reflect"
	"testing"
)

// Rows are told apart by what names them, and stand as written, quotes and all.
func TestRows(t *testing.T) {
	src := "date,item,part_no,serial,change,note\n2023-02-06,nozzle,6QZ-1603,N-2044,1,\"order 2301,\nby air\"\n\n2023-02-12,seal kit,,,-6,\r\n2023-02-12,seal kit,,,-6,again\n,,,,,lost\n"
	want := []ValueAt{
		{"head", "date,item,part_no,serial,change,note", 1, 1},
		{"2023-02-06 nozzle 6QZ-1603 N-2044", "2023-02-06,nozzle,6QZ-1603,N-2044,1,\"order 2301,\nby air\"", 2, 1},
		{"2023-02-12 seal kit", "2023-02-12,seal kit,,,-6,", 5, 1},
		{"2023-02-12 seal kit #2", "2023-02-12,seal kit,,,-6,again", 6, 1},
		{",,,,,lost", ",,,,,lost", 7, 1},
	}
	if got := Rows([]byte(src)); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v\nwant %v", got, want)
	}
	for _, none := range []string{"", "\n\n", "plain words\nand more\n", "---\n"} {
		if got := Rows([]byte(none)); got != nil {
			t.Errorf("%q has rows %v", none, got)
		}
	}
}
