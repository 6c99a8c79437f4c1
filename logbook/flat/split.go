package flat

import "strings"

// Split parts a text whose front matter stands between dashes written as everybody writes them: on the first line and
// on a line of their own. front is what stands between, with its line end; body what follows; bodyLine the line it
// begins on. ok is false for dashes anywhere else: the front-matter library tells what they mean.
func Split(text string) (front, body string, bodyLine int, ok bool) {
	const dashes = "---\n"
	if !strings.HasPrefix(text, dashes) {
		return "", "", 0, false
	}
	rest := text[len(dashes):]
	end := strings.Index(rest, "\n"+dashes) + 1
	if end == 0 || strings.Contains(rest[:end], "---") {
		return "", "", 0, false
	}
	front, body = rest[:end], rest[end+len(dashes):]
	return front, body, 3 + strings.Count(front, "\n"), true
}
