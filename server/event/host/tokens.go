package host

import (
	"context"
	"strconv"
	"time"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
)

// ServerStream keeps the administrator's tokens. It cannot be an event's id.
const ServerStream = "_server"

// streamOf returns where the tokens of an event are kept; those of the server when
// it is "".
func streamOf(event string) string {
	if event == "" {
		return ServerStream
	}
	return event
}

// Holder returns who holds a token. See access.Events.
func (b *Book) Holder(ctx context.Context, id string, hash []byte) (access.Actor, bool, error) {
	if id != "" && !event.IsID(id) {
		return access.Actor{}, false, nil
	}
	var actor access.Actor
	found := false
	err := b.locked(ctx, streamOf(id), func(p *page) error {
		for _, t := range p.state.Tokens {
			// The hash of a random secret betrays nothing by the time it takes to
			// compare.
			if string(t.GetHash()) == string(hash) && t.Holds(b.clock()) {
				found = true
				actor = access.Actor{
					Event: id, Role: pb.Role_Value(pb.Role_Value_value[t.GetRole()]), Judge: t.GetJudge(), Token: t.GetId(),
				}
				if t.GetExpireTime() != nil {
					actor.Expires = t.GetExpireTime().AsTime()
				}
			}
		}
		return nil
	})
	if found && id != "" {
		b.Called(id, actor.Token)
	}
	return actor, found, err
}

// Called keeps that the holder of a token called just now.
func (b *Book) Called(id, token string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.calls[holderKey{id, token}] = b.clock()
}

// holderKey names a token by its event and its id there.
type holderKey struct{ event, token string }

// LastCall returns when the holder of a token called last, zero when this server has
// heard nothing of it since it started.
func (b *Book) LastCall(id, token string) time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.calls[holderKey{id, token}]
}

// Restricted reports whether reading an event needs a token. See access.Events.
func (b *Book) Restricted(ctx context.Context, id string) (bool, error) {
	restricted := false
	err := b.View(ctx, id, func(s *event.State) error {
		restricted = s.Data.GetRestricted()
		return nil
	})
	return restricted, err
}

// Now is the time by which tokens expire. See access.Events.
func (b *Book) Now() time.Time { return b.clock() }

// NewAdminToken makes a token that may do everything an organiser may, in every
// event of the server.
func (b *Book) NewAdminToken(ctx context.Context, label string) (string, error) {
	token, _, err := b.adminToken(ctx, label, false)
	return token, err
}

// FirstAdminToken makes an administrator's token when there is none that holds.
// made reports whether it did; otherwise the token is empty.
func (b *Book) FirstAdminToken(ctx context.Context, label string) (token string, made bool, err error) {
	return b.adminToken(ctx, label, true)
}

func (b *Book) adminToken(ctx context.Context, label string, onlyFirst bool) (string, bool, error) {
	token := access.NewToken("")
	made := false
	err := b.Do(ctx, &Change{
		Event: ServerStream, Actor: access.Actor{Role: pb.Role_ADMIN},
		Decide: func(s *event.State, now time.Time) ([]proto.Message, error) {
			made = false
			for _, t := range s.Tokens {
				if onlyFirst && t.Holds(now) {
					return nil, nil
				}
			}
			made = true
			return []proto.Message{&logv1.TokenIssued{
				Id: strconv.Itoa(len(s.Tokens) + 1), Hash: access.Hash(token), Role: pb.Role_ADMIN.String(), Label: label,
			}}, nil
		},
		Show: func(*event.State, event.Span) error { return nil },
	})
	if err != nil || !made {
		return "", false, err
	}
	return token, true, nil
}

// AdminTokens lists the administrator's tokens, without their secrets.
func (b *Book) AdminTokens(ctx context.Context) ([]*pb.TokenInfo, error) {
	var list []*pb.TokenInfo
	err := b.locked(ctx, ServerStream, func(p *page) error {
		for _, t := range p.state.Tokens {
			list = append(list, t.Info())
		}
		return nil
	})
	return list, err
}

// RevokeAdminToken ends an administrator's token at once.
func (b *Book) RevokeAdminToken(ctx context.Context, id string) error {
	return b.Do(ctx, &Change{
		Event: ServerStream, Actor: access.Actor{Role: pb.Role_ADMIN},
		Decide: func(s *event.State, _ time.Time) ([]proto.Message, error) {
			t := s.Token(id)
			switch {
			case t == nil:
				return nil, errs.New(pb.ErrorReason_NOT_IN_EVENT, "there is no administrator's token with this id", "field", "token")
			case t.Revoked:
				return nil, nil
			default:
				return []proto.Message{&logv1.TokenRevoked{Id: id}}, nil
			}
		},
		Show: func(*event.State, event.Span) error { return nil },
	})
}
