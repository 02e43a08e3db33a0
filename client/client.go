package client

import (
	"context"
	"fmt"
	"time"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Client asks a server. It holds one connection, which all goroutines share.
type Client struct {
	conn    *grpc.ClientConn
	rules   pb.RulesServiceClient
	scoring pb.ScoringServiceClient
	program pb.ProgramServiceClient
	result  pb.ResultServiceClient
	events  pb.EventServiceClient
	boards  pb.ScoreboardServiceClient

	retry   retryPolicy
	silence time.Duration // after which a watched server is lost
}

var _ Authority = (*Client)(nil)

// New makes a client of the server at addr, "host:port" of its gRPC port, which is
// 7070 unless the server was started with another; gRPC's own forms, such as
// "unix:///run/rinktally.sock", hold too. It refuses an address or options that
// cannot be meant. It does not wait for the server: a server that cannot be reached
// shows at the first call, as an *Error with code UNAVAILABLE that says which of
// port or TLS seems to be wrong. Close the client after use.
func New(addr string, opts ...Option) (*Client, error) {
	s := defaults()
	for _, o := range opts {
		if err := o(&s); err != nil {
			return nil, fmt.Errorf("client: %w", err)
		}
	}
	if err := checkAddress(addr); err != nil {
		return nil, fmt.Errorf("client: address %q: %w", addr, err)
	}
	dial, err := s.dialOptions()
	if err != nil {
		return nil, fmt.Errorf("client: %w", err)
	}
	conn, err := grpc.NewClient(addr, dial...)
	if err != nil {
		return nil, fmt.Errorf("client: address %q: %w", addr, err)
	}
	return &Client{
		conn: conn, rules: pb.NewRulesServiceClient(conn),
		scoring: pb.NewScoringServiceClient(conn), program: pb.NewProgramServiceClient(conn),
		result: pb.NewResultServiceClient(conn), events: pb.NewEventServiceClient(conn),
		boards: pb.NewScoreboardServiceClient(conn),
		retry:  s.retry, silence: silences * heartbeat,
	}, nil
}

// Close ends the connection; calls in flight fail.
func (c *Client) Close() error { return c.conn.Close() }

// Conn is the connection, for services that this package has no methods for,
// such as health. Calls over it have the same deadline, request id and errors.
func (c *Client) Conn() grpc.ClientConnInterface { return c.conn }

// ListSeasons implements Authority.
func (c *Client) ListSeasons(ctx context.Context, req *pb.ListSeasonsRequest) (*pb.ListSeasonsResponse, error) {
	return c.rules.ListSeasons(ctx, req)
}

// GetSeason implements Authority.
func (c *Client) GetSeason(ctx context.Context, req *pb.GetSeasonRequest) (*pb.GetSeasonResponse, error) {
	return c.rules.GetSeason(ctx, req)
}

// ListElements implements Authority.
func (c *Client) ListElements(ctx context.Context, req *pb.ListElementsRequest) (*pb.ListElementsResponse, error) {
	return c.rules.ListElements(ctx, req)
}

// GetElement implements Authority.
func (c *Client) GetElement(ctx context.Context, req *pb.GetElementRequest) (*pb.GetElementResponse, error) {
	return c.rules.GetElement(ctx, req)
}

// CompareSeasons implements Authority.
func (c *Client) CompareSeasons(ctx context.Context, req *pb.CompareSeasonsRequest) (*pb.CompareSeasonsResponse, error) {
	return c.rules.CompareSeasons(ctx, req)
}

// CallLevels implements Authority.
func (c *Client) CallLevels(ctx context.Context, req *pb.CallLevelsRequest) (*pb.CallLevelsResponse, error) {
	return c.scoring.CallLevels(ctx, req)
}

// ValueElements implements Authority.
func (c *Client) ValueElements(ctx context.Context, req *pb.ValueElementsRequest) (*pb.ValueElementsResponse, error) {
	return c.scoring.ValueElements(ctx, req)
}

// ScoreSegment implements Authority.
func (c *Client) ScoreSegment(ctx context.Context, req *pb.ScoreSegmentRequest) (*pb.ScoreSegmentResponse, error) {
	return c.scoring.ScoreSegment(ctx, req)
}

// BatchScoreSegments implements Authority.
func (c *Client) BatchScoreSegments(ctx context.Context, req *pb.BatchScoreSegmentsRequest) (*pb.BatchScoreSegmentsResponse, error) {
	return c.scoring.BatchScoreSegments(ctx, req)
}

// CheckProgram implements Authority.
func (c *Client) CheckProgram(ctx context.Context, req *pb.CheckProgramRequest) (*pb.CheckProgramResponse, error) {
	return c.program.CheckProgram(ctx, req)
}

// RankSegment implements Authority.
func (c *Client) RankSegment(ctx context.Context, req *pb.RankSegmentRequest) (*pb.RankSegmentResponse, error) {
	return c.result.RankSegment(ctx, req)
}

// RankEvent implements Authority.
func (c *Client) RankEvent(ctx context.Context, req *pb.RankEventRequest) (*pb.RankEventResponse, error) {
	return c.result.RankEvent(ctx, req)
}
