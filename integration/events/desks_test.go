package events_test

import (
	"bufio"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/integration/described"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A desk's stream on a whole server: the token comes in the header alone, what may not
// be watched is refused as everything else, and a stream whose token is revoked says
// why it ends.
func TestDeskStreamOverREST(t *testing.T) {
	s := start(t)
	g := newSegment(t, newDesk("desks", s.admin, s.conn(t)))
	made := must(pb.NewEventServiceClient(s.conn(t)).CreateToken(with(t.Context(), s.admin), &pb.CreateTokenRequest{Event: watched, Role: pb.Role_REFEREE}))
	open := func(event, query, token, last string) *http.Response {
		t.Helper()
		req := must(http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+s.HTTPAddr()+"/v1/events/"+event+query, http.NoBody))
		if token != "" {
			req.Header.Set("Authorization", "Bearer "+token)
		}
		req.Header.Set("Last-Event-ID", last)
		res := must(described.Client.Do(req))
		t.Cleanup(func() { _ = res.Body.Close() })
		return res
	}
	for what, c := range map[string]struct {
		res    *http.Response
		status int
		reason string
	}{
		"a token in the address":  {open(watched+":watch", "?access_token="+made.GetToken(), "", ""), http.StatusUnauthorized, "UNAUTHENTICATED"},
		"an unknown token":        {open(watched+":watch", "", "rt_"+watched+"_no", ""), http.StatusUnauthorized, "UNAUTHENTICATED"},
		"an unknown event":        {open("no-cup:watch", "", "", ""), http.StatusNotFound, "EVENT_UNKNOWN"},
		"no sequence number":      {open(watched+":watch", "", "", "yesterday"), http.StatusBadRequest, "FIELD_INVALID"},
		"changes that are unsaid": {open(watched+"/scoreboard:watch", "?changes=perhaps", "", ""), http.StatusBadRequest, "FIELD_INVALID"},
		"the event itself":        {open(watched, "", made.GetToken(), ""), http.StatusOK, `"event"`},
	} {
		if body := string(must(io.ReadAll(c.res.Body))); c.res.StatusCode != c.status || !strings.Contains(body, c.reason) {
			t.Errorf("%s: HTTP %d, %s", what, c.res.StatusCode, body)
		}
	}

	res := open(watched+":watch", "", made.GetToken(), "")
	if kind := res.Header.Get("Content-Type"); res.StatusCode != http.StatusOK || kind != "text/event-stream" {
		t.Fatalf("HTTP %d, %s", res.StatusCode, kind)
	}
	lines := bufio.NewScanner(res.Body)
	lines.Buffer(nil, 1<<20)
	next := func() (id, name, data string) {
		for lines.Scan() && (name == "" || lines.Text() != "") {
			field, value, _ := strings.Cut(lines.Text(), ": ")
			switch field {
			case "id":
				id = value
			case "event":
				name = value
			case "data":
				data = value
			}
		}
		return id, name, data
	}
	if id, name, data := next(); name != "change" || !strings.Contains(data, `"sequence":"`+id+`"`) || !strings.Contains(data, `"tokens"`) || strings.Contains(data, `"performance"`) {
		t.Errorf("it begins with %s %s: %s", name, id, data)
	}
	p := g.call()
	if id, name, data := next(); name != "change" || id == "" || !strings.Contains(data, fmt.Sprintf(`"entry":"%s"`, p.GetEntry())) || strings.Contains(data, `"entries"`) {
		t.Errorf("who is called comes as %s %s: %s", name, id, data)
	}
	must(pb.NewEventServiceClient(s.conn(t)).RevokeToken(with(t.Context(), s.admin), &pb.RevokeTokenRequest{Event: watched, Token: made.GetInfo().GetId()}))
	if _, name, data := next(); name != "end" || !strings.Contains(data, "ACCESS_CHANGED") {
		t.Errorf("after its token was revoked comes %s: %s", name, data)
	}
	if _, name, _ := next(); name != "" || lines.Err() != nil {
		t.Errorf("behind the end comes %s, %v", name, lines.Err())
	}
}
