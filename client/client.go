package client

import (
	"fmt"
	"time"

	"google.golang.org/grpc"
)

// Client asks a server. It holds one connection, which all goroutines share.
type Client struct {
	services

	conn    *grpc.ClientConn
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
	return &Client{services: servicesOver(conn), conn: conn, retry: s.retry, silence: silences * heartbeat}, nil
}

// Close ends the connection; calls in flight fail.
func (c *Client) Close() error { return c.conn.Close() }

// Conn is the connection, for services that this package has no methods for,
// such as health. Calls over it have the same deadline, request id and errors.
func (c *Client) Conn() grpc.ClientConnInterface { return c.conn }
