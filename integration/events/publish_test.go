package events_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/copies"
)

const publishToken = "lakeside-rink-0123456789"

// link is the way from a rink to the world: what connects to it is passed on, until it
// is cut.
type link struct {
	port net.Listener

	mu    sync.Mutex
	to    string
	cut   bool
	conns []net.Conn
	made  int // connections that were passed on
	most  int // of them at the same time
	open  int
}

func newLink(t *testing.T, to string) *link {
	t.Helper()
	l := &link{port: must(net.Listen("tcp", "127.0.0.1:0")), to: to}
	t.Cleanup(func() { _ = l.port.Close() })
	go func() {
		for {
			conn, err := l.port.Accept()
			if err != nil {
				return
			}
			go l.pass(conn)
		}
	}()
	return l
}

func (l *link) url() string { return "http://" + l.port.Addr().String() }

func (l *link) pass(conn net.Conn) {
	defer conn.Close()
	l.mu.Lock()
	to, cut := l.to, l.cut
	l.mu.Unlock()
	if cut {
		return
	}
	far, err := net.Dial("tcp", to)
	if err != nil {
		return
	}
	defer far.Close()
	l.mu.Lock()
	l.conns = append(l.conns, conn, far)
	l.made++
	l.open++
	l.most = max(l.most, l.open)
	l.mu.Unlock()
	done := make(chan struct{}, 2)
	for _, way := range [][2]net.Conn{{conn, far}, {far, conn}} {
		go func() {
			_, _ = io.Copy(way[0], way[1])
			done <- struct{}{}
		}()
	}
	<-done
	l.mu.Lock()
	l.open--
	l.mu.Unlock()
}

// set cuts the link or mends it, to an address.
func (l *link) set(cut bool, to string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.cut, l.to = cut, to
	for _, c := range l.conns {
		_ = c.Close()
	}
	l.conns = nil
}

// An event that is run at a rink is shown by another server, over a link that is cut
// again and again: what everybody is answered there is what the rink answers, byte for
// byte, and nobody can change it there.
func TestPublishedEvent(t *testing.T) {
	accept := func(c *config.Config) { c.AcceptPublishTokens = []string{"somebody-else-0123456789", publishToken} }
	data := t.TempDir()
	far := start(t, accept, func(c *config.Config) { c.Data = data })
	admin := far.admin
	wire := newLink(t, far.HTTPAddr())
	near := start(t, func(c *config.Config) { c.PublishTo, c.PublishToken = wire.url(), publishToken })
	d := newDesk("desk", near.admin, near.conn(t))
	// Another one that everybody may read, which is cut off later.
	other := must(pb.NewEventServiceClient(near.conn(t)).CreateEvent(with(t.Context(), near.admin), &pb.CreateEventRequest{Name: "Other Cup", StartDate: "2026-03-14", Season: "2025-26"})).GetEvent().GetEvent()
	event := ""
	shown := make(chan *pb.Scoreboard, 1)
	d.before = func(calls int) {
		switch calls {
		case 150, 700:
			wire.set(true, "")
		case 250, 800:
			wire.set(false, far.HTTPAddr())
		case 400:
			awaitSame(t, near, far, event) // whatever was cut before
		case 500:
			far.stop()
			far = start(t, accept, func(c *config.Config) { c.Data = data })
			awaitCopy(t, far, event) // from its folder
			wire.set(false, far.HTTPAddr())
			go watchCopy(t, far.GRPCAddr(), event, shown)
		}
	}
	play(t, d, func(e string) { event = e })
	awaitSame(t, near, far, event)
	if board := <-shown; !official(board) || board.GetSequence() != must(pb.NewScoreboardServiceClient(near.conn(t)).GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: event})).GetScoreboard().GetSequence() {
		t.Errorf("who watched the copy saw at the end %v", board)
	}
	for _, path := range append(publicPaths(t, near, event), "/v1/events/"+event+"/scoreboard/places") {
		a, b := get(t, near, path), get(t, far, path)
		if !bytes.Equal(a, b) {
			t.Errorf("%s: the rink answers\n%.2000s\nthe copy\n%.2000s", path, a, b)
		}
	}
	if wire.most != 1 {
		t.Errorf("%d connections at once", wire.most)
	}
	t.Logf("%d connections, %d public answers", wire.made, len(publicPaths(t, near, event)))
	checkCopyTakesNothing(t, far, admin, event)
	list := must(pb.NewEventServiceClient(far.conn(t)).ListEvents(t.Context(), &pb.ListEventsRequest{PageSize: 1}))
	if len(list.GetEvents()) != 1 || list.GetNextPageToken() == "" {
		t.Errorf("the first page of events is %v", list)
	}

	// The other event is no longer for everybody, so that it is taken off.
	must(pb.NewEventServiceClient(near.conn(t)).UpdateEvent(with(t.Context(), near.admin), &pb.UpdateEventRequest{Event: other, Restricted: new(true)}))
	until(t, func() (string, bool) {
		_, err := pb.NewEventServiceClient(far.conn(t)).GetEvent(t.Context(), &pb.GetEventRequest{Event: other})
		return fmt.Sprint("the restricted event: ", err), reason(err) == "EVENT_UNKNOWN"
	})
	if _, err := pb.NewEventServiceClient(far.conn(t)).GetEvent(t.Context(), &pb.GetEventRequest{Event: event}); err != nil {
		t.Errorf("the event beside it: %v", err)
	}
}

// watchCopy watches the copy with the client until every result is official.
func watchCopy(t *testing.T, addr, event string, shown chan<- *pb.Scoreboard) {
	c := must(client.New(addr, client.WithPlaintext()))
	defer c.Close()
	var last *pb.Scoreboard
	for board, err := range c.WatchScoreboard(t.Context(), &pb.WatchScoreboardRequest{Event: event}) {
		if err != nil || board.GetCopy() == nil || board.GetSequence() < last.GetSequence() {
			t.Errorf("behind board %d: %v, %v", last.GetSequence(), board, err)
			break
		}
		if last = board; official(board) {
			break
		}
	}
	shown <- last
}

// A wrong token is refused with what to do, at the rink's organiser; and so is an id
// that the other server or another rink has.
func TestPublishingIsRefused(t *testing.T) {
	const another = "northpond-rink-0123456789"
	far := start(t, func(c *config.Config) { c.AcceptPublishTokens = []string{publishToken, another} })
	near := start(t, func(c *config.Config) { c.PublishTo, c.PublishToken = far.base(), "some-other-text-0123456789" })
	for _, s := range []*server{near, far} {
		must(pb.NewEventServiceClient(s.conn(t)).CreateEvent(with(t.Context(), s.admin), &pb.CreateEventRequest{Event: "spring-cup", Name: "Spring Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	}
	until(t, func() (string, bool) {
		state := must(pb.NewCopyServiceClient(near.conn(t)).GetPublication(with(t.Context(), near.admin), &pb.GetPublicationRequest{Event: "spring-cup"}))
		return state.String(), strings.Contains(state.GetFault(), "compare the two") && state.GetAddress() == far.base()+"/events/spring-cup"
	})
	board := must(copies.Pack(copies.Scoreboard, &pb.GetScoreboardRequest{Event: "town-cup"}, &pb.GetScoreboardResponse{Scoreboard: &pb.Scoreboard{Event: "town-cup"}}))
	made := &pb.UpdateCopyRequest{Event: "town-cup", Sequence: 1, Answers: []*pb.CopiedAnswer{board}}
	must(pb.NewCopyServiceClient(far.conn(t)).UpdateCopy(with(t.Context(), publishToken), made))
	for name, c := range map[string]struct {
		at           *server
		token        string
		req          *pb.UpdateCopyRequest
		reason, says string
	}{
		"no token":                     {far, "", made, "UNAUTHENTICATED", "compare the two"},
		"an administrator's token":     {far, far.admin, made, "UNAUTHENTICATED", "compare the two"},
		"a server that takes none":     {near, publishToken, made, "UNAUTHENTICATED", "start it with --accept-publish-token"},
		"another rink's event":         {far, another, made, "EVENT_EXISTS", "another rink sends"},
		"an event of the other server": {far, publishToken, &pb.UpdateCopyRequest{Event: "spring-cup", Answers: made.GetAnswers()}, "EVENT_EXISTS", "of its own"},
		"no id":                        {far, publishToken, &pb.UpdateCopyRequest{Event: "No Id"}, "EVENT_UNKNOWN", "no event"},
		"another event's board":        {far, publishToken, &pb.UpdateCopyRequest{Event: "lake-cup", Answers: made.GetAnswers()}, "FIELD_INVALID", "on event lake-cup"},
		"no board": {far, publishToken, &pb.UpdateCopyRequest{Event: "lake-cup", Answers: []*pb.CopiedAnswer{
			must(copies.Pack("GetCaller", &pb.GetCallerRequest{Event: "lake-cup"}, &pb.GetCallerResponse{})),
		}}, "FIELD_REQUIRED", "GetScoreboard"},
		"a call that is not public": {far, publishToken, &pb.UpdateCopyRequest{Event: "lake-cup", Answers: []*pb.CopiedAnswer{{Call: "ListTokens"}}}, "FIELD_INVALID", "GetEvent"},
	} {
		for _, conn := range c.at.both(t) {
			_, err := pb.NewCopyServiceClient(conn).UpdateCopy(with(t.Context(), c.token), c.req)
			if reason(err) != c.reason || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

// publishedKilled kills both ends, as kill -9 does, while an event is run: at the end
// the copy is what the rink has.
func publishedKilled(t *testing.T, p program) {
	nearData, farData := t.TempDir(), t.TempDir()
	admin := p.Admin(t, "--data", nearData)
	serveFar := func() *process { return p.serve(t, "--data", farData, "--accept-publish-token", publishToken) }
	far := serveFar()
	wire := newLink(t, strings.TrimPrefix(far.HTTP, "http://"))
	serveNear := func(token string) *process {
		return p.serve(t, "--data", nearData, "--publish-to", wire.url(), "--publish-token", token)
	}
	near := serveNear("some-other-text-0123456789")
	d := newDesk("desk", admin, dial(t, near.GRPC))
	event := ""
	d.before = func(calls int) {
		switch calls {
		case 200: // the token is wrong: the log says so
			until(t, func() (string, bool) {
				state := must(pb.NewCopyServiceClient(dial(t, near.GRPC)).GetPublication(with(t.Context(), admin), &pb.GetPublicationRequest{Event: event}))
				return state.String(), state.GetFault() != ""
			})
			near.Kill()
			if !strings.Contains(near.Log.String(), "--accept-publish-token") || strings.Contains(near.Log.String(), "some-other-text") {
				t.Errorf("the log says\n%s", near.Log.String())
			}
			near = serveNear(publishToken)
		case 350, 650:
			far.Kill()
			far = serveFar()
			wire.set(false, strings.TrimPrefix(far.HTTP, "http://"))
			return
		case 500, 800:
			near.Kill()
			near = serveNear(publishToken)
		default:
			return
		}
		d.servers = []pb.EventServiceClient{pb.NewEventServiceClient(dial(t, near.GRPC))}
	}
	play(t, d, func(e string) { event = e })
	awaitSame(t, near, far, event)
	near.Kill() // the rink goes home
	far.Kill()
	far = serveFar()
	awaitCopy(t, far, event)
	near = serveNear(publishToken)
	awaitSame(t, near, far, event)
	for _, path := range publicPaths(t, near, event) {
		if a, b := get(t, near, path), get(t, far, path); !bytes.Equal(a, b) {
			t.Errorf("%s: the rink answers\n%.2000s\nthe copy\n%.2000s", path, a, b)
		}
	}
}

// pageHost is a server as pages see it.
type pageHost interface{ base() string }

func (s *server) base() string  { return "http://" + s.HTTPAddr() }
func (s *process) base() string { return s.HTTP }

// get returns the type and body of an answer; of a scoreboard without how old it is.
func get(t testing.TB, s pageHost, path string) []byte {
	t.Helper()
	res := must(http.Get(s.base() + path))
	defer res.Body.Close()
	body := must(io.ReadAll(res.Body))
	if res.StatusCode != http.StatusOK {
		return fmt.Appendf(nil, "%s\n%s", res.Status, body)
	}
	if strings.HasSuffix(path, "/scoreboard") {
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(body, &fields); err != nil {
			t.Fatal(err)
		}
		var board map[string]json.RawMessage
		if err := json.Unmarshal(fields["scoreboard"], &board); err != nil {
			t.Fatal(err)
		}
		delete(board, "copy")
		body = must(json.Marshal(board))
	}
	return append([]byte(res.Header.Get("Content-Type")+" "+res.Header.Get("Content-Disposition")+"\n"), body...)
}

// publicPaths are what everybody can ask of an event and is answered.
func publicPaths(t *testing.T, s pageHost, event string) []string {
	t.Helper()
	at := "/v1/events/" + event
	paths := []string{at, at + "/scoreboard", at + "/caller", at + "/entries", at + "/entries:export"}
	var of struct {
		Event struct {
			Categories []struct {
				Category string
				Segments []struct {
					Segment string
					Order   []struct{ Entry string }
				}
			}
		}
	}
	res := must(http.Get(s.base() + at))
	defer res.Body.Close()
	if err := json.NewDecoder(res.Body).Decode(&of); err != nil {
		t.Fatal(err)
	}
	for _, c := range of.Event.Categories {
		category := at + "/categories/" + c.Category
		paths = append(paths, category+"/standing", at+"/entries?category="+c.Category)
		for _, format := range []string{"", "PDF", "CSV"} {
			paths = append(paths, category+"/documents/FINAL_RESULT?format="+format)
		}
		for _, g := range c.Segments {
			segment := category + "/segments/" + g.Segment
			paths = append(paths, segment+"/standing")
			for _, document := range []string{"STARTING_ORDER", "SEGMENT_RESULT", "SCORE_SHEETS"} {
				for _, format := range []string{"PDF", "CSV"} {
					paths = append(paths, category+"/documents/"+document+"?segment="+g.Segment+"&format="+format)
				}
			}
			for _, place := range g.Order {
				paths = append(paths, segment+"/performances/"+place.Entry)
			}
		}
	}
	return paths
}

// awaitSame waits until the copy is as far as the rink.
func awaitSame(t testing.TB, near, far pageHost, event string) {
	t.Helper()
	until(t, func() (string, bool) {
		a, b := get(t, near, "/v1/events/"+event), get(t, far, "/v1/events/"+event)
		return fmt.Sprintf("the rink is at\n%.500s\nthe copy at\n%.500s", a, b), bytes.Equal(a, b)
	})
}

// awaitCopy waits until a server shows a copy, with the time when the rink was heard.
func awaitCopy(t *testing.T, far pageHost, event string) {
	t.Helper()
	res := must(http.Get(far.base() + "/v1/events/" + event + "/scoreboard"))
	defer res.Body.Close()
	var of struct {
		Scoreboard struct{ Copy struct{ HeardTime string } }
	}
	if err := json.NewDecoder(res.Body).Decode(&of); err != nil || of.Scoreboard.Copy.HeardTime == "" {
		t.Errorf("the server that started again shows %+v, %v", of, err)
	}
}

// until waits until something holds, and says what did not.
func until(t testing.TB, holds func() (string, bool)) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	for {
		what, ok := holds()
		if ok {
			return
		}
		if ctx.Err() != nil {
			t.Fatalf("it does not come to hold: %s", what)
		}
		pause(ctx)
	}
}

// checkCopyTakesNothing tries to change a copied event, over both ways.
func checkCopyTakesNothing(t *testing.T, far *server, admin, event string) {
	t.Helper()
	for _, conn := range far.both(t) {
		events := pb.NewEventServiceClient(conn)
		ctx := with(t.Context(), admin)
		for name, call := range map[string]func() error{
			"AddEntry": func() error {
				_, err := events.AddEntry(ctx, &pb.AddEntryRequest{Event: event, Category: "senior-women", Name: "Ada Invented"})
				return err
			},
			"CreateEvent": func() error {
				_, err := events.CreateEvent(ctx, &pb.CreateEventRequest{Event: event, Name: "Mine", StartDate: "2026-03-14"})
				return err
			},
			"TakeSeat": func() error {
				_, err := events.TakeSeat(t.Context(), &pb.TakeSeatRequest{Event: event, Code: "ABCDEF"})
				return err
			},
			"CreateToken with the rink's own": func() error {
				_, err := events.CreateToken(with(t.Context(), "rt_"+event+"_secret"), &pb.CreateTokenRequest{Event: event, Role: pb.Role_JUDGE, Judge: 1})
				return err
			},
			"a paper that is not copied": func() error {
				_, err := events.GetDocument(ctx, &pb.GetDocumentRequest{Event: event, Category: "senior-women", Segment: short, Document: pb.Document_SCORE_SHEETS, Entry: "1"})
				return err
			},
		} {
			if err := call(); reason(err) != "EVENT_COPIED" || !strings.Contains(err.Error(), "at the rink") {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	stream, err := pb.NewEventServiceClient(far.conn(t)).WatchEvent(t.Context(), &pb.WatchEventRequest{Event: event})
	if err == nil {
		_, err = stream.Recv()
	}
	if reason(err) != "EVENT_COPIED" {
		t.Errorf("WatchEvent: %v", err)
	}
}
