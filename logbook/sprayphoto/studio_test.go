package sprayphoto_test

import (
	"errors"
	"math"
	"testing"

	"needlebook/logbook/sprayphoto"
	"needlebook/logbook/sprayphoto/internal/studio"
)

// shots are ways of photographing. Some papers in a hard shadow or out of focus are refused as a whole: the shadow's
// should not be, and that is not reached yet.
var shots = []struct {
	name    string
	shot    studio.Shot
	refused bool
}{
	{"plain", studio.Shot{}, false},
	{"askew by 35°", studio.Shot{Askew: 35, Roll: 15}, false},
	{"half of the light lost, warm lamp", studio.Shot{Askew: 20, Dim: 0.5, Coloured: true}, false},
	{"hard shadow", studio.Shot{Askew: 15, Shadow: 0.4}, true},
	{"wet, on ruled paper, JPEG at 60", studio.Shot{Askew: 15, Halo: true, Ruled: true, Quality: 60}, false},
	{"thumb and cup", studio.Shot{Askew: 20, Thumb: true, Coffee: true}, false},
	{"turned file, out of focus", studio.Shot{Askew: 15, Turned: true, Blur: 1.5}, true},
}

// The papers of another studio are read as well: one of each way, and fifteen with each fault where the long tests run.
func TestAnotherStudio(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing here runs side by side: once, without the race detector, is enough")
	}
	papers := 1
	if long() {
		papers = 15
	}
	var all struct {
		papers, unread, falseWeak, falseBent int
		tried, found                         [4]int // by fault: none, blocked, weak, bent
	}
	for k, way := range shots {
		for i := range papers * 4 {
			if !long() && i != k%4 {
				continue
			}
			seed, p := uint64(k*1000+i), way.shot
			p.Wide = 1200
			p.Holes = 8 + (i/4+k)%3
			hole := 1 + (i/4*7+k*3)%p.Holes
			switch i % 4 {
			case 1:
				p.Flow = map[int]float64{hole: 0}
			case 2:
				p.Flow = map[int]float64{hole: 0.6}
			case 3:
				p.Bend = map[int]float64{hole: 6 * float64(1-2*(i/4%2))}
			}
			m, err := sprayphoto.Decode(studio.Shoot(seed, p))
			if err != nil {
				t.Fatal(err)
			}
			r, err := sprayphoto.Read(m, p.Holes)
			if err != nil {
				if !way.refused {
					all.unread++
				}
				t.Logf("%s, %d: %v", way.name, i, err)
				continue
			}
			all.papers, all.tried[i%4] = all.papers+1, all.tried[i%4]+1
			found, weak, bent := false, 0, 0
			for _, h := range r.Holes {
				if h.NotJudged != nil {
					if h.Number == hole {
						found = true // said, and not judged
					}
					continue
				}
				is := []bool{false, h.Missing, h.Weak, h.Bent}[i%4]
				switch {
				case h.Number == hole && i%4 > 0:
					found = found || is
					if !is {
						t.Logf("%s, %d: hole %d of fault %d not found: share %.2f ± %.2f, off %.1f", way.name, i, hole, i%4, h.Share, h.ShareU, h.Off)
					}
				case h.Weak || h.Missing:
					weak++
					t.Logf("%s, %d: hole %d falsely weak: share %.2f ± %.2f", way.name, i, h.Number, h.Share, h.ShareU)
				case h.Bent:
					bent++
					t.Logf("%s, %d: hole %d falsely bent: off %.1f", way.name, i, h.Number, h.Off)
				}
			}
			one := map[bool]int{true: 1}
			all.falseWeak, all.falseBent = all.falseWeak+one[weak > 0], all.falseBent+one[bent > 0]
			all.found[i%4] += one[found]
		}
	}
	t.Logf("%+v", all)
	for fault, least := range []float64{0, 0.99, 0.90, 0.95} {
		tried := float64(all.tried[fault])
		if float64(all.found[fault]) < least*tried-math.Sqrt(tried)/2 { // so few papers let a share fall by that
			t.Errorf("fault %d: found in %d of %.0f", fault, all.found[fault], tried)
		}
	}
	few := 1 / math.Sqrt(float64(all.papers))
	if most := 0.01 + few/4; float64(all.falseWeak) > most*float64(all.papers) || float64(all.falseBent) > most*float64(all.papers) {
		t.Errorf("falsely weak %d, falsely bent %d of %d papers", all.falseWeak, all.falseBent, all.papers)
	}
	if all.unread > all.papers/20 {
		t.Errorf("%d of %d papers not read", all.unread, all.papers)
	}
}

// Nothing is reported from a picture that is no spray paper, of twenty other kinds.
func TestAnotherStudioNoPaper(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing here runs side by side: once, without the race detector, is enough")
	}
	each := 1
	if long() {
		each = 25
	}
	for i := range each * studio.Kinds {
		m, err := sprayphoto.Decode(studio.Other(i, uint64(i)))
		if err == nil {
			_, err = sprayphoto.Read(m, 9)
		}
		var refused *sprayphoto.Refused
		if !errors.As(err, &refused) {
			t.Errorf("kind %d, %d: read, error %v", i%studio.Kinds, i, err)
		}
	}
}
