// Package answer makes what every answer carries: the table that it rests on
// and the warnings.
package answer

import (
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
)

// RulesInfo names a season's table.
func RulesInfo(s *rules.Season) *pb.RulesInfo {
	return &pb.RulesInfo{Season: s.Params.Season, Revision: s.Revision, Title: s.Title}
}

// Warnings returns the warnings of a calculation, before them the one about the
// season, if any.
func Warnings(season *rules.Warning, found rules.Warnings) []*pb.Warning {
	if season == nil && len(found) == 0 {
		return nil
	}
	out := make([]*pb.Warning, 0, len(found)+1)
	if season != nil {
		out = append(out, warning(season))
	}
	for i := range found {
		out = append(out, warning(&found[i]))
	}
	return out
}

func warning(w *rules.Warning) *pb.Warning {
	return &pb.Warning{Code: string(w.Code), Message: w.Message, Rule: w.Rule, Confidence: string(w.Confidence), Fields: w.Fields}
}
