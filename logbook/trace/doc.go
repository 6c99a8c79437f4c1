// Package trace reads the history of a book and says who set what: every commit up to the tip, its
// signature read from the raw bytes and judged against the register that was in force, and for every
// record the commits that made it. It gives plain facts (logbook.Trail), writes nothing, runs no
// program, and leaves to others what a good value is.
//
// Begin with Read, and with FS for the texts of one commit.
//
// # When a line of the register is given another window
//
// A change of signers/allowed_signers is an event of the commit graph. Whether a line whose window was made narrower at
// commit N still lets its key K sign depends on where a commit C by K stands, and on the last minute alone
// that the new line names: the day is that of N's own committer date, in UTC, and the midnight that ends it
// belongs to it. The date that C states is the signer's word; it can only refuse.
//
//	      C1 ---- C2            C1  N has it in its past
//	     /          \           C2  beside N: neither has the other in its past
//	--- o --- N --- M --- C3    C3  has N in its past, whether directly or through a merge M
//
//	what N does to the line of K                  C1     C2                            C3
//	takes it out                                  holds  unseen at withdrawal          not in force
//	last minute by the end of N's day             holds  unseen at withdrawal          not in force, whatever C3 states
//	last minute on a later day, or a later first  holds  holds inside the new window,  holds inside the new window,
//	  day, and nothing else less                         else unseen at withdrawal     else outside window
//	fewer roles, last minute as above             holds  unseen at withdrawal          as above, with the new roles alone
//	wider, or another comment                     holds  holds                         holds
//
// A key that was withdrawn so comes back only by a line whose last minute is later than the day of the commit
// that brings it; a new comment, or one more minute that is over as well, does not bring it back. Of two sides
// that set two later days the earlier one holds. Where one side withdraws and another gives more time, the
// key is withdrawn.
//
// A merge of two sides that both changed the line of K joins them when it has the text that ends first, or no line
// where one side took it out: that changes nothing, whoever signs it. Any other text is a change by the merge's
// signer, who must be entitled to it; but one side's text never brings back a key that the other withdrew, and a
// line that one side alone changed is in the merge as that side has it, or as its signer writes it anew.
//
// # Dates and bytes
//
// Commit dates are stated by the signer and can only refuse, never prove. Only order in the commit graph and
// receivers outside prove. Stored bytes are hashed again before they are shown, because neither git nor go-git does.
// Only bytes that were read can be damaged: what a disk does not give is unread, and not broken.
//
// # Who may answer, and who may let in
//
// A superintendent answers for any unsigned commit, a chief for what they could have changed themselves. The
// superintendent lets in who may write; a chief who answered for limits would have got round the office. What is not
// theirs is refused before it is written, because an adoption is never taken back.
//
// A superintendent's key is declared compromised by a superintendent only, and the declaration holds against later
// commits of the declared key; otherwise a thief with a chief's key could lock the office out.
//
// A book is founded again, not healed, when nobody can let a superintendent in any more: enrol --found-again writes a
// commit that only a second founding proof vouches for. With both proofs the whole history is judged, with the new
// one alone nothing before it.
//
// A sign-off is an event of the graph. An ordinary withdraw keeps the line and sets its last minute, so that git goes
// on taking what was signed before; but a date is stated by the signer, and a key signed off at noon could go on
// signing for ever with eleven o'clock on its commits. So a line whose last minute is over by the end of the day of
// the commit that brings it withdraws its key from there on, whatever later commits state; the day and not the
// minute, because withdraw rounds up. Only a later day is kept as a date, and then beside the commit as on top of it:
// who signs aboard while the office writes down when they will leave has done nothing wrong. Rejected: withdrawing
// with every narrowing (an end set in advance would end the work today); comparing minutes (every ordinary sign-off
// would pass).
//
// Two persons are two names that somebody answers for. A further key for a name that is in the register, or ever was,
// counts as that person's when the person's own other key let it in or a superintendent did; a chief's word alone
// makes it pending, so that a lost key stops nobody at sea and no chief countersigns themselves under an engineer's
// name. It is derived from who signed the line, never from a word in it: the words "key pending" behind a line are
// for its reader (OpenSSH passes over what is behind a key) and can only take away. A superintendent confirms by
// changing nothing but those words, which enrol --confirm does; the dates of a line are no word on whose key it is,
// so that signing somebody off confirms nothing. The confirmation counts for all that the key signed. Two keys of one
// name that came in beside each other are both pending, or a chief could let theirs in on an old base. Names are one
// person's that differ in dots, dashes or letters that look alike. A chief's countersignature does not count over
// what a pending key wrote, whoever the chief is; a superintendent's review does. Whoever adopts a change has signed
// it. Rejected: a word in the line (whoever forges the line leaves it out); refusing the key (the engineer would
// borrow another's).
//
// # A line of the register is one value, its key's
//
// Where two sides changed it, whoever only joins takes the text that ends first, or none where one side took the line
// out: nobody gets more than each side alone gives them, and every copy comes to the same. A key that was let in
// under two names waits for a person. Any other text is a change, judged by the role of the merge's signer and shown
// as theirs; so a superintendent may end, narrow or decide a line in a merge, and nobody has to make a commit for it.
// One side's text never revives what the other withdrew, whoever merges, for that is what a merge that keeps one side
// does by mistake. Of signers/withdrawn and signers/adopted all lines of both sides stay: of two declarations about
// one key only the commits that both call good are believed, so that their order decides nothing, and one made beside
// another version of the list goes on. Rejected: leaving two ends of one line to a person (an engineer alone aboard
// could take in nothing more); the merge that takes the wider end.
//
// In a merge the lines in force are those that all sides hold and those that came in on one since they parted, in
// verify --explain as in verify; prove-again.sh keeps to the lines that all sides hold, and so is stricter with a
// signer who was let in on one side and merges the other.
//
// # prove-again.sh reads a copy
//
// git runs what the settings of a repository name (gpg.ssh.program, a pager, a lazy fetch), so no git runs in a book
// that is being proved: the bytes of its objects are copied by cp into a repository of the script's own, indexes are
// made anew, and one shell function is the only way to git. The commands of verify --explain begin with the same
// copy.
//
// # What was read of a history is kept for the next run
//
// It is in NEEDLEBOOK_CACHE or the system's place for caches, never in a book: a commit's headers, whether its
// signature is over its bytes and by which key, the files in which it differs from its parents, the digest and the
// values of a text. All of it follows from stored bytes alone; who may sign is judged afresh each run. Two bindings
// make the cache only a faster way to the same answer. It is sealed (HMAC-SHA-256, part by part, each seal over the
// one before) with a key of 32 random bytes that only the reader's account can read, beside it: a signature's fact
// cannot be checked without doing the work again, so it has to be kept from forgers instead, and whoever can read
// that key is at the reader's keyboard and could replace the program as well. And it holds only while the files of
// the object store hold the bytes that were read (their SHA-256 is taken on every run; a loose object that came since
// must hash to its name; a new pack empties the cache), so that a byte changed on the disk is found with the cache as
// without. Another build of the program does not believe it either. Rejected: a checksum alone (a forger can reckon
// it), checking a sample again (finds a forgery some day), file dates (a disk editor sets them), and trusting the
// index of git for the folder: every file of it is hashed. Where the object store is large for its commits, as with
// thousands of photos, hashing it would cost more than reading, and nothing is kept.
//
// # Measured
//
// go test ./logbook/trace -run TestConvoys -v plays fleets against the proof: copies that write into the same tables,
// records and register, enrol, withdraw, renew keys and take in one another's work in any order. On 2026-11-30, under
// NEEDLEBOOK_LONG=1: 2,400 honest histories (74,699 commits, 17,620 merges), none held against anybody, no row lost
// or doubled; 3,060 attacks of 153 kinds, none missed, each named at its own commit. A share of the fleets' merges is
// made by the program in the folder of the copy that makes it (TestConvoysMergeInFolders; long: 504 merges, 96 left
// to somebody, every file as reckoned, at most 6.9 looks at an object or path for each commit or file when the
// history is read afterwards, 15 allowed).
//
// On 2026-11-25, two shared cores and other work on the machine: history and signatures of 1,200 commits took 50 to
// 75 times as long as git log --format='%H %G?' (at most 50), and 16 times as long as git log --raw (with signatures
// and every value; 5 are allowed for the history alone, which was not measured apart). Run it again with go test -run
// '^$' -bench . ./logbook/trace.
package trace
