package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/rules"
)

func rulesShowCommand(dir *string) *cobra.Command {
	return &cobra.Command{
		Use:   "show SEASON [PATH]",
		Short: "Show a season as it stands after all layers, each line with its source",
		Long: "Each line is a rule or a value of the season with the file and line that state it, how\n" +
			"surely it is known and where it was read. A path shows what lies at it and below it.",
		Example: "  rinktally rules show 2025-26\n" +
			"  rinktally rules show 2025-26 levels.spins\n" +
			"  rinktally rules show 2025-26 values.pairs.BoDs4",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 || len(args) > 2 {
				return errors.New("give a season and, if you like, a path: rinktally rules show 2025-26 panel")
			}
			return nil
		},
		ValidArgsFunction: completeSeasons(dir),
		RunE: func(cmd *cobra.Command, args []string) error {
			t, err := ownTables(*dir)
			if err != nil {
				return err
			}
			season, _, unknown := t.Season(args[0], "")
			if len(unknown) > 0 {
				return unknown
			}
			path := ""
			if len(args) > 1 {
				path = args[1]
			}
			return showRules(cmd.OutOrStdout(), season, path)
		},
	}
}

// showRules prints the rules of a season at a path and below it.
func showRules(out io.Writer, season *rules.Season, path string) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "RULE\tVALUE\tSTATED IN\tHOW SURE\tSOURCE")
	shown := 0
	var keys []string
	for r := range season.EachRule() {
		keys = append(keys, r.Key)
		below, ok := strings.CutPrefix(r.Key, path)
		if !ok || path != "" && below != "" && below[0] != '.' && below[0] != '[' {
			continue
		}
		shown++
		value := r.Value
		if value == "" && r.Title != "" {
			value = "(" + r.Title + ")"
		}
		source := r.Source
		if r.Note != "" {
			source += ". " + r.Note
		}
		fmt.Fprintf(w, "%s\t%s\t%s:%d\t%s\t%s\n", r.Key, value, r.File, r.Line, r.Confidence, source)
	}
	if shown == 0 {
		if near := rules.Nearest(path, steps(keys)); near != "" {
			return fmt.Errorf("season %s has no rule at %s; did you mean %s?", season.Params.Season, rules.Quote(path), near)
		}
		return fmt.Errorf("season %s has no rule at %s; without a path all are shown", season.Params.Season, rules.Quote(path))
	}
	return w.Flush()
}

// steps lists every path that keys begin with, each once.
func steps(keys []string) []string {
	var all []string
	for _, key := range keys {
		for i, c := range key + "." {
			if c == '.' {
				all = append(all, key[:i])
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}
