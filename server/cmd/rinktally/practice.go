package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/books"
)

func practiceCommand() *cobra.Command {
	k := &kept{}
	cmd := &cobra.Command{
		Use:   "practice",
		Short: "List, copy and delete the books of attempts that a server keeps",
		Long: "List, copy and delete the books of attempts that a server keeps, and make another\n" +
			"token for one whose token is lost. They open the data folder of a server that does\n" +
			"not run, or the database of --store at any time. What stands in a book they do not\n" +
			"show: that is for who holds its token.",
	}
	k.register(cmd)
	cmd.AddCommand(
		&cobra.Command{
			Use: "list", Short: "List the books by their ids, without what stands in them", Args: cobra.NoArgs,
			RunE: func(cmd *cobra.Command, _ []string) error {
				return k.withBooks(cmd, func(ctx context.Context, s *books.Store) error { return listBooks(ctx, s, cmd.OutOrStdout()) })
			},
		},
		&cobra.Command{
			Use: "token BOOK", Short: "Make another token for a book and end the one before; it is printed once", Args: cobra.ExactArgs(1),
			RunE: func(cmd *cobra.Command, args []string) error {
				return k.withBooks(cmd, func(ctx context.Context, s *books.Store) error {
					token := access.NewBookToken(args[0])
					if err := s.SetToken(ctx, args[0], access.Hash(token)); err != nil {
						return noBook(err, args[0])
					}
					_, err := fmt.Fprintln(cmd.OutOrStdout(), token)
					return err
				})
			},
		},
		&cobra.Command{
			Use: "delete BOOK", Short: "Delete a book with all that is in it, for good", Args: cobra.ExactArgs(1),
			RunE: func(cmd *cobra.Command, args []string) error {
				return k.withBooks(cmd, func(ctx context.Context, s *books.Store) error {
					if err := s.DeleteBook(ctx, args[0]); err != nil {
						return noBook(err, args[0])
					}
					_, err := fmt.Fprintln(cmd.OutOrStdout(), "deleted "+args[0]+"; copies made earlier still have it")
					return err
				})
			},
		},
		&cobra.Command{
			Use: "backup FILE", Short: "Copy all books into a new file, also while a server runs", Args: cobra.ExactArgs(1),
			Long: "Copy all books into a new file, also while a server runs. Nothing else copies\n" +
				"them: put the file under the name practice.db into a data folder whose server does\n" +
				"not run, and that server goes on from it.",
			RunE: func(cmd *cobra.Command, args []string) error {
				if err := k.load(cmd); err != nil {
					return err
				}
				if err := app.BackupBooks(cmd.Context(), k.settings, args[0]); err != nil {
					return err
				}
				_, err := fmt.Fprintln(cmd.OutOrStdout(), "copied to "+args[0])
				return err
			},
		},
	)
	return cmd
}

// withBooks opens the books for one command.
func (k *kept) withBooks(cmd *cobra.Command, do func(context.Context, *books.Store) error) error {
	if err := k.load(cmd); err != nil {
		return err
	}
	s, err := app.OpenBooks(cmd.Context(), k.settings)
	switch {
	case errors.Is(err, store.ErrLocked):
		return inUseError{k.settings.Data}
	case err != nil:
		return err
	}
	return errors.Join(do(cmd.Context(), s), s.Close())
}

func noBook(err error, id string) error {
	if errors.Is(err, books.ErrBookUnknown) {
		return fmt.Errorf("there is no book %q; \"rinktally practice list\" lists them", id)
	}
	return err
}

func listBooks(ctx context.Context, s *books.Store, w io.Writer) error {
	list, err := s.Books(ctx)
	if err != nil {
		return err
	}
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	_, _ = fmt.Fprintln(table, "BOOK\tMADE\tSKATERS")
	for _, b := range list {
		_, _ = fmt.Fprintf(table, "%s\t%s\t%d\n", b.ID, b.Created.Local().Format(time.DateOnly), b.Skaters)
	}
	return table.Flush()
}
