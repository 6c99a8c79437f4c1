package rounds

import (
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// readings notes the lines that the counter lists lack: the day of the book is that of its last reading, so that a
// valve runs on in what is judged until the list has the day on which it came out.
func (k *taking) readings() {
	read := map[string]map[string][]string{} // by counter list and day: what the rows say
	for _, d := range k.order {
		for date, counter := range map[string]string{keys.RemovedDate: keys.RemovedCounter,
			keys.FittedDate: keys.FittedCounter} {
			i := slices.IndexFunc(d.entries, func(e entry) bool { return e.key == counter })
			day, err := logbook.ParseDay(d.entry(date))
			if i < 0 || err != nil {
				continue
			}
			all := k.b.Hours[k.b.HostOf(d.entries[i].at.Engine)]
			has := func(r logbook.Reading) bool { return r.Date.Day == day }
			if len(all) == 0 || slices.ContainsFunc(all, has) {
				continue
			}
			list, said := all[0].Date.Place.Path, strings.TrimSuffix(d.entries[i].text, " h")
			if read[list] == nil {
				read[list] = map[string][]string{}
			}
			if days := read[list]; !slices.Contains(days[day.String()], said) {
				days[day.String()] = append(days[day.String()], said)
			}
		}
	}
	for _, list := range slices.Sorted(maps.Keys(read)) {
		for _, day := range slices.Sorted(maps.Keys(read[list])) {
			if said := read[list][day]; len(said) == 1 {
				k.note("%s has no reading of %s: add the line %s,%s", list, day, day, said[0])
			} else {
				slices.Sort(said)
				k.note("%s has no reading of %s, and the rows differ: %s h", list, day, strings.Join(said, ", "))
			}
		}
	}
}
