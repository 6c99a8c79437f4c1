package remote

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	gitconfig "github.com/go-git/go-git/v5/plumbing/format/config"

	"needlebook/logbook/budget"
	"needlebook/logbook/trace"
)

// Settings are what git is told about signing: user.name, user.email, user.signingkey and gpg.format, by
// their names in lower case; one that is not set is missing.
type Settings map[string]string

var wanted = []string{"user.name", "user.email", "user.signingkey", "gpg.format"}

// ReadSettings reads them as git does for the book in dir: git itself is asked where it is installed, so
// that included files count; else the person's and the book's own file are read. No program that a
// setting names is ever run.
func ReadSettings(dir string) (Settings, error) {
	if git, err := exec.LookPath("git"); err == nil {
		return askGit(git, dir)
	}
	_, common, err := trace.GitDirs(dir)
	if err != nil {
		return nil, err
	}
	home, err := os.UserHomeDir()
	if err != nil {
		home = "" // nothing of the person's own is read then
	}
	own := os.Getenv("XDG_CONFIG_HOME")
	if own == "" {
		own = filepath.Join(home, ".config")
	}
	s := Settings{}
	for _, name := range []string{filepath.Join(own, "git", "config"), filepath.Join(home, ".gitconfig"),
		filepath.Join(common, "config")} {
		if err := s.file(name); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// gitAnswers is how long git may take to answer: it waits where its settings, or what these include, lead to a pipe.
const gitAnswers = 20 * time.Second

func askGit(git, dir string) (Settings, error) {
	ctx, stop := context.WithTimeout(context.Background(), gitAnswers)
	defer stop()
	s := Settings{}
	for _, name := range wanted {
		cmd := exec.CommandContext(ctx, git, "-C", dir, "config", "--null", "--get", name)
		cmd.WaitDelay = time.Second
		cmd.Env = environment()
		var says bytes.Buffer
		cmd.Stderr = &says
		out, err := cmd.Output()
		var exit *exec.ExitError
		switch {
		case err == nil:
			s[name] = strings.TrimSuffix(string(out), "\x00")
		case errors.As(err, &exit) && exit.ExitCode() == 1: // not set
		case ctx.Err() != nil:
			return nil, fmt.Errorf("git did not say its %s within %v: a file of its settings does not end", name, gitAnswers)
		default:
			return nil, fmt.Errorf("could not ask git for %s: %w: %s", name, err, strings.TrimSpace(says.String()))
		}
	}
	return s, nil
}

func (s Settings) file(name string) error {
	text, err := budget.Read(name, budget.MaxFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("could not read git's settings: %w", err)
	}
	c := gitconfig.New()
	if err := gitconfig.NewDecoder(bytes.NewReader(text)).Decode(c); err != nil {
		return fmt.Errorf("could not read git's settings in %q: %w", name, err)
	}
	for _, key := range wanted {
		section, option, _ := strings.Cut(key, ".")
		if c.HasSection(section) && c.Section(section).HasOption(option) {
			s[key] = c.Section(section).Option(option)
		}
	}
	return nil
}
