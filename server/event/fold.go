package event

import (
	"errors"
	"fmt"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	"github.com/rinktally/rinktally/server/store"
)

// Apply folds one record into the state. A record that is not the next of the
// stream's chain of hashes is a *store.DamagedError and leaves the state as it is.
// It fails on a fact that does not fit, which decisions never make; the state is
// then not to be used any more.
func (s *State) Apply(r *store.Record) error {
	if err := r.Follows(store.Head{Seq: s.Seq, RecordedAt: s.Time, Hash: s.hash}); err != nil {
		return err
	}
	fact, err := Decode(&r.Fact)
	if err != nil {
		return fmt.Errorf("event %s, record %d: %w", r.Stream, r.Seq, err)
	}
	s.ID, s.Seq, s.Time, s.hash = r.Stream, r.Seq, r.RecordedAt, r.Hash
	s.remember(r)
	if err := s.apply(fact, r); err != nil {
		return fmt.Errorf("event %s, record %d (%s): %w", r.Stream, r.Seq, r.Kind, err)
	}
	return nil
}

// errOtherFact says that a fold does not know a kind of fact, so that the next one
// is asked.
var errOtherFact = errors.New("the fact is of a kind that is not folded here")

// apply folds a fact into the state. The folds stand beside the decisions that make
// their facts.
func (s *State) apply(fact proto.Message, r *store.Record) error {
	if f, ok := fact.(interface{ GetAt() *logv1.At }); ok {
		p, err := s.at(f.GetAt())
		if err != nil {
			return err
		}
		s.Focus = p.Segment
		return p.apply(fact, r)
	}
	if _, ok := fact.(*logv1.NothingChanged); ok { // its request id is remembered already
		if r.Apart != nil {
			s.salts = append(s.salts, r.Seq)
		}
		return nil
	}
	return firstKnowing(s, fact, r, (*State).applySetup, (*State).applyEntry, (*State).applyOrder, (*State).applySegment, (*State).applyToken, (*State).applySeat)
}

// apply folds a fact about a performance. It does not ask how far the
// performance is: that was the decision's to check.
func (p *Performance) apply(fact proto.Message, r *store.Record) error {
	return firstKnowing(p, fact, r, (*Performance).applyCall, (*Performance).applyMarks, (*Performance).applyScore)
}

func firstKnowing[T any](of T, fact proto.Message, r *store.Record, folds ...func(T, proto.Message, *store.Record) error) error {
	for _, fold := range folds {
		if err := fold(of, fact, r); !errors.Is(err, errOtherFact) {
			return err
		}
	}
	return fmt.Errorf("%T is not known", fact)
}

func (s *State) at(at *logv1.At) (*Performance, error) {
	g, err := s.segment(at.GetCategory(), at.GetSegment())
	if err != nil {
		return nil, err
	}
	if p := g.Performance(at.GetEntry()); p != nil {
		return p, nil
	}
	return nil, fmt.Errorf("entry %q does not skate in %s of %s", at.GetEntry(), g.Key, g.Category.ID)
}

func (s *State) segment(category, segment string) (*Segment, error) {
	if c := s.Category(category); c != nil {
		if g := c.Segment(segment); g != nil {
			return g, nil
		}
	}
	return nil, fmt.Errorf("there is no segment %q of category %q", segment, category)
}

func (s *State) entry(id string) (*Entry, error) {
	if e := s.Entry(id); e != nil {
		return e, nil
	}
	return nil, fmt.Errorf("there is no entry %q", id)
}

func (p *Performance) element(number int32) (*Element, error) {
	if e := p.Element(number); e != nil {
		return e, nil
	}
	return nil, fmt.Errorf("there is no element %d", number)
}

// number takes a count of entries, elements or judges, which are bounded far below
// what it holds.
func number(n int) int32 { return int32(n) }
