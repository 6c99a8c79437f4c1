package logbook

import (
	"iter"
	"maps"
	"path"
	"slices"
	"strings"
	"time"
)

// Trail is what the history of a book shows: every commit on the way to the tip, who signed it and
// whether he was allowed to, and for each file of the tip the commits that made it. It holds facts in
// plain types and makes no verdict on a valve; package trace fills it. A Trail is read-only once
// filled and may then be used by several goroutines.
type Trail struct {
	// UnderGit says whether there is a history to ask. When false every other field is empty except
	// Lacking, Headline, Founding and First.
	UnderGit bool
	// Lacking says in a few words why there is none: "not under git", "nothing is committed yet", "the history
	// could not be read".
	Lacking string
	// Head is the id of the tip, 40 hexadecimal digits.
	Head string
	// Branch is the short name of the branch read, empty when the head is detached or a revision was
	// asked for by name.
	Branch string
	// FoundingProof is the proof the history was held against, as given: commit@SHA256:fingerprint.
	// Empty when none was given; the history is then at best consistent with itself.
	FoundingProof string
	// Founding is the index in Commits of the founding commit, the one that brings the first register.
	// -1 when there is none.
	Founding int
	// Proved is true when a founding proof was given and no commit from the founding one to the tip
	// stands against it.
	Proved bool
	// Headline says the same in one line, lower case, without a full stop.
	Headline string
	// First is the index in Commits of the first commit, in their order, that stands in the way of
	// Proved; -1 when there is none.
	First int
	// Commits are all commits up to the tip, oldest first: every commit stands after its parents.
	Commits []Commit
	// Made says of each commit, by its index, between which receipts it was made. Nil when the
	// history was held against none.
	Made []Between
	// Records holds one entry for each file in the tip's tree, by its path with forward slashes.
	Records map[string]*RecordTrail
	// Vanished are the records that an accepted commit once held and the tip no longer does, by path.
	Vanished []Vanished
	// Repeated are the rows of tables at the tip that stand there once more than commits brought them, or that two sides
	// brought alike, by path and line.
	Repeated []RepeatedRow
	// Broken are the texts whose stored bytes are missing or do not match their id, by path. Nothing of
	// them may be shown from the history.
	Broken []BrokenText
	// WorkTree lists the files of the folder that are not what the tip holds, by path. Empty when the
	// folder is clean, or when a revision was asked for by name.
	WorkTree []WorkChange
	// InForce are the lines of the register that are in force for the next commit on the tip, by key.
	InForce []RegisterLine
	// EverNamed are the hands, the parts before the @, that ever came into the register, in the order of their coming.
	EverNamed []string
}

// A RegisterLine is a line of signers/allowed_signers as it stands, without its end. Pending is true when its key waits
// for a superintendent, whatever the line says.
type RegisterLine struct {
	Line    string
	Pending bool
}

// PlainFolder returns the trail of a book that is not under git.
func PlainFolder() *Trail { return Without("not under git") }

// Without returns the trail of a book that has no history to ask, with a few words that say why.
func Without(lacking string) *Trail {
	return &Trail{Lacking: lacking, Headline: lacking + ": nothing is proved", Founding: -1, First: -1}
}

// A State says in one word or two what is known of the writer of a commit or of a version of a record.
type State string

// The states a reader sees. Only Signed, MergeEdit and Adopted speak for the text.
const (
	// Signed: the named hand's key, in force at that place, over exactly these bytes.
	Signed State = "signed"
	// MergeEdit: a merge whose signer combined versions into a text that no side had written; of a
	// version of a record only, a commit as a whole is Signed.
	MergeEdit State = "edited in a merge"
	// Adopted: another person answers for the commit, with a reason.
	Adopted State = "adopted"
	// Unsigned: the commit carries no signature.
	Unsigned State = "unsigned"
	// OtherSignature: signed with OpenPGP, X.509 or a kind of key that no register of a book takes.
	OtherSignature State = "other kind of signature"
	// UnknownKey: a good signature by a key that stands in no register line.
	UnknownKey State = "unknown key"
	// BadSignature: the signature is not over these bytes.
	BadSignature State = "bad signature"
	// Malformed: the commit or its signature has not the one accepted form.
	Malformed State = "malformed"
	// OutsideWindow: a key of the register, but the stated date lies outside its dates.
	OutsideWindow State = "outside window"
	// NotInForce: a key of the register, but not in force at that place in the history.
	NotInForce State = "key not in force"
	// Unseen: in force there, but whoever withdrew the key had not seen this commit.
	Unseen State = "unseen at withdrawal"
	// Compromised: signed by a key declared compromised, after its last good commit.
	Compromised State = "compromised"
	// NotJudged: stands before the founding commit, or no register says who may sign.
	NotJudged State = "not judged"
	// SecondRoot: a commit without parents that is not the founding one.
	SecondRoot State = "second root"
)

// Speaks reports whether a signer of the book answers for a text in this state.
func (s State) Speaks() bool { return s == Signed || s == MergeEdit || s == Adopted }

// Commit is one commit and what is known of its writer.
type Commit struct {
	// ID is the commit's id, 40 hexadecimal digits.
	ID string
	// Parents are indexes in Trail.Commits, in the commit's own order; empty for a root.
	Parents []int
	// Stated is the committer's date in UTC, whole seconds: stated by the signer, never proved.
	Stated time.Time
	// AuthorName and AuthorEmail are the author as named in the commit. They prove nothing.
	AuthorName, AuthorEmail string
	// CommitterName and CommitterEmail are the committer as named in the commit.
	CommitterName, CommitterEmail string
	// Message is the whole message, without the final line end.
	Message string

	// State says what is known of the writer, Why what led to it (empty for Signed).
	State State
	Why   string
	// Signer is the register's principal of the key that signed, name@post; empty when the key stands
	// in no register line. In a state that does not speak it is the key's owner, not the writer.
	Signer string
	// Signer is the part of Signer before the @: the person.
	Person string
	// Roles are what the line allows, in the order engineer, chief, superintendent, receiver.
	Roles []string
	// Key is the fingerprint of the key that signed, SHA256:…; empty when unsigned or unreadable.
	Key string
	// LetInBy is the principal who let that key in under that name, of an Adopted commit the adopter's; empty for a signer
	// of the founding commit.
	LetInBy string
	// Pending is set while the key waits for a superintendent: a further key of a known name, let in by a chief
	// alone. It signs, and counts as nobody's second pair of eyes.
	Pending bool
	// AdoptedBy is the principal who answers for an Adopted commit; Why then holds his reason.
	AdoptedBy string

	// Changes are the files in which the commit differs from all of its parents, by path.
	Changes []PathChange
	// Marks are further facts about the commit, in words: a clock that went back, a record that a
	// merge dropped, a register that was refused. Empty for an ordinary commit.
	Marks []string
	// Stands is true when the commit does not stand in the way of a proved history.
	Stands bool
}

// Between is when a commit was made, as receivers outside the book prove it: stated dates prove nothing.
type Between struct {
	// After is the time of the last receipt that the commit builds on, By that of the first that holds
	// it; zero when there is none.
	After, By time.Time
}

// String says it in words.
func (i Between) String() string {
	const minute = "2006-01-02 15:04Z"
	switch {
	case i.By.IsZero() && i.After.IsZero():
		return "not yet received ashore"
	case i.By.IsZero():
		return "not yet received ashore, after " + i.After.UTC().Format(minute)
	case i.After.IsZero():
		return "received " + i.By.UTC().Format(minute)
	}
	return "received " + i.By.UTC().Format(minute) + ", after " + i.After.UTC().Format(minute)
}

// PathChange is one file in which a commit differs from all of its parents.
type PathChange struct {
	// Path is where the file stands after the commit; where it stood before, when it was deleted.
	Path string
	// From is the path before, when the commit moved the record (same stem, other folder); else empty.
	From string
	// Old and New are the ids of the text before (in the first parent that has the file) and after,
	// 40 hexadecimal digits; Old is empty for a new file, New for a deleted one.
	Old, New string
	// NotHis says why it was not the signer's to change; empty when it was, or when nobody's
	// signature speaks for the commit.
	NotHis string
	// Merged is true when the commit is a merge and the text is none of its parents'.
	Merged bool
}

// RecordTrail is the history of one file of the tip.
type RecordTrail struct {
	// Path is where the file stands at the tip.
	Path string
	// Stem is the file name without its extension: the identity of a record, kept when it moves.
	Stem string
	// Versions are the commits that wrote or moved the file, oldest first.
	Versions []Version
	// Current is the index in Versions of the version that the tip holds.
	Current int
	// Signers are the principals whose signature speaks for a version, in the order of their first.
	Signers []string
	// Values says of each value at the tip which commit set it, by the path that the function Values gives to it; of a
	// table each row, by the path that Rows gives to it. Nil where the one version there is set them all; ask with the
	// method Setting.
	Values map[string]Setting
	// Gone says of each value that the tip does not hold any more which commit took it out. Nil where there is none.
	Gone map[string]Setting
	// Countersignatures are the signatures of those who saw the record, chiefs before superintendents,
	// then in the order of their commits. Of each person the last one that counts; one that does not count and came
	// later stands beside it, and takes nothing from it.
	Countersignatures []Countersignature
	// Superseded are earlier countersignatures of persons who have seen the record again since, where something that they
	// saw is another now.
	Superseded []Countersignature
}

// Version is one text of a file and the commit that brought it.
type Version struct {
	// Commit is the index in Trail.Commits.
	Commit int
	// Path is where the file stood then.
	Path string
	// Blob is the id of the text, 40 hexadecimal digits.
	Blob string
	// State and Why are the commit's, or MergeEdit; with the file's own reservation in Why when the
	// signer was not the one to change it.
	State State
	Why   string
	// Text is the text itself, of a limits file: what is judged by it is asked again when it has changed.
	Text string
}

// Setting says which commit gave a value the text it has at the tip.
type Setting struct {
	// Commit is the index in Trail.Commits.
	Commit int
	// Written is the value as written in that commit, which is how it stands at the tip.
	Written string
	// Before are the earlier texts of the value, oldest first, each with the commit that set it; an
	// empty text means that the value was taken out for a time. Nil for a value never changed.
	Before []Earlier
	// Correction is the path of the line under corrections that strikes the earlier text through, such as
	// corrections[0]; empty when the text at the tip holds none, or the value was never changed.
	Correction string
}

// Earlier is a text that a value had before.
type Earlier struct {
	// Commit is the index in Trail.Commits of the commit that set it.
	Commit int
	// Written is the text; empty when that commit took the value out.
	Written string
}

// Countersignature is one hand's signature over the text of a record as he saw it.
type Countersignature struct {
	// Path is the countersigning file.
	Path string
	// Signer, Hand and Role are who signed it: Role is chief or superintendent.
	Signer, Person, Role string
	// LetInBy is who let the signer's key in, as in Commit. Pending is set where his key, or one that wrote the text,
	// waits for a superintendent: the countersignature counts once he confirms it.
	LetInBy string
	Pending bool
	// SHA256 is the digest of the one text he saw, 64 lower-case hexadecimal digits.
	SHA256 string
	// Word is what he says of it: "as seen", "remarks" or "refused".
	Word string
	// Remarks is what he wrote below; may be empty.
	Remarks string
	// Commit is the index in Trail.Commits of the commit that brought the file as it is.
	Commit int
	// State says whether it counts, Why why it does not (empty when it does).
	State CounterState
	Why   string
	// SeenCommit is the index of the commit that brought the text he saw; -1 when no version of the
	// record has that digest.
	SeenCommit int
	// Changed are the values he saw that are different now, or gone, by path.
	Changed []ValueChange
	// Added are the values that were not in the text he saw, by path: not yet countersigned.
	Added []ValueChange
	// Evidence are the pictures and logs named in the text he saw that are others now, or gone, by path.
	Evidence []EvidenceChange
}

// EvidenceChange is a picture or a pressure log that is not the one which somebody saw.
type EvidenceChange struct {
	// Path is where it is.
	Path string
	// Old is the id of the file as it was seen, New of the file as it is; empty when it was taken out.
	Old, New string
	// Commit is the index in Trail.Commits of the commit that last replaced it, or took it out.
	Commit int
}

// CounterState says whether a countersignature counts for the text as it stands.
type CounterState string

// The states of a countersignature.
const (
	// Countersigned: every value he saw stands as he saw it; values may have been added since.
	Countersigned CounterState = "countersigned"
	// ChangedSince: an earlier text was seen, and a value in it is different now.
	ChangedSince CounterState = "changed since countersigned"
	// Refused: he saw the text and refused to countersign it.
	Refused CounterState = "refused"
	// NotCounted: not signed by one who may countersign this record, or not bound to a text of it.
	NotCounted CounterState = "does not count"
)

// Discount says that the countersignature does not count, and why; the first reason stays.
func (c *Countersignature) Discount(why string) {
	if c.State != NotCounted {
		c.State, c.Why = NotCounted, why
	}
}

// ValueChange is one value that differs from the text somebody saw.
type ValueChange struct {
	// Path is the value's path, as Values gives it.
	Path string
	// Old is the text seen, empty for an added value; New the text now, empty for one taken out.
	Old, New string
	// Commit is the index in Trail.Commits of the commit that last set, or took out, the value.
	Commit int
	// Correction is the line under corrections that strikes the old text through, as in Setting.
	Correction string
	// SeenBy are the indexes of the commits of countersignatures that count and whose text held the change.
	SeenBy []int
}

// Vanished is a record that the tip no longer holds under any path.
type Vanished struct {
	// Path is where it last stood, Stem its identity.
	Path, Stem string
	// Commit is the index in Trail.Commits of the commit that took it out.
	Commit int
	// LastBlob is the id of its last text.
	LastBlob string
}

// RepeatedRow is a row of a table that stands twice, or again, and nobody meant it to, or that two sides wrote alike.
type RepeatedRow struct {
	// Path and Line are where it stands, First the line of the row that it repeats, 0 where it repeats none.
	Path        string
	Line, First int
	// Row is the row, its cells between commas.
	Row string
	// Merge is the index of the merge that put the row there though no commit brought it: a merge by lines doubles a row,
	// or brings back one that a side had corrected. -1 when two commits on two sides brought it, each without the other's
	// in sight.
	Merge int
	// By are the indexes of the commits that brought this row and the one it repeats.
	By []int
}

// BrokenText is a text of the history that cannot be trusted to be what was committed.
type BrokenText struct {
	// Path is a file that held it, Blob its id, Why what is wrong with it.
	Path, Blob, Why string
}

// WorkChange is one file of the folder that is not what the tip holds.
type WorkChange struct {
	// Path is relative to the book, with forward slashes.
	Path string
	// What is "not committed", "changed" or "missing".
	What string
}

// When is the stated date in the form asked for, in UTC; of a malformed commit that states none that can be read,
// "unknown date".
func (c *Commit) When(layout string) string {
	if c.Stated.IsZero() {
		return "unknown date"
	}
	return c.Stated.UTC().Format(layout)
}

// At returns the commit with the given index, nil when the index is -1.
func (t *Trail) At(i int) *Commit {
	if i < 0 {
		return nil
	}
	return &t.Commits[i]
}

// Setting says which commit gave a value the text it has. It is false when the tip does not hold that
// text under that path: then the value is not committed.
func (r *RecordTrail) Setting(path, written string) (Setting, bool) {
	if r.Values == nil {
		return Setting{Commit: r.Now().Commit, Written: written}, true
	}
	s, ok := r.Values[path]
	return s, ok && s.Written == written
}

// Signed goes through the versions of a file that a signer of the book wrote and signed, oldest first: its index in
// Versions, and the commit. What another person adopted since is none of them.
func (t *Trail) Signed(path string) iter.Seq2[int, *Commit] {
	return func(yield func(int, *Commit) bool) {
		r := t.Records[path]
		if r == nil {
			return
		}
		for i, v := range r.Versions {
			if k := t.At(v.Commit); k != nil && k.State == Signed && !yield(i, k) {
				return
			}
		}
	}
}

// NotHis says why the change of a path was not the commit's signer's to make; empty where it was.
func (c *Commit) NotHis(path string) string {
	for _, ch := range c.Changes {
		if ch.Path == path {
			return ch.NotHis
		}
	}
	return ""
}

// Now returns the version that the tip holds.
func (r *RecordTrail) Now() *Version { return &r.Versions[r.Current] }

// CopyOf is the file of which another is a copy: it came no later, lies in the same top folder, and holds the same
// bytes; empty where there is none.
func (t *Trail) CopyOf(name string) string {
	r := t.Records[name]
	if r == nil {
		return ""
	}
	top, _, _ := strings.Cut(name, "/")
	for _, other := range slices.Sorted(maps.Keys(t.Records)) {
		o := t.Records[other]
		if other != name && strings.HasPrefix(other, top+"/") && path.Ext(other) == path.Ext(name) &&
			o.Versions[o.Current].Blob == r.Versions[r.Current].Blob && o.Versions[0].Commit <= r.Versions[0].Commit {
			return other
		}
	}
	return ""
}
