// Package fleet is several ships on one page: the summary that every build of pages leaves of its vessel, and the
// front page that is made of the summaries alone, without reading a book.
//
// Begin with [Page].
//
// No summary above 1 MiB is read, no link, no other format; only page names that a build of ours gives are followed.
// The keys are in the manual, chapter formats.md.
package fleet
