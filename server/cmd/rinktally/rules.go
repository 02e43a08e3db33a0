package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/cases"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/tables"
)

func rulesCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rules",
		Short: "List, check, compare and start season tables",
		Long: "Season tables are folders of YAML and CSV files. Those of the program are embedded;\n" +
			"a folder of your own (--rules) adds seasons or replaces those of the same key.",
	}
	dir := cmd.PersistentFlags().String("rules", "", "folder with further season tables")
	cmd.AddCommand(rulesListCommand(dir), rulesCheckCommand(), rulesDiffCommand(dir), rulesNewCommand(dir))
	return cmd
}

// ownTables loads the embedded tables and those of a folder.
func ownTables(dir string) (*tables.Tables, error) {
	var layers []table.Layer
	if dir != "" {
		if _, err := os.Stat(dir); err != nil {
			return nil, err
		}
		layers = append(layers, table.Layer{Name: dir, FS: os.DirFS(dir)})
	}
	return tables.New(nil, layers...)
}

func rulesListCommand(dir *string) *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "List the seasons and their categories", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			t, err := ownTables(*dir)
			if err != nil {
				return err
			}
			w := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 0, 2, ' ', 0)
			fmt.Fprintln(w, "SEASON\tVALID\tVALUES\tCATEGORIES")
			for _, s := range t.Catalog().Seasons() {
				valid := "never current"
				if s.ValidFrom != "" {
					valid = s.ValidFrom + " to " + s.ValidTo
				}
				var values []string
				for _, d := range rules.Disciplines {
					if s.Table(d) != nil {
						values = append(values, string(d))
					}
				}
				fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", s.Params.Season, valid, strings.Join(values, ", "), strings.Join(rules.SortedKeys(s.Categories), ", "))
			}
			return w.Flush()
		},
	}
}

func rulesCheckCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check [DIR]",
		Short: "Compile the tables of a folder and run the golden cases beside them",
		Long: "Compile the tables of a folder over the embedded ones, tell what they change, and run the\n" +
			"golden cases that lie beside them (SEASON/cases/*.yaml). Without a folder the embedded tables\n" +
			"are checked. Every fault is told with file and line. The exit code is 0 when there is none.",
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := ""
			if len(args) > 0 {
				dir = args[0]
			}
			return checkRules(cmd.Context(), cmd.OutOrStdout(), dir)
		},
	}
}

func checkRules(ctx context.Context, out io.Writer, dir string) error {
	t, err := ownTables(dir)
	var faults, inCases rules.TableFaults
	if err != nil && !errors.As(err, &faults) {
		return err
	}
	name, tree := "seasons", fs.FS(seasons.FS)
	if dir != "" {
		name, tree = dir, os.DirFS(dir)
	}
	list, err := cases.Load(name, tree)
	if err != nil && !errors.As(err, &inCases) {
		return err
	}
	for _, f := range append(faults, inCases...) {
		fmt.Fprintln(out, f.Error())
	}
	switch {
	case len(faults) > 0 && len(list)+len(inCases) > 0:
		return fmt.Errorf("%s; nothing was loaded, so the golden cases were read but not run", rules.Count(len(faults)+len(inCases), "fault"))
	case len(faults) > 0:
		return fmt.Errorf("%s in the tables; nothing was loaded", rules.Count(len(faults), "fault"))
	case len(inCases) > 0:
		return fmt.Errorf("the tables compile, but the golden cases have %s and were not run", rules.Count(len(inCases), "fault"))
	}
	if dir != "" {
		if err := printChanges(ctx, out, t, dir); err != nil {
			return err
		}
	}
	call, ran, wrong := cases.Direct(t), 0, 0
	for i := range list {
		c := &list[i]
		for _, season := range c.Seasons {
			ran++
			_, differences := c.Run(ctx, season, call)
			if len(differences) == 0 {
				continue
			}
			wrong++
			fmt.Fprintf(out, "%s:%d: %s (season %s)\n", c.File, c.Line, c.Name, season)
			for _, d := range differences {
				fmt.Fprintf(out, "    %s\n", d)
			}
		}
	}
	if wrong > 0 {
		return fmt.Errorf("the tables compile, but of %s %d failed", rules.Count(ran, "golden case"), wrong)
	}
	compiled := fmt.Sprintf("the tables compile (%s)", rules.Count(len(t.Catalog().Seasons()), "season"))
	if ran == 0 {
		_, err = fmt.Fprintf(out, "%s; no golden cases lie beside them, so no number was checked: write %s/SEASON/cases/*.yaml\n", compiled, dir)
		return err
	}
	_, err = fmt.Fprintf(out, "%s; golden cases run: %d, all of them hold\n", compiled, ran)
	return err
}

func rulesDiffCommand(dir *string) *cobra.Command {
	discipline := ""
	cmd := &cobra.Command{
		Use:   "diff FROM TO",
		Short: "Show what changed between two seasons, in points and rules",
		Args:  cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			t, err := ownTables(*dir)
			if err != nil {
				return err
			}
			diff, err := rulesvc.New(t).CompareSeasons(cmd.Context(), &pb.CompareSeasonsRequest{From: args[0], To: args[1], Discipline: discipline})
			if err != nil {
				return errors.New(status.Convert(err).Message())
			}
			return printDiff(cmd.OutOrStdout(), diff)
		},
	}
	cmd.Flags().StringVar(&discipline, "discipline", "", "singles, pairs or dance; empty = all")
	return cmd
}

func printDiff(out io.Writer, diff *pb.CompareSeasonsResponse) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "From %s (%s) to %s (%s)\n\n", diff.GetFrom().GetSeason(), diff.GetFrom().GetTitle(), diff.GetTo().GetSeason(), diff.GetTo().GetTitle())
	if len(diff.GetChanged()) > 0 {
		fmt.Fprintln(w, "BASE VALUE\tFROM\tTO\tDIFFERENCE\t")
		for _, c := range diff.GetChanged() {
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", c.GetCode(), c.GetFrom(), c.GetTo(), c.GetDifference(), where(c.GetDiscipline(), c.GetScope()))
		}
		fmt.Fprintln(w)
	}
	for _, list := range []struct {
		title  string
		values []*pb.ElementValue
	}{{"NEW", diff.GetAdded()}, {"NO LONGER VALUED", diff.GetRemoved()}} {
		if len(list.values) == 0 {
			continue
		}
		fmt.Fprintf(w, "%s\tBASE VALUE\t\n", list.title)
		for _, e := range list.values {
			fmt.Fprintf(w, "%s\t%s\t%s\n", e.GetCode(), e.GetBaseValue(), where(e.GetDiscipline(), e.GetScope()))
		}
		fmt.Fprintln(w)
	}
	if err := w.Flush(); err != nil || len(diff.GetRuleChanges()) == 0 {
		return err
	}
	fmt.Fprintln(out, "RULES")
	for _, r := range diff.GetRuleChanges() {
		fmt.Fprintf(out, "%s: %s -> %s\n", r.GetKey(), orNone(r.GetFrom()), orNone(r.GetTo()))
	}
	return nil
}

func where(discipline, scope string) string {
	if scope == "" {
		return discipline
	}
	return discipline + ", " + scope
}

func orNone(s string) string {
	if s == "" {
		return "(none)"
	}
	return s
}

func rulesNewCommand(dir *string) *cobra.Command {
	var from, out string
	cmd := &cobra.Command{
		Use:   "new KEY",
		Short: "Write a commented starter table for a season of your own",
		Long: "Write a folder with a commented starter table that extends an existing season, to be\n" +
			"filled with what differs: your categories, elements, components, deductions.",
		Example: "  rinktally rules new 2026-27 --from 2025-26 --out our-rules",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			t, err := ownTables(*dir)
			if err != nil {
				return err
			}
			base, _, err := t.Season(from, "")
			if err != nil {
				return err
			}
			folder, err := newTable(out, args[0], base)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "wrote %s\nnext: edit it, then\n  rinktally rules check %s\n  rinktally serve --rules %s\n", folder, out, out)
			return err
		},
	}
	cmd.Flags().StringVar(&from, "from", tables.Current, "season that the new one extends")
	cmd.Flags().StringVar(&out, "out", ".", "folder to write into")
	return cmd
}

// newTable writes the starter files. It never overwrites a file.
func newTable(out, key string, base *rules.Season) (string, error) {
	folder := filepath.Join(out, key)
	const private, privateFile = 0o755, 0o644
	if err := os.MkdirAll(filepath.Join(folder, "cases"), private); err != nil {
		return "", err
	}
	for name, text := range starter(key, base) {
		file := filepath.Join(folder, filepath.FromSlash(name))
		if _, err := os.Stat(file); err == nil {
			return "", fmt.Errorf("%s is there already and is not overwritten", file)
		}
		if err := os.WriteFile(file, []byte(text), privateFile); err != nil {
			return "", err
		}
	}
	return folder, nil
}
