package practice

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/program"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/practice/count"
	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/tables"
)

// GetAbilities counts the attempts of a skater.
func (s *Service) GetAbilities(ctx context.Context, req *pb.GetAbilitiesRequest) (*pb.GetAbilitiesResponse, error) {
	var faults rules.FieldErrors
	since := moment(&faults, "since", req.GetSince(), 0)
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	skater, err := s.skater(ctx, keyOf(req))
	if err != nil {
		return nil, fault(err, req, "")
	}
	scale, faults := s.scale(req, skater)
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	changes, err := s.store.Changes(ctx, keyOf(req))
	if err != nil {
		return nil, fault(err, req, "")
	}
	attempts, err := s.counted(ctx, keyOf(req), since, int(skater.GetAttempts()))
	if err != nil {
		return nil, fault(err, req, "")
	}
	skated, err := s.featuresOf(ctx, keyOf(req), since, scale)
	if err != nil {
		return nil, fault(err, req, "")
	}
	res := &pb.GetAbilitiesResponse{Counting: counting(), LeftOut: scale.leave(&attempts)}
	for _, a := range count.Abilities(attempts, fromChanges(changes), &scale.Scale) {
		scale.certain(&a)
		res.Abilities = append(res.Abilities, fromAbility(&a))
		record := fromRecord(&a, changes)
		skated[a.Code].put(record)
		res.Records = append(res.Records, record)
	}
	res.Rules = answer.RulesInfo(scale.season)
	res.Warnings = answer.Warnings(scale.current, scale.warnings)
	return res, nil
}

// counted returns the attempts since a time as they are counted, about so many.
func (s *Service) counted(ctx context.Context, key books.Key, since time.Time, about int) ([]count.Attempt, error) {
	list := make([]count.Attempt, 0, about)
	err := s.store.Count(ctx, key, since, func(at time.Time, o *books.Outcome) {
		list = append(list, count.Attempt{
			Time: at, Planned: o.Planned, Came: o.Came, Fall: o.Fall, Grade: rules.Points(o.Grade.V), Graded: o.Grade.Valid, Cause: o.Cause,
		})
	})
	return list, err
}

func fromChanges(changes []books.Change) []count.Change {
	list := make([]count.Change, len(changes))
	for i, c := range changes {
		list[i] = count.Change{Time: c.Time, Code: c.Code}
	}
	return list
}

// scale is what a season says of outcomes.
type scale struct {
	count.Scale

	season            *rules.Season
	category, segment string
	current           *rules.Warning
	content           *program.Content
	warnings          rules.Warnings
	entries           map[string]*program.Entry // nil where the season cannot value a code
	why               map[string]rules.FieldError
}

// categoryOf finds the season and category of a request, or of the skater where it has
// none, with the warning about the season.
func (s *Service) categoryOf(season, category string) (*rules.Season, *rules.Warning, *rules.Category, rules.FieldErrors) {
	found, current, faults := s.tables.Season(season, "")
	if len(faults) > 0 {
		return nil, nil, nil, faults
	}
	if category == "" {
		faults.Add("category", rules.ReasonFieldRequired, "is empty, and the skater has none: give one of the season's, such as senior-women")
		return nil, nil, nil, faults
	}
	of, faults := found.Category(category)
	return found, current, of, faults
}

// scale finds the season and category of a request, or of the skater.
func (s *Service) scale(req *pb.GetAbilitiesRequest, skater *pb.Skater) (*scale, rules.FieldErrors) {
	out := &scale{entries: map[string]*program.Entry{}, why: map[string]rules.FieldError{}}
	key := cmp.Or(req.GetCategory(), skater.GetCategory())
	out.category = key
	var category *rules.Category
	var faults rules.FieldErrors
	out.season, out.current, category, faults = s.categoryOf(cmp.Or(req.GetSeason(), skater.GetSeason(), tables.Current), key)
	if len(faults) > 0 {
		return nil, faults
	}
	// What an outcome is worth does not depend on the segment; the last one, the free
	// program, may have everything.
	segments := rules.SortedKeys(category.Segments)
	slices.SortFunc(segments, func(a, b string) int { return slices.Index(rules.SegmentKeys, b) - slices.Index(rules.SegmentKeys, a) })
	for _, segment := range segments {
		var wrong rules.FieldErrors
		if out.content, wrong = program.NewContent(out.season, key, segment, ""); len(wrong) == 0 {
			out.segment, faults = segment, nil
			break
		}
		faults = wrong
	}
	if len(faults) > 0 {
		return nil, faults
	}
	goe := &out.season.GOE
	out.Scale = count.Scale{Lowest: rules.Points(goe.Min) * rules.Point, Highest: rules.Points(goe.Max) * rules.Point, Worth: out.worth}
	return out, nil
}

// entry reads a code once; nil where the season cannot value it.
func (s *scale) entry(code string) *program.Entry {
	entry, known := s.entries[code]
	if !known {
		var faults rules.FieldErrors
		if entry, faults = s.content.Entry(code); len(faults) > 0 {
			entry = nil
			s.why[code] = faults[0]
		}
		s.entries[code] = entry
	}
	return entry
}

// worth is count.Scale.Worth. A fall costs what the first of a program does.
func (s *scale) worth(code string, fall bool, grade rules.Points) rules.Points {
	entry := s.entry(code)
	if entry == nil {
		return 0
	}
	points, _ := s.content.Score(entry, program.Credit{}, false, grade, &s.warnings)
	if rule := s.season.Deduction(s.content.Category, "FALL"); fall && rule != nil {
		points -= rule.Total(1)
	}
	return points
}

// leave takes out the attempts of elements that the season cannot value, and says which
// and why.
func (s *scale) leave(attempts *[]count.Attempt) []*pb.LeftOut {
	var out []*pb.LeftOut
	told := map[string]bool{}
	*attempts = slices.DeleteFunc(*attempts, func(a count.Attempt) bool {
		if s.entry(a.Planned) != nil && s.entry(a.Came) != nil {
			return false
		}
		code := a.Planned
		if s.entries[code] != nil {
			code = a.Came
		}
		if !told[code] {
			told[code] = true
			why := s.why[code]
			out = append(out, &pb.LeftOut{Field: code, Reason: string(why.Reason), Message: why.Message})
		}
		return true
	})
	return out
}

// certain gives an element that never failed what may come instead, where PlanProgram
// assumes nothing by itself: the element at the lowest grade.
func (s *scale) certain(a *count.Ability) {
	entry := s.entry(a.Code)
	if len(a.Misses) > 0 || entry.Jump() || entry.Kind() == element.Throw {
		return
	}
	if lower := entry.Lower(); lower != "" && s.entry(lower) != nil {
		return
	}
	a.Misses = []count.Way{{Code: a.Code, Grade: s.Lowest, Chance: 1 - a.Success}}
}

func fromAbility(a *count.Ability) *pb.Ability {
	out := &pb.Ability{
		Code: a.Code, Grade: gradeOf(a.Grade), Attempts: int32(a.Attempts),
		Low: proto.Float64(millionths(a.Low)), High: proto.Float64(millionths(a.High)),
	}
	// Rounded so that they are 1 together.
	left := int64(math.Round(a.Success * 1e6))
	out.Success = proto.Float64(float64(left) / 1e6)
	left = 1e6 - left
	for i := range a.Misses {
		m := &a.Misses[i]
		chance := min(int64(math.Round(m.Chance*1e6)), left)
		if i == len(a.Misses)-1 {
			chance = left
		}
		left -= chance
		out.Misses = append(out.Misses, &pb.Miss{Code: m.Code, Chance: proto.Float64(float64(chance) / 1e6), Grade: gradeOf(m.Grade), Fall: m.Fall})
	}
	return out
}

func gradeOf(g rules.Points) *float64 { return proto.Float64(float64(g) / float64(rules.Point)) }

func fromRecord(a *count.Ability, changes []books.Change) *pb.AbilityRecord {
	out := &pb.AbilityRecord{
		Code: a.Code, Attempts: int32(a.Attempts), Successes: int32(a.Successes), Graded: int32(a.Graded), Folded: int32(a.Folded),
	}
	for i := range a.Came {
		out.Came = append(out.Came, &pb.CameCount{Code: a.Came[i].Code, Fall: a.Came[i].Fall, Attempts: int32(a.Came[i].Attempts)})
	}
	for _, c := range a.Causes {
		out.Causes = append(out.Causes, &pb.CauseCount{Cause: c.Cause, Attempts: int32(c.Attempts)})
	}
	for i := range a.Weeks {
		out.Weeks = append(out.Weeks, &pb.WeekCount{Week: a.Weeks[i].Monday.Format(time.DateOnly), Share: fromShare(&a.Weeks[i].Share)})
	}
	for i := range a.Effects {
		out.Changes = append(out.Changes, fromEffect(&a.Effects[i], changes))
	}
	return out
}

func fromShare(s *count.Share) *pb.Share {
	return &pb.Share{
		Attempts: int32(s.Attempts), Successes: int32(s.Successes),
		Success: millionths(s.Success), Low: millionths(s.Low), High: millionths(s.High),
	}
}

var verdicts = map[count.Verdict]pb.ChangeVerdict_Value{
	count.NotEnough: pb.ChangeVerdict_NOT_ENOUGH, count.TooEarly: pb.ChangeVerdict_TOO_EARLY,
	count.Better: pb.ChangeVerdict_BETTER, count.Worse: pb.ChangeVerdict_WORSE,
}

func fromEffect(e *count.Effect, changes []books.Change) *pb.ChangeEffect {
	out := &pb.ChangeEffect{
		Change: fromChange(&changes[e.Change]), Before: fromShare(&e.Before), After: fromShare(&e.After),
		Verdict: verdicts[e.Verdict], Message: e.Words(),
	}
	if e.Verdict != count.NotEnough {
		out.Better = proto.Float64(millionths(e.Better))
	}
	if e.More > 0 {
		out.More = proto.Int32(int32(e.More))
	}
	return out
}

// counting says how it is counted.
func counting() *pb.Counting {
	return &pb.Counting{
		Prior: count.Prior, HalfLifeDays: count.HalfLifeDays, Interval: count.Interval, Sure: count.Sure, Fewest: count.Fewest,
		Message: fmt.Sprintf("Half an attempt is added to those that came as meant and half a one to those that did not, so that few attempts promise little. "+
			"An attempt that is %d days older than the newest counts half, one of twice that age a quarter; weeks, and what lies before and after a change, count every attempt alike. "+
			"The true chance lies between low and high %.0f times in 10. A change is called better or worse from %.0f chances in 100 on, with %d attempts on either side at least.",
			count.HalfLifeDays, count.Interval*10, count.Sure*100, count.Fewest),
	}
}
