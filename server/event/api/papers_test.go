package api_test

import (
	"context"
	"sync"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A crowd that asks for a paper gets one that was printed once; after the event has
// moved on it is printed again, and what each role may see is printed for itself.
func TestPapersArePrintedOnce(t *testing.T) {
	r := started(t)
	r.skate(t, short, "1", 1)
	ask := func(ctx context.Context) *pb.File {
		return must(r.GetDocument(ctx, &pb.GetDocumentRequest{Event: cup, Category: category, Segment: short, Document: pb.Document_SEGMENT_RESULT})).GetFile()
	}
	const crowd = 64
	files := make([]*pb.File, crowd)
	var asking sync.WaitGroup
	for i := range files {
		asking.Go(func() { files[i] = ask(t.Context()) })
	}
	asking.Wait()
	for i, f := range files {
		if f != files[0] {
			t.Fatalf("call %d had its paper printed for itself", i)
		}
	}
	if ask(referee(t)) == files[0] {
		t.Error("the referee got the paper of those without a token")
	}
	r.skate(t, short, "2", 2)
	later := ask(t.Context())
	if later == files[0] || string(later.GetData()) == string(files[0].GetData()) {
		t.Error("the paper does not show who skated after it was printed")
	}
	if csv := r.document(t, &pb.GetDocumentRequest{Segment: short, Document: pb.Document_SEGMENT_RESULT, Format: pb.DocumentFormat_CSV}); csv == later {
		t.Error("the other format is the same file")
	}
	if ask(t.Context()) != later {
		t.Error("printing another paper at the same sequence made this one go")
	}
}

// A paper that is kept costs its next reader next to nothing. The limit is a
// twentieth of what printing takes.
func TestKeptPapersAreCheap(t *testing.T) {
	r := started(t)
	r.skate(t, short, "1", 1)
	req := &pb.GetDocumentRequest{Document: pb.Document_SEGMENT_RESULT, Segment: short}
	r.document(t, req)
	used := testing.Benchmark(func(b *testing.B) {
		for b.Loop() {
			r.document(b, req)
		}
	}).AllocedBytesPerOp()
	if used > 64<<10 {
		t.Errorf("a kept paper takes %d bytes", used)
	}
}
