package benchlog_test

import (
	"crypto/sha256"
	"fmt"
	"math"
	"strings"
	"testing"

	"needlebook/logbook/benchlog"
	"needlebook/logbook/benchlog/internal/pump"
)

// A long log comes under its size with the same readings, names the digest of the original, and a small one stays as it is. The truth is
// that of the simulator.
func TestPack(t *testing.T) {
	held, known := 0, 0
	for seed := range uint64(5) {
		test := draw(pump.Usual(), seed)
		test.Rate, test.Careful = []float64{200, 500, 1000}[seed%3], seed%2 == 0
		time, bar, truth := test.Run(seed)
		text := []byte(pump.CSV([]string{"# bench B-1"}, time, bar, 2))
		sensor := benchlog.Sensor{SpanBar: test.Span, Class: test.Class}
		from, to := math.Round(test.Opening-25), math.Round(test.Opening-85)
		asked := benchlog.Asked{From: from, To: to}
		l, err := benchlog.Parse(text, sensor)
		if err != nil {
			t.Fatal(err)
		}
		packed, ok := benchlog.Pack(text, l, sensor, asked, benchlog.MaxPacked)
		if !ok || len(packed) > benchlog.MaxPacked {
			t.Errorf("%d: %d bytes of %d, %t", seed, len(packed), len(text), ok)
			continue
		}
		if len(text) <= benchlog.MaxPacked {
			if string(packed) != string(text) {
				t.Errorf("%d: a small log is changed", seed)
			}
			continue
		}
		if !strings.Contains(string(packed), fmt.Sprintf("# original: SHA-256 %x, size %d\n", sha256.Sum256(text), len(text))) || !strings.HasPrefix(string(packed), "# bench B-1\n") {
			t.Errorf("%d: %.200s", seed, packed)
		}
		small, err := benchlog.Parse(packed, sensor)
		if err != nil || !small.Packed || l.Packed {
			t.Fatalf("%d: %v", seed, err)
		}
		was, is := benchlog.Read(l, sensor, asked), benchlog.Read(small, sensor, asked)
		if was.Opening.Known() && math.Abs(was.Opening.X-is.Opening.X) > 0.1 {
			t.Errorf("%d: opening pressure %.2f, packed %.2f", seed, was.Opening.X, is.Opening.X)
		}
		if is.LeakDown.Known() {
			known++
			if math.Abs(is.LeakDown.X-truth.Fall(from, to)) <= is.LeakDown.U {
				held++
			}
		}
	}
	if known < 3 || held < known-1 {
		t.Errorf("%d leak-downs of packed logs, %d held", known, held)
	}
}

// What cannot be made small without another reading is refused, not cut.
func TestPackRefuses(t *testing.T) {
	test := pump.Usual()
	test.Rate = 1000
	time, bar, _ := test.Run(1)
	text := []byte(pump.CSV(nil, time, bar, 2))
	l, err := benchlog.Parse(text, benchlog.Sensor{})
	if err != nil {
		t.Fatal(err)
	}
	if packed, ok := benchlog.Pack(text, l, benchlog.Sensor{}, benchlog.Asked{From: 280, To: 220}, 2000); ok {
		t.Errorf("%d bytes in 2000", len(packed))
	}
}
