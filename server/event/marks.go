package event

import (
	"fmt"
	"slices"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/store"
)

// mayMark reports whether the caller may give a judge's marks: a judge only the
// own ones.
func (d Decision) mayMark(p *Performance, judge int32) error {
	if d.Actor.Role == pb.Role_JUDGE && d.Actor.Judge != judge {
		return refuse(pb.ErrorReason_PERMISSION_DENIED,
			fmt.Sprintf("this token is for the marks of judge %d, not of judge %d", d.Actor.Judge, judge))
	}
	if !slices.Contains(d.judges(p), judge) {
		return rules.FieldErrors{{
			Field: "judge", Reason: rules.ReasonJudgeUnknown,
			Message: fmt.Sprintf("judge %d is not on the panel or is absent; there are: %s", judge, judgeList(d.judges(p))),
		}}
	}
	return nil
}

// marking returns the performance that a judge gives so many marks, and its season.
func (d Decision) marking(r interface {
	Place
	GetJudge() int32
}, marks int,
) (*Performance, *rules.Season, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, nil, err
	}
	if err := d.mayMark(p, r.GetJudge()); err != nil {
		return nil, nil, err
	}
	season, err := d.Season()
	if err != nil {
		return nil, nil, err
	}
	return p, season, countMarks(marks)
}

// SetElementMarks decides on one judge's marks for elements.
func (d Decision) SetElementMarks(r *pb.SetElementMarksRequest) ([]proto.Message, error) {
	p, season, err := d.marking(r, len(r.GetMarks()))
	if err != nil {
		return nil, err
	}
	fact := &logv1.ElementMarksGiven{At: p.at(), Judge: r.GetJudge()}
	var faults rules.FieldErrors
	marked := map[int32]bool{}
	for i, m := range r.GetMarks() {
		at := fmt.Sprintf("marks[%d].", i)
		_, err := d.element(p, m.GetElement(), at+"element")
		if err := gather(&faults, err); err != nil {
			return nil, err
		}
		if m.Mark != nil {
			checkMark(&faults, season, at+"mark", m.GetMark())
		}
		if marked[m.GetElement()] {
			faults.Add(at+"element", rules.ReasonFieldInvalid, "is %d, which is marked twice", m.GetElement())
		}
		marked[m.GetElement()] = true
		fact.Marks = append(fact.Marks, &logv1.ElementMark{Element: m.GetElement(), Mark: m.Mark})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return facts(fact)
}

func countMarks(n int) error {
	const most = 100
	var faults rules.FieldErrors
	switch {
	case n == 0:
		faults.Add("marks", rules.ReasonFieldRequired, "is empty: give at least one mark")
	case n > most:
		faults.Add("marks", rules.ReasonTooManyItems, "has %d marks; at most %d are taken", n, most)
	}
	return faults.Err()
}

func checkMark(faults *rules.FieldErrors, season *rules.Season, field string, mark int32) {
	if int(mark) < season.GOE.Min || int(mark) > season.GOE.Max {
		faults.Add(field, rules.ReasonMarkOutOfRange, "is %d; allowed is %s", mark, rules.Allow("%d to +%d", season.GOE.Min, season.GOE.Max))
	}
}

// SetComponentMarks decides on one judge's marks for components.
func (d Decision) SetComponentMarks(r *pb.SetComponentMarksRequest) ([]proto.Message, error) {
	p, season, err := d.marking(r, len(r.GetMarks()))
	if err != nil {
		return nil, err
	}
	fact := &logv1.ComponentMarksGiven{At: p.at(), Judge: r.GetJudge()}
	var faults rules.FieldErrors
	marked := map[pb.Component_Value]bool{}
	for i, m := range r.GetMarks() {
		at := fmt.Sprintf("marks[%d].", i)
		given := &logv1.ComponentMark{Component: m.GetComponent().String()}
		checkComponent(&faults, p.PrintedComponents(season), at+"component", given.GetComponent())
		if marked[m.GetComponent()] {
			faults.Add(at+"component", rules.ReasonComponentTwice, "%s is marked twice", given.GetComponent())
		}
		marked[m.GetComponent()] = true
		if m.Mark != nil {
			given.Mark = new(int64(componentMark(&faults, season, at+"mark", m.GetMark())))
		}
		fact.Marks = append(fact.Marks, given)
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return facts(fact)
}

func checkComponent(faults *rules.FieldErrors, known []rules.Component, field, key string) {
	keys := make([]string, len(known))
	for i, c := range known {
		keys[i] = c.Key
	}
	if !slices.Contains(keys, key) {
		faults.Add(field, rules.ReasonComponentUnknown, "%s is not marked in this segment; it has: %s", key, rules.AllowList(keys))
	}
}

// componentMark takes a mark exactly, in hundredths.
func componentMark(faults *rules.FieldErrors, season *rules.Season, field string, mark float64) rules.Points {
	grid := &season.ComponentMarks
	points, exact := ask.Hundredths(mark)
	switch {
	case !exact:
		faults.Add(field, ask.Refused(mark), "is %v; allowed are %s", mark, rules.Allow("%v to %v in steps of %v", grid.Min, grid.Max, grid.Step))
	case points%grid.Step != 0:
		faults.Add(field, rules.ReasonMarkOffGrid, "is %v; allowed are %s", mark, rules.Allow("steps of %v", grid.Step))
	case points < grid.Min || points > grid.Max:
		faults.Add(field, rules.ReasonMarkOutOfRange, "is %v; allowed is %s", mark, rules.Allow("%v to %v", grid.Min, grid.Max))
	}
	return points
}

// SetDeductions decides what is taken off.
func (d Decision) SetDeductions(r *pb.SetDeductionsRequest) ([]proto.Message, error) {
	p, err := d.open(r)
	if err != nil {
		return nil, err
	}
	fact, err := d.deductions(p, r.GetDeductions(), "deductions")
	if err != nil {
		return nil, err
	}
	return facts(fact)
}

// deductions returns the fact that replaces a performance's deductions. field is
// where the request lists them.
func (d Decision) deductions(p *Performance, list []*pb.Deduction, field string) (proto.Message, error) {
	var faults rules.FieldErrors
	if n := len(list); n > maxDeductions {
		faults.Add(field, rules.ReasonTooManyItems, "has %d entries; at most %d are kept", n, maxDeductions)
		return nil, faults
	}
	fact := &logv1.DeductionsSet{At: p.at()}
	for i, from := range list {
		at := fmt.Sprintf("%s[%d].", field, i)
		to := &logv1.Deduction{Kind: from.GetKind().String(), Count: 1, Note: ask.Text(&faults, at+"note", from.GetNote(), maxText)}
		if from.Count != nil {
			to.Count = from.GetCount()
		}
		if from.GetValue() != "" {
			points, err := rules.ParsePoints(from.GetValue())
			if err != nil {
				faults.Add(at+"value", rules.ReasonDeductionValue, "%v", err)
			}
			to.Value = int64(points)
		}
		fact.Deductions = append(fact.Deductions, to)
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	season, err := d.Season()
	if err != nil {
		return nil, err
	}
	after, err := p.with(fact)
	if err != nil {
		return nil, err
	}
	found := d.faults(season, after)
	for i := range found {
		found[i].Field = replacePrefix(found[i].Field, "deductions", field)
	}
	return fact, found.Err()
}

// applyMarks folds the facts of the decisions above.
func (p *Performance) applyMarks(fact proto.Message, _ *store.Record) error {
	switch f := fact.(type) {
	case *logv1.ElementMarksGiven:
		for _, m := range f.GetMarks() {
			e, err := p.element(m.GetElement())
			if err != nil {
				return err
			}
			set(e.Marks, f.GetJudge(), m.Mark)
		}
	case *logv1.ComponentMarksGiven:
		for _, m := range f.GetMarks() {
			marks := p.Components[m.GetComponent()]
			if marks == nil {
				marks = map[int32]rules.Points{}
				p.Components[m.GetComponent()] = marks
			}
			set(marks, f.GetJudge(), (*rules.Points)(m.Mark))
		}
	case *logv1.DeductionsSet:
		p.Deductions = f.GetDeductions()
	default:
		return errOtherFact
	}
	return nil
}

// set puts a judge's mark in, or takes it out when it is nil.
func set[M any](marks map[int32]M, judge int32, mark *M) {
	if mark == nil {
		delete(marks, judge)
		return
	}
	marks[judge] = *mark
}
