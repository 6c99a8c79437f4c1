package logbook

import (
	"slices"
	"strings"
)

// Nearest is the candidate closest to what was written, or nothing where none is close.
func Nearest(written string, candidates []string) string { return nearest(written, candidates) }

// OneApart says that two texts differ by one slip of the finger: a character too many, too few or another, or two
// neighbours exchanged.
func OneApart(a, b string) bool { return editDistance(a, b, 2) == 1 }

// nearest is the candidate closest to what was written, or nothing where none is close: at most two slips of the
// finger, or the same letters in other case and with other separators.
func nearest(written string, candidates []string) string {
	best, least, moved := "", 3, false
	plain := plainLetters(written)
	for _, c := range candidates {
		if plainLetters(c) == plain {
			return c
		}
		d, swap := editDistance(strings.ToLower(written), strings.ToLower(c), least+1), sameLetters(plain, plainLetters(c))
		if (d < least || d == least && d < 3 && swap && !moved) && d < len(c) {
			best, least, moved = c, d, swap
		}
	}
	return best
}

// sameLetters says that two words are the same but for the order of their letters: exchanged neighbours are the
// likelier slip.
func sameLetters(a, b string) bool {
	x, y := []byte(a), []byte(b)
	slices.Sort(x)
	slices.Sort(y)
	return slices.Equal(x, y)
}

func plainLetters(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '_' || r == '-' || r == ' ' {
			return -1
		}
		return r
	}, strings.ToLower(s))
}

// editDistance counts insertions, deletions, changes and swaps of neighbours between two words; it gives up at most.
func editDistance(a, b string, most int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) >= most || len(y)-len(x) >= most {
		return most
	}
	before, prev, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(prev[j]+1, row[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, prev, row = prev, row, before
	}
	return prev[len(y)]
}
