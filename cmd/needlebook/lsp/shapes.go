package lsp

import (
	"strings"
	"unicode/utf16"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// The shapes of the protocol that are used here: Language Server Protocol 3.17.
type (
	position struct {
		Line      int `json:"line"`
		Character int `json:"character"` // in units of UTF-16
	}
	span struct {
		Start position `json:"start"`
		End   position `json:"end"`
	}
	params struct {
		TextDocument struct {
			URI     string `json:"uri"`
			Version *int   `json:"version"`
			Text    string `json:"text"`
		} `json:"textDocument"`
		Query          string                  `json:"query"`
		Position       position                `json:"position"`
		Range          span                    `json:"range"`
		ContentChanges []struct{ Text string } `json:"contentChanges"`
		Capabilities   struct {
			TextDocument struct {
				CodeAction struct {
					DisabledSupport bool `json:"disabledSupport"`
				} `json:"codeAction"`
			} `json:"textDocument"`
			Workspace struct {
				WorkspaceEdit struct {
					ResourceOperations []string `json:"resourceOperations"`
				} `json:"workspaceEdit"`
			} `json:"workspace"`
		} `json:"capabilities"`
	}
	location struct {
		URI   string `json:"uri"`
		Range span   `json:"range"`
	}
	mention struct {
		Location location `json:"location"`
		Message  string   `json:"message"`
	}
	diagnostic struct {
		Range    span      `json:"range"`
		Severity int       `json:"severity"` // 1 error, 2 warning, 3 information, 4 hint
		Code     string    `json:"code"`
		Source   string    `json:"source"`
		Message  string    `json:"message"`
		Related  []mention `json:"relatedInformation,omitempty"`
	}
	diagnostics struct {
		URI         string       `json:"uri"`
		Version     *int         `json:"version,omitempty"`
		Diagnostics []diagnostic `json:"diagnostics"`
	}
	textEdit struct {
		Range   span   `json:"range"`
		NewText string `json:"newText"`
	}
	action struct {
		Title     string         `json:"title"`
		Kind      string         `json:"kind"`
		Preferred bool           `json:"isPreferred,omitempty"`
		Edit      *workspaceEdit `json:"edit,omitempty"`
		Disabled  *reason        `json:"disabled,omitempty"` // shown, and cannot be chosen
	}
	reason struct {
		Reason string `json:"reason"`
	}
	workspaceEdit struct {
		Changes    map[string][]textEdit `json:"changes,omitempty"`
		Operations []renameFile          `json:"documentChanges,omitempty"`
	}
	renameFile struct {
		Kind string `json:"kind"` // rename
		Old  string `json:"oldUri"`
		New  string `json:"newUri"`
	}
	item struct {
		Label  string `json:"label"`
		Detail string `json:"detail,omitempty"`
	}
	symbol struct {
		Name     string   `json:"name"`
		Detail   string   `json:"detail,omitempty"`
		Kind     int      `json:"kind"` // 20: a key
		Range    span     `json:"range"`
		Selected span     `json:"selectionRange"`
		Children []symbol `json:"children,omitempty"`
	}
)

// textLines splits a text as the protocol counts lines: at line feeds, carriage returns, and both together. A
// byte-order mark is no character of the first line: editors take it off.
func textLines(text string) []string {
	return strings.Split(tree.PlainEnds(strings.TrimPrefix(text, "\ufeff")), "\n")
}

// units is the length of a text in units of UTF-16.
func units(s string) int { return len(utf16.Encode([]rune(s))) }

// upTo is the part of a line before a character counted in units of UTF-16.
func upTo(line string, character int) string {
	all := utf16.Encode([]rune(line))
	return string(utf16.Decode(all[:min(max(character, 0), len(all))]))
}

// wordAt is the range from a place to the end of what stands there.
func wordAt(lines []string, p logbook.Place) span {
	n := max(p.Line-1, 0)
	if n >= len(lines) {
		n = len(lines) - 1
	}
	line := lines[n]
	from, _ := tree.Passed([]byte(line), p.Column-1)
	to := from
	if from < len(line) && (line[from] == '"' || line[from] == '\'') {
		for to++; to < len(line) && line[to] != line[from]; to++ {
		}
		to = min(to+1, len(line))
	} else {
		for to < len(line) && strings.IndexByte(",]}#", line[to]) < 0 {
			to++
		}
		for to > from && line[to-1] == ' ' {
			to--
		}
	}
	if to == from {
		to = len(line)
	}
	return span{position{n, units(line[:from])}, position{n, units(line[:to])}}
}
