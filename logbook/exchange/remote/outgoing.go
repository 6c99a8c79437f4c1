package remote

import (
	"context"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange/transfer"
)

// Outgoing works out what the other side, which stands on a commit, lacks of the book, within the remote's bound.
func (l *Remote) Outgoing(ctx context.Context, dir, stands string) (*transfer.Outgoing, error) {
	old := plumbing.NewHash(stands)
	return transfer.NewOutgoing(ctx, dir, old, held(old), l.AtMost, l.thin())
}
