package integration_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"reflect"
	"strings"
	"testing"
	"time"

	"go.uber.org/zap"
	"google.golang.org/genproto/googleapis/api/annotations"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/offline"
	"github.com/rinktally/rinktally/integration/npm"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/cases"
	"github.com/rinktally/rinktally/server/inproc"
	"github.com/rinktally/rinktally/server/intercept"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/result"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

// method is a unary call of the contract that belongs to a season.
type method struct{ protoreflect.MethodDescriptor }

// methods returns the calls under /v1/seasons/{season}/ that take a body, by the
// last part of their path, such as segments:score.
var methods = func() map[string]method {
	list := map[string]method{}
	protoregistry.GlobalFiles.RangeFilesByPackage("rinktally.v1", func(file protoreflect.FileDescriptor) bool {
		for i := range file.Services().Len() {
			calls := file.Services().Get(i).Methods()
			for j := range calls.Len() {
				rule, _ := proto.GetExtension(calls.Get(j).Options(), annotations.E_Http).(*annotations.HttpRule)
				if path, ok := strings.CutPrefix(rule.GetPost(), "/v1/seasons/{season}/"); ok {
					list[path] = method{calls.Get(j)}
				}
			}
		}
		return true
	})
	return list
}()

func (m method) fullName() string {
	return fmt.Sprintf("/%s/%s", m.Parent().FullName(), m.Name())
}

// request reads a request's JSON and puts the season in.
func (m method) request(season string, body []byte) (proto.Message, error) {
	req := message(m.Input())
	if err := protojson.Unmarshal(body, req); err != nil {
		return nil, err
	}
	fields := req.ProtoReflect()
	fields.Set(fields.Descriptor().Fields().ByName("season"), protoreflect.ValueOfString(season))
	return req, nil
}

// message makes an empty message of the generated type.
func message(desc protoreflect.MessageDescriptor) proto.Message {
	kind, err := protoregistry.GlobalTypes.FindMessageByName(desc.FullName())
	if err != nil {
		panic(err) // every message of the contract is linked in
	}
	return kind.New().Interface()
}

// toJSON writes an answer as REST does.
func toJSON(m proto.Message) ([]byte, error) {
	return protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(m)
}

// overConn calls over a gRPC connection, real or in process.
func overConn(conn grpc.ClientConnInterface) cases.Caller {
	return func(ctx context.Context, call, season string, body []byte) ([]byte, error) {
		m, ok := methods[call]
		if !ok {
			return nil, fmt.Errorf("no call of the contract has the path %s", call)
		}
		req, err := m.request(season, body)
		if err != nil {
			return nil, err
		}
		res := message(m.Output())
		if err := conn.Invoke(ctx, m.fullName(), req, res); err != nil {
			return nil, refusal(status.Convert(err).Proto())
		}
		return toJSON(res)
	}
}

// overClient calls a method of the client library by its name.
func overClient(c client.Authority) cases.Caller {
	return func(ctx context.Context, call, season string, body []byte) ([]byte, error) {
		m, ok := methods[call]
		if !ok {
			return nil, fmt.Errorf("no call of the contract has the path %s", call)
		}
		req, err := m.request(season, body)
		if err != nil {
			return nil, err
		}
		f := reflect.ValueOf(c).MethodByName(string(m.Name()))
		if !f.IsValid() {
			return nil, fmt.Errorf("%T has no method %s", c, m.Name())
		}
		out := f.Call([]reflect.Value{reflect.ValueOf(ctx), reflect.ValueOf(req)})
		if err, _ := out[1].Interface().(error); err != nil {
			var e *client.Error
			if !errors.As(err, &e) {
				return nil, err
			}
			return nil, refusal(e.GRPCStatus().Proto())
		}
		return toJSON(out[0].Interface().(proto.Message))
	}
}

// overREST calls in the REST form, over HTTP or without it.
func overREST(ask asker) cases.Caller {
	return func(ctx context.Context, call, season string, body []byte) ([]byte, error) {
		code, answer, err := ask(ctx, http.MethodPost, "/v1/seasons/"+season+"/"+call, body)
		if err != nil || code == http.StatusOK {
			return answer, err
		}
		var failed spb.Status
		if err := protojson.Unmarshal(answer, &failed); err != nil {
			return nil, fmt.Errorf("HTTP %d with a body that is no status: %w", code, err)
		}
		return nil, refusal(&failed)
	}
}

// ask sends a body of JSON.
func (s *server) ask(ctx context.Context, verb, target string, body []byte) (int, []byte, error) {
	return s.do(ctx, verb, target, "application/json", body)
}

// post sends a body and returns status and answer.
func (s *server) post(ctx context.Context, path, contentType string, body []byte) (int, []byte, error) {
	return s.do(ctx, http.MethodPost, path, contentType, body)
}

func (s *server) do(ctx context.Context, verb, path, contentType string, body []byte) (int, []byte, error) {
	req, err := http.NewRequestWithContext(ctx, verb, s.url(path), bytes.NewReader(body))
	if err != nil {
		return 0, nil, err
	}
	if contentType != "" {
		req.Header.Set("Content-Type", contentType)
	}
	res, err := s.http.Do(req)
	if err != nil {
		return 0, nil, err
	}
	defer res.Body.Close()
	answer, err := io.ReadAll(res.Body)
	return res.StatusCode, answer, err
}

// refusal reads what a status says to programs.
func refusal(s *spb.Status) *cases.Refusal {
	r := &cases.Refusal{Text: s.GetMessage()}
	for _, d := range status.FromProto(s).Details() {
		switch d := d.(type) {
		case *errdetails.ErrorInfo:
			r.Reason = d.GetReason()
		case *errdetails.BadRequest:
			for _, v := range d.GetFieldViolations() {
				r.Fields = append(r.Fields, v.GetField())
			}
		}
	}
	return r
}

// inPackage calls the methods of the installed npm package in Node.js: of its client, or
// of its engine.
func inPackage(ask func(line any, answer any) error, way string) cases.Caller {
	return func(_ context.Context, call, season string, body []byte) ([]byte, error) {
		m, ok := methods[call]
		if !ok {
			return nil, fmt.Errorf("no call of the contract has the path %s", call)
		}
		name := string(m.Name())
		var said struct {
			Answer json.RawMessage
			Error  *struct {
				Reason, Message string
				Fields          []struct{ Field string }
			}
		}
		err := ask(map[string]any{
			"way": way, "method": strings.ToLower(name[:1]) + name[1:], "season": season, "request": json.RawMessage(body),
		}, &said)
		if err != nil || said.Error == nil {
			return said.Answer, err
		}
		refused := &cases.Refusal{Reason: said.Error.Reason, Text: said.Error.Message}
		for _, f := range said.Error.Fields {
			refused.Fields = append(refused.Fields, f.Field)
		}
		return nil, refused
	}
}

// callers are the seven ways in.
func callers(t testing.TB, s *server) map[string]cases.Caller {
	t.Helper()
	table, err := tables.New(today)
	if err != nil {
		t.Fatal(err)
	}
	inside := inproc.New(intercept.Unary(intercept.Options{Log: zap.NewNop()}))
	pb.RegisterRulesServiceServer(inside, rulesvc.New(table))
	pb.RegisterScoringServiceServer(inside, scoring.New(table))
	pb.RegisterProgramServiceServer(inside, program.New(table))
	pb.RegisterResultServiceServer(inside, result.New(table))
	local, err := offline.New(offline.WithClock(today))
	if err != nil {
		t.Fatal(err)
	}
	project := npm.Install(t)
	script := copied(t, "testdata/calls.mjs", project)
	node := talk(t, script, s.url(""), today().Format(time.RFC3339))
	return map[string]cases.Caller{
		"in process":  overConn(inside),
		"gRPC":        overConn(s.conn(t)),
		"REST":        overREST(s.ask),
		"client":      overClient(s.client(t)),
		"offline":     overClient(local),
		"npm":         inPackage(node, "client"),
		"npm offline": inPackage(node, "offline"),
	}
}

// tree returns JSON as values that can be compared.
func tree(t testing.TB, data []byte) any {
	t.Helper()
	var v any
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		t.Fatalf("no JSON: %v: %.200s", err, data)
	}
	return v
}
