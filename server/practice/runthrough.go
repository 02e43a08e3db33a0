package practice

import (
	"cmp"
	"context"
	"slices"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/tables"
)

// maxRunThroughs is how many run-throughs are listed.
const maxRunThroughs = 100

// ListRunThroughs lists run-throughs, each with the score that it would have had.
func (s *Service) ListRunThroughs(ctx context.Context, req *pb.ListRunThroughsRequest) (*pb.ListRunThroughsResponse, error) {
	var faults rules.FieldErrors
	filter := books.Filter{From: moment(&faults, "from", req.GetFrom(), 0), To: moment(&faults, "to", req.GetTo(), day), InPrograms: true}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	skater, err := s.skater(ctx, keyOf(req))
	if err != nil {
		return nil, fault(err, req, "")
	}
	segment := req.GetSegment()
	if segment == "" && len(skater.GetPrograms()) == 1 {
		segment = skater.GetPrograms()[0].GetSegment()
	}
	judged := &judge{
		season: cmp.Or(req.GetSeason(), skater.GetSeason(), tables.Current), category: cmp.Or(req.GetCategory(), skater.GetCategory()), segment: segment,
	}
	if faults := s.readJudge(judged, skater); len(faults) > 0 {
		return nil, errs.From(faults, req)
	}
	// The newest attempts of so many programs; of one that is cut off nothing is listed.
	const most = maxRunThroughs * maxPlanned
	kept, err := s.store.Attempts(ctx, keyOf(req), filter, books.Page{Most: most})
	if err != nil {
		return nil, fault(err, req, "")
	}
	runs := grouped(kept)
	if len(kept) == most && len(runs) > 1 {
		runs = runs[:len(runs)-1]
	}
	res := &pb.ListRunThroughsResponse{}
	for _, run := range runs[:min(len(runs), maxRunThroughs)] {
		one, err := judged.score(ctx, run)
		if err != nil {
			return nil, errs.From(err, req)
		}
		res.RunThroughs = append(res.RunThroughs, one)
	}
	return res, nil
}

// grouped parts attempts, the newest first, into run-throughs, the newest first, each in
// the order skated.
func grouped(kept []books.Attempt) [][]books.Attempt {
	var runs [][]books.Attempt
	place := map[string]int{}
	for i := range kept {
		at, known := place[kept[i].RunThrough]
		if !known {
			at = len(runs)
			place[kept[i].RunThrough] = at
			runs = append(runs, nil)
		}
		runs[at] = append(runs[at], kept[i])
	}
	for _, run := range runs {
		slices.Reverse(run)
	}
	return runs
}

// judge scores run-throughs by a season's rules.
type judge struct {
	season, category, segment string

	check   *program.Service
	lowest  float64
	falls   *rules.DeductionRule
	planned []*pb.PlannedElement
}

// readJudge finds the rules, or says what is wrong with where they were looked for.
func (s *Service) readJudge(j *judge, skater *pb.Skater) rules.FieldErrors {
	season, _, category, faults := s.categoryOf(j.season, j.category)
	if len(faults) > 0 {
		return faults
	}
	if j.segment == "" {
		faults.Add("segment", rules.ReasonFieldRequired, "is empty, and the skater has not one planned program alone: give one of the category's, such as free-skating")
		return faults
	}
	if _, faults = category.Segment(j.segment); len(faults) > 0 {
		return faults
	}
	j.check, j.lowest, j.falls = program.New(s.tables), float64(season.GOE.Min), season.Deduction(category, "FALL")
	for _, p := range skater.GetPrograms() {
		if p.GetSegment() == j.segment {
			j.planned = p.GetElements()
		}
	}
	return nil
}

// score returns a run-through with what its elements would have scored.
func (j *judge) score(ctx context.Context, run []books.Attempt) (*pb.RunThrough, error) {
	out := &pb.RunThrough{RunThrough: run[0].RunThrough, Time: timestamppb.New(run[0].Time)}
	req := &pb.CheckProgramRequest{Season: j.season, Category: j.category, Segment: j.segment, KeepPanelCalls: true}
	left := slices.Clone(j.planned)
	for i := range run {
		a, err := fromAttempt(&run[i])
		if err != nil {
			return nil, err
		}
		out.Attempts = append(out.Attempts, a)
		element := &pb.PlannedElement{Code: a.GetCame(), Grade: a.Grade, SecondHalf: takeHalf(&left, a.GetPlanned())}
		if a.GetFall() {
			out.Falls++
		}
		switch {
		case element.Grade != nil:
		case a.GetFall():
			element.Grade = proto.Float64(j.lowest)
		default:
			element.Grade = proto.Float64(0)
		}
		req.Elements = append(req.Elements, element)
	}
	if j.falls != nil {
		out.FallDeduction = answer.Points(-j.falls.Total(int(out.GetFalls())))
	}
	checked, err := j.check.CheckProgram(ctx, req)
	if err != nil {
		out.Error = errs.Proto(err)
		return out, nil
	}
	out.ElementScore, out.Program = checked.GetPredicted().GetElementScore(), checked
	return out, nil
}

// takeHalf reports whether a planned program has a code in its second half, and takes
// that element out of what is left of it.
func takeHalf(left *[]*pb.PlannedElement, code string) bool {
	i := slices.IndexFunc(*left, func(e *pb.PlannedElement) bool { return e.GetCode() == code })
	if i < 0 {
		return false
	}
	second := (*left)[i].GetSecondHalf()
	*left = slices.Delete(*left, i, i+1)
	return second
}
