package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/store"
)

func restoreCommand(k *kept) *cobra.Command {
	return &cobra.Command{
		Use: "restore COPY", Short: "Bring events back that are missing or damaged, from a copy", Args: cobra.ExactArgs(1),
		Long: "Bring events back that are missing here or damaged. COPY is the folder that\n" +
			"\"events backup\" made or another server's data folder, a file of \"events export\",\n" +
			"or another server's database, as postgres://…. The copy is checked and nothing is\n" +
			"written to it. An event that is whole here stays as it is; of one that is damaged\n" +
			"all that the copy has is put in its place, and what was written after the copy\n" +
			"was made is kept as far as it is whole. At the end everything is checked.",
		RunE: func(cmd *cobra.Command, args []string) error {
			return k.with(cmd, false, func(ctx context.Context, d *app.Desk) error {
				return restore(ctx, d, args[0], cmd.OutOrStdout())
			})
		},
	}
}

// restore brings events back from a copy and checks all that is here.
func restore(ctx context.Context, d *app.Desk, from string, w io.Writer) error {
	var err error
	if at, fault := os.Stat(from); fault == nil && !at.IsDir() {
		err = restoreFile(ctx, d, from, w)
	} else {
		err = restoreStore(ctx, d, from, w)
	}
	// A copy from before somebody was erased has brought the name back.
	return errors.Join(err, d.Book.Check(ctx), verifyEvents(ctx, d, nil, w))
}

func restoreFile(ctx context.Context, d *app.Desk, from string, w io.Writer) error {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close() //nolint:errcheck // it was only read
	var faults []error
	for part, err := range store.Parse(f) {
		switch {
		case err != nil:
			return errors.Join(append(faults, err)...)
		case part.File != "":
			err = part.Bring(ctx, d.Log)
		default:
			err = restoreStream(ctx, d, part.Records, w)
		}
		if err != nil {
			faults = append(faults, err)
		}
	}
	return errors.Join(faults...)
}

func restoreStore(ctx context.Context, d *app.Desk, from string, w io.Writer) (err error) {
	place := config.Config{Data: from}
	if strings.Contains(from, "://") {
		place = config.Config{Store: from}
	}
	copied, err := app.OpenDesk(ctx, place, true)
	if err != nil {
		return fmt.Errorf("the copy: %w", err)
	}
	defer func() { err = errors.Join(err, copied.Close()) }()
	names, err := store.Names(ctx, copied.Log)
	if err != nil {
		return fmt.Errorf("the copy: %w", err)
	}
	var faults []error
	for _, name := range names {
		records, err := store.Records(ctx, copied.Log, name)
		if err != nil {
			faults = append(faults, fmt.Errorf("the copy of %s cannot be used: %w", name, err))
			continue
		}
		if err := restoreStream(ctx, d, records, w); err != nil {
			faults = append(faults, err)
			continue
		}
		if name != host.ServerStream {
			// Where the copy lacks the tables, the check at the end says so.
			_ = d.KeepTables(ctx, copied, name)
		}
	}
	return errors.Join(faults...)
}

func restoreStream(ctx context.Context, d *app.Desk, records []store.Record, w io.Writer) error {
	stream := records[0].Stream
	did, last, err := store.Recover(ctx, d.Log, records)
	switch {
	case errors.Is(err, store.ErrConflict) && stream == host.ServerStream:
		_, _ = fmt.Fprintln(w, "left out the copy's administrator's tokens: here are others")
	case errors.Is(err, store.ErrConflict):
		return fmt.Errorf("%s: is whole here, with other facts than in the copy; what is here stays", stream)
	case err != nil:
		return fmt.Errorf("%s: %w", stream, err)
	case did == store.Stayed:
		_, _ = fmt.Fprintf(w, "stayed    %s  is whole here, %d facts\n", stream, last)
	case did == store.Brought:
		_, _ = fmt.Fprintf(w, "brought   %s  %d facts\n", stream, last)
	default:
		_, _ = fmt.Fprintf(w, "replaced  %s  was damaged here; %d facts, %d of them from the copy\n", stream, last, len(records))
	}
	return nil
}

func eraseCommand(k *kept) *cobra.Command {
	a := &asker{kept: k}
	cmd := &cobra.Command{
		Use: "erase EVENT ENTRY", Short: "Erase who a competitor is; scores and places stay, under the entry's id", Args: cobra.ExactArgs(2),
		Long: "Erase who a competitor is: name, club, and why the competitor withdrew. Scores,\n" +
			"places and the rest of the log stay, under the entry's id, and still fit their\n" +
			"checksums. It cannot be undone, and it does not reach copies that were made before:\n" +
			"backups, exports, printed results. With --server a running server is asked, with\n" +
			"an organiser's or administrator's token in the variable " + tokenVariable + ".",
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.ask(cmd, false, func(ctx context.Context, events pb.EventServiceClient) error {
				res, err := events.ErasePerson(ctx, &pb.ErasePersonRequest{Event: args[0], Entry: args[1]})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "erased: it is now shown as %q\n", res.GetEntry().GetName())
				return err
			})
		},
	}
	a.flags(cmd.Flags())
	return cmd
}
