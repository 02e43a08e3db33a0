package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
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
		Short: "List, show, check, compare and start season tables",
		Long: "Season tables are folders of YAML and CSV files. Those of the program are embedded;\n" +
			"a folder of your own (--rules) adds seasons or replaces those of the same key.",
	}
	dir := cmd.PersistentFlags().String("rules", "", "folder with further season tables")
	complete(cmd, "rules", completeFolders)
	cmd.AddCommand(rulesListCommand(dir), rulesShowCommand(dir), rulesCheckCommand(dir), rulesDiffCommand(dir), rulesNewCommand(dir))
	return cmd
}

// ownTables loads the embedded tables and those of folders; an empty name stands
// for no folder.
func ownTables(dirs ...string) (*tables.Tables, error) {
	var layers []table.Layer
	for _, dir := range dirs {
		if dir == "" {
			continue
		}
		layer, err := tables.Folder(dir)
		if err != nil {
			return nil, err
		}
		layers = append(layers, layer)
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

func rulesCheckCommand(dir *string) *cobra.Command {
	return &cobra.Command{
		Use:   "check [DIR]",
		Short: "Compile the tables of a folder and run the golden cases beside them",
		Long: "Compile the tables of a folder over the embedded ones, show what they change, and run the\n" +
			"golden cases that lie beside them (SEASON/cases/*.yaml). The folder is named as DIR or with\n" +
			"--rules; with both, DIR lies over the other and both are checked. Without a folder the embedded\n" +
			"tables are checked. Every fault is shown with file and line. The exit code is 0 when there is no fault.",
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: completeFolders,
		RunE: func(cmd *cobra.Command, args []string) error {
			var dirs []string
			for _, d := range append([]string{*dir}, args...) {
				if d != "" && !slices.Contains(dirs, d) {
					dirs = append(dirs, d)
				}
			}
			return checkRules(cmd.Context(), cmd.OutOrStdout(), dirs...)
		},
	}
}

// checkRules checks the tables of folders, or the embedded ones when there is no
// folder.
func checkRules(ctx context.Context, out io.Writer, dirs ...string) error {
	t, err := ownTables(dirs...)
	if err == nil {
		err = t.Catalog().Compile()
	}
	var faults, inCases rules.TableFaults
	if err != nil && !errors.As(err, &faults) {
		return err
	}
	list, err := loadCases(dirs)
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
	for _, dir := range dirs {
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
	compiled := fmt.Sprintf("the tables compile (%s)", rules.Count(len(t.Catalog().Keys()), "season"))
	if ran == 0 {
		_, err = fmt.Fprintf(out, "%s; no golden cases lie beside them, so no number was checked: write %s/SEASON/cases/*.yaml\n", compiled, strings.Join(dirs, "/SEASON/cases/*.yaml or "))
		return err
	}
	_, err = fmt.Fprintf(out, "%s; golden cases run: %d, all of them hold\n", compiled, ran)
	return err
}

// loadCases reads the golden cases of the folders, or the embedded ones when
// there is no folder. Faults are rules.TableFaults of all folders together.
func loadCases(dirs []string) ([]cases.Case, error) {
	if len(dirs) == 0 {
		return cases.Load("seasons", seasons.FS)
	}
	var all []cases.Case
	var faults rules.TableFaults
	for _, dir := range dirs {
		var wrong rules.TableFaults
		list, err := cases.Load(dir, os.DirFS(dir))
		if err != nil && !errors.As(err, &wrong) {
			return nil, err
		}
		all, faults = append(all, list...), append(faults, wrong...)
	}
	if len(faults) > 0 {
		return all, faults
	}
	return all, nil
}

func rulesDiffCommand(dir *string) *cobra.Command {
	discipline := ""
	cmd := &cobra.Command{
		Use:     "diff FROM TO",
		Short:   "Show what changed between two seasons, in points and rules",
		Example: "  rinktally rules diff 2024-25 2025-26 --discipline singles",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return errors.New("give two seasons, FROM and TO: rinktally rules diff 2024-25 2025-26 (\"rinktally rules list\" names all of them)")
			}
			return nil
		},
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
	seasons := completeSeasons(dir)
	cmd.ValidArgsFunction = func(c *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		if len(args) >= 2 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return seasons(c, args, begun)
	}
	disciplines := make([]string, len(rules.Disciplines))
	for i, d := range rules.Disciplines {
		disciplines[i] = string(d)
	}
	complete(cmd, "discipline", cobra.FixedCompletions(disciplines, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func printDiff(out io.Writer, diff *pb.CompareSeasonsResponse) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	if len(diff.GetChanged())+len(diff.GetAdded())+len(diff.GetRemoved())+len(diff.GetRuleChanges()) == 0 {
		_, err := fmt.Fprintf(out, "From %s to %s nothing differs.\n", diff.GetFrom().GetSeason(), diff.GetTo().GetSeason())
		return err
	}
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
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return errors.New("give the key of the new season: rinktally rules new 2026-27 --from 2025-26 --out our-rules")
			}
			return table.CheckKey(args[0])
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			t, err := ownTables(*dir)
			if err != nil {
				return err
			}
			base, _, unknown := t.Season(from, "")
			if len(unknown) > 0 {
				return unknown
			}
			if restsOn(t, base, args[0]) {
				return fmt.Errorf("a table that extends %s rests on %s and cannot have its key: give another key, or an earlier season as --from", base.Params.Season, args[0])
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
	complete(cmd, "from", completeSeasons(dir))
	complete(cmd, "out", completeFolders)
	cmd.ValidArgsFunction = cobra.NoFileCompletions
	return cmd
}

// restsOn reports whether a season is the one of a key or extends it, directly or
// through others.
func restsOn(t *tables.Tables, s *rules.Season, key string) bool {
	for s != nil && s.Params.Season != key {
		s, _ = t.Catalog().Season(s.Extends) // nil where nothing is extended
	}
	return s != nil
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
