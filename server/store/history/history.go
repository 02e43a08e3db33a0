// Package history records what callers asked of one stream of a log, at the same time,
// and what they were answered, and checks that there is an order in which a log that
// does one thing after the other would have answered the same: that appends are
// linearizable (https://doi.org/10.1145/78969.78972) and that a request is carried out
// once, however often it is repeated. The search for that order is porcupine's.
//
// It is for tests, of stores as of servers.
package history

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/anishathalye/porcupine"
)

// Recorder records the calls of one stream. Its methods may be called by several
// goroutines.
type Recorder struct {
	// Base is how many records the stream has ahead of the first call.
	Base uint64

	mu    sync.Mutex
	begun time.Time
	calls []porcupine.Operation
}

// call is what was asked: an append of one request, or a read.
type call struct {
	request  string // "" is a read
	facts    uint64
	expected *uint64 // the end that the append must find; nil: any
	after    uint64  // of a read
}

// answer is what came of it.
type answer struct {
	open     bool     // nobody knows: the append was carried out, or will be, or never
	first    uint64   // of the records of an append
	conflict *uint64  // the append was refused, because the stream ends here
	requests []string // that a read found: that of each record
}

// Append is under way from now on. The caller calls the one function that says how it
// ended, with the sequence number of the request's first record, or none of them when
// nobody knows. A caller that repeats its request until it is answered begins one
// append only: it is carried out once, at some time between its first attempt and the
// answer.
func (r *Recorder) Append(caller int, request string, facts uint64) (done func(first uint64)) {
	end := r.begin(caller, call{request: request, facts: facts})
	return func(first uint64) { end(answer{first: first}) }
}

// AppendAt is Append of one attempt that expects an end of the stream, which another
// end refuses.
func (r *Recorder) AppendAt(caller int, request string, facts, expected uint64) (done, conflict func(uint64)) {
	end := r.begin(caller, call{request: request, facts: facts, expected: &expected})
	return func(first uint64) { end(answer{first: first}) }, func(actual uint64) { end(answer{conflict: &actual}) }
}

// Read is under way from now on. The caller says what was found: the request of each
// record behind a sequence number, up to the end.
func (r *Recorder) Read(caller int, after uint64) (done func(requests []string)) {
	end := r.begin(caller, call{after: after})
	return func(requests []string) { end(answer{requests: requests}) }
}

// begin notes a call, open until its end is noted.
func (r *Recorder) begin(caller int, c call) (end func(answer)) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.calls) == 0 {
		r.begun = time.Now()
	}
	i := len(r.calls)
	r.calls = append(r.calls, porcupine.Operation{
		ClientId: caller, Input: c, Call: int64(time.Since(r.begun)), Output: answer{open: true}, Return: math.MaxInt64,
	})
	return func(a answer) {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.calls[i].Output, r.calls[i].Return = a, int64(time.Since(r.begun))
	}
}

// Calls is how many calls were recorded, and how many of them nobody knows the end of.
func (r *Recorder) Calls() (all, open int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, o := range r.calls {
		if o.Output.(answer).open {
			open++
		}
	}
	return len(r.calls), open
}

// Check returns an error when no order explains the calls, with those that do not fit
// behind the longest part that an order explains.
func (r *Recorder) Check() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	calls := slices.DeleteFunc(slices.Clone(r.calls), func(o porcupine.Operation) bool {
		return o.Output.(answer).open && o.Input.(call).request == "" // says nothing
	})
	m := model(r.Base)
	if porcupine.CheckOperations(m, calls) {
		return nil
	}
	_, info := porcupine.CheckOperationsVerbose(m, calls, 0)
	explained := map[int]bool{}
	for _, partition := range info.PartialLinearizations() {
		for _, order := range partition {
			if len(order) > len(explained) {
				clear(explained)
				for _, i := range order {
					explained[i] = true
				}
			}
		}
	}
	var rest []string
	for i, o := range calls {
		if !explained[i] && len(rest) < 10 {
			rest = append(rest, describe(o.Input, o.Output))
		}
	}
	return fmt.Errorf("no order explains the %d calls; %d fit, then none of:\n  %s", len(calls), len(explained), strings.Join(rest, "\n  "))
}

// state is a stream: its last request, and through it all others. It is not changed.
type state struct {
	end     uint64 // sequence number of the last record
	request string
	before  *state // nil: the records ahead of the first call
	hash    uint64 // of all requests
}

// find returns where a request stands.
func (s *state) find(request string) (first uint64, ok bool) {
	for ; s.before != nil; s = s.before {
		if s.request == request {
			return s.before.end + 1, true
		}
	}
	return 0, false
}

// add returns the stream with a request behind the others.
func (s *state) add(request string, facts uint64) *state {
	hash := fnv.New64a()
	_, _ = fmt.Fprintf(hash, "%d %d %s", s.hash, facts, request)
	return &state{end: s.end + facts, request: request, before: s, hash: hash.Sum64()}
}

// holds reports whether the stream's records behind a number are of these requests.
func (s *state) holds(after uint64, requests []string) bool {
	if s.end != after+uint64(len(requests)) {
		return s.end <= after && len(requests) == 0
	}
	for at := s.end; at > after; at-- {
		if s.before != nil && at == s.before.end {
			s = s.before
		}
		if s.before == nil || requests[at-after-1] != s.request {
			return false
		}
	}
	return true
}

// model is a log that does one thing after the other.
func model(base uint64) porcupine.Model {
	return porcupine.Model{
		Init: func() any { return &state{end: base, hash: base} },
		Step: func(in, asked, got any) (bool, any) {
			s, c, a := in.(*state), asked.(call), got.(answer)
			if c.request == "" {
				return s.holds(c.after, a.requests), s
			}
			first, there := s.find(c.request)
			fits := c.expected == nil || *c.expected == s.end
			switch {
			case there: // repeated
				return a.open || a.conflict == nil && a.first == first, s
			case a.conflict != nil:
				return !fits && *a.conflict == s.end, s
			case !fits:
				return a.open, s
			default:
				return a.open || a.first == s.end+1, s.add(c.request, c.facts)
			}
		},
		Equal: func(a, b any) bool {
			x, y := a.(*state), b.(*state)
			return x.end == y.end && x.hash == y.hash
		},
		Hash:              func(s any) uint64 { return s.(*state).hash },
		DescribeOperation: describe,
	}
}

// describe says what was asked and answered.
func describe(asked, got any) string {
	c, a := asked.(call), got.(answer)
	text := fmt.Sprintf("append %s, %d facts", c.request, c.facts)
	if c.expected != nil {
		text += fmt.Sprintf(" behind %d", *c.expected)
	}
	switch {
	case c.request == "":
		return fmt.Sprintf("read after %d: %d records, the last of %q", c.after, len(a.requests), a.requests[max(0, len(a.requests)-3):])
	case a.open:
		return text + ": not answered"
	case a.conflict != nil:
		return fmt.Sprintf("%s: refused, the end is %d", text, *a.conflict)
	default:
		return fmt.Sprintf("%s: at %d", text, a.first)
	}
}
