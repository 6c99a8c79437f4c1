// Package events takes the text of a file apart into items (the rows of a table, the values of a record, lines)
// and follows them through a history: which commit brought each, which one took it out or put another in its
// place, and what becomes of them where sides meet. A row that one commit brought is one row however often it has
// travelled; two that two commits brought are two. It knows texts and numbers of commits; the commits themselves
// are read by packages trace and exchange, which ask it the same question: trace of a merge that was made,
// exchange of one to be made.
//
// Begin with Of, History.Next and History.Meet.
package events
