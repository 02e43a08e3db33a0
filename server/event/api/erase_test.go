package api_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/demo"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
	"github.com/rinktally/rinktally/server/store"
)

// records reads all facts of the cup.
func (r *rink) records(t *testing.T) []store.Record {
	t.Helper()
	return must(store.Records(t.Context(), r.log, cup))
}

// What an earlier program wrote, with names inside the facts, is read as before. It
// cannot be taken out of the chain, and that is said.
func TestFactsWithNamesInside(t *testing.T) {
	r := newCup(t)
	old := must(proto.Marshal(&logv1.EntryAdded{Entry: &logv1.EntryData{Entry: "9", Category: category, Name: "Olga Invented", Club: "Pond"}}))
	must(r.log.Append(t.Context(), cup, r.last(t), "old#abc", []store.Fact{{Kind: "EntryAdded", Body: old}}))
	e := r.entries(t)[3]
	if e.GetName() != "Olga Invented" || e.GetClub() != "Pond" {
		t.Errorf("read as %v", e)
	}
	_, err := r.ErasePerson(organiser(t), &pb.ErasePersonRequest{Event: cup, Entry: "9"})
	refused(t, err, pb.ErrorReason_NOT_NOW)
	must(r.ErasePerson(organiser(t), &pb.ErasePersonRequest{Event: cup, Entry: "1"})) // whose name stands apart
}

// Facts have no name inside, nor has the id of a request: its digest is made with
// salts that go with the name.
func TestNothingOfAPersonStays(t *testing.T) {
	r := newCup(t)
	add := &pb.AddEntryRequest{Event: cup, Category: category, Name: "Zora Invented", Club: "Nowhere", RequestId: "a"}
	must(r.AddEntry(organiser(t), add))
	again := &pb.UpdateEntryRequest{Event: cup, Entry: "4", Name: new("Zora Invented"), RequestId: "b"} // changes nothing
	must(r.UpdateEntry(organiser(t), again))
	digests := map[string]bool{}
	for range 2 { // the same requests in other events
		twin := newCup(t)
		must(twin.AddEntry(organiser(t), add))
		must(twin.UpdateEntry(organiser(t), again))
		for _, record := range twin.records(t) {
			digests[record.RequestID] = true
		}
	}
	must(r.ErasePerson(organiser(t), &pb.ErasePersonRequest{Event: cup, Entry: "4"}))
	for _, record := range r.records(t) {
		if bytes.Contains(record.Body, []byte("Zora")) || bytes.Contains(record.Apart, []byte("Zora")) {
			t.Errorf("record %d has the name: %+v", record.Seq, record)
		}
		if caller, _, ok := strings.Cut(record.RequestID, "#"); ok && (caller == "a" || caller == "b") {
			if record.Apart != nil {
				t.Errorf("record %d still has the salt of its request", record.Seq)
			}
			if digests[record.RequestID] {
				t.Errorf("the digest %s can be made from the request alone", record.RequestID)
			}
		}
	}
	e := must(r.UpdateEntry(organiser(t), &pb.UpdateEntryRequest{Event: cup, Entry: "4", Club: new("Lake")})).GetEntry()
	if e.GetName() != "entry 4" || e.GetClub() != "Lake" {
		t.Errorf("a club after it was erased: %v", e)
	}
	must(r.ErasePerson(organiser(t), &pb.ErasePersonRequest{Event: cup, Entry: "4"}))
	if e := r.entries(t)[3]; e.GetClub() != "" {
		t.Errorf("erased again: %v", e)
	}
	last := r.last(t)
	must(r.ErasePerson(organiser(t), &pb.ErasePersonRequest{Event: cup, Entry: "4"})) // nothing is left to erase
	if r.last(t) != last {
		t.Error("erasing nothing has written a fact")
	}
}

// unerasing is a log that fails to erase.
type unerasing struct{ store.Log }

func (unerasing) Erase(context.Context, string, []uint64) error { return store.ErrUnavailable }

// A crash between the fact that says it and the erasing is made good by the caller
// who repeats the call, or by the next start.
func TestErasingIsCaughtUp(t *testing.T) {
	for name, next := range map[string]func(*testing.T, *rink){
		"repeated": func(t *testing.T, r *rink) {
			t.Helper()
			must(r.ErasePerson(organiser(t), &pb.ErasePersonRequest{Event: cup, Entry: "2", RequestId: "e"}))
		},
		"started again": func(t *testing.T, r *rink) {
			t.Helper()
			if err := host.NewBook(r.log, nil).Check(t.Context()); err != nil {
				t.Fatal(err)
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			r := newCup(t)
			name := r.entries(t)[1].GetName()
			holds := func() bool {
				for _, record := range r.records(t) {
					if bytes.Contains(record.Apart, []byte(name)) {
						return true
					}
				}
				return false
			}
			failing := api.New(host.NewBook(unerasing{r.log}, nil), r.tables)
			_, err := failing.ErasePerson(organiser(t), &pb.ErasePersonRequest{Event: cup, Entry: "2", RequestId: "e"})
			refused(t, err, pb.ErrorReason_STORE_UNAVAILABLE)
			if !holds() {
				t.Fatal("it was erased although that failed")
			}
			if _, err := failing.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Dora Invented"}); err != nil {
				t.Errorf("other changes wait for the erasing: %v", err)
			}
			if e := r.entries(t)[1]; e.GetName() != "entry 2" {
				t.Errorf("meanwhile it is shown as %v", e)
			}
			next(t, r)
			if holds() {
				t.Error("the name is still in the log")
			}
		})
	}
}

// Scores and places are the same with and without names, and so is the chain.
func TestScoresWithoutNames(t *testing.T) {
	r := started(t)
	for i, entry := range []string{"1", "2", "3"} {
		r.skate(t, short, entry, int32(i%2))
	}
	standing := func() *pb.SegmentStanding {
		s := must(r.GetSegmentStanding(referee(t), &pb.GetSegmentStandingRequest{Event: cup, Category: category, Segment: short})).GetStanding()
		for _, p := range s.GetPlaces() {
			p.Name, p.Club = "", ""
		}
		return s
	}
	before, end := standing(), r.records(t)
	for _, entry := range []string{"1", "2", "3"} {
		must(r.ErasePerson(organiser(t), &pb.ErasePersonRequest{Event: cup, Entry: entry}))
	}
	if after := standing(); !proto.Equal(before, after) {
		t.Errorf("the standing was %v and is %v", before, after)
	}
	after := r.records(t)
	for i := range end {
		if after[i].Hash != end[i].Hash {
			t.Fatalf("record %d has another hash", i+1)
		}
	}
}

// BenchmarkFold reads a whole event and folds it, and, to compare, checks the chain
// of hashes alone.
func BenchmarkFold(b *testing.B) {
	r, id := newRink(b), ""
	play := &demo.Event{Service: r, Seed: 3, Today: day, Started: func(e string) { id = e }}
	if err := play.Play(b.Context()); err != nil {
		b.Fatal(err)
	}
	records := must(store.Records(b.Context(), r.log, id))
	b.Run("fold", func(b *testing.B) {
		for b.Loop() {
			s := &event.State{ID: id}
			for i := range records {
				if err := s.Apply(&records[i]); err != nil {
					b.Fatal(err)
				}
			}
		}
		b.ReportMetric(float64(len(records)), "facts")
	})
	b.Run("chain", func(b *testing.B) {
		for b.Loop() {
			var head store.Head
			for i := range records {
				if err := records[i].Follows(head); err != nil {
					b.Fatal(err)
				}
				head = records[i].Head()
			}
		}
	})
}
