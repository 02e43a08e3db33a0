// Package form is the REST form of the contract: the paths of its calls, the strict
// JSON of their bodies and answers, and errors as bodies. It knows no connection, so
// that the engine as WebAssembly answers a page in the same words as a server.
package form

import (
	"bytes"
	"net/url"

	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
)

// Variables returns the variables of a path as Match found them, unescaped.
func Variables(escaped map[string]string) map[string]string {
	plain := make(map[string]string, len(escaped))
	for field, value := range escaped {
		if name, err := url.PathUnescape(value); err == nil {
			value = name
		}
		plain[field] = value
	}
	return plain
}

// Decode reads a body into its message. When that fails, it looks for every reason.
// variables are those of the path, which the body may only repeat. An empty body is
// that of an empty message.
func Decode(data []byte, variables map[string]string, into proto.Message) error {
	if len(bytes.TrimSpace(data)) == 0 {
		return nil
	}
	m := into.ProtoReflect()
	if err := protojson.Unmarshal(data, into); err != nil {
		faults := diagnose(data, m.Descriptor())
		if len(faults) == 0 {
			faults.Add(wholeBody, reasonJSONInvalid, "is not what this call takes; /openapi.json shows the form of a %s", m.Descriptor().Name())
		}
		return errs.From(faults, nil)
	}
	if faults := against(m, variables); len(faults) > 0 {
		return errs.From(faults, nil)
	}
	return nil
}

// against returns the fields that the body and the path state differently. The path
// would win silently.
func against(m protoreflect.Message, variables map[string]string) rules.FieldErrors {
	var faults rules.FieldErrors
	for _, name := range rules.SortedKeys(variables) {
		field := m.Descriptor().Fields().ByName(protoreflect.Name(name))
		if field == nil || !m.Has(field) {
			continue
		}
		if given := m.Get(field).String(); given != variables[name] {
			faults.Add(field.JSONName(), rules.ReasonFieldInvalid, "is %s in the body but %s in the path; leave it out of the body",
				rules.Quote(given), rules.Quote(variables[name]))
		}
	}
	return faults
}

// Unread refuses a body that could not be read to its end.
func Unread() error {
	return errs.From(rules.FieldErrors{{Field: wholeBody, Reason: reasonJSONInvalid, Message: "could not be read to its end"}}, nil)
}

// answers is how answers are written: with their zero values.
var answers = protojson.MarshalOptions{EmitUnpopulated: true}

// answerRoom is the memory that an answer begins with, in bytes: that of a segment
// needs no more.
const answerRoom = 4 << 10

// Answer writes an answer.
func Answer(m proto.Message) ([]byte, error) {
	data, err := answers.MarshalAppend(make([]byte, 0, answerRoom), m)
	return compact(data), err
}

// Status writes an error's status with every field of its details that is set.
func Status(s *spb.Status) ([]byte, error) {
	body, err := protojson.MarshalOptions{EmitUnpopulated: false}.Marshal(s)
	return compact(body), err
}

// compact leaves the spaces between values out, in the same memory: the library puts
// some in at random per build, and equal answers should be equal bytes.
func compact(data []byte) []byte {
	out, rest := data[:0], 0 // what follows rest is not taken yet
	for i := 0; i < len(data); i++ {
		switch data[i] {
		case '"':
			i = textEnd(data, i)
		case ' ':
			out = append(out, data[rest:i]...)
			rest = i + 1
		}
	}
	return append(out, data[rest:]...)
}

// textEnd returns where the text of JSON that begins at a quote ends: its closing
// quote, or the end of the data.
func textEnd(data []byte, quote int) int {
	i := quote + 1
	for ; i < len(data) && data[i] != '"'; i++ {
		if data[i] == '\\' {
			i++
		}
	}
	return i
}
