package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"text/tabwriter"

	"github.com/spf13/cobra"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/site"
	"github.com/rinktally/rinktally/server/store"
)

func eventsCommand() *cobra.Command {
	k := &kept{}
	cmd := &cobra.Command{
		Use:   "events",
		Short: "List, copy and check the events that a server keeps",
		Long: "List, copy and check the events that a server keeps. All of it but import and\n" +
			"restore also works while the server runs.",
	}
	k.register(cmd)
	cmd.AddCommand(
		&cobra.Command{
			Use: "list", Short: "List the events", Args: cobra.NoArgs,
			RunE: func(cmd *cobra.Command, _ []string) error {
				return k.with(cmd, true, func(ctx context.Context, d *app.Desk) error { return listEvents(ctx, d, cmd.OutOrStdout()) })
			},
		},
		exportCommand(k),
		&cobra.Command{
			Use: "import FILE", Short: "Bring exported events back, with every fact as it was; - reads the standard input", Args: cobra.ExactArgs(1),
			Long: "Bring exported events back, with every fact as it was. An event that is there\n" +
				"already and equal is left alone; one that differs is refused. The file's\n" +
				"administrator's tokens are taken where there are none yet. - reads the standard\n" +
				"input.",
			RunE: func(cmd *cobra.Command, args []string) error {
				return k.with(cmd, false, func(ctx context.Context, d *app.Desk) error {
					return importEvents(ctx, d, args[0], cmd.InOrStdin(), cmd.OutOrStdout())
				})
			},
		},
		restoreCommand(k), eraseCommand(k),
		&cobra.Command{
			Use: "verify [EVENT …]", Short: "Check that the facts of events are whole and unchanged", Args: cobra.ArbitraryArgs,
			RunE: func(cmd *cobra.Command, args []string) error {
				return k.with(cmd, true, func(ctx context.Context, d *app.Desk) error { return verifyEvents(ctx, d, args, cmd.OutOrStdout()) })
			},
		},
		&cobra.Command{
			Use: "backup FOLDER", Short: "Copy the data folder to a new one that a server can be started on", Args: cobra.ExactArgs(1),
			RunE: func(cmd *cobra.Command, args []string) error {
				if err := k.load(cmd); err != nil {
					return err
				}
				if err := app.Backup(cmd.Context(), k.settings, args[0]); err != nil {
					return err
				}
				_, err := fmt.Fprintln(cmd.OutOrStdout(), "copied to "+args[0])
				return err
			},
		},
	)
	return cmd
}

func listEvents(ctx context.Context, d *app.Desk, w io.Writer) error {
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	_, _ = fmt.Fprintln(table, "EVENT\tDATE\tSEASON\tFACTS\tNAME")
	client := d.Events()
	for token := ""; ; {
		page, err := client.ListEvents(ctx, &pb.ListEventsRequest{PageToken: token})
		if err != nil {
			return err
		}
		for _, e := range page.GetEvents() {
			head, err := d.Log.Head(ctx, e.GetEvent())
			if err != nil {
				return err
			}
			name := e.GetName()
			if e.GetDamaged() {
				name += "  (damaged: see events verify)"
			}
			_, _ = fmt.Fprintf(table, "%s\t%s\t%s\t%d\t%s\n", e.GetEvent(), e.GetStartDate(), e.GetSeason(), head.Seq, name)
		}
		if token = page.GetNextPageToken(); token == "" {
			return table.Flush()
		}
	}
}

func exportCommand(k *kept) *cobra.Command {
	var out, web string
	var tokens, nameless bool
	cmd := &cobra.Command{
		Use: "export [EVENT …]", Short: "Write all facts of events, or of all of them, as JSON lines", Args: cobra.ArbitraryArgs,
		Long: "Write all facts of events, as JSON lines with a checksum, and the season tables\n" +
			"that they were made with. Without a name it is every event that is kept. Tokens\n" +
			"are left out, as hashes too, unless --tokens asks for them; names, clubs and\n" +
			"reasons of withdrawals are left out with --without-names. The facts fit their\n" +
			"checksums either way. What earlier programs wrote has both inside and cannot be\n" +
			"parted.\n\n" +
			"With --site it writes instead what everybody may read of one event as pages,\n" +
			"papers and JSON for any web space.",
		Example: "  rinktally events export spring-cup --site spring-cup-web",
		RunE: func(cmd *cobra.Command, args []string) error {
			if web != "" {
				return exportSite(k, cmd, args, web)
			}
			what := store.Selection{
				Streams: args,
				Leave:   func(stream string) bool { return stream == host.ServerStream && !tokens },
				Apart: func(r *store.Record) bool {
					if event.HoldsToken(&r.Fact) {
						return tokens
					}
					return !nameless
				},
			}
			return k.with(cmd, true, func(ctx context.Context, d *app.Desk) error {
				if out == "" {
					return store.Export(ctx, d.Log, cmd.OutOrStdout(), what)
				}
				const secret = 0o600
				f, err := os.OpenFile(out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, secret)
				if err != nil {
					return err
				}
				return errors.Join(store.Export(ctx, d.Log, f, what), f.Sync(), f.Close())
			})
		},
	}
	cmd.Flags().StringVar(&web, "site", "", "folder to write, which must not exist, with one event as pages for a web space")
	cmd.Flags().StringVar(&out, "out", "", "file to write, which must not exist; without it the standard output")
	cmd.Flags().BoolVar(&tokens, "tokens", false, "with the tokens, as hashes, so that they hold where the file is imported; the administrator's too when no event is named")
	cmd.Flags().BoolVar(&nameless, "without-names", false, "without names, clubs and reasons of withdrawals: entries are shown by their ids")
	for _, other := range []string{"out", "tokens", "without-names"} {
		cmd.MarkFlagsMutuallyExclusive("site", other)
	}
	return cmd
}

// exportSite writes one event as pages.
func exportSite(k *kept, cmd *cobra.Command, args []string, dir string) error {
	if len(args) != 1 {
		return fmt.Errorf("--site: name one event, whose pages are written; found %d", len(args))
	}
	return k.with(cmd, true, func(ctx context.Context, d *app.Desk) error {
		err := site.Write(ctx, d.Public(), args[0], dir)
		if errs.Reason(err) == pb.ErrorReason_UNAUTHENTICATED.String() {
			return fmt.Errorf("--site: not everybody may read event %s, so no pages are made of it; the organiser can open it", args[0])
		}
		if err != nil {
			return told(err)
		}
		_, err = fmt.Fprintln(cmd.OutOrStdout(), "written to "+dir+"; its first page is index.html")
		return err
	})
}

func importEvents(ctx context.Context, d *app.Desk, name string, in io.Reader, w io.Writer) error {
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return err
		}
		defer f.Close() //nolint:errcheck // it was only read
		in = f
	}
	var faults []error
	for part, err := range store.Parse(in) {
		if err != nil {
			return errors.Join(append(faults, err)...)
		}
		err = part.Bring(ctx, d.Log)
		if part.File != "" {
			if err != nil {
				return errors.Join(append(faults, err)...)
			}
			continue
		}
		stream := part.Records[0].Stream
		switch {
		case err == nil:
			_, _ = fmt.Fprintln(w, "restored "+stream)
			tellMissingTables(ctx, d, stream, w)
		case errors.Is(err, store.ErrConflict) && stream == host.ServerStream:
			_, _ = fmt.Fprintln(w, "left out the file's administrator's tokens: here are others")
		case errors.Is(err, store.ErrConflict):
			faults = append(faults, fmt.Errorf("%s: is here already with other facts, which stay; import into another --data folder to have both", stream))
		default:
			return errors.Join(append(faults, err)...)
		}
	}
	return errors.Join(faults...)
}

// tellMissingTables says when the season table that an event was made with is not
// here: then its results can be read, but nothing more can be scored.
func tellMissingTables(ctx context.Context, d *app.Desk, name string, w io.Writer) {
	res, err := d.Events().GetEvent(ctx, &pb.GetEventRequest{Event: name})
	if err != nil {
		return // a stream of the server's own
	}
	for _, warning := range res.GetEvent().GetWarnings() {
		if warning.GetCode() == string(api.WarnRevisionChanged) {
			_, _ = fmt.Fprintf(w, "       season %s: %s\n", res.GetEvent().GetRules().GetSeason(), warning.GetMessage())
		}
	}
}

// verifyEvents checks the chain of hashes of every stream, and that each event can
// be played again from its facts.
func verifyEvents(ctx context.Context, d *app.Desk, names []string, w io.Writer) error {
	if len(names) == 0 {
		var err error
		if names, err = store.Names(ctx, d.Log); err != nil {
			return err
		}
	}
	var faults []error
	for _, name := range names {
		head, err := store.Verify(ctx, d.Log, name)
		if err == nil {
			err = d.Book.View(ctx, name, func(*event.State) error { return nil })
			if errs.Reason(err) == pb.ErrorReason_EVENT_UNKNOWN.String() {
				err = nil // a stream of the server's own
			}
		}
		if err != nil {
			faults = append(faults, fmt.Errorf("%s: %w", name, err))
			continue
		}
		_, _ = fmt.Fprintf(w, "whole  %s  %d facts  %s\n", name, head.Seq, head.Hash)
		tellMissingTables(ctx, d, name, w)
	}
	return errors.Join(faults...)
}
