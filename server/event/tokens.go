package event

import (
	"fmt"
	"strconv"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/store"
)

// maxLifetime bounds how long a token can hold.
const maxLifetime = 10 * 366 * 24 * time.Hour

// CreateToken decides to issue a token, which the command brings.
func (d Decision) CreateToken(r *pb.CreateTokenRequest) ([]proto.Message, error) {
	faults := holder(r.GetRole(), r.GetJudge())
	fact := &logv1.TokenIssued{
		Id: strconv.Itoa(len(d.Tokens) + 1), Hash: access.Hash(d.Command.Token), Role: r.GetRole().String(), Judge: r.GetJudge(),
		Label: ask.Text(&faults, "label", r.GetLabel(), maxText),
	}
	if r.Lifetime != nil {
		life := r.GetLifetime().AsDuration()
		if life <= 0 || life > maxLifetime || !r.GetLifetime().IsValid() {
			faults.Add("lifetime", rules.ReasonFieldInvalid, "is %v; allowed is %s", life, rules.Allowed("more than 0 and up to ten years"))
		}
		fact.ExpireTime = timestamppb.New(d.Command.Time.Add(life))
	}
	if err := gather(&faults, d.roomForToken("role")); err != nil {
		return nil, err
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return facts(fact)
}

// holder checks who is to hold a token.
func holder(role pb.Role_Value, judge int32) rules.FieldErrors {
	var faults rules.FieldErrors
	_, known := pb.Role_Value_name[int32(role)]
	switch {
	case role == pb.Role_ROLE_UNSPECIFIED || !known:
		faults.Add("role", rules.ReasonFieldRequired, "is empty: give ORGANISER, TECHNICAL_PANEL, JUDGE, REFEREE, ANNOUNCER or VIEWER")
	case role == pb.Role_ADMIN:
		faults.Add("role", rules.ReasonFieldInvalid, "is ADMIN, which is given out at the server only")
	case role == pb.Role_JUDGE && (judge < 1 || judge > maxJudges):
		faults.Add("judge", rules.ReasonJudgeUnknown, "is %d; a JUDGE has a number from 1 to %d", judge, maxJudges)
	case role != pb.Role_JUDGE && judge != 0:
		faults.Add("judge", rules.ReasonFieldInvalid, "is %d; only a JUDGE has a number", judge)
	}
	return faults
}

// roomForToken says of a field that the event has had too many tokens. A rehearsal makes
// none: they would be gone with it.
func (d Decision) roomForToken(field string) error {
	if of := d.Data.GetRehearsalOf(); of != "" {
		return d.NotNow(pb.SegmentState_PLANNED, "EndRehearsal", "desks are seated in event %s itself, whose tokens hold in its rehearsal too", of)
	}
	var faults rules.FieldErrors
	if len(d.Tokens) >= maxTokens {
		faults.Add(field, rules.ReasonTooManyItems, "the event has had %d tokens; at most %d are kept", len(d.Tokens), maxTokens)
	}
	return faults.Err()
}

// RevokeToken decides to end a token.
func (d Decision) RevokeToken(r *pb.RevokeTokenRequest) ([]proto.Message, error) {
	t := d.State.Token(r.GetToken())
	if t == nil {
		var ids []string
		for _, t := range d.Tokens {
			ids = append(ids, t.GetId())
		}
		return nil, notIn("token", shortened(r.GetToken()), "token with the id", ids)
	}
	if t.Revoked {
		return nil, nil
	}
	return facts(&logv1.TokenRevoked{Id: t.GetId()})
}

// shortened keeps a whole token, sent by mistake in place of its id, out of
// answers and logs.
func shortened(id string) string {
	const most = 12
	if len(id) > most {
		return fmt.Sprintf("%s… (%d characters)", id[:4], len(id))
	}
	return id
}

// applyToken folds the facts of the decisions above.
func (s *State) applyToken(fact proto.Message, r *store.Record) error {
	switch f := fact.(type) {
	case *logv1.TokenIssued:
		s.Tokens = append(s.Tokens, &Token{TokenIssued: f, Seq: r.Seq, Created: r.RecordedAt})
	case *logv1.TokenRevoked:
		t := s.Token(f.GetId())
		if t == nil {
			return fmt.Errorf("there is no token %q", f.GetId())
		}
		t.Revoked = true
	default:
		return errOtherFact
	}
	return nil
}

// Holds reports whether a token is good at a time.
func (t *Token) Holds(now time.Time) bool {
	return !t.Revoked && (t.GetExpireTime() == nil || now.Before(t.GetExpireTime().AsTime()))
}

// Info returns the token as lists show it, without its secret.
func (t *Token) Info() *pb.TokenInfo {
	return &pb.TokenInfo{
		Id: t.GetId(), Role: pb.Role_Value(pb.Role_Value_value[t.GetRole()]), Judge: t.GetJudge(), Label: t.GetLabel(),
		CreateTime: timestamppb.New(t.Created), ExpireTime: t.GetExpireTime(), Revoked: t.Revoked,
	}
}

// TokenAt finds the token that a fact made, or nil.
func (s *State) TokenAt(seq uint64) *Token {
	for _, t := range s.Tokens {
		if t.Seq == seq {
			return t
		}
	}
	return nil
}
