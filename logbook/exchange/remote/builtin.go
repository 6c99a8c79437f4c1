package remote

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"runtime"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/protocol/packp"
	"github.com/go-git/go-git/v5/plumbing/protocol/packp/capability"
	"github.com/go-git/go-git/v5/plumbing/protocol/packp/sideband"
	"github.com/go-git/go-git/v5/plumbing/transport"
	"github.com/go-git/go-git/v5/plumbing/transport/client"
	"github.com/go-git/go-git/v5/plumbing/transport/server"
	gitssh "github.com/go-git/go-git/v5/plumbing/transport/ssh"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/fault"
	"needlebook/logbook/trace"
)

// builtIn carries where no git is installed, by go-git's clients for ssh, https and folders. Only its wire is used:
// packs go through our own reader and writer, and no repository of go-git's is opened for writing.
type builtIn struct{}

func dial(l *Remote) (transport.Transport, *transport.Endpoint, transport.AuthMethod, error) {
	ep, err := transport.NewEndpoint(l.URL)
	if err != nil {
		return nil, nil, nil, fmt.Errorf("%w: %w", ErrNoRemote, err)
	}
	if ep.Protocol == "file" { // go-git's own one for folders runs git
		return server.NewClient(served{l.Branch}), ep, nil, nil
	}
	c, err := client.NewClient(ep)
	if err != nil {
		return nil, nil, nil, fmt.Errorf("%w: %w", ErrNoRemote, err)
	}
	auth, err := keyFor(ep)
	if err != nil {
		return nil, nil, nil, wire(err)
	}
	return c, ep, auth, nil
}

// keyFor is the user's key for ssh where no agent holds one; go-git asks an agent, and nobody else.
func keyFor(ep *transport.Endpoint) (transport.AuthMethod, error) {
	if ep.Protocol != "ssh" || os.Getenv("SSH_AUTH_SOCK") != "" || runtime.GOOS == "windows" {
		return nil, nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return nil, err
	}
	who := ep.User
	if me, err := user.Current(); who == "" && err == nil {
		who = me.Username
	}
	for _, name := range []string{"id_ed25519", "id_ecdsa", "id_rsa"} {
		file := filepath.Join(home, ".ssh", name)
		if _, err := os.Stat(file); err != nil {
			continue
		}
		key, err := gitssh.NewPublicKeysFromFile(who, file, "")
		if err != nil {
			return nil, fmt.Errorf("the key %q cannot be used as it is (%w): let ssh-agent hold it (ssh-add), or install git",
				file, err)
		}
		return key, nil
	}
	return nil, fmt.Errorf("there is no ssh-agent and no key in %q to go over ssh with", filepath.Join(home, ".ssh"))
}

// inTime lets go of what takes longer than there is time. Go-git greets an ssh server without a bound.
func inTime[T any](ctx context.Context, do func() (T, error)) (T, error) {
	type answer struct {
		got T
		err error
	}
	done := make(chan answer, 1)
	fault.Go("speak to the other side", func() error {
		got, err := do()
		done <- answer{got, err}
		return nil
	}, func(err error) { done <- answer{err: err} })
	select {
	case a := <-done:
		return a.got, a.err
	case <-ctx.Done():
		var none T
		return none, context.Cause(ctx)
	}
}

func wire(err error) error { return fmt.Errorf("%w: %w", ErrConnection, err) }

// standing is where the branch stands in what the other side advertises.
func standing(refs *packp.AdvRefs, l *Remote) plumbing.Hash {
	return refs.References["refs/heads/"+l.Branch]
}

func (b builtIn) tip(ctx context.Context, r *exchange.Repository, l *Remote) (plumbing.Hash, error) {
	s, refs, err := b.open(ctx, l)
	if err != nil || refs == nil {
		return plumbing.ZeroHash, err
	}
	defer s.Close()
	return standing(refs, l), nil
}

// open begins a session to fetch. Without refs the other side is empty.
func (b builtIn) open(ctx context.Context, l *Remote) (transport.UploadPackSession, *packp.AdvRefs, error) {
	c, ep, auth, err := dial(l)
	if err != nil {
		return nil, nil, err
	}
	s, err := inTime(ctx, func() (transport.UploadPackSession, error) { return c.NewUploadPackSession(ep, auth) })
	if err != nil {
		return nil, nil, wire(err)
	}
	refs, err := s.AdvertisedReferencesContext(ctx)
	if errors.Is(err, transport.ErrEmptyRemoteRepository) {
		s.Close()
		return nil, nil, nil
	}
	if err != nil {
		s.Close()
		return nil, nil, wire(err)
	}
	return s, refs, nil
}

func (b builtIn) fetch(ctx context.Context, r *exchange.Repository, store *trace.Store, l *Remote,
	take func(io.Reader) error) (plumbing.Hash, error) {
	none := plumbing.ZeroHash
	s, refs, err := b.open(ctx, l)
	if err != nil || refs == nil {
		return none, err
	}
	defer s.Close()
	tip := standing(refs, l)
	if tip.IsZero() || store.Has(tip) == nil {
		return tip, nil
	}
	req := packp.NewUploadPackRequestFromCapabilities(refs.Capabilities)
	if refs.Capabilities.Supports(capability.Sideband64k) {
		if err := req.Capabilities.Set(capability.Sideband64k); err != nil {
			return none, err
		}
	}
	req.Wants = []plumbing.Hash{tip}
	if req.Haves, err = haves(store, l); err != nil {
		return none, err
	}
	if l.local() { // go-git's server for folders fails on a commit that it does not know
		if req.Haves, err = knownThere(l, req.Haves); err != nil {
			return none, wire(err)
		}
	}
	resp, err := s.UploadPack(ctx, req)
	if err != nil {
		return none, wire(err)
	}
	defer resp.Close()
	var in io.Reader = resp
	if req.Capabilities.Supports(capability.Sideband64k) {
		d := sideband.NewDemuxer(sideband.Sideband64k, resp)
		if l.Progress != nil {
			d.Progress = l.Progress
		}
		in = d
	}
	if l.AtMost > 0 {
		in = &bounded{in, l.AtMost}
	}
	err = take(in)
	if errors.Is(err, io.ErrUnexpectedEOF) {
		err = wire(err)
	}
	return tip, err
}

// knownThere are the commits of a list that a folder of this computer holds.
func knownThere(l *Remote, list []plumbing.Hash) ([]plumbing.Hash, error) {
	ep, err := transport.NewEndpoint(l.URL)
	if err != nil {
		return nil, err
	}
	there, err := served{l.Branch}.Load(ep)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(list, func(c plumbing.Hash) bool {
		_, err := there.EncodedObjectSize(c)
		return err != nil
	}), nil
}

// bounded ends in an error when more comes than was allowed.
type bounded struct {
	io.Reader
	left int64
}

func (b *bounded) Read(p []byte) (int, error) {
	n, err := b.Reader.Read(p)
	if b.left -= int64(n); b.left < 0 {
		return n, ErrTooMuch
	}
	return n, err
}

// haves are commits that the other side may know, the newest first: our tip and what lies behind it at growing
// distances.
func haves(store *trace.Store, l *Remote) ([]plumbing.Hash, error) {
	tip, _, err := store.Head()
	if errors.Is(err, trace.ErrUnborn) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	var list []plumbing.Hash
	if last, err := store.Ref(l.From()); err == nil {
		list = append(list, last)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	g := graph.New(store)
	seen := graph.Set{}
	next := []plumbing.Hash{tip}
	for n := 0; len(next) > 0 && len(list) < 256; n++ {
		c := next[0]
		next = next[1:]
		if seen[c] {
			continue
		}
		seen[c] = true
		if n < 64 || n%32 == 0 {
			list = append(list, c)
		}
		at, err := g.At(c)
		if err != nil {
			return nil, err
		}
		next = append(next, at.Parents...)
	}
	return list, nil
}

func (b builtIn) push(ctx context.Context, r *exchange.Repository, store *trace.Store, l *Remote, old,
	tip plumbing.Hash) (int64,
	error) {
	if l.local() {
		return pushInto(ctx, store, l, old, tip)
	}
	c, ep, auth, err := dial(l)
	if err != nil {
		return 0, err
	}
	s, err := inTime(ctx, func() (transport.ReceivePackSession, error) { return c.NewReceivePackSession(ep, auth) })
	if err != nil {
		return 0, wire(err)
	}
	defer s.Close()
	refs, err := s.AdvertisedReferencesContext(ctx)
	if err != nil && !errors.Is(err, transport.ErrEmptyRemoteRepository) {
		return 0, wire(err)
	}
	req := packp.NewReferenceUpdateRequest()
	if refs != nil {
		if now := standing(refs, l); now != old {
			return 0, ErrBehind
		}
		req = packp.NewReferenceUpdateRequestFromCapabilities(refs.Capabilities)
	}
	thin := l.thin() && !req.Capabilities.Supports("no-thin")
	req.Commands = []*packp.Command{{Name: plumbing.ReferenceName("refs/heads/" + l.Branch), Old: old, New: tip}}
	load, err := transfer.ContentOf(store, tip, held(old))
	if err != nil {
		return 0, err
	}
	from, to := io.Pipe()
	n := make(chan int64, 1)
	fault.Go("pack what is sent", func() error {
		size, err := load.Write(to, thin, 9)
		to.CloseWithError(err)
		n <- size
		return nil
	}, func(err error) { to.CloseWithError(err); n <- 0 })
	req.Packfile = from
	report, err := s.ReceivePack(ctx, req)
	from.Close()
	size := <-n
	if errors.Is(err, ErrBehind) {
		return size, ErrBehind
	}
	if err != nil {
		return size, wire(err)
	}
	if report != nil {
		if err := report.Error(); err != nil {
			return size, fmt.Errorf("%w: %w", ErrBehind, err)
		}
	}
	return size, nil
}
