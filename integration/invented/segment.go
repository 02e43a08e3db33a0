// Package invented has requests of invented skaters, for tests and benchmarks.
package invented

import pb "github.com/rinktally/rinktally/proto/rinktally/v1"

// FreeSkate returns a free skate: 12 elements, 9 judges, 3 components, a fall.
func FreeSkate() *pb.ScoreSegmentRequest {
	req := &pb.ScoreSegmentRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating"}
	for i, code := range []string{
		"3Lz+3T", "3F!", "2A+1Eu+3S", "CCoSp4", "3Lo", "FCSp3", "StSq3", "3Lz<+2T", "3S", "2A", "ChSq1", "LSp4",
	} {
		e := &pb.MarkedElement{Code: code, SecondHalf: i > 6, Marks: make([]int32, 9)}
		for j := range e.Marks {
			e.Marks[j] = int32((i*7+j*3)%6) - 1
		}
		req.Elements = append(req.Elements, e)
	}
	for i, component := range []pb.Component_Value{pb.Component_COMPOSITION, pb.Component_PRESENTATION, pb.Component_SKATING_SKILLS} {
		c := &pb.MarkedComponent{Component: component, Marks: make([]float64, 9)}
		for j := range c.Marks {
			c.Marks[j] = 7 + .25*float64((i*5+j*2)%7)
		}
		req.Components = append(req.Components, c)
	}
	req.Deductions = []*pb.Deduction{{Kind: pb.DeductionKind_FALL}}
	return req
}
