package app

import (
	"bytes"
	"context"
	"slices"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/server/errs"
)

// unreadable is how the codec marks a request whose bytes are no message: a field that
// no message of the contract has.
var unreadable = protowire.AppendString(protowire.AppendTag(nil, protowire.MaxValidNumber, protowire.BytesType), "no message")

// readable registers services whose unary calls refuse requests that cannot be read.
type readable struct{ *grpc.Server }

// RegisterService registers a service.
func (r readable) RegisterService(desc *grpc.ServiceDesc, impl any) {
	own := *desc
	own.Methods = slices.Clone(desc.Methods)
	for i, m := range desc.Methods {
		own.Methods[i].Handler = func(srv any, ctx context.Context, read func(any) error, chain grpc.UnaryServerInterceptor) (any, error) {
			return m.Handler(srv, ctx, func(req any) error { return readInto(read, req) }, chain)
		}
	}
	r.Server.RegisterService(&own, impl)
}

// readStream refuses requests of a stream that cannot be read.
type readStream struct{ grpc.ServerStream }

// RecvMsg reads a request.
func (s readStream) RecvMsg(req any) error { return readInto(s.ServerStream.RecvMsg, req) }

func readInto(read func(any) error, req any) error {
	if err := read(req); err != nil {
		return err
	}
	if m, is := req.(proto.Message); is && bytes.Equal(m.ProtoReflect().GetUnknown(), unreadable) {
		return errs.NoMessage()
	}
	return nil
}
