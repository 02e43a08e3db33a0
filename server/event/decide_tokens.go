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
)

// maxLifetime bounds how long a token can hold.
const maxLifetime = 10 * 366 * 24 * time.Hour

func (d decision) createToken(r *pb.CreateTokenRequest) ([]proto.Message, error) {
	var faults rules.FieldErrors
	role, known := pb.Role_Value_name[int32(r.GetRole())]
	switch {
	case r.GetRole() == pb.Role_ROLE_UNSPECIFIED || !known:
		faults.Add("role", rules.ReasonFieldRequired, "is empty: give ORGANISER, TECHNICAL_PANEL, JUDGE, REFEREE, ANNOUNCER or VIEWER")
	case r.GetRole() == pb.Role_ADMIN:
		faults.Add("role", rules.ReasonFieldInvalid, "is ADMIN, which is given out at the server only")
	case r.GetRole() == pb.Role_JUDGE && (r.GetJudge() < 1 || r.GetJudge() > maxJudges):
		faults.Add("judge", rules.ReasonJudgeUnknown, "is %d; a JUDGE has a number from 1 to %d", r.GetJudge(), maxJudges)
	case r.GetRole() != pb.Role_JUDGE && r.GetJudge() != 0:
		faults.Add("judge", rules.ReasonFieldInvalid, "is %d; only a JUDGE has a number", r.GetJudge())
	}
	fact := &logv1.TokenIssued{
		Id: strconv.Itoa(len(d.Tokens) + 1), Hash: d.Hash, Role: role, Judge: r.GetJudge(),
		Label: text(&faults, "label", r.GetLabel(), maxText),
	}
	if r.Lifetime != nil {
		life := r.GetLifetime().AsDuration()
		if life <= 0 || life > maxLifetime || !r.GetLifetime().IsValid() {
			faults.Add("lifetime", rules.ReasonFieldInvalid, "is %v; allowed is %s", life, rules.Allowed("more than 0 and up to ten years"))
		}
		fact.ExpireTime = timestamppb.New(d.Command.Time.Add(life))
	}
	if len(d.Tokens) >= maxTokens {
		faults.Add("role", rules.ReasonTooManyItems, "the event has had %d tokens; at most %d are kept", len(d.Tokens), maxTokens)
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return facts(fact)
}

func (d decision) revokeToken(r *pb.RevokeTokenRequest) ([]proto.Message, error) {
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
