package trace

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"needlebook/logbook"
)

var adoptedForm = regexp.MustCompile(`^([0-9a-f]{40}) +(\S.*)$`)

// adopt gives the commits that signers/adopted names to the signer who answers for them: a chief or
// superintendent who had the commit in his past, and who did not make it. It makes no signature good and
// brings no register into force; what the commit changed must be his to answer for.
func (h *history) adopt() error {
	f := h.files[adoptedPath]
	if f == nil {
		return nil
	}
	told := map[string]bool{}
	for _, v := range f.versions {
		if v.blob.IsZero() || h.commits[v.commit].State == logbook.NotJudged {
			continue
		}
		lines, err := h.lines(v.blob)
		var broken *BrokenError
		if errors.As(err, &broken) {
			return err
		} else if err != nil {
			h.blame(v.commit, "%s is refused: %v", adoptedPath, err)
			continue
		}
		for _, l := range lines {
			if told[l.text] {
				continue // an earlier version brought the line, and answers for it
			}
			told[l.text] = true
			if err := h.adoptOne(v, l); err != nil {
				h.blame(v.commit, "%s line %d does not count: %v", adoptedPath, l.number, err)
			}
		}
	}
	return nil
}

func (h *history) adoptOne(v version, l numberedLine) error {
	m := adoptedForm.FindStringSubmatch(l.text)
	if m == nil {
		return fmt.Errorf("it is not of the form COMMIT REASON: %q", clip(l.text))
	}
	by := &h.commits[v.commit]
	at := slices.IndexFunc(h.commits, func(c logbook.Commit) bool { return c.ID == m[1] })
	switch {
	case at < 0 || at == v.commit || !h.sight(v.commit).has(at):
		return fmt.Errorf("commit %s is not in its past", m[1][:12])
	case by.State != logbook.Signed || v.notHis != "":
		return fmt.Errorf("its signer does not speak for a chief or superintendent")
	}
	c := &h.commits[at]
	switch {
	case c.State.Speaks() || c.State == logbook.NotJudged:
		return nil // nothing to answer for
	case c.State == logbook.SecondRoot:
		return fmt.Errorf("a second beginning cannot be adopted")
	case c.Person != "" && SamePerson(c.Person, by.Person):
		return fmt.Errorf("%s made the commit too", by.Person)
	case by.Pending:
		return fmt.Errorf("the key of %s is pending, and does not count as a second person", by.Person)
	}
	c.State, c.AdoptedBy, c.Why = logbook.Adopted, by.Signer, m[2]
	c.LetInBy, c.Pending = by.LetInBy, false // of the one who answers now
	roles := h.verdicts[v.commit].line.roles
	for _, ch := range c.Changes {
		if why := notHisToAnswer(ch.Path, roles); why != "" {
			h.disown(at, ch.Path, why)
		}
	}
	return nil
}

// notHisToAnswer says why one with these roles cannot answer for a change of a path; empty when he can. A chief answers
// for what he could have written, a superintendent for everything, since he lets in who may write it. What an adopted
// commit does to the files under hands has no force whoever answers.
func notHisToAnswer(path string, has role) string {
	if has&superintendent != 0 || strings.HasPrefix(path, "signers/") {
		return ""
	}
	return notHis(path, has)
}

// NotHisToAnswer says why a hand with these roles, in the words of Hand, cannot adopt a commit that changed a path;
// empty when he can.
func NotHisToAnswer(path string, roles []string) string { return notHisToAnswer(path, rolesOf(roles)) }
