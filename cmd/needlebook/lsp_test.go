package main

import (
	"fmt"
	"strings"
	"testing"
)

// What is no message of the protocol ends the service with a word about it, since nothing behind it can be trusted to begin where it
// should; what comes before initialize is refused. Exit statuses and error codes by the Language Server Protocol 3.17.
func TestLspRefuses(t *testing.T) {
	framed := func(body string) string { return fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body), body) }
	begin := framed(`{"jsonrpc":"2.0","id":1,"method":"initialize","params":{}}`)
	for _, c := range []struct {
		name, in, says, answers string
		status                  int
	}{
		{"cut off JSON", begin + framed(`{"jsonrpc`), "no message of the Language Server Protocol", `"id":1`, exitFailed},
		{"no length", "hello\r\n\r\n", "no message of the Language Server Protocol", "", exitFailed},
		{"too early", framed(`{"jsonrpc":"2.0","id":7,"method":"textDocument/hover","params":{}}`) + framed(`{"jsonrpc":"2.0","method":"exit"}`), "", "-32002", exitFindings},
		{"end without shutdown", begin, "", `"id":1`, exitFindings},
		{"in order", begin + framed(`{"jsonrpc":"2.0","id":2,"method":"shutdown"}`) + framed(`{"jsonrpc":"2.0","method":"exit"}`), "", `"id":2`, 0},
	} {
		var out, errs strings.Builder
		if status := run([]string{"lsp"}, strings.NewReader(c.in), &out, &errs); status != c.status || !strings.Contains(errs.String(), c.says) || c.says == "" && errs.Len() > 0 || !strings.Contains(out.String(), c.answers) {
			t.Errorf("%s: status %d, said %q, answered %q; want %d, %q, %q", c.name, status, errs.String(), out.String(), c.status, c.says, c.answers)
		}
	}
}
