package publish

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"

	_ "google.golang.org/genproto/googleapis/rpc/errdetails" // what a status has as details
	"google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// callTime is how long a call may take before the connection counts as lost.
const callTime = 20 * time.Second

// maxAnswer is how many bytes of an answer are read.
const maxAnswer = 8 << 20

// call makes a call of CopyService in the REST form.
func (e *publication) call(ctx context.Context, method string, req, res proto.Message) error {
	var body []byte
	if method == http.MethodPost {
		var err error
		if body, err = protojson.Marshal(req); err != nil {
			return err
		}
	}
	r, err := http.NewRequestWithContext(ctx, method, e.to.JoinPath("v1", "copies", e.event).String(), bytes.NewReader(body))
	if err != nil {
		return err
	}
	r.Header.Set("Authorization", "Bearer "+e.Token)
	r.Header.Set("Content-Type", "application/json")
	answer, err := e.http.Do(r)
	if err != nil {
		return fmt.Errorf("no answer: %w", err)
	}
	defer answer.Body.Close() //nolint:errcheck // it was read
	text, err := io.ReadAll(io.LimitReader(answer.Body, maxAnswer))
	if err != nil {
		return fmt.Errorf("no answer: %w", err)
	}
	if answer.StatusCode != http.StatusOK {
		return refusal(answer, text)
	}
	return readJSON.Unmarshal(text, res)
}

var readJSON = protojson.UnmarshalOptions{DiscardUnknown: true} // of a newer server

// refusal says why the other server refuses, and what to do.
func refusal(answer *http.Response, text []byte) error {
	said := &status.Status{}
	if readJSON.Unmarshal(text, said) == nil && said.GetMessage() != "" && answer.StatusCode != http.StatusNotFound {
		return errors.New("it answers: " + said.GetMessage())
	}
	switch where := answer.Header.Get("Location"); {
	case answer.StatusCode == http.StatusNotFound:
		return errors.New("it takes no events from rinks: is --publish-to the address of a rinktally of this version or a later one?")
	case where != "":
		return fmt.Errorf("it sends callers on to %s: set --publish-to to the address that is meant", where)
	default:
		return fmt.Errorf("it answers %s, which is not from rinktally: is --publish-to right, and does the proxy there pass everything on?", answer.Status)
	}
}
