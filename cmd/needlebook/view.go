package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"
	"github.com/spf13/cobra"
)

func (p *program) view() *cobra.Command {
	var addr, on, proof string
	c := &cobra.Command{
		Use:   "view",
		Short: "Build the pages, show them on this computer, rebuild on every change",
		Long: `Builds the pages in a temporary folder, serves them to this computer only, and
builds them again whenever a file of the book changes. Press Ctrl-C to stop.`,
		Example: `  needlebook view
  needlebook view --addr 127.0.0.1:8125`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			dir, err := p.findBook()
			if err != nil {
				return err
			}
			temp, err := os.MkdirTemp("", "needlebook-view-")
			if err != nil {
				return fmt.Errorf("could not make a folder for the pages: %w", err)
			}
			defer os.RemoveAll(temp)
			pages := filepath.Join(temp, "pages")
			build := func() error {
				o, err := openFolder(dir, "", on, proof)
				if err != nil {
					return err
				}
				defer o.close()
				said, err := o.build(pages)
				if err == nil {
					fmt.Fprintln(p.out, said)
				}
				return err
			}
			if err := build(); err != nil {
				return err
			}
			ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt)
			defer stop()
			go p.rebuild(ctx, dir, build)
			return p.serve(ctx, addr, pages)
		},
	}
	c.Flags().StringVar(&addr, "addr", "127.0.0.1:0", "address on this computer; port 0 picks a free one")
	c.Flags().StringVar(&on, "on", "", "judge from this day (default: the last counter reading)")
	proofFlag(c, &proof)
	return c
}

// serve shows a folder on the loopback until the context ends.
func (p *program) serve(ctx context.Context, addr, dir string) error {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return use("--addr %s: an address such as 127.0.0.1:8125", addr)
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return use("--addr %s: pages are shown on this computer only: 127.0.0.1 or localhost", addr)
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("could not listen on %s: %w", addr, err)
	}
	files := http.FileServer(http.Dir(dir))
	server := &http.Server{ReadHeaderTimeout: 10 * time.Second, Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !localHost(r.Host) { // a page elsewhere must not read the book through a name that points here
			http.Error(w, "shown to this computer only", http.StatusForbidden)
			return
		}
		w.Header().Set("Cache-Control", "no-store")
		files.ServeHTTP(w, r)
	})}
	fmt.Fprintf(p.out, "pages at http://%s/ — Ctrl-C ends\n", l.Addr())
	go func() {
		<-ctx.Done()
		short, cancel := context.WithTimeout(context.Background(), 2*time.Second)
		defer cancel()
		server.Shutdown(short)
	}()
	if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("could not serve the pages: %w", err)
	}
	return nil
}

func localHost(hostport string) bool {
	host, _, err := net.SplitHostPort(hostport)
	if err != nil {
		host = hostport
	}
	ip := net.ParseIP(strings.Trim(host, "[]"))
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// rebuild builds again when a file of the book or the tip of its history changes, once the changes have settled.
func (p *program) rebuild(ctx context.Context, dir string, build func() error) {
	w, err := fsnotify.NewWatcher()
	if err != nil {
		fmt.Fprintf(p.err, "needlebook: changes are not watched: %v\n", err)
		return
	}
	defer w.Close()
	watchFolders(w, dir)
	const settle = 100 * time.Millisecond
	timer := time.NewTimer(time.Hour)
	timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case e := <-w.Events:
			if info, err := os.Stat(e.Name); err == nil && info.IsDir() && e.Has(fsnotify.Create) {
				watchFolders(w, e.Name)
			}
			if !strings.HasSuffix(e.Name, ".lock") {
				timer.Reset(settle)
			}
		case err := <-w.Errors:
			fmt.Fprintf(p.err, "needlebook: a change may have been missed: %v\n", err)
		case <-timer.C:
			if err := build(); err != nil {
				fmt.Fprintf(p.err, "needlebook: %v\n", err)
			}
		}
	}
}

// watchFolders watches a folder and those below it. Of .git only the refs count: they move with every commit.
func watchFolders(w *fsnotify.Watcher, dir string) {
	filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || !e.IsDir() {
			return nil
		}
		rel := filepath.ToSlash(path)
		if strings.Contains(rel, "/.git/") && !strings.Contains(rel, "/.git/refs") {
			return fs.SkipDir
		}
		w.Add(path)
		return nil
	})
}
