package client

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"os"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/backoff"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"

	"github.com/rinktally/rinktally/client/policy"
)

// Option sets something of a client; New says if it cannot.
type Option func(*settings) error

type settings struct {
	plaintext bool
	tls       *tls.Config
	userAgent string
	token     bearer
	timeout   time.Duration
	retry     retryPolicy
	dial      []grpc.DialOption
}

// A page, a season's table and a thousand scores with every step explained fit;
// gRPC's own limit of 4 MiB is too small for the last.
const maxAnswerBytes = 64 << 20

func defaults() settings {
	return settings{
		userAgent: "rinktally-go-client",
		timeout:   10 * time.Second,
		retry:     retryPolicy{attempts: policy.Attempts, backoff: policy.Pause, jitter: policy.Jitter},
	}
}

// WithPlaintext connects without TLS: anyone on the way can read and change what
// is sent. For a server on the same machine or behind a proxy that adds TLS.
func WithPlaintext() Option {
	return func(s *settings) error {
		s.plaintext = true
		return nil
	}
}

// WithTLSConfig sets how TLS is done, such as client certificates. Without it
// the system's roots are trusted.
func WithTLSConfig(c *tls.Config) Option {
	return func(s *settings) error {
		if c == nil {
			return errors.New("WithTLSConfig: the configuration is nil; to connect without TLS use WithPlaintext")
		}
		s.tls = c.Clone()
		return nil
	}
}

// WithCAFile trusts only servers whose certificate is signed by one of the PEM
// certificates in the file. After WithTLSConfig it changes that configuration.
func WithCAFile(path string) Option {
	return func(s *settings) error {
		pem, err := os.ReadFile(path)
		if err != nil {
			return fmt.Errorf("certificates: %w", err)
		}
		roots := x509.NewCertPool()
		if !roots.AppendCertsFromPEM(pem) {
			return fmt.Errorf("certificates: %s holds no PEM certificate", path)
		}
		if s.tls == nil {
			s.tls = &tls.Config{MinVersion: tls.VersionTLS12}
		}
		s.tls.RootCAs = roots
		return nil
	}
}

// WithUserAgent names your program to the server, "clubapp/1.2".
func WithUserAgent(name string) Option {
	return func(s *settings) error {
		s.userAgent = name
		return nil
	}
}

// WithDefaultTimeout bounds unary calls whose context has no deadline; 0 sets no
// bound. Streams are never bounded.
func WithDefaultTimeout(d time.Duration) Option {
	return func(s *settings) error {
		if d < 0 {
			return fmt.Errorf("WithDefaultTimeout: %v is negative", d)
		}
		s.timeout = d
		return nil
	}
}

// WithRetry sets how a call that may be repeated is repeated when the server is
// unavailable: attempts in all (1 means never again), the pause before the
// second one, which doubles from then on up to 5 seconds, and the part of each
// pause, 0 to 1, by which it is lengthened or shortened at random.
func WithRetry(attempts int, backoff time.Duration, jitter float64) Option {
	return func(s *settings) error {
		p := retryPolicy{attempts: attempts, backoff: backoff, jitter: jitter}
		if err := p.check(); err != nil {
			return fmt.Errorf("WithRetry: %w", err)
		}
		s.retry = p
		return nil
	}
}

// WithDialOptions passes options on to gRPC, behind this package's own.
func WithDialOptions(opts ...grpc.DialOption) Option {
	return func(s *settings) error {
		s.dial = append(s.dial, opts...)
		return nil
	}
}

func (s *settings) dialOptions() ([]grpc.DialOption, error) {
	var transport credentials.TransportCredentials
	switch {
	case s.plaintext && s.tls != nil:
		return nil, errors.New("WithPlaintext and a TLS option contradict each other")
	case s.plaintext:
		transport = insecure.NewCredentials()
	case s.tls != nil:
		transport = credentials.NewTLS(s.tls)
	default:
		transport = credentials.NewTLS(&tls.Config{MinVersion: tls.VersionTLS12})
	}
	dial := []grpc.DialOption{
		grpc.WithTransportCredentials(hinting{transport}),
		grpc.WithUserAgent(s.userAgent),
		// gRPC's own pauses between attempts to connect grow to two minutes, in which
		// a server that is back would not be heard.
		grpc.WithConnectParams(grpc.ConnectParams{
			Backoff:           backoff.Config{BaseDelay: s.retry.backoff, Multiplier: 2, Jitter: s.retry.jitter, MaxDelay: policy.MaxPause},
			MinConnectTimeout: 20 * time.Second,
		}),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(maxAnswerBytes)),
		// Outermost first: the request id and the deadline are one for all attempts.
		grpc.WithChainUnaryInterceptor(identify, bound(s.timeout), repeat(s.retry)),
		grpc.WithChainStreamInterceptor(identifyStream),
	}
	if s.token != "" {
		dial = append(dial, grpc.WithPerRPCCredentials(s.token))
	}
	return append(dial, s.dial...), nil
}
