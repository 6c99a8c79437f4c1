package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"needlebook/logbook"
	"needlebook/logbook/answered"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/fault"
)

func main() {
	spareTheCollector()
	p := &program{ctx: endable(), endSoon: endSoon, again: true}
	os.Exit(p.run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// spareTheCollector lets the heap grow to five times what is alive before it is swept, for a book is read once and kept
// to the end; but between two sweeps by no more than 96 MiB, or by what is alive where that is more, and from half a
// gibibyte on by half of it: a table that nobody has typed must not cost five times what it takes. There is no bound on
// all of it, since a large book under one is swept without end. A verb that goes on for hours sweeps as usual. Whoever
// sets GOGC or GOMEMLIMIT has the last word.
func spareTheCollector() {
	if collectorIsOurs() {
		debug.SetGCPercent(400)
		paceSweeps(0)
	}
}

const (
	sweepAfter = 96 << 20
	notHeap    = 32 << 20 // what the program takes beside it
	much       = 512 << 20
)

// paceSweeps says after each sweep how much may be taken until the next one. Where it comes late, there are more of
// them.
func paceSweeps(int) {
	alive := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(alive)
	live := alive[0].Value.Uint64()
	debug.SetMemoryLimit(int64(notHeap + live + max(sweepAfter, min(live, max(much, live/2)))))
	runtime.AddCleanup(new(*int), paceSweeps, 0) // what nothing refers to is gone with the next sweep
}

// sweepAsUsual is for verbs that read a book again and again.
func sweepAsUsual() {
	if collectorIsOurs() {
		debug.SetGCPercent(100)
	}
}

func collectorIsOurs() bool { return os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" }

// Exit statuses.
const (
	exitClean    = 0 // nothing at or over the threshold
	exitFindings = 1 // findings at or over it; of verify: not proved
	exitUse      = 2 // wrong use
	exitFailed   = 3 // the command could not do its work
	exitRewound  = 4 // of a history: another book, or rewritten
	exitBroken   = 5 // of a history: bytes that do not match their id
)

// program is one run of the command: its streams and the flags that every verb shares.
type program struct {
	ctx      context.Context
	endSoon  func(errw io.Writer, why error) // ends the program when a verb does not; nil where it runs inside another
	in       io.Reader
	out, err terminal  // words for a person
	data     io.Writer // the same stream as out, for files and other programs
	raw      io.Writer // the same, for messages that say their own length
	bookDir  string
	today    string // the day that it is, where a caller with a clock says so
	// receipts is the folder that the history is held against, where a verb takes one.
	receipts string
	waits    *patience // nil where nobody looks on at a screen
	status   int       // exit status of a verb that did its work
	verb     string    // the verb that runs, as it is typed: "needlebook pages"
	telling  sync.Mutex
	again    bool     // an answer may be given again, where nothing has changed that it depends on
	args     []string // as they were typed
	known    *answered.Book
	learnt   map[answered.Question][]byte // what was worked out, to be kept
	faulty   bool                         // something of its work was not done, by a fault of this program
}

// useError is wrong use: the words, and what to type instead.
type useError struct{ text string }

func (e useError) Error() string { return e.text }

func use(format string, args ...any) error { return useError{fmt.Sprintf(format, args...)} }

// run is the whole program: arguments and streams in, exit status out.
func run(args []string, in io.Reader, out, errw io.Writer) int {
	return (&program{ctx: context.Background()}).run(args, in, out, errw)
}

func (p *program) run(args []string, in io.Reader, out, errw io.Writer) int {
	p.in, p.out, p.err = in, screen(out, os.Getenv), screen(errw, os.Getenv)
	if p.err.width > 0 {
		p.waits = &patience{to: errw, every: time.Second}
		p.err.Writer = p.waits.over(errw)
		if p.out.width > 0 {
			out = p.waits.over(out)
			p.out.Writer = out
		}
	}
	p.data, p.raw = plain{out}, out
	return p.execute(p.root(), args)
}

// execute runs a command, tells what went wrong, and gives the exit status.
func (p *program) execute(root *cobra.Command, args []string) int {
	root.SetArgs(args)
	p.args = args
	root.SetIn(p.in)
	root.SetOut(p.data)
	root.SetErr(p.err)
	p.verb = root.CommandPath()
	root.PersistentPreRun = func(c *cobra.Command, _ []string) {
		p.verb = c.CommandPath()
		p.beginsToWait(c.Name(), c.Flags().Changed("watch"))
	}
	err := fault.Catch("finish", func() error { return root.ExecuteContext(p.ctx) })
	p.waits.end()
	if errors.Is(err, durable.ErrLocked) {
		err = fmt.Errorf("%w: try again when it is done; needlebook repair tells how old a lock is, and takes away one "+
			"that was left behind", err)
	}
	var wrong useError
	if err != nil {
		p.said(err)
	}
	switch {
	case p.faulty:
		return exitFailed
	case err == nil:
		return p.status
	case errors.As(err, &wrong):
		return exitUse
	default:
		var with interface{ ExitStatus() int }
		if errors.As(err, &with) {
			return with.ExitStatus()
		}
		return exitFailed
	}
}

func (p *program) root() *cobra.Command {
	asked := false // for the version
	root := &cobra.Command{
		Use:   "needlebook",
		Short: "The logbook of fuel injection valve overhauls, in plain files under git",
		Long: `needlebook keeps the record of fuel injection valve overhauls in plain files
under git: each overhaul is a Markdown file, checked and judged against the
limits that applied that day, followed through every cylinder, and traced to
signed commits. help words is the glossary.

Alone, inside a book, it says what is yours there: what is open, due, not
signed or not sent, and what came in, each with the command to type.`,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noVerb(cmd, args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if asked {
				_, err := fmt.Fprint(p.out, version())
				return err
			}
			if _, err := p.findBook(); err != nil && p.bookDir == "" {
				return cmd.Help()
			}
			return p.mine()
		},
	}
	root.PersistentFlags().StringVar(&p.bookDir, "book", "",
		"`FOLDER` of the book (default: the one around the current folder)")
	root.PersistentFlags().StringVar(&p.today, "today", "",
		"the `DAY` that it is: what is dated later does not count (default: no clock is asked)")
	root.SetFlagErrorFunc(wrongOption)
	root.Flags().BoolVar(&asked, "version", false, "which needlebook this is: release, commit, compiler and system")
	root.SetHelpCommand(help())
	tells := root.HelpFunc()
	root.SetHelpFunc(func(c *cobra.Command, args []string) { // for a person, so as wide as the terminal is
		root.SetOut(p.out)
		tells(c, args)
	})
	root.SetHelpCommandGroupID("begin")
	root.SetCompletionCommandGroupID("programs")
	for _, g := range p.verbs() {
		root.AddGroup(&cobra.Group{ID: g.id, Title: g.title})
		for _, c := range g.verbs {
			c.GroupID = g.id
			root.AddCommand(c)
		}
	}
	root.AddCommand(wordsTopic(), languageTopic(), deferralTopic())
	for _, c := range root.Commands() {
		wrongArgsAreUse(c)
		if slices.Contains(repeating, c.Name()) {
			p.repeats(c)
		}
		p.completes(c)
	}
	layOutHelp(root)
	return root
}

func init() { cobra.EnableCommandSorting = false } // verbs are in the order of use

// verbGroup is the verbs for one purpose, in the order of use.
type verbGroup struct {
	id, title string
	verbs     []*cobra.Command
}

func (p *program) verbs() []verbGroup {
	type list = []*cobra.Command
	return []verbGroup{
		{"begin", "Begin:", list{p.demo(), p.keyVerb(), p.commission(), p.joinVerb(), p.enrol(), p.changes(), p.licences()}},
		{"write", "Write:", list{p.round(), p.card(), p.judge(), p.enter(), p.photo(), p.logVerb(), p.sprayVerb(), p.fix(),
			p.importing()}},
		{"read", "Read:", list{p.check(), p.show(), p.pages(), p.view(), p.handover(), p.report(), p.claim(), p.nox(),
			p.survey()}},
		{"plan", "Plan:", list{p.due(), p.stores(), p.recurring(), p.interval()}},
		{"prove", "Sign and prove:", list{p.sign(), p.answerVerb(),
			p.countersign(), p.review(), p.verify(), p.receipt(), p.withdraw(),
			p.adopt()}},
		{"carry", "Carry:", list{p.sync(), p.resolve(), p.mailbag(), p.repair()}},
		{"programs", "For programs:", list{p.export(), p.schema(), p.lsp(), p.manual()}},
	}
}

// wrongOption says what is wrong with an option: the nearest one where there is none of that name, and what it takes.
func wrongOption(cmd *cobra.Command, err error) error {
	var none *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var odd *pflag.InvalidValueError
	switch {
	case errors.As(err, &none):
		typed, dashes := none.GetSpecifiedName(), "--"
		if short := none.GetSpecifiedShortnames(); short != "" { // with one dash: -fail-on
			typed, dashes = short, "-"
		}
		if near := nearestOption(cmd, typed); near != "" {
			return use("there is no option %s%s; the nearest is --%s", dashes, typed, near)
		}
		return use("there is no option %s%s; %s --help lists them", dashes, typed, cmd.CommandPath())
	case errors.As(err, &bare):
		f := bare.GetFlag()
		return use("--%s takes a value: %s", f.Name, f.Usage)
	case errors.As(err, &odd):
		f := odd.GetFlag()
		kind := map[string]string{"duration": "time such as 90s or 10m", "float64": "number"}[f.Value.Type()]
		return use("--%s %s is no %s: %s", f.Name, odd.GetValue(), cmp.Or(kind, f.Value.Type()), f.Usage)
	}
	return use("%v; %s --help lists the options", err, cmd.CommandPath())
}

// nearestOption is the option that is meant by one that there is not: the only one that begins so, or the nearest.
func nearestOption(cmd *cobra.Command, typed string) string {
	var names, begin []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		names = append(names, f.Name)
		if strings.HasPrefix(f.Name, typed) {
			begin = append(begin, f.Name)
		}
	})
	switch {
	case len(typed) < 2:
		return ""
	case len(begin) == 1:
		return begin[0]
	}
	return logbook.Nearest(typed, names)
}

// noVerb is the wrong use of a verb that is not below this one, with the nearest that is.
func noVerb(below *cobra.Command, typed string) error {
	var names []string
	for _, c := range below.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	if near := logbook.Nearest(typed, names); near != "" {
		return use("there is no verb %q; the nearest is %s %s", typed, below.CommandPath(), near)
	}
	return use("there is no verb %q; %s --help lists them", typed, below.CommandPath())
}

// wrongArgsAreUse makes a wrong number of arguments a wrong use, which shows what is to be typed.
func wrongArgsAreUse(c *cobra.Command) {
	check := c.Args
	if check == nil {
		return
	}
	c.Args = func(cmd *cobra.Command, args []string) error {
		err := check(cmd, args)
		var said useError
		if err == nil || errors.As(err, &said) {
			return err
		}
		amiss := "nothing is named"
		if len(args) > 0 {
			amiss = fmt.Sprintf("%q is more than it takes", strings.Join(args, " "))
		}
		usage := cmd.Parent().CommandPath() + " " + cmd.Use
		for line := range strings.Lines(cmd.Example) {
			if line = strings.TrimSpace(line); strings.HasPrefix(line, cmd.CommandPath()) && line != usage {
				usage += ", as in " + line
				break
			}
		}
		return use("%s: it is %s; %s --help says more", amiss, usage, cmd.CommandPath())
	}
}

// deferralLine ends what somebody may take to the bench, and the help of the program.
const deferralLine = `This logbook is a record and a helper, not an instruction: the maker's manuals, the safety management
system, class, flag and the certificated engineer on board come before it.`
