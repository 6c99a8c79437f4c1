package logbook

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
)

// rowKeys are the columns that tell the rows of a table apart, whichever of them a table has.
var rowKeys = map[string]bool{"date": true, "cylinder": true, "item": true, "part_no": true, "serial": true,
	"stem": true, "received": true, "id": true, "from": true, "check": true, "place": true, "text": true}

// Rows gives the rows of a table in the order of the file, each as written, for the comparison of two texts. The path
// of a row is what tells it apart: "2022-09-04 3" of a running table, "2023-02-06 nozzle 6QZ-1603 N-2044" of the
// stores; a second row of the same has #2 behind it. The head of the table is the row "head". What is no table yields
// nothing.
func Rows(src []byte) []ValueAt {
	r := csv.NewReader(bytes.NewReader(src))
	r.LazyQuotes, r.FieldsPerRecord, r.ReuseRecord = true, -1, true
	var all []ValueAt
	var keys []int
	times := map[string]int{}
	line, start := 1, int64(0)
	for {
		cells, err := r.Read()
		if err != nil {
			return all // the end, or bytes that are no table from here on
		}
		written := string(src[start:r.InputOffset()])
		if len(all) == 0 && len(cells) < 2 {
			return nil
		}
		key := "head"
		if len(all) == 0 {
			keys = KeyColumns(cells)
		} else {
			key = RowKey(cells, keys)
		}
		if times[key]++; times[key] > 1 {
			key = fmt.Sprintf("%s #%d", key, times[key])
		}
		lead := len(written) - len(strings.TrimLeft(written, "\r\n"))
		all = append(all, ValueAt{Path: key, Written: strings.TrimRight(written[lead:], "\r\n"),
			Line: line + strings.Count(written[:lead], "\n"), Column: 1})
		line, start = line+strings.Count(written, "\n"), r.InputOffset()
	}
}

// KeyColumns are the columns, from 0, by which the rows of a table with this first row are told apart.
func KeyColumns(head []string) (columns []int) {
	for i, name := range head {
		if rowKeys[strings.TrimSpace(name)] {
			columns = append(columns, i)
		}
	}
	return columns
}

// RowKey is what tells a row apart, given the columns that do: their cells, or all of them where those are empty.
func RowKey(cells []string, keys []int) string {
	var words []string
	for _, i := range keys {
		if i < len(cells) && strings.TrimSpace(cells[i]) != "" {
			words = append(words, strings.TrimSpace(cells[i]))
		}
	}
	if len(words) == 0 {
		return strings.Join(cells, ",")
	}
	return strings.Join(words, " ")
}
