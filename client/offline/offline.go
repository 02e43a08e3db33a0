// Package offline computes in process, with the season tables that ship with
// this module, what package client asks a server: the same calls, answers and
// errors, without a network. A program that takes a client.Authority runs with
// either. Events and scoreboards have no offline form: what several desks write needs
// one server that keeps it.
package offline

import (
	"context"
	"fmt"
	"io/fs"
	"iter"
	"time"

	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/result"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/tables"
)

// Client computes in process. It needs no closing.
type Client struct{ services }

var _ client.Authority = (*Client)(nil)

// Option sets something of a client.
type Option func(*settings)

type settings struct {
	layers []table.Layer
	clock  func() time.Time
}

// WithRules adds season tables: folders that each hold a season, which come to
// the embedded ones or replace those of the same key. Later trees win.
func WithRules(trees ...fs.FS) Option {
	return func(s *settings) {
		for _, tree := range trees {
			s.layers = append(s.layers, table.Layer{Name: fmt.Sprintf("rules[%d]", len(s.layers)), FS: tree})
		}
	}
}

// WithClock sets the time that decides what the season "current" is. Without it
// that is the system's.
func WithClock(now func() time.Time) Option {
	return func(s *settings) { s.clock = now }
}

// New loads the tables. It fails with every fault of added tables, each with
// file and line.
func New(opts ...Option) (*Client, error) {
	var s settings
	for _, o := range opts {
		o(&s)
	}
	t, err := tables.New(s.clock, s.layers...)
	if err != nil {
		return nil, fmt.Errorf("season tables: %w", err)
	}
	return &Client{services{rules: seasons{rulesvc.New(t)}, scoring: scoring.New(t), program: program.New(t), result: result.New(t)}}, nil
}

// call asks a service directly, as long as the context allows.
func call[Req, Res any](ctx context.Context, method func(context.Context, Req) (Res, error), req Req) (Res, error) {
	if err := errs.Context(ctx); err != nil {
		var none Res
		return none, client.FromError(err)
	}
	res, err := method(ctx, req)
	return res, client.FromError(err)
}

// seasons answers with a season that the caller may change; the service answers all
// callers with the same one.
type seasons struct{ pb.RulesServiceServer }

// GetSeason implements pb.RulesServiceServer.
func (s seasons) GetSeason(ctx context.Context, req *pb.GetSeasonRequest) (*pb.GetSeasonResponse, error) {
	shared, err := s.RulesServiceServer.GetSeason(ctx, req)
	return proto.CloneOf(shared), err
}

// ScoreSegments implements client.Authority: each segment is taken when the
// result before it has been read.
func (c *Client) ScoreSegments(ctx context.Context, segments iter.Seq[*pb.ScoreSegmentRequest]) iter.Seq2[*pb.SegmentResult, error] {
	return func(yield func(*pb.SegmentResult, error) bool) {
		next, stop := iter.Pull(segments)
		defer stop()
		s := &stream{ctx: ctx, next: next, yield: yield}
		if err := c.scoring.ScoreSegments(s); err != nil && !s.left {
			yield(nil, client.FromError(err))
		}
	}
}
