package site

import (
	"strings"

	"needlebook/logbook"
)

// tracePageNumber writes one page of the trace: on the first what the history proves and how to look again, then the commits, the
// newest first.
func (s *sheet) tracePageNumber(page int) error {
	s.begin("trace", "list", step{"", "trace"})
	t := s.trail
	s.m("<h1>Trace</h1>")
	if page == 0 {
		s.proofBlock()
		if !t.UnderGit {
			s.m(`<p id="again">Texts stand as they are; nobody's signature speaks for any of them here, and there is nothing to look up again.</p>`)
			return s.end(pageTrace, s.footShort)
		}
		s.rooted()
		s.broken()
		s.workTree()
		s.vanished()
		s.again()
	}
	n := len(t.Commits)
	name := func(i int) string {
		first, last := n-i*commitsOnPage, max(n-(i+1)*commitsOnPage+1, 1)
		return grouped(last) + " to " + grouped(first)
	}
	s.m("<section><h2>Commits, the newest first</h2>")
	s.pager(s.pages.traces, page, name)
	s.table("list commits", "commit", "stated", "state", "by", "message", "files")
	for i := page * commitsOnPage; i < min((page+1)*commitsOnPage, n); i++ {
		s.commitRow(&t.Commits[n-1-i])
	}
	s.m("</tbody></table></div>")
	s.pager(s.pages.traces, page, name)
	s.m("</section>")
	return s.end(s.pages.traces[page], s.footShort)
}

// rooted says what the history was held against.
func (s *sheet) rooted() {
	t := s.trail
	s.m(`<dl class="terms"><dt>tip</dt><dd><code>`).t(t.Head).m("</code>")
	if t.Branch != "" {
		s.m(" on ").t(t.Branch)
	}
	s.m("</dd><dt>founding proof</dt><dd>")
	if t.FoundingProof == "" {
		s.m("none was given: the history is at best consistent with itself")
	} else {
		s.m("<code>").t(t.FoundingProof).m("</code>, held outside the book")
	}
	s.m("</dd><dt>founding commit</dt><dd>")
	if c := t.At(t.Founding); c != nil {
		s.commit(c).m(" of ").t(c.Stated.UTC().Format("2006-01-02")).m(" (stated), by ").t(writer(c))
	} else {
		s.m("none")
	}
	s.m("</dd><dt>commits</dt><dd>").t(grouped(len(t.Commits))).m("</dd>")
	states := map[logbook.State]int{}
	var order []logbook.State
	standing := 0
	for i := range t.Commits {
		c := &t.Commits[i]
		if states[c.State] == 0 {
			order = append(order, c.State)
		}
		states[c.State]++
		if !c.Stands {
			standing++
		}
	}
	for _, st := range order {
		s.m("<dt>").t(string(st)).m("</dt><dd>").t(grouped(states[st])).m("</dd>")
	}
	if standing > 0 {
		s.m("<dt>in the way</dt><dd>").t(counted(standing, "one commit stands", "commits stand")).m(" in the way of a proved history")
		shown := 0
		for i := range t.Commits {
			if c := &t.Commits[i]; !c.Stands && shown < 20 {
				s.m(" ").commit(c)
				shown++
			}
		}
		s.m("</dd>")
	}
	s.m("</dl>")
}

// broken lists the texts whose bytes are not what their names say.
func (s *sheet) broken() {
	if len(s.trail.Broken) == 0 {
		return
	}
	s.m(`<section id="broken"><h2>Broken texts</h2><p class="loud">The stored bytes are missing, or are not those that were committed.</p><ul>`)
	for _, b := range s.trail.Broken {
		s.m("<li><code>").t(b.Path).m("</code> <code>").t(short(b.Blob)).m("</code>: ").t(b.Why).m("</li>")
	}
	s.m("</ul></section>")
}

func (s *sheet) workTree() {
	if len(s.trail.WorkTree) == 0 {
		return
	}
	s.m(`<section id="work-tree"><h2>Not as committed</h2><ul>`)
	for _, w := range s.trail.WorkTree {
		s.m("<li>").a(s.pages.file[w.Path], w.Path).m(": ").t(w.What).m("</li>")
	}
	s.m("</ul></section>")
}

func (s *sheet) vanished() {
	if len(s.trail.Vanished) == 0 {
		return
	}
	s.m(`<section id="vanished"><h2>Records that are gone</h2><p>The book held them once; no page of it holds them now.</p><ul>`)
	for _, v := range s.trail.Vanished {
		s.m("<li><code>").t(v.Path).m("</code>, taken out in ").commit(s.trail.At(v.Commit)).m("; its last text: <code>git cat-file blob ").t(short(v.LastBlob)).m("</code></li>")
	}
	s.m("</ul></section>")
}

// again says how to prove the history with git and ssh-keygen alone, and what they cannot see.
func (s *sheet) again() {
	s.m(`<section id="again"><h2>How to look again without this program</h2><p>`)
	s.a(proofScript, "prove-again.sh").m(`, a short script in plain shell that comes with these pages, proves the history from the founding commit on, and says at its end what it cannot see: <code>sh prove-again.sh</code> in the folder of the book. It reads a copy of its own and runs nothing that the settings of the book name. Or step by step, with git and ssh-keygen alone, in a fresh clone, whose settings are yours:</p><pre>`)
	for _, line := range []string{
		"export GIT_NO_REPLACE_OBJECTS=1 GIT_NO_LAZY_FETCH=1 GIT_CONFIG_GLOBAL=/dev/null TZ=UTC",
		"git clone --no-local --no-checkout BOOK again && cd again   # never run git in a folder that a stranger made",
		"git fsck --full --strict                       # every text has the name its bytes give it",
		"git rev-parse HEAD                             # " + s.trail.Head,
		"git show HEAD:hands/signers > signers",
		"git -c gpg.format=ssh -c gpg.ssh.allowedSignersFile=signers log --format='%h %G? %GF %GS %cI %s'",
		"git log --follow --format='%H %G? %GF' -- overhauls/…   # who wrote one record, with the two -c settings above",
		"git show HEAD:overhauls/… | sha256sum          # the digest that its page and its countersignature name",
	} {
		s.t(line).m("\n")
	}
	if c := s.trail.At(s.trail.Founding); c != nil {
		s.t("git show " + c.ID + ":hands/signers > founding   # the first register").m("\n")
		s.t(`grep -o 'ssh-ed25519 [A-Za-z0-9+/=]*' founding | ssh-keygen -l -f -   # the fingerprint in the founding proof must be among these`).m("\n")
	}
	s.m(`</pre><p>G means a good signature by a key of the register as it stands now. git alone cannot tell whether the key was in force at that place in the history, whether its hand had the right to change that file, whether a merge left a record out, or whether the history was rewritten before you first saw it. A founding proof that you hold outside the book, and this program's <code>verify</code>, close those gaps.</p></section>`)
}

// pathsShown is how many files of a commit are listed.
const pathsShown = 6

func (s *sheet) commitRow(c *logbook.Commit) {
	class := markup("")
	if !c.Stands {
		class = ` class="inway"`
	}
	s.m(`<tr id="c-`, markup(slugOf(short(c.ID))), `"`, class, `><td><code>`).t(short(c.ID)).m("</code></td><td>").t(c.When("2006-01-02 15:04")).m("</td><td>")
	if c.State.Speaks() {
		s.m(strokeOne).t(string(c.State))
	} else {
		s.m(strokeBroken, `<span class="loud">`).t(string(c.State)).m("</span>")
	}
	s.t(why(c.Why))
	for _, m := range c.Marks {
		s.m(`<br><span class="loud">`).t(m).m("</span>")
	}
	s.m("</td><td>").t(writer(c))
	if len(c.Roles) > 0 {
		s.m(`<br><span class="by">`).t(strings.Join(c.Roles, ", ")).m("</span>")
	}
	s.m("</td><td>").t(oneLine(c.Message)).m("</td><td>")
	for i, ch := range c.Changes {
		if i == pathsShown {
			s.m("and ").i(len(c.Changes) - pathsShown).m(" more")
			break
		}
		s.a(s.pages.file[ch.Path], ch.Path)
		if ch.NotHis != "" {
			s.m(` <span class="loud">`).t(ch.NotHis).m("</span>")
		}
		s.m("<br>")
	}
	s.m("</td></tr>")
}
