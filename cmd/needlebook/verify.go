package main

import (
	"errors"
	"fmt"
	"slices"
	"sort"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/trace"
)

func (p *program) verify() *cobra.Command {
	var format, at, proof, record, checkpoints string
	var all, script bool
	c := &cobra.Command{
		Use:   "verify",
		Short: "Authenticate the history from the founding commit on",
		Long: `Reads every commit from the founding one to the tip, hashes its bytes again, and
says who signed it, whether he was allowed to then, and what is not covered.
Without a founding proof, which must come from outside the book, a history is at
best consistent with itself.

--explain prints the plain commands that check one record again with git,
ssh-keygen and sha256sum; --script prints a script that does it for the whole
history, with the founding proof filled in, and says what it cannot see.

Exit status: 0 proven, 1 not proven, 2 wrong use, 3 could not do its work,
4 wrong root or rewritten, 5 broken bytes.`,
		Example: `  needlebook verify --proof 0123…@SHA256:abc…
  needlebook verify --all
  needlebook verify --format json
  needlebook verify --checkpoints /office/checkpoints/ostrevane
  needlebook verify --explain 2024-06-11-h-119
  needlebook verify --script --proof 0123…@SHA256:abc… > prove-again.sh`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if format != "text" && format != "json" {
				return use("--format %s: the formats are text and json", format)
			}
			dir, err := p.findBook()
			if err != nil {
				return err
			}
			if done, err := p.verifyOther(dir, at, proof, record, script); done {
				return err
			}
			t, err := trace.Read(dir, trace.Options{FoundingProof: proof, Rev: at, EveryText: true, Cache: cacheFolder()})
			if errors.Is(err, trace.ErrNotRepository) {
				return failed{fmt.Errorf("%q is not under git: nothing is proved; needlebook check reads it all the same", dir), exitFailed}
			}
			if err != nil {
				return failed{err, verifyStatus(err)}
			}
			switch {
			case len(t.Broken) > 0:
				p.status = exitBroken
			case !t.Proved:
				p.status = exitFindings
			}
			w, err := p.witnessed(dir, t, checkpoints)
			if err != nil {
				return err
			}
			if format == "json" {
				v := verifyOf(t)
				v.Witnessed = witnessedOf(w)
				return p.json(v)
			}
			p.verifyText(t, all)
			p.witnessedText(w)
			return nil
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text or json")
	c.Flags().StringVar(&at, "at", "", "judge the history up to this commit instead of the tip")
	c.Flags().BoolVar(&all, "all", false, "list every commit")
	c.Flags().StringVar(&checkpoints, "checkpoints", "", "hold the history also against the checkpoints in this folder")
	c.Flags().StringVar(&record, "explain", "", "print the plain commands that check this record again")
	c.Flags().BoolVar(&script, "script", false, "print a plain shell script that proves the history again")
	proofFlag(c, &proof)
	return c
}

// failed is an error with the exit status that it calls for.
type failed struct {
	error
	status int
}

func (f failed) ExitStatus() int { return f.status }
func (f failed) Unwrap() error   { return f.error }

func verifyStatus(err error) int {
	var broken *trace.BrokenError
	switch {
	case errors.Is(err, trace.ErrProofForm):
		return exitUse
	case errors.Is(err, trace.ErrWrongRoot):
		return exitRewound
	case errors.As(err, &broken):
		return exitBroken
	}
	return exitFailed
}

func (p *program) verifyText(t *logbook.Trail, all bool) {
	fmt.Fprintln(p.out, t.Headline)
	w := p.table()
	fmt.Fprintln(w, "\n  hand\trole\tcommits signed\tfrom\tto")
	for _, h := range signers(t) {
		fmt.Fprintf(w, "  %s\t%s\t%d\t%s\t%s\n", h.Principal, h.Role, h.Commits, h.First, h.Last)
	}
	w.Flush()
	printed := false
	for i := range t.Commits {
		c := &t.Commits[i]
		if c.Stands && !all {
			continue
		}
		if !printed {
			fmt.Fprintln(p.out)
			printed = true
		}
		p.commitText(t, i)
	}
	for _, r := range sortedRecords(t) {
		for _, s := range r.Countersignatures {
			if s.State == logbook.Countersigned {
				continue
			}
			fmt.Fprintf(p.out, "%s: %s: %s %s\n", r.Path, s.Hand, s.State, s.Why)
			for _, ch := range s.Changed {
				fmt.Fprintf(p.out, "    %s: %s → %s in commit %.10s\n", ch.Path, dash(ch.Old), dash(ch.New), t.At(ch.Commit).ID)
			}
		}
	}
	for _, ch := range t.WorkTree {
		fmt.Fprintf(p.out, "%s: %s\n", ch.Path, ch.What)
	}
}

func (p *program) commitText(t *logbook.Trail, i int) {
	c := &t.Commits[i]
	who := c.Signer
	if who == "" {
		who = fmt.Sprintf("named in the commit: %s <%s>", c.AuthorName, c.AuthorEmail)
	}
	fmt.Fprintf(p.out, "%.10s  %s  %s  %s", c.ID, c.Stated.Format("2006-01-02 15:04Z"), c.State, who)
	if c.Why != "" {
		fmt.Fprintf(p.out, ": %s", c.Why)
	}
	fmt.Fprintf(p.out, "\n    %q\n", c.Message)
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
		if r := t.Records[ch.Path]; r != nil {
			for _, key := range sortedValues(r) {
				s := r.Values[key]
				if s.Commit == i && len(s.Before) > 0 {
					fmt.Fprintf(p.out, "        %s: %s → %s\n", key, dash(s.Before[len(s.Before)-1].Written), dash(s.Written))
				}
			}
		}
	}
}

func sortedRecords(t *logbook.Trail) []*logbook.RecordTrail {
	var rs []*logbook.RecordTrail
	for _, r := range t.Records {
		rs = append(rs, r)
	}
	sort.Slice(rs, func(i, j int) bool { return rs[i].Path < rs[j].Path })
	return rs
}

func sortedValues(r *logbook.RecordTrail) []string {
	var keys []string
	for k := range r.Values {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// signerJSON, commitJSON, counterJSON and verifyJSON are the stable form of verify --format json.
type signerJSON struct {
	Principal string `json:"principal"`
	Role      string `json:"role"`
	Commits   int    `json:"commits"`
	First     string `json:"first"`
	Last      string `json:"last"`
}

type commitJSON struct {
	ID      string `json:"id"`
	Stated  string `json:"stated"`
	State   string `json:"state"`
	Why     string `json:"why,omitempty"`
	Signer  string `json:"signer,omitempty"`
	Named   string `json:"named_in_the_commit"`
	Message string `json:"message"`
	Stands  bool   `json:"stands"`
	// Adopted is who answers for the commit, where that is not its signer.
	Adopted string       `json:"adopted_by,omitempty"`
	Marks   []string     `json:"marks,omitempty"`
	Paths   []string     `json:"paths,omitempty"`
	Changes []changeJSON `json:"changes,omitempty"` // only what is more than a new text of its signer's
}

type changeJSON struct {
	Path   string `json:"path"`
	From   string `json:"from,omitempty"`
	Merged bool   `json:"edited_in_a_merge,omitempty"`
	NotHis string `json:"not_his_to_change,omitempty"`
}

type counterJSON struct {
	Record  string   `json:"record"`
	Hand    string   `json:"hand"`
	Role    string   `json:"role"`
	State   string   `json:"state"`
	Changed []string `json:"changed,omitempty"`
}

type verifyJSON struct {
	Format            string         `json:"format"` // "needlebook verify 1"
	Proven            bool           `json:"proven"`
	Headline          string         `json:"headline"`
	Head              string         `json:"head"`
	FoundingProof     string         `json:"founding_proof,omitempty"`
	FirstAgainst      string         `json:"first_against,omitempty"`
	Signers           []signerJSON   `json:"signers"`
	Commits           []commitJSON   `json:"commits"`
	Countersignatures []counterJSON  `json:"countersignatures"`
	WorkTree          []string       `json:"work_tree,omitempty"`
	Witnessed         *witnessedJSON `json:"witnessed,omitempty"`
}

func signers(t *logbook.Trail) []signerJSON {
	at := map[string]int{}
	var all []signerJSON
	for i := range t.Commits {
		c := &t.Commits[i]
		if c.State != logbook.Signed {
			continue
		}
		day := c.Stated.Format("2006-01-02")
		n, ok := at[c.Signer]
		if !ok {
			n = len(all)
			at[c.Signer] = n
			role := ""
			if len(c.Roles) > 0 {
				role = c.Roles[len(c.Roles)-1]
			}
			all = append(all, signerJSON{Principal: c.Signer, Role: role, First: day})
		}
		all[n].Commits++
		all[n].Last = day
	}
	return all
}

func verifyOf(t *logbook.Trail) verifyJSON {
	v := verifyJSON{Format: "needlebook verify 1", Proven: t.Proved, Headline: t.Headline, Head: t.Head, FoundingProof: t.FoundingProof, Signers: signers(t), Commits: []commitJSON{}, Countersignatures: []counterJSON{}}
	if c := t.At(t.First); c != nil {
		v.FirstAgainst = c.ID
	}
	for _, c := range t.Commits {
		j := commitJSON{ID: c.ID, Stated: c.Stated.Format("2006-01-02T15:04:05Z"), State: string(c.State), Why: c.Why, Signer: c.Signer, Named: fmt.Sprintf("%s <%s>", c.AuthorName, c.AuthorEmail), Message: c.Message, Stands: c.Stands, Adopted: c.AdoptedBy, Marks: c.Marks}
		for _, ch := range c.Changes {
			j.Paths = append(j.Paths, ch.Path)
			if ch.From != "" || ch.Merged || ch.NotHis != "" {
				j.Changes = append(j.Changes, changeJSON{ch.Path, ch.From, ch.Merged, ch.NotHis})
			}
		}
		v.Commits = append(v.Commits, j)
	}
	for _, r := range sortedRecords(t) {
		for _, s := range r.Countersignatures {
			c := counterJSON{Record: r.Path, Hand: s.Hand, Role: s.Role, State: string(s.State)}
			for _, ch := range s.Changed {
				c.Changed = append(c.Changed, fmt.Sprintf("%s: %s → %s", ch.Path, ch.Old, ch.New))
			}
			v.Countersignatures = append(v.Countersignatures, c)
		}
	}
	for _, w := range t.WorkTree {
		v.WorkTree = append(v.WorkTree, w.Path+": "+w.What)
	}
	return v
}
