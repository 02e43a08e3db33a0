package main

import "github.com/spf13/cobra"

// complete sets what a shell offers behind a flag.
func complete(cmd *cobra.Command, flag string, offer cobra.CompletionFunc) {
	if err := cmd.RegisterFlagCompletionFunc(flag, offer); err != nil {
		panic(err) // a flag that the command does not have, or that is registered twice
	}
}

// completeSeasons offers the keys of the seasons, also those of the folder with
// further tables. A folder with faults offers nothing.
func completeSeasons(dir *string) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		t, err := ownTables(*dir)
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		var keys []string
		for _, s := range t.Catalog().Headings() {
			keys = append(keys, s.Season+"\t"+s.Title)
		}
		return keys, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	}
}

// completeFolders offers folders only.
func completeFolders(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}
