package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/level/notation"
	"github.com/rinktally/rinktally/server/scoring"
)

func (a *app) levelCommand() *cobra.Command {
	var at place
	var spins []string
	var explain bool
	cmd := &cobra.Command{
		Use:   "level [FILE|-]",
		Short: "Levels of spins, step sequences, lifts and other elements, from what was skated",
		Long: `level calls the levels of one program's elements and shows what counted, what
did not and why, and what would bring the next level.

FILE holds what was skated as JSON: a whole request, one element such as
{"spin":{…}}, {"stepSequence":{…}}, {"pairLift":{…}} or {"text":"sit 8"}, or a list of
elements. "-" reads it from standard input. Limits run over the whole program, so an
element sent alone may get a higher level than in its program.

` + notation.Help(),
		Example: `  tally level --season 2016-17 --category senior-women --segment free-skating spin.json
  tally level --spin "camel upward 8 / sit forward 3, upright straight 3"
  tally level --spin "flying: sit behind 8" --spin "layback 8, layback sideways 3"
  tally level --spin "steps: bracket 1+1, rocker 2+0, loop 1+1; rotations body"`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if (len(args) == 1) == (len(spins) > 0) {
				return usagef("give either a FILE or --spin")
			}
			req, err := a.levelRequest(args, spins)
			if err != nil {
				return err
			}
			at.fill(cmd, &req.Season, &req.Category, &req.Segment)
			return ask(cmd.Context(), a, client.Authority.CallLevels, req, func(answer *pb.CallLevelsResponse) {
				a.printRules(answer.GetRules(), req.GetCategory(), req.GetSegment())
				for i, e := range answer.GetElements() {
					a.printCall(i+1, skatedIn(req, i), e, explain)
				}
				if caution := answer.GetCaution(); caution != "" {
					fmt.Fprintln(a.out, caution)
				}
				fmt.Fprintln(a.out, "The panel decides what was skated; the coach decides what is safe for the skater.")
				a.printWarnings(answer.GetWarnings())
			})
		},
	}
	at.flags(cmd, "senior-women", "free-skating")
	cmd.Flags().StringArrayVar(&spins, "spin", nil, "a spin or step sequence in `WORDS`, see above (repeatable, in the order skated)")
	cmd.Flags().BoolVar(&explain, "explain", false, "name the rule behind each feature")
	return cmd
}

// levelRequest reads a file, or spins in words.
func (a *app) levelRequest(args, spins []string) (*pb.CallLevelsRequest, error) {
	req := &pb.CallLevelsRequest{}
	for _, text := range spins {
		req.Elements = append(req.Elements, &pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: text}})
	}
	if len(args) == 0 {
		return req, nil
	}
	data, err := a.readAll(args[0])
	if err != nil {
		return nil, err
	}
	if err := decodeLevels(data, req); err != nil {
		return nil, usagef("%s: %w", args[0], err)
	}
	return req, nil
}

// decodeLevels reads a whole request, one element or a list of elements.
func decodeLevels(data []byte, req *pb.CallLevelsRequest) error {
	var list []json.RawMessage
	if json.Unmarshal(data, &list) == nil {
		for i, item := range list {
			e := &pb.LevelledElement{}
			if err := decode(item, e); err != nil {
				return fmt.Errorf("element %d: %w", i+1, err)
			}
			req.Elements = append(req.Elements, e)
		}
		return nil
	}
	if isElement(data) {
		e := &pb.LevelledElement{}
		req.Elements = []*pb.LevelledElement{e}
		return decode(data, e)
	}
	return decode(data, req)
}

// isElement reports whether an object names a kind of element, such as "spin".
func isElement(data []byte) bool {
	var keys map[string]json.RawMessage
	if json.Unmarshal(data, &keys) != nil {
		return false
	}
	kinds := (*pb.LevelledElement)(nil).ProtoReflect().Descriptor().Fields()
	for i := range kinds.Len() {
		if _, named := keys[kinds.Get(i).JSONName()]; named {
			return true
		}
	}
	return false
}

// skatedIn returns an element of a request as the structure that it is or its words
// stand for; nil where there is none, such as for words of a newer server.
func skatedIn(req *pb.CallLevelsRequest, i int) *pb.LevelledElement {
	if i >= len(req.GetElements()) {
		return nil
	}
	skated, _ := scoring.Structured(req.GetElements()[i])
	return skated
}

func (a *app) printCall(n int, skated *pb.LevelledElement, e *pb.CalledElement, explain bool) {
	fmt.Fprintf(a.out, "%d. %s\n", n, summary(e))
	t := newTable(nil)
	for _, f := range e.GetFeatures() {
		row := []any{"  ", "counts", words(f.GetFeature()), whereIn(skated, f)}
		if !f.GetCounted() {
			row[1] = "does not count"
		}
		if explain {
			row = append(row, f.GetRule())
		}
		t.add(append(row, f.GetMessage())...)
	}
	if len(e.GetFeatures()) > 0 {
		a.printTable(t)
	}
	if next := e.GetToNextLevel(); next != nil {
		fmt.Fprintf(a.out, "   For level %s any one of:\n", next.GetLevel())
		for _, o := range next.GetOptions() {
			if o.GetFeature() == 0 { // something else than a feature is missing
				fmt.Fprintf(a.out, "   - %s\n", o.GetMessage())
				continue
			}
			fmt.Fprintf(a.out, "   - %s: %s\n", words(o.GetFeature()), o.GetMessage())
		}
	}
	for _, note := range e.GetNotes() {
		fmt.Fprintf(a.out, "   Note: %s\n", note)
	}
	fmt.Fprintln(a.out)
}

func summary(e *pb.CalledElement) string {
	parts := []string{cmp.Or(e.GetCode(), "not an element")}
	switch l := e.GetLevel(); l {
	case "":
		parts = append(parts, "no level")
	case "B":
		parts = append(parts, "level B (basic)")
	default:
		parts = append(parts, "level "+l)
	}
	if e.GetReducedValue() {
		parts = append(parts, "reduced value")
	}
	if e.GetNoValue() {
		parts = append(parts, "no value")
	} else if e.GetBaseValue() != "" {
		parts = append(parts, "base value "+e.GetBaseValue())
	}
	return strings.Join(parts, ", ")
}

// positionPath is the path of a position in a spin.
var positionPath = regexp.MustCompile(`^feet\[(\d+)\]\.positions\[(\d+)\]$`)

// whereIn says where in an element a feature is, with the position that was skated
// there: "foot 1, position 2 (sit behind)". Of the whole element it says nothing.
func whereIn(skated *pb.LevelledElement, f *pb.CalledFeature) string {
	found := positionPath.FindStringSubmatch(f.GetAt())
	if found == nil {
		return f.GetWhere()
	}
	foot, _ := strconv.Atoi(found[1])
	position, _ := strconv.Atoi(found[2])
	if feet := skated.GetSpin().GetFeet(); foot < len(feet) && position < len(feet[foot].GetPositions()) {
		return f.GetWhere() + " (" + positionName(feet[foot].GetPositions()[position]) + ")"
	}
	return f.GetWhere()
}

// positionName names a position with its variation: "sit behind".
func positionName(p *pb.SpinPosition) string {
	switch p.GetVariation() {
	case pb.Variation_VARIATION_UNSPECIFIED:
		if p.GetLean() == pb.Lean_SIDEWAYS {
			return words(p.GetPosition()) + " sideways"
		}
		return words(p.GetPosition())
	case pb.Variation_LAYBACK, pb.Variation_NON_BASIC:
		return words(p.GetPosition()) + " variation"
	}
	return words(p.GetVariation())
}
