package benchlog_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"needlebook/logbook/benchlog"
	"needlebook/logbook/refusal"
)

// Each text is a log of three samples, 0, 0.5 and 1 s, at 0, 100 and 250 bar; units by NIST SP 811, appendix B.
func TestParse(t *testing.T) {
	twoPoints := benchlog.Sensor{SpanBar: 600, Signals: []benchlog.Signal{{Value: 4, Unit: "mA", Bar: 0}, {Value: 20, Unit: "mA", Bar: 600}}}
	volts := benchlog.Sensor{SpanBar: 500, Signals: []benchlog.Signal{{Value: 0, Unit: "V", Bar: 0}, {Value: 10, Unit: "V", Bar: 500}}}
	for name, c := range map[string]struct {
		text   string
		sensor benchlog.Sensor
	}{
		"plain":               {"time_s,pressure_bar\n0,0\n0.5,100\n1,250\n", benchlog.Sensor{}},
		"comment header":      {"# bench: B-1\n# sensor: 0-600 bar, cl. 0.25\ntime_s,pressure_bar\n0,0\n0.5,100\n1,250\n", benchlog.Sensor{}},
		"comma and semicolon": {"Zeit [s];Druck [bar]\r\n0,0;0,0\r\n0,5;100,0\r\n1,0;250,0\r\n", benchlog.Sensor{}},
		"comma for both":      {"t [s],p [bar]\n0,0,0,0\n0,5,100,0\n1,0,250,0\n", benchlog.Sensor{}},
		"tab, MPa":            {"time (ms)\tpressure (MPa)\n0\t0\n500\t10\n1000\t25\n", benchlog.Sensor{}},
		"psi":                 {"Elapsed Time (s),CH1 Pressure (psi)\n0,0\n0.5,1450.37738\n1,3625.94344\n", benchlog.Sensor{}},
		"kgf":                 {"time s;P kgf/cm²\n0;0\n0,5;101,971621\n1;254,929053\n", benchlog.Sensor{}},
		"kgf in one byte":     {"time s;P kgf/cm\xb2\n0;0\n0,5;101,971621\n1;254,929053\n", benchlog.Sensor{}},
		"mA":                  {"time [s];signal [mA]\n0;4\n0.5;6.6666666667\n1;10.6666666667\n", twoPoints},
		"V":                   {"time [s];input [V]\n0;0\n0.5;2\n1;5\n", volts},
		"mV":                  {"time [s];input [mV]\n0;0\n0.5;2000\n1;5000\n", volts},
		"clock":               {"Date;Time;Pressure (bar)\n2024-06-11;23:59:59.500;0\n2024-06-12;00:00:00.000;100\n2024-06-12;00:00:00.500;250\n", benchlog.Sensor{}},
		"date and clock":      {"timestamp,p (bar)\n2024-06-11T10:00:00.000Z,0\n2024-06-11T10:00:00.500Z,100\n2024-06-11T10:00:01.000Z,250\n", benchlog.Sensor{}},
		"afternoon":           {"clock,p (bar)\n11:59:59.5 AM,0\n12:00:00.0 PM,100\n12:00:00.5 PM,250\n", benchlog.Sensor{}},
		"units below":         {"Time;Temp;Pressure\ns;°C;bar\n0;20;0\n0,5;20;100\n1;20;250\n", benchlog.Sensor{}},
		"two pressures":       {"time [s];ref [bar];pressure [bar]\n0;9;0\n0.5;9;100\n1;9;250\n", benchlog.Sensor{}},
		"minutes":             {"Elapsed;p (bar)\n00:59.5000;0\n01:00.0000;100\n01:00.5000;250\n", benchlog.Sensor{}},
		"groups of thousands": {"t (s);p (psi)\n0;0\n0.5;1,450.37738\n1;3,625.94344\n", benchlog.Sensor{}},
		"rate alone":          {"Sample rate: 2 Hz\nPressure [bar]\n0\n100\n250\n", benchlog.Sensor{}},
		"interval alone":      {"Interval = 500 ms\npressure_bar\n0\n100\n250\n", benchlog.Sensor{}},
		"foot and blanks":     {"t [s],p [bar]\n0,0\n\n0.5,100\n1,250\n", benchlog.Sensor{}},
		"quoted":              {"\"Time [s]\",\"Pressure [bar]\"\n\"0\",\"0\"\n\"0.5\",\"100\"\n\"1\",\"250\"\n", benchlog.Sensor{}},
		"whole seconds":       {"time,p [bar]\n10:00:00,0\n10:00:00,100\n10:00:01,250\n10:00:01,250\n", benchlog.Sensor{}},
	} {
		l, err := benchlog.Parse([]byte(c.text), c.sensor)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got := ""
		for i := range min(len(l.Bar), 3) {
			got += fmt.Sprintf("%.3f %.2f; ", l.Time[i], l.Bar[i])
		}
		if want := "0.000 0.00; 0.500 100.00; 1.000 250.00; "; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	wide := "\xff\xfe"
	for _, c := range "time [s];p [bar]\n0;0\n0,5;100\n1;250\n" {
		wide += string([]byte{byte(c), 0})
	}
	if l, err := benchlog.Parse([]byte(wide), benchlog.Sensor{}); err != nil || len(l.Bar) != 3 || l.Bar[2] != 250 {
		t.Errorf("UTF-16: %v", err)
	}
}

func TestParseRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want refusal.Reason
	}{
		"nothing":            {"", refusal.NoHeading},
		"no heading":         {"1;2\n3;4\n", refusal.NoHeading},
		"no unit":            {"time;pressure\n0;0\n1;2\n2;3\n", refusal.NoUnit},
		"mA without sensor":  {"time [s];I [mA]\n0;4\n1;5\n", refusal.NoSignal},
		"one sample":         {"time [s];p [bar]\n0;4\n", refusal.TooShort},
		"not a number":       {"time [s];p [bar]\n0;nan\n1;inf\n2;1e999\n3;4\n4;5\n", refusal.NotReadable},
		"backwards":          {"time [s];p [bar]\n9;1\n8;2\n7;3\n6;3\n5;3\n", refusal.TimeBackwards},
		"all at one time":    {"time [s];p [bar]\nx;1\nx;2\n", refusal.TooShort},
		"endless header":     {strings.Repeat("a line\n", 1000), refusal.NoHeading},
		"a line without end": {strings.Repeat("9;", 1<<20), refusal.NoHeading},
	} {
		_, err := benchlog.Parse([]byte(c.text), benchlog.Sensor{})
		var r *benchlog.Refused
		if !errors.As(err, &r) || r.Reason != c.want {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}

// FuzzRead: any text, and reading never panics and never gives a number that is none.
func FuzzRead(f *testing.F) {
	f.Add("time [s];p [bar]\n0;0\n0,5;100\n1;250\n1.5;200\n2;0\n")
	f.Add("time [s];p [bar]\n0;0\n1e8;99999\n1.00000001e8;-99999\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := benchlog.Parse([]byte(text), benchlog.Sensor{SpanBar: 600, Class: 1})
		if err != nil {
			return
		}
		got := benchlog.Read(l, benchlog.Sensor{SpanBar: 600, Class: 1}, benchlog.Asked{From: 295, To: 235, SeatAt: 300, SeatFor: 10})
		for _, v := range []benchlog.Value{got.Zero, got.Opening, got.First, got.LeakDown, got.SeatFall, got.Air, got.Ramp} {
			if v.Known() && (math.IsNaN(v.X) || math.IsInf(v.X, 0) || math.IsNaN(v.U)) {
				t.Errorf("%v", v)
			}
		}
	})
}
