package benchlog_test

import (
	"os"
	"testing"

	"needlebook/logbook/benchlog"
	"needlebook/logbook/benchlog/internal/rig"
)

// rigged is a row of the second table, and what is asked of it.
type rigged struct {
	name    string
	way     rig.Way
	careful bool // the opening's accuracy is asked for
	refused bool // no opening pressure is read
	noLeak  bool // no leak-down is read
	unseen  bool // hum that beats so slowly with the sampling that no log shows it: nothing is asked
}

var ways = []rigged{
	{name: "1 a second", way: rig.Way{Hz: 1}, refused: true},
	{name: "2", way: rig.Way{Hz: 2}, refused: true},
	{name: "5", way: rig.Way{Hz: 5}, refused: true},
	{name: "10", way: rig.Way{Hz: 10}, refused: true},
	{name: "20", way: rig.Way{Hz: 20}},
	{name: "50", way: rig.Way{Hz: 50}},
	{name: "100", way: rig.Way{Hz: 100}, careful: true},
	{name: "200", way: rig.Way{Hz: 200}, careful: true},
	{name: "500", way: rig.Way{Hz: 500}, careful: true},
	{name: "1000", way: rig.Way{Hz: 1000}, careful: true},
	{name: "100, pumped fast", way: rig.Way{Hz: 100, Fast: true}},
	{name: "1000, pumped fast", way: rig.Way{Hz: 1000, Fast: true}},
	{name: "100, hum of 4 bar", way: rig.Way{Hz: 100, Hum: 4}, careful: true},
	{name: "200, hum of 4 bar", way: rig.Way{Hz: 200, Hum: 4}, careful: true},
	{name: "1000, hum of 8 bar", way: rig.Way{Hz: 1000, Hum: 8}, careful: true},
	{name: "10, hum of 3 bar", way: rig.Way{Hz: 10, Hum: 3}, refused: true, unseen: true},
	{name: "50, hum of 3 bar", way: rig.Way{Hz: 50, Hum: 3}, unseen: true},
	{name: "100, noise of 2 bar", way: rig.Way{Hz: 100, Noise: 2}},
	{name: "1000, noise of 2 bar", way: rig.Way{Hz: 1000, Noise: 2}, careful: true},
	{name: "100, 9 bits", way: rig.Way{Hz: 100, Noise: 0.1, Bits: 9}, careful: true},
	{name: "100, mA, class 0.5", way: rig.Way{Hz: 100, Signal: "mA", Class: 0.5}, careful: true},
	{name: "200, V, to 1000 bar", way: rig.Way{Hz: 200, Signal: "V", Span: 1000}, careful: true},
	{name: "100, irregular", way: rig.Way{Hz: 100, Irregular: true}, careful: true},
	{name: "100, 3 % lost", way: rig.Way{Hz: 100, Gaps: 0.03}, careful: true},
	{name: "100, zero drifts by 3 bar", way: rig.Way{Hz: 100, Drift: 3}, careful: true},
	{name: "100, clock of 0.1 s", way: rig.Way{Hz: 100, Repeated: true}, careful: true},
	{name: "10, clock of 1 s", way: rig.Way{Hz: 10, Repeated: true}, refused: true},
	{name: "100, bench leaks", way: rig.Way{Hz: 100, Leaky: true}, careful: true},
	{name: "100, seat weeps", way: rig.Way{Hz: 100, Weeps: true}, careful: true},
	{name: "500, sensor of 5 ms", way: rig.Way{Hz: 500, Slow: 5}, careful: true},
	{name: "100, logger gives means", way: rig.Way{Hz: 100, Averaged: true}, careful: true},
	{name: "100, two holds", way: rig.Way{Hz: 100, Twice: true}, careful: true},
	{name: "100, quiet, class 0.1", way: rig.Way{Hz: 100, Noise: 0.1, Class: 0.1}, careful: true},
	{name: "100, lever touched", way: rig.Way{Hz: 100, Knocked: true}, careful: true, noLeak: true},
	{name: "100, ends in the hold", way: rig.Way{Hz: 100, Short: true}, careful: true, noLeak: true},
	{name: "100, clipped", way: rig.Way{Hz: 100, Clip: 280}, refused: true, noLeak: true},
	{name: "100, opened twice", way: rig.Way{Hz: 100, Few: true}, refused: true},
}

// run reads as many invented logs; what is held is the true pressure, the error of the opening is without the sensor's.
func (w *rigged) run(t *testing.T, first, cases int) (out tally) {
	for i := range cases {
		c := rig.Try(uint64(first+i), w.way)
		sensor := benchlog.Sensor{SpanBar: c.Span, Class: c.Class}
		for _, p := range c.Points {
			if c.Unit != "" {
				sensor.Signals = append(sensor.Signals, benchlog.Signal{Value: p[0], Unit: c.Unit, Bar: p[1]})
			}
		}
		l, err := benchlog.Parse(c.Text, sensor)
		if err != nil {
			t.Errorf("%s, %d, %s: %v\n%.200s", w.name, i, c.Habit, err, c.Text)
			continue
		}
		got := benchlog.Read(l, sensor, benchlog.Asked{From: c.From, To: c.To})
		out.take(got, c.Opening, c.Opening+c.Off, c.LeakDown)
	}
	return out.sorted()
}

// The logs of another rig and of loggers with other habits are read as well: a few of each, and hundreds where the
// long tests run, whose table is in the package's documentation.
func TestAnotherRig(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing here runs side by side: once, without the race detector, is enough")
	}
	cases, long := 2, os.Getenv("NEEDLEBOOK_LONG") != ""
	if long {
		cases = 150
	}
	held, known := 0, 0
	for k := range ways {
		w := &ways[k]
		got := w.run(t, 1000*k, cases)
		opened, leaked := len(got.opening), len(got.leak)
		t.Logf("%-26s %5.1f %5.1f  %5.1f %% %3d refused   %5.2f %5.2f  %5.1f %% %3d refused", w.name,
			quantile(got.opening, 0.5), quantile(got.opening, 0.95), percent(got.openingHeld, opened), got.openingRefused,
			quantile(got.leak, 0.5), quantile(got.leak, 0.95), percent(got.leakHeld, leaked), got.leakRefuse)
		if w.refused && opened > 0 || !w.refused && opened < cases*3/4 {
			t.Errorf("%s: %d opening pressures read", w.name, opened)
		}
		if w.noLeak && leaked > 0 || !w.noLeak && leaked < cases/2 {
			t.Errorf("%s: %d leak-downs read", w.name, leaked)
		}
		if w.unseen {
			continue
		}
		held, known = held+got.openingHeld+got.leakHeld, known+opened+leaked
		if opened > 0 && quantile(got.opening, 1) > 8 || leaked > 0 && quantile(got.leak, 1) > 8 {
			t.Errorf("%s: an opening off by %.1f bar, a leak-down by %.1f %%", w.name, quantile(got.opening, 1), quantile(got.leak, 1))
		}
		if !long {
			continue
		}
		if w.careful && (quantile(got.opening, 0.5) > 0.5 || quantile(got.opening, 0.95) > 1.5) {
			t.Errorf("%s: opening off by %.2f bar, 95 %% %.2f", w.name, quantile(got.opening, 0.5), quantile(got.opening, 0.95))
		}
		if leaked > 0 && quantile(got.leak, 0.95) > 2 {
			t.Errorf("%s: leak-down off by %.2f %%", w.name, quantile(got.leak, 0.95))
		}
		// 93 in a hundred, and what so few cases let it fall by
		if opened > 0 && percent(got.openingHeld, opened) < 89 || leaked > 0 && percent(got.leakHeld, leaked) < 89 {
			t.Errorf("%s: U holds the opening in %d of %d, the leak-down in %d of %d", w.name, got.openingHeld, opened, got.leakHeld, leaked)
		}
	}
	if percent(held, known) < 90 {
		t.Errorf("U holds %d of %d", held, known)
	}
}
