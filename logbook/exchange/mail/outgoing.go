package mail

import (
	"context"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/transfer"
)

// Fitting works out what a side lacks of the book that holds some commits, and has no branch that must move.
func Fitting(ctx context.Context, dir string, has []string, bound int64) (*transfer.Outgoing, error) {
	return transfer.NewOutgoing(ctx, dir, plumbing.ZeroHash, graph.Hashes(has), bound, true)
}
