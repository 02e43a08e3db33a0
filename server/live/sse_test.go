package live_test

import (
	"bufio"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/encoding/protojson"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/live"
)

// sent is one Server-Sent Event.
type sent struct {
	id, name, data string
}

// serve returns the address of the stream.
func (h *hall) serve(t testing.TB) string {
	t.Helper()
	url, _ := h.serveBy(t, (*httptest.Server).Start)
	return url
}

// serveBy returns the address of the stream on a server that start starts, and who
// can ask there.
func (h *hall) serveBy(t testing.TB, start func(*httptest.Server)) (string, *http.Client) {
	t.Helper()
	mux := http.NewServeMux()
	mux.Handle("GET /v1/events/{event}/scoreboard:watch", h.board.BoardSSE(access.NewGuard(h.book, nil, access.Join(api.Needs(), live.Needs())), func(w http.ResponseWriter, _ *http.Request, err error) {
		http.Error(w, reasonOf(err), http.StatusTeapot)
	}))
	server := httptest.NewUnstartedServer(mux)
	server.EnableHTTP2 = true // where it is asked over TLS
	start(server)
	t.Cleanup(server.Close)
	t.Cleanup(server.CloseClientConnections)
	return server.URL + "/v1/events/" + cup + "/scoreboard:watch", server.Client()
}

// listen opens a stream; next returns its events.
func listen(t testing.TB, url, lastEventID string) (next func() sent, res *http.Response) {
	t.Helper()
	return listenBy(t, http.DefaultClient, url, lastEventID)
}

func listenBy(t testing.TB, client *http.Client, url, lastEventID string) (next func() sent, res *http.Response) {
	t.Helper()
	req := must(http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil))
	if lastEventID != "" {
		req.Header.Set("Last-Event-ID", lastEventID)
	}
	res = must(client.Do(req))
	t.Cleanup(func() { _ = res.Body.Close() })
	lines := bufio.NewScanner(res.Body)
	lines.Buffer(nil, 1<<20)
	return func() sent {
		var e sent
		for lines.Scan() {
			field, value, _ := strings.Cut(lines.Text(), ": ")
			switch field {
			case "id":
				e.id = value
			case "event":
				e.name = value
			case "data":
				e.data = value
			case "":
				if e.name != "" {
					return e
				}
			}
		}
		return e
	}, res
}

// A browser gets the board, then every change, and goes on behind Last-Event-ID
// when it comes back.
func TestSSE(t *testing.T) {
	h := newHall(t, 0)
	url := h.serve(t)
	now := h.snapshotSeq(t)
	next, res := listen(t, url, "")
	if res.Header.Get("Content-Type") != "text/event-stream" || res.Header.Get("Cache-Control") != "no-store" {
		t.Errorf("headers are %v", res.Header)
	}
	first := next()
	board := &pb.Scoreboard{}
	if err := protojson.Unmarshal([]byte(first.data), board); err != nil {
		t.Fatal(err)
	}
	if first.name != "scoreboard" || first.id != fmt.Sprint(now) || board.GetSequence() != now || !strings.Contains(first.data, `"place":""`) {
		t.Errorf("first event: %v; want sequence %d, zero values written", first, now)
	}
	for i := range 3 {
		want := fmt.Sprint(h.change(t, fmt.Sprint("Club ", i)))
		if e := next(); e.id != want || e.name != "scoreboard" {
			t.Errorf("event %s %s, want %s", e.name, e.id, want)
		}
	}
	again, _ := listen(t, url, fmt.Sprint(now+1))
	for want := now + 2; want <= now+3; want++ {
		if e := again(); e.id != fmt.Sprint(want) || e.name != "scoreboard" {
			t.Errorf("resumed with %s %s, want %d", e.name, e.id, want)
		}
	}
	byQuery, _ := listen(t, url+"?afterSequence="+fmt.Sprint(now+2), "")
	if e := byQuery(); e.id != fmt.Sprint(now+3) {
		t.Errorf("resumed by query with %s, want %d", e.id, now+3)
	}
	reset, _ := listen(t, url, strconv.FormatUint(now+1000, 10))
	if e := reset(); e.name != "reset" || e.id != fmt.Sprint(now+3) {
		t.Errorf("a watcher from another log gets %s %s, want a reset", e.name, e.id)
	}
}

// A silent stream says that it lives, in a form that a page can see.
func TestSSEHeartbeat(t *testing.T) {
	h := newHall(t, 5*time.Millisecond)
	next, _ := listen(t, h.serve(t), "")
	next()
	if e := next(); e.name != "heartbeat" || e.data != fmt.Sprintf(`{"sequence":"%d","copy":null}`, h.snapshotSeq(t)) || e.id != "" {
		t.Errorf("heartbeat is %v", e)
	}
}

// A stream over HTTP/2 lives on when it is silent for longer than one write may
// take, as it does between two skaters.
func TestSSESilentOverHTTP2(t *testing.T) {
	t.Parallel() // it waits for a heartbeat that comes after the five seconds of a write
	h := newHall(t, 6*time.Second)
	url, client := h.serveBy(t, (*httptest.Server).StartTLS)
	next, res := listenBy(t, client, url, "")
	if res.ProtoMajor != 2 {
		t.Fatalf("answered by %s", res.Proto)
	}
	next()
	if e := next(); e.name != "heartbeat" {
		t.Errorf("after the board came %v, not a heartbeat", e)
	}
}

// What goes wrong before the stream begins is answered as everything else.
func TestSSERefusals(t *testing.T) {
	h := newHall(t, 0)
	url := h.serve(t)
	answer := func(url, lastEventID string) string {
		_, res := listen(t, url, lastEventID)
		body := make([]byte, 100)
		n, _ := res.Body.Read(body)
		return strings.TrimSpace(string(body[:n]))
	}
	if got := answer(strings.Replace(url, cup, "no-cup", 1), ""); got != pb.ErrorReason_EVENT_UNKNOWN.String() {
		t.Errorf("unknown event: %s", got)
	}
	if got := answer(url, "yesterday"); got != pb.ErrorReason_FIELD_INVALID.String() {
		t.Errorf("bad Last-Event-ID: %s", got)
	}
	must(h.UpdateEvent(as(t, pb.Role_ORGANISER), &pb.UpdateEventRequest{Event: cup, Restricted: new(true)}))
	if got := answer(url, ""); got != pb.ErrorReason_UNAUTHENTICATED.String() {
		t.Errorf("without a token: %s", got)
	}
	token := must(h.CreateToken(as(t, pb.Role_ORGANISER), &pb.CreateTokenRequest{Event: cup, Role: pb.Role_VIEWER})).GetToken()
	next, _ := listen(t, url+"?access_token="+token, "")
	if e := next(); e.name != "scoreboard" {
		t.Errorf("with a token in the query: %v", e)
	}
}
