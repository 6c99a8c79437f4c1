package facts

import (
	"strconv"
	"strings"

	"needlebook/checks/paper"
)

// Due is an entry of the due list.
type Due struct{ Day, Which, Where, Stands, Left string }

// NextDue are how many entries of the due list are past, and the valve that is due first.
func NextDue(p paper.Paper) (past int, next *Due) {
	t := p.Table("due")
	if t == nil {
		return 0, nil
	}
	for _, r := range t.Rows {
		if strings.HasSuffix(r[0].Text, " past") {
			past++
		}
		if next == nil && r[2].Text == "valve" && !Undated(r) {
			next = &Due{Day: r[0].Text, Which: r[3].Text, Where: r[4].Text, Stands: r[5].Text, Left: r[6].Text}
		}
	}
	return past, next
}

// Undated says that the book does not tell when an entry of the due list falls due.
func Undated(r []paper.Cell) bool { return r[0].Text == "–" }

// ToOrder are the items of which more are needed than come in time, with their number.
func ToOrder(p paper.Paper) []string {
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

// LeftWords are what is left as the due list has it; that it is left goes without saying only where it is over.
func LeftWords(left string) string {
	if strings.Contains(left, "over") {
		return left
	}
	return left + " left"
}
