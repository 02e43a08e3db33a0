package deploy_test

import (
	"bufio"
	"crypto/sha256"
	"encoding/pem"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store/pgtest"
)

// The first command of the README: a scoreboard that moves by itself.
func TestDemoMoves(t *testing.T) {
	start := time.Now()
	s := serve(t, "", "--demo")
	next := s.watch("demo-cup")
	before, board := next()
	for !strings.Contains(board, `"code":"3Lz+3T"`) { // what everybody begins with
		_, board = next()
	}
	fact, _ := next()
	if fact <= before {
		t.Errorf("fact %d follows fact %d", fact, before)
	}
	t.Logf("the first element and a mark came within %v of the start", time.Since(start))
	if said := s.said(); !strings.Contains(said, s.url+"/events/demo-cup") {
		t.Errorf("the scoreboard's address is not shown:\n%s", said)
	}
}

// watch returns a function that waits for the scoreboard's next picture; its results are
// the number of the fact behind it and the board.
func (s *server) watch(event string) (next func() (fact int, board string)) {
	s.t.Helper()
	res, err := s.http.Get(s.url + "/v1/events/" + event + "/scoreboard:watch")
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = res.Body.Close() })
	if res.StatusCode != http.StatusOK {
		s.t.Fatalf("the scoreboard of %s: %s", event, res.Status)
	}
	lines := bufio.NewScanner(res.Body)
	return func() (fact int, board string) {
		s.t.Helper()
		for lines.Scan() {
			if id, ok := strings.CutPrefix(lines.Text(), "id: "); ok {
				if fact, err = strconv.Atoi(id); err != nil {
					s.t.Fatal(err)
				}
			}
			if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				return fact, data
			}
		}
		s.t.Fatalf("the scoreboard stands still: %v", lines.Err())
		return 0, ""
	}
}

// The certificate of the server's own serves both ports, is as secret as it must
// be, and stays over a restart, so that people need to trust it once.
func TestCertificateOfItsOwn(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	s := serve(t, data, "--tls-self", "--demo", "--demo-speed", "20") // which asks over gRPC, trusting this certificate only
	next := s.watch("demo-cup")
	next()
	next()
	res, err := s.http.Get(s.url + "/readyz")
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	// HTTP/2, since browsers open only six connections of HTTP/1.1 to one server.
	if res.StatusCode != http.StatusOK || res.ProtoMajor != 2 {
		t.Errorf("%s %s", res.Proto, res.Status)
	}
	plain := http.Client{Timeout: patience}
	if res, err := plain.Get(strings.Replace(s.url, "https:", "http:", 1) + "/readyz"); err == nil && res.StatusCode == http.StatusOK {
		t.Error("it also answers without TLS")
	}
	certificate := filepath.Join(data, "tls", "cert.pem")
	before, err := os.ReadFile(certificate)
	if err != nil {
		t.Fatal(err)
	}
	block, _ := pem.Decode(before)
	if want := strings.ReplaceAll(fmt.Sprintf("% X", sha256.Sum256(block.Bytes)), " ", ":"); s.fingerprint != want {
		t.Errorf("it shows the fingerprint %q, its certificate has %s", s.fingerprint, want)
	}
	key, err := os.Stat(filepath.Join(data, "tls", "key.pem"))
	if err != nil {
		t.Fatal(err)
	}
	if key.Mode().Perm() != 0o600 {
		t.Errorf("the key has the mode %v", key.Mode())
	}
	variables := []string{"RINKTALLY_GRPC_ADDR=" + s.grpc, "RINKTALLY_TLS_SELF=true"}
	runWith(t, variables, "healthcheck")
	run(t, "healthcheck", "--grpc-addr", s.grpc, "--tls")
	fingerprint := s.fingerprint
	s.stop()
	refused(t, variables, []string{"healthcheck"}, s.grpc, "does not answer")

	s = serve(t, data, "--tls-self")
	if s.fingerprint != fingerprint {
		t.Errorf("after a restart it has another certificate: %s, before %s", s.fingerprint, fingerprint)
	}
}

// A volunteer needs a token while the server runs and holds its data folder. What
// is said then leads to one.
func TestTokensWhileTheServerRuns(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	s := serve(t, data, "--tls-self")
	s.makeEvent("spring-cup", "2025-26")
	create := []string{"token", "create", "--event", "spring-cup", "--role", "referee", "--label", "at the desk"}
	certificate := filepath.Join(data, "tls", "cert.pem")
	refused(t, nil, append(create, "--data", data), "--server", "--ca "+certificate, "RINKTALLY_TOKEN")
	refused(t, nil, []string{"token", "create", "--role", "ADMIN", "--data", data}, "stop it first")

	ask := []string{"--server", s.grpc, "--ca", certificate}
	refused(t, nil, append(create, ask...), "set RINKTALLY_TOKEN")
	admin := []string{"RINKTALLY_TOKEN=" + s.admin}
	refused(t, admin, append(create, "--server", s.grpc), "no answer from "+s.grpc, "--ca")
	referee := strings.TrimSpace(runWith(t, admin, append(create, ask...)...))
	if list := runWith(t, admin, append([]string{"token", "list", "--event", "spring-cup"}, ask...)...); !strings.Contains(list, "REFEREE") || !strings.Contains(list, "at the desk") || strings.Contains(list, referee) {
		t.Errorf("the list is\n%s", list)
	}
	if list := run(t, "token", "list", "--event", "spring-cup", "--data", data); !strings.Contains(list, "at the desk") {
		t.Errorf("beside the running server the list is\n%s", list)
	}
	facts := "/v1/events/spring-cup/facts"
	if a := s.call(http.MethodGet, facts, referee, ""); a.status != http.StatusOK {
		t.Errorf("with the new token: %d %s", a.status, a.text)
	}
	refused(t, []string{"RINKTALLY_TOKEN=" + referee}, append(create, ask...), "ORGANISER")
	runWith(t, admin, append([]string{"token", "revoke", "1", "--event", "spring-cup"}, ask...)...)
	if a := s.call(http.MethodGet, facts, referee, ""); a.status != http.StatusUnauthorized {
		t.Errorf("with the revoked token: %d %s", a.status, a.text)
	}
	refused(t, nil, []string{"serve", "--data", data, "--grpc-addr", "127.0.0.1:0", "--http-addr", "127.0.0.1:0"}, "another process uses this data")

	s.stop()
	if token := run(t, append(create, "--data", data)...); !strings.HasPrefix(token, "rt_spring-cup_") {
		t.Errorf("beside a stopped server the token is %q", token)
	}
}

// Two servers that start at once on an empty database share it: one of them makes
// the administrator's token, and what one is told the other knows.
func TestServersOnOneDatabase(t *testing.T) {
	url := database(t)
	shared := filepath.Join(t.TempDir(), "data")
	a, b := launch(t, shared, "--store", url), launch(t, shared, "--store", url)
	a.ready()
	b.ready()
	if (a.admin == "") == (b.admin == "") {
		t.Fatalf("administrator's tokens: %q and %q", a.admin, b.admin)
	}
	if a.admin == "" {
		a, b = b, a
	}
	a.makeEvent("spring-cup", "2025-26")
	entries := "/v1/events/spring-cup/entries"
	if res := b.call(http.MethodGet, entries, "", ""); !strings.Contains(res.text, "Ada Invented") {
		t.Errorf("the other server: %d %s", res.status, res.text)
	}
	organiser := strings.TrimSpace(run(t, "token", "create", "--store", url, "--event", "spring-cup", "--role", "ORGANISER"))
	if res := b.call(http.MethodPost, entries, organiser, `{"category":"senior-women","name":"Bea Invented"}`); res.status != http.StatusOK {
		t.Errorf("with a token made beside running servers: %d %s", res.status, res.text)
	}
	if res := a.call(http.MethodGet, entries, "", ""); !strings.Contains(res.text, "Bea Invented") {
		t.Errorf("the first server: %d %s", res.status, res.text)
	}
	if admin := strings.TrimSpace(run(t, "token", "create", "--store", url, "--role", "ADMIN")); b.call(http.MethodGet, "/v1/events/spring-cup/facts", admin, "").status != http.StatusOK {
		t.Error("an administrator's token made beside running servers is not known")
	}
}

// database returns the URL of an empty database.
func database(t *testing.T) string {
	t.Helper()
	cluster, err := pgtest.New()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cluster.Close() })
	url, err := cluster.Database(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return url
}
