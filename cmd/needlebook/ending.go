package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/fault"
)

// grace is how long a verb that is told to end has to come back by itself.
const grace = time.Second

var errInterrupted = errors.New("interrupted")

// endable ends with SIGINT and SIGTERM. A verb that does not come back within the grace is ended where it stands: see
// endSoon.
func endable() context.Context {
	ctx, stop := context.WithCancelCause(context.Background())
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	fault.Go("end", func() error {
		<-signals
		stop(errInterrupted)
		endSoon(os.Stderr, errInterrupted)
		return nil
	}, func(error) { os.Exit(exitFailed) })
	return ctx
}

// endSoon ends the program between two steps of what it writes, unless it ends by itself before. No lock is left; what
// was to be written is wholly there or not at all, as after a kill.
func endSoon(errw io.Writer, why error) {
	time.Sleep(grace)
	durable.Halt()
	fmt.Fprintf(errw, "needlebook: not finished: %v\n", why)
	os.Exit(exitFailed)
}

// within is the context of work that has a time limit.
func (p *program) within(limit time.Duration) (context.Context, func()) {
	up := fmt.Errorf("the time limit of %s is up", limit)
	ctx, cancel := context.WithTimeoutCause(p.ctx, limit, up)
	end := context.AfterFunc(ctx, func() {
		if p.endSoon != nil && errors.Is(context.Cause(ctx), up) {
			p.endSoon(p.err, up)
		}
	})
	return ctx, func() { end(); cancel() }
}
