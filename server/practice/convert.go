package practice

import (
	"database/sql"
	"fmt"
	"math"
	"slices"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/books"
)

const (
	maxRunThrough = 64
	maxNote       = 500
	maxLevel      = 16 << 10 // bytes of what was skated
	// The widest scale of grades that a season has had.
	lowestGrade, highestGrade = -5 * rules.Point, 5 * rules.Point
)

// earliest is before any attempt; a clock that was never set shows such a time.
var earliest = time.Date(1970, 1, 2, 0, 0, 0, 0, time.UTC)

// toAttempt takes an attempt of a request. Its time is zero where it states none.
func (s *Service) toAttempt(faults *rules.FieldErrors, at string, a *pb.Attempt) books.Attempt {
	out := books.Attempt{
		Outcome:    books.Outcome{Fall: a.GetFall(), Cause: ask.Text(faults, at+"cause", a.GetCause(), maxCause)},
		RunThrough: ask.Text(faults, at+"runThrough", a.GetRunThrough(), maxRunThrough),
	}
	if a.GetAttempt() != "" {
		faults.Add(at+"attempt", rules.ReasonFieldInvalid, "is given; the server makes the ids of attempts, UpdateAttempt changes one")
	}
	if a.GetTime() != nil {
		out.Time = s.time(faults, at+"time", a.GetTime())
	}
	out.Planned, out.Came = s.codes(faults, at, a.GetPlanned(), a.GetCame())
	if a.Grade != nil {
		out.Grade = sql.Null[int64]{V: int64(grade(faults, at+"grade", a.GetGrade())), Valid: true}
	}
	rest := &pb.Attempt{Note: ask.Text(faults, at+"note", a.GetNote(), maxNote), Level: a.GetLevel()}
	if size := proto.Size(rest.GetLevel()); size > maxLevel {
		faults.Add(at+"level", rules.ReasonFieldInvalid, "has %d bytes; %s are kept", size, rules.Allow("at most %d", maxLevel))
	}
	var err error
	if out.Rest, err = proto.Marshal(rest); err != nil {
		faults.Add(at+"level", rules.ReasonFieldInvalid, "cannot be kept: %v", err)
	}
	return out
}

// time takes a time of a request. One ahead of the server's would take its weight from
// everything else.
func (s *Service) time(faults *rules.FieldErrors, field string, t *timestamppb.Timestamp) time.Time {
	if !t.IsValid() || t.AsTime().Before(earliest) || t.AsTime().After(s.now().Add(day)) {
		faults.Add(field, rules.ReasonFieldInvalid, "is no time of an attempt; allowed are %s", rules.Allowed("times from 1970 until a day after the server's clock"))
		return earliest
	}
	return store.Time(t.AsTime())
}

// codes takes what was meant and what came, in their canonical order.
func (s *Service) codes(faults *rules.FieldErrors, at, planned, came string) (string, string) {
	before := len(*faults)
	planned = s.code(faults, at+"planned", planned)
	if came == "" || len(*faults) > before {
		return planned, planned
	}
	e, ok := s.element(faults, at+"came", came)
	if !ok {
		return planned, planned
	}
	if meant, err := element.Parse(planned); err == nil && meant.Kind() != e.Kind() {
		faults.Add(at+"came", rules.ReasonFieldInvalid, "is a %s where a %s was meant; what came is an element of the same kind", e.Kind(), meant.Kind())
	}
	return planned, e.String()
}

// code takes the code of an element as it is meant.
func (s *Service) code(faults *rules.FieldErrors, field, text string) string {
	if text == "" {
		faults.Add(field, rules.ReasonFieldRequired, "is empty: give an element's code, such as 3Lz or CCoSp4")
		return ""
	}
	e, ok := s.element(faults, field, text)
	if ok && e.Called() {
		faults.Add(field, rules.ReasonFieldInvalid, "has a call of the panel; what is meant has none, calls stand in came")
		return ""
	}
	return e.String()
}

// element reads a code. One that any word could be must be an element of one of the
// seasons.
func (s *Service) element(faults *rules.FieldErrors, field, text string) (element.Element, bool) {
	e, err := element.Parse(text)
	if err != nil {
		faults.Add(field, rules.ReasonCodeInvalid, "%v", err)
		return element.Element{}, false
	}
	for i := range e.Parts() {
		if p := &e.Parts()[i]; (p.Kind == element.Other || p.Kind == element.Pattern) && !s.known(p.Bare()) {
			faults.Add(field, rules.ReasonCodeInvalid, "is no code of an element in any season; such are %s", rules.Allowed("3Lz, 3Lz+3T, CCoSp4, StSq3"))
			return element.Element{}, false
		}
	}
	return e, true
}

// known reports whether a season has a named element. The newest seasons are asked
// first, so that the others need not be compiled for what most skate.
func (s *Service) known(name string) bool {
	catalog := s.tables.Catalog()
	for _, h := range slices.Backward(catalog.Headings()) {
		season, err := catalog.Season(h.Season)
		if err != nil {
			continue
		}
		for _, d := range rules.Disciplines {
			if table := season.Table(d); table != nil {
				if row, scopes := table.Find(name, ""); row != nil || len(scopes) > 0 {
					return true
				}
			}
		}
	}
	return false
}

// grade takes a grade of execution in hundredths.
func grade(faults *rules.FieldErrors, field string, given float64) rules.Points {
	g, ok := ask.Hundredths(given)
	switch {
	case !ok:
		faults.Add(field, ask.Refused(given), "is %s; allowed are %s", ask.Number(given), rules.Allowed("steps of 0.01, such as 1.25"))
	case g < lowestGrade || g > highestGrade:
		faults.Add(field, rules.ReasonMarkOutOfRange, "is %s; allowed is %s", ask.Number(given), rules.Allowed("-5 to 5"))
	}
	return g
}

// fromAttempt returns an attempt as it is kept.
func fromAttempt(kept *books.Attempt) (*pb.Attempt, error) {
	a := &pb.Attempt{}
	if err := proto.Unmarshal(kept.Rest, a); err != nil {
		return nil, fmt.Errorf("attempt %d: %w", kept.ID, err)
	}
	a.Attempt, a.Time = idOf(kept.ID), timestamppb.New(kept.Time)
	a.Planned, a.Came, a.Fall, a.Cause, a.RunThrough = kept.Planned, kept.Came, kept.Fall, kept.Cause, kept.RunThrough
	if kept.Grade.Valid {
		a.Grade = gradeOf(rules.Points(kept.Grade.V))
	}
	return a, nil
}

// millionths rounds a chance as answers carry it.
func millionths(chance float64) float64 { return math.Round(chance*1e6) / 1e6 }
