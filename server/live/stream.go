package live

import (
	"context"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/encoding"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// stream sends a watcher its frames over gRPC until the watch ends.
func (s *Service) stream(w *Watcher, stream grpc.ServerStream, beat func(*pb.Heartbeat) error) error {
	defer w.Leave()
	ctx := stream.Context()
	// What is encoded once must be the same for all.
	if err := grpc.SetSendCompressor(ctx, encoding.Identity); err != nil {
		return errs.Internal(err)
	}
	done := make(chan error, 1)
	go func() {
		done <- s.send(ctx, w, func(f *Frame) error { return f.send(stream) }, beat)
	}()
	select {
	case err := <-done:
		return err
	case <-w.Cut:
	}
	// A watcher that reads nothing any more holds the sender up for ever; to
	// return is what ends it. One that is only slow may take what it was sent.
	patience := time.NewTimer(writeTime)
	defer patience.Stop()
	select {
	case err := <-done:
		return err
	case <-patience.C:
		return w.Err()
	}
}

// send sends frames and, while there are none, heartbeats, until the watcher
// leaves, is too slow, or the server stops.
func (s *Service) send(ctx context.Context, w *Watcher, frame func(*Frame) error, beat func(*pb.Heartbeat) error) error {
	// Of a copy it is said at once how old it is, since its frames are made before.
	first := s.beat
	if w.age() != nil {
		first = 0
	}
	silent := time.NewTimer(s.beat)
	defer silent.Stop()
	for {
		for f := w.Next(); f != nil; f = w.Next() {
			if err := frame(f); err != nil {
				return err
			}
		}
		silent.Reset(first)
		first = s.beat
		select {
		case <-ctx.Done():
			return errs.Context(ctx)
		case <-w.Cut:
			return w.Err()
		case <-w.Woke:
		case <-silent.C:
			if err := beat(&pb.Heartbeat{Sequence: w.upTo(), Copy: w.age()}); err != nil {
				return err
			}
		}
	}
}
