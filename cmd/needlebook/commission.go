package main

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/logbook/exchange"
	"needlebook/logbook/founding"
	"needlebook/logbook/intake"
	"needlebook/logbook/language"
	"needlebook/logbook/signers"
)

// founder is what commission was told by flags; what is missing it asks for.
type founder struct {
	vessel, from, id, name, key, opening, bench string
	engines, signers, languages                 []string
	plain                                       bool
	talk                                        *interview
	keys                                        map[string]*signers.Key // those that have signed, by their file
	signing                                     *signers.Key
	letIn                                       []letIn  // further signers
	listed                                      []string // what a list of the starting state was read as; nil for none
	p                                           *program
}

// founderPost is the post of who founds a book: what anybody else founds is never proved.
const founderPost = "superintendent"

// letIn is a further signer.
type letIn struct{ id, post, file, name string }

func (p *program) commission() *cobra.Command {
	f := &founder{p: p}
	c := &cobra.Command{
		Use:   "commission DIR",
		Short: "Start a book: vessel, engines, limits to fill in, first signers, founding commit",
		Long: `Starts the book of one vessel in a new or empty folder. It asks first for the
key that will sign, and tries it. Whoever founds a book is its first
superintendent, who alone may change limits and book.md later.

What no flag states is asked for, one question a line. Each answer is kept in
DIR.answers until the book is written: if you are cut off, type the same
command again, and it goes on where it stopped. At the end all answers are
shown, and each can be changed by its number before anything is written.

It writes book.md, a limits file for each type of engine with every limit
blank, the tables with their headers, the first signers, the schemas for
editors, and a .gitignore for what computers drop. Then it signs the founding
commit with the founder's key. Nothing is ever overwritten.

An engine is ID,type=…,cylinders=N[,banks=A B][,from=free
end][,name=…][,interval=2000 h]. N counts one row: a vee engine of twelve has
cylinders=6 and two banks. Further valves in its cylinders, as pilot valves,
are a line of their own: ID,type=…,valves_of=ME1[,name=…][,interval=…].

A further signer is ID:POST:KEY.pub[:NAME]; POST is engineer, chief,
superintendent or receiver.

--bench states the test bench and its oil, by which leak-down times compare:
ID[,oil=NAME][,viscosity_40=…][,viscosity_100=…][,density_15=…], as the data
sheet of the oil has them.

--opening names a list of what was fitted where, a CSV or a workbook, with the
columns engine, cylinder, holder, nozzle, counter, since, left, marking, for,
remark, units written out. An older list may name them as crews do, in
another language too, and part thousands by points: what it was read as is
shown before anything is written.

Lines without an engine are in the spares rack, for the engine named there. A
remark may be in any language.`,
		Example: `  needlebook commission /books/aurinda
  needlebook commission aurinda --vessel Aurinda --from 2024-01-01 \
    --engine "ME1,type=6QZ31,cylinders=6,from=free end,name=port" \
    --founder s.okonjo --name "S. Okonjo" --key ~/.ssh/id_ed25519 \
    --signer "a.berg:chief:berg.pub:A. Berg" --opening opening.csv
  needlebook commission trial --plain`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return f.found(args[0]) },
	}
	c.Flags().StringVar(&f.vessel, "vessel", "", "name of the vessel")
	c.Flags().StringVar(&f.from, "from", "", "first day of the book, as 2024-01-01")
	c.Flags().StringArrayVar(&f.engines, "engine", nil, "an engine, as described above; may be given again")
	c.Flags().StringSliceVar(&f.languages, "languages", nil, "of labels on bench cards, as es,en (default: en)")
	c.Flags().StringVar(&f.bench, "bench", "", "the test bench and its oil, as described above")
	c.Flags().StringVar(&f.opening, "opening", "", "list of what was fitted where on the first day, CSV or xlsx")
	c.Flags().StringVar(&f.id, "founder", "",
		"id of the founder, who is the book's first superintendent, as records name a person: s.okonjo")
	c.Flags().StringVar(&f.name, "name", "", "name of the founder")
	c.Flags().StringVar(&f.key, "key", "",
		"the founder's ssh key file (ssh-ed25519); a .pub names a key that ssh-agent holds")
	c.Flags().StringArrayVar(&f.signers, "signer", nil, "a further signer, as described above; may be given again")
	c.Flags().BoolVar(&f.plain, "plain", false, "write the files only, without git and signature")
	return c
}

func (f *founder) found(dir string) error {
	if left, err := os.ReadDir(dir); err == nil && len(left) > 0 {
		return use("%q is not empty: name a new or an empty folder", dir)
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	var err error
	if f.talk, err = f.p.interviewed(dir); err != nil {
		return err
	}
	f.keys = map[string]*signers.Key{}
	defer func() {
		for _, k := range f.keys {
			k.Close()
		}
	}()
	stop := f.talk.interrupted()
	defer stop()
	for {
		told := *f // an answer that is changed leaves nothing of the former one
		book, err := told.book()
		if err == nil {
			_, amiss := founding.Files(book)
			var yes bool
			if yes, err = f.talk.agreed(told.stated(book), amiss); err == nil && !yes {
				continue
			}
		}
		if err == nil {
			err = told.write(dir, book)
		}
		if err != nil {
			f.talk.remains()
			return err
		}
		return f.talk.kept.done()
	}
}

// stated is the starting state, as a list gave it, for whoever agrees to it.
func (f *founder) stated(b founding.Book) (lines []string) {
	if f.listed == nil {
		return nil
	}
	lines = append(lines, "What the list was read as:")
	for _, said := range f.listed {
		lines = append(lines, "      "+said)
	}
	for _, v := range slices.Concat(b.Fitted, b.Rack) {
		where := "spare"
		if v.Engine != "" {
			where = v.Engine + "-" + v.Cylinder
		}
		text := fmt.Sprintf("      %s: %s / %s", where, v.Holder, logbook.Dash(v.Nozzle))
		for _, x := range [][2]string{{"counter ", v.Counter}, {"ran ", v.Since}, {"set to ", v.Left}, {"marked ", v.Marking},
			{"for ", v.For}, {"", v.Remark}} {
			if x[1] != "" {
				text += ", " + x[0] + x[1]
			}
		}
		lines = append(lines, text)
	}
	return lines
}

// write writes the book: with its founding commit, or as plain files.
func (f *founder) write(dir string, book founding.Book) error {
	if f.plain {
		files, err := founding.Files(book)
		if err != nil {
			return use("%v", err)
		}
		for _, x := range files {
			if err := edit.Create(filepath.Join(dir, filepath.FromSlash(x.Path)), []byte(x.Text)); err != nil {
				return fmt.Errorf("could not write %q: %w", x.Path, err)
			}
		}
		fmt.Fprintf(f.p.out, "%s: %s, not under git: nothing is proved\n", dir, logbook.Counted(len(files), "file"))
		return nil
	}
	return f.sign(dir, book)
}

// book gathers what must be known, from the flags or by asking: first the key, without which no answer would be of use.
func (f *founder) book() (founding.Book, error) {
	b := founding.Book{}
	err := f.askKey()
	if err != nil {
		return b, err
	}
	if b.Vessel, err = f.ask("vessel", f.vessel, question{"name of the vessel", ""}, nil); err != nil {
		return b, err
	}
	if _, err = f.ask("from", f.from, question{"first day of the book", ", as 2024-01-01"}, func(day string) (err error) {
		b.From, err = dayOf("from", day)
		return err
	}); err != nil {
		return b, err
	}
	asking := len(f.engines) == 0
	if err = f.askLanguages(&b, asking); err == nil && asking {
		err = f.askEngines(&b)
	}
	for _, spec := range f.engines {
		e, err := engineOf(spec)
		if err != nil {
			return b, err
		}
		b.Engines = append(b.Engines, e)
	}
	switch {
	case err != nil:
	case asking:
		err = f.askOpening(&b)
	case f.opening != "":
		err = f.readOpening(&b, f.opening)
	}
	if err == nil {
		err = f.askFounder()
	}
	if err == nil {
		err = f.furtherSigners(asking)
	}
	if err != nil {
		return b, err
	}
	b.Crew = append(b.Crew, founding.Person{ID: f.id, Name: f.name, Rank: founderPost})
	for _, s := range f.letIn {
		rank := s.post
		if rank == "chief" {
			rank = "chief engineer" // as crew lists have it
		}
		b.Crew = append(b.Crew, founding.Person{ID: s.id, Name: s.name, Rank: rank})
	}
	if f.bench != "" {
		b.Bench, err = benchOf(f.bench)
	} else if asking {
		err = f.askBench(&b)
	}
	return b, err
}

// askLanguages asks for the languages of labels, where none is stated and other things are asked for too.
func (f *founder) askLanguages(b *founding.Book, asking bool) error {
	take := func(answer string) error {
		b.Languages = banksOf(answer)
		for _, l := range b.Languages {
			if !slices.Contains(language.Known(), l) {
				return use("language %q: one of %s", l, strings.Join(language.Known(), ", "))
			}
		}
		return nil
	}
	if !asking || len(f.languages) > 0 {
		return take(strings.Join(f.languages, " "))
	}
	var known []string
	for _, l := range language.Known() {
		known = append(known, l+" ("+language.Name(l)+")")
	}
	return f.talk.until(question{"languages of the bench cards",
		", the usual one first: " + strings.Join(known, ", ") + " (empty: en)"}, take)
}

// askKey finds the key that will sign; where something will be asked anyway, it is asked for.
func (f *founder) askKey() error {
	if f.plain {
		return nil
	}
	take := func(file string) (err error) {
		if f.signing = f.keys[file]; f.signing == nil {
			if f.signing, err = f.p.signingKey(file); err == nil {
				f.keys[file] = f.signing
				fmt.Fprintf(f.p.err, "%s signs (%s)\n", f.signing.Fingerprint(), f.signing.From)
			}
		}
		return err
	}
	if f.key != "" || f.vessel != "" && f.from != "" && len(f.engines) > 0 && f.id != "" {
		return take(f.key)
	}
	return f.talk.until(question{"file of the key that will sign",
		" (empty: the one that git, the agent or .ssh has)"}, take)
}

// askFounder asks who founds the book.
func (f *founder) askFounder() (err error) {
	asked := f.id == ""
	if f.id, err = f.ask("founder", f.id, question{"your id",
		", as records name a person: s.okonjo (you are the book's first superintendent)"},
		func(id string) error { return named(id, founderPost) }); err != nil {
		return err
	}
	if asked && f.name == "" {
		f.name, err = f.talk.answer(question{"your name", ", as S. Okonjo (empty: " + f.id + ")"})
	}
	f.name = cmp.Or(f.name, f.id)
	return err
}

// named says what keeps an id from being a person's.
func named(id, post string) error {
	if _, err := signers.RolesOf(id); err == nil {
		return use("%q is a post; the id is a person's, as s.okonjo", id)
	}
	return signers.Named(id + "@" + post)
}

// furtherSigners are those of the flags, and those that are asked for.
func (f *founder) furtherSigners(asking bool) error {
	for _, spec := range f.signers {
		parts := signerParts(spec)
		if len(parts) < 3 {
			return use("--signer %s: ID:POST:KEY.pub[:NAME]", spec)
		}
		s := letIn{parts[0], parts[1], parts[2], parts[0]}
		if len(parts) == 4 {
			s.name = parts[3]
		}
		f.letIn = append(f.letIn, s)
	}
	for n := 1; asking; n++ {
		of := "signer " + strconv.Itoa(n) + ": "
		s := letIn{post: "engineer"}
		err := f.talk.until(question{of + "id", ", as a.berg (empty: no more)"}, func(id string) error {
			if s.id = id; id == "" {
				return nil
			}
			return named(id, s.post)
		})
		if err != nil || s.id == "" {
			return err
		}
		if s.name, err = f.talk.answer(question{of + "name", ", as A. Berg (empty: " + s.id + ")"}); err != nil {
			return err
		}
		s.name = cmp.Or(s.name, s.id)
		if err := f.talk.until(question{of + "post", ", engineer, chief, superintendent or receiver"},
			func(post string) error {
				s.post = post
				_, err := signers.RolesOf(post)
				return err
			}); err != nil {
			return err
		}
		if !f.plain {
			if err := f.talk.until(question{of + "file of the public key", ", ending in .pub"}, func(file string) error {
				s.file = file
				_, err := f.enrol(nil, s, time.Now())
				return err
			}); err != nil {
				return err
			}
		}
		f.letIn = append(f.letIn, s)
	}
	return nil
}

// askBench asks for the test bench and its oil.
func (f *founder) askBench(b *founding.Book) error {
	x := &b.Bench
	for _, q := range []struct {
		value *string
		question
	}{
		{&x.ID, question{"test bench", ", short name as B-1 (empty: none)"}},
		{&x.Oil, question{"its test oil", " (empty: not known)"}},
		{&x.At40, question{"viscosity of the oil at 40 °C", ", as 2.6 mm²/s (empty: not known)"}},
		{&x.At100, question{"viscosity of the oil at 100 °C", ", as 1.05 mm²/s (empty: not known)"}},
		{&x.Density, question{"density of the oil at 15 °C", ", as 825 kg/m³ (empty: not known)"}},
	} {
		err := f.talk.until(q.question, func(answer string) error {
			*q.value = answer
			return b.Check()
		})
		if err != nil || x.ID == "" {
			return err
		}
	}
	return nil
}

// benchOf reads a bench as the flag has it.
func benchOf(spec string) (founding.Bench, error) {
	id, rest, _ := strings.Cut(spec, ",")
	b := founding.Bench{ID: strings.TrimSpace(id)}
	of := map[string]*string{"oil": &b.Oil, "viscosity_40": &b.At40, "viscosity_100": &b.At100, "density_15": &b.Density}
	for _, pair := range strings.Split(rest, ",") {
		key, value, _ := strings.Cut(pair, "=")
		to := of[strings.TrimSpace(key)]
		if to == nil && strings.TrimSpace(pair) != "" {
			return b, use("--bench %s: oil, viscosity_40, viscosity_100 or density_15, not %q", b.ID, strings.TrimSpace(key))
		}
		if to != nil {
			*to = strings.TrimSpace(value)
		}
	}
	return b, nil
}

// signerParts are id, post, key file and name of a further signer; the colon behind the letter of a drive belongs to
// the file.
func signerParts(spec string) []string {
	parts := strings.SplitN(spec, ":", 4)
	if len(parts) == 4 && len(parts[2]) == 1 && strings.HasPrefix(strings.ReplaceAll(parts[3], `\`, "/"), "/") {
		file, name, named := strings.Cut(parts[3], ":")
		if parts = append(parts[:2], parts[2]+":"+file); named {
			parts = append(parts, name)
		}
	}
	return parts
}

// ask is the flag's value, or the answer to a question; take, where there is one, says what is wrong with it. No answer
// is wrong use.
func (f *founder) ask(flag, value string, q question, take func(answer string) error) (string, error) {
	told := func(answer string) error {
		value = answer
		switch {
		case answer == "":
			return use("no answer to %q: give --%s", q.name, flag)
		case take == nil:
			return nil
		}
		return take(answer)
	}
	if value != "" {
		return value, told(value)
	}
	err := f.talk.until(q, told)
	return value, err
}

func (f *founder) askEngines(b *founding.Book) error {
	for n := 1; ; n++ {
		e := founding.Engine{Type: "T", Cylinders: []string{"1"}} // until it is asked for
		if len(b.Engines) > 0 {
			e.Type = b.Engines[0].Type
		}
		fits := func() error { return b.With(e).Check() }
		of := "engine " + strconv.Itoa(n) + ": "
		err := f.talk.until(question{of + "short name", ", as ME1 (empty: no more)"}, func(id string) error {
			e.ID = id
			switch {
			case id != "":
				return fits()
			case len(b.Engines) == 0:
				return use("no engine named: give --engine")
			}
			return nil
		})
		if err != nil || e.ID == "" {
			return err
		}
		each := 0
		if err := f.each([]asked{
			{question{of + "type", ", as on its name plate"}, func(s string) error { e.Type = s; return fits() }},
			{question{of + "cylinders in one row", ""}, func(s string) (err error) {
				if each, err = strconv.Atoi(s); err != nil {
					return use("cylinders %q: a number, of one row", s)
				}
				e.Cylinders, err = founding.Cylinders(each, nil)
				return err
			}},
			{question{of + "banks of a vee engine", ", as A B (empty: in line)"}, func(s string) (err error) {
				e.Cylinders, err = founding.Cylinders(each, banksOf(s))
				return err
			}},
			{question{of + "end from which they are counted", ", as free end"}, func(s string) error {
				if e.From = s; s == "" {
					return use("an end is needed, as free end or flywheel: cylinder 1 stands there")
				}
				return nil
			}},
			{question{of + "name on board", " (empty: none)"}, func(s string) error { e.Name = s; return nil }},
			{question{of + betweenOverhauls, betweenHint}, func(s string) error { e.Interval = s; return fits() }},
		}); err != nil {
			return err
		}
		b.Engines = append(b.Engines, e)
		if err := f.askFurther(b, e); err != nil {
			return err
		}
	}
}

const (
	betweenOverhauls = "hours between overhauls of its valves"
	betweenHint      = ", as 2000 h (empty: not set)"
)

// asked is a question and what takes its answer.
type asked struct {
	question
	take func(answer string) error
}

// each asks one question after the other.
func (f *founder) each(all []asked) error {
	for _, q := range all {
		if err := f.talk.until(q.question, q.take); err != nil {
			return err
		}
	}
	return nil
}

// askFurther asks for further valves in the cylinders of an engine, as pilot valves: a line of engines for each kind.
func (f *founder) askFurther(b *founding.Book, host founding.Engine) error {
	for n := 2; ; n++ {
		e := founding.Engine{ID: host.ID + "-" + strconv.Itoa(n), ValvesOf: host.ID, Type: host.Type} // until it is asked for
		fits := func() error { return b.With(e).Check() }
		of := host.ID + ", valve " + strconv.Itoa(n) + " of each cylinder: "
		err := f.talk.until(question{of + "what it is called", ", as pilot valves (empty: no such valve)"},
			func(s string) error { e.Name = s; return nil })
		if err != nil || e.Name == "" {
			return err
		}
		id := host.ID + "." + strconv.Itoa(n)
		if letter := strings.ToUpper(e.Name[:1]); letter >= "A" && letter <= "Z" {
			id = host.ID + letter
		}
		kind := host.Type + " " + e.Name
		if err := f.each([]asked{
			{question{of + "short name", " (empty: " + id + ", so that one of them is in " + id + "-" + host.Cylinders[0] + ")"},
				func(s string) error { e.ID = cmp.Or(s, id); return fits() }},
			{question{of + "type", ", as on its holder (empty: " + kind + ")"},
				func(s string) error { e.Type = cmp.Or(s, kind); return fits() }},
			{question{of + betweenOverhauls, betweenHint}, func(s string) error { e.Interval = s; return fits() }},
		}); err != nil {
			return err
		}
		b.Engines = append(b.Engines, e)
	}
}

// banksOf are names as people list them, of an engine's banks: A B, or A, B, or A/B.
func banksOf(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;/+&\t", r) })
}

// askOpening asks for a list of what sat where, else for the valves. A list that does not fit can be corrected while
// the question waits: no other answer is lost.
func (f *founder) askOpening(b *founding.Book) error {
	file := f.opening
	take := func(answer string) error {
		if file = answer; file == "" {
			return nil
		}
		return f.readOpening(b, file)
	}
	err := take(file)
	if err != nil {
		fmt.Fprintf(f.p.err, "  %v\n", err)
	}
	if err != nil || file == "" {
		err = f.talk.until(question{"list of what was fitted where",
			", a CSV or a workbook; correct it and name it again (empty: asked one by one)"}, take)
	}
	if err != nil || file != "" {
		return err
	}
	return f.askValves(b)
}

// askValves asks what sat where, cylinder by cylinder; what is not known is left out, and can be written into book.md
// later.
func (f *founder) askValves(b *founding.Book) error {
	counters := map[string]string{} // by engine
	for _, e := range b.Engines {
		v := founding.Valve{Engine: e.ID, Cylinder: b.CylindersOf(e)[0], Counter: counters[e.ValvesOf]}
		if e.ValvesOf == "" {
			if err := f.askValue(b, &v, &v.Counter, question{e.ID + ": hour counter on the first day",
				", as 41250 h (empty: state what sat where later, in book.md)"}); err != nil {
				return err
			}
			counters[e.ID] = v.Counter
		}
		if v.Counter == "" {
			continue
		}
		for _, c := range b.CylindersOf(e) {
			v := founding.Valve{Engine: e.ID, Cylinder: c, Counter: v.Counter}
			if err := f.askValve(b, &v, e.ID+"-"+c+": "); err != nil {
				return err
			}
			if v.Holder != "" {
				b.Fitted = append(b.Fitted, v)
			}
		}
	}
	for len(b.Fitted) > 0 {
		var v founding.Valve
		where := "spare " + strconv.Itoa(len(b.Rack)+1) + ": "
		if err := f.askValve(b, &v, where); err != nil || v.Holder == "" {
			return err
		}
		b.Rack = append(b.Rack, v)
	}
	return nil
}

// askValve asks for one valve; its holder stays empty where it is not known.
func (f *founder) askValve(b *founding.Book, v *founding.Valve, where string) error {
	hint := " (empty: not known)"
	if v.Engine == "" {
		hint = " (empty: no more)"
	}
	err := f.askValue(b, v, &v.Holder, question{where + "serial of the holder", hint})
	if err != nil || v.Holder == "" {
		return err
	}
	values := []struct {
		value *string
		question
	}{
		{&v.Nozzle, question{where + "serial of the nozzle", " (empty: not known)"}},
		{&v.Left, question{where + "opening pressure it was set to", ", as 320 bar (empty: not known)"}},
		{&v.Since, question{where + "hours it had run by that day", ", as 900 h (empty: not known)"}},
		{&v.Remark, question{where + "remark", ", in any language (empty: none)"}},
	}
	for _, x := range values {
		if v.Engine == "" && x.value == &v.Since {
			if !severalTypes(b) {
				continue // a spare does not run
			}
			x.value, x.question = &v.For, question{where + "engine that it is for", ", as " + b.Engines[0].ID +
				" (empty: not known)"}
		}
		if err := f.askValue(b, v, x.value, x.question); err != nil {
			return err
		}
	}
	return nil
}

// severalTypes says that a valve in the spares rack may be of more than one type.
func severalTypes(b *founding.Book) bool {
	return slices.ContainsFunc(b.Engines, func(e founding.Engine) bool {
		return !strings.EqualFold(e.Type, b.Engines[0].Type)
	})
}

// askValue asks for one value of a valve.
func (f *founder) askValue(b *founding.Book, v *founding.Valve, value *string, q question) error {
	return f.talk.until(q, func(answer string) error {
		if *value = answer; v.Holder == "" && v.Counter == "" {
			return nil
		}
		return fits(b, *v)
	})
}

// fits says what is amiss with one valve of the opening state, beside those that are stated already.
func fits(b *founding.Book, v founding.Valve) error {
	with := founding.Book{Vessel: b.Vessel, From: b.From, Engines: b.Engines, Fitted: b.Fitted, Rack: b.Rack}
	if v.Engine == "" {
		with.Rack = append(slices.Clone(b.Rack), v)
	} else {
		with.Fitted = append(slices.Clone(b.Fitted), v)
	}
	return with.Check()
}

// engineOf reads an engine as the flag has it.
func engineOf(spec string) (founding.Engine, error) {
	id, rest, _ := strings.Cut(spec, ",")
	e := founding.Engine{ID: strings.TrimSpace(id)}
	each, banks := 0, []string(nil)
	for _, pair := range strings.Split(rest, ",") {
		key, value, _ := strings.Cut(pair, "=")
		value = strings.TrimSpace(value)
		switch strings.TrimSpace(key) {
		case "type":
			e.Type = value
		case "cylinders":
			n, err := strconv.Atoi(value)
			if err != nil {
				return e, use("engine %s: cylinders=%s: a number, of one row", e.ID, value)
			}
			each = n
		case "banks":
			banks = banksOf(value)
		case "from":
			e.From = value
		case "name":
			e.Name = value
		case "interval":
			e.Interval = value
		case "valves_of":
			e.ValvesOf = value
		default:
			return e, use("engine %s: %q: type=, cylinders=, banks=, from=, name=, interval= or valves_of=", e.ID, pair)
		}
	}
	if e.ValvesOf != "" {
		if e.Type == "" || each != 0 || e.From != "" || banks != nil {
			return e, use("engine %s: type= and valves_of= are needed; the cylinders are those of %s", e.ID, e.ValvesOf)
		}
		return e, nil
	}
	if e.Type == "" || each == 0 || e.From == "" {
		return e, use("engine %s: type=, cylinders= and from= (the end they are counted from) are needed", e.ID)
	}
	var err error
	if e.Cylinders, err = founding.Cylinders(each, banks); err != nil {
		return e, use("engine %s: %v", e.ID, err)
	}
	return e, nil
}

// readOpening reads a list of the starting state. Every line that does not fit is said, not only the first.
func (f *founder) readOpening(b *founding.Book, file string) error {
	src, err := budget.Read(file, intake.MaxBytes)
	if err != nil {
		return use("--opening: %v", err)
	}
	list, err := intake.ReadStarting(src)
	if err != nil {
		return use("--opening %s: %v", file, err)
	}
	var amiss []string
	b.Fitted, b.Rack = nil, nil
	for _, l := range list.Lines {
		v := founding.Valve{Engine: engineCalled(b, l), Cylinder: l.Of["cylinder"],
			Holder: l.Of["holder"], Nozzle: l.Of["nozzle"],
			Counter: l.Of["counter"], Since: l.Of["since"], Left: l.Of["left"], Marking: l.Of["marking"], For: l.Of["for"],
			Remark: l.Of["remark"]}
		err := fits(b, v)
		if v.Holder == "" {
			err = errors.New("no holder; leave the line out where it is not known")
		}
		switch {
		case err != nil:
			amiss = append(amiss, fmt.Sprintf("--opening %s line %d: %v", file, l.Number, err))
		case v.Engine == "":
			b.Rack = append(b.Rack, v)
		default:
			b.Fitted = append(b.Fitted, v)
		}
	}
	if amiss != nil {
		return use("%s", strings.Join(amiss, "\n"))
	}
	f.listed = append([]string{}, list.Read...)
	return nil
}

// engineCalled is the engine of a line of a list: by its id, by its name on board, or, where a cylinder is named and
// the vessel has one engine, that one.
func engineCalled(b *founding.Book, l intake.StartingLine) string {
	called, only := l.Of["engine"], ""
	for _, e := range b.Engines {
		if strings.EqualFold(called, e.ID) || called != "" && strings.EqualFold(called, e.Name) {
			return e.ID
		}
		if e.ValvesOf == "" && only != "" {
			only = "?"
		} else if e.ValvesOf == "" {
			only = e.ID
		}
	}
	if called == "" && l.Of["cylinder"] != "" && only != "?" {
		return only
	}
	return called
}

// sign writes the book with its founding commit.
func (f *founder) sign(dir string, book founding.Book) error {
	now := time.Now()
	register, err := signers.Enrol(nil, f.id+"@"+founderPost, founderPost, f.signing.PublicKey(),
		now.Truncate(time.Minute).Add(-time.Minute), time.Time{}, f.name)
	if err != nil {
		return use("%v", err)
	}
	for _, s := range f.letIn {
		if register, err = f.enrol(register, s, now); err != nil {
			return err
		}
	}
	files, err := founding.Files(book)
	if err != nil {
		return use("%v", err)
	}
	changes := []exchange.Change{{Path: ".gitattributes", Text: []byte(exchange.Attributes)},
		{Path: signers.Signers, Text: register}}
	for _, x := range files {
		changes = append(changes, exchange.Change{Path: x.Path, Text: []byte(x.Text)})
	}
	slices.SortFunc(changes, func(a, b exchange.Change) int { return strings.Compare(a.Path, b.Path) })
	person := exchange.Person{Name: f.name, Email: f.id + "@" + founderPost, When: now}
	ids, err := exchange.Build(dir,
		[]exchange.Step{{Draft: exchange.Draft{Author: person, Message: "book of " + book.Vessel, Changes: changes,
			Signer: f.signing}}})
	if err != nil {
		return err
	}
	fmt.Fprintf(f.p.out, `%s: %s, founded by %s, signed with %s
founding proof: %s@%s
Write the founding proof down outside this book: with it anybody can verify the book later.
Next: fill in limits/ and, under opening, book.md; then needlebook check --book %s
`, dir, logbook.Counted(len(changes), "file"), f.id, f.signing.Fingerprint(), ids[0], f.signing.Fingerprint(), dir)
	return nil
}

// enrol adds a further signer to the register; a book without git has none, and no key is looked for.
func (f *founder) enrol(register []byte, s letIn, now time.Time) ([]byte, error) {
	if f.plain {
		return register, nil
	}
	public, err := publicKey(s.file)
	if err != nil {
		return nil, use("signer %s: %v", s.id, err)
	}
	if register, err = signers.Enrol(register, s.id+"@"+s.post, s.post, public,
		now.Truncate(time.Minute).Add(-time.Minute), time.Time{}, s.name); err != nil {
		return nil, use("signer %s: %v", s.id, err)
	}
	return register, nil
}
