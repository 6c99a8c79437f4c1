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
//	last minute by the end of N's day             holds  unseen at withdrawal          not in force, whatever date C3 states
//	last minute on a later day, or a later first  holds  holds inside the new window,  holds inside the new window,
//	  day, and nothing else less                         else unseen at withdrawal     else outside window
//	fewer roles, last minute as above             holds  unseen at withdrawal          as above, and with the new roles alone
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
package trace
