// Package inproc calls a gRPC service in the same process, through the same
// interceptors as a call from outside but without a socket.
package inproc

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/server/errs"
)

// Conn is a client connection to services in the same process. Services are
// registered before the first call. It carries unary calls only.
type Conn struct {
	interceptor grpc.UnaryServerInterceptor
	methods     map[string]method
}

type method struct {
	impl    any
	handler grpc.MethodHandler
}

// New makes a connection whose calls run through an interceptor; nil is none.
func New(interceptor grpc.UnaryServerInterceptor) *Conn {
	return &Conn{interceptor: interceptor, methods: map[string]method{}}
}

// RegisterService makes a service's unary methods callable.
func (c *Conn) RegisterService(desc *grpc.ServiceDesc, impl any) {
	for _, m := range desc.Methods {
		c.methods["/"+desc.ServiceName+"/"+m.MethodName] = method{impl: impl, handler: m.Handler}
	}
}

// Invoke calls a unary method. What the caller sent as outgoing metadata arrives
// as incoming metadata, and the method's header and trailer come back through
// the call options.
func (c *Conn) Invoke(ctx context.Context, name string, args, reply any, opts ...grpc.CallOption) error {
	m, ok := c.methods[name]
	if !ok {
		return errs.UnknownMethod(name)
	}
	stream := &transport{method: name}
	if sent, ok := metadata.FromOutgoingContext(ctx); ok {
		ctx = metadata.NewIncomingContext(ctx, sent)
	}
	ctx = grpc.NewContextWithServerTransportStream(ctx, stream)
	answer, err := m.handler(m.impl, ctx, func(req any) error {
		move(req, args)
		return nil
	}, c.interceptor)
	for _, o := range opts {
		switch o := o.(type) {
		case grpc.HeaderCallOption:
			*o.HeaderAddr = stream.header
		case grpc.TrailerCallOption:
			*o.TrailerAddr = stream.trailer
		}
	}
	if err != nil {
		return err
	}
	move(reply, answer)
	return nil
}

// move lets to have what from holds. Requests and answers are made for one call
// and given up after it, so their parts are shared rather than copied.
func move(to, from any) {
	dst := to.(proto.Message).ProtoReflect()
	from.(proto.Message).ProtoReflect().Range(func(field protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		dst.Set(field, v)
		return true
	})
}

// NewStream refuses: streams are served by handlers of their own.
func (c *Conn) NewStream(_ context.Context, _ *grpc.StreamDesc, name string, _ ...grpc.CallOption) (grpc.ClientStream, error) {
	return nil, errs.UnknownMethod(name)
}

// transport collects what a method sends beside its answer.
type transport struct {
	method          string
	header, trailer metadata.MD
}

func (t *transport) Method() string { return t.method }

func (t *transport) SetHeader(md metadata.MD) error {
	t.header = metadata.Join(t.header, md)
	return nil
}

func (t *transport) SendHeader(md metadata.MD) error { return t.SetHeader(md) }

func (t *transport) SetTrailer(md metadata.MD) error {
	t.trailer = metadata.Join(t.trailer, md)
	return nil
}
