package event

import (
	"strings"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	"github.com/rinktally/rinktally/server/store"
)

// RequestID is a caller's request id with a digest of the request, by which a
// repetition differs from another request with the same id. The log keeps it with
// each fact. Without a caller's id the digest is random. Where facts have something
// apart the digest is made with their salts, so that nothing can be guessed from it
// once that was erased.
type RequestID struct{ Caller, Digest string }

// String returns the id as the log keeps it.
func (id RequestID) String() string {
	if id.Caller == "" {
		return "~" + id.Digest
	}
	return id.Caller + "#" + id.Digest
}

// ParseRequestID takes an id of the log apart; ok is false when the caller gave none.
func ParseRequestID(stored string) (id RequestID, ok bool) {
	at := strings.LastIndexByte(stored, '#')
	if at < 0 {
		return RequestID{}, false
	}
	return RequestID{stored[:at], stored[at+1:]}, true
}

// Span is the sequence numbers of a change's facts. Without facts First is
// behind Last, which is then the sequence number that the change answers.
type Span struct{ First, Last uint64 }

// Has reports whether a fact with a sequence number is one of the change's.
func (s Span) Has(seq uint64) bool { return seq >= s.First && seq <= s.Last }

// nothingChanged is the kind of the fact that only keeps a request id.
var nothingChanged = Kind(&logv1.NothingChanged{})

// Request is what is remembered of a request with an id.
type Request struct {
	Digest string
	Span   Span   // what it wrote
	Salts  []byte // that its digest was made with
	Erased bool   // salts are gone, so that the digest can be compared with no other
}

// Answered returns what is remembered of a caller's request id. done is false when
// no request with the id was answered.
func (s *State) Answered(caller string) (seen Request, done bool) {
	seen, done = s.requests[caller]
	return seen, done && caller != ""
}

func (s *State) remember(r *store.Record) {
	id, ok := ParseRequestID(r.RequestID)
	if !ok {
		return
	}
	if s.requests == nil {
		s.requests = map[string]Request{}
	}
	seen, ok := s.requests[id.Caller]
	switch {
	case ok:
	case r.Kind == nothingChanged:
		seen.Span.First = r.Seq + 1
	default:
		seen.Span.First = r.Seq
	}
	seen.Digest, seen.Span.Last = id.Digest, r.Seq
	if len(r.Apart) >= SaltBytes {
		seen.Salts = append(seen.Salts, r.Apart[:SaltBytes]...)
	} else if r.Seal != (store.Hash{}) {
		seen.Erased = true
	}
	s.requests[id.Caller] = seen
}
