package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use: "version", Short: "Show the program's version", Args: cobra.NoArgs,
		Run: func(*cobra.Command, []string) { fmt.Fprintln(a.out, version()) },
	}
}

// version is the module's version as Go recorded it in the program.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "(unknown)"
}
