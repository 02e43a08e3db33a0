package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) compareCommand() *cobra.Command {
	req := &pb.CompareSeasonsRequest{}
	var at place
	var file, line string
	cmd := &cobra.Command{
		Use:   "compare FROM TO",
		Short: "What changed between two seasons, in points and rules, or for one program",
		Long: `compare shows what changed from one season to another: values of elements and
rules. With --program or --line it puts one program under both seasons side by
side instead.`,
		Example: `  tally compare 2016-17 2025-26 --discipline singles
  tally compare --from 2016-17 --to 2025-26 --program plan.yaml`,
		Args:              cobra.MaximumNArgs(2),
		ValidArgsFunction: firstArguments(2, a.offer(seasonKeys)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := seasons(req, args); err != nil {
				return err
			}
			if file != "" || line != "" {
				return a.compareProgram(cmd, req, &at, file, line)
			}
			return ask(cmd.Context(), a, client.Authority.CompareSeasons, req, a.printComparison)
		},
	}
	f := cmd.Flags()
	f.StringVar(&req.From, "from", "", "first `SEASON`; the same as FROM")
	f.StringVar(&req.To, "to", "", "second `SEASON`; the same as TO")
	f.StringVar(&req.Discipline, "discipline", "", "only `DISCIPLINE`: singles, pairs or dance")
	f.StringVar(&file, "program", "", "a program `FILE` to put under both seasons; - is standard input")
	f.StringVar(&line, "line", "", "the `PROGRAM` itself instead of a file, such as \"3Lz+3T, CCoSp4 | 2A\"")
	f.StringVar(&at.category, "category", "senior-women", "`CATEGORY` of the skater, with --line or instead of the file's")
	f.StringVar(&at.segment, "segment", "free-skating", "`SEGMENT` of the event, with --line or instead of the file's")
	return cmd
}

// seasons reads the two seasons from the arguments or the flags.
func seasons(req *pb.CompareSeasonsRequest, args []string) error {
	switch {
	case len(args) == 0 && req.GetFrom() != "" && req.GetTo() != "":
		return nil
	case len(args) == 2 && req.GetFrom() == "" && req.GetTo() == "":
		req.From, req.To = args[0], args[1]
		return nil
	}
	return usagef("give two seasons: FROM TO, or --from and --to")
}

// compareProgram puts a program under both seasons.
func (a *app) compareProgram(cmd *cobra.Command, seasons *pb.CompareSeasonsRequest, at *place, file, line string) error {
	var files []string
	if file != "" {
		files = []string{file}
	}
	req, err := a.programRequest(cmd, at, files, line)
	if err != nil {
		return err
	}
	req.Season, req.CompareSeason = seasons.GetFrom(), seasons.GetTo()
	return ask(cmd.Context(), a, client.Authority.CheckProgram, req, func(answer *pb.CheckProgramResponse) {
		fmt.Fprintf(a.out, "%s beside %s, %s, %s\n\n", answer.GetRules().GetTitle(), answer.GetCompared().GetRules().GetTitle(), req.GetCategory(), req.GetSegment())
		a.printBeside(answer)
	})
}

func (a *app) printComparison(c *pb.CompareSeasonsResponse) {
	from, to := c.GetFrom().GetSeason(), c.GetTo().GetSeason()
	fmt.Fprintf(a.out, "From %s to %s\n", c.GetFrom().GetTitle(), c.GetTo().GetTitle())
	section := func(title string, n int, t *table) {
		if n == 0 {
			return
		}
		fmt.Fprintf(a.out, "\n%s (%d)\n", title, n)
		a.printTable(t)
	}

	changed := newTable([]any{"Element", "Discipline", from, to, "Change", ""}, 3, 4, 5)
	for _, v := range c.GetChanged() {
		changed.add(v.GetCode(), v.GetDiscipline(), v.GetFrom(), v.GetTo(), v.GetDifference(), v.GetScope())
	}
	section("Base values that changed", len(c.GetChanged()), changed)

	values := func(all []*pb.ElementValue) *table {
		t := newTable([]any{"Element", "Discipline", "Base value", ""}, 3)
		for _, v := range all {
			t.add(v.GetCode(), v.GetDiscipline(), v.GetBaseValue(), v.GetScope())
		}
		return t
	}
	section("Only in "+to, len(c.GetAdded()), values(c.GetAdded()))
	section("Only in "+from, len(c.GetRemoved()), values(c.GetRemoved()))

	rules := newTable([]any{"Rule", from, to})
	for _, r := range c.GetRuleChanges() {
		rules.add(r.GetKey(), shorten(r.GetFrom()), shorten(r.GetTo()))
	}
	section("Rules that changed", len(c.GetRuleChanges()), rules)
	if len(c.GetChanged())+len(c.GetAdded())+len(c.GetRemoved())+len(c.GetRuleChanges()) == 0 {
		fmt.Fprintln(a.out, "\nNothing differs.")
	}
	a.printWarnings(c.GetWarnings())
}

// shorten keeps a long value readable in a table; --json shows all of it.
func shorten(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}
