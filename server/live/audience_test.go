package live

import (
	"fmt"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Of steps an audience keeps so many and so many bytes of their messages and of what
// they were encoded to, and always the last one.
func TestStepsAreKeptByNumberAndBytes(t *testing.T) {
	for name, c := range map[string]struct {
		steps, size int // of a board's name
		encoded     bool
		kept        int
	}{
		"few":                     {10, 100, true, 10},
		"many small ones":         {Kept + 50, 100, true, Kept},
		"large messages":          {100, keptBytes / 10, false, 9},
		"large ones, encoded":     {100, keptBytes / 40, true, 13}, // message and JSON of the changes, and of the whole
		"one that is larger":      {1, keptBytes * 2, false, 1},
		"some that are larger":    {5, keptBytes * 2, false, 1},
		"as large as half of all": {5, keptBytes/2 - 1000, false, 2},
	} {
		a := &audience{view: hall{}, seen: &pb.Scoreboard{}, watchers: map[*Watcher]bool{}}
		for i := range c.steps {
			board := &pb.Scoreboard{Sequence: uint64(i + 1), Name: fmt.Sprint(i%2, strings.Repeat("x", c.size))}
			s := a.view.next(a.seen, board)
			a.seen, a.steps = board, append(a.steps, s)
			if c.encoded {
				for _, f := range []*Frame{s.whole, s.changes} {
					if _, err := f.SSE(); err != nil {
						t.Fatal(err)
					}
				}
			}
			a.trim()
		}
		sum := 0
		for _, s := range a.steps {
			sum += s.bytes()
		}
		if len(a.steps) != c.kept || sum > keptBytes && len(a.steps) > 1 {
			t.Errorf("%s: %d steps of %d bytes are kept, want %d", name, len(a.steps), sum, c.kept)
		}
		if a.from != uint64(c.steps-c.kept) {
			t.Errorf("%s: all steps behind %d are kept, want %d", name, a.from, c.steps-c.kept)
		}
	}
}

// What a frame was encoded to counts once, however many are sent it.
func TestFramesCountOnce(t *testing.T) {
	board := &pb.Scoreboard{Event: "spring-cup", Sequence: 7}
	s := newStep(boardFrame(board, nil, false), boardFrame(board, []string{"name"}, false))
	if want := proto.Size(s.changes.message); s.bytes() != want {
		t.Errorf("before it was sent a step is %d bytes, want %d", s.bytes(), want)
	}
	one, err := s.whole.SSE()
	two, again := s.whole.SSE()
	if err != nil || again != nil || s.bytes() != proto.Size(s.changes.message)+len(one) || len(two) != len(one) {
		t.Errorf("a step is %d bytes, of which %d were sent: %v, %v", s.bytes(), len(one), err, again)
	}
}
