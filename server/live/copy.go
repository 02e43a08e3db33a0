package live

import (
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api"
)

// Copies are the events of other servers whose scoreboards are shown here, without
// their logs.
type Copies interface {
	// Board returns the scoreboard of a copied event and how old it is, nil when there
	// is no copy.
	Board(event string) *pb.Scoreboard
	// Age says only how old it is.
	Age(event string) *pb.BoardCopy
	// Places returns all places behind a scoreboard.
	Places(board *pb.Scoreboard) (*pb.SegmentStanding, *pb.FinalStanding)
}

type noCopies struct{}

func (noCopies) Board(string) *pb.Scoreboard { return nil }
func (noCopies) Age(string) *pb.BoardCopy    { return nil }
func (noCopies) Places(*pb.Scoreboard) (*pb.SegmentStanding, *pb.FinalStanding) {
	return nil, nil
}

// Show lets the hub show copies too. It is called before the hub is used.
func (h *Hub) Show(c Copies) { h.copies = c }

// CopyChanged shows the watchers of a copied event its other scoreboard. When the copy
// is gone, or is of another log of the event, they have to come again.
func (h *Hub) CopyChanged(name string) {
	h.mu.Lock()
	f := h.feeds[name]
	h.mu.Unlock()
	if f == nil {
		return
	}
	board := h.copies.Board(name)
	if board != nil && f.copy(board) {
		return
	}
	h.mu.Lock()
	if h.feeds[name] == f {
		delete(h.feeds, name)
	}
	h.mu.Unlock()
	f.close(errs.New(pb.ErrorReason_ACCESS_CHANGED,
		"the event has changed hands: watch again after the last sequence number seen", "event", name))
	h.book.Unfollow(name, f)
}

// copyParts are the parts of an event that is only copied.
func (h *Hub) copyParts(board *pb.Scoreboard) *parts {
	p := &parts{reader: &api.Reader{State: &event.State{ID: board.GetEvent(), Seq: board.GetSequence()}}, copied: board}
	p.standing, p.final = h.copies.Places(board)
	return p
}

// copy shows the scoreboard of a copied event to its watchers. It reports false for a
// feed that shows an event of this server, or has shown more of the copy already.
func (f *feed) copy(board *pb.Scoreboard) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.seq > 0 && (!f.copied || board.GetSequence() < f.seq) {
		return false
	}
	f.copied = true
	f.seq, f.parts = board.GetSequence(), f.hub.copyParts(board)
	for _, a := range f.audiences {
		a.look(f.parts)
	}
	return true
}

// age says how old what the watcher sees is, nil where the event is run here.
func (w *Watcher) age() *pb.BoardCopy { return w.feed.hub.copies.Age(w.feed.name) }

// Board returns the whole scoreboard that a frame of the hall shows. It must not be
// changed.
func (f *Frame) Board() *pb.Scoreboard {
	return f.message.(*pb.WatchScoreboardResponse).GetScoreboard()
}
