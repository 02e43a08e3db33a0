package events_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/encoding"
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/dynamicpb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/rest/form"
)

// FuzzREST makes every call of the examples over REST, changed in address and body as
// chance has it: none is answered by a fault of the server, and each refusal has a
// reason of the contract.
func FuzzREST(f *testing.F) {
	z := newFuzzed(f)
	f.Fuzz(func(t *testing.T, when, which uint8, chance []byte) {
		w, c := z.at(t, when, which)
		m := &mutation{chance: chance}
		path, body := m.path(w.path(c)), w.body(c)
		if len(body) > 0 {
			body = m.bytes(m.json(body))
		}
		ctx, cancel := context.WithTimeout(t.Context(), patience)
		defer cancel()
		res, err := w.call(ctx, c, path, body)
		var address *url.Error
		if errors.As(err, &address) && address.Op == "parse" {
			return // no program can ask for that
		}
		if err != nil {
			t.Fatalf("%s %q %q: %v", c.Call, path, body, err)
		}
		defer res.Body.Close()
		stream := strings.HasPrefix(res.Header.Get("Content-Type"), "text/event-stream")
		var answer []byte
		if !stream {
			if answer, err = io.ReadAll(res.Body); err != nil {
				t.Fatalf("%s %q %q: %v", c.Call, path, body, err)
			}
		}
		z.count(w, res.StatusCode == http.StatusOK)
		if res.StatusCode < http.StatusBadRequest {
			return
		}
		var refusal spb.Status
		if err := protojson.Unmarshal(answer, &refusal); err != nil || res.StatusCode >= http.StatusInternalServerError || !refused(status.FromProto(&refusal)) {
			t.Errorf("%s %q %q: %s, %v: %s", c.Call, path, body, res.Status, err, answer)
		}
	})
}

// FuzzGRPC makes the same calls over gRPC, with other fields, or with bytes that are no
// message.
func FuzzGRPC(f *testing.F) {
	z := newFuzzed(f)
	conn := z.server.conn(f)
	f.Fuzz(func(t *testing.T, when, which uint8, chance []byte) {
		w, c := z.at(t, when, which)
		method := z.method(c)
		m := &mutation{chance: chance}
		request := z.message(t, w, c, method)
		m.message(request.ProtoReflect())
		body := m.bytes(must(proto.Marshal(request)))
		ctx, cancel := context.WithTimeout(with(t.Context(), w.tokens[c.As]), patience)
		defer cancel()
		err := send(ctx, conn, method, body)
		z.count(w, err == nil)
		if err != nil && !refused(status.Convert(err)) {
			t.Errorf("%s %q, which was %v: %v", c.Call, body, request, err)
		}
	})
}

// refused reports whether an error is the caller's, with a reason of the contract.
func refused(s *status.Status) bool {
	_, named := pb.ErrorReason_Value_value[reason(s.Err())]
	switch s.Code() {
	case codes.Internal, codes.Unknown, codes.DataLoss, codes.Unavailable, codes.DeadlineExceeded:
		return false
	default:
		return named
	}
}

// send makes a call with any bytes. Of a stream that does not end it reads the first
// message.
func send(ctx context.Context, conn *grpc.ClientConn, method protoreflect.MethodDescriptor, body []byte) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	name := "/" + string(method.Parent().FullName()) + "/" + string(method.Name())
	stream, err := conn.NewStream(ctx, &grpc.StreamDesc{ServerStreams: true, ClientStreams: true}, name, grpc.ForceCodecV2(rawCodec{}))
	if err != nil {
		return err
	}
	_ = stream.SendMsg(&body) // whatever it says, the answer says better
	_ = stream.CloseSend()
	for {
		err := stream.RecvMsg(new([]byte))
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil || method.IsStreamingServer() && !method.IsStreamingClient() {
			return err
		}
	}
}

// fuzzed is a server whose calls are changed, in each of several states that the
// examples lead to.
type fuzzed struct {
	server *server
	calls  []exampleCall
	worlds map[int]*fuzzedWorld // by how many of the calls were made
	routes form.Routes
	made   int // worlds

	asked, taken int
}

// fuzzedWorld is an event and a book in which some of the examples were called.
type fuzzedWorld struct {
	*examples

	event string
	worn  int // changed calls that were taken
}

const (
	exampleEvent = "spring-cup-2026"
	stateStep    = 8   // calls of the examples between two states
	mostWorn     = 500 // then a state is made again
)

func newFuzzed(f *testing.F) *fuzzed {
	f.Helper()
	z := &fuzzed{calls: readExamples(), worlds: map[int]*fuzzedWorld{}}
	z.server = start(f, acceptingCopies, func(c *config.Config) { c.Data, c.ReadRate, c.Deadline = "", 0, patience })
	segment := z.calls[slices.IndexFunc(z.calls, func(c exampleCall) bool { return c.Call == "ScoreSegment" })]
	segment.Call = "ScoreSegments" // which gRPC alone has
	z.calls = append(z.calls, segment)
	protoregistry.GlobalFiles.RangeFilesByPackage("rinktally.v1", func(file protoreflect.FileDescriptor) bool {
		z.routes = append(z.routes, must(form.RoutesOf(file))...)
		return true
	})
	for which := range z.calls { // each as it is, and changed a little
		state := uint8(which / stateStep)
		for _, chance := range []string{"", "\x01\x02\x03", "\x07\xa1\x5e\xd0\x2b\x99\x04\x71", strconv.Itoa(which*7919) + "\xf0\x0f\xff"} {
			f.Add(state, uint8(which), []byte(chance))
		}
	}
	f.Cleanup(func() { f.Logf("%d calls, of which %d were taken", z.asked, z.taken) })
	return z
}

// at returns a state and a call.
func (z *fuzzed) at(t *testing.T, when, which uint8) (*fuzzedWorld, exampleCall) {
	t.Helper()
	done := int(when) % (len(z.calls)/stateStep + 1) * stateStep
	w := z.worlds[done]
	if w == nil || w.worn > mostWorn {
		z.made++
		w = &fuzzedWorld{newExamples(z.server, http.DefaultClient), exampleEvent + "-" + strconv.Itoa(z.made), 0}
		for _, c := range z.calls[:done] {
			if !strings.HasPrefix(c.Call, "Watch") {
				w.play(t, c)
			}
		}
		z.worlds[done] = w
	}
	c := z.calls[int(which)%len(z.calls)]
	if w.tokens[c.As] == "" && c.As != "" {
		c.As = "admin" // before there is such a token
	}
	return w, c
}

func (z *fuzzed) count(w *fuzzedWorld, taken bool) {
	z.asked++
	if taken {
		z.taken++
		w.worn++
	}
}

// method is the call over gRPC.
func (z *fuzzed) method(c exampleCall) protoreflect.MethodDescriptor {
	var found protoreflect.MethodDescriptor
	protoregistry.GlobalFiles.RangeFilesByPackage("rinktally.v1", func(file protoreflect.FileDescriptor) bool {
		for i := range file.Services().Len() {
			if m := file.Services().Get(i).Methods().ByName(protoreflect.Name(c.Call)); m != nil {
				found = m
			}
		}
		return found == nil
	})
	return found
}

func (w *fuzzedWorld) path(c exampleCall) string {
	return strings.ReplaceAll(w.examples.path(c), exampleEvent, w.event)
}

func (w *fuzzedWorld) body(c exampleCall) []byte {
	return bytes.ReplaceAll(w.examples.body(c), []byte(exampleEvent), []byte(w.event))
}

// play makes a call of the examples. It may be refused where others have changed what
// all share.
func (w *fuzzedWorld) play(t *testing.T, c exampleCall) {
	t.Helper()
	res, err := w.call(t.Context(), c, w.path(c), w.body(c))
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	answer, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode >= http.StatusInternalServerError {
		t.Fatalf("%s: %s, %v: %s", c.Call, res.Status, err, answer)
	}
	if res.StatusCode == http.StatusOK {
		w.learn(c, answer)
	}
}

// message is a call of the examples as its message.
func (z *fuzzed) message(t *testing.T, w *fuzzedWorld, c exampleCall, method protoreflect.MethodDescriptor) proto.Message {
	t.Helper()
	request := dynamicpb.NewMessage(method.Input())
	if method.IsStreamingServer() && !method.IsStreamingClient() { // its path is none of the gateway's
		request.Set(method.Input().Fields().ByName("event"), protoreflect.ValueOfString(w.event))
		return request
	}
	if c.Call == "ScoreSegments" {
		segment := method.Input().Fields().ByName("segment")
		inner := request.Mutable(segment).Message().Interface()
		if err := protojson.Unmarshal(w.body(c), inner); err != nil {
			t.Fatal(err)
		}
		return request
	}
	path, query, _ := strings.Cut(w.path(c), "?")
	route, variables, _ := z.routes.Match(w.methods[c.Call], path)
	if err := form.Decode(w.body(c), nil, request); err != nil {
		t.Fatal(err)
	}
	if err := route.Fill(request, form.Variables(variables), query); err != nil {
		t.Fatal(err)
	}
	return request
}

// rawCodec carries bytes as they are.
type rawCodec struct{}

var _ encoding.CodecV2 = rawCodec{}

func (rawCodec) Name() string { return "proto" }

func (rawCodec) Marshal(v any) (mem.BufferSlice, error) {
	return mem.BufferSlice{mem.SliceBuffer(*v.(*[]byte))}, nil
}

func (rawCodec) Unmarshal(data mem.BufferSlice, v any) error {
	*v.(*[]byte) = data.Materialize()
	return nil
}
