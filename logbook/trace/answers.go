package trace

import (
	"encoding/csv"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
)

// answersPath is the table of answers to findings.
const (
	answersPath = "answers.csv"
	headsPath   = "heads.csv"
)

// answers holds a commit's change of the table of answers against its signer.
func (h *history) answers(i int, s step, olds []id) {
	l := h.verdicts[i].line
	if s.path != answersPath || l == nil || i == h.founding || s.is.mode != modeFile {
		return
	}
	texts := make([][]byte, 0, len(olds)+1)
	for _, text := range append([]id{s.is.id}, olds...) {
		if text.IsZero() {
			continue
		}
		b, err := h.store.read(text, plumbing.BlobObject)
		if err != nil {
			h.blame(i, "%s could not be read: %v", answersPath, err)
			return
		}
		texts = append(texts, b)
	}
	if why := answersNotHis(l.signer(), texts[1:], texts[0]); why != "" {
		h.disown(i, s.path, why)
	}
}

// answersNotHis says why a change of the table of answers was not the signer's to make: a line is added by the person
// it names, and never changed or taken out. Of a merge, every side's lines stay.
func answersNotHis(person string, was [][]byte, is []byte) string {
	before := map[string]bool{}
	for _, text := range was {
		for _, row := range logbook.Rows(text) {
			before[row.Written] = true
		}
	}
	by := -1
	for i, row := range logbook.Rows(is) {
		cells := cellsOf(row.Written)
		switch {
		case i == 0:
			by = slices.Index(cells, "by")
		case before[row.Written]:
		case by < 0 || by >= len(cells) || !SamePerson(cells[by], person):
			return "an answer is signed by the person it names, and line " + row.Path + " was signed by " + person
		}
		delete(before, row.Written)
	}
	for row := range before {
		if cells := cellsOf(row); !slices.Contains(cells, "check") {
			return "an answer stays as it was signed: add a line that says otherwise"
		}
	}
	return ""
}

// cellsOf are the cells of one line of a table.
func cellsOf(row string) []string {
	r := csv.NewReader(strings.NewReader(row))
	r.LazyQuotes, r.FieldsPerRecord = true, -1
	cells, _ := r.Read()
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells
}
