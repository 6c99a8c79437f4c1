package checks

import (
	"bytes"
	"fmt"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// years is how long an invented ship's book is followed.
const years = 10

// tenYears is an invented ship whose book holds ten years at least.
func tenYears(t *testing.T, seed uint64, faults ...string) (*invent.Book, *logbook.Book) {
	t.Helper()
	for n := 160; ; n += 160 {
		v := invent.Vessel(seed, invent.Options{Overhauls: n, Faults: faults})
		b, err := logbook.Read(v.FS())
		if err != nil {
			t.Fatal(err)
		}
		if b.Today().Days(b.Vessel.Opening.Date.Day) >= 366*years {
			return v, b
		}
	}
}

// monthEnd is the last day of a month, counted from the one in which the book begins.
func monthEnd(b *logbook.Book, month int) logbook.Day {
	first := b.Vessel.Opening.Date.Day.Time()
	day, err := logbook.ParseDay(first.AddDate(0, month+1, -first.Day()).Format("2006-01-02"))
	if err != nil {
		panic(err)
	}
	return day
}

// written are the days in a text.
var written = regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`)

// expiry is a day that is known before it comes: of a seal.
var expiry = regexp.MustCompile(`(use_before|until): \d{4}-\d{2}-\d{2}`)

// begun is the day from which on a deferral or decision holds.
var begun = regexp.MustCompile(`(?m)^(from|date): \d{4}-\d{2}-\d{2}`)

// calibrated is the day of an instrument's certificate.
var calibrated = regexp.MustCompile(`(?m)^calibrated: (\d{4}-\d{2}-\d{2})`)

// fittedOnce is where a valve that lay ready when the book began went.
var fittedOnce = regexp.MustCompile(`, fitted: \{[^}]*\}`)

// asOf is a book as it was at the end of a day: without the records, the blocks of records and the lines of tables that
// were written later. Of a certificate that came later the one before it is gone from the book; it was as good.
func asOf(files fstest.MapFS, on logbook.Day) fstest.MapFS {
	later := func(text []byte) bool {
		text = expiry.ReplaceAll(text, nil)
		return slices.ContainsFunc(written.FindAll(text, -1), func(d []byte) bool { return string(d) > on.String() })
	}
	then := fstest.MapFS{}
	for name, f := range files {
		var kept [][]byte
		switch dir, base, _ := strings.Cut(name, "/"); {
		case strings.HasSuffix(name, ".csv"):
			for line := range bytes.Lines(f.Data) {
				if from := written.Find(line); !later(from) {
					kept = append(kept, written.ReplaceAllFunc(line, func(d []byte) []byte { // its end had not come
						if later(d) {
							return nil
						}
						return d
					}))
				}
			}
		case dir == "instruments":
			text := f.Data
			if m := calibrated.FindSubmatch(text); m != nil && later(m[1]) {
				text = bytes.Replace(text, m[1], []byte(on.String()), 1)
			}
			kept = [][]byte{text}
		case name == "book.md": // a valve that lay ready when the book began was fitted later
			kept = [][]byte{fittedOnce.ReplaceAllFunc(f.Data, func(to []byte) []byte {
				if later(to) {
					return nil
				}
				return to
			})}
		case dir == "limits" || dir == "photos":
			kept = [][]byte{f.Data}
		case later([]byte(path.Base(base))), later(begun.Find(f.Data)):
			continue
		default:
			unfitted := false
			for _, block := range blocksOf(f.Data) {
				if fitter := bytes.HasPrefix(block, []byte("fitted_by")); !later(block) && !(fitter && unfitted) {
					kept = append(kept, block)
				} else {
					unfitted = unfitted || bytes.HasPrefix(block, []byte("fitted:"))
				}
			}
		}
		then[name] = &fstest.MapFile{Data: bytes.Join(kept, nil)}
	}
	return then
}

// blocksOf are the lines of a text, those that are set in with the line that they belong to.
func blocksOf(text []byte) (blocks [][]byte) {
	for line := range bytes.Lines(text) {
		if n := len(blocks); n > 0 && (line[0] == ' ' || line[0] == '-' && line[1] == ' ') {
			blocks[n-1] = append(blocks[n-1][:len(blocks[n-1]):len(blocks[n-1])], line...)
		} else {
			blocks = append(blocks, line)
		}
	}
	return blocks
}

// gravest are the findings of grade action or worse that are open.
func gravest(r *Report) (open []Finding) {
	for _, f := range r.Open() {
		if f.Grade >= Action {
			open = append(open, f)
		}
	}
	return open
}

// TestYearsOfAnHonestShip asks on the last days of months what is open on invented ships whose crews do their work well:
// at most two findings of grade action or worse, and not more in the last years than in the first. Outside source: common
// practice, no source.
func TestYearsOfAnHonestShip(t *testing.T) {
	seeds, every := []uint64{7002, 7006}, 30 // small ones
	if long {
		seeds, every = nil, 3
		for i := range 30 {
			seeds = append(seeds, uint64(7000+i))
		}
	}
	ships := len(seeds)
	const most = 2
	first, last := make([]int, ships), make([]int, ships)
	kinds := struct {
		sync.Mutex
		of map[string]int
	}{of: map[string]int{}}
	each(ships, func(i int) {
		began := time.Now()
		v, b := tenYears(t, seeds[i])
		files := v.FS().(fstest.MapFS)
		seen := map[string]int{}
		for month := every - 1; month < 12*years; month += every {
			on := monthEnd(b, month)
			then, err := logbook.Read(asOf(files, on))
			if err != nil {
				t.Error(err)
				return
			}
			open := gravest(Run(then, Options{On: on}))
			for _, f := range open {
				kinds.Lock()
				kinds.of[f.Check]++
				kinds.Unlock()
			}
			if month < 12*years/2 {
				first[i] += len(open)
			} else {
				last[i] += len(open)
			}
			if len(open) > most {
				for _, f := range open {
					seen[fmt.Sprintf("%s %s %s of %s: %s", f.Grade, f.Place, f.Check, f.Subject, f.Message)]++
				}
			}
		}
		if long { // lines while it runs: it takes a quarter of an hour
			fmt.Fprintf(os.Stderr, "seed %d: %s, %v, open in the first half and the second: %d, %d\n", seeds[i],
				numbered(v.Overhauls, "overhaul", "overhauls"), time.Since(began).Round(time.Second), first[i], last[i])
		}
		if len(seen) > 0 {
			var lines []string
			for _, name := range sortedKeys(seen) {
				lines = append(lines, fmt.Sprint(seen[name], " x ", name))
			}
			t.Errorf("seed %d (%s): more than %d open:\n%s", seeds[i], v.Traits, most, strings.Join(lines, "\n"))
		}
	})
	early, late := 0, 0
	for i := range ships {
		early, late = early+first[i], late+last[i]
	}
	t.Logf("%d ships, the last day of every %d. month: %d open in the first half of the years, %d in the second: %v", ships, every,
		early, late, kinds.of)
	if late > early+ships*12*years/2/every {
		t.Errorf("%d findings open in the first half of the years, %d in the second: they grow", early, late)
	}
}

// TestPlantedYears plants faults in ships of some years that go on honestly: of those that work makes good none is open
// once the part or place was overhauled twice more, and those that only a correction or a person ends are all open.
// Outside source: common practice, no source.
func TestPlantedYears(t *testing.T) {
	faults := invent.Faults()
	ships := 12
	if long {
		ships = 4 * len(faults)
	}
	var mu sync.Mutex
	good, lasting := 0, 0
	each(ships, func(i int) {
		var names []string
		for n := range 5 {
			names = append(names, faults[(5*i+n)*23%len(faults)])
		}
		v := invent.Vessel(uint64(7300+i), invent.Options{Overhauls: 90, Faults: names})
		b, err := logbook.Read(v.FS())
		if err != nil {
			t.Error(err)
			return
		}
		r := Run(b, Options{})
		mu.Lock()
		defer mu.Unlock()
		for j := range r.Findings {
			f := &r.Findings[j]
			k := Named(f.Check)
			planted := func(p invent.Planted) bool { return p.Check == f.Check && p.Concerns(f.Place.Path, f.About.Record) }
			if k == nil || f.Grade < Action || !slices.ContainsFunc(v.Key, planted) {
				continue
			}
			work := slices.ContainsFunc(k.Ends.Ways, func(w Way) bool { return w.work != nil })
			chain := r.told.of(f.Subject)
			switch later := len(chain) - 1 - r.told.own(f, chain); {
			case k.Ends == valveLasted || k.Ends == faceGround: // the cylinder, or the holder, may go on: nobody did anything
			case work && later >= 4 && !f.slip: // two halves each
				if good++; f.State == Open {
					t.Errorf("seed %d, %q: %s of %s is open after %d later steps: %s", 7300+i, names, f.Check, f.Subject, later, f.Message)
				}
			case k.Ends.Never && k.Ends != scrapped || k.Ends == writing || f.slip: // the honest crew scraps what it decides to
				if lasting++; f.State != Open {
					t.Errorf("seed %d, %q: %s of %s is %s by %q: %s", 7300+i, names, f.Check, f.Subject, f.State, f.Ended.Words, f.Message)
				}
			}
		}
	})
	if t.Logf("%d ships: %d findings made good, %d lasting", ships, good, lasting); good == 0 || lasting == 0 {
		t.Errorf("%d findings made good and %d lasting: both must be tried", good, lasting)
	}
}
