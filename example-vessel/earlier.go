package vessel

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// steps are the blocks that come into a record one after another, in the order of the work.
var steps = []string{"removed", "as_found", "stripped", "cleaned", "inspected", "measured", "decided", "assembled",
	"tries", "as_left", "stored", "landed", "fitted", "fitted_by", "running_after", "corrections"}

var reads = regexp.MustCompile(`where ("(?:[^"\\]|\\.)*") reads ("(?:[^"\\]|\\.)*")`)

// earlier is a file as it stood before the end: cut to what was there by a block or a day, with figures as they read
// then.
func earlier(path string, text []byte, how string) ([]byte, error) {
	if rest, ok := strings.CutPrefix(strings.TrimSpace(how), "up to "); ok {
		limit, tail, _ := strings.Cut(rest, " ")
		how = tail
		switch {
		case strings.HasSuffix(path, ".csv"):
			text = rowsUpTo(text, limit)
		case strings.HasPrefix(path, "limits/"):
			text = revisionsUpTo(text, limit)
		default:
			i := slices.Index(steps, limit)
			if i < 0 {
				return nil, fmt.Errorf("%q is no block of a record", limit)
			}
			text = without(text, steps[i+1:])
		}
	}
	if rest, ok := strings.CutPrefix(strings.TrimSpace(how), "without "); ok {
		keys, tail, _ := strings.Cut(rest, " ")
		how, text = tail, without(text, strings.Split(keys, ","))
	}
	if rest, ok := strings.CutPrefix(strings.TrimSpace(how), "leaving out "); ok {
		day, tail, _ := strings.Cut(rest, " ")
		how, text = tail, withoutRows(text, day)
	}
	for _, m := range reads.FindAllStringSubmatch(how, -1) {
		end, err := strconv.Unquote(m[1])
		if err != nil {
			return nil, fmt.Errorf("%s: %w", m[1], err)
		}
		then, err := strconv.Unquote(m[2])
		if err != nil {
			return nil, fmt.Errorf("%s: %w", m[2], err)
		}
		if n := bytes.Count(text, []byte(end)); n != 1 {
			return nil, fmt.Errorf("%q stands %d times in %s, not once", end, n, path)
		}
		text = bytes.Replace(text, []byte(end), []byte(then), 1)
	}
	if rest := strings.TrimSpace(reads.ReplaceAllString(how, "")); rest != "" {
		return nil, fmt.Errorf("%q is not understood", rest)
	}
	return text, nil
}

// without takes top-level blocks out of the front matter, with their comments behind them, and leaves every other byte.
func without(text []byte, blocks []string) []byte {
	var out []byte
	dashes, dropping := 0, false
	for line := range bytes.Lines(text) {
		if bytes.HasPrefix(line, []byte("---")) {
			dashes, dropping = dashes+1, false
		} else if dashes == 1 && line[0] != ' ' && line[0] != '\n' && line[0] != '}' && line[0] != ']' && line[0] != '-' {
			key, _, _ := bytes.Cut(line, []byte(":"))
			dropping = slices.Contains(blocks, string(key))
		}
		if !dropping {
			out = append(out, line...)
		}
	}
	return out
}

var date = regexp.MustCompile(`\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b`)

// rowsUpTo keeps the head of a table and the rows whose first date is not after the day.
func rowsUpTo(text []byte, day string) []byte {
	return rows(text, func(d string) bool { return d <= day })
}

// withoutRows takes the rows of one day out of a table: those that the other side wrote.
func withoutRows(text []byte, day string) []byte {
	return rows(text, func(d string) bool { return d != day })
}

func rows(text []byte, keep func(day string) bool) []byte {
	var out []byte
	for line := range bytes.Lines(text) {
		if d := date.Find(line); d == nil || keep(string(d)) {
			out = append(out, line...)
		}
	}
	return out
}

// revisionsUpTo keeps the revisions of a limits file that were in force by the day.
func revisionsUpTo(text []byte, day string) []byte {
	from := regexp.MustCompile(`^  - (?:\{)?from: ([0-9-]+)`)
	var out []byte
	dashes, dropping := 0, false
	for line := range bytes.Lines(text) {
		if bytes.HasPrefix(line, []byte("---")) {
			dashes, dropping = dashes+1, false
		}
		if m := from.FindSubmatch(line); m != nil && dashes == 1 {
			dropping = string(m[1]) > day
		} else if line[0] != ' ' && line[0] != '\n' && line[0] != '#' {
			dropping = false
		}
		if !dropping {
			out = append(out, line...)
		}
	}
	return out
}
