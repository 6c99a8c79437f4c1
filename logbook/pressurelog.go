package logbook

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"needlebook/logbook/benchlog"
	"needlebook/logbook/measure"
	"needlebook/logbook/refusal"
)

// LogReading is what the pressure log that a test names says, read once when the book was.
type LogReading struct {
	Path    string
	Reading *benchlog.Reading // nil where the log could not be read at all
	Why     *benchlog.Refused // then why
	Time    []float64         // s, a drawing's few hundred points
	Bar     []float64

	size     int64
	modified time.Time
}

// drawn is about how many points a drawing of a log has: more would not be seen on a small one.
const drawn = 110

// mostLogs is how many bytes of logs are read of one book; beyond it they are not read, and it is said.
const mostLogs = 64 << 20

// LogOf is what a log says that a record names; nil where it is not there, or no test is named.
func (b *Book) LogOf(o *Overhaul, l *BenchLog) *LogReading {
	t := o.LogTest(l.Test)
	if t == nil || !l.Log.Stated() {
		return nil
	}
	if r := b.logs[logKey(l, b.AskedOf(o, t), SensorOf(b.Instruments[l.With.Written]))]; r != nil {
		return r
	}
	return b.logs[l.Log.Written]
}

func logKey(l *BenchLog, asked benchlog.Asked, sensor benchlog.Sensor) string {
	return fmt.Sprint(l.Log.Written, "\x00", asked, sensor)
}

// readLogs reads the logs that tests name. What was read before and has not changed since is taken over.
func (b *Book) readLogs(fsys fs.FS) {
	before := b.logs
	b.logs = map[string]*LogReading{}
	left := int64(mostLogs)
	for _, o := range b.Overhauls {
		for i := range o.Logs {
			l := &o.Logs[i]
			t := o.LogTest(l.Test)
			size, there := b.pictures[l.Log.Written]
			if t == nil || !there || !strings.HasPrefix(l.Log.Written, "logs/") {
				continue
			}
			sensor, asked := SensorOf(b.Instruments[l.With.Written]), b.AskedOf(o, t)
			r := &LogReading{Path: l.Log.Written, size: size}
			if info, err := fs.Stat(fsys, r.Path); err == nil {
				r.modified = info.ModTime()
			}
			key := logKey(l, asked, sensor)
			if was := before[key]; was != nil && was.size == size && was.modified.Equal(r.modified) && !r.modified.IsZero() {
				r = was
			} else if left -= size; left < 0 {
				r.Why = &benchlog.Refused{Reason: refusal.NotReadable, Found: "the book's logs are more than 64 MB"}
			} else {
				r.read(fsys, sensor, asked)
			}
			b.logs[key], b.logs[r.Path] = r, r
		}
	}
}

// read reads one log.
func (r *LogReading) read(fsys fs.FS, sensor benchlog.Sensor, asked benchlog.Asked) {
	text, err := fs.ReadFile(fsys, r.Path)
	if err != nil {
		r.Why = &benchlog.Refused{Reason: refusal.NotReadable, Found: "the file cannot be read"}
		return
	}
	log, err := benchlog.Parse(text, sensor)
	if err != nil {
		errors.As(err, &r.Why)
		return
	}
	r.Reading = benchlog.Read(log, sensor, asked)
	r.Time, r.Bar = log.Drawn(drawn)
}

// SensorOf is a sensor of the book as the reader of logs knows it; of none nothing is known.
func SensorOf(i *Instrument) (s benchlog.Sensor) {
	if i == nil {
		return s
	}
	if high := i.Range.High; high.Valid() && high.Kind() == measure.Pressure {
		s.SpanBar = high.Float()
		if low := i.Range.Low; low.Valid() && low.Float() < 0 {
			s.SpanBar -= low.Float()
		}
	}
	if c, err := strconv.ParseFloat(i.Class.Written, 64); err == nil && c > 0 && c < 100 {
		s.Class = c
	}
	for _, text := range i.Signal.Each {
		if p, ok := signalPoint(text.Written); ok {
			s.Signals = append(s.Signals, p)
		}
	}
	return s
}

// signalPoint reads "4 mA = 0 bar".
func signalPoint(text string) (p benchlog.Signal, ok bool) {
	signal, pressure, both := strings.Cut(text, "=")
	fields := strings.Fields(signal)
	q, slips := measure.Parse(strings.TrimSpace(pressure), measure.Pressure)
	unread := slices.ContainsFunc(slips, func(s measure.Slip) bool { return !s.Read })
	if !both || len(fields) != 2 || !q.Valid() || unread {
		return p, false
	}
	v, err := strconv.ParseFloat(strings.Replace(fields[0], ",", ".", 1), 64)
	unit := strings.ToLower(fields[1])
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || unit != "ma" && unit != "v" {
		return p, false
	}
	return benchlog.Signal{Value: v, Unit: unit, Bar: q.Float()}, true
}

// AskedOf is what a test's log is asked for: the pressures that the record states, else those of the limits in force.
func (b *Book) AskedOf(o *Overhaul, t *Test) (a benchlog.Asked) {
	day := t.Date.Day
	if day == 0 {
		day = o.Day()
	}
	in := b.LimitsFor(o).OnFirst(day)
	opening := t.Opening.Median().Quantity
	a.From, a.To = barOf(t.LeakDown.From.Quantity), barOf(t.LeakDown.To.Quantity)
	if a.From == 0 || a.To == 0 {
		a.From, a.To = 0, 0
		a.FromBelow, a.Fall = -barOf(in.LeakDown.From.Offset), barOf(in.LeakDown.Fall.Quantity)
		if opening.Valid() && a.Fall > 0 {
			a.From = barOf(opening) - a.FromBelow
			a.To = a.From - a.Fall
		}
	}
	a.SeatAt, a.SeatFor = barOf(t.Seat.At.Quantity), secondsOf(t.Seat.For.Quantity)
	if a.SeatAt == 0 {
		a.SeatBelow = -barOf(in.Seat.At.Offset)
	}
	if a.SeatFor == 0 {
		a.SeatFor = secondsOf(in.Seat.For.Quantity)
	}
	return a
}

func barOf(q measure.Quantity) float64 {
	if !q.Valid() || q.Kind() != measure.Pressure {
		return 0
	}
	return q.Float()
}

func secondsOf(q measure.Quantity) float64 {
	if !q.Valid() || q.Kind() != measure.Time {
		return 0
	}
	return q.Float()
}
