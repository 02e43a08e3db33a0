package program

import (
	"fmt"
	"slices"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	content "github.com/rinktally/rinktally/rules/program"
)

// warnUnused says that what is expected in one season was not carried over to
// another, where the same figures would mean something else.
const warnUnused rules.WarningCode = "EXPECTATIONS_UNUSED"

// compare answers for the same program under the second season of a request.
// Its faults are those of that field.
func (s *Service) compare(season *rules.Season, in *content.Program, req *pb.CheckProgramRequest) (*pb.CheckProgramResponse, rules.FieldErrors) {
	other, warning, unknown := s.tables.Season(req.GetCompareSeason(), "")
	if len(unknown) > 0 {
		return nil, ofSecond(unknown)
	}
	second := *in
	second.KeepPanelCalls = false // they are calls by the rules of the first season
	var unused *pb.Warning
	if expects(in) && !sameScales(season, other, in) {
		second.Components = nil
		second.Elements = slices.Clone(in.Elements)
		for i := range second.Elements {
			second.Elements[i].Grade = nil
		}
		unused = &pb.Warning{Code: string(warnUnused), Message: fmt.Sprintf(
			"The expected grades and component marks were not used under season %s: its scale of grades or its components are others than those of %s. Only base values can be compared.",
			other.Params.Season, season.Params.Season)}
	}
	res, faults := check(other, warning, &second, req)
	if len(faults) > 0 {
		return nil, ofSecond(faults)
	}
	if unused != nil {
		res.Warnings = append(res.Warnings, unused)
	}
	return res, nil
}

// ofSecond reports faults that only the second season finds.
func ofSecond(faults rules.FieldErrors) rules.FieldErrors {
	out := make(rules.FieldErrors, len(faults))
	for i, f := range faults {
		out[i] = f
		out[i].Field = "compareSeason"
		if f.Field != "season" {
			out[i].Message = f.Error()
		}
	}
	return out
}

// expects reports whether a program comes with grades or component marks.
func expects(in *content.Program) bool {
	return len(in.Components) > 0 || slices.ContainsFunc(in.Elements, func(p content.Planned) bool { return p.Grade != nil })
}

// sameScales reports whether expected grades and component marks mean the same in
// two seasons.
func sameScales(a, b *rules.Season, in *content.Program) bool {
	if a.GOE.Min != b.GOE.Min || a.GOE.Max != b.GOE.Max {
		return false
	}
	return slices.Equal(componentsOf(a, in), componentsOf(b, in))
}

// componentsOf returns the components of the program's segment, or none where the
// season does not have it.
func componentsOf(season *rules.Season, in *content.Program) []string {
	category, err := season.Category(in.Category)
	if err != nil {
		return nil
	}
	segment, err := category.Segment(in.Segment)
	if err != nil {
		return nil
	}
	var keys []string
	for _, c := range segment.Panel {
		keys = append(keys, c.Key)
	}
	slices.Sort(keys)
	return keys
}
