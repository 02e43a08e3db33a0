package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) scoreCommand() *cobra.Command {
	var at place
	var explain bool
	cmd := &cobra.Command{
		Use:   "score FILE|-",
		Short: "Score one segment, or every segment of a file, from the panel's marks",
		Long: `score computes the score of a segment from the called elements and the panel's
marks. FILE holds the segment as JSON, as POST …/segments:score reads it; "-"
reads it from standard input.

A file of several segments, one JSON object after the other (JSON lines), is
scored as a whole: one line a segment, in order; a segment that cannot be scored
is reported and the rest go on. With --json each line is {"score":{…}} or
{"error":{…}}.`,
		Example: `  tally score --explain segment.json
  tally score --json archive.jsonl > scores.jsonl`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			file, size, err := a.open(args[0])
			if err != nil {
				return err
			}
			defer file.Close() //nolint:errcheck // only read
			in := &segments{decoder: json.NewDecoder(file), prepare: func(req *pb.ScoreSegmentRequest) {
				at.fill(cmd, &req.Season, &req.Category, &req.Segment)
				req.Explain = req.GetExplain() || explain
			}}
			first, err := in.next()
			if errors.Is(err, io.EOF) {
				return usagef("%s: is empty", args[0])
			}
			if err != nil {
				return usagef("%s: %w", args[0], err)
			}
			authority, release, err := a.connect()
			if err != nil {
				return err
			}
			defer release()
			if in.decoder.More() {
				return a.scoreMany(cmd.Context(), authority, args[0], first, in, size)
			}
			if first.err != nil {
				return usagef("%s: %w", args[0], first.err)
			}
			return a.scoreOne(cmd, authority, first.request)
		},
	}
	at.flags(cmd, "", "")
	cmd.Flags().BoolVar(&explain, "explain", false, "show every step of the calculation")
	return cmd
}

func (a *app) scoreOne(cmd *cobra.Command, authority client.Authority, req *pb.ScoreSegmentRequest) error {
	answer, err := authority.ScoreSegment(cmd.Context(), req)
	if err != nil {
		return err
	}
	if a.json {
		a.printJSON(a.out, answer)
		return nil
	}
	a.printScore(req, answer)
	return nil
}

func (a *app) printScore(req *pb.ScoreSegmentRequest, s *pb.ScoreSegmentResponse) {
	a.printRules(s.GetRules(), req.GetCategory(), req.GetSegment())

	elements := newTable([]any{"#", "Element", "", "Base value", "GOE", "Score", "Made of"}, 1, 4, 5, 6)
	for i, e := range s.GetElements() {
		// The answer has one element for each of the request, in its order.
		half := i < len(req.GetElements()) && req.GetElements()[i].GetSecondHalf()
		elements.add(i+1, e.GetCode(), yes(half, "2nd half"), e.GetBaseValue(), e.GetGoe(), e.GetScore(),
			madeOf(e.GetParts(), e.GetFactors()))
	}
	elements.add("", "Elements", "", "", "", s.GetElementScore(), "")
	a.printTable(elements)
	fmt.Fprintln(a.out)

	components := newTable([]any{"Component", "Panel", "Factor", "Score"}, 2, 3, 4)
	for _, c := range s.GetComponents() {
		components.add(c.GetName(), c.GetPanelScore(), c.GetFactor(), c.GetScore())
	}
	components.add("Components", "", "", s.GetComponentScore())
	a.printTable(components)
	fmt.Fprintln(a.out)

	totals := newTable(nil, 2)
	for _, d := range s.GetDeductions() {
		name := words(d.GetKind())
		if d.GetNote() != "" {
			name = d.GetNote()
		}
		totals.add(fmt.Sprintf("Deduction: %s × %d", name, d.GetCount()), d.GetValue())
	}
	totals.add("Deductions", s.GetTotalDeductions())
	totals.add("Segment score", s.GetSegmentScore())
	a.printTable(totals)

	if len(s.GetSteps()) > 0 {
		fmt.Fprintln(a.out, "\nStep by step")
		for _, step := range s.GetSteps() {
			fmt.Fprintf(a.out, "  %s\n", step)
		}
	}
	a.printWarnings(s.GetWarnings())
	fmt.Fprintln(a.out, "\nUnofficial until the event's referee signs.")
}
