package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"needlebook/logbook/fault"
	"needlebook/site"
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
			var reviewed string // the newest review, and the state of the book at it: read again when another comes in
			var before *site.Before
			ctx := cmd.Context()
			first, ended := make(chan struct{}), make(chan error, 1)
			shown := sync.OnceFunc(func() { close(first) })
			fault.Go("look for changes", func() error {
				err := p.afterChanges(ctx, dir, on, proof, func(o *opened, changed []string) error {
					var err error
					if c, _ := lastReview(o.trail); c != nil && c.ID != reviewed {
						if before, err = o.earlier(""); err != nil {
							return err
						}
						reviewed = c.ID
					}
					o.before = before
					said, err := p.build(o, pages)
					if err != nil {
						return err
					}
					if len(changed) > 0 {
						said = few(changed, 3) + ": " + said
					}
					fmt.Fprintln(p.out, said)
					shown()
					return nil
				})
				ended <- err
				return nil
			}, func(err error) { ended <- err })
			select {
			case err := <-ended:
				return err
			case <-first:
			}
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
	server := &http.Server{ReadHeaderTimeout: 10 * time.Second, ErrorLog: log.New(io.Discard, "", 0),
		Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if !localHost(r.Host) { // a page elsewhere must not read the book through a name that points here
				http.Error(w, "shown to this computer only", http.StatusForbidden)
				return
			}
			w.Header().Set("Cache-Control", "no-store")
			files.ServeHTTP(w, r)
		})}
	fmt.Fprintf(p.out, "pages at http://%s/ — Ctrl-C ends\n", l.Addr())
	fault.Go("end the server", func() error {
		<-ctx.Done()
		short, cancel := context.WithTimeout(context.Background(), grace/2)
		defer cancel()
		server.Shutdown(short)
		return nil
	}, p.said)
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
