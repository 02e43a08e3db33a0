package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sync"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// segments reads segments from a file, one JSON object after the other.
type segments struct {
	decoder *json.Decoder
	prepare func(*pb.ScoreSegmentRequest) // fills what the flags say
	read    int
}

// record is one segment of the file, or why it cannot be read.
type record struct {
	number  int   // from 1
	end     int64 // where it ends in the file
	request *pb.ScoreSegmentRequest
	err     error
}

// next reads a record. Its error is io.EOF at the end, or that the file is not
// JSON from here on.
func (s *segments) next() (*record, error) {
	var raw json.RawMessage
	if err := s.decoder.Decode(&raw); errors.Is(err, io.EOF) {
		return nil, io.EOF
	} else if err != nil {
		return nil, fmt.Errorf("record %d: at byte %d: %w", s.read+1, s.decoder.InputOffset(), err)
	}
	s.read++
	r := &record{number: s.read, end: s.decoder.InputOffset(), request: &pb.ScoreSegmentRequest{}}
	if r.err = decode(raw, r.request); r.err == nil {
		s.prepare(r.request)
	}
	return r, nil
}

// queue holds the records that are read and not yet reported, in order. The
// reading and the reporting side may be two goroutines.
type queue struct {
	mu      sync.Mutex
	records []*record
}

func (q *queue) put(r *record) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.records = append(q.records, r)
}

func (q *queue) take() *record {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.records) == 0 {
		return nil
	}
	r := q.records[0]
	q.records = q.records[1:]
	return r
}

// scoreMany scores the first record and all that follow it over one stream.
func (a *app) scoreMany(ctx context.Context, authority client.Authority, name string, first *record, in *segments, size int64) error {
	var waiting queue
	var broken error // the file's, set before the sequence ends
	source := func(yield func(*pb.ScoreSegmentRequest) bool) {
		for r := first; ; {
			waiting.put(r)
			if r.err == nil && !yield(r.request) {
				return
			}
			var err error
			if r, err = in.next(); err != nil {
				if !errors.Is(err, io.EOF) {
					broken = err
				}
				return
			}
		}
	}
	report := a.newReport(size)
	defer report.close()
	for result, err := range authority.ScoreSegments(ctx, source) {
		if err != nil {
			return fmt.Errorf("after %d segments: %w", report.scored+report.refused, err)
		}
		r := waiting.take()
		for ; r != nil && r.err != nil; r = waiting.take() {
			report.unreadable(r)
		}
		report.result(r, result)
	}
	for r := waiting.take(); r != nil; r = waiting.take() {
		report.unreadable(r)
	}
	report.summary()
	if broken != nil {
		return usagef("%s: %w", name, broken)
	}
	return nil
}

// unreadable is the result of a record that is no segment.
func unreadable(err error) *pb.SegmentResult {
	return &pb.SegmentResult{Result: &pb.SegmentResult_Error{Error: status.New(codes.InvalidArgument, err.Error()).Proto()}}
}
