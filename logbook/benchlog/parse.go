package benchlog

import (
	"bytes"
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"needlebook/logbook/refusal"
)

// The bounds of a log. A test of ten minutes at a thousand samples a second is well inside.
const (
	MaxBytes   = 32 << 20
	maxSamples = 2_000_000
	maxLine    = 4096
	maxColumns = 64
	maxHeader  = 200
)

// Signal is one of the two points of a sensor: what it gives at a pressure.
type Signal struct {
	Value float64 // in Unit
	Unit  string  // mA or V
	Bar   float64
}

// Sensor is what took the log, as far as it is known.
type Sensor struct {
	SpanBar float64  // end of its range; 0 where it is not known
	Class   float64  // most permissible error in per cent of span; 0 where it is not known
	Signals []Signal // its two points, where the log holds mA or V
}

// Log is a pressure log in plain numbers.
type Log struct {
	Time     []float64 // s, rising strictly, from 0 at the first sample
	Bar      []float64 // gauge pressure in bar, as logged
	Unit     string    // of the pressure column, as it was understood
	Header   []string  // lines before the heading, as they are
	Skipped  int       // lines below the heading that hold no sample
	Overload int       // samples that the logger marked as beyond its range
	Packed   bool      // it was made small by [Pack]: its samples are means but near the openings
}

// Refused is a reason with what was found.
type Refused struct {
	Reason refusal.Reason
	Found  string
}

// Error says the reason in words.
func (r *Refused) Error() string {
	if r.Found == "" {
		return r.Reason.Says()
	}
	return r.Reason.Says() + ": " + r.Found
}

// unitsOfPressure give bar for one of each, as spelled in headings. Source: the SI brochure and NIST SP 811.
var unitsOfPressure = map[string]float64{
	"bar": 1, "barg": 1, "bar(g)": 1, "mbar": 0.001, "mpa": 10, "kpa": 0.01, "pa": 1e-5, "psi": 0.0689475729,
	"psig": 0.0689475729, "kgf/cm²": 0.980665, "kgf/cm2": 0.980665, "kg/cm²": 0.980665, "kg/cm2": 0.980665,
	"kp/cm²": 0.980665, "kp/cm2": 0.980665, "kgf/cm^2": 0.980665, "kg/cm^2": 0.980665, "ma": 0, "v": 0, "mv": 0,
}

var unitsOfTime = map[string]float64{
	"s": 1, "sec": 1, "secs": 1, "second": 1, "seconds": 1, "ms": 1e-3, "msec": 1e-3, "us": 1e-6, "µs": 1e-6, "μs": 1e-6,
	"min": 60, "h": 3600,
}

var (
	timeNames = regexp.MustCompile(`^(rel(ative)?[ _.-]?)?` +
		`(time|t|elapsed|zeit|tiempo|temps|tempo|hora|clock|timestamp|date[ _/]?time|время|час)\b`)
	pressureNames = regexp.MustCompile(`(^p$|press|druck|presi|press[aã]o|tryk|paine|тиск|давл)`)
	dateNames     = regexp.MustCompile(`^(date|day|datum|fecha|data)$`)
	heading       = regexp.MustCompile(`^(.*?)[ _]*[\[({/,]?[ ]*([^\s\[\](){},_]+(?:/cm\^?[²2])?(?:\(g\))?)[ ]*[\])}]?$`)
	rateLine      = regexp.MustCompile(`(?i)(rate|frequency|interval|period|sampl)[^0-9]*` +
		`([0-9]+(?:[.,][0-9]+)?)\s*(k?hz|s/s|/s|ms|s|µs|us)\b`)
)

// column is what a heading says.
type column struct {
	name, unit string
}

// headed splits a heading into its name and its unit.
func headed(field string) column {
	field = strings.ToLower(strings.Trim(strings.TrimSpace(field), `"'`))
	if _, ok := unitsOfPressure[field]; ok {
		return column{unit: field}
	}
	if m := heading.FindStringSubmatch(field); m != nil {
		_, pressure := unitsOfPressure[m[2]]
		_, time := unitsOfTime[m[2]]
		if m[1] != "" && (pressure || time) {
			return column{strings.TrimRight(m[1], " _[({/,:"), m[2]}
		}
	}
	return column{name: field}
}

func (c column) isTime() bool {
	_, unit := unitsOfTime[c.unit]
	return timeNames.MatchString(c.name) && (c.unit == "" || unit) || c.name == "" && unit || unitsOfTime[c.name] > 0
}

func (c column) isPressure() bool {
	_, unit := unitsOfPressure[c.unit]
	return unit || c.unit == "" && pressureNames.MatchString(c.name)
}

// table is a log's text on its way.
type table struct {
	log            *Log
	sep            string
	time, pressure int // columns; time is -1 where the sampling rate alone is stated
	unit           string
	perTime        float64 // s for one of the time column; 0 for clock times
	step           float64 // s between samples, where the rate alone is stated
	sensor         Sensor
	toBar          func(float64) float64
	width          int
	clock          dayClock
	lines          int
}

// Parse reads a log's text: columns by their headings, comma or point, seconds or clock times. The error is a
// *Refused.
func Parse(text []byte, sensor Sensor) (*Log, error) {
	if len(text) > MaxBytes {
		return nil, &Refused{refusal.NotReadable, "more than 32 MB"}
	}
	t := &table{log: &Log{}, sensor: sensor, time: -1, pressure: -1}
	rest := plainText(text)
	for len(rest) > 0 {
		var line string
		line, rest = nextLine(rest)
		if err := t.line(line); err != nil {
			return nil, err
		}
		if len(t.log.Bar) > maxSamples {
			return nil, &Refused{refusal.NotReadable, "more than two million samples"}
		}
	}
	return t.done()
}

// plainText makes UTF-8 of what loggers write: UTF-8 with a mark, UTF-16, or one byte a letter.
func plainText(text []byte) string {
	switch {
	case bytes.HasPrefix(text, []byte("\xff\xfe")), bytes.HasPrefix(text, []byte("\xfe\xff")):
		big := text[0] == 0xfe
		units := make([]uint16, 0, len(text)/2)
		for i := 2; i+1 < len(text); i += 2 {
			low, high := text[i], text[i+1]
			if big {
				low, high = high, low
			}
			units = append(units, uint16(low)|uint16(high)<<8)
		}
		return string(utf16.Decode(units))
	case utf8.Valid(text):
		return strings.TrimPrefix(string(text), "\ufeff")
	}
	letters := make([]rune, len(text))
	for i, b := range text {
		letters[i] = rune(b)
	}
	return string(letters)
}

func nextLine(text string) (line, rest string) {
	i := strings.IndexAny(text, "\r\n")
	if i < 0 {
		return text, ""
	}
	line, rest = text[:i], text[i+1:]
	if text[i] == '\r' {
		rest = strings.TrimPrefix(rest, "\n")
	}
	return line, rest
}

func (t *table) line(line string) error {
	if strings.TrimSpace(line) == "" {
		return nil
	}
	if len(line) > maxLine {
		t.log.Skipped++
		return nil
	}
	if t.pressure < 0 {
		return t.header(line)
	}
	t.lines++
	fields := t.split(line)
	if t.lines == 1 && t.unitsBelow(fields) {
		return nil
	}
	if t.toBar == nil {
		if err := t.convert(); err != nil {
			return err
		}
	}
	t.sample(fields)
	return nil
}

// header looks whether a line is the heading; before it lines are kept as they are.
func (t *table) header(line string) error {
	plain := strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(line), "#%;"))
	for _, sep := range []string{";", "\t", ",", "|"} {
		fields := strings.Split(plain, sep)
		if len(fields) > maxColumns || len(fields) < 2 {
			continue
		}
		if t.columns(fields); t.time >= 0 && t.pressure >= 0 {
			t.sep, t.width = sep, len(fields)
			return nil
		}
	}
	if t.step > 0 && !strings.ContainsAny(plain, ";\t|") {
		if c := headed(plain); c.isPressure() {
			t.sep, t.width, t.time, t.pressure, t.unit = ";", 1, -1, 0, c.unit
			return nil
		}
	}
	t.time, t.pressure = -1, -1
	if m := rateLine.FindStringSubmatch(plain); m != nil {
		t.step = stepOf(m[2], strings.ToLower(m[3]))
	}
	if t.log.Header = append(t.log.Header, line); len(t.log.Header) > maxHeader {
		return &Refused{Reason: refusal.NoHeading}
	}
	return nil
}

// stepOf turns a stated rate or interval into seconds.
func stepOf(number, unit string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	switch {
	case err != nil || v <= 0:
		return 0
	case unit == "khz":
		return 1e-3 / v
	case strings.HasSuffix(unit, "hz"), strings.HasPrefix(unit, "s/"), unit == "/s":
		return 1 / v
	}
	return v * unitsOfTime[unit]
}

// columns finds the columns of time and pressure among headings. A column that is called a pressure comes before one
// that only has its unit.
func (t *table) columns(fields []string) {
	t.time, t.pressure = -1, -1
	named := false
	for i, f := range fields {
		c := headed(f)
		switch {
		case dateNames.MatchString(c.name):
		case t.time < 0 && c.isTime():
			t.time, t.perTime = i, unitsOfTime[cmp.Or(c.unit, c.name)]
		case c.isPressure():
			if byName := pressureNames.MatchString(c.name); t.pressure < 0 || byName && !named {
				t.pressure, t.unit, named = i, c.unit, byName
			}
		}
	}
}

// unitsBelow reports whether the line below the heading holds the units, and takes them.
func (t *table) unitsBelow(fields []string) bool {
	if len(fields) <= t.pressure {
		return false
	}
	unit := strings.ToLower(strings.Trim(strings.TrimSpace(fields[t.pressure]), `[]()"`))
	if _, ok := unitsOfPressure[unit]; !ok {
		return false
	}
	t.unit = unit
	if t.time >= 0 {
		t.perTime = cmp.Or(unitsOfTime[strings.ToLower(strings.Trim(strings.TrimSpace(fields[t.time]), `[]()"`))], t.perTime)
	}
	return true
}

// convert settles how the pressure column becomes bar.
func (t *table) convert() error {
	per, known := unitsOfPressure[t.unit]
	t.log.Unit = t.unit
	switch {
	case !known:
		return &Refused{Reason: refusal.NoUnit}
	case per > 0:
		t.toBar = func(v float64) float64 { return v * per }
		return nil
	}
	unit, scale := t.unit, 1.0
	if unit == "mv" {
		unit, scale = "v", 1e-3
	}
	s := t.sensor.Signals
	if len(s) != 2 || s[0].Value == s[1].Value || !strings.EqualFold(s[0].Unit, unit) ||
		!strings.EqualFold(s[1].Unit, unit) {
		return &Refused{Reason: refusal.NoSignal}
	}
	slope := (s[1].Bar - s[0].Bar) / (s[1].Value - s[0].Value)
	t.toBar = func(v float64) float64 { return s[0].Bar + (v*scale-s[0].Value)*slope }
	return nil
}

// split cuts a line at its separators. Where the comma is both separator and decimal mark, the pairs are joined.
func (t *table) split(line string) []string {
	fields := strings.SplitN(strings.TrimSpace(line), t.sep, 2*maxColumns+1)
	if t.sep == "," && t.width > 1 && len(fields) == 2*t.width {
		joined := make([]string, t.width)
		for i := range joined {
			joined[i] = fields[2*i] + "." + fields[2*i+1]
		}
		return joined
	}
	return fields
}

// sample takes one line below the heading.
func (t *table) sample(fields []string) {
	if t.pressure >= len(fields) || t.time >= len(fields) {
		t.log.Skipped++
		return
	}
	at, ok := float64(t.log.Skipped+len(t.log.Bar))*t.step, true
	if t.time >= 0 {
		at, ok = t.timeOf(fields[t.time])
	}
	text := strings.Trim(strings.TrimSpace(fields[t.pressure]), `"`)
	v, fine := number(text)
	if over := strings.ToLower(text); over == "ol" || over == "overload" || over == "over" || over == "+over" {
		t.log.Overload++
	}
	bar := math.NaN()
	if fine {
		bar = t.toBar(v)
	}
	if !ok || !(math.Abs(bar) < 1e5) || !(math.Abs(at) < 1e9) {
		t.log.Skipped++
		return
	}
	t.log.Time, t.log.Bar = append(t.log.Time, at), append(t.log.Bar, bar)
}

// number reads a decimal with a comma or a point; where both are in it, the last is the decimal mark.
func number(text string) (float64, bool) {
	text = strings.TrimSpace(strings.Trim(strings.TrimSpace(text), `"`))
	switch point, comma := strings.LastIndex(text, "."), strings.LastIndex(text, ","); {
	case point > comma && comma >= 0: // 4,641.2
		text = strings.ReplaceAll(text, ",", "")
	case comma > point && point >= 0: // 4.641,2
		text = strings.ReplaceAll(text, ".", "")
	}
	if strings.Count(text, ",") == 1 {
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

// timeOf reads a time: a number in the column's unit, or a clock time.
func (t *table) timeOf(text string) (float64, bool) {
	text = strings.TrimSpace(strings.Trim(strings.TrimSpace(text), `"`))
	if strings.Contains(text, ":") {
		return t.clock.read(text)
	}
	v, ok := number(text)
	return v * cmp.Or(t.perTime, 1), ok
}

// dayClock reads clock times; one that is half a day before the last is of the next day.
type dayClock struct {
	last, days float64
	begun      bool
}

var clockTime = regexp.MustCompile(`(?i)(?:^|[T ])(\d{1,3}):(\d{2})` +
	`(?::(\d{2}(?:[.,:]\d{1,9})?))?\s*(am|pm)?(?:z|[+-]\d{2}:?\d{2})?$`)

// minuteTime is minutes and seconds with a part of one: no clock shows parts of a minute.
var minuteTime = regexp.MustCompile(`^\d{1,2}:\d{2}[.,]\d{1,9}$`)

func (c *dayClock) read(text string) (float64, bool) {
	if minuteTime.MatchString(text) {
		text = "0:" + text
	}
	m := clockTime.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	h, _ := strconv.ParseFloat(m[1], 64)
	min, _ := strconv.ParseFloat(m[2], 64)
	var s float64
	if m[3] != "" {
		s, _ = strconv.ParseFloat(strings.NewReplacer(",", ".", ":", ".").Replace(m[3]), 64)
	}
	switch strings.ToLower(m[4]) {
	case "pm":
		h = math.Mod(h, 12) + 12
	case "am":
		h = math.Mod(h, 12)
	}
	at := h*3600 + min*60 + s + c.days*86400
	if c.begun && at < c.last-43200 {
		at, c.days = at+86400, c.days+1
	}
	c.last, c.begun = at, true
	return at, true
}

// done puts the samples in order and holds them against what a log must have.
func (t *table) done() (*Log, error) {
	l := t.log
	switch {
	case t.pressure < 0:
		return nil, &Refused{Reason: refusal.NoHeading}
	case len(l.Bar) < 2:
		return nil, &Refused{Reason: refusal.TooShort}
	case l.Skipped-l.Overload > len(l.Bar)/4:
		return nil, &Refused{Reason: refusal.NotReadable, Found: strconv.Itoa(l.Skipped) + " of them"}
	}
	l.Packed = slices.ContainsFunc(l.Header, func(line string) bool { return strings.HasPrefix(line, packedLine) })
	spread(l.Time)
	if err := l.inOrder(); err != nil {
		return nil, err
	}
	first := l.Time[0]
	for i := range l.Time {
		l.Time[i] -= first
	}
	return l, nil
}

// spread gives samples that share a time, because the clock shows whole seconds, their places between it and the next.
func spread(time []float64) {
	for i := 0; i < len(time); {
		j := i
		for j < len(time) && time[j] == time[i] {
			j++
		}
		if n := j - i; n > 1 {
			step := 1 / float64(n)
			if j < len(time) && time[j] > time[i] && time[j]-time[i] < 60 {
				step = (time[j] - time[i]) / float64(n)
			} else if i > 0 {
				step = time[i] - time[i-1]
			}
			if i == 0 && j < len(time) { // the logger began within the second
				k := j
				for k < len(time) && time[k] == time[j] {
					k++
				}
				step = min(step, (time[j]-time[i])/float64(max(k-j, n)))
				for m := i; m < j; m++ {
					time[m] = time[j] - step*float64(j-m)
				}
			} else {
				for m := i + 1; m < j; m++ {
					time[m] = time[i] + step*float64(m-i)
				}
			}
		}
		i = j
	}
}

// inOrder drops a sample whose time is not after the one before; more than a few are no log.
func (l *Log) inOrder() error {
	back, n := 0, 0
	for i := range l.Time {
		if n > 0 && l.Time[i] <= l.Time[n-1] {
			back++
			continue
		}
		l.Time[n], l.Bar[n] = l.Time[i], l.Bar[i]
		n++
	}
	if back > len(l.Time)/20+1 {
		return &Refused{Reason: refusal.TimeBackwards}
	}
	l.Time, l.Bar = slices.Clip(l.Time[:n]), slices.Clip(l.Bar[:n])
	if n < 2 {
		return &Refused{Reason: refusal.TooShort}
	}
	return nil
}

// Drawn are about so many points of the log for a drawing: of each stretch its lowest and its highest, in order.
func (l *Log) Drawn(points int) (time, bar []float64) {
	stretch := max(1, 2*len(l.Bar)/points)
	for i := 0; i < len(l.Bar); i += stretch {
		low, high := i, i
		for j := i; j < min(i+stretch, len(l.Bar)); j++ {
			if l.Bar[j] < l.Bar[low] {
				low = j
			}
			if l.Bar[j] > l.Bar[high] {
				high = j
			}
		}
		for _, k := range []int{min(low, high), max(low, high)} {
			if n := len(time); n == 0 || l.Time[k] > time[n-1] {
				time, bar = append(time, l.Time[k]), append(bar, l.Bar[k])
			}
		}
	}
	return time, bar
}
