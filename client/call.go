package client

import (
	"context"
	"crypto/rand"
	"errors"
	"io"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
)

// requestIDKey is the metadata key under which a call's id travels both ways.
const requestIDKey = "x-request-id"

// identify adds a request id to each call, unless the caller has set one, and turns
// its failure into an *Error, which has the id if the call left.
func identify(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
	ctx, id := withRequestID(ctx)
	var header, trailer metadata.MD
	var server peer.Peer // filled in once a call has a connection
	opts = append(opts, grpc.Header(&header), grpc.Trailer(&trailer), grpc.Peer(&server))
	err := invoke(ctx, method, req, reply, cc, opts...)
	if err == nil {
		return nil
	}
	if server.Addr == nil {
		id = ""
	}
	return fromError(err, answeredID(id, header, trailer))
}

// identifyStream is identify for streams.
func identifyStream(ctx context.Context, desc *grpc.StreamDesc, cc *grpc.ClientConn, method string, open grpc.Streamer, opts ...grpc.CallOption) (grpc.ClientStream, error) {
	ctx, id := withRequestID(ctx)
	s, err := open(ctx, desc, cc, method, opts...)
	if err != nil {
		return nil, FromError(err) // it has no connection
	}
	return &identifiedStream{ClientStream: s, id: id}, nil
}

type identifiedStream struct {
	grpc.ClientStream
	id string
}

// RecvMsg returns io.EOF at the end, as streams do, and other errors as an *Error.
func (s *identifiedStream) RecvMsg(m any) error {
	err := s.ClientStream.RecvMsg(m)
	if err == nil || errors.Is(err, io.EOF) {
		return err
	}
	header, _ := s.Header() // the stream is over, so it does not wait
	return fromError(err, answeredID(s.id, header, s.Trailer()))
}

func withRequestID(ctx context.Context) (context.Context, string) {
	if md, _ := metadata.FromOutgoingContext(ctx); len(md.Get(requestIDKey)) > 0 {
		return ctx, md.Get(requestIDKey)[0]
	}
	id := rand.Text()
	return metadata.AppendToOutgoingContext(ctx, requestIDKey, id), id
}

// answeredID is the id the server answered with, which may be its own, or else
// the one sent.
func answeredID(sent string, answers ...metadata.MD) string {
	for _, md := range answers {
		if ids := md.Get(requestIDKey); len(ids) > 0 {
			return ids[0]
		}
	}
	return sent
}

// bound sets the default deadline for unary calls that have none.
func bound(timeout time.Duration) grpc.UnaryClientInterceptor {
	return func(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
		if _, has := ctx.Deadline(); !has && timeout > 0 {
			var cancel context.CancelFunc
			ctx, cancel = context.WithTimeout(ctx, timeout)
			defer cancel()
		}
		return invoke(ctx, method, req, reply, cc, opts...)
	}
}
