package app

import (
	"crypto/tls"
	"fmt"
	"time"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/keepalive"
	reflectionpb "google.golang.org/grpc/reflection/grpc_reflection_v1"
	reflectionalphapb "google.golang.org/grpc/reflection/grpc_reflection_v1alpha"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/copies"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/intercept"
	"github.com/rinktally/rinktally/server/live"
	"github.com/rinktally/rinktally/server/practice"
	"github.com/rinktally/rinktally/server/telemetry"
)

// newGRPC makes the gRPC server with its limits and interceptors.
func newGRPC(c config.Config, chain intercept.Options, traces *telemetry.Traces, security *tls.Config) *grpc.Server {
	options := append(transport(c.MaxMessage),
		grpc.ChainUnaryInterceptor(addressUnary, intercept.Unary(chain)),
		grpc.ChainStreamInterceptor(append([]grpc.StreamServerInterceptor{addressStream}, intercept.Stream(chain)...)...),
		grpc.ForceServerCodecV2(newCodec()),
		grpc.UnknownServiceHandler(func(_ any, stream grpc.ServerStream) error {
			method, _ := grpc.MethodFromServerStream(stream)
			return errs.UnknownMethod(method)
		}),
	)
	options = append(options, traces.ServerOptions()...)
	if security != nil {
		options = append(options, grpc.Creds(credentials.NewTLS(security)))
	}
	return grpc.NewServer(options...)
}

// transport returns the limits of the transport, without interceptors.
func transport(maxMessage int) []grpc.ServerOption {
	const maxStreams, workers = 1000, 32
	return []grpc.ServerOption{
		grpc.MaxRecvMsgSize(maxMessage),
		grpc.MaxConcurrentStreams(maxStreams),
		// Calls run on goroutines that are kept, whose stacks have grown already;
		// when all are busy, calls get goroutines of their own.
		grpc.NumStreamWorkers(workers),
		grpc.ConnectionTimeout(20 * time.Second), // for the handshake
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: 10 * time.Second, PermitWithoutStream: true}),
		grpc.KeepaliveParams(keepalive.ServerParameters{
			MaxConnectionIdle: 15 * time.Minute,
			Time:              time.Minute,      // a silent caller is asked whether it is still there …
			Timeout:           20 * time.Second, // … and given so long to answer
		}),
	}
}

// needs is what each method of each registered service asks of its caller.
func needs() access.Needs {
	return access.Join(practice.Needs(), api.Needs(), live.Needs(), copies.Needs(), access.Free(
		pb.RulesService_ServiceDesc, pb.ScoringService_ServiceDesc, pb.ProgramService_ServiceDesc, pb.ResultService_ServiceDesc,
		healthpb.Health_ServiceDesc, reflectionpb.ServerReflection_ServiceDesc, reflectionalphapb.ServerReflection_ServiceDesc,
	))
}

// loadTLS reads certificate and key, or makes them; without both it returns nil.
func (a *App) loadTLS() (*tls.Config, error) {
	var pair tls.Certificate
	var err error
	switch {
	case a.config.TLSSelf:
		if a.secret, a.root, err = selfSigned(inData(a.config, tlsFolder), time.Now()); err != nil {
			return nil, fmt.Errorf("--tls-self: %w", err)
		}
		pair = *a.secret
	case a.config.TLSCert == "":
		return nil, nil //nolint:nilnil // nil is no TLS
	default:
		if pair, err = tls.LoadX509KeyPair(a.config.TLSCert, a.config.TLSKey); err != nil {
			return nil, fmt.Errorf("--tls-cert: %w", err)
		}
	}
	return &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}, nil
}

// sampled returns a log that takes the first lines of each method in a second and
// of the rest every so many.
func sampled(log *zap.Logger, first, thenOf int) *zap.Logger {
	return log.WithOptions(zap.WrapCore(func(core zapcore.Core) zapcore.Core {
		return zapcore.NewSamplerWithOptions(core, time.Second, first, thenOf)
	}))
}
