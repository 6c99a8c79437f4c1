package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/checks/judging"
	"needlebook/checks/paper"
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// weighing is what somebody at the bench asks about: readings that stand in no record yet.
type weighing struct {
	openings                          []string
	leakDown, from, to, seat          string
	lift, wear, seatDiameter          string
	oil, bench, gauge, with           string
	gaugeRange, gaugeClass, gaugeStep string
	state                             string
	found                             bool
}

func (p *program) judge() *cobra.Command {
	var a asking
	var w weighing
	c := &cobra.Command{
		Use:   "judge [WHAT]",
		Short: "Judge one reading before it is written into a record",
		Long: `Judges readings as a record with them would be judged: by the limits in force
on the day, with the uncertainty of the gauge, and a leak-down with the oil of
the bench. WHAT is a position, an engine, a holder, a nozzle, a record or a
limits file.

Readings are as left unless --found is given. A gauge of the book is named by
its id; one that is not in the book is described by its range, class and
division. It writes nothing.`,
		Example: `  needlebook judge ME1-3 --leak-down "7.4 s" --oil "31 °C"
  needlebook judge ME1-3 --opening "318 bar" --gauge-range "0 to 600 bar" --gauge-class 1.6 --gauge-division "5 bar"
  needlebook judge ME1-3 --opening "345 bar" --gauge PG-01 --state new
  needlebook judge ME1-3 --lift "0.86 mm" --holder-wear "0.03 mm" --with DG-2`,
		ValidArgsFunction: p.complete(judgeKinds...),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.answer(&a, func(o *opened) (paper.Paper, error) {
				engine, err := p.engineFor(o, strings.Join(args, " "))
				if err != nil {
					return paper.Paper{}, err
				}
				if err := w.known(p, o); err != nil {
					return paper.Paper{}, err
				}
				return w.answer(o, engine)
			})
		},
	}
	p.asks(c, &a)
	f := c.Flags()
	f.StringArrayVar(&w.openings, "opening", nil, `opening pressure, "318 bar"; once for each reading`)
	f.StringVar(&w.leakDown, "leak-down", "", `leak-down time, "7.4 s"`)
	f.StringVar(&w.from, "from", "", "pressure at which the time began")
	f.StringVar(&w.to, "to", "", "pressure at which it ended")
	f.StringVar(&w.seat, "seat", "", "seat test: dry, damp, drop or runs")
	f.StringVar(&w.lift, "lift", "", `lift, "0.86 mm"`)
	f.StringVar(&w.wear, "holder-wear", "", "wear of the holder's face")
	f.StringVar(&w.seatDiameter, "seat-diameter", "", "seat diameter")
	f.StringVar(&w.oil, "oil", "", `temperature of the test oil, "31 °C"`)
	f.StringVar(&w.bench, "bench", "", "bench, whose oil the book knows (default: the only one)")
	f.StringVar(&w.gauge, "gauge", "", "gauge, by its id in the book")
	f.StringVar(&w.gaugeRange, "gauge-range", "", `range of a gauge that is not in the book, "0 to 600 bar"`)
	f.StringVar(&w.gaugeClass, "gauge-class", "", "its class, 1.6")
	f.StringVar(&w.gaugeStep, "gauge-division", "", `its division, "5 bar"`)
	f.StringVar(&w.with, "with", "", "what a length was measured with, by its id in the book")
	f.StringVar(&w.state, "state", "used", "state of the parts: used, new or reground")
	f.BoolVar(&w.found, "found", false, "the readings are as found, before dismantling")
	for _, name := range []string{"gauge", "bench", "with"} {
		_ = c.RegisterFlagCompletionFunc(name, p.complete(logbook.ThingInstrument))
	}
	_ = c.RegisterFlagCompletionFunc("state", cobra.FixedCompletions([]string{"used", "new", "reground"},
		cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("seat", cobra.FixedCompletions([]string{"dry", "damp", "drop", "runs"},
		cobra.ShellCompDirectiveNoFileComp))
	return c
}

// answer judges the readings on the day of the book.
func (w *weighing) answer(o *opened, engine string) (paper.Paper, error) {
	if err := w.instruments(o); err != nil {
		return paper.Paper{}, err
	}
	text, err := w.record(o, engine)
	if err != nil {
		return paper.Paper{}, err
	}
	rec, slips := logbook.ReadOverhaul("reading", []byte(text))
	for _, s := range slips {
		if !s.Read {
			return paper.Paper{}, slipOf(s)
		}
	}
	out := paper.Paper{Name: "judge", Title: "Judged for valves " + o.book.Engine(engine).Limits.Written +
		" by the limits in force on " + o.report.Today.String()}
	t := paper.Table{Name: "verdicts", Columns: []string{"what", "reading", "verdict", "limit", "uncertainty",
		"chance within", "source"},
		Empty: "no limit is stated for it"}
	for _, v := range judging.OnDemand(o.book).Worked(rec) {
		if v.Written == "" || v.Result == judging.NotMeasured {
			continue
		}
		uncertainty := "not known: no instrument is named"
		switch {
		case v.U > 0:
			uncertainty = fmt.Sprintf("± %.2g %s", v.U, measure.BaseUnit(v.Value.Kind()).Name)
		case !v.Value.Valid():
			uncertainty = "–"
		case v.Instrument != "":
			uncertainty = "not known"
		}
		source := v.Source
		if v.Revision != 0 {
			source += ", in force from " + v.Revision.String()
		}
		t.Add(paper.Text(v.Name), paper.Text(v.Shown()), paper.Text(v.Result.String()),
			paper.Text(dash(v.LimitText)),
			paper.Text(uncertainty), paper.Text(chance(&v)), paper.Placed(dash(source), v.LimitPlace))
		out.Notes = append(out.Notes, v.Working...)
		if v.Why != "" && !slices.Contains(out.Notes, v.Why) {
			out.Notes = append(out.Notes, v.Name+": "+v.Why)
		}
		if v.Result.Out() {
			out.Lead = append(out.Lead, fmt.Sprintf("NOT WITHIN: %s %s, limit %s", v.Name, v.Shown(), dash(v.LimitText)))
		}
		if v.Key == keys.AsLeftOpeningPressure && v.Result.Out() {
			out.Lead = append(out.Lead, "set again: "+v.LimitText)
		}
	}
	for _, f := range checks.Look(o.book, checks.Options{On: o.report.Today}, rec) {
		if f.Place.Path == rec.Path && slices.Contains(ofReadings, f.Check) {
			out.Lead = append(out.Lead, f.Grade.String()+": "+f.Message+"; "+f.Next)
		}
	}
	out.Tables = []paper.Table{t}
	out.Notes = append(out.Notes, oneLine(deferralLine))
	return out, nil
}

// chance is the chance that a value is within its limit, in per cent; a dash beside a safety limit, and where nothing
// is known of the instrument.
func chance(v *judging.Verdict) string {
	if v.U == 0 || v.Safety || v.Result < judging.Within || v.Result > judging.Beyond {
		return "–"
	}
	switch percent := 100 * v.Chance; {
	case percent < 1:
		return "under 1 %"
	case percent > 99:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", percent)
	}
}

// ofReadings are the checks that look at a reading by itself; the others ask for what only a record holds.
var ofReadings = []string{"unit-mistaken", "kilogram-force", "decimals-too-fine", "gauge-range", "readings-spread",
	"test-not-as-stated"}

// judgeKinds are the kinds of things that say by which limits a reading is judged.
var judgeKinds = []logbook.ThingKind{logbook.ThingPosition, logbook.ThingEngine, logbook.ThingHolder,
	logbook.ThingNozzle, logbook.ThingRecord, logbook.ThingLimits}

// engineFor is the engine whose limits hold for what is named; the only type of valve where nothing is.
func (p *program) engineFor(o *opened, what string) (string, error) {
	if what == "" {
		types := o.types()
		if len(types) != 1 {
			return "", use("the ship has several types of valve: name a position, an engine or one of %s",
				strings.Join(types, ", "))
		}
		what = types[0]
	}
	t, err := p.one(o, what, judgeKinds...)
	if err != nil {
		return "", err
	}
	engine := o.engineOf(t)
	switch {
	case engine == "":
		return "", use("%s belongs to no engine of the book: name a position, or an engine", t)
	case o.book.LimitsOf(engine) == nil:
		return "", use("%s has no limits file: nothing can be judged", engine)
	}
	return engine, nil
}

// engineOf is the engine that a thing belongs to: of a part the one it was last on, of limits the first that has them.
func (o *opened) engineOf(t logbook.Thing) string {
	last := func(periods []*logbook.ServicePeriod) string {
		if len(periods) == 0 {
			return ""
		}
		return periods[len(periods)-1].Position.Engine
	}
	switch t.Kind {
	case logbook.ThingPosition, logbook.ThingEngine:
		return t.Position.Engine
	case logbook.ThingHolder:
		return last(o.book.Lives().OfHolder(t.Name))
	case logbook.ThingNozzle:
		return last(o.book.Lives().OfNozzle(t.Name))
	case logbook.ThingRecord:
		rec := o.book.Overhaul(t.Name)
		return cmp.Or(rec.Removed.Engine.Written, rec.Fitted.Engine.Written)
	case logbook.ThingLimits:
		for _, e := range o.book.Vessel.Engines {
			if e.Limits.Written == t.Name {
				return e.ID.Written
			}
		}
	}
	return ""
}

// known puts the instruments that the flags name as the book spells them.
func (w *weighing) known(p *program, o *opened) error {
	for _, id := range []*string{&w.gauge, &w.with, &w.bench} {
		if *id == "" {
			continue
		}
		t, err := p.one(o, *id, logbook.ThingInstrument)
		if err != nil {
			return err
		}
		*id = t.Name
	}
	return nil
}

// described is the id of a gauge that is described on the command line.
const described = "the gauge described"

// instruments adds a described gauge to the book as read, and finds those that are named.
func (w *weighing) instruments(o *opened) error {
	if w.gaugeRange != "" || w.gaugeClass != "" || w.gaugeStep != "" {
		if w.gauge != "" {
			return use("--gauge %s: either a gauge of the book, or a description", w.gauge)
		}
		if w.gaugeRange == "" || w.gaugeClass == "" {
			return use("a gauge is described by --gauge-range and --gauge-class, and --gauge-division where it is known")
		}
		i, err := w.describe()
		if err != nil {
			return err
		}
		o.book.Instruments[described], w.gauge = i, described
	}
	var benches []string
	for id, i := range o.book.Instruments {
		if i.Oil.Viscosity40.Quantity.Valid() {
			benches = append(benches, id)
		}
	}
	if w.bench == "" && len(benches) == 1 {
		w.bench = benches[0]
	}
	return nil
}

// describe is a gauge by its range, class and division, read as its file would be.
func (w *weighing) describe() (*logbook.Instrument, error) {
	text := fmt.Sprintf("---\nid: %q\nkind: gauge\nmeasures: pressure\nrange: %s\nclass: %s\n", described,
		quoted(w.gaugeRange), quoted(w.gaugeClass))
	if w.gaugeStep != "" {
		text += "division: " + quoted(w.gaugeStep) + "\n"
	}
	i, slips := logbook.ReadInstrument("gauge", []byte(text+"---\n"))
	for _, s := range slips {
		if !s.Read {
			return nil, slipOf(s)
		}
	}
	switch {
	case !i.Range.Low.Valid() || !i.Range.High.Valid() || i.Range.Kind() != measure.Pressure:
		return nil, use("--gauge-range %s: both ends and the unit, \"0 to 600 bar\"", w.gaugeRange)
	case !(i.Class.Value > 0):
		return nil, use("--gauge-class %s: the class as it stands on the dial, 1.6", w.gaugeClass)
	case w.gaugeStep != "" && i.Division.Quantity.Kind() != measure.Pressure:
		return nil, use("--gauge-division %s: a number with its unit, \"5 bar\"", w.gaugeStep)
	}
	return i, nil
}

// record writes the readings as a record would hold them.
func (w *weighing) record(o *opened, engine string) (string, error) {
	day := o.report.Today.String()
	test, measured := []string{"date: " + day}, []string{}
	add := func(list *[]string, key, value string) {
		if value != "" {
			*list = append(*list, key+": "+value)
		}
	}
	with := func(key, value string) {
		value = quoted(value)
		if value != "" && w.with != "" {
			value = fmt.Sprintf("{value: %s, with: %q}", value, w.with)
		}
		add(&measured, key, value)
	}
	add(&test, "bench", quoted(w.bench))
	add(&test, "gauge", quoted(w.gauge))
	add(&test, "oil", quoted(w.oil))
	if len(w.openings) > 0 {
		all := make([]string, len(w.openings))
		for i, x := range w.openings {
			all[i] = quoted(x)
		}
		add(&test, "opening_pressure", "["+strings.Join(all, ", ")+"]")
	}
	begin, _ := measure.Parse(w.from, measure.Pressure) // what cannot be read is told with the record
	end, _ := measure.Parse(w.to, measure.Pressure)
	if begin.Valid() && end.Valid() && begin.Compare(end) <= 0 {
		return "", use("--from %s is not above --to %s, and the pressure falls while it is timed: are the two exchanged?",
			w.from, w.to)
	}
	var leak []string
	add(&leak, "from", quoted(w.from))
	add(&leak, "to", quoted(w.to))
	add(&leak, "time", quoted(w.leakDown))
	if w.leakDown != "" {
		add(&test, "leak_down", "{"+strings.Join(leak, ", ")+"}")
	}
	if w.seat != "" {
		add(&test, "seat", "{state: "+quoted(w.seat)+"}")
	}
	with("lift", w.lift)
	with("holder_wear", w.wear)
	with("seat_diameter", w.seatDiameter)
	if len(w.openings) == 0 && w.leakDown == "" && w.seat == "" && len(measured) == 0 {
		return "", use("no reading is given: --opening, --leak-down, --seat, --lift, --holder-wear or --seat-diameter")
	}
	block := "as_left"
	if w.found {
		block = "as_found"
	}
	text := fmt.Sprintf("---\nremoved: {engine: %q, date: %s}\n%s:\n  %s\n", engine, day, block,
		strings.Join(test, "\n  "))
	if len(measured) > 0 {
		text += "measured:\n  " + strings.Join(measured, "\n  ") + "\n"
	}
	switch w.state {
	case "used":
	case "new":
		text += "decided: {spring: renew}\n"
	case "reground":
		text += "decided: {nozzle: grind}\n"
	default:
		return "", use("--state %s: used, new or reground", w.state)
	}
	return text + "---\n", nil
}

// slipOf says what is wrong with a reading that was given, in words for the command line.
func slipOf(s logbook.Problem) error {
	key := s.Key[strings.LastIndexByte(s.Key, '.')+1:]
	key, _, _ = strings.Cut(key, "[")
	text := fmt.Sprintf("%s %q: expected %s", strings.ReplaceAll(key, "_", " "), s.Found, s.Expected)
	if typed := s.Proposal().String(); typed != "" {
		text += "; " + typed
	}
	return use("%s", text)
}

// quoted is a text as a record holds it, so that nothing in it is taken for the writing of the record.
func quoted(text string) string {
	if text == "" {
		return ""
	}
	return fmt.Sprintf("%q", text)
}
