package deciding

import (
	"fmt"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// Choice is regrinding a part compared with renewing it. Both sides are shown; neither is chosen here.
type Choice struct {
	Part, Serial string
	Grind, Renew Side
	Enough       bool // of the holder: with its face put right the effective lift is within, and the nozzle may stay
}

// Side is one side of a choice.
type Side struct {
	Possible bool
	Why      string           // why it is not possible; empty where it is
	Need     measure.Quantity // to be ground off to restore the lift of a new part; invalid where not worked out
	Off      measure.Quantity // what would come off: the need, or the most that still may
	Most     measure.Quantity // the most that still may come off
	Times    string           // regrinds so far and allowed, in words
	After    measure.Quantity // effective lift afterwards; invalid where not worked out
	Band     string           // effective lift afterwards of a new part, as a band; empty where not known
	Life     string           // running hours it leaves, in words; empty where not known
	Supply   Supply
	Limit    logbook.Leaf // where the limits file says what may be ground
	Source   string       // document and section of that revision
}

// Lines are both sides in words, the grinding first.
func (c Choice) Lines() []string {
	g, r := c.Grind, c.Renew
	name := c.Part + " " + c.Serial
	grind := "regrind " + name + ": "
	if !g.Possible {
		grind += "not possible, " + g.Why
		if g.Need.Valid() {
			grind += "; " + g.Need.String() + " would have to come off"
		}
	} else {
		grind += fmt.Sprintf("%s off its face of %s that may come off (%s)", g.Off, g.Most, g.Times)
		if g.Need.Valid() && g.Off.Valid() && g.Need.Compare(g.Off) > 0 {
			grind += ", " + g.Need.String() + " would restore a new lift"
		}
		grind += "; " + strings.Join([]string{afterwards(g), "cost " + orUnknown(g.Supply.Price),
			"lead time " + days(g.Supply.LeadDays)}, "; ")
		if g.Life != "" {
			grind += "; " + g.Life + " of its life left"
		}
	}
	renew := "renew " + name + ": " + strings.Join([]string{afterwards(r), "cost " + orUnknown(r.Supply.Price),
		"lead time " + days(r.Supply.LeadDays), r.Supply.stock()}, "; ")
	if r.Life != "" {
		renew += "; life " + r.Life
	}
	return []string{grind, renew}
}

func afterwards(s Side) string {
	switch {
	case s.Band != "":
		return "effective lift afterwards " + s.Band
	case s.After.Valid():
		return "effective lift afterwards " + s.After.String()
	}
	return "effective lift afterwards not known"
}

// stock is what lies on board and is on order, in words.
func (s Supply) stock() string {
	if !s.Counted {
		return "not in the stores' list"
	}
	text := fmt.Sprintf("%d on board", s.OnBoard)
	if s.OnOrder > 0 {
		text += fmt.Sprintf(", %d on order", s.OnOrder)
		if s.Due != "" {
			text += ", due " + s.Due
		}
	}
	return text
}

func orUnknown(text string) string {
	if text == "" {
		return "not known"
	}
	return text
}

func days(text string) string {
	if text == "" {
		return "not known"
	}
	return text + " days"
}
