package exchange

import (
	"context"
	"errors"
	"strings"
	"testing"
)

// As git does (receive.denyCurrentBranch): a folder in which somebody works takes no push.
func TestNoPushIntoAFolderInUse(t *testing.T) {
	ship, shore, _ := apart(t, 2)
	was := head(t, shore)
	id, err := Write(ship, draft(50, file("handovers/x.md", []byte("x\n"))))
	if err != nil {
		t.Fatal(err)
	}
	l := &Line{Name: "shore", own: "shore", URL: shore, Branch: "main", Plain: true}
	if _, err := l.Push(context.Background(), ship, was, id); err == nil || !strings.Contains(err.Error(), "somebody works in") {
		t.Errorf("push into a work tree: %v", err)
	}
	if head(t, shore) != was {
		t.Error("the branch moved under somebody's hands")
	}
}

// A branch that moved since it was seen is not moved back: the push says so, and what the other wrote stands.
func TestPushFromWhereItWasSeen(t *testing.T) {
	ship, shore, between := apart(t, 2)
	seenAt := head(t, shore)
	other, err := Write(shore, draft(60, file("handovers/shore.md", []byte("shore\n"))))
	if err != nil {
		t.Fatal(err)
	}
	run(t, shore, "push", "-q", between, "main")
	mine, err := Write(ship, draft(61, file("handovers/ship.md", []byte("ship\n"))))
	if err != nil {
		t.Fatal(err)
	}
	l := &Line{Name: "between", own: "between", URL: between, Branch: "main", Plain: true}
	if _, err := l.Push(context.Background(), ship, seenAt, mine); !errors.Is(err, ErrBehind) {
		t.Errorf("push over a commit that was not seen: %v, want ErrBehind", err)
	}
	if got := run(t, between, "rev-parse", "main"); got != other {
		t.Errorf("the server stands on %s, want %s", got, other)
	}
}
