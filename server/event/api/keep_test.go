package api

import (
	"context"
	"fmt"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// What is kept is bounded in bytes, counts right, and holds each paper once.
func TestKeptPapersAreBounded(t *testing.T) {
	p := newPapers()
	file := func(size int) *pb.File { return &pb.File{Data: make([]byte, size)} }
	for i := range 100 {
		p.keep(paper{event: fmt.Sprint("event-", i)}, printed{sequence: 1, file: file(1 << 20)})
		sum := 0
		for _, kept := range p.kept {
			sum += len(kept.file.GetData())
		}
		if sum != p.bytes || sum > maxPapers || sum == 0 {
			t.Fatalf("after %d papers %d bytes are kept and %d counted", i+1, sum, p.bytes)
		}
	}
	p = newPapers()
	p.keep(paper{event: "cup", segment: "a"}, printed{sequence: 1, file: file(10)})
	p.keep(paper{event: "cup", segment: "b"}, printed{sequence: 1, file: file(10)})
	p.keep(paper{event: "cup", segment: "b"}, printed{sequence: 2, file: file(10)})
	if len(p.kept) != 2 || p.bytes != 20 {
		t.Errorf("%d papers of %d bytes are kept, want both as they are now", len(p.kept), p.bytes)
	}
	p.keep(paper{event: "cup", segment: "large"}, printed{sequence: 2, file: file(maxPapers + 1)})
	if p.bytes > maxPapers {
		t.Errorf("%d bytes", p.bytes)
	}
}

// One call at a time prints; a caller who leaves does not wait for the others.
func TestOneCallPrints(t *testing.T) {
	p := newPapers()
	if err := p.take(t.Context()); err != nil {
		t.Fatal(err)
	}
	gone, leave := context.WithCancel(t.Context())
	leave()
	if err := p.take(gone); errs.Reason(err) != "CANCELLED" {
		t.Errorf("while another call prints: %v", err)
	}
	p.leave()
	if err := p.take(t.Context()); err != nil {
		t.Errorf("after it: %v", err)
	}
}
