package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) seasonsCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "seasons [SEASON]",
		Short: "The seasons that have a table; with a season its categories, components and deductions",
		Example: `  tally seasons
  tally seasons 2016-17`,
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: firstArguments(1, a.offer(seasonKeys)),
		RunE: func(cmd *cobra.Command, args []string) error {
			authority, release, err := a.connect()
			if err != nil {
				return err
			}
			defer release()
			if len(args) == 1 {
				return a.season(cmd, authority, args[0])
			}
			answer, err := authority.ListSeasons(cmd.Context(), &pb.ListSeasonsRequest{})
			if err != nil {
				return err
			}
			if a.json {
				a.printJSON(a.out, answer)
				return nil
			}
			t := newTable([]any{"Season", "From", "To", "Values for", ""})
			for _, s := range answer.GetSeasons() {
				t.add(s.GetSeason(), s.GetValidFrom(), s.GetValidTo(),
					strings.Join(s.GetDisciplines(), ", "), yes(s.GetSeason() == answer.GetCurrent(), "current"))
			}
			a.printTable(t)
			a.printWarnings(answer.GetWarnings())
			return nil
		},
	}
}

func (a *app) season(cmd *cobra.Command, authority client.Authority, key string) error {
	answer, err := authority.GetSeason(cmd.Context(), &pb.GetSeasonRequest{Season: key})
	if err != nil {
		return err
	}
	if a.json {
		a.printJSON(a.out, answer)
		return nil
	}
	s := answer.GetSeason()
	fmt.Fprintf(a.out, "%s\nValid from %s to %s. GOE marks from %+d to %+d. %d to %d judges.\n\n", s.GetTitle(),
		s.GetValidFrom(), s.GetValidTo(), s.GetGoe().GetMin(), s.GetGoe().GetMax(),
		s.GetPanel().GetMinJudges(), s.GetPanel().GetMaxJudges())
	t := newTable([]any{"Category", "Segment", "Components and factors"})
	for _, c := range s.GetCategories() {
		for _, g := range c.GetSegments() {
			parts := make([]string, len(g.GetComponents()))
			for i, p := range g.GetComponents() {
				parts[i] = p.GetName() + " " + p.GetFactor()
			}
			t.add(c.GetCategory(), g.GetSegment(), strings.Join(parts, ", "))
		}
	}
	a.printTable(t)
	fmt.Fprintln(a.out)
	d := newTable([]any{"Deduction", "Points", ""})
	for _, r := range s.GetDeductions() {
		d.add(words(r.GetKind()), strings.Join(r.GetPoints(), ", "), r.GetNote())
	}
	a.printTable(d)
	fmt.Fprintln(a.out, "\nWith --json: every rule of the table with its source.")
	a.printWarnings(answer.GetWarnings())
	return nil
}
