package logbook

import (
	"strings"
	"testing"
	"testing/fstest"
)

// TestLanded: a valve that was landed is no ready spare until it is received again, and it waits until then, until another came
// in its place, or until it is out of use for good.
func TestLanded(t *testing.T) {
	const landed = "---\nholder: H-9\nnozzle: {left: N-9}\nlanded: {date: 2020-03-01, to: Workshop, promised: 2020-04-01}\n---\n"
	for _, c := range []struct {
		name, more, text string
		waits            bool
		rack             int
	}{
		{name: "ashore", waits: true},
		{"back", "overhauls/spares/2020-03-20-h-9.md", "---\nholder: H-9\nnozzle: {left: N-9}\nreceived: {date: 2020-03-20}\nas_left: {date: 2020-03-11}\n---\n", false, 1},
		{"another in its place", "overhauls/spares/2020-03-20-h-10.md", "---\nholder: H-10\nnozzle: {left: N-10}\nreceived: {date: 2020-03-20, in_place_of: H-9}\nas_left: {date: 2020-03-11}\n---\n", false, 1},
		{"another in its place, before", "overhauls/spares/2020-02-20-h-10.md", "---\nholder: H-10\nnozzle: {left: N-10}\nreceived: {date: 2020-02-20, in_place_of: H-9}\nas_left: {date: 2020-02-11}\n---\n", false, 1},
		{"another for nobody", "overhauls/spares/2020-03-20-h-10.md", "---\nholder: H-10\nnozzle: {left: N-10}\nreceived: {date: 2020-03-20}\nas_left: {date: 2020-03-11}\n---\n", true, 1},
		{"back after the day asked for", "overhauls/spares/2020-05-20-h-9.md", "---\nholder: H-9\nnozzle: {left: N-9}\nreceived: {date: 2020-05-20}\nas_left: {date: 2020-03-11}\n---\n", true, 0},
		{"set and tested, then landed", "overhauls/spares/2020-03-02-h-9.md", "---\nholder: H-9\nnozzle: {left: N-9}\nas_left: {date: 2020-03-02}\nlanded: {date: 2020-03-05}\n---\n", true, 0},
		{"landed for good", "parts/h-9.md", "---\nserial: H-9\nkind: holder\nlanded: {date: 2020-03-01, receipt: R-1}\n---\n", false, 0},
	} {
		files := fstest.MapFS{"overhauls/spares/2020-03-01-h-9.md": {Data: []byte(landed)},
			"book.md": {Data: []byte("---\nengines: [{id: A, cylinders: [1]}]\nopening: {date: 2020-01-01, spares: [{holder: H-9, nozzle: N-9}]}\n---\n")}}
		if c.more != "" {
			files[c.more] = &fstest.MapFile{Data: []byte(c.text)}
		}
		b, err := Read(files)
		if err != nil {
			t.Fatal(err)
		}
		day, _ := ParseDay("2020-04-10")
		before, _ := ParseDay("2020-02-10")
		if all := b.Landed(day); len(all) == 0 || all[len(all)-1].Waits() != c.waits || len(b.Lives().Rack(day)) != c.rack {
			t.Errorf("%s: %+v, %d ready", c.name, all, len(b.Lives().Rack(day)))
		}
		if len(b.Landed(before)) != 0 || len(b.Lives().Rack(before)) != 1 && !strings.Contains(c.more, "02-20") {
			t.Errorf("%s: before it was landed it was a spare", c.name)
		}
	}
}
