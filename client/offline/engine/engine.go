// Package engine answers the calls that need nothing but season tables in the REST
// form of the contract, in process: the answers and errors are those of a server,
// byte for byte, but a file stands in its JSON answer. The engine as WebAssembly is
// this package and a few lines that speak with JavaScript.
package engine

import (
	"context"
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/rest/form"
	"github.com/rinktally/rinktally/server/result"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

// Engine answers calls. It is safe for use by several goroutines.
type Engine struct {
	routes form.Routes
	calls  map[string]call
}

// call is a method of a service, on requests that are filled by their description.
type call struct {
	request func() proto.Message
	answer  func(context.Context, proto.Message) (proto.Message, error)
}

// New makes an engine over season tables.
func New(t *tables.Tables) (*Engine, error) {
	routes, err := form.RoutesOf(
		pb.File_rinktally_v1_rules_proto, pb.File_rinktally_v1_scoring_proto,
		pb.File_rinktally_v1_program_proto, pb.File_rinktally_v1_result_proto)
	if err != nil {
		return nil, err
	}
	of, score, check, rank := rulesvc.New(t), scoring.New(t), program.New(t), result.New(t)
	e := &Engine{routes: routes, calls: map[string]call{
		"ListSeasons":        method(of.ListSeasons),
		"GetSeason":          method(of.GetSeason),
		"ListElements":       method(of.ListElements),
		"ExportElements":     method(of.ExportElements),
		"GetElement":         method(of.GetElement),
		"CompareSeasons":     method(of.CompareSeasons),
		"CallLevels":         method(score.CallLevels),
		"BatchCallLevels":    method(score.BatchCallLevels),
		"ParseElements":      method(score.ParseElements),
		"ValueElements":      method(score.ValueElements),
		"ScoreSegment":       method(score.ScoreSegment),
		"BatchScoreSegments": method(score.BatchScoreSegments),
		"CheckProgram":       method(check.CheckProgram),
		"BatchCheckPrograms": method(check.BatchCheckPrograms),
		"PlanProgram":        method(check.PlanProgram),
		"RankSegment":        method(rank.RankSegment),
		"RankEvent":          method(rank.RankEvent),
	}}
	for _, r := range routes {
		if e.calls[r.Call].answer == nil {
			return nil, fmt.Errorf("the engine has no %s", r.Call)
		}
	}
	return e, nil
}

// Calls lists the calls that the engine answers, by their names.
func (e *Engine) Calls() []string { return rules.SortedKeys(e.calls) }

func method[T any, Req interface {
	*T
	proto.Message
}, Res proto.Message](do func(context.Context, Req) (Res, error)) call {
	return call{
		request: func() proto.Message { return Req(new(T)) },
		answer:  func(ctx context.Context, req proto.Message) (proto.Message, error) { return do(ctx, req.(Req)) },
	}
}

// Answer answers one call as a server answers it over HTTP: target is the path with
// its query as a request line has it, status that of HTTP, and the body JSON.
func (e *Engine) Answer(ctx context.Context, verb, target string, body []byte) (status int, answer []byte) {
	res, err := e.answer(ctx, verb, target, body)
	if err == nil {
		if answer, err = form.Answer(res); err == nil {
			return 200, answer
		}
	}
	if errs.Reason(err) == "" {
		err = errs.From(err, nil)
	}
	if answer, marshalErr := form.Status(errs.Proto(err)); marshalErr == nil {
		return form.HTTPStatus(err), answer
	}
	return 500, []byte("{}")
}

func (e *Engine) answer(ctx context.Context, verb, target string, body []byte) (res proto.Message, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = errs.Internal(fmt.Errorf("panic: %v", p))
		}
	}()
	path, query, _ := strings.Cut(target, "?")
	route, variables, allowed := e.routes.Match(verb, path)
	switch {
	case route == nil && allowed == nil:
		return nil, form.NotFound(path)
	case route == nil:
		return nil, form.NotAllowed(verb, allowed)
	}
	if err := route.CheckPath(variables); err != nil {
		return nil, err
	}
	if err := route.CheckQuery(query); err != nil {
		return nil, err
	}
	plain := form.Variables(variables)
	c := e.calls[route.Call]
	req := c.request()
	if route.Body {
		if err := route.Limits(form.MaxBody, form.MaxBatchBody).Check(body); err != nil {
			return nil, err
		}
		if err := form.Decode(body, plain, req); err != nil {
			return nil, err
		}
	}
	if err := route.Fill(req, plain, query); err != nil {
		return nil, err
	}
	return c.answer(ctx, req)
}
