package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"needlebook/cmd/needlebook/lsp"
	"needlebook/logbook"
)

func (p *program) lsp() *cobra.Command {
	return &cobra.Command{
		Use:   "lsp",
		Short: "Serve an editor: findings while one types, limits and last values beside the cursor",
		Long: `Speaks the Language Server Protocol 3.17 over standard input and output. The
editor starts it: the command line is needlebook lsp, for the Markdown and CSV
files below a folder that holds a book.md.

It says the slips of typing and the findings of the checks on the text as it
is, saved or not; shows the limit and the last value of the key under the
cursor; completes words, serials, instruments in date and units; and offers
the correction for each slip, or what may have been meant.

It goes from a value to its limit and from a record to the ones before it, and
lists the blocks of a record as an outline. It writes no file.`,
		Example: `  needlebook lsp`,
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			sweepAsUsual()
			server := lsp.Server{Program: built, Said: p.said,
				History: func(ctx context.Context, dir string, last *logbook.Trail) (*logbook.Trail, error) {
					return history(ctx, dir, "", "", last)
				}}
			err := server.Serve(cmd.Context(), p.in, p.raw)
			if errors.Is(err, lsp.ErrNoShutdown) {
				p.status = exitFindings // as the protocol has it
				return nil
			}
			return err
		},
	}
}
