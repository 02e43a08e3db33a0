package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) elementCommand() *cobra.Command {
	req := &pb.GetElementRequest{}
	cmd := &cobra.Command{
		Use:   "element CODE",
		Short: "One element: base value, points of every GOE mark, reduced forms",
		Example: `  tally element 3Lz
  tally element --season 2016-17 CCoSp4`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			req.Code = args[0]
			return ask(cmd.Context(), a, client.Authority.GetElement, req, func(answer *pb.GetElementResponse) {
				a.printElement(answer)
			})
		},
	}
	cmd.Flags().StringVar(&req.Season, "season", "current", "`SEASON` whose values are shown")
	cmd.Flags().StringVar(&req.Category, "category", "", "`CATEGORY`, where the value depends on it")
	return cmd
}

func (a *app) printElement(answer *pb.GetElementResponse) {
	e := answer.GetElement()
	a.printRules(answer.GetRules())
	fmt.Fprintf(a.out, "%s  %s\n", e.GetCode(), e.GetName())
	if e.GetScope() != "" {
		fmt.Fprintf(a.out, "Holds for: %s\n", e.GetScope())
	}
	fmt.Fprintf(a.out, "Base value  %s%s\n\n", e.GetBaseValue(), uncertain(e.GetConfidence()))

	marks := newTable([]any{"GOE mark", "Points", ""}, 1, 2)
	for _, g := range e.GetGoePoints() {
		marks.add(signed(g.GetMark()), g.GetPoints(), uncertain(g.GetConfidence()))
	}
	a.printTable(marks)

	if len(e.GetReducedForms()) > 0 {
		fmt.Fprintln(a.out)
		reduced := newTable([]any{"Reduced form", "Base value"}, 2)
		for _, r := range e.GetReducedForms() {
			reduced.add(r.GetCode(), r.GetBaseValue())
		}
		a.printTable(reduced)
	}
	fmt.Fprintf(a.out, "\nSource: %s\n", e.GetSource())
	a.printWarnings(answer.GetWarnings())
}

// uncertain names a confidence that is not the best.
func uncertain(confidence string) string {
	if confidence == "" || confidence == "high" {
		return ""
	}
	return " (" + confidence + ")"
}

// signed writes a mark as panels do: +2, 0, -1.
func signed(mark int32) string {
	if mark == 0 {
		return "0"
	}
	return fmt.Sprintf("%+d", mark)
}
