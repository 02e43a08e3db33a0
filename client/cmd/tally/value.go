package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) valueCommand() *cobra.Command {
	var at place
	var secondHalf []int
	cmd := &cobra.Command{
		Use:   "value CODE...",
		Short: "Base values of elements, in the order skated",
		Example: `  tally value 3Lz+3T CCoSp4
  tally value --season 2016-17 --second-half 2,3 2A '3F<' CCoSp4`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, codes []string) error {
			req := &pb.ValueElementsRequest{Season: at.season, Category: at.category, Segment: at.segment}
			for _, code := range codes {
				req.Elements = append(req.Elements, &pb.SkatedElement{Code: code})
			}
			for _, n := range secondHalf {
				if n < 1 || n > len(codes) {
					return usagef("--second-half %d: there are %d elements, counted from 1", n, len(codes))
				}
				req.Elements[n-1].SecondHalf = true
			}
			return ask(cmd.Context(), a, client.Authority.ValueElements, req, func(answer *pb.ValueElementsResponse) {
				a.printRules(answer.GetRules(), at.category, at.segment)
				a.printValues(answer)
				a.printWarnings(answer.GetWarnings())
			})
		},
	}
	at.flags(cmd, "senior-women", "free-skating")
	cmd.Flags().IntSliceVar(&secondHalf, "second-half", nil, "`NUMBERS` of the elements executed in the second half: 5,6,7")
	return cmd
}

func (a *app) printValues(answer *pb.ValueElementsResponse) {
	t := newTable([]any{"#", "Element", "Base value", "Made of"}, 1, 3)
	for i, e := range answer.GetElements() {
		t.add(i+1, e.GetCode(), e.GetBaseValue(), madeOf(e.GetParts(), e.GetFactors()))
	}
	t.add("", "Total", answer.GetTotalBaseValue(), "")
	a.printTable(t)
}

// madeOf shows how a value came about, when there is something to show.
func madeOf(parts []*pb.Part, factors []*pb.Factor) string {
	if len(parts) < 2 && len(factors) == 0 {
		return ""
	}
	sum := make([]string, len(parts))
	for i, p := range parts {
		sum[i] = p.GetCode() + " " + p.GetBaseValue()
	}
	text := strings.Join(sum, " + ")
	if len(factors) > 0 && len(parts) > 1 {
		text = "(" + text + ")"
	}
	for _, f := range factors {
		text += fmt.Sprintf(" × %s %s", f.GetBy(), words(f.GetKind()))
	}
	return text
}
