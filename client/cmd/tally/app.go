package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/offline"
	"github.com/rinktally/rinktally/server/tables"
)

// Exit codes.
const (
	exitOK      = 0
	exitRefused = 1 // the rules or the server say no, or the server cannot be reached
	exitUsage   = 2 // the command line or the input cannot be understood
)

const long = `tally finds levels, base values and scores under the rules of a season.

It computes by itself with the season tables it carries. With --server it asks a
server instead. Results are unofficial until the event's referee signs.

Exit codes: 0 done; 1 the rules or the server say no, or the server cannot be
reached; 2 the command line or the input cannot be understood.`

// app is one run of the program.
type app struct {
	in       io.Reader
	out, err io.Writer
	terminal bool             // err is a terminal: progress may be shown there
	now      func() time.Time // decides the current season offline; nil is the system's

	// Flags of every command.
	server    string
	plaintext bool
	caFile    string
	rules     []string
	json      bool

	started bool // the command line was understood
	refused bool // some of the input was refused, and was reported
}

// usageError is something that the person at the keyboard has to put right.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// run does what args say and returns the exit code.
func (a *app) run(ctx context.Context, args []string) int {
	root := a.command()
	root.SetArgs(args)
	root.SetIn(a.in)
	root.SetOut(a.out)
	root.SetErr(a.err)
	err := root.ExecuteContext(ctx)
	var usage usageError
	switch {
	case err == nil && a.refused:
		return exitRefused
	case err == nil:
		return exitOK
	case !a.started:
		fmt.Fprintf(a.err, "tally: %v\n", err)
		fmt.Fprintln(a.err, `"tally help" and "tally help COMMAND" show what can be asked.`)
		return exitUsage
	case errors.As(err, &usage):
		a.printUsage(usage)
		return exitUsage
	}
	a.printError("", err)
	return exitRefused
}

func (a *app) command() *cobra.Command {
	root := &cobra.Command{
		Use: "tally", Short: "Levels, base values and scores in figure skating", Long: long,
		SilenceErrors: true, SilenceUsage: true, Version: version(),
		PersistentPreRun: func(*cobra.Command, []string) { a.started = true },
	}
	f := root.PersistentFlags()
	f.StringVar(&a.server, "server", "", "ask the server at `HOST:PORT` instead of computing here")
	f.BoolVar(&a.plaintext, "plaintext", false, "connect to the server without TLS")
	f.StringVar(&a.caFile, "ca", "", "trust the certificates in this PEM `FILE` only")
	f.StringArrayVar(&a.rules, "rules", nil, "add the season tables in `DIR` (only without --server; repeatable)")
	f.BoolVar(&a.json, "json", false, "print the answer as JSON")
	if err := root.MarkPersistentFlagDirname("rules"); err != nil {
		panic(err) // a flag that is not there
	}
	root.AddCommand(a.levelCommand(), a.valueCommand(), a.valuesCommand(), a.scoreCommand(), a.checkCommand(),
		a.planCommand(), a.rankCommand(), a.seasonsCommand(), a.elementCommand(), a.compareCommand(), a.versionCommand())
	for _, cmd := range root.Commands() {
		a.complete(cmd)
	}
	return root
}

// ask makes a call and prints its answer: as JSON where that is asked for, otherwise
// by show.
func ask[Req, Res proto.Message](
	ctx context.Context, a *app, call func(client.Authority, context.Context, Req) (Res, error), req Req, show func(Res),
) error {
	authority, release, err := a.connect()
	if err != nil {
		return err
	}
	defer release()
	answer, err := call(authority, ctx, req)
	if err != nil {
		return err
	}
	if a.json {
		a.printJSON(a.out, answer)
		return nil
	}
	show(answer)
	return nil
}

// connect returns what answers: the tables here, or the server.
func (a *app) connect() (_ client.Authority, release func(), _ error) {
	if a.server == "" {
		if a.plaintext || a.caFile != "" {
			return nil, nil, usagef("--plaintext and --ca say how to reach a server: give --server too")
		}
		opts := []offline.Option{offline.WithClock(a.now)}
		for _, dir := range a.rules {
			layer, err := tables.Folder(dir)
			if err != nil {
				return nil, nil, usagef("--rules: %w", err)
			}
			opts = append(opts, offline.WithRules(layer.FS))
		}
		o, err := offline.New(opts...)
		if err != nil {
			return nil, nil, usageError{err}
		}
		return o, func() {}, nil
	}
	if len(a.rules) > 0 {
		return nil, nil, usagef("--rules adds tables here, but --server has its own: give one of the two")
	}
	opts := []client.Option{client.WithUserAgent("tally/" + version())}
	if a.plaintext {
		opts = append(opts, client.WithPlaintext())
	}
	if a.caFile != "" {
		opts = append(opts, client.WithCAFile(a.caFile))
	}
	c, err := client.New(a.server, opts...)
	if err != nil {
		return nil, nil, usageError{err}
	}
	return c, func() { _ = c.Close() }, nil
}

// place is the flags that say under which rules something is judged.
type place struct{ season, category, segment string }

func (p *place) flags(cmd *cobra.Command, category, segment string) {
	f := cmd.Flags()
	f.StringVar(&p.season, "season", "current", "`SEASON` whose rules hold, such as 2016-17")
	f.StringVar(&p.category, "category", category, "`CATEGORY` of the skater, such as junior-men")
	f.StringVar(&p.segment, "segment", segment, "`SEGMENT` of the event, such as short-program")
}

// fill puts the flags into the fields of a request that came from a file: a
// flag that was given wins, the others fill what the file leaves out.
func (p *place) fill(cmd *cobra.Command, season, category, segment *string) {
	for _, f := range []struct {
		name, value string
		field       *string
	}{{"season", p.season, season}, {"category", p.category, category}, {"segment", p.segment, segment}} {
		if *f.field == "" || cmd.Flags().Changed(f.name) {
			*f.field = f.value
		}
	}
}
