package client

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"strconv"
	"strings"

	"google.golang.org/grpc/credentials"
)

// checkAddress refuses what is neither host:port nor one of gRPC's own forms.
func checkAddress(addr string) error {
	const want = "want host:port of the server's gRPC port, such as localhost:7070 or scoring.example.org:443"
	scheme, _, hasScheme := strings.Cut(addr, "://")
	switch {
	case addr == "":
		return errors.New("it is empty; " + want)
	case hasScheme && (strings.EqualFold(scheme, "http") || strings.EqualFold(scheme, "https")):
		return fmt.Errorf("it is an address for browsers; %s, without %s://", want, scheme)
	case hasScheme, strings.HasPrefix(addr, "unix:"):
		return nil
	case !strings.Contains(addr, ":"), net.ParseIP(strings.Trim(addr, "[]")) != nil:
		return errors.New("it has no port; " + want + " or [::1]:7070")
	}
	host, port, err := net.SplitHostPort(addr)
	if err != nil || host == "" {
		return errors.New(want)
	}
	if number, err := strconv.ParseUint(port, 10, 16); err != nil || number == 0 {
		return fmt.Errorf("%q is no port, which is a number from 1 to 65535; %s", port, want)
	}
	return nil
}

// hinting are credentials whose errors also say what seems to be wrong with the port
// or with TLS, as far as the other side shows it. Connections that work are as
// without it.
type hinting struct {
	credentials.TransportCredentials
}

// ClientHandshake implements credentials.TransportCredentials.
func (h hinting) ClientHandshake(ctx context.Context, authority string, raw net.Conn) (net.Conn, credentials.AuthInfo, error) {
	conn, info, err := h.TransportCredentials.ClientHandshake(ctx, authority, raw)
	var noTLS tls.RecordHeaderError
	var unknown x509.UnknownAuthorityError
	switch {
	case errors.As(err, &noTLS) && isHTTP(noTLS.RecordHeader[:]):
		err = fmt.Errorf("%w; %s", err, otherPort)
	case errors.As(err, &noTLS):
		err = fmt.Errorf("%w; the server has no TLS on this port: connect without TLS too", err)
	case errors.As(err, &unknown):
		err = fmt.Errorf("%w; a server that made its certificate for itself is trusted only where a file with that certificate is named", err)
	case err == nil && h.Info().SecurityProtocol == insecureProtocol:
		conn = &firstRead{Conn: conn}
	}
	return conn, info, err
}

// Clone implements credentials.TransportCredentials.
func (h hinting) Clone() credentials.TransportCredentials {
	return hinting{h.TransportCredentials.Clone()}
}

// insecureProtocol is what gRPC names the credentials of connections without TLS.
const insecureProtocol = "insecure"

const otherPort = "this port speaks HTTP, not gRPC: the server's gRPC port is another, 7070 unless it was set"

func isHTTP(first []byte) bool { return bytes.HasPrefix(first, []byte("HTTP/")) }

// firstRead is a connection without TLS that looks at what comes first.
type firstRead struct {
	net.Conn

	done bool
}

// Read implements net.Conn.
func (c *firstRead) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	if c.done {
		return n, err
	}
	c.done = true
	const alert, major = 21, 3 // RFC 8446, 5.1: the type of an alert's record, and the version in front of all of them
	switch first := p[:n]; {
	case isHTTP(first):
		return 0, errors.New(otherPort)
	case n > 1 && first[0] == alert && first[1] == major:
		return 0, errors.New("the server speaks TLS on this port: connect with TLS too")
	case n == 0 && err != nil:
		return 0, fmt.Errorf("%w; the server hung up without an answer, as one does that wants TLS", err)
	}
	return n, err
}
