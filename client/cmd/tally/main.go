// Command tally shows coaches and people with data what an element's level, an
// element's value and a segment's score are under a season's rules. It computes
// by itself with the tables it carries, or asks a server.
package main

import (
	"context"
	"os"
	"os/signal"

	"golang.org/x/term"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := (&app{
		in: os.Stdin, out: os.Stdout, err: os.Stderr,
		terminal: term.IsTerminal(int(os.Stderr.Fd())),
	}).run(ctx, os.Args[1:])
	stop()
	os.Exit(code)
}
