package remote_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/remote"
)

// As git does (receive.denyCurrentBranch): a folder in which somebody works takes no push.
func TestNoPushIntoAFolderInUse(t *testing.T) {
	ship, shore, _ := trial.Apart(t, 2)
	was := trial.Head(t, shore)
	id, err := exchange.Write(ship, trial.Draft(50, trial.File("handovers/x.md", []byte("x\n"))))
	if err != nil {
		t.Fatal(err)
	}
	l := &remote.Remote{Name: "shore", Own: "shore", URL: shore, Branch: "main", Plain: true}
	if _, err := l.Push(context.Background(), ship, was, id); err == nil || !strings.Contains(err.Error(), "somebody works in") {
		t.Errorf("push into a work tree: %v", err)
	}
	if trial.Head(t, shore) != was {
		t.Error("the branch moved under somebody's hands")
	}
}

// A branch that moved since it was seen is not moved back: the push says so, and what the other wrote stands.
func TestPushFromWhereItWasSeen(t *testing.T) {
	ship, shore, between := trial.Apart(t, 2)
	seenAt := trial.Head(t, shore)
	other, err := exchange.Write(shore, trial.Draft(60, trial.File("handovers/shore.md", []byte("shore\n"))))
	if err != nil {
		t.Fatal(err)
	}
	trial.Run(t, shore, "push", "-q", between, "main")
	mine, err := exchange.Write(ship, trial.Draft(61, trial.File("handovers/ship.md", []byte("ship\n"))))
	if err != nil {
		t.Fatal(err)
	}
	l := &remote.Remote{Name: "between", Own: "between", URL: between, Branch: "main", Plain: true}
	if _, err := l.Push(context.Background(), ship, seenAt, mine); !errors.Is(err, remote.ErrBehind) {
		t.Errorf("push over a commit that was not seen: %v, want ErrBehind", err)
	}
	if got := trial.Run(t, between, "rev-parse", "main"); got != other {
		t.Errorf("the server stands on %s, want %s", got, other)
	}
}

// What a dead program left beside the branches of a folder, and a branch that lost its text with the power, keep nobody from fetching
// another one; git passes over the first and warns of the second (git-fetch, from memory).
func TestFetchBesideLeftOvers(t *testing.T) {
	ship, shore, _ := trial.Apart(t, 3)
	trial.Write(t, ship, 9, trial.File("parts/n-1.md", []byte("1\n")))
	for _, name := range []string{"refs/heads/main.lock", "refs/heads/other", "refs/heads/sub/x.lock"} {
		trial.Put(t, ship, ".git/"+name, "")
	}
	l := &remote.Remote{URL: ship, Branch: "main", Plain: true, Own: "x"}
	came, err := l.Fetch(t.Context(), shore)
	if err != nil || came.Tip != trial.Head(t, ship) || came.Objects == 0 {
		t.Errorf("%+v, %v", came, err)
	}
	l.Branch = "none"
	if came, err = l.Fetch(t.Context(), shore); err != nil || came.Tip != "" {
		t.Errorf("a branch that is not there: %+v, %v", came, err)
	}
	l.Branch = "other"
	if came, err = l.Fetch(t.Context(), shore); !errors.Is(err, remote.ErrConnection) {
		t.Errorf("a branch without a text: %+v, %v", came, err)
	}
}
