package main

import (
	"context"
	"errors"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/store"
)

// kept is where a command finds the events: the same flags and variables as the
// server has.
type kept struct{ settings config.Config }

func (k *kept) register(cmd *cobra.Command) {
	addSettings(cmd.PersistentFlags(), &k.settings, "data", "store", "rules")
}

// addSettings adds the server's flags of some settings to a command.
func addSettings(flags *pflag.FlagSet, settings *config.Config, names ...string) {
	all := pflag.NewFlagSet("", pflag.ContinueOnError)
	settings.Register(all)
	for _, name := range names {
		flags.AddFlag(all.Lookup(name))
	}
}

func (k *kept) load(cmd *cobra.Command) error {
	if err := k.settings.Load(cmd.Flags(), os.LookupEnv); err != nil {
		return err
	}
	if k.settings.Store != "" && !cmd.Flags().Changed("data") {
		k.settings.Data = "" // a database needs no folder here
	}
	return nil
}

// open returns the events to read, also beside a running server, or to write.
func (k *kept) open(cmd *cobra.Command, readOnly bool) (*app.Desk, error) {
	if err := k.load(cmd); err != nil {
		return nil, err
	}
	desk, err := app.OpenDesk(cmd.Context(), k.settings, readOnly)
	if errors.Is(err, store.ErrLocked) {
		return nil, inUseError{k.settings.Data}
	}
	return desk, err
}

// with opens the events for one command.
func (k *kept) with(cmd *cobra.Command, readOnly bool, do func(context.Context, *app.Desk) error) error {
	desk, err := k.open(cmd, readOnly)
	if err != nil {
		return err
	}
	return errors.Join(do(cmd.Context(), desk), desk.Close())
}

// inUseError says that a running server writes to the data folder.
type inUseError struct{ data string }

func (e inUseError) Error() string { return "a server uses " + e.data + ": stop it first" }
