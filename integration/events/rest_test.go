package events_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"

	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	"github.com/rinktally/rinktally/proto/route"
)

// restConn makes the calls of the contract over REST, as its annotations say, so
// that one script runs over gRPC and over REST.
type restConn struct {
	base string // http://host:port
	http *http.Client
}

var _ grpc.ClientConnInterface = (*restConn)(nil)

// Invoke makes a call. The metadata that goes out becomes headers.
func (c *restConn) Invoke(ctx context.Context, name string, args, reply any, _ ...grpc.CallOption) error {
	found, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(strings.ReplaceAll(strings.TrimPrefix(name, "/"), "/", ".")))
	if err != nil {
		return err
	}
	req, err := restRequest(ctx, c.base, found.(protoreflect.MethodDescriptor), args.(proto.Message))
	if err != nil {
		return err
	}
	if md, ok := metadata.FromOutgoingContext(ctx); ok {
		for _, token := range md.Get("authorization") {
			req.Header.Set("Authorization", token)
		}
	}
	res, err := c.http.Do(req)
	if err != nil {
		return status.Error(codes.Unavailable, err.Error())
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		return status.Error(codes.Unavailable, err.Error())
	}
	if res.StatusCode == http.StatusOK {
		return protojson.Unmarshal(body, reply.(proto.Message))
	}
	var failed spb.Status
	if err := protojson.Unmarshal(body, &failed); err != nil {
		return fmt.Errorf("HTTP %d with a body that is no status: %w: %.200s", res.StatusCode, err, body)
	}
	return status.FromProto(&failed).Err()
}

// NewStream refuses: REST has Server-Sent Events instead.
func (c *restConn) NewStream(context.Context, *grpc.StreamDesc, string, ...grpc.CallOption) (grpc.ClientStream, error) {
	return nil, errors.New("no streams over REST")
}

// restRequest writes a call as HTTP: by the first path whose variables the request
// has, the rest of it in the body or the query.
func restRequest(ctx context.Context, base string, m protoreflect.MethodDescriptor, args proto.Message) (*http.Request, error) {
	bindings, err := route.Bindings(m)
	if err != nil {
		return nil, err
	}
	// The most particular path comes first.
	for i := len(bindings) - 1; i >= 0; i-- {
		rest := proto.Clone(args)
		path, ok := fill(bindings[i].Path, rest.ProtoReflect())
		if !ok {
			continue
		}
		body, err := protojson.Marshal(rest)
		if err != nil {
			return nil, err
		}
		if !bindings[i].Body {
			path += query(rest.ProtoReflect())
			body = nil
		}
		req, err := http.NewRequestWithContext(ctx, bindings[i].Method, base+path, bytes.NewReader(body))
		if err == nil && body != nil {
			req.Header.Set("Content-Type", "application/json")
		}
		return req, err
	}
	return nil, fmt.Errorf("%s: the request has not the variables of any path", m.FullName())
}

// fill puts fields of a message into a path and takes them out of the message.
func fill(pattern string, m protoreflect.Message) (string, bool) {
	var out strings.Builder
	for pattern != "" {
		before, after, more := strings.Cut(pattern, "{")
		out.WriteString(before)
		if !more {
			break
		}
		name, rest, _ := strings.Cut(after, "}")
		field := m.Descriptor().Fields().ByName(protoreflect.Name(name))
		if !m.Has(field) {
			return "", false
		}
		out.WriteString(url.PathEscape(text(field, m.Get(field))))
		m.Clear(field)
		pattern = rest
	}
	return out.String(), true
}

func text(field protoreflect.FieldDescriptor, v protoreflect.Value) string {
	if field.Enum() != nil {
		return string(field.Enum().Values().ByNumber(v.Enum()).Name())
	}
	return v.String()
}

func query(m protoreflect.Message) string {
	values := url.Values{}
	m.Range(func(field protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		values.Set(field.JSONName(), text(field, v))
		return true
	})
	if len(values) == 0 {
		return ""
	}
	return "?" + values.Encode()
}
