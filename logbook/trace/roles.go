package trace

import (
	"fmt"
	"strings"

	"needlebook/logbook/events"
)

// owners says which roles may change a path. What is not named is the superintendent's.
func owners(path string) role {
	top, _, deeper := strings.Cut(path, "/")
	if strings.HasPrefix(path, ".") || strings.Contains(path, "/.") {
		return superintendent
	}
	switch path {
	case "crew.csv", withdrawnPath, adoptedPath:
		return chief | superintendent
	case signersPath: // and the lines decide, see signers
		return chief | superintendent
	}
	if path == headsPath { // what is done on board
		return engineer | chief | superintendent
	}
	if path == answersPath { // and each line is its signer's own, see answers
		return engineer | chief | superintendent
	}
	if !deeper {
		return superintendent
	}
	switch top {
	case "overhauls", "hours", "running", "handovers", "photos", "logs":
		return engineer | chief
	case "parts", "instruments", "fuel", "stores":
		return engineer | chief | superintendent
	case "deferrals", "decisions":
		return chief | superintendent
	case "countersigned":
		return chief
	}
	return superintendent
}

// notHis says why a path was not to be changed by one with these roles; empty when it was.
func notHis(path string, has role) string {
	if may := owners(path); may&has == 0 {
		return fmt.Sprintf("%s is for %s to change", path, list(may.words()))
	}
	return ""
}

// JoinsAlone reports whether a merge may bring a file's two sides together whoever signs it: a table, and the
// lists of who may sign and who answers for what. Whoever joins what others wrote item by item changes nothing of
// it; of a key's line in the register that both sides changed he takes what ends first.
func JoinsAlone(path string) bool { return events.Joins(path) }

func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// keeps reports whether files at this path, once written, must stay: a record is corrected or declared
// void in its own text, never taken out.
func keeps(path string) bool {
	return !strings.HasPrefix(path, "signers/") && !strings.HasPrefix(path, ".") && !strings.Contains(path, "/.")
}
