// Package access says who may do what: roles, tokens, and the interceptors that
// check them. Tokens are random, kept as hashes only, belong to one event and
// one role, and can expire and be revoked.
package access

import (
	"context"
	"fmt"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Actor is who makes a call. The zero Actor is somebody without a token.
type Actor struct {
	Event string // the event that the token is for; empty with ADMIN
	Book  string // the book of attempts that the token is for; then the rest is empty
	Role  pb.Role_Value
	Judge int32  // with JUDGE: the number
	Token string // id of the token
	// Expires is when the token ends; zero means not by itself.
	Expires time.Time
}

// String returns the actor as the log keeps it: "JUDGE 3 token 4".
func (a Actor) String() string {
	if a.Role == pb.Role_ROLE_UNSPECIFIED {
		return ""
	}
	s := a.Role.String()
	if a.Judge != 0 {
		s += fmt.Sprintf(" %d", a.Judge)
	}
	if a.Token != "" {
		s += " token " + a.Token
	}
	return s
}

type actorKey struct{}

// WithActor returns a context whose calls are made by the actor.
func WithActor(ctx context.Context, a Actor) context.Context {
	return context.WithValue(ctx, actorKey{}, a)
}

// From returns who makes the call.
func From(ctx context.Context) Actor {
	a, _ := ctx.Value(actorKey{}).(Actor)
	return a
}
