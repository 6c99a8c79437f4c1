// Package lsp serves an editor in the Language Server Protocol 3.17: the findings of the checks on the text as it is
// typed, what a key means, what it was last, and what may be written there. It writes no file.
//
// A keystroke is answered in two turns. At once what the checks say of the open records, the writing of the whole
// book, and what the last run over everything said, moved to the lines where it is now; then, when typing pauses for
// as long as a run takes, every check. What is not open is a hint with what ended it; what the last run told under
// another finding is not told again. Rejected: running everything at each keystroke, which takes seconds at 10,000
// records; telling only slips, which leaves the engineer alone with the limits until the file is saved.
package lsp
