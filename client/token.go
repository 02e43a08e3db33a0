package client

import (
	"context"
	"errors"
	"strings"

	"google.golang.org/grpc/metadata"
)

// authorization is the metadata key of a call's token.
const authorization = "authorization"

// WithToken sends a token of an event or an administrator's with every call. With
// WithPlaintext anyone on the way can read it.
func WithToken(token string) Option {
	return func(s *settings) error {
		if token == "" || strings.ContainsFunc(token, func(r rune) bool { return r <= ' ' || r > '~' }) {
			return errors.New("WithToken: the token is empty or has a space, a line break or another sign that no token has")
		}
		s.token = bearer(token)
		return nil
	}
}

// ContextWithToken returns a context whose calls have this token instead of the
// client's, for a program that acts for several desks.
func ContextWithToken(ctx context.Context, token string) context.Context {
	sent, _ := metadata.FromOutgoingContext(ctx)
	sent = sent.Copy()
	sent.Set(authorization, bearerPrefix+token)
	return metadata.NewOutgoingContext(ctx, sent)
}

const bearerPrefix = "Bearer "

// bearer is a token as credentials of each call that has none of its own.
type bearer string

// GetRequestMetadata implements credentials.PerRPCCredentials.
func (b bearer) GetRequestMetadata(ctx context.Context, _ ...string) (map[string]string, error) {
	if sent, _ := metadata.FromOutgoingContext(ctx); len(sent.Get(authorization)) > 0 {
		return map[string]string{}, nil
	}
	return map[string]string{authorization: bearerPrefix + string(b)}, nil
}

// RequireTransportSecurity implements credentials.PerRPCCredentials. A server on the
// same machine has no TLS; who asks another without it has said so by WithPlaintext.
func (bearer) RequireTransportSecurity() bool { return false }
