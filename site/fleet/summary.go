package fleet

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"needlebook/logbook/budget"
)

// File is the file that every build leaves beside its pages: the vessel in a few lines, from which [Page] makes the
// front page of several ships without reading a book.
const File = "summary.json"

// Format is the format of a summary.
const Format = "needlebook summary 1"

// mostSummaryBytes bounds what is read of a summary, which comes from another machine.
const mostSummaryBytes = 1 << 20

// Summary is one vessel in a few lines. Fields are only added within a number of the format.
type Summary struct {
	Format    string     `json:"format"`            // "needlebook summary 1"
	Program   string     `json:"program,omitempty"` // the release that built the pages
	Vessel    string     `json:"vessel"`
	Day       string     `json:"state_of_the_book"` // last counter reading, or the day that was asked for
	Overhauls int        `json:"overhauls"`
	History   History    `json:"history"`
	Grades    Grades     `json:"findings"`
	Gravest   *Finding   `json:"gravest"`  // null for a quiet ship
	Past      int        `json:"past_due"` // entries of the due list whose day is past
	Next      *Due       `json:"next_due"` // the valve that is due first; null where none is known
	Ready     int        `json:"ready_spares"`
	ToOrder   []string   `json:"to_order"` // items of the stores of which more are needed than come in time
	Engines   []Engine   `json:"engines"`
	Types     []Type     `json:"types"`
	Review    *Review    `json:"review"`  // null where the book holds no review, or nothing was compared
	Pattern   []*Finding `json:"pattern"` // recurring findings over several records, the clearest first
}

// History says whether the history is proved.
type History struct {
	UnderGit     bool   `json:"under_git"`
	Proved       bool   `json:"proved"`
	Headline     string `json:"headline"`
	Commit       string `json:"commit"`        // of the tip, empty for a plain folder
	Stated       string `json:"stated"`        // its stated day
	NotCommitted int    `json:"not_committed"` // files that are not as the tip holds them
}

// Grades counts the findings.
type Grades struct {
	Stop   int `json:"stop"`
	Action int `json:"action"`
	Advice int `json:"advice"`
	Note   int `json:"note"`
}

// Finding is a finding in a line, with the page of the vessel's folder on which it stands.
type Finding struct {
	Grade   string `json:"grade,omitempty"`
	Check   string `json:"check,omitempty"`
	About   string `json:"about,omitempty"`
	Message string `json:"message"`
	Page    string `json:"page,omitempty"`
}

// Due is an entry of the due list in the words of that list.
type Due struct {
	Day    string `json:"about"` // day it falls due, by the running rate
	Which  string `json:"which"`
	Where  string `json:"where"`
	Stands string `json:"stands_at"`
	Left   string `json:"left"`
}

// Engine is an engine with its running hours in all; Hours is null where they are not known.
type Engine struct {
	ID        string   `json:"id"`
	Name      string   `json:"name,omitempty"`
	Type      string   `json:"type"`
	Cylinders int      `json:"cylinders"`
	Hours     *float64 `json:"hours"`
}

// Type says what the valves of one type of engine showed in the last two years: what ships of the same type are
// compared by.
type Type struct {
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

// Review is what changed in the findings since the last review.
type Review struct {
	Why    string    `json:"since"` // "review by s.okonjo"
	Day    string    `json:"day"`
	Commit string    `json:"commit"`
	New    []Finding `json:"new"`
	Gone   []Finding `json:"gone"`
}

// Read reads the summary that a build left in a folder of pages. The error says in words why there is none.
func Read(dir string) (*Summary, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("could not open the pages in %q: %w", dir, err)
	}
	defer root.Close()
	info, err := root.Lstat(File)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%q holds no %s: its pages were not built, or not to the end", dir, File)
	case err != nil:
		return nil, fmt.Errorf("could not look at the summary in %q: %w", dir, err)
	case !info.Mode().IsRegular() || info.Size() > mostSummaryBytes:
		return nil, fmt.Errorf("the summary in %q is no plain file of at most %d bytes", dir, mostSummaryBytes)
	}
	text, err := budget.ReadIn(root, File, mostSummaryBytes)
	if err != nil {
		return nil, fmt.Errorf("could not read the summary in %q: %w", dir, err)
	}
	var s Summary
	if err := json.Unmarshal(text, &s); err != nil {
		return nil, fmt.Errorf("the summary in %q is broken: %w", dir, err)
	}
	if s.Format != Format {
		return nil, fmt.Errorf("the summary in %q is of the format %q, and this program reads %q", dir, s.Format, Format)
	}
	return &s, nil
}
