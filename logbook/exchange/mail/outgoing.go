package mail

import (
	"context"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// Fitting works out the same for a side that holds some commits, without a branch that has to move.
func Fitting(ctx context.Context, dir string, has []string, bound int64) (*transfer.Outgoing, error) {
	store, err := trace.OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	store.Until(ctx)
	tip, _, err := store.Head()
	if err != nil {
		return nil, err
	}
	return transfer.NewOutgoing(store, tip, plumbing.ZeroHash, graph.Hashes(has), bound, true)
}
