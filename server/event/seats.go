package event

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/store"
)

// codeLifetime is how long a code for a desk holds.
const codeLifetime = 15 * time.Minute

// Seat is the latest code of a desk.
type Seat struct {
	*logv1.SeatOffered

	Seq   uint64 // of the fact that offered it
	Taken bool
}

// IsCode reports whether a seat was offered with a code.
func (s *Seat) IsCode(code string) bool { return string(s.GetHash()) == string(access.HashCode(code)) }

// CreateSeatCode decides to offer a seat for the code that the command brings.
func (d Decision) CreateSeatCode(r *pb.CreateSeatCodeRequest) ([]proto.Message, error) {
	faults := holder(r.GetRole(), r.GetJudge())
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return facts(&logv1.SeatOffered{
		Hash: access.HashCode(d.Command.Code), Role: r.GetRole().String(), Judge: r.GetJudge(),
		ExpireTime: timestamppb.New(d.Command.Time.Add(codeLifetime)),
	})
}

// TakeSeat decides to issue a token, which the command brings, for a code.
func (d Decision) TakeSeat(r *pb.TakeSeatRequest) ([]proto.Message, error) {
	if strings.TrimSpace(r.GetCode()) == "" {
		return nil, rules.FieldErrors{rules.Fault("code", rules.ReasonFieldRequired, "is empty: give the six characters that the organiser reads out")}
	}
	for _, seat := range d.Seats {
		if !seat.IsCode(r.GetCode()) || seat.Taken || !d.Command.Time.Before(seat.GetExpireTime().AsTime()) {
			continue
		}
		if err := d.roomForToken("code"); err != nil {
			return nil, err
		}
		return facts(&logv1.SeatTaken{Role: seat.GetRole(), Judge: seat.GetJudge()}, &logv1.TokenIssued{
			Id: strconv.Itoa(len(d.Tokens) + 1), Hash: access.Hash(d.Command.Token), Role: seat.GetRole(), Judge: seat.GetJudge(),
		})
	}
	return nil, refuse(pb.ErrorReason_UNAUTHENTICATED, "the code does not hold: it works once, within 15 minutes; ask the organiser for a new one")
}

// applySeat folds the facts of the decisions above.
func (s *State) applySeat(fact proto.Message, r *store.Record) error {
	switch f := fact.(type) {
	case *logv1.SeatOffered:
		offered := &Seat{SeatOffered: f, Seq: r.Seq}
		for i, seat := range s.Seats {
			if seat.GetRole() == f.GetRole() && seat.GetJudge() == f.GetJudge() {
				s.Seats[i] = offered
				return nil
			}
		}
		s.Seats = append(s.Seats, offered)
	case *logv1.SeatTaken:
		for _, seat := range s.Seats {
			if seat.GetRole() == f.GetRole() && seat.GetJudge() == f.GetJudge() {
				seat.Taken = true
				return nil
			}
		}
		return fmt.Errorf("no seat was offered to %s %d", f.GetRole(), f.GetJudge())
	default:
		return errOtherFact
	}
	return nil
}

// SeatAt finds the seat that a fact offered, or nil when a later one has taken its place.
func (s *State) SeatAt(seq uint64) *Seat {
	for _, seat := range s.Seats {
		if seat.Seq == seq {
			return seat
		}
	}
	return nil
}
