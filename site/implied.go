package site

import (
	"needlebook/checks/implied"
	"needlebook/logbook"
)

// implied writes what the figures of a record imply by the physics of the valve: closed, for who looks for a cause.
func (s *sheet) implied(o *logbook.Overhaul) {
	lines := implied.Of(s.Book, o, s.judged)
	if len(lines) == 0 {
		return
	}
	s.m(`<section><h2 id="implied">What the figures imply</h2><details><summary>worked out by the physics of the valve, to look for a cause; judged by nobody</summary>`)
	s.table("list", "what", "worked out", "how")
	for _, l := range lines {
		s.m(`<tr><th scope="row">`).a(here(l.Place), l.Name).m("</th><td>")
		if l.Value == "" {
			s.m("– ").t(l.Cannot)
		} else {
			s.t(l.Value)
		}
		s.m("</td><td>")
		for i, how := range l.Working {
			if i > 0 {
				s.m("<br>")
			}
			s.t(how)
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div></details></section>")
}
