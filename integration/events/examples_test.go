package events_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"flag"
	"io"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"github.com/rinktally/rinktally/integration/described"
	"github.com/rinktally/rinktally/proto/openapi"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/copies"
)

var again = flag.Bool("update", false, "write the examples of the OpenAPI document again")

const examplesFile = "../../proto/openapi/examples.json"

// exampleCall is a call that is made to show it.
type exampleCall struct {
	Call, As, Path string
	Request        yaml.MapSlice
}

// example is a call as the OpenAPI document shows it.
type example struct {
	Path    string          `json:"path"`
	Request json.RawMessage `json:"request,omitempty"`
	Answer  json.RawMessage `json:"answer,omitempty"`
}

// TestExamplesAreTrue makes every call of the contract and compares request and answer
// with the examples of the OpenAPI document, which must have one for each.
func TestExamplesAreTrue(t *testing.T) {
	calls := readExamples()
	x := newExamples(start(t, acceptingCopies), described.Client)
	shown := openapi.Ordered[example]{}
	for _, c := range calls {
		body := x.body(c)
		res := must(x.call(t.Context(), c, x.path(c), body))
		if res.StatusCode != http.StatusOK {
			t.Fatalf("%s %s is answered with %s: %s", c.Call, body, res.Status, must(io.ReadAll(res.Body)))
		}
		answer := readExample(t, res)
		x.learn(c, answer)
		answer = bytes.ReplaceAll(answer, []byte(x.book), []byte(exampleBook))
		if shown.Get(c.Call).Path == "" {
			shown.Add(c.Call, example{c.Path, fixed(compactJSON(t, body)), fixed(answer)})
		}
	}
	for call := range x.methods {
		if shown.Get(call).Path == "" {
			t.Errorf("testdata/examples.yaml has no call of %s", call)
		}
	}
	var out bytes.Buffer
	if err := json.Indent(&out, must(shown.MarshalJSON()), "", " "); err != nil {
		t.Fatal(err)
	}
	out.WriteByte('\n')
	if *again {
		if err := os.WriteFile(examplesFile, out.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	var kept openapi.Ordered[example]
	if err := json.Unmarshal(must(os.ReadFile(examplesFile)), &kept); err != nil {
		t.Fatal(err)
	}
	for _, e := range shown {
		k := kept.Get(e.Name)
		if k.Path != e.Value.Path || !bytes.Equal(compactJSON(t, k.Request), e.Value.Request) || !bytes.Equal(compactJSON(t, k.Answer), e.Value.Answer) {
			t.Errorf("the example of %s is not what a server answers; write it again by \"go test ./integration/events -run ExamplesAreTrue -update\" and \"make generate\"\n%s", e.Name, e.Value.Answer)
		}
	}
}

func readExamples() []exampleCall {
	var calls []exampleCall
	if err := yaml.Unmarshal(must(os.ReadFile("testdata/examples.yaml")), &calls); err != nil {
		panic(err)
	}
	return calls
}

// acceptingCopies lets a server take the copies of a rink that shows publishToken.
func acceptingCopies(c *config.Config) { c.AcceptPublishTokens = []string{publishToken} }

// examples is a server to which the calls of the examples are made, one after the
// other, and what later ones need of the answers to earlier ones.
type examples struct {
	server *server
	http   *http.Client

	methods    map[string]string // of HTTP, by call
	tokens     map[string]string // by who calls
	code, book string
	board      *pb.CopiedAnswer
}

func newExamples(s *server, client *http.Client) *examples {
	x := &examples{server: s, http: client, methods: map[string]string{}, book: exampleBook,
		tokens: map[string]string{"admin": s.admin, "rink": publishToken}}
	for _, p := range must(described.Read()).Paths {
		for _, o := range *p.Value {
			_, call, _ := strings.Cut(o.Value.GRPC, "/")
			x.methods[call] = strings.ToUpper(o.Name)
		}
	}
	x.board = must(copies.Pack(copies.Scoreboard, &pb.GetScoreboardRequest{Event: "town-cup-2026"}, &pb.GetScoreboardResponse{
		Scoreboard: &pb.Scoreboard{Event: "town-cup-2026", Name: "Town Cup", Place: "Town rink", Sequence: 9},
	}))
	return x
}

// path is the address of a call.
func (x *examples) path(c exampleCall) string { return strings.Replace(c.Path, exampleBook, x.book, 1) }

// body is the body of a call, nil of one without.
func (x *examples) body(c exampleCall) []byte {
	if c.Request == nil {
		return nil
	}
	body := must(yaml.MarshalWithOptions(c.Request, yaml.JSON()))
	body = bytes.Replace(body, []byte("the code"), []byte(x.code), 1)
	body = bytes.Replace(body, []byte("the board's request"), []byte(base64.StdEncoding.EncodeToString(x.board.GetRequest())), 1)
	return bytes.Replace(body, []byte("the board"), []byte(base64.StdEncoding.EncodeToString(x.board.GetAnswer())), 1)
}

// call makes a call, to whatever address and with whatever body.
func (x *examples) call(ctx context.Context, c exampleCall, path string, body []byte) (*http.Response, error) {
	req, err := http.NewRequestWithContext(ctx, x.methods[c.Call], "http://"+x.server.HTTPAddr()+path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	if token := x.tokens[c.As]; token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	return x.http.Do(req)
}

// learn keeps of an answer what later calls need.
func (x *examples) learn(c exampleCall, answer []byte) {
	var made struct {
		Code, Token string
		Book        struct{ Book string }
		Info        struct{ Label string }
	}
	switch c.Call {
	case "CreateSeatCode", "CreateBook", "CreateToken":
		if err := json.Unmarshal(answer, &made); err != nil {
			panic(err)
		}
	}
	switch c.Call {
	case "CreateSeatCode":
		x.code = made.Code
	case "CreateBook":
		x.tokens["book"], x.book = made.Token, made.Book.Book
	case "CreateToken":
		x.tokens[made.Info.Label] = made.Token
	}
}

// readExample reads an answer as JSON: of a stream the first event, of a document that
// is text the text.
func readExample(t *testing.T, res *http.Response) []byte {
	t.Helper()
	defer res.Body.Close()
	switch kind, _, _ := strings.Cut(res.Header.Get("Content-Type"), ";"); kind {
	case "application/json":
		return shortened(t, must(io.ReadAll(res.Body)))
	case "text/event-stream":
		var event strings.Builder
		for lines := bufio.NewReader(res.Body); ; {
			line, err := lines.ReadString('\n')
			if err != nil {
				t.Fatal(err)
			}
			if data, ok := strings.CutPrefix(line, "data: "); ok {
				return plain(t, event.String()+"data: "+string(shortened(t, []byte(data)))+"\n\n")
			}
			if !strings.HasPrefix(line, "retry:") && line != "\n" {
				event.WriteString(line)
			}
		}
	default:
		return plain(t, string(must(io.ReadAll(res.Body))))
	}
}

// exampleBook is the id that a book of attempts has in the examples; it is another each
// time.
const exampleBook = "k3v5q2c7m4x6b3ta"

// moving is what is another thing each time, or with each change of a table.
var moving = regexp.MustCompile(`(r[tb]_[a-z0-9-]+_)[A-Za-z0-9_-]+|(sha256:)[0-9a-f]+`)

// seatCode is a code for a desk, another each time.
var seatCode = regexp.MustCompile(`"code":"[2-9A-HJ-NP-Z]{6}"`)

// fixed writes an ellipsis for what moves, and always the same code.
func fixed(body []byte) []byte {
	return seatCode.ReplaceAll(moving.ReplaceAll(body, []byte("$1$2…")), []byte(`"code":"K7M42P"`))
}

// shortened leaves of lists of objects the first two.
func shortened(t *testing.T, answer []byte) []byte {
	t.Helper()
	const most = 2
	var object openapi.Ordered[json.RawMessage]
	var list []json.RawMessage
	switch answer[0] {
	case '{':
		if err := json.Unmarshal(answer, &object); err != nil {
			t.Fatal(err)
		}
		for i := range object {
			object[i].Value = shortened(t, object[i].Value)
		}
		return compactJSON(t, must(object.MarshalJSON()))
	case '[':
		if err := json.Unmarshal(answer, &list); err != nil {
			t.Fatal(err)
		}
		if len(list) > most && list[0][0] == '{' {
			list = list[:most]
		}
		for i := range list {
			list[i] = shortened(t, list[i])
		}
		return plain(t, list)
	default:
		return answer
	}
}

// plain writes JSON with the signs of elements as they are.
func plain(t *testing.T, v any) []byte {
	t.Helper()
	var out bytes.Buffer
	to := json.NewEncoder(&out)
	to.SetEscapeHTML(false)
	if err := to.Encode(v); err != nil {
		t.Fatal(err)
	}
	return bytes.TrimSpace(out.Bytes())
}

func compactJSON(t *testing.T, data []byte) []byte {
	t.Helper()
	if len(data) == 0 {
		return nil
	}
	var out bytes.Buffer
	if err := json.Compact(&out, data); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
