package events

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
)

// over leaves one line for each key of the register: a line that one side took out is out, and of two texts the one
// stands that ends first, so that whoever only joins gives nobody more than each side alone gives him. Of a key
// that two sides let in under two names both stand: whose it is, somebody has to say.
func (h *History) over(j *Joint, sides []*State) {
	byKey := map[string][]int{}
	for _, e := range j.Live {
		if it := h.Item(e); it.Kind == Entry {
			byKey[it.Key] = append(byKey[it.Key], e)
		}
	}
	for _, list := range byKey {
		first := slices.MinFunc(list, h.earlier)
		another := func(e int) bool { return principal(h.all[e].Text) != principal(h.all[first].Text) }
		if slices.ContainsFunc(list, func(e int) bool { return h.takenOut(e, sides) }) {
			first = -1
		} else if slices.ContainsFunc(list, another) {
			continue
		}
		for _, e := range list {
			if e != first {
				j.Over[e] = first
			}
		}
	}
	j.Live = slices.DeleteFunc(j.Live, func(e int) bool { _, over := j.Over[e]; return over })
}

// takenOut says that a side took out the line in whose place an event came, and has none of its key.
func (h *History) takenOut(e int, sides []*State) bool {
	return slices.ContainsFunc(sides, func(s *State) bool {
		o := h.origin(e, s)
		return o >= 0 && o != e && !slices.ContainsFunc(s.live(), func(l int) bool {
			return h.all[l].Kind == Entry && h.all[l].Key == h.all[e].Key
		})
	})
}

// earlier orders two lines of one key: the one that ends first, that begins later, that lets its key do less, that
// does not wait to be confirmed, and then by their text, so that every copy takes the same one.
func (h *History) earlier(a, b int) int {
	x, y := h.all[a].Text, h.all[b].Text
	m, n := window.FindStringSubmatch(x), window.FindStringSubmatch(y)
	if m == nil || n == nil {
		return cmp.Or(strings.Compare(x, y), a-b)
	}
	return cmp.Or(strings.Compare(end(m[3]), end(n[3])), strings.Compare(minute(n[2]), minute(m[2])),
		len(m[1])-len(n[1]), waits(x)-waits(y), strings.Compare(x, y), a-b)
}

// window is what a line of the register lets its key do, from when on, and until when.
var window = regexp.MustCompile(`^\S+ +namespaces="([^"]*)"(?:,valid-after="([0-9]+)Z")?(?:,valid-before="([0-9]+)Z")?`)

// minute is a date as it sorts among others, with its minute or without.
func minute(date string) string { return (date + "0000")[:min(len(date)+4, 12)] }

// end is a last minute as it sorts among others; none is later than all.
func end(date string) string {
	if date == "" {
		return "~"
	}
	return minute(date)
}

func principal(line string) string {
	name, _, _ := strings.Cut(line, " ")
	return name
}

func waits(line string) int {
	if strings.HasSuffix(line, "key pending") {
		return 1
	}
	return 0
}
