package checks

import "fmt"

// numbered is a number with its words: numbered(1, "valve was", "valves were") is "1 valve was".
func numbered(n int, one, many string) string {
	if n == 1 {
		return fmt.Sprint(n, " ", one)
	}
	return fmt.Sprint(n, " ", many)
}
