package events_test

import (
	"context"
	"database/sql"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/store/storetest"
)

// place is where servers of a test keep events: a folder or a database, with the
// ways around them.
type place struct {
	use     func(*config.Config)
	exec    func(t *testing.T, statement string)          // SQL that no server would carry out
	holding func(t *testing.T, text string) (in []string) // files of the tables that hold a text
}

func folder(t *testing.T) place {
	t.Helper()
	data := t.TempDir()
	return place{
		use: func(c *config.Config) { c.Data = data },
		exec: func(t *testing.T, statement string) {
			t.Helper()
			db, err := sql.Open("sqlite", filepath.Join(data, "events.db"))
			if err != nil {
				t.Fatal(err)
			}
			defer db.Close()
			for _, text := range []string{"DROP TRIGGER log_keep_update", "DROP TRIGGER log_keep_delete", statement} {
				if _, err := db.ExecContext(t.Context(), text); err != nil {
					t.Fatalf("%s: %v", text, err)
				}
			}
		},
		holding: func(t *testing.T, text string) []string { t.Helper(); return storetest.Holding(t, data, text) },
	}
}

func postgres(t *testing.T) place {
	t.Helper()
	cluster := newCluster(t)
	url := cluster.URL("postgres")
	exec := func(t *testing.T, statements ...string) {
		t.Helper()
		ctx := context.WithoutCancel(t.Context())
		db, err := pgx.Connect(ctx, url)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close(ctx)
		for _, text := range statements {
			if _, err := db.Exec(ctx, text); err != nil {
				t.Fatalf("%s: %v", text, err)
			}
		}
	}
	return place{
		use: inDatabase(url),
		exec: func(t *testing.T, statement string) {
			t.Helper()
			exec(t, "ALTER TABLE log DISABLE TRIGGER log_keep", statement)
		},
		holding: func(t *testing.T, text string) []string {
			t.Helper()
			exec(t, "ANALYZE", "CHECKPOINT")
			return storetest.Holding(t, filepath.Join(cluster.Data(), "base"), text)
		},
	}
}

var places = map[string]func(*testing.T) place{"SQLite": folder, "PostgreSQL": postgres}

// makeCup makes an event with two entries, of five facts.
func makeCup(t *testing.T, s *server, admin, id string) {
	t.Helper()
	ctx, events := with(t.Context(), admin), pb.NewEventServiceClient(s.conn(t))
	must(events.CreateEvent(ctx, &pb.CreateEventRequest{Event: id, Name: id, StartDate: "2026-03-14", Season: "2025-26"}))
	must(events.SetPanel(ctx, &pb.SetPanelRequest{Event: id, Panel: &pb.EventPanel{Judges: 3}}))
	must(events.SetCategory(ctx, &pb.SetCategoryRequest{Event: id, Category: "senior-women"}))
	for _, name := range []string{"Ada Invented", "Bea Invented"} {
		must(events.AddEntry(ctx, &pb.AddEntryRequest{Event: id, Category: "senior-women", Name: name, Club: "Club of " + name}))
	}
}

// page reads a page of a server's HTTP port.
func page(t *testing.T, s *server, path string) string {
	t.Helper()
	res, err := http.Get("http://" + s.HTTPAddr() + path)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// await waits until a page of a server has a text.
func await(t *testing.T, s *server, path, want string) {
	t.Helper()
	for end := time.Now().Add(patience); ; time.Sleep(10 * time.Millisecond) {
		text := page(t, s, path)
		if strings.Contains(text, want) {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("%s never has %q:\n%s", path, want, text)
		}
	}
}

// An event whose log is damaged, by a changed record or by a missing end, is refused
// for writing and marked in all that is read of it; the server says so by itself
// when it has started; and the other events go on.
func TestDamagedEvent(t *testing.T) {
	damages := map[string]struct {
		statement string
		whole     uint64 // records ahead of the damage
	}{
		"a changed record": {"UPDATE log SET kind = 'NothingChanged' WHERE stream = 'bad-cup' AND seq = 5", 4},
		"no end":           {"DELETE FROM log WHERE stream = 'bad-cup' AND seq > 3", 3},
		"another end":      {"UPDATE log_head SET hash = (SELECT hash FROM log WHERE stream = 'bad-cup' AND seq = 1) WHERE stream = 'bad-cup'", 4},
		"no facts at all":  {"DELETE FROM log WHERE stream = 'bad-cup'", 0},
	}
	for name, at := range places {
		t.Run(name, func(t *testing.T) {
			for what, damage := range damages {
				t.Run(what, func(t *testing.T) {
					kept := at(t)
					s := start(t, kept.use)
					admin := s.admin
					makeCup(t, s, admin, "bad-cup")
					makeCup(t, s, admin, "good-cup")
					s.stop()
					kept.exec(t, damage.statement)
					s = start(t, kept.use)
					await(t, s, "/readyz", "the logs of 1 events are damaged and refused for writing: bad-cup")
					await(t, s, "/metrics", "rinktally_events_damaged 1")
					checkDamaged(t, s, admin, damage.whole)
					if text := page(t, s, "/readyz"); !strings.Contains(text, `"ok":true,"detail":"`) {
						t.Errorf("readyz: %s", text)
					}
				})
			}
		})
	}
}

func checkDamaged(t *testing.T, s *server, admin string, whole uint64) {
	t.Helper()
	ctx, events := with(t.Context(), admin), pb.NewEventServiceClient(s.conn(t))
	add := func(event string) error {
		_, err := events.AddEntry(ctx, &pb.AddEntryRequest{Event: event, Category: "senior-women", Name: "Cleo Invented"})
		return err
	}
	if err := add("bad-cup"); reason(err) != pb.ErrorReason_EVENT_DAMAGED.String() || status.Code(err) != codes.DataLoss {
		t.Errorf("writing: %v", err)
	}
	if err := add("good-cup"); err != nil {
		t.Errorf("writing to another event: %v", err)
	}
	list := must(events.ListEvents(ctx, &pb.ListEventsRequest{})).GetEvents()
	if len(list) != 2 || !list[0].GetDamaged() || list[1].GetDamaged() {
		t.Errorf("the list is %v", list)
	}
	res, err := events.GetEvent(ctx, &pb.GetEventRequest{Event: "bad-cup"})
	if whole == 0 {
		if reason(err) != pb.ErrorReason_EVENT_DAMAGED.String() {
			t.Errorf("reading: %v", err)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	e := res.GetEvent()
	if w := e.GetWarnings(); len(w) != 1 || w[0].GetCode() != "EVENT_DAMAGED" || e.GetSequence() != whole {
		t.Errorf("read at sequence %d with warnings %v", e.GetSequence(), w)
	}
	facts := must(events.ListFacts(ctx, &pb.ListFactsRequest{Event: "bad-cup"})).GetFacts()
	if uint64(len(facts)) != whole {
		t.Errorf("%d facts are listed, %d are whole", len(facts), whole)
	}
	_, err = pb.NewScoreboardServiceClient(s.conn(t)).GetScoreboard(ctx, &pb.GetScoreboardRequest{Event: "bad-cup"})
	if err != nil && reason(err) != pb.ErrorReason_EVENT_DAMAGED.String() {
		t.Errorf("the scoreboard: %v", err)
	}
}

// Who a competitor is can be erased: the name is gone from what is read, from the
// files of the database and from the repetition of the request that brought it; the
// rest stays, and so does the chain of hashes, also after another start.
func TestErasePerson(t *testing.T) {
	for name, at := range places {
		t.Run(name, func(t *testing.T) {
			kept := at(t)
			s := start(t, kept.use)
			admin := s.admin
			makeCup(t, s, admin, "spring-cup")
			ctx, events := with(t.Context(), admin), pb.NewEventServiceClient(s.conn(t))
			const person = "Zora Invented-Secret of Nowhere"
			add := &pb.AddEntryRequest{Event: "spring-cup", Category: "senior-women", Name: person + " 1", Club: "Club " + person, RequestId: "add"}
			must(events.AddEntry(ctx, add))
			must(events.UpdateEntry(ctx, &pb.UpdateEntryRequest{Event: "spring-cup", Entry: "3", Name: new(person + " 2")}))
			must(events.UpdateEntry(ctx, &pb.UpdateEntryRequest{Event: "spring-cup", Entry: "3", Name: new(person + " 2"), RequestId: "again"}))
			must(events.WithdrawEntry(ctx, &pb.WithdrawEntryRequest{Event: "spring-cup", Entry: "3", Reason: person + " is ill"}))
			other := proto.CloneOf(add)
			other.Name = "Somebody Else"
			if _, err := events.AddEntry(ctx, other); reason(err) != pb.ErrorReason_REQUEST_ID_REUSED.String() {
				t.Errorf("another person under the same request id: %v", err)
			}
			if len(kept.holding(t, person)) == 0 {
				t.Error("the name is in no file before it is erased, so that the test shows nothing")
			}

			viewer := must(events.CreateToken(ctx, &pb.CreateTokenRequest{Event: "spring-cup", Role: pb.Role_REFEREE})).GetToken()
			if _, err := events.ErasePerson(with(t.Context(), viewer), &pb.ErasePersonRequest{Event: "spring-cup", Entry: "3"}); status.Code(err) != codes.PermissionDenied {
				t.Errorf("by the referee: %v", err)
			}
			erase := &pb.ErasePersonRequest{Event: "spring-cup", Entry: "3", RequestId: "erase"}
			first := must(events.ErasePerson(ctx, erase))
			if again := must(pb.NewEventServiceClient(s.rest()).ErasePerson(ctx, erase)); again.GetSequence() != first.GetSequence() {
				t.Errorf("repeated: %v, first %v", again, first)
			}
			if e := first.GetEntry(); e.GetName() != "entry 3" || e.GetClub() != "" || e.GetReason() != "" || e.GetStatus() != pb.CompetitorStatus_WITHDRAWN {
				t.Errorf("erased: %v", e)
			}
			if found := kept.holding(t, person); len(found) > 0 {
				t.Errorf("the name is still in %q", found)
			}
			for _, start := range []func() *server{func() *server { return s }, func() *server { s.stop(); return start(t, kept.use) }} {
				s := start()
				events := pb.NewEventServiceClient(s.conn(t))
				entries := must(events.ListEntries(ctx, &pb.ListEntriesRequest{Event: "spring-cup"})).GetEntries()
				facts := must(events.ListFacts(ctx, &pb.ListFactsRequest{Event: "spring-cup"})).GetFacts()
				shown := fmt.Sprint(entries, facts)
				if strings.Contains(shown, person) || !strings.Contains(shown, "Ada Invented") || entries[2].GetName() != "entry 3" {
					t.Errorf("shown is %s", shown)
				}
				// The request that brought the name is known without it.
				if res, err := events.AddEntry(ctx, add); err != nil || res.GetEntry().GetName() != "entry 3" {
					t.Errorf("repeated: %v, %v", res, err)
				}
				await(t, s, "/metrics", "rinktally_events_damaged 0")
			}
		})
	}
}
