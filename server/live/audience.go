package live

import (
	"slices"
	"sort"
	"strconv"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
)

// Kept is how many steps of an audience are kept, and keptBytes how much memory they
// take at most: for watchers that are behind, and for those that come back. One that
// was away for longer is sent all that there is now, marked as a reset.
const (
	Kept      = 256
	keptBytes = 8 << 20
)

// A watcher may be behind by half of that before it is cut off, so that one that comes
// back soon goes on without a reset.
const (
	mostBehind      = Kept / 2
	mostBehindBytes = keptBytes / 2
)

// view is what an audience is shown of an event: the hall, or the desks of one role.
// Views are comparable.
type view interface {
	// see returns all that is shown of a state.
	see(p *parts) proto.Message
	// whole makes the frame of all that is seen.
	whole(seen proto.Message, reset bool) *Frame
	// next makes the step from what was seen to what is seen now, nil when nothing
	// that is shown has changed.
	next(was, is proto.Message) *step
}

// step is one change as an audience is sent it.
type step struct {
	seq            uint64
	size           int    // of the message of the changes
	whole, changes *Frame // the same where there is one form only
}

// newStep makes the step that watchers are sent as one of two frames.
func newStep(whole, changes *Frame) *step {
	return &step{seq: changes.Seq, size: proto.Size(changes.message), whole: whole, changes: changes}
}

// bytes returns about how much memory the step takes. What a whole board shares with
// those before it counts with the step that changed it.
func (s *step) bytes() int {
	n := int64(s.size) + s.changes.bytes.Load()
	if s.whole != s.changes {
		n += s.whole.bytes.Load()
	}
	return int(n)
}

// audience is those who are shown the same.
type audience struct {
	view     view
	seen     proto.Message // at the last step
	steps    []*step       // the latest, oldest first
	began    uint64        // sequence number when it was first looked at
	from     uint64        // behind this sequence number all steps are kept
	watchers map[*Watcher]bool
	present  [2]*Frame // the whole, and as a reset, as it was asked for last
}

// look shows a state to the audience. Its watchers are woken when something that they
// are shown has changed; one that is too far behind is cut off and can come back.
func (a *audience) look(p *parts) {
	is := a.view.see(p)
	s := a.view.next(a.seen, is)
	if s == nil {
		return
	}
	a.seen = is
	a.steps = append(a.steps, s)
	a.trim()
	oldest := a.from
	if over := a.over(mostBehind, mostBehindBytes); over > 0 {
		oldest = a.steps[over-1].seq
	}
	for w := range a.watchers {
		if w.seen < oldest {
			a.drop(w, errs.New(pb.ErrorReason_WATCHER_TOO_SLOW,
				"the watcher was slower than the event: watch again after the last sequence number seen",
				"after_sequence", strconv.FormatUint(w.seen, 10)))
			continue
		}
		select {
		case w.woke <- struct{}{}:
		default:
		}
	}
}

// trim keeps the latest steps.
func (a *audience) trim() {
	if over := a.over(Kept, keptBytes); over > 0 {
		a.from = a.steps[over-1].seq
		a.steps = slices.Delete(a.steps, 0, over)
	}
}

// over returns how many steps there are before the latest ones that are no more than
// so many and take no more than so many bytes. The last one is always among those.
func (a *audience) over(most, bytes int) int {
	last := len(a.steps) - 1
	for i := last; i >= 0; i-- {
		bytes -= a.steps[i].bytes()
		if i < last && (last-i >= most || bytes < 0) {
			return i + 1
		}
	}
	return 0
}

// behind returns the step that follows a sequence number, nil when there is none.
func (a *audience) behind(seq uint64) *step {
	at := sort.Search(len(a.steps), func(i int) bool { return a.steps[i].seq > seq })
	if at == len(a.steps) {
		return nil
	}
	return a.steps[at]
}

// now returns the frame of all that there is to see now.
func (a *audience) now(p *parts, seq uint64, reset bool) *Frame {
	which := 0
	if reset {
		which = 1
	}
	if f := a.present[which]; f == nil || f.Seq != seq {
		a.present[which] = a.view.whole(a.view.see(p), reset)
	}
	return a.present[which]
}

func (a *audience) drop(w *Watcher, why error) {
	w.err = why
	delete(a.watchers, w)
	close(w.cut)
}

// Watcher is somebody who watches an event.
type Watcher struct {
	// Woke has something whenever there are frames to take.
	Woke <-chan struct{}
	// Cut is closed when the watch has ended; Err then says why.
	Cut <-chan struct{}

	feed     *feed
	audience *audience
	who      access.Actor
	changes  bool          // takes the changes alone
	woke     chan struct{} // holds one signal; more would say the same
	cut      chan struct{}
	first    *Frame // to be taken before all others; nil when it was
	seen     uint64 // sequence number up to which everything was taken
	err      error
}

// Next returns the frame that follows the one taken last, nil when there is none yet
// or the watch has ended. Frames are taken one by one, so that a slow watcher holds
// only one.
func (w *Watcher) Next() *Frame {
	w.feed.mu.Lock()
	defer w.feed.mu.Unlock()
	if !w.audience.watchers[w] {
		return nil
	}
	if first := w.first; first != nil {
		w.first = nil
		return first
	}
	s := w.audience.behind(w.seen)
	if s == nil {
		return nil
	}
	w.seen = s.seq
	if w.changes {
		return s.changes
	}
	return s.whole
}

// upTo returns the sequence number up to which the watcher has taken everything that
// it is shown.
func (w *Watcher) upTo() uint64 {
	w.feed.mu.Lock()
	defer w.feed.mu.Unlock()
	if w.first == nil && w.audience.behind(w.seen) == nil {
		w.seen = max(w.seen, w.feed.seq) // what came since is not for this watcher
	}
	return w.seen
}

// Err says why the watch ended: the watcher was too slow, it may no longer watch, or
// the server stops. It is to be asked after Cut was closed.
func (w *Watcher) Err() error { return w.err }

// Leave ends the watch.
func (w *Watcher) Leave() {
	w.feed.mu.Lock()
	delete(w.audience.watchers, w)
	w.feed.mu.Unlock()
	w.feed.hub.leave(w.feed)
}
