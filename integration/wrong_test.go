package integration_test

import (
	"encoding/json"
	"maps"
	"net/http"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// wrong is a request that must be refused, and how.
type wrong struct {
	name   string
	verb   string
	path   string // with its query
	kind   string // content type
	body   string
	status int
	reason string
	field  string // path of the field at fault; "" = no field is
	says   string // what the words must hold: what was found, or what is allowed

	rpc proto.Message // the same request over gRPC; nil = only REST can express it
}

// TestWrongRequests sends every wrong request over REST and, where it can be
// expressed, over gRPC. Each is refused with a reason of the contract, the path
// of the field and words that a person understands, and the server goes on.
func TestWrongRequests(t *testing.T) {
	server := start(t)
	conn := server.conn(t)
	list := slices.Concat(wrongFields(t), wrongBodies(), wrongCalls())
	if len(list) < 200 {
		t.Errorf("there are only %d wrong requests", len(list))
	}
	for call, body := range good {
		if code, answer, err := server.post(t.Context(), goodPath(call), "application/json", []byte(body)); err != nil || code != http.StatusOK || strings.Contains(string(answer), `"error"`) {
			t.Errorf("the good request of %s is answered with HTTP %d, %v: %.300s", call, code, err, answer)
		}
	}
	overGRPC := 0
	reasons := map[string]int{}
	given := map[string]bool{} // "reason key" of the metadata of all answers
	for _, w := range list {
		t.Run(w.name, func(t *testing.T) {
			rest := server.refuse(t, &w)
			w.check(t, rest)
			reasons[reasonOf(rest)]++
			for key := range metadataOf(rest) {
				given[reasonOf(rest)+" "+key] = true
			}
			if w.rpc != nil {
				overGRPC++
				s := refuseGRPC(t, conn, &w)
				w.same(t, s, rest)
			}
			server.stillAnswers(t, conn)
		})
	}
	for _, entry := range server.logs.All() {
		if strings.Contains(entry.Message, "panic") || entry.ContextMap()["code"] == "Internal" {
			t.Errorf("the server logged: %s %v", entry.Message, entry.ContextMap())
		}
	}
	for reason, keys := range promised(t) {
		for _, key := range keys {
			if reasons[reason] > 0 && !given[reason+" "+key] {
				t.Errorf("the contract's example of %s has metadata.%s, which no answer has", reason, key)
			}
		}
	}
	t.Logf("%d wrong requests over REST, %d of them over gRPC too, %d different reasons: %v", len(list), overGRPC, len(reasons), reasons)
}

// refuse sends the request over HTTP and returns the status that is the answer.
func (s *server) refuse(t *testing.T, w *wrong) *spb.Status {
	t.Helper()
	code, answer, err := s.do(t.Context(), w.verb, w.path, w.kind, []byte(w.body))
	if err != nil {
		t.Fatal(err)
	}
	if code != w.status {
		t.Errorf("HTTP %d, want %d: %.300s", code, w.status, answer)
	}
	var body spb.Status
	if err := protojson.Unmarshal(answer, &body); err != nil {
		t.Fatalf("the answer is no status: %v: %.300s", err, answer)
	}
	return &body
}

func refuseGRPC(t *testing.T, conn *grpc.ClientConn, w *wrong) *spb.Status {
	t.Helper()
	m := callOf(w.rpc)
	err := conn.Invoke(t.Context(), m.fullName(), w.rpc, message(m.Output()))
	if err == nil {
		t.Fatal("gRPC takes it")
	}
	return status.Convert(err).Proto()
}

// stillAnswers makes a good call both ways.
func (s *server) stillAnswers(t *testing.T, conn *grpc.ClientConn) {
	t.Helper()
	code, answer, err := s.post(t.Context(), goodPath("segments:score"), "application/json", []byte(good["segments:score"]))
	if err != nil || code != http.StatusOK {
		t.Errorf("a good request is answered with HTTP %d, %v: %.300s", code, err, answer)
	}
	if _, err := overConn(conn)(t.Context(), "segments:score", goodSeason, []byte(good["segments:score"])); err != nil {
		t.Errorf("a good request is answered with %v", err)
	}
}

// Words of the programming language and its libraries that say nothing to the
// people who have to mend a request.
var jargon = regexp.MustCompile(`(?i)int32|int64|uint|float64|proto:|protobuf|unmarshal|\bnil\b|%!|\bEOF\b|goroutine|runtime error|panic|syntax error|strconv|\bstruct\b|map\[|<nil>|rpc error|offset \d|looking for beginning|(?-i)json:`)

// saysAllowed are the reasons whose metadata always says what is allowed.
var saysAllowed = []string{
	"SEASON_UNKNOWN", "CATEGORY_UNKNOWN", "SEGMENT_UNKNOWN", "SIGN_UNKNOWN", "SCOPE_REQUIRED", "MARK_OUT_OF_RANGE", "MARK_OFF_GRID",
	"PANEL_SIZE_MISMATCH", "COMPONENT_MISSING", "COMPONENT_UNKNOWN", "DEDUCTION_UNKNOWN", "VARIATION_INVALID", "REVOLUTIONS_INVALID",
	"TOO_MANY_ITEMS", "REVISION_MISMATCH", "METHOD_NOT_ALLOWED", "CONTENT_TYPE_UNSUPPORTED",
}

// check looks at everything that a refusal must have.
func (w *wrong) check(t *testing.T, s *spb.Status) {
	t.Helper()
	if _, ok := pb.ErrorReason_Value_value[reasonOf(s)]; !ok || reasonOf(s) != w.reason {
		t.Errorf("reason %q, want %s", reasonOf(s), w.reason)
	}
	if s.GetCode() == int32(codes.Internal) || s.GetCode() == int32(codes.Unknown) {
		t.Errorf("code %v", codes.Code(s.GetCode()))
	}
	fields, texts := violations(s)
	texts = append(texts, s.GetMessage())
	if w.field != "" && !slices.Contains(fields, w.field) {
		t.Errorf("the fields at fault are %q, want %q", fields, w.field)
	}
	if w.field == "" && slices.ContainsFunc(fields, func(f string) bool { return f != "" }) {
		t.Errorf("the fields at fault are %q, want none", fields)
	}
	if len(s.GetMessage()) < 15 || !strings.ContainsRune(s.GetMessage(), ' ') {
		t.Errorf("the message is only %q", s.GetMessage())
	}
	all := strings.Join(texts, "\n")
	if found := jargon.FindString(all); found != "" {
		t.Errorf("%q is no word for a skating person: %s", found, all)
	}
	if w.says == "" || !strings.Contains(all, w.says) {
		t.Errorf("the words do not hold %q: %s", w.says, all)
	}
	if allowed := errs.Metadata(status.ErrorProto(s), "allowed"); slices.Contains(saysAllowed, w.reason) && (allowed == "" || !strings.Contains(s.GetMessage(), allowed)) {
		t.Errorf("metadata.allowed is %q; the message is %s", allowed, s.GetMessage())
	}
	if echoed := echo(w.path+"\n"+w.body, s); echoed != "" {
		t.Errorf("more than 80 characters of the request come back: %s", echoed)
	}
}

// same compares the answers of both ways in. A list that is too long is not read
// over REST, so only there the words are others.
func (w *wrong) same(t *testing.T, overGRPC, overREST *spb.Status) {
	t.Helper()
	if w.reason == "TOO_MANY_ITEMS" {
		w.check(t, overGRPC)
		return
	}
	a, err := protojson.Marshal(overGRPC)
	if err != nil {
		t.Fatal(err)
	}
	b, err := protojson.Marshal(overREST)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(tree(t, a), tree(t, b)) {
		t.Errorf("gRPC answers\n%s\nREST\n%s", a, b)
	}
}

func reasonOf(s *spb.Status) string { return refusal(s).Reason }

func metadataOf(s *spb.Status) map[string]string {
	for _, d := range status.FromProto(s).Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			return info.GetMetadata()
		}
	}
	return nil
}

// promised returns the keys of the metadata in the contract's example of each reason.
func promised(t *testing.T) map[string][]string {
	t.Helper()
	text, err := os.ReadFile("../proto/rinktally/v1/error_reason.proto")
	if err != nil {
		t.Fatal(err)
	}
	keys := map[string][]string{}
	for _, example := range regexp.MustCompile(`//     (\{"reason": (?s:.*?))\n    [A-Z]`).FindAllStringSubmatch(string(text), -1) {
		var info struct {
			Reason   string
			Metadata map[string]string
		}
		if err := json.Unmarshal([]byte(strings.ReplaceAll(example[1], "\n    //", "\n")), &info); err != nil {
			t.Fatalf("%v in %s", err, example[1])
		}
		keys[info.Reason] = slices.Collect(maps.Keys(info.Metadata))
	}
	if len(keys) != len(pb.ErrorReason_Value_name)-1 {
		t.Fatalf("%d reasons have an example, want all %d", len(keys), len(pb.ErrorReason_Value_name)-1)
	}
	return keys
}

func violations(s *spb.Status) (fields, texts []string) {
	for _, d := range status.FromProto(s).Details() {
		if bad, ok := d.(*errdetails.BadRequest); ok {
			for _, v := range bad.GetFieldViolations() {
				fields = append(fields, v.GetField())
				texts = append(texts, v.GetDescription())
			}
		}
	}
	return fields, texts
}

// echo returns a piece of the request that is longer than 80 characters and comes
// back in the answer.
func echo(request string, s *spb.Status) string {
	const most = 80
	data, err := protojson.Marshal(s)
	if err != nil {
		return err.Error()
	}
	for i := 0; i+most < len(data); i++ {
		if piece := string(data[i : i+most+1]); strings.Contains(request, piece) {
			return piece
		}
	}
	return ""
}

// callOf finds the call that a request belongs to: SomethingRequest is of
// Something.
func callOf(req proto.Message) method {
	name := strings.TrimSuffix(string(req.ProtoReflect().Descriptor().Name()), "Request")
	services := []protoreflect.ServiceDescriptor{
		pb.File_rinktally_v1_rules_proto.Services().ByName("RulesService"),
		pb.File_rinktally_v1_scoring_proto.Services().ByName("ScoringService"),
		pb.File_rinktally_v1_result_proto.Services().ByName("ResultService"),
		pb.File_rinktally_v1_program_proto.Services().ByName("ProgramService"),
	}
	for _, s := range services {
		if m := s.Methods().ByName(protoreflect.Name(name)); m != nil {
			return method{m}
		}
	}
	panic("no call is named " + name)
}

// asRPC returns a REST body as the message that gRPC would send, or nil when
// there is none.
func asRPC(call, season, body string) proto.Message {
	req, err := methods[call].request(season, []byte(body))
	if err != nil {
		return nil
	}
	return req
}

// change puts a JSON value at a path such as elements[0].marks[2] of a good
// request; "-" takes away what is there.
func change(t *testing.T, body, path, value string) string {
	t.Helper()
	var tree any
	if err := json.Unmarshal([]byte(body), &tree); err != nil {
		t.Fatal(err)
	}
	var steps []any
	for _, step := range strings.Split(strings.ReplaceAll(path, "[", ".["), ".") {
		if index, ok := strings.CutPrefix(step, "["); ok {
			n, err := strconv.Atoi(strings.TrimSuffix(index, "]"))
			if err != nil {
				t.Fatal(err)
			}
			steps = append(steps, n)
			continue
		}
		steps = append(steps, step)
	}
	tree = put(t, tree, steps, value)
	data, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func put(t *testing.T, at any, steps []any, value string) any {
	t.Helper()
	if len(steps) == 0 {
		return json.RawMessage(value)
	}
	switch key := steps[0].(type) {
	case int:
		list, _ := at.([]any)
		switch {
		case len(steps) == 1 && value == "-":
			return slices.Delete(list, key, key+1)
		case key == len(list):
			list = append(list, nil)
		}
		list[key] = put(t, list[key], steps[1:], value)
		return list
	case string:
		object, _ := at.(map[string]any)
		if object == nil {
			object = map[string]any{}
		}
		if len(steps) == 1 && value == "-" {
			delete(object, key)
			return object
		}
		object[key] = put(t, object[key], steps[1:], value)
		return object
	}
	return at
}
