package invent

import "fmt"

// fittingFaults are those of the fitting and of the days after it.
var fittingFaults = []fault{
	record("fitted in a cylinder that is not there", "name-unknown", unread,
		func(j *job) bool { return j.has("fitted.cylinder") }, func(_ *planter, j *job) {
			j.page.front.set("fitted.cylinder", "99")
		}),
	lose("no torque at the clamp nuts", "tightening", "fitted.clamp_nuts.torque"),
	lose("clamp nuts not spoken of", "tightening", "fitted.clamp_nuts"),
	set("clamp nuts too tight", "tightening", "fitted.clamp_nuts.torque", func(p *planter, j *job) string {
		return p.gear.on(smallWrench, j.fitDay).scale.read(p.manual.clamp.torque.bases() * p.size(1.14, 1.7)).String()
	}, "unit-mistaken"),
	set("stands short", "protrusion", "fitted.protrusion", func(p *planter, _ *job) string {
		return p.manual.protrusion.scale.read(p.manual.protrusion.bases() - p.manual.ring).String()
	}),
	lose("no leak check", "leak-check", "fitted.leak_check"),
	lose("no shields", "leak-check", "fitted.shields"),
	set("leaks looked for cold only", "leak-check", "fitted.leak_check", fixed("cold")),
	record("no better after the change", "running-data-after-fitting", []string{"high-exhaust-not-followed-up"},
		func(j *job) bool {
			return j.replaced != nil && j.has("running_after.exhaust_deviation") && signed(j.replaced) > j.replaced.limit
		}, func(p *planter, j *job) {
			j.page.front.set("running_after.exhaust_deviation", fmt.Sprintf("%+d K", signed(j.replaced)+3))
		}),
	record("after at another load", "running-data-not-comparable", nil, func(j *job) bool {
		return j.replaced != nil &&
			j.replaced.tested() && j.has("running_after.load")
	}, func(_ *planter, j *job) {
		j.page.front.set("running_after.load", "35 %")
	}),
	{name: "own work countersigned", check: "same-person", plant: func(p *planter) bool {
		j := p.job(func(j *job) bool { return true })
		p.found = nil
		path := "countersigned/" + j.stem() + "." + j.by.id + ".md"
		p.after = append(p.after, func(all map[string][]byte) {
			all[path] = (&page{path: path, style: j.by.style, front: keys("", text("record", j.page.path),
				text("sha256", digest(all[j.page.path])), text("seen", "as seen"))}).source()
		})
		p.at(path, j.stem())
		return true
	}},
}

// signed is the exhaust deviation noted before a removal.
func signed(j *job) int {
	var k int
	fmt.Sscanf(j.says("as_found.running_before.exhaust_deviation"), "%d K", &k)
	return k
}
