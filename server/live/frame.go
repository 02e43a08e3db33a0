package live

import (
	"bytes"
	"encoding/json"
	"fmt"
	"sync"
	"sync/atomic"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// Frame is one message to watchers. It is encoded at most once for each transport,
// however many are sent it.
type Frame struct {
	Seq uint64 // sequence number of the event that its watchers have then

	message  proto.Message // over gRPC
	sse      func() ([]byte, error)
	prepared sync.Once
	encoded  *grpc.PreparedMsg // nil when it could not be prepared
	bytes    atomic.Int64      // of what it was encoded to
}

// newFrame makes a frame of the message for gRPC and of the name and data of a
// Server-Sent Event. data is made when it is needed first, and a nil keep keeps all
// of its fields.
func newFrame(seq uint64, message proto.Message, name string, data proto.Message, keep func(fields) (fields, error)) *Frame {
	f := &Frame{Seq: seq, message: message}
	f.sse = sync.OnceValues(func() ([]byte, error) {
		body, err := encode(data, keep)
		if err != nil {
			return nil, fmt.Errorf("%s %d: %w", name, seq, err)
		}
		text := fmt.Appendf(nil, "id: %d\nevent: %s\ndata: %s\n\n", seq, name, body)
		f.bytes.Add(int64(len(text)))
		return text, nil
	})
	return f
}

// fields are the fields of a message in JSON, by name.
type fields map[string]json.RawMessage

// asREST writes messages as REST answers do.
var asREST = protojson.MarshalOptions{EmitUnpopulated: true}

// encode writes a message as JSON in one line, with the fields that keep returns.
func encode(data proto.Message, keep func(fields) (fields, error)) ([]byte, error) {
	body, err := asREST.Marshal(data)
	if err != nil {
		return nil, err
	}
	if keep != nil {
		var all fields
		if err := json.Unmarshal(body, &all); err != nil {
			return nil, err
		}
		if all, err = keep(all); err != nil {
			return nil, err
		}
		if body, err = all.encode(); err != nil {
			return nil, err
		}
	}
	// The library puts white space in by chance; equal messages are equal bytes.
	var out bytes.Buffer
	err = json.Compact(&out, body)
	return out.Bytes(), err
}

// encode writes the fields in the order of their names.
func (f fields) encode() ([]byte, error) {
	var out bytes.Buffer
	to := json.NewEncoder(&out)
	to.SetEscapeHTML(false) // codes of elements have "<"
	err := to.Encode(f)
	return out.Bytes(), err
}

// only returns the fields that have these names.
func (f fields) only(names []string) fields {
	kept := fields{}
	for _, name := range names {
		if value, ok := f[name]; ok {
			kept[name] = value
		}
	}
	return kept
}

// SSE returns the frame as a Server-Sent Event, whose id is where to resume.
func (f *Frame) SSE() ([]byte, error) { return f.sse() }

// send sends the frame over gRPC.
func (f *Frame) send(stream grpc.ServerStream) error {
	// All streams have the same codec and none is compressed, so what is prepared
	// for the first one does for all.
	f.prepared.Do(func() {
		message := &grpc.PreparedMsg{}
		if message.Encode(stream, f.message) == nil {
			f.encoded = message
			f.bytes.Add(int64(proto.Size(f.message)))
		}
	})
	if f.encoded == nil {
		return stream.SendMsg(f.message)
	}
	return stream.SendMsg(f.encoded)
}
