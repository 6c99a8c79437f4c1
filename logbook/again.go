package logbook

import (
	_ "embed"
	"fmt"
	"path"
	"slices"
	"strings"
)

//go:embed prove-again.sh
var proveAgain string

// ownCopy is what both scripts begin with: no program of theirs runs in a book.
//
//go:embed own-copy.sh
var ownCopy string

// ProofScript is a short script in plain shell that proves a history again with git and ssh-keygen alone, to be run in
// the book; it reads a copy of its own. The founding proof is filled in. What it cannot see is said at its end. Of
// several proofs of a book that was founded again it takes the last, and proves from there on. Exit status 0 proved, 1
// not proved, 3 could not do its work, 4 wrong root, 5 broken bytes.
func ProofScript(proof string) string {
	proof = proof[strings.LastIndexByte(proof, ',')+1:]
	return strings.NewReplacer("proof=${1:-}", "proof=${1:-"+proof+"}", "# (own-copy.sh)\n", ownCopy).Replace(proveAgain)
}

// ProofCommands are the plain commands, as a shell script with comments, that check one file of the tip
// again: who signed each version, with git and with ssh-keygen, and the digests of the text and of what
// was countersigned. Run them in the top folder of the book. Empty when the tip does not hold the file.
func (t *Trail) ProofCommands(file string) string {
	r := t.Records[file]
	if r == nil {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# %s: who signed it, and what, by git, ssh-keygen and sha256sum alone.\n", printable(file))
	fmt.Fprintf(&b, "# %s\n", printable(t.Standing(file).String()))
	b.WriteString("# Each commit is held against the register as it stood before it; expected answers stand behind #.\n")
	b.WriteString("end() { echo \"$2\"; exit \"$1\"; }\n" + ownCopy + "copy .\n")
	b.WriteString("git fsck --full --strict --no-dangling   # no answer: every text has the name that its bytes give it\n")
	for i, v := range r.Versions {
		fmt.Fprintf(&b, "\n# version %d of %d, %s\n", i+1, len(r.Versions), printable(v.Path))
		if t.Made != nil {
			fmt.Fprintf(&b, "# %s\n", t.Made[v.Commit])
		}
		t.proveCommit(&b, v.Commit)
		fmt.Fprintf(&b, "git cat-file blob %s | sha256sum\n", v.Blob)
	}
	for _, c := range r.Countersignatures {
		fmt.Fprintf(&b, "\n# %s by %s: %s\n", path.Dir(c.Path), c.Signer, c.State)
		t.proveCommit(&b, c.Commit)
		fmt.Fprintf(&b, "git show %s | grep ^sha256   # %s\n", quoted(t.At(c.Commit).ID+":"+c.Path), printable(c.SHA256))
		if c.SeenCommit >= 0 {
			for _, v := range r.Versions {
				if v.Commit == c.SeenCommit {
					fmt.Fprintf(&b, "git cat-file blob %s | sha256sum   # %s\n", v.Blob, printable(c.SHA256))
				}
			}
		}
	}
	fmt.Fprintf(&b, "\ngit show %s | sha256sum   # the text as it stands\n", quoted(t.Head+":"+file))
	return b.String()
}

// proveCommit writes the commands for one commit's signature.
func (t *Trail) proveCommit(b *strings.Builder, i int) {
	c := t.At(i)
	fmt.Fprintf(b, "# commit %s: %s", c.ID, c.State)
	if c.Signer != "" {
		fmt.Fprintf(b, " by %s", c.Signer)
	}
	if c.Why != "" {
		fmt.Fprintf(b, ", %s", printable(c.Why))
	}
	answer := "N"
	switch {
	case c.Key == "":
	case c.State == Signed:
		answer = "G " + c.Key
	case c.State == Adopted:
		answer = c.Key + ", but what speaks for the commit is the word of " + c.AdoptedBy
	default:
		answer = c.Key + ", and whether it may is more than git can tell"
	}
	b.WriteByte('\n')
	t.proveRegister(b, i)
	fmt.Fprintf(b, "git -c gpg.ssh.allowedSignersFile=\"$d/signers\" log -1 --format='%%H %%G? %%GF' %s   # %s\n", c.ID,
		answer)
	if c.Key != "" && c.Signer != "" {
		fmt.Fprintf(b, "git cat-file commit %s | sed -n '/^gpgsig /,/^ -----END/p' | sed 's/^gpgsig //; s/^ //' > "+
			"\"$d/signature\"\n", c.ID)
		fmt.Fprintf(b, "git cat-file commit %s | sed '/^gpgsig /,/^ -----END/d' | ssh-keygen -Y verify -f \"$d/signers\" "+
			"-I %s -n git -s \"$d/signature\" -O verify-time=%s\n",
			c.ID, c.Signer, c.Stated.UTC().Format("20060102150405Z"))
	}
}

// proveRegister writes the commands that gather the register in force for a commit: its parent's; for the founding
// commit its own; for a merge the lines that all its parents hold, and those that came in on one side since the sides
// parted. What is in the register of one side and was in it when they parted has been taken out on another.
func (t *Trail) proveRegister(b *strings.Builder, i int) {
	c := t.At(i)
	if len(c.Parents) < 2 || i == t.Founding {
		register := c.ID
		if len(c.Parents) > 0 && i != t.Founding {
			register = t.At(t.inForce(c.Parents[0])).ID
		}
		fmt.Fprintf(b, "git show %s:signers/allowed_signers > \"$d/signers\"\n", register)
		return
	}
	var parents []string
	for _, p := range c.Parents {
		parents = append(parents, t.At(t.inForce(p)).ID)
	}
	all := strings.Join(parents, " ")
	fmt.Fprintf(b, "# a merge of %d sides: in force is what all of them hold, and what came in on one since they parted\n",
		len(parents))
	fmt.Fprintf(b, "git show \"$(git merge-base --octopus %s)\":signers/allowed_signers | sort > \"$d/parted\"; : > "+
		"\"$d/came\"\n", all)
	fmt.Fprintf(b, "git show %s:signers/allowed_signers | sort > \"$d/all\"\n", parents[0])
	fmt.Fprintf(b, "for side in %s; do\n", all)
	b.WriteString("\tgit show \"$side:signers/allowed_signers\" | sort > \"$d/side\"; comm -13 \"$d/parted\" " +
		"\"$d/side\" >> \"$d/came\"\n")
	b.WriteString("\tcomm -12 \"$d/all\" \"$d/side\" > \"$d/both\"; mv \"$d/both\" \"$d/all\"\ndone\nsort -u \"$d/all\" " +
		"\"$d/came\" > \"$d/signers\"\n")
}

// inForce is the commit whose register counts for what stands on a commit: its own, unless it, or a commit before it,
// changed the register without the right to; then the last one before that.
func (t *Trail) inForce(commit int) int {
	for at := commit; at > t.Founding; {
		c := t.At(at)
		i := slices.IndexFunc(c.Changes, func(ch PathChange) bool {
			return ch.Path == "signers/allowed_signers" || ch.From == "signers/allowed_signers"
		})
		refused := slices.ContainsFunc(c.Marks, func(m string) bool {
			return strings.HasPrefix(m,
				"the register is refused")
		})
		switch {
		case i >= 0 && c.State == Signed && c.Changes[i].NotHis == "" && !refused:
			return commit
		case len(c.Parents) == 0:
			return commit
		case i >= 0:
			return t.inForce(c.Parents[0])
		}
		at = c.Parents[0]
	}
	return commit
}

// quoted makes a word of a shell command of any text: names in a history are a stranger's.
func quoted(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

// printable keeps a text on its comment line.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || Hidden(r) {
			return '?'
		}
		return r
	}, s)
}
