package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/program"
)

func (a *app) checkCommand() *cobra.Command {
	var at place
	var line string
	var keep bool
	cmd := &cobra.Command{
		Use:   "check FILE|-",
		Short: "A program on paper: what counts, what it is worth, what is missing",
		Long: `check credits a program as the rules of the season would and prints its sheet:
the value of each element, what is struck or missing and why, where the points
are, and what one level or one call of the panel would change.

FILE is YAML or JSON; "-" reads it from standard input:

  season: 2025-26
  category: senior-women
  segment: free-skating
  duration: "4:00"
  elements: 3Lz+3T +2, CCoSp4, StSq3 | 2A, 3F
  components: {COMPOSITION: 8.25, PRESENTATION: 8.50, SKATING_SKILLS: 8.00}

Behind a code may stand an expected grade (+2, -1.5) and x for the second half;
a | begins the second half. Only category, segment and elements are needed.

Whatever is found in the program, the exit code is 0: it says only whether the
program could be checked.`,
		Example: `  tally check plan.yaml
  tally check --season 2016-17 --segment short-program --line "3Lz+3T, CCoSp4, 2A"`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			req, err := a.programRequest(cmd, &at, args, line)
			if err != nil {
				return err
			}
			req.KeepPanelCalls = keep
			return ask(cmd.Context(), a, client.Authority.CheckProgram, req, func(answer *pb.CheckProgramResponse) {
				a.printRules(answer.GetRules(), req.GetCategory(), req.GetSegment())
				a.printProgram(answer)
			})
		},
	}
	at.flags(cmd, "senior-women", "free-skating")
	cmd.Flags().BoolVar(&keep, "keep-panel-calls", false, "the program was skated: * and +REP in its codes are the panel's calls and stand")
	cmd.Flags().StringVar(&line, "line", "", "the `PROGRAM` itself instead of a file, such as \"3Lz+3T, CCoSp4 | 2A\"")
	return cmd
}

// programRequest makes a request of a program file or, without one, of a line.
func (a *app) programRequest(cmd *cobra.Command, at *place, args []string, line string) (*pb.CheckProgramRequest, error) {
	req := &pb.CheckProgramRequest{Text: line}
	switch {
	case (line == "") == (len(args) == 0):
		return nil, usagef("give either a file or --line")
	case line == "":
		data, err := a.readAll(args[0])
		if err != nil {
			return nil, err
		}
		file, err := program.ParseFile(data)
		if err != nil {
			return nil, usageError{inFile(args[0], err)}
		}
		fromFile(req, file)
	}
	at.fill(cmd, &req.Season, &req.Category, &req.Segment)
	return req, nil
}

// inFile puts a file's name before each fault of its lines.
func inFile(name string, err error) error {
	list := []error{err}
	var many interface{ Unwrap() []error }
	if errors.As(err, &many) {
		list = many.Unwrap()
	}
	faults := make([]error, len(list))
	for i, err := range list {
		var fault program.ParseError
		if errors.As(err, &fault) {
			faults[i] = fmt.Errorf("%s:%d: %s", name, fault.Line, fault.Message)
		} else {
			faults[i] = fmt.Errorf("%s: %w", name, err)
		}
	}
	return errors.Join(faults...)
}

// fromFile fills a request with what a program file holds.
func fromFile(req *pb.CheckProgramRequest, file *program.File) {
	req.Season, req.Category, req.Segment, req.Scope = file.Season, file.Category, file.Segment, file.Scope
	req.DurationSeconds = int32(file.Duration)
	for _, e := range file.Elements {
		planned := &pb.PlannedElement{Code: e.Code, SecondHalf: e.SecondHalf}
		if e.Grade != nil {
			grade := number(*e.Grade)
			planned.Grade = &grade
		}
		req.Elements = append(req.Elements, planned)
	}
	for _, key := range rules.SortedKeys(file.Components) {
		component, ok := pb.Component_Value_value[key]
		if !ok {
			component = -1 // the authority answers what the segment has
		}
		req.Components = append(req.Components, &pb.ExpectedComponent{
			Component: pb.Component_Value(component), Mark: number(file.Components[key]),
		})
	}
}

// number returns hundredths as requests carry them: 250 is 2.5.
func number(p rules.Points) float64 { return float64(p) / float64(rules.Point) }
