package integration_test

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	"github.com/rinktally/rinktally/client/offline/engine"
	"github.com/rinktally/rinktally/integration/wasm"
	"github.com/rinktally/rinktally/server/tables"
)

// talk starts a program in Node.js that answers a line of JSON with a line of JSON, and
// returns what asks it.
func talk(t testing.TB, script string, args ...string) func(line, answer any) error {
	t.Helper()
	c := exec.CommandContext(t.Context(), "node", append([]string{script}, args...)...)
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	c.Stderr = os.Stderr
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		in.Close()
		_, _ = io.Copy(io.Discard, out)
		if err := c.Wait(); err != nil && t.Context().Err() == nil {
			t.Errorf("Node.js ended with %v", err)
		}
	})
	var one sync.Mutex
	lines, answers := json.NewEncoder(in), json.NewDecoder(out)
	return func(line, answer any) error {
		one.Lock()
		defer one.Unlock()
		if err := lines.Encode(line); err != nil {
			return err
		}
		return answers.Decode(answer)
	}
}

// inNode asks the engine as WebAssembly in Node.js.
func inNode(t testing.TB) asker {
	t.Helper()
	dir := t.TempDir()
	wasm.Package(t, dir)
	ask := talk(t, "testdata/engine.mjs", filepath.Join(dir, "offline", "start.js"), today().Format(time.RFC3339))
	return func(_ context.Context, verb, target string, body []byte) (int, []byte, error) {
		var said struct {
			Status int
			Answer json.RawMessage
		}
		err := ask(map[string]string{"verb": verb, "target": target, "body": string(body)}, &said)
		return said.Status, said.Answer, err
	}
}

// TestWebAssemblyAnswersAsTheEngine sends every request that an engine can answer to
// the engine as WebAssembly in Node.js. It is the same engine, so the answers are
// those of the one in process, which TestEngineAnswersAsTheServer compares with a
// server's.
func TestWebAssemblyAnswersAsTheEngine(t *testing.T) {
	ask, same := inNode(t), inProcess(t, embedded())
	for _, e := range exchanges(t) {
		if strings.ToValidUTF8(e.body, "") != e.body {
			continue // a text of JavaScript has none of these bytes
		}
		want, answer, err := same(t.Context(), e.verb, e.target, []byte(e.body))
		if err != nil {
			t.Fatal(err)
		}
		got, text, err := ask(t.Context(), e.verb, e.target, []byte(e.body))
		if err != nil {
			t.Fatal(err)
		}
		if got != want || !reflect.DeepEqual(tree(t, text), tree(t, answer)) {
			t.Errorf("%s %s %.200s: WebAssembly answers %d %.500s\nthe engine %d %.500s", e.verb, e.target, e.body, got, text, want, answer)
		}
	}
	if status, answer, err := ask(t.Context(), http.MethodGet, "/v1/events", nil); err != nil || status != http.StatusNotFound {
		t.Errorf("a call on events: %d %s %v", status, answer, err)
	}
}

// TestWebAssemblyIsSmall holds the engine to what a phone at a rink loads in a few
// seconds.
func TestWebAssemblyIsSmall(t *testing.T) {
	const most = 3_200_000
	size := len(wasm.Built(t)["rinktally.wasm.gz"].Data)
	t.Logf("%d bytes, compressed %d", len(wasm.Built(t)["rinktally.wasm"].Data), size)
	if size > most {
		t.Errorf("the engine is %d bytes compressed, at most %d are allowed; what is new in it?", size, most)
	}
}

// TestOfflineTypesNameTheCalls compares the calls that the types for JavaScript promise
// offline with those that the engine answers.
func TestOfflineTypesNameTheCalls(t *testing.T) {
	text, err := os.ReadFile("../client/web/offline/offline.d.ts")
	if err != nil {
		t.Fatal(err)
	}
	_, list, _ := strings.Cut(string(text), "export interface OfflineMethods extends ")
	list, _, _ = strings.Cut(list, " {")
	var promised []string
	for service := range strings.SplitSeq(list, ", ") {
		found, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName("rinktally.v1." + service))
		if err != nil {
			t.Fatal(err)
		}
		calls := found.(protoreflect.ServiceDescriptor).Methods()
		for i := range calls.Len() {
			if !calls.Get(i).IsStreamingServer() {
				promised = append(promised, string(calls.Get(i).Name()))
			}
		}
	}
	slices.Sort(promised)
	loaded, err := tables.Over(embedded(), today)
	if err != nil {
		t.Fatal(err)
	}
	e, err := engine.New(loaded)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(promised, e.Calls()) {
		t.Errorf("the types promise %v, the engine answers %v", promised, e.Calls())
	}
}
