package main

import (
	"fmt"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/spf13/cobra"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) compareCommand() *cobra.Command {
	req := &pb.CompareSeasonsRequest{}
	cmd := &cobra.Command{
		Use:     "compare FROM TO",
		Short:   "What changed between two seasons, in points and rules",
		Example: `  tally compare 2016-17 2025-26 --discipline singles`,
		Args:    cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			req.From, req.To = args[0], args[1]
			authority, release, err := a.connect()
			if err != nil {
				return err
			}
			defer release()
			answer, err := authority.CompareSeasons(cmd.Context(), req)
			if err != nil {
				return err
			}
			if a.json {
				a.printJSON(a.out, answer)
				return nil
			}
			a.printComparison(answer)
			return nil
		},
	}
	cmd.Flags().StringVar(&req.Discipline, "discipline", "", "only `DISCIPLINE`: singles, pairs or dance")
	return cmd
}

func (a *app) printComparison(c *pb.CompareSeasonsResponse) {
	from, to := c.GetFrom().GetSeason(), c.GetTo().GetSeason()
	fmt.Fprintf(a.out, "From %s to %s\n", c.GetFrom().GetTitle(), c.GetTo().GetTitle())
	section := func(title string, n int, t table.Writer) {
		if n == 0 {
			return
		}
		fmt.Fprintf(a.out, "\n%s (%d)\n", title, n)
		a.printTable(t)
	}

	changed := newTable(table.Row{"Element", from, to, "Change", ""}, 2, 3, 4)
	for _, v := range c.GetChanged() {
		changed.AppendRow(table.Row{v.GetCode(), v.GetFrom(), v.GetTo(), v.GetDifference(), v.GetScope()})
	}
	section("Base values that changed", len(c.GetChanged()), changed)

	values := func(all []*pb.ElementValue) table.Writer {
		t := newTable(table.Row{"Element", "Base value", ""}, 2)
		for _, v := range all {
			t.AppendRow(table.Row{v.GetCode(), v.GetBaseValue(), v.GetScope()})
		}
		return t
	}
	section("Only in "+to, len(c.GetAdded()), values(c.GetAdded()))
	section("Only in "+from, len(c.GetRemoved()), values(c.GetRemoved()))

	rules := newTable(table.Row{"Rule", from, to})
	for _, r := range c.GetRuleChanges() {
		rules.AppendRow(table.Row{r.GetKey(), shorten(r.GetFrom()), shorten(r.GetTo())})
	}
	section("Rules that changed", len(c.GetRuleChanges()), rules)
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
