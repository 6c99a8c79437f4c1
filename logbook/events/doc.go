// Package events takes the text of a file apart into items (the rows of a table, the values of a record, lines)
// and follows them through a history: which commit brought each, which one took it out or put another in its
// place, and what becomes of them where sides meet. A row that one commit brought is one row however often it has
// travelled; two that two commits brought are two. It knows texts and numbers of commits; the commits themselves
// are read by packages trace and exchange, which ask it the same question: trace of a merge that was made,
// exchange of one to be made.
//
// Begin with Of, History.Next and History.Meet.
//
// # A row is an event, not a line
//
// Each row of a table, value of a record and line of a list has the commit that brought it, and is followed through
// changes and merges; exchange joins tables by it and trace holds every merge against it, so that both give the same
// answer. What came to both sides from one commit is there once, however bags crossed; equal rows that two commits
// brought are two, and somebody is asked; a row that both changed waits for a person. Rows are compared by their
// cells: a table saved anew with semicolons, quotes or in another order has not changed. Git's union knows lines
// alone and doubles a row, or brings a corrected one back, after bags have crossed: that is a finding at its line, no
// fault of whoever merged. Rejected: a column with a number for each row, which nobody keeps in a text editor.
//
// A merge has lost what is nowhere in it and what no other commit took out, row by row and value by value, with as
// many equal rows as the side has that has most; a side's version that is itself a merge counts like any other. Where
// both sides changed one value, a text of the merger's own is a decision, shown as theirs; one side's whole text
// without a word of the other's value is a loss. Whoever joins a table or the register item by item and adds nothing
// changes nothing of it, so an engineer may sign the merge of two enrolments.
package events
