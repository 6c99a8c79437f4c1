package checks

import "needlebook/logbook"

// numbered is a number with its words: numbered(1, "valve was", "valves were") is "1 valve was".
func numbered(n int, one, many string) string { return logbook.Counted(n, one, many) }
