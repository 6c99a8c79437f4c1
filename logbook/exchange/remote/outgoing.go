package remote

import (
	"context"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// Outgoing works out what the other side, which stands on a commit, lacks of the book, within a bound of bytes (0 for
// none): a longest piece of history from the oldest commit on.
func (l *Remote) Outgoing(ctx context.Context, dir, stands string) (*transfer.Outgoing, error) {
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
	old := plumbing.NewHash(stands)
	return transfer.NewOutgoing(store, tip, old, held(old), l.AtMost, l.thin())
}
