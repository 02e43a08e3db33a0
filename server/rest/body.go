package rest

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"time"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/rest/form"
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

// maxDiscarded is how many bytes are read of a body that is too large.
const maxDiscarded = 32 << 20

// discard reads a body that is refused. Many clients write all of it before they read
// the answer, and would see a connection that was reset in its place. Who asks before
// sending is answered before.
func discard(r *http.Request) {
	if r.Header.Get("Expect") == "" {
		_, _ = io.CopyN(io.Discard, r.Body, maxDiscarded)
	}
}

// readBody reads a body within limits.
func readBody(w http.ResponseWriter, r *http.Request, most form.Limits, variables map[string]string) (*body, error) {
	if r.ContentLength > int64(most.Bytes) {
		discard(r)
		return nil, form.TooLarge(most.Bytes)
	}
	var data bytes.Buffer
	if r.ContentLength > 0 {
		data.Grow(int(min(r.ContentLength, firstRoom)) + bytes.MinRead)
	}
	_, err := data.ReadFrom(http.MaxBytesReader(w, r.Body, int64(most.Bytes)))
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		discard(r)
		return nil, form.TooLarge(most.Bytes)
	case err != nil:
		return nil, form.Unread()
	}
	_ = http.NewResponseController(w).SetReadDeadline(time.Time{}) // it has arrived
	if err := most.Check(data.Bytes()); err != nil {
		return nil, err
	}
	return &body{data: data.Bytes(), path: form.Variables(variables)}, nil
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
	return &strictJSON{runtime.JSONPb{}, answer.NewSeasons()}
}

// Marshal writes a message. A season is written once, and its bytes are not to be
// changed.
func (j *strictJSON) Marshal(v any) ([]byte, error) {
	switch answer := v.(type) {
	case *pb.GetSeasonResponse:
		return j.seasons.Encoded(answer, func() ([]byte, error) { return form.Answer(answer) })
	case proto.Message:
		return form.Answer(answer)
	default:
		return j.JSONPb.Marshal(v)
	}
}

// NewDecoder reads a body.
func (j *strictJSON) NewDecoder(r io.Reader) runtime.Decoder {
	b, ok := r.(*body)
	if !ok {
		return j.JSONPb.NewDecoder(r)
	}
	return runtime.DecoderFunc(b.decode)
}

// decode reads the message.
func (b *body) decode(into any) error {
	if len(bytes.TrimSpace(b.data)) == 0 {
		return io.EOF // the same as {}
	}
	b.fault = form.Decode(b.data, b.path, into.(proto.Message))
	return b.fault
}
