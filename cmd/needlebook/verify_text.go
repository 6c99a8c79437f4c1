package main

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
)

// verifyText says in one line that all is proved, or else what is not; with all also every signer and every commit.
func (p *program) verifyText(t *logbook.Trail, r *remembered, all bool) {
	fmt.Fprintln(p.out, t.Headline)
	for _, line := range r.Rewritten {
		fmt.Fprintf(p.out, "REWRITTEN: %s\n", line)
	}
	for _, line := range slices.Concat(r.Doubts, r.Notes) {
		fmt.Fprintln(p.out, line)
	}
	if all {
		w := p.headed()
		fmt.Fprintln(p.out)
		fmt.Fprintln(w, "  signer\trole\tcommits signed\tfrom\tto\tkey let in by")
		for _, h := range signersOf(t) {
			fmt.Fprintf(w, "  %s\t%s\t%d\t%s\t%s\t%s\n", h.Principal, h.Role, h.Commits, h.First, h.Last,
				strings.Join(h.letIn(), ", "))
		}
		w.Flush()
	}
	printed := false
	for i := range t.Commits {
		if c := &t.Commits[i]; !c.Stands || all {
			if !printed {
				fmt.Fprintln(p.out)
				printed = true
			}
			p.commitText(t, i)
		}
	}
	for _, v := range t.Vanished {
		fmt.Fprintf(p.out, "%s: gone since commit %.10s; its last text: git cat-file blob %.10s\n", v.Path, t.At(v.Commit).ID,
			v.LastBlob)
	}
	for _, b := range t.Broken {
		fmt.Fprintf(p.out, "%s: broken: object %.10s %s\n", b.Path, b.Blob, b.Why)
	}
	p.countersignedText(t)
	p.saidBeside(t, all)
	for _, ch := range t.WorkTree {
		fmt.Fprintf(p.out, "%s: %s\n", ch.Path, ch.What)
	}
}

// countersignedText lists the countersignatures that do not hold for the text as it stands.
func (p *program) countersignedText(t *logbook.Trail) {
	for _, r := range sortedRecords(t) {
		for _, s := range r.Countersignatures {
			if s.State == logbook.Countersigned {
				continue
			}
			fmt.Fprintf(p.out, "%s: %s\n", r.Path, s.Words())
			for _, ch := range s.Changed {
				fmt.Fprintf(p.out, "    %s in commit %.10s%s\n", became(ch.Path, ch.Old, ch.New), t.At(ch.Commit).ID,
					entered(ch.Correction))
			}
			for _, ch := range s.Evidence {
				fmt.Fprintf(p.out, "    %s in commit %.10s\n", replaced(ch), t.At(ch.Commit).ID)
			}
		}
	}
}

// became says on one line what a value was and is; of a text of several lines the first that differs.
func became(path, old, now string) string {
	before, after := strings.Split(old, "\n"), strings.Split(now, "\n")
	n := 0
	for n < min(len(before), len(after))-1 && before[n] == after[n] {
		n++
	}
	if before[n] == after[n] && len(before) != len(after) { // one goes on where the other ends
		before, after, n = append(before, ""), append(after, ""), n+1
	}
	if n > 0 {
		path = fmt.Sprintf("%s, line %d", path, n+1)
	}
	more := ""
	if strings.Join(before[n+1:], "\n") != strings.Join(after[n+1:], "\n") {
		more = " …"
	}
	return fmt.Sprintf("%s: %s → %s%s", path, dash(before[n]), dash(after[n]), more)
}

// replaced says what became of a picture or log that somebody saw.
func replaced(ch logbook.EvidenceChange) string {
	if ch.New == "" {
		return ch.Path + " taken out"
	}
	return fmt.Sprintf("%s replaced (as seen: git cat-file blob %.12s)", ch.Path, ch.Old)
}

// stands says on one line what a value is.
func stands(path, now string) string {
	first, rest, _ := strings.Cut(now, "\n")
	if rest != "" {
		first += " …"
	}
	return path + ": " + dash(first)
}

// entered says that the record strikes the value through itself.
func entered(correction string) string {
	if correction == "" {
		return ""
	}
	return ", entered as a correction"
}

// saidBeside lists what does not stand in the way of a proof and yet is no plain signature: commits that somebody else
// answers for, clocks that went back. Dates prove nothing.
func (p *program) saidBeside(t *logbook.Trail, all bool) {
	if all {
		return // each stands with its commit
	}
	for i := range t.Commits {
		c := &t.Commits[i]
		if !c.Stands {
			continue
		}
		if c.State == logbook.Adopted {
			fmt.Fprintf(p.out, "commit %.10s of %s: adopted by %s, key of %s: %s\n", c.ID, c.Stated.Format("2006-01-02"),
				c.AdoptedBy, dash(c.Signer), c.Why)
		}
		for _, m := range c.Marks {
			fmt.Fprintf(p.out, "commit %.10s of %s: %s\n", c.ID, c.When("2006-01-02"), m)
		}
	}
}

func (p *program) commitText(t *logbook.Trail, i int) {
	c := &t.Commits[i]
	who := c.Signer
	if who == "" {
		who = fmt.Sprintf("named in the commit: %s <%s>", c.AuthorName, c.AuthorEmail)
	}
	if c.State == logbook.Adopted {
		who = fmt.Sprintf("by %s, key of %s", c.AdoptedBy, dash(c.Signer))
	}
	if c.Pending {
		who += ", " + logbook.PendingWords
	}
	fmt.Fprintf(p.out, "%.10s  %s  %s  %s", c.ID, c.When("2006-01-02 15:04Z"), c.State, who)
	if c.Why != "" {
		fmt.Fprintf(p.out, ": %s", c.Why)
	}
	fmt.Fprintf(p.out, "\n    %q\n", c.Message)
	// picked, or made again, by the signer
	if c.Signer != "" && (c.AuthorName != c.CommitterName || c.AuthorEmail != c.CommitterEmail) {
		fmt.Fprintf(p.out, "    named in the commit as author: %s <%s>\n", c.AuthorName, c.AuthorEmail)
	}
	if t.Made != nil {
		fmt.Fprintf(p.out, "    %s\n", t.Made[i])
	}
	for _, m := range c.Marks {
		fmt.Fprintf(p.out, "    %s\n", m)
	}
	if c.Stands {
		return
	}
	for _, ch := range c.Changes {
		line := ch.Path
		if ch.NotHis != "" {
			line += ": " + ch.NotHis
		}
		fmt.Fprintf(p.out, "    %s\n", line)
		for _, touched := range touches(t, ch.Path, i) {
			fmt.Fprintf(p.out, "        %s\n", touched)
		}
	}
}

// touches says what of a commit's change of a file still stands at the tip: each value, with what it was before.
func touches(t *logbook.Trail, path string, commit int) []string {
	r := t.Records[path]
	if r == nil { // moved since
		for _, other := range sortedRecords(t) {
			if slices.ContainsFunc(other.Versions, func(v logbook.Version) bool {
				return v.Commit == commit &&
					v.Path == path
			}) {
				r = other
			}
		}
	}
	switch {
	case r == nil:
		return []string{"the tip does not hold it"}
	case r.Values == nil && r.Now().Commit == commit:
		return []string{"the whole text stands"}
	case r.Values == nil:
		return []string{"a later text stands"}
	}
	var lines []string
	for _, key := range sortedValues(r) {
		s := r.Values[key]
		switch {
		case s.Commit != commit:
		case len(s.Before) > 0:
			lines = append(lines, became(key, s.Before[len(s.Before)-1].Written, s.Written)+entered(s.Correction))
		default:
			lines = append(lines, stands(key, s.Written))
		}
	}
	if len(lines) == 0 && r.Now().Commit == commit {
		return []string{"the text stands, no value in it was changed"}
	}
	if len(lines) == 0 {
		return []string{"nothing that it wrote stands any more"}
	}
	return lines
}
