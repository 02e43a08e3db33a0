package main

import (
	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) valuesCommand() *cobra.Command {
	var season, discipline, kind string
	var asCSV, reduced bool
	cmd := &cobra.Command{
		Use:   "values",
		Short: "The base value of every element, as a table or as CSV",
		Long: `values lists the elements of a season with their base values.

With --csv it writes a file for a spreadsheet: a row for each element with the points
of every mark, source and confidence. A text that a spreadsheet would take for a
formula has a ' before it.`,
		Example: `  tally values --season 2025-26 --kind spin
  tally values --csv --discipline singles --reduced-forms > singles.csv`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if reduced && !asCSV {
				return usagef("--reduced-forms adds rows to --csv: give that too")
			}
			if asCSV && a.json {
				return usagef("give either --csv or --json")
			}
			authority, release, err := a.connect()
			if err != nil {
				return err
			}
			defer release()
			if asCSV {
				answer, err := authority.ExportElements(cmd.Context(), &pb.ExportElementsRequest{
					Season: season, Discipline: discipline, Kind: kind, ReducedForms: reduced,
				})
				if err != nil {
					return err
				}
				_, err = a.out.Write(answer.GetFile().GetData())
				return err
			}
			const page = 1000
			t := newTable([]any{"Element", "Base value", "", "Name", "Holds for"}, 2)
			for e, err := range client.AllElements(cmd.Context(), authority, &pb.ListElementsRequest{
				Season: season, Discipline: discipline, Kind: kind, PageSize: page,
			}) {
				switch {
				case err != nil:
					return err
				case a.json:
					a.printJSONLine(a.out, e)
				default:
					t.add(e.GetCode(), e.GetBaseValue(), uncertain(e.GetConfidence()), e.GetName(), e.GetScope())
				}
			}
			if !a.json {
				a.printTable(t)
			}
			return nil
		},
	}
	f := cmd.Flags()
	f.StringVar(&season, "season", "current", "`SEASON` whose values are shown")
	f.StringVar(&discipline, "discipline", "", "only this `DISCIPLINE`: singles, pairs or dance")
	f.StringVar(&kind, "kind", "", "only this `KIND`: jump, spin, step, lift, …")
	f.BoolVar(&asCSV, "csv", false, "write CSV")
	f.BoolVar(&reduced, "reduced-forms", false, "with --csv: a row, too, for each form with signs that has a lower value, such as 3Lz<")
	return cmd
}
