package access

import (
	"bytes"
	"context"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// Events is what the guard asks about events.
type Events interface {
	// Holder returns who holds the token with a hash, of an event or, when it is "",
	// of the server. A token that is unknown, revoked or expired has none.
	Holder(ctx context.Context, event string, hash []byte) (Actor, bool, error)
	// Restricted reports whether reading an event needs a token.
	Restricted(ctx context.Context, event string) (bool, error)
	// Now is the time by which tokens expire.
	Now() time.Time
}

// Books is what the guard asks about books of attempts.
type Books interface {
	// Holds reports whether the token with a hash is that of a book.
	Holds(ctx context.Context, book string, hash []byte) (bool, error)
}

// Guard checks who makes a call.
type Guard struct {
	events Events
	books  Books
	needs  Needs

	// Publishers are the hashes of the tokens with which rinks send copies.
	Publishers [][]byte
	// Copied refuses what is not to be had of an event that is only copied here; nil
	// where it is no copy. A nil Copied knows no copies.
	Copied func(event string) error
	// Rehearsed returns who somebody is in a rehearsal of the event that the token is
	// for, and elsewhere the same. A nil Rehearsed knows no rehearsals.
	Rehearsed func(event string, who Actor) Actor
}

// NewGuard makes a guard that asks of callers what the methods need. Without books no
// token is one of a book.
func NewGuard(events Events, books Books, needs Needs) *Guard {
	return &Guard{events: events, books: books, needs: needs}
}

// Check says who makes a call on an event or, where the method needs one, on a book of
// attempts, or refuses it. The token may be empty. A token that is sent must be good, also where none is needed: whoever
// sends one wants to be known.
func (g *Guard) Check(ctx context.Context, method, named, token string) (Actor, error) {
	need := g.needs[method]
	if need.Free {
		return Actor{}, nil
	}
	if need.Publish {
		return g.publisher(token)
	}
	if g.Copied != nil && named != "" && !need.Book {
		// Tokens are the rink's matter: of a copy everybody sees the same.
		if refused := g.Copied(named); refused != nil && need.Read {
			return Actor{}, nil
		} else if refused != nil {
			return Actor{}, refused
		}
	}
	actor, err := g.actor(ctx, token)
	if err != nil {
		return Actor{}, err
	}
	if g.Rehearsed != nil {
		actor = g.Rehearsed(named, actor)
	}
	if need.Open {
		return actor, nil
	}
	if need.Book || actor.Book != "" && !need.Read {
		return actor, checkBook(need, actor, named)
	}
	if actor.Role == pb.Role_ROLE_UNSPECIFIED && actor.Book == "" {
		if need.Read {
			restricted, err := g.events.Restricted(ctx, named)
			if err != nil {
				return Actor{}, errs.From(err, nil)
			}
			if !restricted {
				return actor, nil
			}
		}
		return Actor{}, errs.New(pb.ErrorReason_UNAUTHENTICATED, `this needs a token: send it as "Authorization: Bearer …"`)
	}
	if actor.Role != pb.Role_ADMIN && actor.Event != named {
		if need.Read {
			// What everybody may read, the holder of another event's token may too.
			restricted, err := g.events.Restricted(ctx, named)
			if err != nil {
				return Actor{}, errs.From(err, nil)
			}
			if !restricted {
				return Actor{}, nil
			}
		}
		return Actor{}, errs.New(pb.ErrorReason_PERMISSION_DENIED, "the token is for another event")
	}
	if !need.Allows(actor.Role) {
		return Actor{}, errs.New(pb.ErrorReason_PERMISSION_DENIED, refusal(actor.Role, need))
	}
	return actor, nil
}

// checkBook refuses who holds no token that the call on a book needs.
func checkBook(need Need, actor Actor, book string) error {
	switch {
	case actor.Book != "" && !need.Book:
		return errs.New(pb.ErrorReason_PERMISSION_DENIED, "the token is for a book of attempts")
	case actor.Book != "" && actor.Book == book, need.Allows(actor.Role):
		return nil
	case actor.Book == "" && actor.Role == pb.Role_ROLE_UNSPECIFIED:
		return errs.New(pb.ErrorReason_UNAUTHENTICATED, `this needs the book's token: send it as "Authorization: Bearer …"`)
	case actor.Book != "":
		return errs.New(pb.ErrorReason_PERMISSION_DENIED, "the token is for another book")
	default:
		return errs.New(pb.ErrorReason_PERMISSION_DENIED, "this needs the book's token; no other one opens the book")
	}
}

func refusal(role pb.Role_Value, need Need) string {
	names := make([]string, len(need.Roles))
	for i, r := range need.Roles {
		names[i] = r.String()
	}
	if len(names) == 0 {
		return "nobody may call this"
	}
	return fmt.Sprintf("%s may not do this; it is for %s", role, strings.Join(names, ", "))
}

// actor returns who holds a token; nobody when it is empty.
func (g *Guard) actor(ctx context.Context, token string) (Actor, error) {
	if token == "" {
		return Actor{}, nil
	}
	if book, ok := ofToken(bookPrefix, token); ok && g.books != nil {
		holds, err := g.books.Holds(ctx, book, Hash(token))
		switch {
		case err != nil:
			return Actor{}, errs.From(err, nil)
		case holds:
			return Actor{Book: book}, nil
		}
	}
	if event, ok := ofToken(tokenPrefix, token); ok {
		actor, ok, err := g.events.Holder(ctx, event, Hash(token))
		if err != nil {
			return Actor{}, errs.From(err, nil)
		}
		if ok {
			return actor, nil
		}
	}
	return Actor{}, noSuchToken()
}

// publisher returns who sends copies with a token.
func (g *Guard) publisher(token string) (Actor, error) {
	hash := Hash(token)
	if slices.ContainsFunc(g.Publishers, func(known []byte) bool { return bytes.Equal(known, hash) }) {
		const shown = 8 // bytes
		return Actor{Token: "publish " + hex.EncodeToString(hash[:shown])}, nil
	}
	if len(g.Publishers) == 0 {
		return Actor{}, errs.New(pb.ErrorReason_UNAUTHENTICATED,
			"this server takes no events from rinks: start it with --accept-publish-token, and the server at the rink with the same text as --publish-token")
	}
	return Actor{}, errs.New(pb.ErrorReason_UNAUTHENTICATED,
		"this server takes events only from rinks whose --publish-token is one that it was started with as --accept-publish-token: compare the two")
}

func noSuchToken() error {
	return errs.New(pb.ErrorReason_UNAUTHENTICATED, "the token is not known, was revoked or has expired: ask the organiser for another")
}

// Unary is the interceptor of unary calls, from outside and from inside the
// process alike.
func (g *Guard) Unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	actor, err := g.call(ctx, info.FullMethod, req)
	if err != nil {
		return nil, err
	}
	return handler(WithActor(ctx, actor), req)
}

// Stream is the interceptor of streams. The event stands in the first message, so
// the check happens when that is read.
func (g *Guard) Stream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	if g.needs[info.FullMethod].Free {
		return handler(srv, stream)
	}
	s := &guarded{ServerStream: stream, guard: g, method: info.FullMethod, ctx: stream.Context(), end: func() {}}
	defer func() { s.end() }()
	return handler(srv, s)
}

// guarded checks the first message of a stream.
type guarded struct {
	grpc.ServerStream

	guard   *Guard
	method  string
	ctx     context.Context //nolint:containedctx // the stream's own, with the actor; it ends with the actor's token
	end     context.CancelFunc
	checked bool
}

// Context returns the stream's context, after the first message with the actor.
func (s *guarded) Context() context.Context { return s.ctx }

// RecvMsg reads a message and checks the first one.
func (s *guarded) RecvMsg(m any) error {
	if err := s.ServerStream.RecvMsg(m); err != nil || s.checked {
		return err
	}
	actor, err := s.guard.call(s.ctx, s.method, m)
	if err != nil {
		return err
	}
	s.checked = true
	s.ctx, s.end = s.guard.Until(WithActor(s.ctx, actor), actor)
	return nil
}

// glance is how long a stream may go on after its token has expired because a clock
// was set ahead.
const glance = 5 * time.Second

// Until returns a context that ends with the actor's token. It looks at the clock
// again and again: a timer knows only how much time passes, not that a clock was set.
func (g *Guard) Until(ctx context.Context, a Actor) (context.Context, context.CancelFunc) {
	ctx, end := context.WithCancelCause(ctx)
	if !a.Expires.IsZero() {
		go func() {
			for {
				left := a.Expires.Sub(g.events.Now())
				if left <= 0 {
					end(noSuchToken())
					return
				}
				select {
				case <-ctx.Done():
					return
				case <-time.After(min(left, glance)):
				}
			}
		}()
	}
	return ctx, func() { end(nil) }
}

func (g *Guard) call(ctx context.Context, method string, req any) (Actor, error) {
	named := ""
	switch req := req.(type) {
	case interface{ GetEvent() string }:
		named = req.GetEvent()
	case interface{ GetBook() string }:
		named = req.GetBook()
	}
	token := ""
	if headers := metadata.ValueFromIncomingContext(ctx, "authorization"); len(headers) > 0 {
		var err error
		if token, err = fromHeader(headers[0]); err != nil {
			return Actor{}, err
		}
	}
	return g.Check(ctx, method, named, token)
}
