package checks

import (
	"cmp"
	"container/heap"
	"slices"
	"strings"

	"needlebook/logbook"
)

// What no rule of its own ties together is tied by where it is: two checks that speak of one value, and all that does
// not fit about one record. The one that is nearest to the writing speaks, the others are told under it.

// placesTold tells once what several checks say of one value, where one of them is about how it is written: what cannot
// be as it is written says nothing of the valve. A stop is told for itself.
func placesTold(all []Finding) []Finding {
	at := map[logbook.Place][]int{}
	for i, f := range all {
		k := Named(f.Check)
		lacks := slices.Contains(lackers, k) && (k != tightening || f.Lacks != "")
		if k != nil && f.Place.Line > 1 && !lacks {
			at[f.Place] = append(at[f.Place], i)
		}
	}
	gone := make([]bool, len(all))
	for _, group := range at {
		first := slices.MinFunc(group, func(i, j int) int {
			return cmp.Or(cmp.Compare(nearness(&all[i]), nearness(&all[j])), cmp.Compare(all[j].Grade, all[i].Grade), i-j)
		})
		head := &all[first]
		if nearness(head) > ofWriting {
			continue
		}
		for _, i := range group {
			told := nearness(&all[i]) <= ofWriting || all[i].Grade <= head.Grade
			if all[i].Grade == Stop {
				told = nearness(head) <= ofImpossible
			}
			if i != first && told {
				gone[i] = head.tells(all[i], follows)
			}
		}
	}
	return sameLineTold(lackedTwice(without(all, gone)))
}

// lackedTwice tells that an entry is missing under the graver finding about the same lack.
func lackedTwice(all []Finding) []Finding {
	at := map[logbook.Place]int{}
	for i, f := range all {
		if k := Named(f.Check); f.Place.Line > 1 && f.leads() && k != entryIncomplete && slices.Contains(lackers, k) {
			at[f.Place] = i
		}
	}
	gone := make([]bool, len(all))
	for i, f := range all {
		if by, met := at[f.Place]; met && f.Check == entryIncomplete.Name && f.Grade < all[by].Grade {
			gone[i] = all[by].tells(f, follows)
		}
	}
	return without(all, gone)
}

// besides are the checks that hold the values of one test, one measurement or one limit against one another.
var besides = []*Check{testNotAsStated, readingsSpread, figureUnlike, decimalsTooFine, holderWearLess,
	closingAboveOpening, limitMissed, figureNotBelieved}

// sameLineTold tells what the values of one line of a record show beside each other under what says that one of them
// cannot be.
func sameLineTold(all []Finding) []Finding {
	heads := map[fileLine]int{}
	for i, f := range all {
		at := fileLine{f.Place.Path, f.Place.Line}
		if by, met := heads[at]; met && Named(all[by].Check) == unitMistaken {
			continue // a unit that is wrong is why the figure cannot be right
		}
		if f.leads() && (nearness(&f) <= ofImpossible || f.Check == gaugeRange.Name) {
			heads[at] = i
		}
	}
	gone := make([]bool, len(all))
	for i, f := range all {
		by, met := heads[fileLine{f.Place.Path, f.Place.Line}]
		if met && by != i && f.Grade < Stop && f.origin == nil && slices.Contains(besides, Named(f.Check)) {
			gone[i] = all[by].tells(f, follows)
		}
	}
	return comparedTold(without(all, gone))
}

// comparisons are the checks that hold one value against another, each with those that say of the value itself what the
// comparison says again.
var comparisons = map[*Check][]*Check{
	leakDownBetter: {leakDownSlow, leakDownSlowAsFound},
	figureUnlike:   {readingsSpread},
}

// comparedTold tells once what is said of one value of a record, and of its comparison with another.
func comparedTold(all []Finding) []Finding {
	type heard struct {
		by *Check
		fileLine
	}
	heads := map[heard]int{}
	for i, f := range all {
		if f.leads() {
			heads[heard{Named(f.Check), fileLine{f.Place.Path, f.Place.Line}}] = i
		}
	}
	gone := make([]bool, len(all))
	for i, f := range all {
		places := []fileLine{{f.Place.Path, f.Place.Line}}
		for _, r := range f.Related {
			places = append(places, fileLine{r.Place.Path, r.Place.Line})
		}
		for _, by := range comparisons[Named(f.Check)] {
			for _, at := range places {
				if head, met := heads[heard{by, at}]; met && !gone[i] && f.Grade < Stop {
					gone[i] = all[head].tells(f, follows)
				}
			}
		}
	}
	return without(all, gone)
}

// ofWriting is the furthest that a finding is from the writing of its value and may still speak for the others there.
const ofWriting = 4

// ofImpossible is the furthest of one that says that its value cannot be as it is written.
const ofImpossible = 1

// impossible are the checks that say that a value cannot be what is written.
var impossible = []*Check{unitMistaken, figureNotBelieved, dateAhead, dateOutOfPlace, serialLetters, fileName,
	cellInWrongColumn, serialUnknown, nameUnknown, counterBackwards}

// nearness is the order of those that speak for a value: it cannot be read, it cannot be right, it was read and is
// written amiss, it does not fit to others, it says something of the valve.
func nearness(f *Finding) int {
	k := Named(f.Check)
	switch {
	case f.origin != nil && !f.origin.Read:
		return 0
	case slices.Contains(impossible, k):
		return 1
	case f.origin != nil:
		return 2
	case k != nil && k.Ends == writing:
		return ofWriting
	}
	return ofWriting + 1
}

// fitting are the checks of how records follow from one another: what one of them says of a record is said again by
// others about the valves and the cylinders that its dates, places and serials name. The first speaks for the others.
var fitting = []*Check{partInTwoPlaces, dateAhead, dateOrder, dateOutOfPlace, recordName, counterBackwards,
	serialUnknown, fitAndRemoval, partsNotAsDecided, notAboard, hoursDiffer, lateEntry, asFoundAfterAsLeft, counterTooFast,
	counterTooSlow, counterUnusual, hoursAboveCounter}

// recordsTold tells once what does not fit about one record: the record that most of such findings name, at the finding
// about it that is nearest to its dates and places.
func (t teller) recordsTold(all []Finding) []Finding {
	touching := map[string][]int{} // by path of the record
	for i := range all {
		f := &all[i]
		if k := Named(f.Check); !slices.Contains(fitting, k) || f.origin != nil && f.origin.Read && k != recordName {
			continue
		}
		for _, path := range t.touches(f) {
			touching[path] = append(touching[path], i)
		}
	}
	gone := make([]bool, len(all))
	queue := &mostNamed{}
	for path, at := range touching {
		*queue = append(*queue, named{path, len(at)})
	}
	for heap.Init(queue); queue.Len() > 0; {
		most := heap.Pop(queue).(named)
		group := slices.DeleteFunc(touching[most.path], func(i int) bool { return gone[i] })
		touching[most.path] = group
		own := slices.ContainsFunc(group, func(i int) bool { return all[i].Place.Path == most.path })
		switch {
		case len(group) < 2 || !own:
			continue // nothing is about the record itself
		case len(group) < most.times: // some were told meanwhile
			heap.Push(queue, named{most.path, len(group)})
			continue
		}
		head := slices.MinFunc(group, func(i, j int) int {
			return cmp.Or(headRank(&all[i], most.path)-headRank(&all[j], most.path), i-j)
		})
		for _, i := range group {
			if i != head && all[i].Grade < Stop && t.shareAPart(&all[head], &all[i]) {
				gone[i] = all[head].tells(all[i], follows)
			}
		}
	}
	return without(all, gone)
}

// shareAPart says that two findings are in one file, or about one position, holder or nozzle: what a record at fault
// does to others is about its own valve and its own places.
func (t teller) shareAPart(f, g *Finding) bool {
	parts := func(f *Finding) []string {
		all := []string{f.Place.Path, "", "", ""}
		if f.About.Position.Engine != "" {
			all[1] = "at " + f.About.Position.String()
		}
		all[2], all[3] = f.About.Holder, f.About.Nozzle
		if o := t.records[f.Place.Path]; o != nil {
			all = append(all, o.Holder.Written)
		}
		return all
	}
	others := parts(g)
	return slices.ContainsFunc(parts(f), func(p string) bool { return p != "" && slices.Contains(others, p) })
}

// named is a record and how many findings name it that were not told when it was counted.
type named struct {
	path  string
	times int
}

// mostNamed is the queue of the records, that which most findings name first.
type mostNamed []named

func (q mostNamed) Len() int { return len(q) }
func (q mostNamed) Less(i, j int) bool {
	return q[i].times > q[j].times || q[i].times == q[j].times && q[i].path < q[j].path
}
func (q mostNamed) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *mostNamed) Push(x any)   { *q = append(*q, x.(named)) }
func (q *mostNamed) Pop() any {
	last := len(*q) - 1
	x := (*q)[last]
	*q = (*q)[:last]
	return x
}

// headRank is the order of those that speak for a record.
func headRank(f *Finding, path string) int {
	rank := slices.Index(fitting, Named(f.Check))
	if f.Place.Path != path {
		rank += len(fitting)
	}
	return rank
}

// touches are the records that a finding is about, by path: where it is, what it names, and of a valve that went in or
// came out the record of that day, the one before and the one after.
func (t teller) touches(f *Finding) (paths []string) {
	add := func(path string) {
		if t.records[path] != nil && !slices.Contains(paths, path) {
			paths = append(paths, path)
		}
	}
	add(f.Place.Path)
	for _, r := range f.Related {
		if _, told := r.Follows(); !told {
			add(r.Place.Path)
		}
	}
	if f.Check != fitAndRemoval.Name {
		return paths
	}
	days := dayIn.FindAllString(f.Message, -1)
	for _, word := range strings.Fields(f.Message) {
		last, next := "", ""
		for _, o := range t.valves()[strings.Trim(word, ",:")] {
			for _, day := range days {
				if o.Day().String() == day || o.Fitted.Date.Day.String() == day {
					add(o.Path)
				}
			}
			if len(days) > 0 && o.Day().String() < days[0] {
				last = o.Path
			}
			if len(days) > 0 && next == "" && o.Day().String() > days[0] {
				next = o.Path
			}
		}
		add(last)
		add(next)
	}
	return paths
}

// exchangedTold tells once of two values of one file that cannot be read, where each is what is expected at the other.
func exchangedTold(all []Finding) []Finding {
	files := map[string][]int{}
	for i, f := range all {
		if f.origin != nil && !f.origin.Read && f.origin.Found != "" {
			files[f.Check+"\x00"+f.Place.Path] = append(files[f.Check+"\x00"+f.Place.Path], i)
		}
	}
	gone, paired := make([]bool, len(all)), make([]bool, len(all))
	for _, at := range files {
		if len(at) > mostHeld {
			continue
		}
		for n, i := range at {
			for _, j := range at[n+1:] {
				a, b := all[i].origin, all[j].origin
				if !paired[i] && !paired[j] && expects(a, b.Found) && expects(b, a.Found) && all[i].tells(all[j], follows) {
					all[i].Next = "are the two exchanged? correct both"
					gone[j], paired[i], paired[j] = true, true, true
				}
			}
		}
	}
	return without(all, gone)
}

// answersTold tells what is open only because who answered had no post by the crew list under what is open about that
// person's lines there.
func answersTold(b *logbook.Book, all []Finding) []Finding {
	lines := map[fileLine]string{}
	for _, s := range b.Crew {
		lines[fileLine{s.Place.Path, s.Place.Line}] = s.ID.Written
	}
	heads := map[string]int{} // by person
	for i, f := range all {
		if by := lines[fileLine{f.Place.Path, f.Place.Line}]; by != "" && f.State == Open && f.leads() {
			if _, met := heads[by]; !met {
				heads[by] = i
			}
		}
	}
	gone := make([]bool, len(all))
	for i, f := range all {
		if by, met := heads[f.heldBy]; met && f.heldBy != "" && f.State == Open && f.Grade < Stop && by != i {
			gone[i] = all[by].tells(f, follows)
		}
	}
	return without(all, gone)
}

// mostHeld is how many unreadable values of one file are held against one another: more have another cause.
const mostHeld = 20

// expects says that what is expected at a slip is, or holds, some text.
func expects(p *logbook.Problem, text string) bool {
	_, list, _ := strings.Cut(p.Expected, ": ")
	between := func(r rune) bool { return r == ',' || r == ' ' }
	return slices.Contains(strings.FieldsFunc(cmp.Or(list, p.Expected), between), text)
}
