package rest

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/url"
	"time"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
)

// body is a request's body that was read and measured. The gateway decodes it
// but keeps only a fault's text, so the fault itself stays here for the answer.
type body struct {
	data  []byte
	path  map[string]string // variables of the path, by field
	fault error
}

// bodyTime is how long a body may take to arrive.
const bodyTime = 15 * time.Second

// firstRoom is how much memory a body has before it has come: all that a segment
// needs. Who announces more gets it as it arrives.
const firstRoom = 64 << 10

// readBody reads a body within limits.
func readBody(w http.ResponseWriter, r *http.Request, most limits, variables map[string]string) (*body, error) {
	if r.ContentLength > int64(most.bytes) {
		return nil, tooLarge(most.bytes)
	}
	var data bytes.Buffer
	if r.ContentLength > 0 {
		data.Grow(int(min(r.ContentLength, firstRoom)) + bytes.MinRead)
	}
	_, err := data.ReadFrom(http.MaxBytesReader(w, r.Body, int64(most.bytes)))
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return nil, tooLarge(most.bytes)
	case err != nil:
		return nil, errs.From(rules.FieldErrors{{Field: wholeBody, Reason: reasonJSONInvalid, Message: "could not be read to its end"}}, nil)
	}
	_ = http.NewResponseController(w).SetReadDeadline(time.Time{}) // it has arrived
	if x := measure(data.Bytes(), most); x != nil {
		return nil, x.err(data.Bytes())
	}
	path := map[string]string{}
	for field, value := range variables {
		if name, err := url.PathUnescape(value); err == nil {
			value = name
		}
		path[field] = value
	}
	return &body{data: data.Bytes(), path: path}, nil
}

// Read is there for the interface; the decoder takes the bytes as they are.
func (b *body) Read([]byte) (int, error) { return 0, io.EOF }

// Close does nothing: the body was read to its end.
func (b *body) Close() error { return nil }

// strictJSON is proto3 JSON that writes zero values and refuses unknown fields.
type strictJSON struct {
	runtime.JSONPb

	seasons *answer.Seasons
}

func newStrictJSON() *strictJSON {
	return &strictJSON{runtime.JSONPb{MarshalOptions: protojson.MarshalOptions{EmitUnpopulated: true}}, answer.NewSeasons()}
}

// Marshal writes a message without optional white space: the library puts some
// in at random per build, and equal answers should be equal bytes. A season is
// written once, and its bytes are not to be changed.
func (j *strictJSON) Marshal(v any) ([]byte, error) {
	if res, ok := v.(*pb.GetSeasonResponse); ok {
		return j.seasons.Encoded(res, func() ([]byte, error) { return j.marshal(v) })
	}
	return j.marshal(v)
}

func (j *strictJSON) marshal(v any) ([]byte, error) {
	data, err := j.JSONPb.Marshal(v)
	if err != nil {
		return nil, err
	}
	return compact(data), nil
}

func compact(data []byte) []byte {
	out := bytes.NewBuffer(make([]byte, 0, len(data)))
	if json.Compact(out, data) != nil {
		return data // only a fault of the library; its text is still right
	}
	return out.Bytes()
}

// NewDecoder reads a body.
func (j *strictJSON) NewDecoder(r io.Reader) runtime.Decoder {
	b, ok := r.(*body)
	if !ok {
		return j.JSONPb.NewDecoder(r)
	}
	return runtime.DecoderFunc(b.decode)
}

// decode reads the message. When that fails, it looks for every reason.
func (b *body) decode(into any) error {
	m := into.(proto.Message)
	if len(bytes.TrimSpace(b.data)) == 0 {
		return io.EOF // the same as {}
	}
	if err := protojson.Unmarshal(b.data, m); err != nil {
		faults := diagnose(b.data, m.ProtoReflect().Descriptor())
		if len(faults) == 0 {
			faults.Add(wholeBody, reasonJSONInvalid, "is not what this call takes; /openapi.json shows the form of a %s", m.ProtoReflect().Descriptor().Name())
		}
		b.fault = errs.From(faults, nil)
		return b.fault
	}
	if faults := b.against(m.ProtoReflect()); len(faults) > 0 {
		b.fault = errs.From(faults, nil)
		return b.fault
	}
	return nil
}

// against tells the fields that the body and the path give differently. The path
// would win silently.
func (b *body) against(m protoreflect.Message) rules.FieldErrors {
	var faults rules.FieldErrors
	for _, name := range rules.SortedKeys(b.path) {
		field := m.Descriptor().Fields().ByName(protoreflect.Name(name))
		if field == nil || !m.Has(field) {
			continue
		}
		if given := m.Get(field).String(); given != b.path[name] {
			faults.Add(field.JSONName(), rules.ReasonFieldInvalid, "is %s in the body but %s in the path; leave it out of the body",
				rules.Quote(given), rules.Quote(b.path[name]))
		}
	}
	return faults
}
