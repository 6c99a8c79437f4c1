package rig

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// habit is how a logger writes.
type habit struct {
	name    string
	head    []string // lines before the heading
	columns string   // the heading; UNIT stands for the pressure's
	under   string   // a line of units below it
	sep     string
	comma   bool
	time    func(s float64) string
	row     func(n int, t, v string) []string
	end     string
	foot    []string
	before  string // byte order mark
	quoted  bool
}

func seconds(decimals int) func(float64) string {
	return func(s float64) string { return fmt.Sprintf("%.*f", decimals, s) }
}

// clock is a time of the day, counted from a quarter to ten.
func clock(layout string, decimals int) func(float64) string {
	return func(s float64) string {
		whole := math.Pow(10, float64(decimals))
		s = math.Round((s+9*3600+45*60+17.3)*whole) / whole
		h, m := int(s)/3600, int(s)/60%60
		rest := s - float64(h*3600+m*60)
		width := 2
		if decimals > 0 {
			width = 3 + decimals
		}
		return fmt.Sprintf(layout, h, m, width, decimals, rest)
	}
}

func plain(_ int, t, v string) []string { return []string{t, v} }

// Habits are how many ways of writing there are.
const Habits = 12

func habits(n int) habit {
	switch n {
	case 1:
		return habit{name: "semicolons and decimal commas", columns: "Time [s];Pressure [UNIT]", sep: ";", comma: true,
			time: seconds(4), row: plain, end: "\r\n"}
	case 2:
		return habit{name: "header lines, two channels", head: []string{"Recorder 4 channels", "Serial no.: 00417",
			"Start: 2024-06-13 09:45:17", "Interval: see column", ""}, columns: "No.,Time,Oil,Pressure", under: ",s,°C,UNIT",
			sep: ",", time: seconds(4), end: "\r\n",
			row: func(n int, t, v string) []string { return []string{fmt.Sprint(n + 1), t, "31.5", v} }}
	case 3:
		return habit{name: "clock times", columns: "Clock time\tPressure (UNIT)", sep: "\t",
			time: clock("%02d:%02d:%0*.*f", 3), row: plain, end: "\n"}
	case 4:
		return habit{name: "day and clock in one column", columns: "Timestamp,Pressure UNIT", sep: ",",
			time: clock("2024-06-13T%02d:%02d:%0*.*f", 4), row: plain, end: "\n"}
	case 5:
		return habit{name: "day beside clock, decimal comma", columns: "Date;Time;Pressure UNIT", sep: ";", comma: true,
			time: clock("%02d:%02d:%0*.*f", 3), end: "\r\n",
			row: func(_ int, t, v string) []string { return []string{"13.06.2024", t, v} }}
	case 6:
		return habit{name: "milliseconds, quoted", columns: `"Elapsed (ms)","Pressure (UNIT)"`, sep: ",", quoted: true,
			time: func(s float64) string { return fmt.Sprintf("%.1f", s*1000) }, row: plain, end: "\n", before: "\ufeff"}
	case 7:
		return habit{name: "comment lines, names with units", head: []string{"# bench 2, oil 28 °C", "# class 0.25"},
			columns: "time_s,pressure_UNIT", sep: ",", time: seconds(5), row: plain, end: "\n"}
	case 8:
		return habit{name: "afternoon clock", columns: "Time,Pressure (UNIT)", sep: ",", row: plain, end: "\r\n",
			time: func(s float64) string { return clock("%d:%02d:%0*.*f AM", 3)(s) }}
	case 9:
		return habit{name: "trailing separator and a foot", head: []string{"Measurement;1;", "Operator;;", ";;"},
			columns: "t / s;p / UNIT;", sep: ";", time: seconds(4), end: "\r\n", foot: []string{"End of measurement;;"},
			row: func(_ int, t, v string) []string { return []string{t, v, ""} }}
	case 10:
		return habit{name: "minutes and seconds", columns: "Elapsed time;Pressure (UNIT)", sep: ";", row: plain, end: "\n",
			time: func(s float64) string {
				return fmt.Sprintf("%02d:%07.4f", int(s)/60, s-float64(int(s)/60*60))
			}}
	case 11:
		return habit{name: "day and clock, tab",
			columns: "Date/Time\tChannel 1 (UNIT)\tChannel 2 (°C)", sep: "\t", comma: true,
			time: clock("13/06/2024 %02d:%02d:%0*.*f", 3), end: "\n",
			row: func(_ int, t, v string) []string { return []string{t, v, "31,5"} }}
	}
	return habit{name: "plain", columns: "time (s),pressure (UNIT)", sep: ",", time: seconds(4), row: plain, end: "\n"}
}

// write is the file.
func (c *Case) write(r *rand.Rand, way Way, rows [][2]float64) {
	h := habits(r.IntN(Habits))
	c.Habit = h.name
	unit, decimals := "bar", 2
	value := func(bar float64) float64 { return bar }
	switch {
	case way.Signal == "mA":
		unit, decimals, c.Unit, c.Points = "mA", 4, "mA", [2][2]float64{{4, 0}, {20, way.Span}}
		value = func(bar float64) float64 { return 4 + 16*bar/way.Span }
	case way.Signal == "V":
		unit, decimals, c.Unit, c.Points = "V", 4, "V", [2][2]float64{{0.5, 0}, {4.5, way.Span}}
		value = func(bar float64) float64 { return 0.5 + 4*bar/way.Span }
	default:
		switch r.IntN(6) {
		case 0:
			unit, decimals, value = "MPa", 3, func(bar float64) float64 { return bar / 10 }
		case 1:
			unit, decimals, value = "psi", 1, func(bar float64) float64 { return bar * 14.503773773 }
		case 2:
			unit, value = "kgf/cm²", func(bar float64) float64 { return bar / 0.980665 }
		}
	}
	if way.Clip > 0 {
		unit, decimals, value = "bar", 2, func(bar float64) float64 { return bar }
	}
	var text bytes.Buffer
	line := func(s string) { text.WriteString(s + h.end) }
	text.WriteString(h.before)
	for _, s := range h.head {
		line(s)
	}
	line(strings.ReplaceAll(h.columns, "UNIT", unit))
	if h.under != "" {
		line(strings.ReplaceAll(h.under, "UNIT", unit))
	}
	for n, x := range rows {
		at := x[0]
		if way.Repeated { // the clock ticks ten times a second, or once
			tick := 10.0
			if way.Hz <= 10 {
				tick = 1
			}
			at = math.Floor(at*tick) / tick
		}
		t, v := h.time(at), fmt.Sprintf("%.*f", decimals, value(x[1]))
		if h.comma {
			t, v = strings.Replace(t, ".", ",", 1), strings.Replace(v, ".", ",", 1)
			if strings.Contains(t, "/") || strings.HasPrefix(t, "2024") {
				t = strings.Replace(t, ",", ".", 1)
			}
		}
		cells := h.row(n, t, v)
		if h.quoted {
			for i := range cells {
				cells[i] = `"` + cells[i] + `"`
			}
		}
		line(strings.Join(cells, h.sep))
	}
	for _, s := range h.foot {
		line(s)
	}
	c.Text = text.Bytes()
}
