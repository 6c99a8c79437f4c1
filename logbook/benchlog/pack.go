package benchlog

import (
	"crypto/sha256"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
)

// MaxPacked is the size above which a log is packed before it goes into a book, in bytes: history keeps it for good,
// and every exchange carries it.
const MaxPacked = 60_000

// What a packed log keeps as it was logged, and how.
const (
	keepBefore = 0.2  // s before an opening: what its ramp is read from
	keepAfter  = 0.1  // s after it: the fall
	restKept   = 200  // samples of the first second: what zero and noise are read from
	firstMean  = 0.02 // s: the shortest mean of the rest
	lastMean   = 1.0  // s: the longest
	sameShare  = 0.5  // of its uncertainty: more may no reading move by the packing
)

// packedLine begins the line that a packed log says it by.
const packedLine = "# packed: "

// Pack makes a long log small: every sample near an opening stays as it was logged, all else is the mean of short
// stretches, and the digest of the original is named. What is read from it is what is read from the original, within
// half of its uncertainty; where that cannot be had in most bytes, ok is false. A log that is small stays.
func Pack(text []byte, l *Log, sensor Sensor, asked Asked, most int) (packed []byte, ok bool) {
	if len(text) <= most {
		return text, true
	}
	whole := Read(l, sensor, asked)
	kept := l.kept(whole.Openings)
	for mean := firstMean; mean <= lastMean; mean *= 1.5 {
		packed = l.packed(text, kept, mean)
		if len(packed) > most {
			continue
		}
		again, err := Parse(packed, sensor)
		return packed, err == nil && whole.alike(Read(again, sensor, asked))
	}
	return nil, false
}

// kept says of each sample whether it stays as it is.
func (l *Log) kept(openings []Opening) []bool {
	kept := make([]bool, len(l.Time))
	for _, o := range openings {
		from, to := sort.SearchFloat64s(l.Time, o.At-keepBefore), sort.SearchFloat64s(l.Time, o.At+keepAfter)
		for i := from; i < to; i++ {
			kept[i] = true
		}
	}
	rest := sort.SearchFloat64s(l.Time, restTime)
	for i := 0; i < rest; i += max(1, rest/restKept) {
		kept[i] = true
	}
	return kept
}

// packed is the text with all that is not kept in means of a length.
func (l *Log) packed(text []byte, kept []bool, mean float64) []byte {
	var b strings.Builder
	for _, line := range l.Header {
		b.WriteString(line + "\n")
	}
	fmt.Fprintf(&b, packedLine+"near an opening as it was, else means of %.2g s; samples before: %d\n", mean, len(l.Time))
	fmt.Fprintf(&b, "# original: SHA-256 %x, size %d\n", sha256.Sum256(text), len(text))
	b.WriteString("time [s];pressure [bar]\n")
	rest := sort.SearchFloat64s(l.Time, restTime)
	for i := 0; i < len(l.Time); i++ {
		if kept[i] {
			sample(&b, l.Time[i], l.Bar[i])
			continue
		}
		if i < rest {
			continue // a mean among them would hide the noise
		}
		at, bar, n := 0.0, 0.0, 0.0
		for j := i; j < len(l.Time) && !kept[j] && l.Time[j] < l.Time[i]+mean; j++ {
			at, bar, n = at+l.Time[j], bar+l.Bar[j], n+1
		}
		sample(&b, at/n, bar/n)
		i += int(n) - 1
	}
	return []byte(b.String())
}

func sample(b *strings.Builder, at, bar float64) {
	round := func(x, to float64) string { return strconv.FormatFloat(math.Round(x*to)/to, 'f', -1, 64) }
	b.WriteString(round(at, 1e4) + ";" + round(bar, 1e3) + "\n")
}

// alike says that another reading says the same: what the one read the other did, within a share of its uncertainty,
// and what the one refused the other did.
func (r *Reading) alike(other *Reading) bool {
	pairs := [][2]*Value{{&r.First, &other.First}, {&r.Opening, &other.Opening}, {&r.LeakDown, &other.LeakDown},
		{&r.SeatFall, &other.SeatFall}}
	for _, p := range pairs {
		switch was, is := p[0], p[1]; {
		case was.Known() != is.Known():
			return false
		case was.Known() && (math.Abs(was.X-is.X) > sameShare*was.U || is.U > 2*was.U || is.U < was.U/2):
			return false
		}
	}
	return len(r.Openings) == len(other.Openings)
}
