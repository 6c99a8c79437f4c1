package merge

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawLines is a short text of few different lines, so that lines repeat.
func drawLines(t *rapid.T, name string) []string {
	return rapid.SliceOfN(rapid.SampledFrom([]string{"a\n", "b\n", "c\n", "d\n", "\n"}), 0, 12).Draw(t, name)
}

// What the changes say, made to one list, gives the other; and no list is shorter than the fewest changes there are, worked out
// by the table that every textbook has (from memory).
func TestChanges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		was, is := drawLines(t, "was"), drawLines(t, "is")
		var made []string
		at, count := 0, 0
		for _, h := range changes(was, is) {
			made = append(append(made, was[at:h.from]...), is[h.at:h.until]...)
			at = h.to
			count += h.to - h.from + h.until - h.at
		}
		made = append(made, was[at:]...)
		if !slices.Equal(made, is) {
			t.Fatalf("changes(%q, %q) make %q", was, is, made)
		}
		if want := len(was) + len(is) - 2*common(was, is); count != want {
			t.Fatalf("changes(%q, %q): %d, the fewest are %d: %v", was, is, count, want, changes(was, is))
		}
	})
}

func common(a, b []string) int {
	row := make([]int, len(b)+1)
	for i := range a {
		diagonal := 0
		for j := range b {
			above := row[j+1]
			if a[i] == b[j] {
				row[j+1] = diagonal + 1
			} else {
				row[j+1] = max(row[j+1], row[j])
			}
			diagonal = above
		}
	}
	return row[len(b)]
}
