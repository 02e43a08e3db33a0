package practice

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/store/books"
)

// day is what a day to which something goes adds to its beginning.
const day = 24 * time.Hour

// maxAttempts is how many attempts one call adds.
const maxAttempts = 1000

// AddAttempts adds attempts, all or none.
func (s *Service) AddAttempts(ctx context.Context, req *pb.AddAttemptsRequest) (*pb.AddAttemptsResponse, error) {
	var faults rules.FieldErrors
	request := s.requestOf(&faults, req)
	switch n := len(req.GetAttempts()); {
	case n == 0:
		faults.Add("attempts", rules.ReasonFieldRequired, "is empty: give what was tried")
	case n > maxAttempts:
		faults.Add("attempts", rules.ReasonTooManyItems, "has %d attempts; %s are taken", n, rules.Allow("at most %d", maxAttempts))
		return nil, errs.From(faults, req)
	}
	taken := make([]books.Attempt, len(req.GetAttempts()))
	for i, a := range req.GetAttempts() {
		taken[i] = s.toAttempt(&faults, fmt.Sprintf("attempts[%d].", i), a)
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	added, err := s.store.AddAttempts(ctx, keyOf(req), request, taken)
	if err != nil {
		return nil, fault(err, req, "attempts")
	}
	// Made of the request, so that a repeated one is answered alike whatever has become
	// of the attempts since.
	res := &pb.AddAttemptsResponse{Attempts: make([]*pb.Attempt, len(taken))}
	for i := range taken {
		a := &taken[i]
		a.ID = added.First + int64(i)
		if a.Time.IsZero() {
			a.Time = added.At
		}
		if res.Attempts[i], err = fromAttempt(a); err != nil {
			return nil, errs.From(err, req)
		}
	}
	return res, nil
}

// ListAttempts lists attempts, the newest first.
func (s *Service) ListAttempts(ctx context.Context, req *pb.ListAttemptsRequest) (*pb.ListAttemptsResponse, error) {
	var faults rules.FieldErrors
	filter := s.filterOf(&faults, req)
	filter.RunThrough = req.GetRunThrough()
	size := ask.PageSize(req.GetPageSize(), &faults)
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	revision, err := s.store.Revision(ctx, keyOf(req))
	if err != nil {
		return nil, fault(err, req, "")
	}
	list := ask.ListOf(req.GetBook(), req.GetSkater(), strconv.FormatInt(revision, 10), req.GetFrom(), req.GetTo(), req.GetCode(), req.GetRunThrough())
	from, ok := list.Start(req.GetPageToken())
	if !ok {
		return nil, errs.From(rules.Fault("pageToken", ask.ReasonPageToken, "is not a token of this list, or an attempt has changed since: begin again without one"), req)
	}
	kept, err := s.store.Attempts(ctx, keyOf(req), filter, books.Page{Skip: from, Most: size + 1})
	if err != nil {
		return nil, fault(err, req, "")
	}
	res := &pb.ListAttemptsResponse{}
	if len(kept) > size {
		kept, res.NextPageToken = kept[:size], list.Token(from+size)
	}
	res.Attempts = make([]*pb.Attempt, len(kept))
	for i := range kept {
		if res.Attempts[i], err = fromAttempt(&kept[i]); err != nil {
			return nil, errs.From(err, req)
		}
	}
	return res, nil
}

// UpdateAttempt changes an attempt.
func (s *Service) UpdateAttempt(ctx context.Context, req *pb.UpdateAttemptRequest) (*pb.UpdateAttemptResponse, error) {
	if req.GetUngraded() && req.Grade != nil {
		return nil, errs.From(rules.Fault("ungraded", rules.ReasonFieldInvalid, "is true beside a grade; only one of them may be given"), req)
	}
	var answer *pb.Attempt
	err := s.store.SetAttempt(ctx, keyOf(req), number(req.GetAttempt()), func(kept *books.Attempt) error {
		to, err := fromAttempt(kept)
		if err != nil {
			return err
		}
		update(to, req)
		var faults rules.FieldErrors
		changed := s.toAttempt(&faults, "", to)
		if err := faults.Err(); err != nil {
			return err
		}
		changed.ID = kept.ID
		*kept = changed
		answer, err = fromAttempt(kept)
		return err
	})
	if err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.UpdateAttemptResponse{Attempt: answer}, nil
}

// update puts what a request states into an attempt, which loses its id.
func update(to *pb.Attempt, req *pb.UpdateAttemptRequest) {
	to.Attempt = ""
	if req.GetTime() != nil {
		to.Time = req.GetTime()
	}
	asMeant := to.GetCame() == to.GetPlanned()
	for from, into := range map[*string]*string{
		req.Planned: &to.Planned, req.Came: &to.Came, req.Cause: &to.Cause, req.RunThrough: &to.RunThrough, req.Note: &to.Note,
	} {
		if from != nil {
			*into = *from
		}
	}
	if asMeant && req.Came == nil {
		to.Came = "" // what came as meant does so under another plan too
	}
	switch {
	case req.Grade != nil:
		to.Grade = req.Grade
	case req.GetUngraded():
		to.Grade = nil
	}
	if req.Fall != nil {
		to.Fall = req.GetFall()
	}
	if req.GetLevel() != nil {
		to.Level = req.GetLevel()
	}
}

// DeleteAttempt takes an attempt out.
func (s *Service) DeleteAttempt(ctx context.Context, req *pb.DeleteAttemptRequest) (*pb.DeleteAttemptResponse, error) {
	if err := s.store.DeleteAttempt(ctx, keyOf(req), number(req.GetAttempt())); err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.DeleteAttemptResponse{}, nil
}

// selecting is a request that selects attempts.
type selecting interface {
	proto.Message
	GetFrom() string
	GetTo() string
	GetCode() string
}

// filterOf reads which attempts a request selects.
func (s *Service) filterOf(faults *rules.FieldErrors, req selecting) books.Filter {
	f := books.Filter{From: moment(faults, "from", req.GetFrom(), 0), To: moment(faults, "to", req.GetTo(), day)}
	if req.GetCode() != "" {
		f.Planned = s.code(faults, "code", req.GetCode())
	}
	return f
}

// moment reads a day or a moment; the zero time for nothing. To a day is added what is
// said.
func moment(faults *rules.FieldErrors, field, text string, add time.Duration) time.Time {
	if text == "" {
		return time.Time{}
	}
	if day, err := time.Parse(time.DateOnly, text); err == nil {
		return day.Add(add)
	}
	at, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		faults.Add(field, rules.ReasonFieldInvalid, "cannot be read; give %s", rules.Allowed("a day such as 2026-10-01 or a moment such as 2026-10-01T15:30:00Z"))
	}
	return at.UTC()
}
