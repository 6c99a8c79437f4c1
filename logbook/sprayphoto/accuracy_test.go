package sprayphoto_test

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"strconv"
	"testing"

	"needlebook/logbook/refusal"
	"needlebook/logbook/sprayphoto"
	"needlebook/logbook/sprayphoto/internal/wet"
)

func long() bool { return os.Getenv("NEEDLEBOOK_LONG") != "" }

func read(t *testing.T, p wet.Paper, seed uint64) (*sprayphoto.Reading, error) {
	t.Helper()
	m, err := sprayphoto.Decode(p.JPEG(seed))
	if err != nil {
		t.Fatal(err)
	}
	return sprayphoto.Read(m, p.Holes)
}

// draw makes papers differ as pictures of an engineer's telephone differ.
func draw(seed uint64) wet.Paper {
	u := func(k uint64) float64 {
		x := (seed*2654435761 + k*40503 + 17) * 6364136223846793005
		x ^= x >> 29
		x *= 1442695040888963407
		return float64(x>>11) / (1 << 53)
	}
	p := wet.Usual()
	p.Tilt, p.Yaw, p.Roll = 60*(u(1)-0.5), 50*(u(2)-0.5), 360*u(3)
	if u(3) < 0.7 {
		p.Roll = 30 * (u(3) - 0.35)
	} else { // turned any way, and all of it in the picture
		p.Wide, p.High = 1300, 1300
	}
	p.Uneven, p.Turned = 0.5*u(4), 8*(u(5)-0.5)
	p.OffX, p.OffY = 10*(u(6)-0.5), 10*(u(7)-0.5)
	p.Distance, p.Strength = 36+16*u(8), 0.7+0.6*u(9)
	p.Noise, p.Quality = 6*u(10), 60+int(35*u(11))
	p.Halo, p.Fibres, p.Ruled, p.Coffee = u(12) < 0.3, u(13) < 0.3, u(14) < 0.15, u(15) < 0.15
	p.Holes = 8 + int(3*u(16))
	return p
}

// The shares of the table in the package's documentation, from a simulation: some papers, and many where the long tests
// run.
func TestAccuracy(t *testing.T) {
	papers := 3
	if long() {
		papers = 1000
		if n, err := strconv.Atoi(os.Getenv("NEEDLEBOOK_COUNT")); err == nil {
			papers = n
		}
	}
	var read1, blocked, weak, bent, falseWeak, falseBent, wrongHole, held, shares, falseDrip int
	for seed := range uint64(papers) {
		good := draw(seed)
		if r, err := read(t, good, seed); err != nil {
			t.Logf("%d refused: %v", seed, err)
		} else {
			read1++
			w, b := 0, 0
			for _, h := range r.Holes {
				if h.Weak || h.Missing {
					w++
				}
				if h.Bent {
					b++
				}
				if h.NotJudged == nil {
					shares++
					if math.Abs(h.Share-1) <= h.ShareU {
						held++
					}
				}
			}
			falseWeak += min(w, 1)
			falseBent += min(b, 1)
			if r.Drip {
				falseDrip++
			}
		}
		k := int(seed) % good.Holes
		for _, c := range []struct {
			flow, bend float64
			n          *int
			is         func(h sprayphoto.Hole) bool
		}{{0, 0, &blocked, func(h sprayphoto.Hole) bool { return h.Missing }},
			{0.6, 0, &weak, func(h sprayphoto.Hole) bool { return h.Weak }},
			{1, 6, &bent, func(h sprayphoto.Hole) bool { return h.Bent }}} {
			bad := good
			bad.Flow, bad.Bend = make([]float64, bad.Holes), make([]float64, bad.Holes)
			for i := range bad.Flow {
				bad.Flow[i] = 1
			}
			bad.Flow[k], bad.Bend[k] = c.flow, c.bend
			r, err := read(t, bad, seed+1_000_000)
			if err != nil {
				continue
			}
			if c.is(r.Holes[k]) {
				*c.n++
			} else if r.Holes[k].NotJudged == nil {
				wrongHole++
			}
		}
	}
	of := func(n int) float64 { return 100 * float64(n) / float64(papers) }
	t.Logf("%d papers: read %.1f %%, blocked found %.1f %%, 60 %% flow %.1f %%, bent by 6° %.1f %%; falsely weak %.1f %%, bent %.1f %%, drip %.1f %%; "+
		"U of the share holds %.1f %%", papers, of(read1), of(blocked), of(weak), of(bent), of(falseWeak), of(falseBent), of(falseDrip),
		100*float64(held)/float64(max(shares, 1)))
	slack := 0.0
	if !long() {
		slack = 15
	}
	if of(blocked) < 99-slack || of(weak) < 90-slack || of(bent) < 95-slack || of(falseWeak) > 1+slack || of(falseBent) > 1+slack {
		t.Error("less is found than the documentation says, or more that is not there")
	}
}

// Nothing is reported of a picture that is no spray paper.
func TestNoPaper(t *testing.T) {
	each := 1
	if long() {
		each = 25
	}
	for kind := range 20 {
		for seed := range uint64(each) {
			m, err := sprayphoto.Decode(wet.Other(kind, seed))
			if err != nil {
				t.Fatal(err)
			}
			if r, err := sprayphoto.Read(m, 9); err == nil {
				t.Errorf("kind %d, %d: %d open, %s", kind, seed, r.Open(), r.Pattern)
			}
		}
	}
}

// What cannot be seen is refused by its reason.
func TestRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*wet.Paper)
		want   refusal.Reason
	}{
		"thumb on a mark":  {func(p *wet.Paper) { p.Thumb = 2 }, refusal.NoMarks},
		"thumb, open mark": {func(p *wet.Paper) { p.Thumb = 4 }, refusal.NoMarks},
		"blurred":          {func(p *wet.Paper) { p.Blur = 2.2 }, refusal.Blurred},
		"too pale":         {func(p *wet.Paper) { p.Strength = 0.06 }, refusal.TooPale},
		"nothing on it":    {func(p *wet.Paper) { p.Strength = 0 }, refusal.NoSprays},
		"two strokes":      {func(p *wet.Paper) { p.Strokes = 2 }, refusal.TwoStrokes},
	} {
		p := wet.Usual()
		c.change(&p)
		_, err := read(t, p, 3)
		var why *sprayphoto.Refused
		if !errors.As(err, &why) || why.Reason != c.want {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}

// Each look has its word, and holes that lie across a hard shadow are not judged, the others are.
func TestLooks(t *testing.T) {
	good := func() wet.Paper { return wet.Usual() }
	p := good()
	p.Jet = make([]bool, 9)
	for i := range p.Jet {
		p.Jet[i] = true
	}
	if r, err := read(t, p, 5); err != nil || r.Pattern != "jet" {
		t.Errorf("solid jets: %+v, %v", r, err)
	}
	p = good()
	p.Drip = 9
	if r, err := read(t, p, 5); err != nil || !r.Drip {
		t.Errorf("a drip: %v", err)
	}
	p = good()
	p.OffX, p.OffY = 9, -6
	if r, err := read(t, p, 5); err != nil || math.Hypot(r.OffX-9, r.OffY+6) > 1.5 || r.Pattern != "even" {
		t.Errorf("off the cross: %+v, %v", r, err)
	}
	p = good()
	p.Bend = []float64{0, 0, 14, -14}
	if r, err := read(t, p, 5); err != nil || !r.Holes[2].Merged && !r.Holes[2].Bent || r.Pattern == "even" {
		t.Errorf("merged: %+v, %v", r, err)
	}
	p = good()
	p.Shadow, p.ShadowAt = 0.35, 20
	r, err := read(t, p, 5)
	if err != nil {
		t.Fatal(err)
	}
	not, wrong := 0, 0
	for _, h := range r.Holes {
		if h.NotJudged != nil {
			not++
		} else if h.Missing || h.Weak || h.Bent {
			wrong++
		}
	}
	if not == 0 || not > 4 || wrong > 0 || r.Drip {
		t.Errorf("a shadow's edges: %d not judged, %d wrong", not, wrong)
	}
}

// The marks are where package card prints them.
func TestMarksArePrinted(t *testing.T) {
	src, err := os.ReadFile("../card/page.go")
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range sprayphoto.Marks {
		want := fmt.Sprintf(`<rect x="%g" y="%g" width="%g" height="%g"/>`, m[0]-6, m[1]-6, sprayphoto.MarkSide, sprayphoto.MarkSide)
		if i == 3 {
			want = fmt.Sprintf(`<path d="M%g %gh12v12h-12z M%g %gv6h6v-6z"`, m[0]-6, m[1]-6, m[0]-3, m[1]-3)
		}
		if !bytes.Contains(src, []byte(want)) {
			t.Errorf("the card has no %s", want)
		}
	}
	if !bytes.Contains(src, []byte(fmt.Sprintf(`<circle cx="%g" cy="%g" r="%g"/>`, sprayphoto.CentreX, sprayphoto.CentreY, sprayphoto.RingRadius))) {
		t.Error("the circle of the card is elsewhere")
	}
}

// A picture that says it is larger than any camera takes, or is cut short, is refused before it is unfolded.
func TestHostile(t *testing.T) {
	whole := wet.Usual().JPEG(1)
	for name, src := range map[string][]byte{"empty": nil, "text": []byte("no picture"), "cut": whole[:len(whole)/2], "small": tiny(t)} {
		if _, err := sprayphoto.Decode(src); err == nil {
			t.Errorf("%s was read", name)
		}
	}
}

func tiny(t *testing.T) []byte {
	var b bytes.Buffer
	m := image.NewGray(image.Rect(0, 0, 20, 20))
	m.SetGray(3, 3, color.Gray{Y: 9})
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// FuzzRead: any bytes, and nothing panics.
func FuzzRead(f *testing.F) {
	f.Add(wet.Other(19, 1))
	f.Fuzz(func(t *testing.T, src []byte) {
		if m, err := sprayphoto.Decode(src); err == nil && m.Bounds().Dx()*m.Bounds().Dy() < 4<<20 {
			sprayphoto.Read(m, 9)
		}
	})
}
