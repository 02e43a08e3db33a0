// Package policy says when a client makes a call again: the Go client, and the
// JavaScript one by what proto/contract writes of it (client/web/contract.js).
//
// Code UNAVAILABLE alone is repeated: the server was not reached, is stopping, or does
// not reach its store.
package policy

import (
	"time"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/descriptorpb"
)

// What a client does unless its options say otherwise.
const (
	Attempts = 3                      // in all
	Pause    = 100 * time.Millisecond // before the second attempt; it doubles from then on
	MaxPause = 5 * time.Second
	Jitter   = 0.2 // part of each pause by which it is lengthened or shortened at random
)

// Repeats reports whether a unary call may be made again when the server was
// unavailable: one that reads or calculates changes nothing, and by the request id
// of the others the server recognizes a repetition. What shows a secret, which the
// contract marks with debug_redact, shows it to the first attempt only.
func Repeats(m protoreflect.MethodDescriptor) bool {
	fields := m.Output().Fields()
	for i := range fields.Len() {
		if options, ok := fields.Get(i).Options().(*descriptorpb.FieldOptions); ok && options.GetDebugRedact() {
			return false
		}
	}
	return true
}

// RequestID returns the field of a call's request by which a repetition is
// recognized; nil where the call changes nothing.
func RequestID(request protoreflect.MessageDescriptor) protoreflect.FieldDescriptor {
	return request.Fields().ByName("request_id")
}
