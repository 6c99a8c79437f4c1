package site

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"strconv"
	"strings"

	"needlebook/checks"
	"needlebook/checks/causes"
	"needlebook/checks/evidence"
	"needlebook/checks/paper"
	"needlebook/checks/survival"
	"needlebook/logbook"
)

// SummaryFile is the file that every build leaves beside its pages: the vessel in a few lines, from which [Join] makes the front page of
// several ships without reading a book.
const SummaryFile = "summary.json"

const summaryFormat = "needlebook summary 1"

// mostSummaryBytes bounds what is read of a summary, which comes from another machine.
const mostSummaryBytes = 1 << 20

// Summary is one vessel in a few lines. Fields are only added within a number of the format.
type Summary struct {
	Format    string            `json:"format"` // "needlebook summary 1"
	Vessel    string            `json:"vessel"`
	Day       string            `json:"state_of_the_book"` // last counter reading, or the day that was asked for
	Overhauls int               `json:"overhauls"`
	History   SummaryHistory    `json:"history"`
	Grades    SummaryGrades     `json:"findings"`
	Gravest   *SummaryFinding   `json:"gravest"`  // null for a quiet ship
	Past      int               `json:"past_due"` // entries of the due list whose day is past
	Next      *SummaryDue       `json:"next_due"` // the valve that is due first; null where none is known
	Ready     int               `json:"ready_on_the_rack"`
	ToOrder   []string          `json:"to_order"` // items of the stores of which more are needed than come in time
	Engines   []SummaryEngine   `json:"engines"`
	Types     []SummaryType     `json:"types"`
	Review    *SummaryReview    `json:"review"`  // null where the book holds no review, or nothing was compared
	Pattern   []*SummaryFinding `json:"pattern"` // what goes together over several records, the clearest first
}

// SummaryHistory says whether the history is proved.
type SummaryHistory struct {
	UnderGit     bool   `json:"under_git"`
	Proved       bool   `json:"proved"`
	Headline     string `json:"headline"`
	Commit       string `json:"commit"`        // of the tip, empty for a plain folder
	Stated       string `json:"stated"`        // its stated day
	NotCommitted int    `json:"not_committed"` // files that are not as the tip holds them
}

// SummaryGrades counts the findings.
type SummaryGrades struct {
	Stop   int `json:"stop"`
	Answer int `json:"answer"`
	Advice int `json:"advice"`
	Note   int `json:"note"`
}

// SummaryFinding is a finding in a line, with the page of the vessel's folder on which it stands.
type SummaryFinding struct {
	Grade   string `json:"grade,omitempty"`
	Check   string `json:"check,omitempty"`
	About   string `json:"about,omitempty"`
	Message string `json:"message"`
	Page    string `json:"page,omitempty"`
}

// SummaryDue is an entry of the due list in the words of that list.
type SummaryDue struct {
	Day    string `json:"about"` // day it falls due, by the running rate
	Which  string `json:"which"`
	Where  string `json:"where"`
	Stands string `json:"stands_at"`
	Left   string `json:"left"`
}

// SummaryEngine is an engine with its running hours in all; Hours is null where they are not known.
type SummaryEngine struct {
	ID        string   `json:"id"`
	Name      string   `json:"name,omitempty"`
	Type      string   `json:"type"`
	Cylinders int      `json:"cylinders"`
	Hours     *float64 `json:"hours"`
}

// SummaryType says what the valves of one type of engine showed in the last two years: what ships of the same type are compared by.
type SummaryType struct {
	Type        string  `json:"type"`
	Opened      int     `json:"opened"`  // for their hours, and looked at as found
	Bad         int     `json:"bad"`     // of them
	Low         float64 `json:"bad_low"` // ends of the 95 % interval of the share of bad, 0 to 1
	High        float64 `json:"bad_high"`
	EngineHours float64 `json:"engine_hours"` // of all engines of the type in that time; 0 where not known
	Nozzles     int     `json:"nozzles_renewed"`
	Lost        float64 `json:"opening_lost_bar"` // median of what a used setting lost in service
	LostSpread  float64 `json:"opening_lost_spread_bar"`
	LostOf      int     `json:"opening_lost_of"` // valves it rests on
}

// SummaryReview is what changed in the findings since the last review.
type SummaryReview struct {
	Why    string           `json:"since"` // "review by s.okonjo"
	Day    string           `json:"day"`
	Commit string           `json:"commit"`
	New    []SummaryFinding `json:"new"`
	Gone   []SummaryFinding `json:"gone"`
}

// ReadSummary reads the summary that a build left in a folder of pages. The error says in words why there is none.
func ReadSummary(dir string) (*Summary, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("could not open the pages in %q: %w", dir, err)
	}
	defer root.Close()
	info, err := root.Lstat(SummaryFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%q holds no %s: its pages were not built, or not to the end", dir, SummaryFile)
	case err != nil:
		return nil, fmt.Errorf("could not look at the summary in %q: %w", dir, err)
	case !info.Mode().IsRegular() || info.Size() > mostSummaryBytes:
		return nil, fmt.Errorf("the summary in %q is no plain file of at most %d bytes", dir, mostSummaryBytes)
	}
	text, err := root.ReadFile(SummaryFile)
	if err != nil {
		return nil, fmt.Errorf("could not read the summary in %q: %w", dir, err)
	}
	var s Summary
	if err := json.Unmarshal(text, &s); err != nil {
		return nil, fmt.Errorf("the summary in %q is broken: %w", dir, err)
	}
	if s.Format != summaryFormat {
		return nil, fmt.Errorf("the summary in %q is of the format %q, and this program reads %q", dir, s.Format, summaryFormat)
	}
	return &s, nil
}

// writeSummary leaves the summary beside the pages.
func (s *site) writeSummary() error {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s.summary(s.evidence())); err != nil {
		return fmt.Errorf("could not write the summary: %w", err)
	}
	return s.out.put(SummaryFile, logbook.Visible(out.Bytes()))
}

func (s *site) summary(e *evidence.Evidence) Summary {
	one := Summary{Format: summaryFormat, Vessel: s.vessel, Day: s.today.String(), Overhauls: len(s.Book.Overhauls), Ready: s.readySpares(),
		History: SummaryHistory{UnderGit: s.trail.Lacking != logbook.PlainFolder().Lacking, Proved: s.trail.Proved, Headline: s.proofLine(), Commit: s.trail.Head, NotCommitted: len(s.trail.WorkTree)},
		Grades:  SummaryGrades{len(s.found.grade[checks.Stop]), len(s.found.grade[checks.Answer]), len(s.found.grade[checks.Advice]), len(s.found.grade[checks.Note])}}
	if n := len(s.trail.Commits); n > 0 && s.trail.Head != "" {
		one.History.Stated = s.trail.Commits[n-1].Stated.UTC().Format("2006-01-02")
	}
	if f := s.gravestNow(); f != nil {
		line := s.brief(f)
		one.Gravest = &line
	}
	one.Past, one.Next = nextDue(s.dueEach())
	one.ToOrder = toOrder(s.stores())
	for _, x := range s.Book.Vessel.Engines {
		row := SummaryEngine{ID: x.ID.Written, Name: x.Name.Written, Type: x.Type.Written, Cylinders: len(x.Cylinders.Each)}
		if h, ok := s.Book.TotalOn(x.ID.Written, s.today); ok {
			row.Hours = &h
		}
		one.Engines = append(one.Engines, row)
	}
	one.Types = s.byType(e)
	if b := s.Before; b != nil {
		one.Review = &SummaryReview{Why: b.Why, Day: b.Day.String(), Commit: b.Commit}
		fresh, gone := s.compared()
		for _, f := range fresh {
			one.Review.New = append(one.Review.New, s.brief(f))
		}
		for _, f := range gone {
			one.Review.Gone = append(one.Review.Gone, s.brief(f))
		}
	}
	for _, p := range s.pattern(e) {
		one.Pattern = append(one.Pattern, &SummaryFinding{About: p.what, Message: p.words, Page: string(p.to)})
	}
	return one
}

// rounded leaves the decimals that mean something.
func rounded(v float64) float64 { return math.Round(v*1000) / 1000 }

// gravestNow is the newest of the gravest findings, as the day goes on which the newest line it rests on was set; nil for a quiet ship:
// a note asks nothing of anybody.
func (s *site) gravestNow() *checks.Finding {
	if len(s.ordered) == 0 || s.ordered[0].Grade <= checks.Note {
		return nil
	}
	one := s.ordered[0]
	for _, f := range s.ordered {
		if f.Grade == one.Grade && s.since[f] > s.since[one] {
			one = f
		}
	}
	return one
}

// brief is a finding in a line.
func (s *site) brief(f *checks.Finding) SummaryFinding {
	about := f.About.Holder
	if f.About.Position != (logbook.Position{}) {
		about = strings.TrimSpace(f.About.Position.String() + " " + about)
	}
	to := s.pages.line(f.Place)
	if o := s.recordOf(f); o != nil {
		to = s.pages.overhaul[o]
	}
	return SummaryFinding{Grade: f.Grade.String(), Check: f.Check, About: about, Message: f.Message, Page: string(to)}
}

// nextDue are how many entries of the due list are past, and the valve that is due first.
func nextDue(p paper.Paper) (past int, next *SummaryDue) {
	t := p.Table("due")
	if t == nil {
		return 0, nil
	}
	for _, r := range t.Rows {
		if strings.HasSuffix(r[0].Text, " past") {
			past++
		}
		if next == nil && r[2].Text == "valve" && !undated(r) {
			next = &SummaryDue{Day: r[0].Text, Which: r[3].Text, Where: r[4].Text, Stands: r[5].Text, Left: r[6].Text}
		}
	}
	return past, next
}

// toOrder are the items of which more are needed than come in time, with their number.
func toOrder(p paper.Paper) []string {
	var all []string
	for _, t := range p.Tables {
		for i, c := range t.Columns {
			if c != "to order" {
				continue
			}
			for _, r := range t.Rows {
				if n, err := strconv.Atoi(r[i].Text); err == nil && n > 0 {
					all = append(all, r[i].Text+" "+r[0].Text)
				}
			}
		}
	}
	return all
}

// yearsCompared is the time over which ships are compared, in days: two years, as the evidence for the interval takes it.
const yearsCompared = 730

// byType gathers what the valves of each type of engine showed, in the order of the vessel's engines.
func (s *site) byType(e *evidence.Evidence) []SummaryType {
	var all []SummaryType
	of := map[string]int{} // engine to its row
	from := max(s.today-yearsCompared, s.Book.Vessel.Opening.Date.Day)
	rows := map[string]int{}
	for _, x := range s.Book.Vessel.Engines {
		n, known := rows[x.Type.Written]
		if !known {
			n = len(all)
			rows[x.Type.Written] = n
			all = append(all, SummaryType{Type: x.Type.Written})
		}
		of[x.ID.Written] = n
		end, ok := s.Book.TotalOn(x.ID.Written, s.today)
		begin, also := s.Book.TotalOn(x.ID.Written, from)
		if ok && also && end > begin {
			all[n].EngineHours += end - begin
		}
	}
	for _, o := range e.Openings {
		n, known := of[o.Stay.Engine]
		if !known || o.Day < from {
			continue
		}
		if o.Overhaul.Decided.Nozzle.Is("renew", "condemn") {
			all[n].Nozzles++
		}
		if o.Why == evidence.ForHours && o.State != evidence.Unknown {
			all[n].Opened++
			if o.State == evidence.Bad {
				all[n].Bad++
			}
		}
	}
	lost := make([][]float64, len(all))
	for _, sh := range e.Causes.Shifts {
		n, known := of[sh.Overhaul.Removed.Engine.Written]
		if known && sh.Left.Class == logbook.Used && sh.LeftWrong == nil && sh.FoundWrong == nil && !sh.Settled && sh.Overhaul.Day() >= from {
			lost[n] = append(lost[n], -sh.Bar)
		}
	}
	for i := range all {
		if in, err := survival.BadShare(all[i].Bad, all[i].Opened, 0.95); err == nil {
			all[i].Low, all[i].High = rounded(in.Low), rounded(in.High)
		}
		all[i].EngineHours = rounded(all[i].EngineHours)
		n := causes.Habit(lost[i], 0)
		all[i].Lost, all[i].LostSpread, all[i].LostOf = rounded(n.Median), rounded(n.Spread), n.N
	}
	return all
}
