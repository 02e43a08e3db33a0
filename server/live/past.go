package live

import (
	"context"

	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/store"
)

// past returns the latest steps of the hall up to a sequence number, as the log of an
// event has them.
func (h *Hub) past(ctx context.Context, name string, until uint64) (*audience, error) {
	var commits [][]store.Record
	for record, err := range store.All(ctx, h.book.Log(), name, 0) {
		if err != nil {
			return nil, err
		}
		if record.Seq > until {
			break
		}
		last := len(commits) - 1
		if last < 0 || commits[last][0].RequestID != record.RequestID {
			commits = append(commits, nil)
			last++
		}
		commits[last] = append(commits[last], record)
	}
	s, a := &event.State{ID: name}, &audience{view: hall{}}
	var shown *parts
	for i, commit := range commits {
		ahead := s.Seq
		for j := range commit {
			if err := s.Apply(&commit[j]); err != nil {
				return nil, err
			}
		}
		switch {
		case s.Data == nil || i < len(commits)-Kept:
		case shown == nil:
			shown = newParts(s, h.seasons)
			a.seen, a.from = a.view.see(shown), ahead
			whole := a.view.whole(a.seen, false)
			a.steps = []*step{newStep(whole, whole)}
		default:
			shown = shown.after(s, commit, h.seasons)
			a.look(shown)
		}
	}
	return a, nil
}
