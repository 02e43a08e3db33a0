package deploy_test

import (
	"bufio"
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	"github.com/rinktally/rinktally/integration/browser"
)

// patience bounds what is waited for, on a machine that does other things too.
const patience = time.Minute

// program is the built program. A test that starts this binary again, without a
// network to build by, is told by programVariable where it is.
var program string

const programVariable = "RINKTALLY_TEST_PROGRAM"

func TestMain(m *testing.M) {
	if program = os.Getenv(programVariable); program != "" {
		os.Exit(browser.Main(m))
	}
	folder, err := os.MkdirTemp("", "rinktally-deploy-")
	if err != nil {
		panic(err)
	}
	program = filepath.Join(folder, "rinktally")
	build := exec.Command("go", "build", "-o", program, "../../server/cmd/rinktally")
	if out, err := build.CombinedOutput(); err != nil {
		panic(fmt.Sprintf("%v\n%s", err, out))
	}
	code := m.Run()
	_ = os.RemoveAll(folder)
	os.Exit(code)
}

// command prepares a run of the program, with further variables as NAME=value.
func command(variables []string, args ...string) *exec.Cmd {
	cmd := exec.Command(program, args...)
	cmd.Env = append(os.Environ(), variables...)
	return cmd
}

// run runs a command of the program that must succeed, and returns what it prints.
func run(t testing.TB, args ...string) string {
	t.Helper()
	return runWith(t, nil, args...)
}

func runWith(t testing.TB, variables []string, args ...string) string {
	t.Helper()
	var out, complaint bytes.Buffer
	cmd := command(variables, args...)
	cmd.Stdout, cmd.Stderr = &out, &complaint
	if err := cmd.Run(); err != nil {
		t.Fatalf("rinktally %s: %v\n%s%s", strings.Join(args, " "), err, &out, &complaint)
	}
	return out.String()
}

// refused runs a command of the program that must fail, and returns what it
// complains about. All of the words must be in that.
func refused(t testing.TB, variables, args []string, words ...string) {
	t.Helper()
	var complaint bytes.Buffer
	cmd := command(variables, args...)
	cmd.Stderr = &complaint
	err := cmd.Run()
	if exit := (*exec.ExitError)(nil); !errors.As(err, &exit) || exit.ExitCode() != 1 {
		t.Errorf("rinktally %s: want exit code 1, got %v", strings.Join(args, " "), err)
	}
	for _, word := range words {
		if !strings.Contains(complaint.String(), word) {
			t.Errorf("rinktally %s: %q is not said in: %s", strings.Join(args, " "), word, &complaint)
		}
	}
}

// server is a running "rinktally serve".
type server struct {
	url, grpc   string
	admin       string // the administrator's token, when this start has made it
	fingerprint string // of the certificate that it made for itself
	http        *http.Client
	security    credentials.TransportCredentials

	t         testing.TB
	data      string // the data folder
	cmd       *exec.Cmd
	addressed chan struct{} // closed when it has said where it listens, and that the demo is on
	ended     chan error

	mu  sync.Mutex
	out bytes.Buffer // what it says to people
	log bytes.Buffer
}

// serve starts a server on free ports and waits until it is ready, and with --demo
// until the demo is on. It is stopped when the test ends.
func serve(t testing.TB, data string, args ...string) *server {
	t.Helper()
	s := launch(t, data, args...)
	s.ready()
	return s
}

// launch is serve without the waiting.
func launch(t testing.TB, data string, args ...string) *server {
	t.Helper()
	s := &server{t: t, data: data, addressed: make(chan struct{}), ended: make(chan error, 1), http: &http.Client{Timeout: patience}, security: insecure.NewCredentials()}
	args = append([]string{"serve", "--grpc-addr", "127.0.0.1:0", "--http-addr", "127.0.0.1:0"}, args...)
	if data != "" {
		args = append(args, "--data", data)
	}
	s.cmd = command(nil, args...)
	s.cmd.Stderr = s
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.stop)
	last := "  events "
	if slices.Contains(args, "--demo") {
		last = "An invented event plays itself now"
	}
	heard := make(chan struct{})
	go func() {
		defer close(heard)
		found := false
		for lines := bufio.NewScanner(out); lines.Scan(); {
			s.mu.Lock()
			s.out.WriteString(lines.Text() + "\n")
			s.mu.Unlock()
			if strings.HasPrefix(lines.Text(), last) && !found {
				found = true
				close(s.addressed)
			}
		}
	}()
	go func() {
		<-heard
		s.ended <- s.cmd.Wait()
	}()
	return s
}

// ready waits until the server answers that it is ready. By then it has said
// everything that it says at its start.
func (s *server) ready() {
	s.t.Helper()
	select {
	case <-s.addressed:
	case err := <-s.ended:
		s.ended <- err
		s.t.Fatalf("the server ended: %v\n%s", err, s.said())
	case <-time.After(patience):
		s.t.Fatalf("the server says nothing:\n%s", s.said())
	}
	s.url = s.line(`pages and REST +(\S+)`)
	s.grpc = s.line(`gRPC +(\S+)`)
	if strings.HasPrefix(s.url, "https:") {
		s.trust(filepath.Join(s.data, "tls", "cert.pem"))
	}
	s.askHealth()
	s.admin = s.line(`\b(rt__\S+)`)
	s.fingerprint = s.line(`\b((?:[0-9A-F]{2}:){31}[0-9A-F]{2})`)
}

// Write takes the server's log.
func (s *server) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.log.Write(p)
}

// trust makes the server's certificate, and no other, the trusted one.
func (s *server) trust(file string) {
	s.t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		s.t.Fatal(err)
	}
	pool := x509.NewCertPool()
	if !pool.AppendCertsFromPEM(data) {
		s.t.Fatalf("%s holds no certificate", file)
	}
	s.security = credentials.NewClientTLSFromCert(pool, "")
	s.http.Transport = &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}, ForceAttemptHTTP2: true}
}

func (s *server) askHealth() {
	s.t.Helper()
	conn, err := grpc.NewClient(s.grpc, grpc.WithTransportCredentials(s.security))
	if err != nil {
		s.t.Fatal(err)
	}
	defer conn.Close()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	res, err := healthpb.NewHealthClient(conn).Check(ctx, &healthpb.HealthCheckRequest{}, grpc.WaitForReady(true))
	if err != nil || res.GetStatus() != healthpb.HealthCheckResponse_SERVING {
		s.t.Fatalf("the server is not ready: %v, %v\n%s", res.GetStatus(), err, s.said())
	}
}

// said is everything that the server has printed.
func (s *server) said() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.out.String() + s.log.String()
}

// line returns what a pattern finds in what the server says to people, or "".
func (s *server) line(pattern string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if found := regexp.MustCompile(pattern).FindStringSubmatch(s.out.String()); found != nil {
		return found[1]
	}
	return ""
}

// stop ends the server as an operator does; a second time it does nothing.
func (s *server) stop() {
	if s.ended == nil {
		return
	}
	_ = s.cmd.Process.Signal(syscall.SIGTERM)
	select {
	case err := <-s.ended:
		if err != nil {
			s.t.Errorf("the server ended with %v:\n%s", err, s.said())
		}
	case <-time.After(patience):
		_ = s.cmd.Process.Kill()
		s.t.Errorf("the server does not stop:\n%s", s.said())
	}
	s.ended = nil
}

// answer is a REST answer.
type answer struct {
	status int
	text   string
	json   map[string]any
}

// call makes a REST call. A token or body that is "" is left out.
func (s *server) call(method, path, token, body string) answer {
	s.t.Helper()
	req, err := http.NewRequest(method, s.url+path, strings.NewReader(body))
	if err != nil {
		s.t.Fatal(err)
	}
	if token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	res, err := s.http.Do(req)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	a := answer{status: res.StatusCode, text: string(text)}
	_ = json.Unmarshal(text, &a.json) // stays empty where it is no JSON
	return a
}

// makeEvent makes an invented event with one skater.
func (s *server) makeEvent(event, season string) {
	s.t.Helper()
	for _, c := range []struct{ method, path, body string }{
		{http.MethodPost, "/v1/events", fmt.Sprintf(`{"event":%q,"name":"Invented Cup","place":"Invented Hall","startDate":"2026-03-14","season":%q}`, event, season)},
		{http.MethodPut, "/v1/events/" + event + "/categories/senior-women", `{}`},
		{http.MethodPost, "/v1/events/" + event + "/entries", `{"category":"senior-women","name":"Ada Invented"}`},
	} {
		if a := s.call(c.method, c.path, s.admin, c.body); a.status != http.StatusOK {
			s.t.Fatalf("%s %s: %d %s", c.method, c.path, a.status, a.text)
		}
	}
}
