package remote

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/budget"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/fault"
	"needlebook/logbook/trace"
)

// native lets an installed git carry. It never runs inside the book: it gets a bare repository of its own, beside the
// book, that borrows the book's objects and has settings of ours. So nothing that the book's settings or hooks name is
// run, and what comes lies outside the book until it was checked; the user's own settings (ssh, credentials, proxies)
// hold.
type native struct{ git string }

const nativeConfig = `[core]
	repositoryformatversion = 0
	bare = true
	alternateRefsCommand = true
	hooksPath = /dev/null
	fsmonitor = false
[transfer]
	fsckObjects = true
	unpackLimit = 1
[fetch]
	unpackLimit = 1
[gc]
	auto = 0
[maintenance]
	auto = false
[push]
	recurseSubmodules = no
	followTags = false
	gpgSign = false
`

// enforced are settings that nothing in a file may change.
var enforced = []string{"-c", "core.hooksPath=/dev/null", "-c", "core.fsmonitor=false", "-c", "protocol.allow=never",
	"-c", "protocol.file.allow=always", "-c", "protocol.ssh.allow=always", "-c", "protocol.https.allow=always", "-c",
	"protocol.http.allow=always",
	"-c", "fetch.recurseSubmodules=no", "-c", "submodule.recurse=false", "-c", "gc.auto=0", "-c", "maintenance.auto=false"}

// kept are the variables of git's that belong to the user and his line, not to a repository.
var kept = map[string]bool{"GIT_SSH": true, "GIT_SSH_COMMAND": true, "GIT_SSH_VARIANT": true, "GIT_ASKPASS": true,
	"GIT_TERMINAL_PROMPT": true,
	"GIT_PROXY_COMMAND":   true, "GIT_SSL_CAINFO": true, "GIT_SSL_CAPATH": true, "GIT_SSL_NO_VERIFY": true,
	"GIT_SSL_CERT": true, "GIT_SSL_KEY": true,
	"GIT_CONFIG_GLOBAL": true, "GIT_CONFIG_SYSTEM": true, "GIT_CONFIG_NOSYSTEM": true, "GIT_EXEC_PATH": true}

// environment is the user's without what would lead git elsewhere.
func environment(more ...string) []string {
	var env []string
	for _, v := range os.Environ() {
		name, _, _ := strings.Cut(v, "=")
		if strings.HasPrefix(name, "GIT_") && !kept[name] || name == "LC_ALL" || name == "LANGUAGE" {
			continue
		}
		env = append(env, v)
	}
	return append(append(env, "LC_ALL=C", "GIT_NO_REPLACE_OBJECTS=1", "GIT_NO_LAZY_FETCH=1"), more...)
}

// bare makes git's own repository, with refs to what both sides may have in common.
func (n native) bare(r *exchange.Repository, tips ...plumbing.Hash) (string, error) {
	aside, err := transfer.AsideFolder(r)
	if err != nil {
		return "", err
	}
	common, err := filepath.Abs(r.Common.Root())
	if err != nil {
		return "", err
	}
	dir := filepath.Join(common, filepath.FromSlash(aside))
	objects := filepath.ToSlash(filepath.Join(common, "objects"))
	if strings.ContainsAny(objects, "\"\n\\") {
		objects = strconv.Quote(objects)
	}
	for _, d := range []string{"objects/info", "objects/pack", "refs/heads"} {
		if err := os.MkdirAll(filepath.Join(dir, d), 0o777); err != nil {
			return dir, err
		}
	}
	files := map[string]string{"HEAD": "ref: refs/heads/none\n", "config": nativeConfig,
		"objects/info/alternates": objects + "\n"}
	for i, t := range tips {
		if !t.IsZero() {
			files[fmt.Sprintf("refs/heads/have%d", i)] = t.String() + "\n"
		}
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			return dir, err
		}
	}
	return dir, nil
}

func (n native) command(ctx context.Context, bare string, env []string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, n.git, append(append([]string{}, enforced...), args...)...)
	cmd.Dir = bare
	cmd.Env = environment(append(env, "GIT_DIR="+bare)...)
	cmd.WaitDelay = 2 * time.Second
	return cmd
}

// run runs git, shows its progress, and returns what it said.
func (n native) run(ctx context.Context, l *Remote, cmd *exec.Cmd) (string, error) {
	var says said
	says.show = l.Progress
	cmd.Stderr = &says
	var out bytes.Buffer
	cmd.Stdout = &out
	if err := cmd.Run(); err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) || ctx.Err() != nil {
			return out.String() + says.text.String(), fmt.Errorf("%w: %s", ErrConnection, lastWords(says.text.String()))
		}
		return "", fmt.Errorf("could not run git: %w", err)
	}
	return out.String() + says.text.String(), nil
}

// said keeps what git says, bounded, and passes its progress on.
type said struct {
	text bytes.Buffer
	show io.Writer
}

func (s *said) Write(b []byte) (int, error) {
	if s.text.Len() < 1<<20 {
		s.text.Write(b)
	}
	if s.show != nil {
		s.show.Write(b) // nobody has to see it
	}
	return len(b), nil
}

// lastWords are the lines in which git says what was wrong.
func lastWords(text string) string {
	var words []string
	for line := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == '\n' || r == '\r' }) {
		line = strings.TrimSpace(line)
		told := causeOf(line) != nil // what ssh says has no mark of its own
		for _, p := range []string{"fatal: ", "error: ", "remote: ", "ssh: ", "! "} {
			told = told || strings.HasPrefix(line, p)
		}
		if told && len(words) < 4 {
			words = append(words, strings.TrimPrefix(line, "fatal: "))
		}
	}
	if len(words) == 0 {
		return "git said nothing"
	}
	return strings.Join(words, "; ")
}

func (n native) tip(ctx context.Context, r *exchange.Repository, l *Remote) (plumbing.Hash, error) {
	bare, err := n.bare(r)
	if bare != "" {
		defer durable.End(bare, func() error { return os.RemoveAll(bare) })
	}
	if err != nil {
		return plumbing.ZeroHash, err
	}
	quiet := *l
	quiet.Progress = nil
	out, err := n.run(ctx, &quiet, n.command(ctx, bare, nil, "ls-remote", "--", l.URL, "refs/heads/"+l.Branch))
	if err != nil {
		return plumbing.ZeroHash, err
	}
	for line := range strings.Lines(out) {
		id, ref, ok := strings.Cut(strings.TrimSpace(line), "\t")
		if ok && ref == "refs/heads/"+l.Branch && plumbing.IsHash(id) {
			return plumbing.NewHash(id), nil
		}
	}
	return plumbing.ZeroHash, nil
}

func (n native) fetch(ctx context.Context, r *exchange.Repository, store *trace.Store, l *Remote,
	take func(io.Reader) error) (plumbing.Hash, error) {
	none := plumbing.ZeroHash
	ours, _, err := store.Head()
	if err != nil && !errors.Is(err, trace.ErrUnborn) {
		return none, err
	}
	last, err := store.Ref(l.From())
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return none, err
	}
	bare, err := n.bare(r, ours, last)
	if bare != "" {
		defer durable.End(bare, func() error { return os.RemoveAll(bare) })
	}
	if err != nil {
		return none, err
	}
	// git writes the pack down as it travels, which tells its size to the byte, and lets us check it ourselves.
	travelled := filepath.Join(bare, "travelled")
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	watched := make(chan struct{})
	fault.Go("watch what comes in", func() error { // the bound is kept while it travels, not only afterwards
		defer close(watched)
		watch(ctx, bare, l.AtMost, stop)
		return nil
	}, stop)
	says, err := n.run(ctx, l, n.command(ctx, bare, []string{"GIT_TRACE_PACKFILE=" + travelled}, "fetch", "--no-tags",
		"--no-write-fetch-head",
		"--no-recurse-submodules", "--no-auto-maintenance", "--progress", "--", l.URL,
		"+refs/heads/"+l.Branch+":refs/heads/came"))
	stopped := context.Cause(ctx)
	stop(nil)
	<-watched
	switch {
	case errors.Is(stopped, ErrTooMuch) || grown(bare, l.AtMost): // what came between two looks counts too
		return none, ErrTooMuch
	case err != nil && strings.Contains(says, "couldn't find remote ref"):
		return none, nil
	case err != nil && brokenObjects.MatchString(says):
		return none, transfer.Hostile("git refuses what came: %s", transfer.Clip(lastWords(says)))
	case err != nil:
		return none, err
	}
	text, err := budget.Read(filepath.Join(bare, "refs/heads/came"), budget.MaxFile)
	if err != nil {
		return none, fmt.Errorf("%w: git fetched, but left no tip: %w", ErrConnection, err)
	}
	tip := plumbing.NewHash(strings.TrimSpace(string(text)))
	packs, err := filepath.Glob(filepath.Join(bare, "objects/pack/*.pack"))
	if err != nil || len(packs) == 0 {
		return tip, err
	}
	f, err := budget.Open(packs[0], math.MaxInt64)
	if err != nil {
		return none, err
	}
	defer f.Close()
	if info, err := os.Stat(travelled); err == nil && info.Size() > 0 {
		if t, err := budget.Open(travelled, math.MaxInt64); err == nil {
			defer t.Close()
			return tip, take(bufio.NewReader(t))
		}
	}
	return tip, take(f)
}

// brokenObjects is what git says when the bytes that came are at fault and not the line.
var brokenObjects = regexp.MustCompile(`fsck error|error: object [0-9a-f]+: |missing blob object|bad pack header|pack has bad object|hash mismatch|pack is corrupted|pack has junk|inflate`)

// watch ends a fetch that grows beyond the bound.
func watch(ctx context.Context, bare string, bound int64, stop context.CancelCauseFunc) {
	for bound > 0 {
		select {
		case <-ctx.Done():
			return
		case <-time.After(50 * time.Millisecond):
		}
		if grown(bare, bound) {
			stop(ErrTooMuch)
		}
	}
}

// grown says that more has travelled than the bound; 0 is none.
func grown(bare string, bound int64) bool {
	info, err := os.Stat(filepath.Join(bare, "travelled"))
	return bound > 0 && err == nil && info.Size() > bound
}

var written = regexp.MustCompile(`Writing objects: 100% \([0-9/]+\), ([0-9.]+) (bytes|KiB|MiB|GiB)`)

func (n native) push(ctx context.Context, r *exchange.Repository, store *trace.Store, l *Remote, old,
	tip plumbing.Hash) (int64,
	error) {
	bare, err := n.bare(r, tip, old)
	if bare != "" {
		defer durable.End(bare, func() error { return os.RemoveAll(bare) })
	}
	if err != nil {
		return 0, err
	}
	says, err := n.run(ctx, l, n.command(ctx, bare, nil, "push", "--porcelain", "--progress", "--no-verify",
		"--no-follow-tags",
		"--recurse-submodules=no", "--thin", "--", l.URL, tip.String()+":refs/heads/"+l.Branch))
	if err != nil {
		if strings.Contains(says, "refusing to update checked out branch") {
			return 0, fmt.Errorf("%w: %w", ErrConnection, inUse(l.URL))
		}
		if moved(says) {
			return 0, ErrBehind
		}
		return 0, err
	}
	var bytes int64
	if m := written.FindStringSubmatch(says); m != nil {
		v, _ := strconv.ParseFloat(m[1], 64)
		bytes = int64(v * map[string]float64{"bytes": 1, "KiB": 1 << 10, "MiB": 1 << 20, "GiB": 1 << 30}[m[2]])
	}
	return bytes, nil
}

// moved reports whether a push was refused because the branch over there was no longer where we saw it.
func moved(says string) bool {
	for _, w := range []string{"non-fast-forward", "fetch first", "[rejected]", "cannot lock ref", "failed to update ref",
		"stale info"} {
		if strings.Contains(says, w) {
			return true
		}
	}
	return false
}
