package logbook

import "strings"

// nearest is the candidate closest to what was written, or nothing where none is close: at most two slips of the finger, or
// the same letters in other case and with other separators.
func nearest(written string, candidates []string) string {
	best, least := "", 3
	plain := plainLetters(written)
	for _, c := range candidates {
		if plainLetters(c) == plain {
			return c
		}
		if d := editDistance(strings.ToLower(written), c, least); d < least && d < len(c) {
			best, least = c, d
		}
	}
	return best
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
