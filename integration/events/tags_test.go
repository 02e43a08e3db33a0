package events_test

import (
	"net/http"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// What everybody sees has a tag: whoever has it already gets no body, and a change
// makes another one. Caches in front of the server may keep it for a second, but not
// what somebody sees with a token; browsers ask each time.
func TestReadingHasTags(t *testing.T) {
	s := start(t)
	d := newDesk("tags", s.admin, s.conn(t))
	g := newSegment(t, d)
	get := func(path, token, etag string) *http.Response {
		t.Helper()
		req := must(http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+s.HTTPAddr()+"/v1/events/"+watched+path, nil))
		if token != "" {
			req.Header.Set("Authorization", "Bearer "+token)
		}
		if etag != "" {
			req.Header.Set("If-None-Match", etag)
		}
		res := must(s.rest().http.Do(req))
		t.Cleanup(func() { _ = res.Body.Close() })
		return res
	}
	const open, own = "public, max-age=0, s-maxage=1", "private, no-cache"
	paths := []string{"", "/scoreboard", "/categories/" + category + "/standing", "/categories/" + category + "/segments/" + short + "/standing"}
	tags := map[string]string{}
	for range 2 {
		g.skate()
		for _, path := range paths {
			res := get(path, "", tags[path])
			etag := res.Header.Get("ETag")
			if res.StatusCode != http.StatusOK || etag == "" || etag == tags[path] || res.Header.Get("Cache-Control") != open || res.Header.Get("Vary") != "Authorization" {
				t.Errorf("%q: HTTP %d, %v; before that the tag was %s", path, res.StatusCode, res.Header, tags[path])
			}
			tags[path] = etag
			for _, have := range []string{etag, "W/" + etag, `"other", ` + etag} {
				res = get(path, "", have)
				if res.StatusCode != http.StatusNotModified || res.ContentLength > 0 || res.Header.Get("ETag") != etag || res.Header.Get("Cache-Control") != open {
					t.Errorf("%q, known as %s: HTTP %d, %v", path, have, res.StatusCode, res.Header)
				}
			}
			if res = get(path, s.admin, ""); res.StatusCode != http.StatusOK || res.Header.Get("Cache-Control") != own {
				t.Errorf("%q with a token: HTTP %d, %v", path, res.StatusCode, res.Header)
			}
		}
	}
	must(pb.NewEventServiceClient(s.conn(t)).UpdateEvent(with(t.Context(), s.admin), &pb.UpdateEventRequest{Event: watched, Restricted: new(true)}))
	for _, path := range paths {
		if res := get(path, "", tags[path]); res.StatusCode != http.StatusUnauthorized || res.Header.Get("Cache-Control") != "no-store" {
			t.Errorf("%q, now restricted: HTTP %d, %v", path, res.StatusCode, res.Header)
		}
	}
}
