package invent

import (
	"fmt"
	"strings"
)

// unread is what follows when a record, or its dates and serials, cannot be read: the parts it moved are lost from
// sight.
var unread = []string{"fit-and-removal", "part-in-two-places", "spares-not-booked", "serial-unknown", "same-person",
	"hours-differ", "holder-wear-less", "lift-shorter", "setting-for-other-state", "setting-out-of-band",
	"lift-grew", "opening-rose", "opening-lost", "leak-down-better", "leak-down-lost", "round-incomplete", "nozzle-life",
	"deferral-run-out", "overdue", "gauge-in-doubt", "pressure-loss-not-explained", "spare-test-too-old",
	"worn-part-returns"}

// writingFaults are slips of writing.
var writingFaults = []fault{
	set("decimal comma", "decimal-comma", "as_left.leak_down.time", func(_ *planter, j *job) string {
		return strings.Replace(j.says("as_left.leak_down.time"), ".", ",", 1)
	}),
	record("thousands separator", "thousands-separator", unread, func(j *job) bool {
		return len(counterOf(j)) >= 4 &&
			j.has("removed.counter")
	}, func(_ *planter, j *job) {
		whole := counterOf(j)
		j.page.front.set("removed.counter", strings.Replace(j.says("removed.counter"), whole,
			whole[:len(whole)-3]+","+whole[len(whole)-3:], 1))
	}),
	set("minutes in a time", "colon-in-number", "as_found.leak_down.time", fixed("3:20 s")),
	set("no unit", "unit-missing", "measured.holder_wear.value", func(_ *planter, j *job) string {
		return strings.Fields(j.says("measured.holder_wear.value"))[0]
	}),
	set("unit of another kind", "unit-unknown", "assembled.nozzle_nut.torque", func(_ *planter, j *job) string {
		return strings.Fields(j.says("assembled.nozzle_nut.torque"))[0] + " kN"
	}),
	set("unit spelled otherwise", "unit-spelling", "as_left.end_cap.torque", func(_ *planter, j *job) string {
		return strings.NewReplacer("N·m", "Nm", "kgf·m", "kgfm", "lbf·ft", "ft-lb").Replace(j.says("as_left.end_cap.torque"))
	}),
	record("leading zero", "number-form", unread, func(j *job) bool { return j.has("removed.counter") },
		func(_ *planter, j *job) {
			j.page.front.set("removed.counter", "0"+j.says("removed.counter"))
		}),
	spoiled("key twice", "repeated-key", nil, func(src string) string { return endOfFront(src, "by: x.nobody\n") }),
	spoiled("front matter not closed", "front-matter", unread, func(src string) string {
		i := strings.LastIndex(src, "\n---\n")
		return src[:i+1] + src[i+len("\n---\n"):]
	}),
	spoiled("bracket not closed", "yaml-form", nil, func(src string) string { return endOfFront(src, "minutes: [50\n") },
		"unknown-key", "repeated-key"),
	spoiled("old code page", "text-encoding", unread, func(src string) string { return src + "\nQuerelle \xe9teinte.\n" }),
	spoiled("byte-order mark", "byte-order-mark", nil, func(src string) string { return "\ufeff" + src }),
	spoiled("key misspelt", "unknown-key", nil, func(src string) string {
		return endOfFront(src,
			"remmarks: see below\n")
	}),
	set("word of another's making", "word-not-known", "stripped.needle", fixed("wobbly")),
	set("day that does not exist", "date-form", "as_found.date", fixed("2019-02-30"), "date-order"),
	record("identity like a number", "serial-not-quoted", nil,
		func(j *job) bool { return !strings.ContainsAny(j.holder.serial, "-/.") }, func(_ *planter, j *job) {
			j.page.front.at("holder").plain = true
		}),
	set("gap without a reason", "reason-missing", "measured.seat_diameter", fixed("not measured")),
	record("reason cut at a comma", "reason-cut", nil, func(j *job) bool { return j.has("measured.seat_diameter") },
		func(_ *planter, j *job) {
			signer := *j.page.style
			signer.oneLine, signer.wide = 99, 2000
			j.page.style = &signer
			j.page.front.set("measured.seat_diameter", "not measured (lens broken, the new one not here)")
			j.page.front.at("measured.seat_diameter").plain = true
		}),
	{name: "row of a table cut", check: "table-form", plant: func(p *planter) bool {
		p.after = append(p.after, func(all map[string][]byte) {
			all["crew.csv"] = []byte(strings.TrimSuffix(string(all["crew.csv"]), ",\n") + "\n")
		})
		p.at("crew.csv", "")
		return true
	}},
	{name: "limits the wrong way round", check: "limit-form", may: []string{"leak-down-slow-as-found"},
		plant: func(p *planter) bool {
			path := "limits/" + fileName(p.manual.kind) + ".md"
			low, high := fmt.Sprintf("%.1f", p.manual.leakMin), fmt.Sprintf("%.1f", p.manual.leakMax)
			p.after = append(p.after, func(all map[string][]byte) {
				all[path] = []byte(strings.Replace(string(all[path]), low+" .. "+high+" s", high+" .. "+low+" s", 1))
			})
			p.at(path, "")
			return true
		}},
	{name: "stray file", check: "file-not-read", plant: func(p *planter) bool {
		p.after = append(p.after, func(all map[string][]byte) { all["overhauls/list of valves.xlsx"] = []byte("PK") })
		p.at("overhauls/list of valves.xlsx", "")
		return true
	}},
}

// spoiled is a fault made on the text of a record.
func spoiled(name, check string, may []string, change func(src string) string, also ...string) fault {
	return record(name, check, append(also, may...), func(j *job) bool { return j.from != nil },
		func(_ *planter, j *job) { j.page.spoil = append(j.page.spoil, change) })
}

// endOfFront adds a line at the end of the front matter.
func endOfFront(src, line string) string {
	i := strings.LastIndex(src, "\n---\n")
	return src[:i+1] + line + src[i+1:]
}

// counterOf is the whole part of the counter reading at the removal.
func counterOf(j *job) string {
	whole, _, _ := strings.Cut(strings.TrimSuffix(j.says("removed.counter"), " h"), ".")
	return whole
}
