// Package founding writes the first files of a book: the vessel with her engines, the opening state, a limits file for
// each type of valve with every limit blank and a place for its page, the tables with their headers, all taught by
// remarks. No number of any maker is known here. It touches no disk and no history.
//
// Begin with Files.
package founding

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/measure"
	"needlebook/logbook/schema"
)

// Book is what must be known to begin.
type Book struct {
	Vessel  string
	From    logbook.Day // first day of the book
	Engines []Engine
	Fitted  []Valve // what sits in the positions on that day; may be filled in later
	Rack    []Valve // what lies ready spare
	Crew    []Person
	Bench   Bench // the test bench; none where its id is empty
	// Languages are those of labels on cards, the one taken without asking first; none where they are the records'.
	Languages []string
}

// Bench is the test bench with its oil, by which leak-down times compare; what is not known stays empty.
type Bench struct {
	ID, Oil              string // short name, and what the oil is
	At40, At100, Density string // viscosities at 40 and 100 °C and density at 15 °C, with their units
}

// Engine is one engine, in-line or vee.
type Engine struct {
	ID, Name, Type string
	Cylinders      []string // in their order: 1, 2, 3 or A1, A2, B1, B2
	From           string   // end from which they are counted
	Interval       string   // running hours between overhauls as the owner set them, with unit; may be empty
	ValvesOf       string   // engine in whose cylinders these are further valves, as pilot valves; mostly empty
}

// Valve is a valve of the opening state; what is not known stays empty.
type Valve struct {
	Engine, Cylinder, Holder, Nozzle string
	Counter, Since, Left             string // with their units
	Marking                          string
	For                              string // engine that a ready spare is meant for
	Remark                           string // what an older list says of it, in any language
}

// Person is one line of the crew list.
type Person struct{ ID, Name, Rank string }

// File is one file of the book.
type File struct {
	Path, Text string
}

var (
	bank  = regexp.MustCompile(`^[A-Za-z]+$`) // a digit at its end would be read as the cylinder's
	named = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]*$`)
)

// Cylinders are the names of an engine's cylinders: 1 to each, or with banks A1, A2 … B1, B2 …
func Cylinders(each int, banks []string) ([]string, error) {
	if each < 1 || each > 24 {
		return nil, fmt.Errorf("%d cylinders in one row: 1 to 24", each)
	}
	var names []string
	if len(banks) == 0 {
		banks = []string{""}
	}
	for i, b := range banks {
		if b != "" && !bank.MatchString(b) {
			return nil, fmt.Errorf("bank %q: letters only, as A and B", b)
		}
		if slices.ContainsFunc(banks[:i], func(other string) bool { return strings.EqualFold(other, b) }) {
			return nil, fmt.Errorf("bank %s is named twice", b)
		}
		for i := range each {
			names = append(names, b+strconv.Itoa(i+1))
		}
	}
	return names, nil
}

// Misfit is a value that a file of the book cannot be read with.
type Misfit struct{ logbook.Problem }

func (m Misfit) Error() string {
	key := m.Key[strings.LastIndexByte(m.Key, '.')+1:]
	text := strings.TrimSpace(fmt.Sprintf("%s %q: expected %s", key, m.Found, m.Expected))
	if typed := m.Proposal().String(); typed != "" {
		text += "; " + typed
	}
	return text
}

// Check says what does not fit, in words for the person who founds the book; a Misfit where it is a value.
func (b Book) Check() error {
	if strings.TrimSpace(b.Vessel) == "" {
		return fmt.Errorf("the vessel has no name")
	}
	if len(b.Engines) == 0 {
		return fmt.Errorf("the vessel has no engine")
	}
	seen, types := map[string]bool{}, map[string]string{}
	for _, e := range b.Engines {
		if !named.MatchString(e.ID) {
			return fmt.Errorf("engine %q: an id of letters, digits, dots and dashes, as every record repeats it; its name on "+
				"board is free", e.ID)
		}
		file := logbook.FileName(e.Type)
		if !named.MatchString(file) {
			return fmt.Errorf("engine %s of type %q: a type that begins with a letter or digit", e.ID, e.Type)
		}
		if other := types[file]; other != "" && !strings.EqualFold(other, e.Type) {
			return fmt.Errorf("types %q and %q would share one limits file: spell them alike, or further apart", other, e.Type)
		}
		types[file] = e.Type
		if seen[logbook.FileName(e.ID)] {
			return fmt.Errorf("two engines are named %s", e.ID)
		}
		seen[logbook.FileName(e.ID)] = true
		if host := b.host(e); host == nil || e.ValvesOf != "" && (host.ID == e.ID || host.ValvesOf != "") {
			return fmt.Errorf("engine %s: valves of %q: an engine with valves of its own is expected", e.ID, e.ValvesOf)
		}
	}
	taken := map[logbook.Position]bool{}
	for _, v := range b.Fitted {
		i := slices.IndexFunc(b.Engines, func(e Engine) bool { return e.ID == v.Engine })
		if i < 0 || !slices.Contains(b.CylindersOf(b.Engines[i]), v.Cylinder) {
			return fmt.Errorf("opening state: there is no cylinder %s on engine %s", v.Cylinder, v.Engine)
		}
		position := logbook.Position{Engine: v.Engine, Cylinder: v.Cylinder}
		if taken[position] {
			return fmt.Errorf("opening state: two valves in %s: a cylinder holds one", position)
		}
		taken[position] = true
	}
	for _, v := range b.Rack {
		if v.For != "" && !slices.ContainsFunc(b.Engines, func(e Engine) bool { return e.ID == v.For }) {
			return fmt.Errorf("opening state: spare %s is for %s, and there is no such engine", v.Holder, v.For)
		}
	}
	if err := b.onePlaceEach(); err != nil {
		return err
	}
	if b.Bench.ID != "" && !named.MatchString(b.Bench.ID) {
		return fmt.Errorf("bench %q: an id of letters, digits, dots and dashes, as every record repeats it", b.Bench.ID)
	}
	problems := logbook.Problems("book.md", []byte(b.vessel()))
	if b.Bench.ID != "" {
		problems = append(problems, logbook.Problems(b.Bench.path(), []byte(b.Bench.file()))...)
	}
	for _, p := range problems {
		if !p.Read {
			return Misfit{p}
		}
	}
	return nil
}

// With is the book with one engine more.
func (b Book) With(e Engine) Book {
	b.Engines = append(slices.Clone(b.Engines), e)
	return b
}

// host is the engine in whose cylinders the valves of a line of engines are: mostly itself; nil where there is none.
func (b Book) host(e Engine) *Engine {
	if e.ValvesOf == "" {
		return &e
	}
	if i := slices.IndexFunc(b.Engines, func(h Engine) bool { return h.ID == e.ValvesOf }); i >= 0 {
		return &b.Engines[i]
	}
	return nil
}

// counterOf is the engine whose hour counter is that of a valve.
func (b Book) counterOf(v Valve) string {
	for _, e := range b.Engines {
		if host := b.host(e); e.ID == v.Engine && host != nil {
			return host.ID
		}
	}
	return ""
}

// CylindersOf are the cylinders of an engine, or of the one in whose cylinders its valves are.
func (b Book) CylindersOf(e Engine) []string {
	if host := b.host(e); host != nil {
		return host.Cylinders
	}
	return nil
}

// onePlaceEach says which holder or nozzle is stated in two places.
func (b Book) onePlaceEach() error {
	first := map[[2]string]string{}
	for _, v := range slices.Concat(b.Fitted, b.Rack) {
		where := v.place()
		for _, part := range [][2]string{{"holder", v.Holder}, {"nozzle", v.Nozzle}} {
			if there := first[part]; there != "" && part[1] != "" {
				return fmt.Errorf("%s %s is in %s already, and cannot be in %s too: read the stamps again, or leave it empty",
					part[0], part[1], there, where)
			}
			first[part] = where
		}
	}
	return nil
}

// tidy is book.md with units and numbers spelled as the book spells them, where that leaves no choice.
func (b Book) tidy() string {
	text, _ := edit.Correct("book.md", []byte(b.vessel()), func(string) bool { return true })
	return string(text)
}

// Files are the first files of the book, by path. An error is something that does not fit, in words.
func Files(b Book) ([]File, error) {
	if err := b.Check(); err != nil {
		return nil, err
	}
	files := []File{{"book.md", b.tidy()}, {"readme.md", readme}, {"crew.csv", b.crew()},
		{"stores/stock.csv", header("stock")}, {"fuel/bunkers.csv", header("bunkers")},
		{".gitignore", logbook.IgnoreFile()}}
	types := map[string]bool{}
	for _, e := range b.Engines {
		name := logbook.FileName(e.Type)
		if !types[name] {
			files = append(files, File{path.Join("limits", name+".md"), b.limits(e.Type)})
		}
		types[name] = true
		if e.ValvesOf != "" {
			continue // the counter and the tables are those of its engine
		}
		files = append(files, File{path.Join("hours", logbook.FileName(e.ID)+".csv"), header("hours") + b.reading(e)},
			File{path.Join("running", logbook.FileName(e.ID)+".csv"), header("running")})
	}
	if b.Bench.ID != "" {
		path, text := b.Bench.path(), b.Bench.file()
		tidy, _ := edit.Correct(path, []byte(text), func(string) bool { return true })
		files = append(files, File{path, string(tidy)})
	}
	for _, f := range schema.Files() {
		files = append(files, File{f.Path, string(f.Text)})
	}
	slices.SortFunc(files, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	for _, f := range files {
		if problems := logbook.Problems(f.Path, []byte(f.Text)); strings.HasSuffix(f.Path, ".md") && f.Path != "readme.md" &&
			len(problems) > 0 {
			return nil, Misfit{problems[0]}
		}
	}
	return files, nil
}

// reading is the first line of an engine's counter, where the opening state tells it.
func (b Book) reading(e Engine) string {
	for _, v := range b.Fitted {
		if q, _ := measure.Parse(v.Counter, measure.Hours); q.Valid() && b.counterOf(v) == e.ID {
			return b.From.String() + "," + q.Number() + ",book begins\n"
		}
	}
	return ""
}

func header(kind string) string {
	var names []string
	for _, f := range logbook.KindNamed(kind).Fields {
		names = append(names, f.Key)
	}
	return strings.Join(names, ",") + "\n"
}

func (b Book) crew() string {
	text := header("crew")
	for _, p := range b.Crew {
		text += cell(p.ID) + "," + cell(p.Name) + "," + cell(p.Rank) + "," + b.From.String() + ",\n"
	}
	return text
}

func cell(s string) string {
	if strings.ContainsAny(s, ",\"\n\r") {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}

// quote is a text as YAML reads it back whatever it holds.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", " ", "\r", " ", "\t", " ").Replace(s) + `"`
}
