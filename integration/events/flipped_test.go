package events_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
)

// Thirty bytes of the file of events change, as on a failing disk. Whatever they hit,
// an event is read as it was, or says that it is damaged, or is not read at all.
func TestFlippedBytes(t *testing.T) {
	kept := filepath.Join(t.TempDir(), "data")
	s := start(t, func(c *config.Config) { c.Data = kept })
	for i := range 4 {
		makeCup(t, s, s.admin, fmt.Sprintf("cup-%d", i))
	}
	play(t, newDesk("desk", s.admin, s.conn(t)))
	s.stop()
	whole, err := os.ReadFile(filepath.Join(kept, "events.db"))
	if err != nil {
		t.Fatal(err)
	}
	before, failed := shown(t, kept)
	if len(before) != 5 || failed > 0 {
		t.Fatalf("%d events are shown before, %d not", len(before), failed)
	}
	marked, refused, asBefore := 0, 0, 0
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 1))
		bytes := append([]byte{}, whole...)
		for range 30 {
			bytes[random.IntN(len(bytes))] ^= byte(1 + random.IntN(255))
		}
		data := t.TempDir()
		if err := os.WriteFile(filepath.Join(data, "events.db"), bytes, 0o600); err != nil {
			t.Fatal(err)
		}
		after, failed := shown(t, data)
		refused += failed
		for id, event := range after {
			switch {
			case event.damaged:
				marked++
			case proto.Equal(event.event, before[id].event) && event.standings == before[id].standings:
				asBefore++
			default:
				t.Errorf("seed %d: %s was\n%v\nand is, without a mark,\n%v", seed, id, before[id], event)
			}
		}
	}
	t.Logf("%d events as before, %d marked, %d not read", asBefore, marked, refused)
	if marked == 0 || asBefore == 0 {
		t.Errorf("%d events as before, %d marked: the test shows nothing", asBefore, marked)
	}
}

// show is what is read of an event.
type show struct {
	event     *pb.Event
	standings string
	damaged   bool
}

// shown reads every event of a folder, and counts those that cannot be read.
func shown(t *testing.T, data string) (map[string]show, int) {
	t.Helper()
	all := map[string]show{}
	desk, err := app.OpenDesk(t.Context(), config.Config{Data: data}, true)
	if err != nil {
		return all, 1
	}
	defer desk.Close()
	ctx, events := t.Context(), desk.Events()
	list, err := events.ListEvents(ctx, &pb.ListEventsRequest{})
	if err != nil {
		return all, 1
	}
	failed := 0
	for _, summary := range list.GetEvents() {
		id := summary.GetEvent()
		res, err := events.GetEvent(ctx, &pb.GetEventRequest{Event: id})
		if err != nil {
			failed++
			continue
		}
		one := show{event: res.GetEvent(), damaged: summary.GetDamaged()}
		for _, c := range one.event.GetCategories() {
			final, err := events.GetFinalStanding(ctx, &pb.GetFinalStandingRequest{Event: id, Category: c.GetCategory()})
			one.standings += fmt.Sprint(final, err)
		}
		all[id] = one
	}
	return all, failed
}
