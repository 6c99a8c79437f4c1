package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks/paper"
	"needlebook/logbook"
	"needlebook/logbook/benchlog"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/logbook/measure"
)

// logged is a pressure log that somebody asks about.
type logged struct {
	sensor, from, to string
	found, enter     bool

	file   string // as named
	rec    *logbook.Overhaul
	text   []byte
	log    *benchlog.Log
	asked  benchlog.Asked
	read   *benchlog.Reading
	with   *logbook.Instrument
	inBook string // path in the book; empty where the file is elsewhere
}

func (p *program) logVerb() *cobra.Command {
	var a asking
	var l logged
	c := &cobra.Command{
		Use:   "log FILE [RECORD]",
		Short: "Read the pressure log of a test on the hand pump",
		Long: `Reads what a pressure sensor and any logger wrote in a test: a CSV file whose
heading names a column of time and one of pressure, with its unit, or of mA or
V where --sensor names a sensor whose two points the book knows.

It shows zero, ramp, first opening pressure, opening pressure, closing pressure,
chatter, leak-down, seat test and air, each with the uncertainty that holds the
true value with a chance of 95 %, or why it was not read and what to do next
time. What it reads is a suggestion: the value that was booked is the value.

With a record the pressures of its test are asked for, and what it says stands
beside what was booked. --enter copies the log under logs/, names it in the
record with its sensor, and fills what is still blank there; what was booked
stays.

A log above 60 kB is packed: near where the needle opens it stays as it
was, the rest are means, and the digest of the original is in its head.`,
		Example: `  needlebook log logs/2024-06-13-h-119.csv --sensor PS-1 --from "295 bar" --to "235 bar"
  needlebook log pump.csv 2024-06-11-h-119 --sensor PS-1
  needlebook log pump.csv 2024-06-11-h-119 --sensor PS-1 --found --enter`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: p.complete(logbook.ThingRecord),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.answer(&a, func(o *opened) (paper.Paper, error) {
				if err := l.open(p, o, args[0], strings.Join(args[1:], " ")); err != nil {
					return paper.Paper{}, err
				}
				out := l.answer(o)
				if l.enter {
					done, err := l.book(p, o)
					out.Notes = append(done, out.Notes...)
					return out, err
				}
				return out, nil
			})
		},
	}
	p.asks(c, &a)
	f := c.Flags()
	f.StringVar(&l.sensor, "sensor", "", "pressure sensor, by its id in the book (default: as the record has it)")
	f.StringVar(&l.from, "from", "", "pressure at which the leak-down begins (default: record, then limits)")
	f.StringVar(&l.to, "to", "", "pressure at which it ends")
	f.BoolVar(&l.found, "found", false, "the test is as found, before dismantling (default: as left)")
	f.BoolVar(&l.enter, "enter", false, "name the log in the record, and fill what is blank there")
	_ = c.RegisterFlagCompletionFunc("sensor", p.complete(logbook.ThingInstrument))
	return c
}

// open finds file, record and sensor, and reads the log.
func (l *logged) open(p *program, o *opened, file, record string) error {
	l.file = file
	if record != "" {
		t, err := p.one(o, record, logbook.ThingRecord)
		if err != nil {
			return err
		}
		l.rec = o.book.Overhaul(t.Name)
	}
	if l.enter && l.rec == nil {
		return use("--enter takes a record: needlebook log %s RECORD --enter", file)
	}
	var err error
	if l.inBook, l.text, err = o.fileOrBook(file, "logs/", benchlog.MaxBytes); err != nil {
		return err
	}
	if err := l.findSensor(o); err != nil {
		return err
	}
	if err := l.ask(o); err != nil {
		return err
	}
	sensor := logbook.SensorOf(l.with)
	if l.log, err = benchlog.Parse(l.text, sensor); err != nil {
		var why *benchlog.Refused
		if errors.As(err, &why) {
			return use("%s: %v; %s", file, why, why.Reason.Next())
		}
		return err
	}
	l.read = benchlog.Read(l.log, sensor, l.asked)
	return nil
}

// fileOrBook reads a file that is in the book, or lies elsewhere; inBook is its path in the book where it is under a
// folder there.
func (o *opened) fileOrBook(file, folder string, most int64) (inBook string, text []byte, err error) {
	for _, name := range o.inBook(file) {
		if !strings.HasPrefix(name, folder) {
			continue
		}
		if _, err := fs.Stat(o.files, name); err == nil {
			text, err := budget.ReadFile(o.files, name, most)
			return name, text, err
		}
	}
	text, err = budget.Read(file, most)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil, use("there is no file %q, here or in the book", file)
	}
	return "", text, err
}

func (l *logged) findSensor(o *opened) error {
	id := l.sensor
	if id == "" && l.rec != nil {
		for i := range l.rec.Logs {
			if b := &l.rec.Logs[i]; b.Log.Written == l.inBook {
				id, l.found = b.With.Written, l.found || b.Test.Is("as found")
			}
		}
	}
	if id == "" {
		return nil
	}
	l.with = o.book.Instruments[id]
	if l.with == nil {
		return use("there is no instrument %s in the book: add instruments/%s.md", id, logbook.FileName(id))
	}
	if !l.with.Kind.Is("sensor") {
		return use("%s is a %s: --sensor takes a sensor", id, dash(l.with.Kind.Written))
	}
	return nil
}

// test is the test that the log is of.
func (l *logged) test() *logbook.Test {
	if l.found {
		return &l.rec.AsFound
	}
	return &l.rec.AsLeft
}

// ask settles which pressures are asked for.
func (l *logged) ask(o *opened) error {
	if l.rec != nil {
		l.asked = o.book.AskedOf(l.rec, l.test())
	}
	if (l.from == "") != (l.to == "") {
		return use(`--from is given with --to: --from "295 bar" --to "235 bar"`)
	}
	if l.from == "" {
		return nil
	}
	for _, x := range []struct {
		flag, text string
		to         *float64
	}{{"from", l.from, &l.asked.From}, {"to", l.to, &l.asked.To}} {
		q, _ := measure.Parse(x.text, measure.Pressure)
		if !q.Valid() {
			return use("--%s %s: a pressure with its unit is wanted, such as 295 bar", x.flag, x.text)
		}
		*x.to = q.Float()
	}
	return nil
}

// row is one quantity of the answer.
type logRow struct {
	name, unit string
	v          *benchlog.Value
	booked     logbook.Leaf
}

func (l *logged) rows() []logRow {
	r := l.read
	none := logbook.Leaf{}
	rows := []logRow{{"zero", "bar", &r.Zero, none}, {"ramp", "bar/s", &r.Ramp, none},
		{"first opening pressure", "bar", &r.First, none}, {"opening pressure", "bar", &r.Opening, none},
		{"closing pressure", "bar", &r.Closing, none}, {l.span("leak-down", r.From, r.To), "s", &r.LeakDown, none},
		{l.seat(), "bar", &r.SeatFall, none}, {"air in the oil", "%", &r.Air, none}}
	if l.rec != nil {
		t := l.test()
		rows[2].booked, rows[3].booked = t.FirstOpening.Leaf, t.Opening.Median().Leaf
		rows[4].booked, rows[5].booked = t.Closing.Leaf, t.LeakDown.Time.Leaf
	}
	return rows
}

func (l *logged) span(name string, from, to float64) string {
	if from == 0 {
		return name
	}
	return fmt.Sprintf("%s, %.0f to %.0f bar", name, from, to)
}

func (l *logged) seat() string {
	if l.read.SeatAt == 0 {
		return "seat test, fall"
	}
	return fmt.Sprintf("seat test, fall from %.0f bar in %.0f s", l.read.SeatAt, l.read.SeatFor)
}

// answer is what the log says.
func (l *logged) answer(o *opened) paper.Paper {
	r := l.read
	out := paper.Paper{Name: "log", Title: fmt.Sprintf("Pressure log %s: %.1f s, %.3g samples a second, read in %s",
		path.Base(filepath.ToSlash(l.file)), r.Duration, r.Rate, l.log.Unit)}
	t := paper.Table{Name: "read", Columns: []string{"what", "read", "largest part of the uncertainty", "booked"}}
	for _, row := range l.rows() {
		read, part := row.v.Text(row.unit), "–"
		if row.v.Why != nil {
			read = "–"
			out.Lead = append(out.Lead, row.name+" was not read: "+row.v.Why.Error(), "  "+row.v.Why.Reason.Next())
		} else if len(row.v.Parts) > 0 {
			part = row.v.Parts[0].Name
		}
		for _, b := range row.v.Beside {
			out.Lead = append(out.Lead, row.name+" is less certain: "+b.Error(), "  "+b.Reason.Next())
		}
		t.Add(paper.Text(row.name), paper.Text(read), paper.Text(part),
			paper.Placed(dash(row.booked.Written), row.booked.Place))
	}
	out.Tables = []paper.Table{t}
	out.Notes = append(l.about(o), "read is a suggestion: the value that was booked is the value")
	return out
}

// about says what else is to be known of the log.
func (l *logged) about(o *opened) (notes []string) {
	r := l.read
	if c := r.Chatter; c.Openings > 2 {
		notes = append(notes, fmt.Sprintf("opened %s, one every %.2f s, intervals differ by %.0f %%",
			logbook.Counted(c.Openings, "time"), c.Interval, 100*c.Spread))
	}
	if f := r.Fit; f.Tau > 0 {
		notes = append(notes, fmt.Sprintf("an exponential with %.1f s through the hold differs by up to %.1f bar: "+
			"the crossings decide", f.Tau, f.Largest))
	}
	switch {
	case l.with == nil:
		notes = append(notes, "no sensor is named: its class is not in the uncertainty")
	case !l.with.Class.Stated():
		notes = append(notes, l.with.ID.Written+" is without a class: it is not in the uncertainty")
	}
	if l.with == nil || l.rec == nil {
		return notes
	}
	if added := l.with.Added; added.Quantity.Valid() {
		notes = append(notes, l.with.ID.Written+" adds "+added.String()+" of oil to the bench: the leak-down is longer")
	}
	bench := o.book.Instruments[l.test().Bench.Written]
	if bench != nil && bench.MaxPressure.Quantity.Valid() && l.with.Range.High.Valid() &&
		l.with.Range.High.Compare(bench.MaxPressure.Quantity) < 0 {
		notes = append(notes, fmt.Sprintf("%s ends at %s, the bench at %s: a sensor must reach further", l.with.ID.Written,
			l.with.Range.High, bench.MaxPressure))
	}
	return notes
}

// book enters the log into the record.
func (l *logged) book(p *program, o *opened) (done []string, err error) {
	if l.with == nil {
		return nil, use("--enter takes a sensor: --sensor PS-1")
	}
	full := filepath.Join(o.dir, filepath.FromSlash(l.rec.Path))
	src, err := budget.Read(full, budget.MaxFile)
	if err != nil {
		return nil, err
	}
	word, block := "as left", "as_left"
	if l.found {
		word, block = "as found", "as_found"
	}
	name := l.inBook
	if name == "" {
		name = "logs/" + l.rec.Stem + "-" + strings.TrimPrefix(block, "as_") + ".csv"
	}
	text, kept := src, l.text
	if l.inBook == "" && len(kept) > benchlog.MaxPacked {
		var ok bool
		if kept, ok = benchlog.Pack(l.text, l.log, logbook.SensorOf(l.with), l.asked, benchlog.MaxPacked); !ok {
			return nil, use("%s has %d kB and cannot be packed under %d: cut it to the test itself", l.file, len(l.text)/1000,
				benchlog.MaxPacked/1000)
		}
	}
	if !l.named(name, word) {
		item := fmt.Sprintf("{test: %s, log: %s, with: %s}", word, quoted(name), quoted(l.with.ID.Written))
		if text, err = edit.AddItem(text, "logs", item, keysOf("overhaul")); err != nil {
			return nil, use("%s: %v", l.rec.Path, err)
		}
		done = append(done, l.rec.Path+": log named")
	}
	text, filled := l.fill(text, block, word)
	for _, f := range filled {
		done = append(done, l.rec.Path+": "+f)
	}
	if l.inBook == "" {
		err := edit.Create(filepath.Join(o.dir, filepath.FromSlash(name)), kept)
		if errors.Is(err, fs.ErrExist) {
			return nil, use("%s is in the book already: name that file, or take it away first", name)
		}
		if err != nil {
			return nil, err
		}
		how := ": copied"
		if len(kept) < len(l.text) {
			how = fmt.Sprintf(": packed from %d kB to %d, with the digest of the original", len(l.text)/1000, len(kept)/1000)
		}
		done = append([]string{name + how}, done...)
	}
	if bytes.Equal(text, src) {
		return append(done, l.rec.Path+": nothing to enter, no blank is left"), nil
	}
	return done, edit.Replace(full, src, text)
}

// named says that the record names the log already.
func (l *logged) named(name, word string) bool {
	for i := range l.rec.Logs {
		if b := &l.rec.Logs[i]; b.Log.Written == name && b.Test.Is(word) {
			return true
		}
	}
	return false
}

// fill writes what was read into the blanks of the test.
func (l *logged) fill(text []byte, block, word string) ([]byte, []string) {
	r := l.read
	var done []string
	put := func(key, value string) {
		if out, err := edit.Fill(l.rec.Path, text, block+"."+key, value, keysOf("overhaul")); err == nil {
			text, done = out, append(done, word+": "+strings.NewReplacer("_", " ", ".", " ").Replace(key)+" "+value)
		}
	}
	t := l.test()
	with := t.Gauge.Written
	if r.Opening.Known() && len(t.Opening.Valid()) == 0 && (with == "" || with == l.with.ID.Written) {
		digits := min(benchlog.Decimals(r.Opening.U), 1)
		put("opening_pressure", l.readings(digits))
		put("first_opening", fmt.Sprintf("%.*f bar", digits, r.First.X))
		put("gauge", l.with.ID.Written)
		with = l.with.ID.Written
	}
	if r.LeakDown.Known() && !t.LeakDown.Time.Stated() {
		put("leak_down.from", fmt.Sprintf("%.0f bar", r.From))
		put("leak_down.to", fmt.Sprintf("%.0f bar", r.To))
		put("leak_down.time", fmt.Sprintf("%.*f s", min(benchlog.Decimals(r.LeakDown.U), 1), r.LeakDown.X))
		if with != l.with.ID.Written {
			put("leak_down.gauge", l.with.ID.Written)
		}
	}
	return text, done
}

// readings are the opening pressures without the first, as a record has them: three, or the middle one of more.
func (l *logged) readings(digits int) string {
	rest := l.read.Openings[1:]
	if len(rest) > 3 {
		return fmt.Sprintf("[%.*f bar]", digits, l.read.Opening.X)
	}
	var each []string
	for _, x := range rest {
		each = append(each, fmt.Sprintf("%.*f bar", digits, x.Bar))
	}
	return "[" + strings.Join(each, ", ") + "]"
}
