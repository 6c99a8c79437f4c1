package logbook

import (
	"regexp"
	"slices"
	"strings"
)

// evidenceName is the path of a picture or a pressure log of the book, wherever it stands in a text.
var evidenceName = regexp.MustCompile(`(?:photos|logs)/[^\s"'` + "`" + `,;|<>()\[\]{}]+`)

// EvidenceIn lists the pictures and logs that the text of a record names, in its values and in its remarks, each once
// in the order of the text.
func EvidenceIn(src []byte) (all []string) {
	for _, v := range Values(src) {
		for _, name := range evidenceName.FindAllString(v.Written, -1) {
			if name = strings.TrimRight(name, ".:"); !slices.Contains(all, name) {
				all = append(all, name)
			}
		}
	}
	return all
}

// IsEvidence says that a file lies where pictures and logs do: it is looked at, and not read as a record or a table.
func IsEvidence(name string) bool {
	top, _, nested := strings.Cut(name, "/")
	return nested && pictured[top]
}
