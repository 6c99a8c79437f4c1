// Command mutants breaks the program on purpose, one small change at a time, and counts which changes the tests notice:
//
//	go run ./.ci/mutants [-n 40] [-seed 1] [-floors] [-quick] [ROOM…]
//	go run ./.ci/mutants -at logbook/trace/register.go:91
//
// A room is a row of the table below: its packages, the tests that are to notice, and the share of mutants that they have to.
// What lives is printed with its place and the change; what nobody can notice, because the program does the same, is named in
// equivalent.txt with its reason, and not counted. Files stay as they are: the changed ones are handed to the compiler over
// them (go test -overlay), all changes of a room in one build, each behind its number, and a file says which is made. So a room
// is compiled once, and a mutant costs no more than the tests that notice it. A change that does not compile is none, and one
// to which no test comes lives without being tried. Tools that are there already change conditions and sums alone, in every
// place of a package; here calls and assignments are dropped and words changed as well, in places drawn by lot, so that a run
// has an end.
//
// What was measured last, by the quick tests alone (-quick), which gives a least share: on 2026-12-01 of 30 in judging, drawn by
// 1301, 25 were noticed (83 %), and of 25 in evidence, drawn by 1302, 19 (76 %). Tests were then written for what lived: all
// five of judging, and five of six of evidence, were made again by hand and are noticed since. Of 25 in checks, drawn by 1402, 15
// (60 %, below the floor: five of the ten that lived change a word of an advice). A second draw of these is still owed, and the
// rooms logbook, tree, trace, exchange and site were not measured by this way of building. On 2026-11-30 of
// 70 in measure, drawn by 77 and 78 and held against its own tests alone, 63 change an answer, and 61 were noticed (97 %). Of 67
// changes made by hand to the checks taken-out, not-theirs-to-change, approver-not-signed, correction-not-as-it-was,
// test-as-left-missing and limit-loosened, 65 change one, and 61 were noticed (94 %).
package main

import (
	"bufio"
	"cmp"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// room is what is mutated together.
type room struct {
	name  string
	dirs  []string // with the packages below them where they end in /...
	also  []string // packages whose tests are to notice as well, asked when the package's own have not
	floor float64  // the least share that is noticed
}

var rooms = []room{
	{"measure", []string{"logbook/measure"}, []string{"logbook"}, 0.85},
	{"judging", []string{"checks/judging"}, []string{"checks"}, 0.85},
	{"logbook", []string{"logbook"}, []string{"checks"}, 0.85},
	{"tree", []string{"logbook/tree"}, []string{"logbook", "logbook/edit"}, 0.85},
	{"trace", []string{"logbook/trace"}, nil, 0.85},
	{"exchange", []string{"logbook/exchange/..."}, []string{"logbook/exchange/repair", "logbook/exchange/joining",
		"logbook/exchange/mail", "logbook/exchange/remote"}, 0.85},
	{"checks", []string{"checks"}, nil, 0.85},
	{"evidence", []string{"checks/evidence"}, []string{"checks/planning", "cmd/needlebook"}, 0.75},
	{"site", []string{"site/..."}, []string{"site"}, 0.75},
}

// first are the tests of a package that notice most in the least time: they are asked before the others.
var first = map[string]string{"checks": "TestWant|TestVessel|TestLooked|TestMoved|TestMeasuredWithin"}

// slow are the tests of a package that take most of its time: they are asked last, and with -quick not at all.
var slow = map[string]string{
	"checks":           "TestEnds|TestHonestVesselsAreQuiet|TestMessagesAreShort|TestNoFileGoesUnread|TestPlanted.*|TestYears.*",
	"cmd/needlebook":   ".*",
	"logbook":          "TestHuge.*|TestReaderReadsWhatStandsThere|TestReaderWithUnsavedTexts",
	"logbook/trace":    "TestConvoys.*|TestDamagedCacheIsHarmless|TestGitAgreesOnGeneratedHistories|TestRandom.*",
	"logbook/exchange": "TestErrorAtEveryOperation|TestKillAtEveryOperation|TestPowerLoss",
	"site": "TestHostileNames|TestLargeBookInSmallPages|TestManyStays|TestOnlyOurs|TestPageSizes|TestPageThatFails|" +
		"TestWider.*",
}

func main() {
	var o options
	flag.IntVar(&o.n, "n", 40, "mutants of each room")
	flag.Uint64Var(&o.seed, "seed", 1, "of the lot")
	flag.StringVar(&o.at, "at", "", "every mutant of one line: FILE:LINE")
	flag.BoolVar(&o.quick, "quick", false, "leave the slow tests out: what is noticed is a least share")
	flag.DurationVar(&o.limit, "limit", 4*time.Minute, "time of the tests of one mutant; what takes longer is noticed")
	floors := flag.Bool("floors", false, "fail where a room notices less than its floor")
	flag.Parse()
	if err := run(o, *floors, flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "mutants:", err)
		os.Exit(1)
	}
}

// options are what was asked for.
type options struct {
	n     int
	seed  uint64
	at    string
	quick bool
	limit time.Duration
}

func run(o options, floors bool, names []string) error {
	same, err := equivalents(filepath.Join(".ci", "mutants", "equivalent.txt"))
	if err != nil {
		return err
	}
	below := false
	for _, r := range rooms {
		if o.at == "" && len(names) > 0 && !slices.Contains(names, r.name) {
			continue
		}
		share, err := r.run(o, same)
		if err != nil {
			return err
		}
		below = below || share < r.floor
	}
	if floors && below {
		return errors.New("a room notices less than its floor")
	}
	return nil
}

// run draws mutants of a room, and gives the share that its tests notice; 1 where none is asked for.
func (r room) run(o options, same map[string]bool) (share float64, err error) {
	list, err := r.mutants()
	if err != nil {
		return 0, err
	}
	list = slices.DeleteFunc(list, func(m mutant) bool {
		return same[m.key()] || o.at != "" && fmt.Sprintf("%s:%d", m.path, m.line) != o.at
	})
	lot := rand.New(rand.NewPCG(o.seed, 1))
	lot.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	tried, killed := 0, 0
	for len(list) > 0 && (o.at != "" || tried < o.n) {
		most := len(list)
		if o.at == "" {
			most = o.n - tried
		}
		var t *trial
		if t, list, err = prepare(list, most); err != nil {
			return 0, err
		}
		k, err := t.killed(r.also, o)
		if err = errors.Join(err, os.RemoveAll(t.dir)); err != nil {
			return 0, err
		}
		tried, killed = tried+len(t.mutants), killed+k
	}
	if tried == 0 {
		return 1, nil
	}
	share = float64(killed) / float64(tried)
	fmt.Printf("%s: %d of %d noticed, %.0f %%, floor %.0f %%, seed %d\n", r.name, killed, tried, 100*share, 100*r.floor, o.seed)
	return share, nil
}

// killed counts the mutants of a trial that the tests notice: those of their own package, then of others, the slow ones last.
func (t *trial) killed(also []string, o options) (n int, err error) {
	alive := map[int]bool{}
	for i := range t.mutants {
		alive[i] = true
	}
	for stage := asFirst; stage <= asLast; stage++ {
		if stage == asLast && o.quick {
			break
		}
		for step, dirs := range [][]string{t.dirs(), also} {
			for _, d := range dirs {
				of := func(i int) bool {
					return alive[i] && (step > 0) != (filepath.ToSlash(filepath.Dir(t.mutants[i].path)) == d)
				}
				if err := t.ask(d, stage, o.limit, of, func(i int) { delete(alive, i) }); err != nil {
					return 0, err
				}
			}
		}
	}
	for i, m := range t.mutants {
		if alive[i] {
			fmt.Println("lives:", m)
		}
	}
	return len(t.mutants) - len(alive), nil
}

// The stages in which tests are asked.
const (
	asFirst = iota
	asQuick
	asLast
)

// ask runs the tests of a package for some mutants: first without a change, which says to which of them the tests come.
func (t *trial) ask(dir string, stage int, limit time.Duration, of func(int) bool, noticed func(int)) error {
	if !slices.ContainsFunc(t.numbers(), of) {
		return nil
	}
	args := []string{"-test.failfast"}
	switch stage {
	case asFirst:
		if first[dir] == "" {
			return nil
		}
		args = append(args, "-test.short", "-test.run", "^("+first[dir]+")$")
	case asQuick:
		args = append(args, "-test.short", "-test.skip", "^("+cmp.Or(slow[dir], "-")+")$")
	}
	binary, err := t.built(dir)
	if err != nil || binary == "" {
		return err
	}
	came, failed, err := t.reached(binary, dir, args, limit)
	if err != nil {
		return err
	}
	if failed != "" {
		return fmt.Errorf("%s fails without a change: %s", dir, failed)
	}
	for i := range t.mutants {
		if !of(i) || !came[i] {
			continue
		}
		ok, err := t.tested(i+1, binary, dir, args, limit)
		if err != nil {
			return err
		}
		if !ok {
			noticed(i)
		}
	}
	return nil
}

// equivalents reads the mutants that nobody can notice: a key a line, behind lines of reasons that begin with #.
func equivalents(name string) (map[string]bool, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	same := map[string]bool{}
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		if l := strings.TrimSpace(lines.Text()); l != "" && !strings.HasPrefix(l, "#") {
			same[l] = true
		}
	}
	return same, lines.Err()
}

// mutants are all changes that are known to a room.
func (r room) mutants() (all []mutant, err error) {
	for _, d := range r.dirs {
		top, deep := strings.CutSuffix(d, "/...")
		err := filepath.WalkDir(top, func(name string, e fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case e.IsDir() && name != top && (!deep || e.Name() == "testdata" || e.Name() == "internal"):
				return fs.SkipDir
			case e.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go"):
				return nil
			}
			list, err := mutantsOf(filepath.ToSlash(name))
			all = append(all, list...)
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}
