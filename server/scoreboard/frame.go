package scoreboard

import (
	"bytes"
	"encoding/json"
	"fmt"
	"sync"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Frame is the scoreboard after one commit. It is encoded at most once for each
// form, however many watch.
type Frame struct {
	Board *pb.Scoreboard
	Seq   uint64
	ahead uint64 // sequence number before the commit

	sse      func() ([]byte, error)
	prepared sync.Once
	message  *grpc.PreparedMsg // nil when it could not be prepared
}

func newFrame(board *pb.Scoreboard, ahead uint64) *Frame {
	f := &Frame{Board: board, Seq: board.GetSequence(), ahead: ahead}
	f.sse = sync.OnceValues(func() ([]byte, error) { return encode("scoreboard", f.Seq, board) })
	return f
}

// boardJSON writes boards as REST answers do.
var boardJSON = protojson.MarshalOptions{EmitUnpopulated: true}

// encode gives a board as a Server-Sent Event. Its id is where to resume.
func encode(name string, seq uint64, board *pb.Scoreboard) ([]byte, error) {
	data, err := boardJSON.Marshal(board)
	if err != nil {
		return nil, fmt.Errorf("scoreboard %d: %w", seq, err)
	}
	var out bytes.Buffer
	fmt.Fprintf(&out, "id: %d\nevent: %s\ndata: ", seq, name)
	// The library puts white space in by chance; equal boards are equal bytes.
	if err := json.Compact(&out, data); err != nil {
		return nil, fmt.Errorf("scoreboard %d: %w", seq, err)
	}
	out.WriteString("\n\n")
	return out.Bytes(), nil
}

// SSE gives the frame as a Server-Sent Event: "scoreboard", or "reset" when what
// the watcher has is to be replaced.
func (f *Frame) SSE(reset bool) ([]byte, error) {
	if reset {
		return encode("reset", f.Seq, f.Board)
	}
	return f.sse()
}

// send sends the frame over gRPC.
func (f *Frame) send(stream grpc.ServerStreamingServer[pb.WatchScoreboardResponse], reset bool) error {
	answer := &pb.WatchScoreboardResponse{Update: &pb.WatchScoreboardResponse_Scoreboard{Scoreboard: f.Board}, Reset_: reset}
	if reset {
		return stream.Send(answer)
	}
	// All streams have the same codec and none is compressed, so what is prepared
	// for the first one does for all.
	f.prepared.Do(func() {
		message := &grpc.PreparedMsg{}
		if message.Encode(stream, answer) == nil {
			f.message = message
		}
	})
	if f.message == nil {
		return stream.Send(answer)
	}
	return stream.SendMsg(f.message)
}
