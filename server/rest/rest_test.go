package rest_test

import (
	"bytes"
	"encoding/json"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"path"
	"regexp"
	"strings"
	"testing"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/health"
	"github.com/rinktally/rinktally/server/inproc"
	"github.com/rinktally/rinktally/server/intercept"
	"github.com/rinktally/rinktally/server/rest"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

const (
	maxBody  = 1 << 20
	maxBatch = 8 << 20
)

var january = func() time.Time { return time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC) }

// handler is the whole HTTP side over the embedded tables.
func handler(t testing.TB, change func(*rest.Options)) http.Handler {
	t.Helper()
	loaded, err := tables.New(january)
	if err != nil {
		t.Fatal(err)
	}
	conn := inproc.New(intercept.Unary(intercept.Options{Deadline: 10 * time.Second}))
	for _, r := range []grpc.ServiceRegistrar{conn} {
		pb.RegisterRulesServiceServer(r, rulesvc.New(loaded))
		pb.RegisterScoringServiceServer(r, scoring.New(loaded))
	}
	o := rest.Options{
		Conn: conn, Tables: loaded, Log: zap.NewNop(), Version: "test", MaxBody: maxBody, MaxBatchBody: maxBatch,
		Health:  health.New(zap.NewNop(), nil),
		Metrics: http.NotFoundHandler(),
	}
	if change != nil {
		change(&o)
	}
	h, err := rest.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func serve(t testing.TB, change func(*rest.Options)) *httptest.Server {
	t.Helper()
	server := httptest.NewServer(handler(t, change))
	t.Cleanup(server.Close)
	return server
}

// ask sends a request and returns the answer with its body read.
func ask(t testing.TB, server *httptest.Server, method, path, body string, headers ...string) (*http.Response, []byte) {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), method, server.URL+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if body == "" {
		req.Body = nil
	}
	for i := 0; i+1 < len(headers); i += 2 {
		req.Header.Set(headers[i], headers[i+1])
	}
	res, err := server.Client().Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res, data
}

// fault is the body of an error.
type fault struct {
	Code    int    `json:"code"`
	Message string `json:"message"`
	Details []struct {
		Type            string            `json:"@type"`
		Reason          string            `json:"reason"`
		Domain          string            `json:"domain"`
		Metadata        map[string]string `json:"metadata"`
		FieldViolations []struct {
			Field, Description, Reason string
		} `json:"fieldViolations"`
	} `json:"details"`
}

func (f fault) reason() string {
	for _, d := range f.Details {
		if strings.HasSuffix(d.Type, "ErrorInfo") {
			return d.Reason
		}
	}
	return ""
}

func (f fault) fields() map[string]string {
	fields := map[string]string{}
	for _, d := range f.Details {
		for _, v := range d.FieldViolations {
			fields[v.Field] = v.Reason
		}
	}
	return fields
}

func readFault(t testing.TB, data []byte) fault {
	t.Helper()
	var f fault
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatalf("the error's body is no JSON: %v\n%s", err, data)
	}
	return f
}

// The examples are for a developer's first minute, so they must work.
func TestExamplesForDevelopers(t *testing.T) {
	server := serve(t, nil)
	data, err := os.ReadFile("web/developers/examples.json")
	if err != nil {
		t.Fatal(err)
	}
	var examples []struct {
		ID, Path string
		Body     json.RawMessage
	}
	if err := json.Unmarshal(data, &examples); err != nil || len(examples) == 0 {
		t.Fatalf("%d examples, %v", len(examples), err)
	}
	for _, e := range examples {
		method := http.MethodGet
		if e.Body != nil {
			method = http.MethodPost
		}
		res, body := ask(t, server, method, strings.ReplaceAll(e.Path, "{season}", "current"), string(e.Body))
		if res.StatusCode != http.StatusOK {
			t.Errorf("%s: %d %s", e.ID, res.StatusCode, body)
		}
	}
}

// Whatever the first page needs comes from this server: it works without a net.
func TestPagesNeedNoOtherSite(t *testing.T) {
	server := serve(t, nil)
	outside := regexp.MustCompile(`(?:src|href)="(?:https?:)?//|url\(|@import`)
	for _, path := range []string{
		"/", "/assets/style.css", "/assets/home.js", "/developers", "/assets/developers/developers.js", "/assets/developers/examples.json", "/assets/icon.svg",
		"/program", "/assets/program/program.js", "/assets/program/rows.js", "/assets/program/program.css", "/parts", "/assets/parts/words.js",
		"/seasons", "/seasons/2025-26", "/seasons/compare", "/assets/seasons/rules.js", "/assets/seasons/compare.js", "/assets/seasons/seasons.css",
		"/docs/", "/docs/scoring", "/docs/event", "/docs/errors", "/assets/docs/docs.css",
		"/events", "/events/cup", "/desk", "/desk/cup", "/desk/cup/organiser", "/desk/cup/referee", "/desk/cup/technical", "/desk/cup/judge",
		"/assets/events/organiser.js", "/assets/events/events.css", "/assets/events/desk.css",
	} {
		res, body := ask(t, server, http.MethodGet, path, "")
		if res.StatusCode != http.StatusOK || len(body) == 0 || res.Header.Get("Content-Security-Policy") == "" {
			t.Errorf("%s: %d, %d bytes", path, res.StatusCode, len(body))
		}
		if found := outside.Find(body); found != nil {
			t.Errorf("%s asks elsewhere: %s", path, found)
		}
	}
	if res, _ := ask(t, server, http.MethodGet, "/docs/no-such-service", ""); res.StatusCode != http.StatusNotFound {
		t.Errorf("a service that there is not: %d", res.StatusCode)
	}
	res, body := ask(t, server, http.MethodGet, "/openapi.json", "")
	if res.StatusCode != http.StatusOK || !bytes.Contains(body, []byte("/v1/seasons/{season}/segments:score")) {
		t.Errorf("/openapi.json: %d", res.StatusCode)
	}
}

// Files are served by their names; nothing lists them.
func TestFoldersAreNotListed(t *testing.T) {
	server := serve(t, nil)
	for _, folder := range []string{"/assets/events/", "/assets/program/", "/embed/", "/assets/", "/assets/words/", "/assets/words/en.json", "/assets/layout.html", "/assets/events/no-such.js"} {
		if res, body := ask(t, server, http.MethodGet, folder, ""); res.StatusCode != http.StatusNotFound {
			t.Errorf("%s is answered with %d: %.100s", folder, res.StatusCode, body)
		}
	}
}

// Types of TypeScript lie beside the modules that sites embed, with all that they import.
func TestTypesLieBesideTheModules(t *testing.T) {
	server := serve(t, nil)
	imports := regexp.MustCompile(`from "(\.[^"]+)\.js"`)
	seen := map[string]bool{}
	look := []string{"/embed/index", "/embed/scoreboard", "/embed/program", "/embed/offline/offline", "/embed/offline/page"}
	for len(look) > 0 {
		name := look[0]
		look = look[1:]
		if seen[name] {
			continue
		}
		seen[name] = true
		res, body := ask(t, server, http.MethodGet, name+".d.ts", "")
		if kind := res.Header.Get("Content-Type"); res.StatusCode != http.StatusOK || kind != "text/plain; charset=utf-8" {
			t.Errorf("%s.d.ts: %d, %s", name, res.StatusCode, kind)
		}
		for _, m := range imports.FindAllSubmatch(body, -1) {
			look = append(look, path.Join(path.Dir(name), string(m[1])))
		}
	}
	if !seen["/embed/contract"] {
		t.Errorf("only %v import each other", seen)
	}
}

// An address may hold what is nobody else's matter; no page sends it to another
// site.
func TestAddressesStayHere(t *testing.T) {
	server := serve(t, nil)
	for _, path := range []string{"/", "/events", "/openapi.json", "/no-such", "/embed/unknown"} {
		if res, _ := ask(t, server, http.MethodGet, path, ""); res.Header.Get("Referrer-Policy") != "no-referrer" {
			t.Errorf("%s: Referrer-Policy %q", path, res.Header.Get("Referrer-Policy"))
		}
	}
}

func TestAnswersAreStrictJSON(t *testing.T) {
	server := serve(t, nil)
	res, body := ask(t, server, http.MethodPost, "/v1/seasons/2025-26/elements:value",
		`{"category":"senior-men","segment":"free-skating","elements":[{"code":"3Lz+3T"}]}`)
	if res.StatusCode != http.StatusOK || res.Header.Get("Content-Type") != "application/json" {
		t.Fatalf("%d %s", res.StatusCode, body)
	}
	var answer struct {
		Elements []map[string]json.RawMessage
		Warnings *[]any
	}
	if err := json.Unmarshal(body, &answer); err != nil {
		t.Fatal(err)
	}
	// Zero values are written, points are texts.
	if string(answer.Elements[0]["factors"]) != "[]" || string(answer.Elements[0]["baseValue"]) != `"10.10"` || answer.Warnings == nil {
		t.Errorf("%s", body)
	}
}

// A field that the path gives may stand in the body too when it is the same, however
// the path writes it.
func TestBodyMayRepeatThePath(t *testing.T) {
	server := serve(t, nil)
	body := `{"season":"2025-26","category":"senior-women","segment":"free-skating","elements":[{"code":"3Lz"}]}`
	for season, want := range map[string]int{
		"2025-26": http.StatusOK, "2025%2D26": http.StatusOK, "2024-25": http.StatusBadRequest, "2024%2D25": http.StatusBadRequest,
	} {
		if res, answer := ask(t, server, http.MethodPost, "/v1/seasons/"+season+"/elements:value", body); res.StatusCode != want {
			t.Errorf("%s: %d %s", season, res.StatusCode, answer)
		}
	}
}

func TestRequestIDIsEchoed(t *testing.T) {
	server := serve(t, nil)
	for _, path := range []string{"/v1/seasons", "/v1/nothing", "/livez", "/"} {
		if res, _ := ask(t, server, http.MethodGet, path, "", "X-Request-Id", "my-id.1"); res.Header.Get("X-Request-Id") != "my-id.1" || len(res.Header.Values("X-Request-Id")) != 1 {
			t.Errorf("%s: %v", path, res.Header)
		}
		if res, _ := ask(t, server, http.MethodGet, path, "", "X-Request-Id", "not an id"); len(res.Header.Get("X-Request-Id")) != 32 {
			t.Errorf("%s: %v", path, res.Header)
		}
	}
}

// timed is a connection that remembers until when an answer may be sent.
type timed struct {
	*httptest.ResponseRecorder

	until time.Time
}

func (c *timed) SetWriteDeadline(t time.Time) error {
	c.until = t
	return nil
}

// Whatever is asked for, the answer has its time, so that who reads none of it is
// not waited for.
func TestAnswersHaveTheirTime(t *testing.T) {
	h := handler(t, nil)
	for _, path := range []string{"/", "/v1/seasons/2025-26", "/v1/nothing", "/openapi.json", "/nothing"} {
		c := &timed{ResponseRecorder: httptest.NewRecorder()}
		h.ServeHTTP(c, httptest.NewRequest(http.MethodGet, path, nil))
		if left := time.Until(c.until); left < time.Minute || left > 2*time.Minute {
			t.Errorf("%s has %v", path, left)
		}
	}
}

// panicking is a service with a fault.
type panicking struct {
	pb.UnimplementedScoringServiceServer
}

func TestPanicIsAnswered(t *testing.T) {
	conn := inproc.New(intercept.Unary(intercept.Options{}))
	pb.RegisterScoringServiceServer(conn, panicking{})
	pb.RegisterRulesServiceServer(conn, pb.UnimplementedRulesServiceServer{})
	server := serve(t, func(o *rest.Options) {
		o.Conn = conn
		o.Metrics = http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic("secret") })
	})
	res, body := ask(t, server, http.MethodGet, "/metrics", "", "X-Request-Id", "find-me")
	f := readFault(t, body)
	if res.StatusCode != http.StatusInternalServerError || f.reason() != "INTERNAL" || bytes.Contains(body, []byte("secret")) || !bytes.Contains(body, []byte("find-me")) {
		t.Errorf("%d %s", res.StatusCode, body)
	}
	if res, _ := ask(t, server, http.MethodGet, "/livez", ""); res.StatusCode != http.StatusOK {
		t.Errorf("afterwards: %d", res.StatusCode)
	}
}

// Metrics are for callers on this machine, not for those who come through a proxy on
// it. Where they have a port of their own, there are none here.
func TestMetricsAreForThisMachine(t *testing.T) {
	shown := func(o *rest.Options) {
		o.Metrics = http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte("up 1")) })
	}
	elsewhere := func(o *rest.Options) { o.Metrics = nil }
	for name, c := range map[string]struct {
		change func(*rest.Options)
		from   string
		header http.Header
		status int
	}{
		"here":              {shown, "127.0.0.1:40000", nil, http.StatusOK},
		"here, IPv6":        {shown, "[::1]:40000", nil, http.StatusOK},
		"another machine":   {shown, "192.0.2.7:40000", nil, http.StatusForbidden},
		"through a proxy":   {shown, "127.0.0.1:40000", http.Header{"X-Forwarded-For": {"192.0.2.7"}}, http.StatusForbidden},
		"another proxy":     {shown, "127.0.0.1:40000", http.Header{"Forwarded": {"for=192.0.2.7"}}, http.StatusForbidden},
		"a port of its own": {elsewhere, "127.0.0.1:40000", nil, http.StatusNotFound},
	} {
		r, w := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/metrics", nil), httptest.NewRecorder()
		r.RemoteAddr = c.from
		maps.Copy(r.Header, c.header)
		handler(t, c.change).ServeHTTP(w, r)
		if w.Code != c.status || (w.Code == http.StatusOK) != (w.Body.String() == "up 1") {
			t.Errorf("%s: %d %s, want %d", name, w.Code, w.Body, c.status)
		}
	}
}

// Who calls too often hears when to come again.
func TestTooManyCalls(t *testing.T) {
	loaded, err := tables.New(january)
	if err != nil {
		t.Fatal(err)
	}
	conn := inproc.New(intercept.Unary(intercept.Options{Limiter: intercept.NewLimiter(intercept.Limits{Rate: 0.25, Burst: 1, Now: january})}))
	pb.RegisterScoringServiceServer(conn, scoring.New(loaded))
	server := serve(t, func(o *rest.Options) { o.Conn = conn })
	const body = `{"category":"senior-women","segment":"free-skating","elements":[{"code":"3Lz"}]}`
	for _, want := range []struct {
		status int
		after  string
	}{{http.StatusOK, ""}, {http.StatusTooManyRequests, "4"}} {
		res, answer := ask(t, server, http.MethodPost, "/v1/seasons/2025-26/elements:value", body)
		if res.StatusCode != want.status || res.Header.Get("Retry-After") != want.after {
			t.Errorf("%d, Retry-After %q: %s; want %d, %q", res.StatusCode, res.Header.Get("Retry-After"), answer, want.status, want.after)
		}
	}
}

func TestHealth(t *testing.T) {
	server := serve(t, func(o *rest.Options) { o.Health.Stop() })
	if res, body := ask(t, server, http.MethodGet, "/livez", ""); res.StatusCode != http.StatusOK {
		t.Errorf("%d %s", res.StatusCode, body)
	}
	if res, body := ask(t, server, http.MethodGet, "/readyz", ""); res.StatusCode != http.StatusServiceUnavailable || !bytes.Contains(body, []byte("stopping")) {
		t.Errorf("%d %s", res.StatusCode, body)
	}
}

func TestCORS(t *testing.T) {
	const site = "https://club.example"
	none := serve(t, nil)
	if res, _ := ask(t, none, http.MethodGet, "/v1/seasons", "", "Origin", site); res.Header.Get("Access-Control-Allow-Origin") != "" {
		t.Errorf("allowed without being named: %v", res.Header)
	}
	some := serve(t, func(o *rest.Options) { o.CORSOrigins = []string{site} })
	if res, _ := ask(t, some, http.MethodGet, "/v1/seasons", "", "Origin", site); res.Header.Get("Access-Control-Allow-Origin") != site {
		t.Errorf("%v", res.Header)
	}
	if res, _ := ask(t, some, http.MethodGet, "/v1/seasons", "", "Origin", "https://other.example"); res.Header.Get("Access-Control-Allow-Origin") != "" {
		t.Errorf("%v", res.Header)
	}
	res, _ := ask(t, some, http.MethodOptions, "/v1/seasons/2025-26/segments:score", "", "Origin", site, "Access-Control-Request-Method", "POST")
	if res.StatusCode != http.StatusNoContent || !strings.Contains(res.Header.Get("Access-Control-Allow-Methods"), "POST") {
		t.Errorf("%d %v", res.StatusCode, res.Header)
	}
}

// A megabyte of empty objects must cost little: it is refused before anything is
// made of it.
func TestManyEmptyObjectsAreCheap(t *testing.T) {
	h := handler(t, nil)
	body := []byte(`{"elements":[` + strings.Repeat("{},", 340_000) + `{}]}`)
	post := func() {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/v1/seasons/2025-26/segments:score", bytes.NewReader(body)))
		if w.Code != http.StatusBadRequest || readFault(t, w.Body.Bytes()).reason() != "TOO_MANY_ITEMS" {
			t.Fatalf("%d %.200s", w.Code, w.Body)
		}
	}
	used := testing.Benchmark(func(b *testing.B) {
		for b.Loop() {
			post()
		}
	}).AllocedBytesPerOp()
	// The body itself, as it grows; what 340,000 messages would take is fifty times
	// that.
	if limit := int64(5 * len(body)); used > limit {
		t.Errorf("%d bytes were taken for a body of %d", used, len(body))
	}
}

// A body takes memory as it comes, not as it is announced.
func TestAnnouncedBodiesAreCheap(t *testing.T) {
	h := handler(t, nil)
	used := testing.Benchmark(func(b *testing.B) {
		for b.Loop() {
			r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/v1/seasons/2025-26/segments:batchScore", strings.NewReader("{"))
			r.ContentLength = maxBatch
			h.ServeHTTP(httptest.NewRecorder(), r)
		}
	}).AllocedBytesPerOp()
	if used > 256<<10 {
		t.Errorf("%d bytes were taken for a body of which one byte came", used)
	}
}

// Whoever is lost in a browser finds a page with a way home; a program finds the
// error.
func TestNothingIsThere(t *testing.T) {
	server := serve(t, nil)
	for _, path := range []string{"/no-such", "/desk/cup/no-such", "/embed/unknown", "/assets/unknown", "/events/", "/a//b", "/<b>"} {
		res, body := ask(t, server, http.MethodGet, path, "", "Accept", "text/html,application/xhtml+xml,*/*;q=0.8")
		if res.StatusCode != http.StatusNotFound || !strings.HasPrefix(res.Header.Get("Content-Type"), "text/html") ||
			!bytes.Contains(body, []byte("Nothing is here")) || bytes.Contains(body, []byte("<b>")) || res.Header.Get("Content-Security-Policy") == "" {
			t.Errorf("%s: %d %s", path, res.StatusCode, body)
		}
		res, body = ask(t, server, http.MethodGet, path, "", "Accept", "*/*")
		if res.StatusCode != http.StatusNotFound || readFault(t, body).reason() != "NOT_FOUND" {
			t.Errorf("%s: %d %s", path, res.StatusCode, body)
		}
	}
	if res, body := ask(t, server, http.MethodPost, "/no-such", "{}", "Accept", "text/html"); res.StatusCode != http.StatusNotFound || readFault(t, body).reason() != "NOT_FOUND" {
		t.Errorf("%d %s", res.StatusCode, body)
	}
}

// Pages and their files are kept by browsers and asked for by their tags, and come
// compressed where that is less.
func TestPagesHaveTags(t *testing.T) {
	server := serve(t, nil)
	for _, path := range []string{"/", "/program", "/seasons", "/assets/style.css", "/embed/client.js", "/desk/cup/judge"} {
		res, plain := ask(t, server, http.MethodGet, path, "", "Accept-Encoding", "identity")
		tag := res.Header.Get("ETag")
		if res.StatusCode != http.StatusOK || tag == "" || res.Header.Get("Cache-Control") != "no-cache" {
			t.Errorf("%s: %d %v", path, res.StatusCode, res.Header)
		}
		if res, body := ask(t, server, http.MethodGet, path, "", "If-None-Match", tag); res.StatusCode != http.StatusNotModified || len(body) > 0 {
			t.Errorf("%s with its tag: %d", path, res.StatusCode)
		}
		res, zipped := ask(t, server, http.MethodGet, path, "", "Accept-Encoding", "gzip")
		if res.Header.Get("Content-Encoding") != "gzip" || len(zipped) >= len(plain) {
			t.Errorf("%s: %d bytes, compressed %d", path, len(plain), len(zipped))
		}
		if res, body := ask(t, server, http.MethodHead, path, ""); res.StatusCode != http.StatusOK || len(body) != 0 || res.Header.Get("ETag") != tag {
			t.Errorf("HEAD %s: %d", path, res.StatusCode)
		}
	}
}
